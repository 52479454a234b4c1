"""Lower bounds: what each kind costs at least within so many seasons, at one price of risk, and the ways to get it.

A kind costs no less than the dearer of its parents and its own step together: one hatch may serve several needs, and
costs must not be counted twice.  Hatches and test matings both enter here, each with its own cost alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction

import attrs

from pinfeather.plans.breeding import Breeding, Child
from pinfeather.plans.chances import Chance
from pinfeather.plans.kinds import Looks, couple
from pinfeather.plans.trials import Trial


@attrs.frozen(eq=False)
class Arc:
    """A way to get one kind: its parents, the looks to keep, the chance alone, and the test mating if it is one."""

    sire: int
    dam: int
    looks: Looks
    chance: Chance
    trial: Trial | None = None

    @property
    def parents(self) -> tuple[int, ...]:
        """All kinds that take part."""
        return (self.sire, self.dam) if self.trial is None else self.trial.parents


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
        self._done: set[object] = set()
        self._tested: set[int] = set()
        self._seasons_trials: dict[int, list[tuple[Trial, Chance, float]]] = {}
        self._least_chances: dict[int, float] = {}
        self._given: dict[tuple[int, int], set[int]] = {}
        self._eggs_needed: dict[tuple[tuple[int, int], float], list[tuple[int, Child]]] = {}
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
            for dam, other in females:
                if self.breeding.can_mate(sire, dam):
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
        """Enter what test matings of this season prove, and the chicks of the birds that pass them."""
        mates = self._mates(season)
        for trial, chance, base in self._trials(season):
            own = self.cost(chance)
            if base + own >= self.limit:
                self.cut = True
                continue
            self._add_trial(trial, trial.proven, (), chance)
            self._tested.add(trial.proven)
            found[trial.proven] = min(base + own, found.get(trial.proven, math.inf))
            if season == self.seasons:
                continue
            for mate, dearer in self._with_mates(trial, base, own, mates):
                pair = self._pair(trial.proven, mate)
                for child in self._worth_breeding(trial, mate, pair, dearer, own):
                    bred = self.breeding.bred_beside(trial, mate, child)
                    if bred is not None:
                        self._add_bred(trial, mate, child, bred, dearer + self.cost(bred), found)

    def _trials(self, season: int) -> list[tuple[Trial, Chance, float]]:
        """The test matings that can be made in a season, with what their birds cost at least."""
        if season not in self._seasons_trials:
            self._seasons_trials[season] = list(self._made_trials(season))
        return self._seasons_trials[season]

    def _made_trials(self, season: int) -> Iterator[tuple[Trial, Chance, float]]:
        before = self.levels[season - 1]
        kinds = self.breeding.kinds
        testers = [n for n in before if kinds[n].proven]
        for suspect in [n for n in before if not kinds[n].proven]:
            self.tick()
            for trial, chance in self.breeding.trials(suspect, testers):
                yield trial, chance, max(before[parent] for parent in trial.parents)

    def _mates(self, season: int) -> tuple[list[tuple[float, int]], ...]:
        """By sex: what proven birds cost, and which they are, the cheapest first."""
        kinds = self.breeding.kinds
        proven = [(cost, n) for n, cost in self.levels[season - 1].items() if kinds[n].proven]
        return tuple(sorted(entry for entry in proven if kinds[entry[1]].sex == sex) for sex in (0, 1))

    def _with_mates(
        self, trial: Trial, base: float, own: float, mates: tuple[list[tuple[float, int]], ...]
    ) -> Iterator[tuple[int, float]]:
        """Each mate that may pay beside a test mating, and what the birds cost at least.

        With a mate the test costs no less than alone.
        """
        if len(trial.assays) > 1:
            return
        for cost, mate in mates[1 - self.breeding.kinds[trial.suspect].sex]:
            dearer = max(base, cost)
            if dearer + own >= self.limit:
                self.cut = True
                return
            self.tick()
            yield mate, dearer

    def _worth_breeding(
        self, trial: Trial, mate: int, pair: tuple[int, int], base: float, own: float
    ) -> Iterator[Child]:
        """The chicks of the bird that passes that may be had within the limit, and not as well without the test.

        One of k birds must pass and give them with the certainty asked, so that a bird that is right must give them
        with a chance that follows from the share of such birds.  Where the tester is the mate the same eggs serve both,
        and chicks that only the right sort of bird gives need no other that tells.
        """
        birds = self.breeding.kinds[trial.suspect].birds
        alike = mate == trial.assays[0].tester
        without_test = self._given_by(self._pair(trial.suspect, mate)) if alike else set()
        spent = base if alike else base + own
        for enough, child in self._by_eggs(pair, self._least_chance(trial.suspect)):
            if spent + birds * enough >= self.limit:
                self.cut = True
                return
            if child.kind not in without_test:
                yield child

    def _least_chance(self, suspect: int) -> float:
        """The least chance with which a bird that is right must pass."""
        if suspect not in self._least_chances:
            kind = self.breeding.kinds[suspect]
            each = 1 - (1 - float(self.certainty)) ** (1 / kind.birds)
            self._least_chances[suspect] = each / float(kind.share)
        return self._least_chances[suspect]

    def _by_eggs(self, pair: tuple[int, int], chance: float) -> list[tuple[int, Child]]:
        """The chicks of a pair by the eggs that each needs for a chance."""
        key = (pair, chance)
        if key not in self._eggs_needed:
            listed = [(child.chance.enough_for(chance), child) for child in self.breeding.children(*pair)]
            self._eggs_needed[key] = sorted(listed, key=lambda entry: entry[0])
        return self._eggs_needed[key]

    def _given_by(self, pair: tuple[int, int]) -> set[int]:
        if pair not in self._given:
            self._given[pair] = {child.kind for child in self.breeding.children(*pair)}
        return self._given[pair]

    def _pair(self, bird: int, mate: int) -> tuple[int, int]:
        return couple(self.breeding.kinds[bird].sex, bird, mate)

    def _add_bred(
        self, trial: Trial, mate: int, child: Child, chance: Chance, value: float, found: dict[int, float]
    ) -> None:
        if value >= self.limit:
            self.cut = True
            return
        self._add_trial(trial.with_mate(mate), child.kind, child.looks, chance)
        if value < found.get(child.kind, math.inf):
            found[child.kind] = value

    def _add_trial(self, trial: Trial, kind: int, looks: Looks, chance: Chance) -> None:
        if (trial, kind) not in self._done:
            self._done.add((trial, kind))
            self._arcs.setdefault(kind, []).append(self._trial_arc(trial, looks, chance))

    def _trial_arc(self, trial: Trial, looks: Looks, chance: Chance) -> Arc:
        sire, dam = self._pair(trial.suspect, trial.mates[0])
        return Arc(sire, dam, looks, chance, trial)

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
                ways = self.arcs(season, other)
                made += [way for way in ways if way[2].trial is not None and not way[2].looks]
        if self.breeding.tests:
            made += self._bred_on_trial(season, number)
        return made

    def _bred_on_trial(self, season: int, number: int) -> list[tuple[float, float, Arc]]:
        """What is wanted, bred from birds on test in the last season."""
        made = []
        mates = self._mates(season)
        for trial, tested, base in self._trials(season):
            own = self.cost(tested)
            for mate, dearer in self._with_mates(trial, base, own, mates):
                pair = self._pair(trial.proven, mate)
                child = self.breeding.wanted_child(*pair, number)
                if child is None:
                    continue
                least = 1 if mate in trial.mates else child.chance.enough_for(self._least_chance(trial.suspect))
                if dearer + own + (least - 1) * self.breeding.kinds[trial.suspect].birds >= self.limit:
                    self.cut = True
                    continue
                chance = self.breeding.bred_beside(trial, mate, child)
                if chance is not None:
                    cost = self.cost(chance)
                    if dearer + cost >= self.limit:
                        self.cut = True
                    else:
                        arc = self._trial_arc(trial.with_mate(mate), child.looks, chance)
                        made.append((dearer + cost, cost, arc))
        return made

    def arcs(self, season: int, kind: int) -> list[tuple[float, float, Arc]]:
        """The ways to get a kind in a season: (bound, own cost, way), the smallest bound first."""
        key = (season, kind)
        if key not in self._sorted:
            before = self.levels[season - 1]
            made = []
            for arc in self._arcs.get(kind, ()):
                base = max(before.get(parent, math.inf) for parent in arc.parents)
                cost = self.cost(arc.chance)
                if base + cost < self.limit:
                    made.append((base + cost, cost, arc))
            made.sort(key=lambda entry: entry[0])
            self._sorted[key] = made
        return self._sorted[key]
