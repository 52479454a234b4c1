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

import math
from collections.abc import Callable
from typing import TypeAlias

import attrs

from pinfeather.plans.bounds import Arc, Bounds
from pinfeather.plans.chances import Chance
from pinfeather.plans.kinds import Demand, Looks

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
    test: bool = False
    proves: bool = False


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
        self.least = math.inf
        self.take: Callable[[float, Path], float | None] = lambda total, _path: total
        self._learned: dict[object, float] = {}
        self._joint: dict[object, tuple[Chance | None, float]] = {}
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
            joined = self._joined(choice, turn.order[turn.at])
            if joined is not None:
                rest = [*turn.chosen[:position], joined, *turn.chosen[position + 1 :]]
                cost = turn.cost - choice.cost + joined.cost
                least = min(least, self._on(frame, turn, rest, turn.pushed, cost, turn.behind))
        return least

    def _by_mating(self, frame: _Frame, turn: _Turn) -> float:
        """The kind comes of a mating or test mating of its own."""
        kind, room = turn.order[turn.at], frame.spent + turn.cost
        least = math.inf
        parents = [(choice.arc.sire, choice.arc.dam) for choice in turn.chosen if not choice.arc.test]
        for bound, own, arc in self.bounds.arcs(frame.season, kind):
            if room + bound >= self.limit:
                return min(least, room + bound)
            if arc.test or (arc.sire, arc.dam) not in parents:
                choice = _Choice(arc, ((kind, arc.looks),), arc.chance, own)
                behind = max(turn.behind, bound - own)
                least = min(least, self._on(frame, turn, [*turn.chosen, choice], turn.pushed, turn.cost + own, behind))
        return least

    def _by_pushing(self, frame: _Frame, turn: _Turn) -> float:
        """The kind is there from an earlier season."""
        kind = turn.order[turn.at]
        back = 0.0 if kind in self.breeding.target else self.bounds.of(frame.season - 1, kind)
        return self._on(frame, turn, turn.chosen, turn.pushed | {kind}, turn.cost, max(turn.behind, back))

    def _joined(self, choice: _Choice, kind: int) -> _Choice | None:
        """A mating with one demand more, or None where it cannot meet it."""
        arc = choice.arc
        if arc.test:
            return None
        key = (arc.sire, arc.dam, tuple(number for number, _ in choice.demands), kind)
        if key not in self._joint:
            self._joint[key] = self._join(arc, choice.demands, kind)
        chance, cost = self._joint[key]
        if chance is None:
            return None
        looks = self._looks(arc, kind)
        assert looks is not None  # the chance exists
        return _Choice(arc, (*choice.demands, (kind, looks)), chance, cost)

    def _join(self, arc: Arc, demands: tuple[Demand, ...], kind: int) -> tuple[Chance | None, float]:
        looks = self._looks(arc, kind)
        if looks is None:
            return None, math.inf
        chance = self.breeding.hatch(arc.sire, arc.dam, (*demands, (kind, looks)))
        return (None, math.inf) if chance is None else (chance, self.bounds.cost(chance))

    def _looks(self, arc: Arc, kind: int) -> Looks | None:
        if kind in self.breeding.target:
            return self.breeding.looks_for(arc.sire, arc.dam, self.breeding.kinds[kind])
        for child in self.breeding.children(arc.sire, arc.dam):
            if child.kind == kind:
                return child.looks
        return None

    def _descend(self, frame: _Frame, chosen: list[_Choice], pushed: frozenset[int], cost: float) -> float:
        path = frame.path
        parents: set[int] = set()
        for choice in chosen:
            arc = choice.arc
            deed = Deed(frame.season, arc.sire, arc.dam, choice.demands, choice.chance, arc.test, arc.proves)
            path = (deed, path)
            parents.update(n for n in (arc.sire, arc.dam) if n not in self.breeding.stock)
        fresh = self._best_of(parents, pushed)
        kinds = self.breeding.kinds
        back = frozenset(n for n in pushed - fresh if not any(kinds[own].serves_as(kinds[n]) for own in fresh))
        return self._visit(frame.season - 1, fresh, back, frame.spent + cost, path)

    def _best_of(self, parents: set[int], pushed: frozenset[int]) -> frozenset[int]:
        """The kinds needed for next season, without those for which another one that is needed can stand in."""
        kinds = self.breeding.kinds
        found = set(parents)
        for need in sorted(parents):
            for other in sorted((found | pushed) - {need}):
                if kinds[other].serves_as(kinds[need]):
                    found.discard(need)
                    found.add(other)
                    break
        return frozenset(found)


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
