"""From bounds and search to the best programme for each number of seasons, with a proof or a gap."""

from __future__ import annotations

import contextlib
import math
import time
from collections.abc import Callable
from fractions import Fraction

import attrs

from pinfeather.plans.beams import Watched
from pinfeather.plans.bounds import Bounds
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.chances import Chance
from pinfeather.plans.deriving import Derivations
from pinfeather.plans.scheduling import Timed, in_time
from pinfeather.plans.search import EPSILON, Deed, OutOfTimeSignal, Path, Search, deeds_of
from pinfeather.plans.sketching import Punctual, Sketcher
from pinfeather.plans.splitting import Split, split

_FARTHEST = 1e6
_MOST_REJECTED = 20
_SHARE_FOR_FITTING = 8
"""The part of the time left that goes into finding a first programme that fits crowded seasons."""

_FIRST_ATTEMPT, _WIDENING = 0.35, 0.15
"""Shares of the time for a first attempt at a proof, and for widening the sketch before the next."""

_TOO_MANY = 20_000
"""With more kinds than this a proof is out of reach, and the time is better spent on the sketch."""


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
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.breeding = breeding
        self.certainty = certainty
        self.risk = -math.log(certainty)
        self.clock = clock
        self.deadline = clock() + time_limit
        self.patience = patience
        self._until = self.deadline
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
        self._watched = Watched(breeding, self.tick)
        self.sketcher = Sketcher(breeding, certainty, self.consider, lambda: self.best)
        self._splits: dict[tuple[Chance, ...], Split | None] = {}
        self._timed: dict[object, tuple[float, float]] = {}

    @property
    def eggs(self) -> float:
        """The eggs of the best programme so far."""
        return math.inf if self.best is None else self.best[1].eggs

    def tick(self) -> None:
        """Stop when the time is used up."""
        if self.clock() > self._until:
            raise OutOfTimeSignal

    def solve(self, seasons: int, share: float = 1.0) -> Found:
        """The best programme of at most so many seasons, starting from the best one of fewer.

        It takes no more than a share of the time that is left, except for a first sketch.
        """
        self.low = 1.0
        self.doubt = math.inf
        self.seasons = seasons
        self._timed.clear()
        for _, passed_over in list(self.rejected):
            self.consider(passed_over)  # more seasons hold more eggs
        now = self.clock()
        until = now + share * max(0.0, self.deadline - now)
        self.sketcher.sketch(seasons, thorough=now < until)
        done = self._in_turns(seasons, until)
        self.short_of_time = self.short_of_time or done is None
        bound = self.eggs if done else min(self.eggs, math.ceil(self.low - EPSILON))
        deeds, shared = self.best if self.best is not None else (None, None)
        whole = 0 if bound == math.inf else int(bound)
        return Found(seasons, deeds, shared, whole, bool(done) and self.best is not None)

    def persist(self, seasons: int) -> Found:
        """The same where nothing was found in time: a first programme is sought for a few seconds more."""
        self.deadline = self.clock() + self.patience
        return self.solve(seasons)

    def _in_turns(self, seasons: int, until: float) -> bool | None:
        """Prove; if that takes long, widen the sketch between two attempts.  None if the time does not suffice."""
        now = self.clock()
        first = now + _FIRST_ATTEMPT * max(0.0, until - now)
        for last, attempt in ((first, self._prove), (first + _WIDENING * max(0.0, until - now), self._widen)):
            done = self._attempted(attempt, seasons, last)
            if done is not None:
                return done
        if len(self.breeding.kinds) > _TOO_MANY:
            return self._attempted(self._widen, seasons, until)
        return self._attempted(self._prove, seasons, until)

    def _attempted(self, attempt: Callable[[int], bool | None], seasons: int, until: float) -> bool | None:
        self._until = until
        try:
            return attempt(seasons)
        except OutOfTimeSignal:
            return None

    def _widen(self, seasons: int) -> None:
        """Look for better programmes, without a proof."""
        self.sketcher.widen(seasons, self.tick)

    def sketches(self, seasons: int, seconds: float) -> bool:
        """Whether a sketch of so many seasons is found within some seconds."""
        self.seasons = seasons
        self._attempted(self._widen, seasons, self.clock() + seconds)
        return self.best is not None

    def reaches(self, seasons: int) -> bool:
        """Whether anything works in so many seasons."""
        self.seasons = seasons
        self.sketcher.sketch(seasons, thorough=True)
        if self.best is None:
            self._until = self.deadline
            with contextlib.suppress(OutOfTimeSignal):
                self._first(seasons)
        return self.best is not None

    def _prove(self, seasons: int) -> bool:
        """Improve the best programme and the bound until they meet; True when they do, or nothing is left to find."""
        # What sketches left out does not matter: all structures are gone through below.
        self.doubt = math.inf
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
        search = Punctual(bounds, self._mirrored(), self.tick)
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
        search = Punctual(self._bounds(seasons, price, limit), self._mirrored(), self.tick)
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
            self._last_bounds = (key, Bounds(self._watched, seasons, price, self.certainty, limit, self.tick))
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
            return deeds, shared
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
                for deeds in Derivations(bounds, price, self.certainty).programmes():
                    self.consider(deeds)
            # Where something was found that does not fit, what takes more eggs than the seasons hold will not either.
            crowded = self.max_eggs is not None and self._timed and limit > self.max_eggs * seasons
            if crowded or not bounds.cut or limit > _FARTHEST:
                break
            limit *= 2
        if self.best is None and not self.rejected and bounds.least() < limit:
            self._first_of_all(seasons, bounds.least())

    def _first_of_all(self, seasons: int, least: float) -> None:
        """Where kinds can be had, and no derivation is certain enough: any structure that is, cheap ones first.

        Each step alone costs no more eggs than it takes beside others.
        """

        def found(_total: float, path: Path) -> float | None:
            self.consider(deeds_of(path))
            return None if self.best is None else 0.0

        for times in (2, 4, 8):
            bounds = self._bounds(seasons, 0.0, times * least)
            Punctual(bounds, self._mirrored(), self.tick).run(found)
            if self.best is not None:
                return

    def _first_that_fits(self, seasons: int, most: int, price: float) -> None:
        """A programme to begin with where the seasons are crowded: among all that take no more than they hold."""
        until = self.clock() + max(0.0, self.deadline - self.clock()) / _SHARE_FOR_FITTING

        def tick() -> None:
            if self.clock() > until:
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
            self.short_of_time = self.short_of_time or self.clock() > self.deadline
