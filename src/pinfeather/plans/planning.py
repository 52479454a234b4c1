"""From bounds and search to the best programme for each number of seasons, with a proof or a gap."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator
from fractions import Fraction

import attrs

from pinfeather.plans.bounds import Arc, Bounds
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.chances import Chance
from pinfeather.plans.scheduling import Timed, in_time
from pinfeather.plans.search import EPSILON, Deed, OutOfTimeSignal, Path, Search
from pinfeather.plans.splitting import Split, split
from pinfeather.plans.trials import Trial

_FARTHEST = 1e6
_MOST_REJECTED = 20
_SHARE_FOR_FITTING = 8
"""The part of the time left that goes into finding a first programme that fits crowded seasons."""


@attrs.frozen(eq=False)
class Found:
    """The best structure known for a number of seasons, its sharing of the risk, and the proven bound on the eggs."""

    seasons: int
    deeds: tuple[Deed, ...] | None
    split: Split | None
    bound: int
    optimal: bool

    @property
    def eggs(self) -> float:
        """The eggs of the programme."""
        return math.inf if self.split is None else self.split.eggs


def deeds_of(path: Path) -> tuple[Deed, ...]:
    """The steps of a structure, first season first."""
    found = []
    while path is not None:
        deed, path = path
        found.append(deed)
    return tuple(sorted(found, key=lambda deed: deed.season))


class Planner:
    """Runs the search for growing numbers of seasons, until the time is used up."""

    def __init__(
        self,
        breeding: Breeding,
        certainty: Fraction,
        time_limit: float,
        report: Callable[[float, float], None],
        *,
        patience: float = 5.0,
    ) -> None:
        self.breeding = breeding
        self.certainty = certainty
        self.risk = -math.log(certainty)
        self.started = time.monotonic()
        self.deadline = self.started + time_limit
        self.patience = self.started + patience
        self.report = report
        self.mirror: dict[int, int] | None = None
        self.max_eggs: int | None = None
        self.working_life: int | None = None
        self.best: tuple[tuple[Deed, ...], Split] | None = None
        self.low = 0.0
        self.seasons = 0
        self.rejected: list[tuple[Split, tuple[Deed, ...]]] = []
        """A few structures passed over for the limits on eggs or on working life, those with the fewest eggs first."""
        self.doubt = math.inf
        """So many eggs might do within the limits, for all that was tried."""
        self.short_of_time = False
        self._last_bounds: tuple[tuple[int, float, float], Bounds] | None = None
        self._splits: dict[tuple[Chance, ...], Split | None] = {}
        self._timed: dict[object, tuple[float, float]] = {}

    @property
    def eggs(self) -> float:
        """The eggs of the best programme so far."""
        return math.inf if self.best is None else self.best[1].eggs

    def tick(self) -> None:
        """Stop when the time is used up; a first programme is sought for a few seconds in any case."""
        patience = self.deadline if self.best is not None else max(self.deadline, self.patience)
        if time.monotonic() > patience:
            raise OutOfTimeSignal

    def solve(self, seasons: int) -> Found:
        """The best programme of at most so many seasons, starting from the best one of fewer."""
        self.low = 1.0
        self.doubt = math.inf
        self.seasons = seasons
        self._timed.clear()
        done = False
        for _, passed_over in list(self.rejected):
            self.consider(passed_over)  # more seasons hold more eggs
        try:
            done = self._prove(seasons)
        except OutOfTimeSignal:
            self.short_of_time = True
        bound = self.eggs if done else min(self.eggs, math.ceil(self.low - EPSILON))
        deeds, shared = self.best if self.best is not None else (None, None)
        whole = 0 if bound == math.inf else int(bound)
        return Found(seasons, deeds, shared, whole, done and self.best is not None)

    def reaches(self, seasons: int) -> bool:
        """Whether anything works in so many seasons."""
        try:
            self._first(seasons)
        except OutOfTimeSignal:
            return False
        return self.best is not None

    def _prove(self, seasons: int) -> bool:
        """Improve the best programme and the bound until they meet; True when they do, or nothing is left to find."""
        if self.best is None:
            self._first(seasons)
            if self.best is None and self.rejected and self.max_eggs is not None:
                self._first_that_fits(seasons, self.max_eggs * seasons, self.rejected[0][0].price)
            if self.best is None:
                return False
        tried: list[float] = []
        price = self.best[1].price
        for _ in range(12):
            total, structure_price = self._cheapest(seasons, price)
            tried.append(price)
            if not self.breeding.nursery.cut:
                self.low = max(self.low, total - price * self.risk)
            self.report(self.eggs, self.low)
            if math.ceil(self.low - EPSILON) >= self.eggs:
                return True
            following = structure_price if structure_price is not None else price
            if any(abs(following - old) <= 1e-3 * old for old in tried):
                break
            price = following
        return self._exhaust(seasons, price)

    def _cheapest(self, seasons: int, price: float) -> tuple[float, float | None]:
        """The least cost at a price; and the price that its structure would have by itself."""
        limit = self.eggs - 1 + price * self.risk + EPSILON
        bounds = self._bounds(seasons, price, limit)
        if not self.breeding.nursery.cut:
            self.low = max(self.low, bounds.least() - price * self.risk)
        search = Search(bounds, self._mirrored(), self.tick)
        found: list[float] = []

        def take(total: float, path: Path) -> float | None:
            shared = self.consider(deeds_of(path))
            if shared is not None:
                found.append(shared.price)
            return min(total, self.eggs - 1 + price * self.risk + EPSILON)

        return search.run(take), (found[-1] if found else None)

    def _exhaust(self, seasons: int, price: float) -> bool:
        """Try every structure that could have fewer eggs, at one price."""
        limit = self.eggs - 1 + price * self.risk + EPSILON
        search = Search(self._bounds(seasons, price, limit), self._mirrored(), self.tick)
        search.apart = self.max_eggs is not None

        def take(_total: float, path: Path) -> float | None:
            self.consider(deeds_of(path))
            return self.eggs - 1 + price * self.risk + EPSILON

        search.run(take)
        if self.breeding.nursery.cut:
            return False
        self.low = max(self.low, min(self.eggs, self.doubt))
        return self.doubt >= self.eggs

    def _bounds(self, seasons: int, price: float, limit: float) -> Bounds:
        key = (seasons, price, limit)
        if self._last_bounds is None or self._last_bounds[0] != key:
            self._last_bounds = (key, Bounds(self.breeding, seasons, price, self.certainty, limit, self.tick))
        return self._last_bounds[1]

    def consider(self, deeds: tuple[Deed, ...]) -> Split | None:
        """Share the risk of a structure out, and keep it if it takes fewer eggs than the best so far."""
        key = tuple(sorted((deed.chance for deed in deeds), key=id))
        if key not in self._splits:
            self._splits[key] = split([deed.chance for deed in deeds], self.certainty)
        shared = self._splits[key]
        if shared is not None and shared.eggs < self.eggs:
            own = self._within_limits(deeds, shared)
            if own is not None and own[1].eggs < self.eggs:
                self.best = own
                self.report(self.eggs, self.low)
        return shared

    def _within_limits(self, deeds: tuple[Deed, ...], shared: Split) -> tuple[tuple[Deed, ...], Split] | None:
        """A structure with its risk shared out, within the limits on working life and on eggs a season."""
        if self.max_eggs is None and self.working_life is None:
            free = split([deed.chance for deed in deeds], self.certainty)
            return None if free is None else (deeds, free)
        key = tuple((deed.season, deed.sire, deed.dam, deed.demands, deed.trial) for deed in deeds)
        tried, doubt = self._timed.get(key, (0.0, math.inf))
        found = Timed(None, None, doubt)
        if tried < self.eggs:
            found = in_time(
                self.breeding, deeds, self.seasons, self.working_life, self.max_eggs, self.certainty, self.eggs
            )
            self._timed[key] = (self.eggs, found.doubt)
        self.doubt = min(self.doubt, found.doubt)
        if found.deeds is None or found.split is None:
            # Without the limits it would have been the best so far.
            self.rejected = [entry for entry in self.rejected if entry[1] is not deeds]
            self.rejected = sorted([*self.rejected, (shared, deeds)], key=lambda entry: entry[0].eggs)[:_MOST_REJECTED]
            return None
        return found.deeds, found.split

    def _mirrored(self) -> dict[int, int] | None:
        if self.mirror is None:
            return None
        breeding = self.breeding
        for number in range(len(breeding.kinds)):
            if number not in self.mirror:
                kind = breeding.kinds[number]
                other = breeding.number(attrs.evolve(kind, sex=1 - kind.sex))
                self.mirror[number] = other
                self.mirror[other] = number
        return self.mirror

    # -- a first programme ---------------------------------------------------------------------------------------------

    def _first(self, seasons: int) -> None:
        """A programme to begin with: the cheapest derivations, each hatch counted wherever it is used.

        The kinds looked at are those that cost no more than a limit, which is doubled until a programme is found.
        """
        limit = 32.0
        while self.best is None:
            bounds = self._bounds(seasons, 0.0, limit)
            for price in (0.0, 100.0, 1000.0, 10_000.0, 100_000.0):
                for deeds in _Sketch(bounds, price, self.certainty).programmes():
                    self.consider(deeds)
            # Where something was found that does not fit, what takes more eggs than the seasons hold will not either.
            crowded = self.max_eggs is not None and self._timed and limit > self.max_eggs * seasons
            if crowded or not bounds.cut or limit > _FARTHEST:
                return
            limit *= 2

    def _first_that_fits(self, seasons: int, most: int, price: float) -> None:
        """A programme to begin with where the seasons are crowded: among all that take no more than they hold."""
        until = time.monotonic() + max(0.0, self.deadline - time.monotonic()) / _SHARE_FOR_FITTING

        def tick() -> None:
            if time.monotonic() > until:
                raise OutOfTimeSignal

        def fits(_total: float, path: Path) -> float | None:
            self.consider(deeds_of(path))
            return None if self.best is None else self.eggs - 1 + price * self.risk + EPSILON

        eggs = 1
        try:
            while self.best is None and eggs < most:
                eggs = min(max(2 * eggs, 32), most)
                limit = eggs + price * self.risk + EPSILON
                bounds = Bounds(self.breeding, seasons, price, self.certainty, limit, tick)
                search = Search(bounds, self._mirrored(), tick)
                search.apart = True
                search.run(fits)
        except OutOfTimeSignal:
            self.short_of_time = self.short_of_time or time.monotonic() > self.deadline


class _Sketch:
    """Cheapest derivations by addition, after the bounds are made; hatches of the same pair are then laid together."""

    def __init__(self, bounds: Bounds, price: float, certainty: Fraction) -> None:
        self.bounds = bounds
        self.breeding = bounds.breeding
        self.price = price
        self.certainty = certainty
        self._best: dict[tuple[int, int], tuple[float, int, Arc | None]] = {}

    def programmes(self) -> Iterator[tuple[Deed, ...]]:
        """A few structures, for the pairs of parents that look best in the last season."""
        season = self.bounds.seasons
        wanted = [n for n in self.breeding.target if self.breeding.covered(n) is None]
        first = wanted[0]
        arcs = [arc for _, _, arc in self.bounds.arcs(season, first)]
        for arc in sorted(arcs, key=lambda arc: self._with_parents(season, arc))[:20]:
            deeds = self._laid_out(season, wanted, arc)
            if deeds is not None:
                yield deeds

    def _with_parents(self, season: int, arc: Arc) -> float:
        own = arc.chance.cost(self.price, self.certainty)[0]
        return own + sum(self._value(season - 1, n)[0] for n in arc.parents)

    def _value(self, season: int, kind: int) -> tuple[float, int, Arc | None]:
        if self.breeding.covered(kind) is not None:
            return 0.0, 0, None
        key = (season, kind)
        if key not in self._best:
            self._best[key] = (math.inf, season, None)
            best: tuple[float, int, Arc | None] = (math.inf, season, None)
            if season > 1:
                best = self._value(season - 1, kind)
            if season > 0:
                for _, _, arc in self.bounds.arcs(season, kind):
                    value = self._with_parents(season, arc)
                    if value < best[0]:
                        best = (value, season, arc)
            self._best[key] = best
        return self._best[key]

    def _gives(self, way: Arc, kind: int) -> bool:
        looks = self.breeding.looks_for(way.sire, way.dam, self.breeding.kinds[kind])
        return looks is not None and way.trial is None

    def _laid_out(self, season: int, wanted: list[int], arc: Arc) -> tuple[Deed, ...] | None:
        """Put the matings of a derivation together."""
        breeding = self.breeding
        matings: dict[tuple[int, int, int, Trial | None], tuple[Arc, dict[int, tuple[int, ...]]]] = {}
        needs: list[tuple[int, int, Arc | None]] = [(season, kind, arc) for kind in wanted]
        while needs:
            now, kind, way = needs.pop()
            if breeding.covered(kind) is not None:
                continue
            if way is None or (kind in wanted and kind != wanted[0] and not self._gives(way, kind)):
                value, now, way = self._value(now, kind)
                if way is None or value == math.inf:
                    return None
            looks: tuple[int, ...] | None = way.looks
            if kind in wanted and way.trial is None:
                looks = breeding.looks_for(way.sire, way.dam, breeding.kinds[kind])
            assert looks is not None  # seen to above
            key = (now, way.sire, way.dam, way.trial)
            if key not in matings:
                matings[key] = (way, {})
                needs += [(now - 1, parent, None) for parent in way.parents]
            matings[key][1][kind] = looks
        made = []
        for (now, sire, dam, trial), (_, demands) in matings.items():
            listed = tuple(sorted(demands.items()))
            chance = breeding.hatch(sire, dam, listed) if trial is None else breeding.bred_on_trial(trial, listed)
            if chance is None:
                return None
            made.append(Deed(now, sire, dam, listed, chance, trial))
        return tuple(sorted(made, key=lambda deed: deed.season))
