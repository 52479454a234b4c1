"""The search for the programme with the fewest eggs: backward, season by season, with proven bounds.

With a price on risk every step has a cost of its own and costs add up, so that the cheapest structure less the price of
the risk allowed is a lower bound on the eggs of any programme.  Structures are built from the last season backward.  A
state is the set of kinds needed by the end of a season; each is either *fresh*, needed by the very next season, or
*pushed*, needed later and to be hatched beside something fresh, since any programme can be put off until every hatch
has a chick that is needed in the season after it.

References
----------
D. E. Knuth 1977, Information Processing Letters 6:1-5 (cheapest derivations); C. Betz and M. Helmert 2009, KI 2009:
Advances in Artificial Intelligence, 41-48 (planning where nothing in hand is lost).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from typing import TypeAlias

import attrs

from pinfeather.plans.bounds import Arc, Bounds
from pinfeather.plans.chances import Chance
from pinfeather.plans.kinds import Demand, Looks, couple
from pinfeather.plans.trials import Trial

Path: TypeAlias = "tuple[Deed, Path] | None"
EPSILON = 1e-7


@attrs.frozen(eq=False)
class Deed:
    """One step of a structure: its season, its parents, what is kept of it, and its chance."""

    season: int
    sire: int
    dam: int
    demands: tuple[Demand, ...]
    chance: Chance
    trial: Trial | None = None
    parts: tuple[tuple[int, int], ...] = ()
    """(season, units set in it), where it is spread over several seasons; its own season is the last of them."""

    @property
    def test(self) -> bool:
        """Whether this is a test mating."""
        return self.trial is not None

    @property
    def parents(self) -> tuple[int, ...]:
        """All kinds that take part."""
        return (self.sire, self.dam) if self.trial is None else self.trial.parents


def deeds_of(path: Path) -> tuple[Deed, ...]:
    """The steps of a structure, first season first."""
    found = []
    while path is not None:
        deed, path = path
        found.append(deed)
    return tuple(sorted(found, key=lambda deed: deed.season))


class OutOfTimeSignal(Exception):  # noqa: N818 - it is no error, and never leaves the room
    """The time allowed is used up."""


class _Choice:
    """A mating chosen for the season at hand, with what is demanded of it so far."""

    __slots__ = ("arc", "chance", "cost", "demands", "fresh")

    def __init__(self, arc: Arc, demands: tuple[Demand, ...], chance: Chance, cost: float) -> None:
        self.arc, self.demands, self.chance, self.cost = arc, demands, chance, cost


class Search:
    """Finds the cheapest structures for one number of seasons at one price."""

    def __init__(self, bounds: Bounds, mirror: dict[int, int] | None, tick: Callable[[], None]) -> None:
        self.bounds = bounds
        self.breeding = bounds.breeding
        self.mirror = mirror
        self.tick = tick
        self.limit = bounds.limit
        self.apart = False
        """Whether kinds are also to be hatched for which better ones that are needed anyway could stand in."""
        self.least = math.inf
        self.take: Callable[[float, Path], float | None] = lambda total, _path: total
        self._learned: dict[object, float] = {}
        self._joint: dict[object, list[_Choice]] = {}
        self.visits = 0

    def run(self, take: Callable[[float, Path], float | None]) -> float:
        """Go through every structure cheaper than the limit; ``take`` gets each and may return a lower limit.

        Returns the least cost of a structure, or the limit where none is cheaper.
        """
        self.take = take
        wanted = [n for n in self.breeding.target if self.breeding.covered(n) is None]
        least = self._visit(self.bounds.seasons, frozenset(wanted), frozenset(), 0.0, None)
        return min(least, self.limit)

    # -- one state -----------------------------------------------------------------------------------------------------

    def _key(self, season: int, fresh: frozenset[int], pushed: frozenset[int]) -> object:
        if self.mirror is None:
            return (season, fresh, pushed)
        one = (tuple(sorted(fresh)), tuple(sorted(pushed)))
        mirror = self.mirror
        other = (tuple(sorted(mirror[n] for n in fresh)), tuple(sorted(mirror[n] for n in pushed)))
        return (season, min(one, other))

    def _bound(self, season: int, fresh: frozenset[int], pushed: frozenset[int]) -> float:
        """A lower bound on the cost of everything up to the end of a season."""
        level = self.bounds.levels[season]
        found = 0.0
        for kind in fresh:
            found = max(found, level.get(kind, math.inf))
        if season < self.bounds.seasons:
            for kind in pushed:
                if kind not in self.breeding.target:
                    found = max(found, level.get(kind, math.inf))
        if found == math.inf:
            return found
        learned = self._learned
        found = max(found, learned.get(self._key(season, fresh, pushed), 0.0))
        every = [*fresh, *pushed]
        if len(every) > 1:
            nothing: frozenset[int] = frozenset()
            for at, one in enumerate(every):
                found = max(found, learned.get(self._key(season, frozenset((one,)), nothing), 0.0))
                for other in every[at + 1 :]:
                    found = max(found, learned.get(self._key(season, frozenset((one, other)), nothing), 0.0))
        return found

    def _visit(self, season: int, fresh: frozenset[int], pushed: frozenset[int], spent: float, path: Path) -> float:
        """The least total cost found below a state (or a bound on it), having spent so much after it."""
        if not fresh:
            if pushed:
                return math.inf
            lower = self.take(spent, path)
            if lower is not None:
                self.limit = min(self.limit, lower)
            return spent
        if season == 0:
            return math.inf
        bound = spent + min(self._bound(season, fresh, pushed), self.bounds.limit)
        if bound >= self.limit:
            return bound
        self.visits += 1
        if not self.visits % 64:
            self.tick()
        level = self.bounds.levels[season]
        order = sorted(fresh, key=lambda kind: -level.get(kind, 0.0)) + sorted(pushed)
        least = self._assign(_Frame(season, spent, path, len(fresh)), order, 0, [], frozenset(), 0.0, 0.0)
        # What lies beyond the limit of the bounds was never looked at.
        least = min(least, spent + self.bounds.limit)
        key = self._key(season, fresh, pushed)
        self._learned[key] = max(self._learned.get(key, 0.0), least - spent)
        return least

    def _assign(
        self,
        frame: _Frame,
        order: list[int],
        at: int,
        chosen: list[_Choice],
        pushed: frozenset[int],
        cost: float,
        behind: float,
    ) -> float:
        """Decide for each kind needed whether it is pushed back, or hatched or tested in this season."""
        if at == len(order):
            return self._descend(frame, chosen, pushed, cost) if chosen else math.inf
        turn = _Turn(order, at, chosen, pushed, cost, behind)
        least = self._by_joining(frame, turn)
        if at < frame.fresh:
            least = min(least, self._by_mating(frame, turn))
        if frame.season > 1:
            least = min(least, self._by_pushing(frame, turn))
        return least

    def _on(
        self, frame: _Frame, turn: _Turn, chosen: list[_Choice], pushed: frozenset[int], cost: float, behind: float
    ) -> float:
        """Go on with the next kind, unless the limit is reached."""
        if frame.spent + cost + behind >= self.limit:
            return frame.spent + cost + behind
        return self._assign(frame, turn.order, turn.at + 1, chosen, pushed, cost, behind)

    def _by_joining(self, frame: _Frame, turn: _Turn) -> float:
        """The kind comes of a hatch chosen already."""
        least = math.inf
        for position, choice in enumerate(turn.chosen):
            for joined in self._joined(choice, turn.order[turn.at]):
                rest = [*turn.chosen[:position], joined, *turn.chosen[position + 1 :]]
                cost = turn.cost - choice.cost + joined.cost
                least = min(least, self._on(frame, turn, rest, turn.pushed, cost, turn.behind))
        return least

    def _by_mating(self, frame: _Frame, turn: _Turn) -> float:
        """The kind comes of a mating or test mating of its own."""
        kind, room = turn.order[turn.at], frame.spent + turn.cost
        least = math.inf
        chosen = [_mating(choice.arc) for choice in turn.chosen]
        for bound, own, arc in self.bounds.arcs(frame.season, kind):
            if room + bound >= self.limit:
                return min(least, room + bound)
            if _mating(arc) not in chosen:
                choice = _Choice(arc, ((kind, arc.looks),), arc.chance, own)
                behind = max(turn.behind, bound - own)
                least = min(least, self._on(frame, turn, [*turn.chosen, choice], turn.pushed, turn.cost + own, behind))
        return least

    def _by_pushing(self, frame: _Frame, turn: _Turn) -> float:
        """The kind is there from an earlier season."""
        kind = turn.order[turn.at]
        back = 0.0 if kind in self.breeding.target else self.bounds.of(frame.season - 1, kind)
        return self._on(frame, turn, turn.chosen, turn.pushed | {kind}, turn.cost, max(turn.behind, back))

    def _joined(self, choice: _Choice, kind: int) -> list[_Choice]:
        """A mating with one demand more, in each way in which it can meet it."""
        arc = choice.arc
        key = (arc.sire, arc.dam, arc.trial, tuple(number for number, _ in choice.demands), kind)
        if key not in self._joint:
            self._joint[key] = list(self._joins(choice, kind))
        return self._joint[key]

    def _joins(self, choice: _Choice, kind: int) -> Iterator[_Choice]:
        arc, demands = choice.arc, choice.demands
        if arc.trial is None:
            looks = self._looks(arc.sire, arc.dam, kind)
            if looks is not None:
                more = (*demands, (kind, looks))
                yield from self._made(arc, more, self.breeding.hatch(arc.sire, arc.dam, more))
            return
        kinds = self.breeding.kinds
        if kind == arc.trial.proven or (
            kind in self.breeding.target and kinds[arc.trial.proven].serves_as(kinds[kind])
        ):
            yield _Choice(arc, (*demands, (kind, ())), choice.chance, choice.cost)
            return
        for trial in self._with_mates(arc.trial):
            assert trial.mate is not None  # that is what they are asked for
            looks = self._looks(*couple(kinds[trial.suspect].sex, trial.proven, trial.mate), kind)
            if looks is not None:
                more = (*demands, (kind, looks))
                own = attrs.evolve(arc, trial=trial)
                yield from self._made(own, more, self.breeding.bred_on_trial(trial, more))

    def _made(self, arc: Arc, demands: tuple[Demand, ...], chance: Chance | None) -> Iterator[_Choice]:
        if chance is not None:
            yield _Choice(arc, demands, chance, self.bounds.cost(chance))

    def _with_mates(self, trial: Trial) -> list[Trial]:
        """A test mating with each mate from whom the bird that passes may be bred beside it."""
        if trial.mate is not None:
            return [trial]
        kinds = self.breeding.kinds
        if len(trial.assays) > 1:
            return []
        sex = kinds[trial.suspect].sex
        return [trial.with_mate(n) for n, kind in enumerate(kinds) if kind.sex != sex and kind.proven]

    def _looks(self, sire: int, dam: int, kind: int) -> Looks | None:
        if kind in self.breeding.target:
            return self.breeding.looks_for(sire, dam, self.breeding.kinds[kind])
        for child in self.breeding.children(sire, dam):
            if child.kind == kind:
                return child.looks
        return None

    def _descend(self, frame: _Frame, chosen: list[_Choice], pushed: frozenset[int], cost: float) -> float:
        path = frame.path
        parents: set[int] = set()
        for choice in chosen:
            arc = choice.arc
            deed = Deed(frame.season, arc.sire, arc.dam, choice.demands, choice.chance, arc.trial)
            path = (deed, path)
            parents.update(n for n in arc.parents if n not in self.breeding.stock)
        least = math.inf
        for fresh, back in self._needs(parents, pushed):
            least = min(least, self._visit(frame.season - 1, fresh, back, frame.spent + cost, path))
        return least

    def _needs(self, parents: set[int], pushed: frozenset[int]) -> Iterator[tuple[frozenset[int], frozenset[int]]]:
        """What is needed by the season before, without the kinds for which better ones that are needed can stand in.

        Where kinds are to be hatched apart, also with some of those.
        """
        fresh, back = self._spared(parents, pushed, ())
        yield fresh, back
        if self.apart:
            spared = sorted((parents | pushed) - fresh - back)
            for size in range(1, len(spared) + 1):
                for kept in itertools.combinations(spared, size):
                    yield self._spared(parents, pushed, kept)

    def _spared(
        self, parents: set[int], pushed: frozenset[int], kept: tuple[int, ...]
    ) -> tuple[frozenset[int], frozenset[int]]:
        kinds = self.breeding.kinds
        found = set(parents)
        for need in sorted(parents.difference(kept)):
            for other in sorted((found | pushed) - {need}):
                if kinds[other].serves_as(kinds[need]):
                    found.discard(need)
                    found.add(other)
                    break
        back = frozenset(
            n for n in pushed - found if n in kept or not any(kinds[own].serves_as(kinds[n]) for own in found)
        )
        return frozenset(found), back


def _mating(arc: Arc) -> object:
    """What makes two ways the same mating: another kind may be taken from it, but it is not made twice."""
    return arc.trial if arc.trial is not None else (arc.sire, arc.dam)


@attrs.frozen(eq=False)
class _Frame:
    """What stays the same while the kinds of one state are decided on."""

    season: int
    spent: float
    path: Path
    fresh: int


@attrs.frozen(eq=False)
class _Turn:
    """Where deciding on the kinds of one state has got to."""

    order: list[int]
    at: int
    chosen: list[_Choice]
    pushed: frozenset[int]
    cost: float
    behind: float
