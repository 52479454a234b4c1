"""Putting the steps of a structure into seasons, so that no season has too many eggs and no bird grows too old.

A structure says which birds each step needs; the seasons of a step may be any between those in which its birds have
come and those in which its chicks are needed.  With a limit on the eggs of a season, a hatch may be spread over several
of them, and the limit enters the sharing of the risk itself.  Where a bird would be too old, or a season too full,
steps are done several times (see ``rehatching``).
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence
from fractions import Fraction

import attrs

from pinfeather.plans.breeding import Breeding
from pinfeather.plans.capping import Crowded
from pinfeather.plans.incubating import CutShortSignal, tidied
from pinfeather.plans.rehatching import Rehatching, Variant
from pinfeather.plans.search import Deed
from pinfeather.plans.splitting import Split, split
from pinfeather.plans.timetables import Ties, Window, too_old, windows

_MOST_TIMETABLES = 2000
_MOST_VARIANTS = 300


@attrs.frozen(eq=False)
class Timed:
    """A structure in seasons that suit it best, with its sharing of the risk; None where nothing fits."""

    deeds: tuple[Deed, ...] | None
    split: Split | None
    doubt: float = math.inf
    """So many eggs might do, for all that was tried; infinite where everything was."""

    @property
    def eggs(self) -> float:
        """The eggs set in all."""
        return math.inf if self.split is None else self.split.eggs


def in_time(
    breeding: Breeding,
    deeds: Sequence[Deed],
    seasons: int,
    working_life: int | None,
    max_eggs: int | None,
    certainty: Fraction,
    fewer_than: float,
) -> Timed:
    """The structure in the seasons that suit it best, and its sharing of the risk, with fewer eggs than so many."""
    free = split([deed.chance for deed in deeds], certainty, fewer_than)
    if free is None:
        return Timed(None, None)
    as_they_are = _set_at_once(deeds, free, max_eggs)
    if as_they_are and (working_life is None or not too_old(breeding, deeds, working_life)):
        return Timed(tuple(deeds), free)
    timing = _Timing(breeding, deeds, seasons, working_life, max_eggs, certainty)
    found = timing.best(free, fewer_than)
    if working_life is None or found.eggs == free.eggs:
        return found
    # A bird might also be hatched again of other parents, which was not tried.  Without birds growing old it need not
    # be: what is needed then is needed at least.
    if max_eggs is None:
        return attrs.evolve(found, doubt=free.eggs)
    ageless = _Timing(breeding, deeds, seasons, None, max_eggs, certainty).best(free, min(fewer_than, found.eggs))
    return attrs.evolve(found, doubt=min(ageless.eggs, ageless.doubt))


def _set_at_once(deeds: Sequence[Deed], shared: Split, most: int | None) -> bool:
    """Whether the eggs fit into the seasons in which the search has put the steps."""
    if most is None:
        return True
    eggs: dict[int, int] = {}
    for deed, number in zip(deeds, shared.numbers, strict=True):
        eggs[deed.season] = eggs.get(deed.season, 0) + deed.chance.unit * number
    return all(total <= most for total in eggs.values())


class _Timing:
    """Tries the ways to do a structure's steps, those that could take the fewest eggs first."""

    def __init__(
        self,
        breeding: Breeding,
        deeds: Sequence[Deed],
        seasons: int,
        working_life: int | None,
        max_eggs: int | None,
        certainty: Fraction,
    ) -> None:
        self.breeding, self.seasons, self.certainty = breeding, seasons, certainty
        self.working_life, self.max_eggs = working_life, max_eggs
        self.ways = Rehatching(breeding, deeds)
        self.found = Timed(None, None)
        self.limit = math.inf
        self.doubt = math.inf

    def best(self, free: Split, fewer_than: float) -> Timed:
        """The best way with fewer eggs than so many."""
        self.limit = fewer_than
        if self.working_life is not None:
            early = self.ways.by_season(self.working_life)
            if early is not None:
                self._try(early)
        counter = itertools.count()
        waiting: list[tuple[int, int, Variant]] = [(free.eggs, next(counter), self.ways.once)]
        known = {self.ways.key(self.ways.once)}
        tried = 0
        while waiting and waiting[0][0] < self.limit:
            eggs, _, variant = heapq.heappop(waiting)
            tried += 1
            if tried > _MOST_VARIANTS:
                self.doubt = min(self.doubt, eggs)
                break
            self._try(variant)
            if self.limit <= eggs:
                break
            for finer in self.ways.finer(variant, by_kind=self.working_life is None):
                key = self.ways.key(finer)
                if key not in known:
                    known.add(key)
                    shared = self._free(finer)
                    if shared is not None:
                        heapq.heappush(waiting, (shared.eggs, next(counter), finer))
        return attrs.evolve(self.found, doubt=self.doubt if self.doubt < self.limit else math.inf)

    def _free(self, variant: Variant) -> Split | None:
        """The sharing of a variant as if there were no limits."""
        deeds = self.ways.done(variant)
        return None if deeds is None else split([deed.chance for deed in deeds], self.certainty, self.limit)

    def _try(self, variant: Variant) -> None:
        """Put a variant into seasons, and keep it if it takes fewer eggs."""
        deeds = self.ways.done(variant)
        free = None if deeds is None else split([deed.chance for deed in deeds], self.certainty, self.limit)
        if deeds is None or free is None:
            return
        ties = self.ways.ties(variant)
        found = self._uncapped(deeds, ties, free) if self.max_eggs is None else self._capped(deeds, ties, free)
        if found is None or found.eggs >= self.limit:
            return
        assert found.deeds is not None  # something was found
        if self.working_life is not None and too_old(self.breeding, found.deeds, self.working_life):
            self.doubt = min(self.doubt, found.eggs)
            return
        self.found, self.limit = found, found.eggs

    def _uncapped(self, deeds: tuple[Deed, ...], ties: Ties, free: Split) -> Timed | None:
        """Every step in one season."""
        at = next(windows(ties, self.seasons, self.working_life, spread=False), None)
        if at is None:
            return None
        moved = (attrs.evolve(deed, season=first) for deed, (first, _) in zip(deeds, at, strict=True))
        return Timed(tuple(moved), free)

    def _capped(self, deeds: tuple[Deed, ...], ties: Ties, free: Split) -> Timed | None:
        """The fewest eggs over all timetables: those with the lowest bound first, the total growing."""
        assert self.max_eggs is not None  # asked by the caller
        chances = [deed.chance for deed in deeds]
        every = windows(ties, self.seasons, self.working_life, spread=True)
        tables = list(itertools.islice(every, _MOST_TIMETABLES + 1))
        if len(tables) > _MOST_TIMETABLES:
            self.doubt = min(self.doubt, free.eggs)
        crowded = [
            one
            for at in tables
            if (one := Crowded(chances, at, self.max_eggs, self.certainty, free.price)).bound < self.limit
        ]
        # Where the sharing without limits fits somewhere, nothing is better.
        found = next(((free.numbers, one) for one in crowded if self._holds(one, free.numbers)), None)
        most = int(min(self.limit - 1, self.max_eggs * self.seasons))
        total = math.ceil(min((one.bound for one in crowded), default=math.inf) - 1e-7) if crowded else most + 1
        step = 1
        while total <= most and found is None:
            limit = total
            for one in crowded:
                numbers = self._within(one, limit, free)
                if numbers is not None:
                    found = (numbers, one)
                    limit = one.eggs(numbers) - 1
            total = min(total + step, most) if total < most else most + 1
            step *= 2
        if found is None:
            return None
        numbers, one = found
        shared = Split(numbers, one.eggs(numbers), free.price, free.bound)
        return Timed(self._set(deeds, ties, one.windows, numbers), shared)

    def _holds(self, one: Crowded, numbers: tuple[int, ...]) -> bool:
        try:
            return one.fits(numbers)
        except CutShortSignal:
            return False

    def _within(self, one: Crowded, total: int, free: Split) -> tuple[int, ...] | None:
        try:
            return one.within(total)
        except CutShortSignal:
            self.doubt = min(self.doubt, max(free.eggs, math.ceil(one.bound - 1e-7)))
            return None

    def _set(self, deeds: Sequence[Deed], ties: Ties, at: Sequence[Window], numbers: Sequence[int]) -> tuple[Deed, ...]:
        """The steps with their eggs set within their windows."""
        assert self.max_eggs is not None  # asked by the caller
        units = [deed.chance.unit for deed in deeds]
        used = {giver for own in ties.waits_for for giver in own}
        later = [n in used for n in range(len(deeds))]
        placed = tidied(at, units, numbers, self.max_eggs, later)
        return tuple(
            attrs.evolve(deed, season=parts[-1][0], parts=parts if len(parts) > 1 else ())
            for deed, parts in zip(deeds, placed, strict=True)
        )
