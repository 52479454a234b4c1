"""One founder gene followed down a pedigree, all ways of descent summed exactly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import lcm, prod

from pinfeather.pedigree.lineage import Lineage

State = tuple[int, ...]


class Descent:
    """How one gene of a founder comes down to the birds that could hold it.

    A state is the number of copies in each descendant that still has chicks to come; a state in which a
    bird of the wanted ones has a copy is dropped, so that the weight left over at the end is the chance of
    loss.
    """

    def __init__(
        self,
        lineage: Lineage,
        single: Sequence[bool],
        from_dam: bool,
        scope: Sequence[int],
        wanted: frozenset[int],
        founder: int,
    ) -> None:
        self._lineage = lineage
        self._single = single
        self._from_dam = from_dam
        self._wanted = wanted
        self._founder = founder
        self._heirs = self._find_heirs(scope)
        self._last = {parent: heir for heir in self._heirs[1:] for parent, _ in lineage.parents(heir)}

    def _find_heirs(self, scope: Sequence[int]) -> list[int]:
        """The founder and those of the scope that may have the gene from it."""
        heirs = [self._founder]
        known = {self._founder}
        for bird in scope:
            if any(known.intersection(p for p, _ in side) for side in self._sides(bird)):
                heirs.append(bird)
                known.add(bird)
        return heirs

    def _sides(self, bird: int) -> list[tuple[tuple[int, Fraction], ...]]:
        """The parents that hand a gene to this bird: on the Z a hen's sire alone."""
        lineage = self._lineage
        sides = [lineage.candidates(lineage.sires[bird]), lineage.candidates(lineage.dams[bird])]
        return [sides[self._from_dam]] if self._single[bird] else sides

    def _fronts(self) -> Iterator[tuple[int, list[int]]]:
        """Each heir after the founder, with the birds that stand in the state once it has been dealt with."""
        front = [self._founder]
        for heir in self._heirs[1:]:
            front = [bird for bird in (*front, heir) if self._last.get(bird, -1) > heir]
            yield heir, front

    @property
    def most_states(self) -> int:
        """A bound on the states kept at a time: 2 or 3 for each bird that stands side by side."""
        ways = {heir: 2 if self._carriers_behind(heir) < 2 else 3 for heir in self._heirs}
        return max((prod(ways[bird] for bird in front) for _, front in self._fronts()), default=1)

    def _carriers_behind(self, bird: int) -> int:
        known = set(self._heirs)
        return sum(1 for side in self._sides(bird) if known.intersection(parent for parent, _ in side))

    def loss(self) -> Fraction:
        """The chance that none of the wanted birds has the gene."""
        if self._founder in self._wanted:
            return Fraction(0)
        front = [self._founder]
        states: dict[State, int] = {(1,): 1}
        total = 1
        for heir, after in self._fronts():
            states, scale = self._stepped(states, front, heir, after)
            total *= scale
            front = after
        return Fraction(sum(states.values()), total)

    def _stepped(
        self, states: dict[State, int], front: list[int], heir: int, after: list[int]
    ) -> tuple[dict[State, int], int]:
        """The states after one more bird, in whole numbers over ``scale`` times the old total."""
        place = {bird: number for number, bird in enumerate(front)}
        stays = [place[bird] for bird in after if bird != heir]
        parents = sorted({place[p] for side in self._sides(heir) for p, _ in side if p in place})
        scale = self._scale(heir)
        ways: dict[State, list[tuple[State, int]]] = {}
        made: dict[State, int] = {}
        for state, weight in states.items():
            behind = tuple([state[number] for number in parents])
            if behind not in ways:
                ways[behind] = self._ways(heir, state, place, scale, heir in after)
            kept = tuple([state[number] for number in stays])
            for added, chance in ways[behind]:
                key = kept + added
                made[key] = made.get(key, 0) + weight * chance
        return made, scale

    def _scale(self, heir: int) -> int:
        """A whole number over which all chances of this bird's copies are whole."""
        return prod(2 * lcm(*(share.denominator for _, share in side)) for side in self._sides(heir))

    def _ways(self, heir: int, state: State, place: dict[int, int], scale: int, stays: bool) -> list[tuple[State, int]]:
        """What a bird adds to the state, with the weight of each way; ways that reach a wanted bird are dropped."""
        most = 0 if heir in self._wanted else 2
        chances = self._copies(heir, state, place)
        return [((copies,) if stays else (), int(c * scale)) for copies, c in chances if copies <= most]

    def _copies(self, heir: int, state: State, place: dict[int, int]) -> list[tuple[int, Fraction]]:
        chances = [Fraction(1)]
        for side in self._sides(heir):
            handed = sum(
                (share * self._handed(parent, state[place[parent]]) for parent, share in side if parent in place),
                Fraction(0),
            )
            grown = [chance * (1 - handed) for chance in chances] + [Fraction(0)]
            for number, chance in enumerate(chances):
                grown[number + 1] += chance * handed
            chances = grown
        return [(number, chance) for number, chance in enumerate(chances) if chance]

    def _handed(self, parent: int, copies: int) -> Fraction:
        """The chance that a parent with so many copies hands one on."""
        return Fraction(copies) if self._single[parent] else Fraction(copies, 2)
