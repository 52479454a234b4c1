"""Lower bounds: what each kind costs at least within so many seasons, at one price of risk, and the ways to get it.

A kind costs no less than the dearer of its parents and its own step together: one hatch may serve several needs, and
costs must not be counted twice.  Hatches and test matings both enter here, each with its own cost alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from fractions import Fraction

import attrs

from pinfeather.plans.chances import Chance
from pinfeather.plans.kinds import Breeding, Looks
from pinfeather.plans.trials import Trial


@attrs.frozen(eq=False)
class Arc:
    """A way to get one kind: its parents, the looks to keep, the chance alone, and whether it is a test mating."""

    sire: int
    dam: int
    looks: Looks
    chance: Chance
    test: bool = False
    proves: bool = False


class Bounds:
    """Lower bounds on the cost of each kind within so many seasons, at one price, and the ways to get it."""

    def __init__(
        self,
        breeding: Breeding,
        seasons: int,
        price: float,
        certainty: Fraction,
        limit: float,
        tick: Callable[[], None],
    ) -> None:
        self.breeding = breeding
        self.seasons = seasons
        self.price = price
        self.certainty = certainty
        self.limit = limit
        self.tick = tick
        self.cut = False
        """Whether anything was left out because of the limit."""
        self.levels: list[dict[int, float]] = [dict.fromkeys(breeding.stock, 0.0)]
        self._arcs: dict[int, list[Arc]] = {}
        self._sorted: dict[tuple[int, int], list[tuple[float, float, Arc]]] = {}
        self._done: set[tuple[int, int]] = set()
        self._tested: set[int] = set()
        for season in range(1, seasons):
            self.levels.append(self._next(season))
        if breeding.tests:
            self._test(seasons, dict(self.levels[-1]))
        self.levels.append(self._last())

    def cost(self, chance: Chance) -> float:
        """What a step costs at this price."""
        return chance.cost(self.price, self.certainty)[0]

    def of(self, season: int, kind: int) -> float:
        """A lower bound on the cost of having a kind by the end of a season."""
        return self.levels[season].get(kind, math.inf)

    def least(self) -> float:
        """A lower bound on the cost of everything that is wanted."""
        level = self.levels[self.seasons]
        wanted = [level.get(n, math.inf) for n in self.breeding.target if self.breeding.covered(n) is None]
        return min(self.limit, max(wanted, default=0.0))

    def _pairs(self, season: int) -> Iterable[tuple[int, int, float]]:
        before = self.levels[season - 1]
        kinds = self.breeding.kinds
        males = [(n, c) for n, c in before.items() if kinds[n].sex == 0]
        females = [(n, c) for n, c in before.items() if kinds[n].sex == 1]
        for sire, one in males:
            proven = kinds[sire].unproven is None
            for dam, other in females:
                if proven or kinds[dam].unproven is None:
                    self.tick()
                    yield sire, dam, max(one, other)

    def _next(self, season: int) -> dict[int, float]:
        found = dict(self.levels[season - 1])
        limit = self.limit
        for sire, dam, base in self._pairs(season):
            if base + 1 >= limit:
                self.cut = True
                continue
            first = (sire, dam) not in self._done
            self._done.add((sire, dam))
            for child in self.breeding.children(sire, dam):
                value = base + self.cost(child.chance)
                if first:
                    arc = Arc(sire, dam, child.looks, child.chance)
                    self._arcs.setdefault(child.kind, []).append(arc)
                if value >= limit:
                    self.cut = True
                elif value < found.get(child.kind, math.inf):
                    found[child.kind] = value
        if self.breeding.tests:
            self._test(season, found)
        return found

    def _test(self, season: int, found: dict[int, float]) -> None:
        before = self.levels[season - 1]
        kinds = self.breeding.kinds
        testers = [n for n in before if kinds[n].unproven is None]
        for suspect in list(before):
            if kinds[suspect].unproven is None:
                continue
            self.tick()
            for trial in self.breeding.trials(suspect, testers):
                base = max(before[suspect], before[trial.tester])
                value = base + self.cost(trial.chance)
                if value >= self.limit:
                    self.cut = True
                    continue
                self._add_trial(trial)
                if value < found.get(trial.proven, math.inf):
                    found[trial.proven] = value

    def _add_trial(self, trial: Trial) -> None:
        key = (-1 - trial.suspect, trial.tester * 2 + trial.proves)
        if key not in self._done:
            self._done.add(key)
            male = self.breeding.kinds[trial.suspect].sex == 0
            sire, dam = (trial.suspect, trial.tester) if male else (trial.tester, trial.suspect)
            arc = Arc(sire, dam, (), trial.chance, test=True, proves=trial.proves)
            self._arcs.setdefault(trial.proven, []).append(arc)
            self._tested.add(trial.proven)

    def _last(self) -> dict[int, float]:
        """The last season: only what is wanted in the end."""
        season = self.seasons
        found: dict[int, float] = {}
        for number in self.breeding.target:
            arcs = sorted(self._target_arcs(season, number), key=lambda entry: entry[0])
            self._sorted[season, number] = arcs
            found[number] = min((value for value, _, _ in arcs), default=math.inf)
        return found

    def _target_arcs(self, season: int, number: int) -> list[tuple[float, float, Arc]]:
        kind = self.breeding.kinds[number]
        made = []
        for sire, dam, base in self._pairs(season):
            if base + 1 >= self.limit:
                self.cut = True
                continue
            looks = self.breeding.looks_for(sire, dam, kind)
            if looks is not None:
                chance = self.breeding.hatch(sire, dam, ((number, looks),))
                if chance is not None:
                    cost = self.cost(chance)
                    if base + cost >= self.limit:
                        self.cut = True
                    else:
                        made.append((base + cost, cost, Arc(sire, dam, looks, chance)))
        for other in self._tested:
            if self.breeding.kinds[other].serves_as(kind):
                made += [entry for entry in self.arcs(season, other) if entry[2].test]
        return made

    def arcs(self, season: int, kind: int) -> list[tuple[float, float, Arc]]:
        """The ways to get a kind in a season: (bound, own cost, way), the smallest bound first."""
        key = (season, kind)
        if key not in self._sorted:
            before = self.levels[season - 1]
            made = []
            for arc in self._arcs.get(kind, ()):
                base = max(before.get(arc.sire, math.inf), before.get(arc.dam, math.inf))
                cost = self.cost(arc.chance)
                if base + cost < self.limit:
                    made.append((base + cost, cost, arc))
            made.sort(key=lambda entry: entry[0])
            self._sorted[key] = made
        return self._sorted[key]
