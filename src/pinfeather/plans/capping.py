"""The fewest eggs that are certain enough when each season holds only so many.

Where the best sharing of the risk does not fit, eggs have to go elsewhere: steps in crowded stretches of seasons take
fewer, others more.  Besides the price of risk each crowded stretch gets a price for its room; at fixed prices the steps
come apart again, and give a lower bound.  Numbers that lie within the gap are tried, with the gap growing egg by egg,
so that the first that fit are the fewest.

References
----------
H. Everett 1963, Operations Research 11:399-417 (the multipliers).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from pinfeather.plans.chances import Chance
from pinfeather.plans.incubating import CutShortSignal, Stretch, set_out, stretches
from pinfeather.plans.splitting import SLACK, certain_enough, near_cheapest
from pinfeather.plans.timetables import Window

_MOST_TRIES = 50_000
_CHEAPEST, _DEAREST = 1e-6, 1e9


class Crowded:
    """Steps in given windows of seasons, each season with room for so many eggs."""

    def __init__(
        self, chances: Sequence[Chance], windows: Sequence[Window], most: int, certainty: Fraction, price: float
    ) -> None:
        self.chances, self.windows, self.most, self.certainty = chances, windows, most, certainty
        self.risk = -math.log(certainty)
        self.stretches = stretches(windows, most)
        self.tries = 0
        self._priced: list[tuple[Stretch, float]] = []
        self._prices = [math.inf] * len(chances)
        self._price = price
        self.least = [chance.least(certainty) or 0 for chance in chances]
        self.bound = self._bound() if self.crowds(self.least) is None else math.inf

    # -- prices --------------------------------------------------------------------------------------------------------

    def _bound(self) -> float:
        """Set the prices, and give the bound that they prove."""
        best = -math.inf
        kept = (self._price, list(self._priced), list(self._prices))
        for _ in range(len(self.stretches) + 1):
            value = self._settle_risk()
            if value > best:
                best, kept = value, (self._price, list(self._priced), list(self._prices))
            if best > self.most * max(last for _, last in self.windows) or not self._settle_room():
                break
        self._price, self._priced, self._prices = kept
        return max(best, float(self.eggs(self.least)))

    def _value(self, price: float) -> tuple[float, list[int]]:
        """The bound at a price of risk, and the numbers that are cheapest."""
        total, numbers = -price * self.risk, []
        for chance, own in zip(self.chances, self._prices, strict=True):
            at = min(price, own)
            cost, number = chance.cost(at, self.certainty)
            total += cost * (price / at)
            numbers.append(number)
        for stretch, own in self._priced:
            total -= self._rent(stretch, own, price) * stretch.holds
        return total, numbers

    def _rent(self, stretch: Stretch, own: float, price: float) -> float:
        """What an egg costs more in a stretch than in the narrowest one around it that has a price."""
        around = [other for larger, other in self._priced if set(larger.steps) > set(stretch.steps)]
        outer = min([price, *around])
        return max(0.0, price / min(own, outer) - price / outer)

    def _settle_risk(self) -> float:
        """Find the price of risk with the best bound."""
        low, high = 0.0, max(self._price, 1.0)
        best, best_price = -math.inf, high

        def enough(price: float) -> bool:
            nonlocal best, best_price
            value, numbers = self._value(price)
            if value > best:
                best, best_price = value, price
            return certain_enough(self.chances, numbers, self.certainty)

        while high < _DEAREST and not enough(high):
            low, high = high, 4 * high
        while high - low > 1e-3 * high and _CHEAPEST < high < _DEAREST:
            middle = (low + high) / 2
            low, high = (low, middle) if enough(middle) else (middle, high)
        self._price = best_price
        return best

    def _settle_room(self) -> bool:
        """Give a price to the stretch that is crowded most, such that the cheapest numbers just fit."""
        numbers = self._value(self._price)[1]
        taken = {stretch.steps for stretch, _ in self._priced}
        crowded = [
            (self.eggs(numbers, stretch.steps) - stretch.holds, stretch)
            for stretch in self.stretches
            if stretch.steps not in taken and all(_nested(stretch.steps, other) for other in taken)
        ]
        excess, stretch = max(crowded, key=lambda entry: entry[0], default=(0, None))
        if stretch is None or excess <= 0:
            return False
        low, high = 0.0, self._price
        while high - low > 1e-3 * high and high > _CHEAPEST:
            middle = (low + high) / 2
            inside = [
                self.chances[at].cost(min(middle, self._prices[at]), self.certainty)[1] if at in stretch.steps else 0
                for at in range(len(numbers))
            ]
            low, high = (middle, high) if self.eggs(inside, stretch.steps) <= stretch.holds else (low, middle)
        self._priced.append((stretch, high))
        for at in stretch.steps:
            self._prices[at] = min(self._prices[at], high)
        return True

    # -- numbers -------------------------------------------------------------------------------------------------------

    def eggs(self, numbers: Sequence[int], steps: Sequence[int] | None = None) -> int:
        """The eggs of so many units of each step, or of some steps."""
        which = range(len(numbers)) if steps is None else steps
        return sum(self.chances[at].unit * numbers[at] for at in which)

    def crowds(self, numbers: Sequence[int]) -> Stretch | None:
        """A stretch that does not hold so many eggs."""
        return next((s for s in self.stretches if self.eggs(numbers, s.steps) > s.holds), None)

    def fits(self, numbers: Sequence[int]) -> bool:
        """Whether so many units of each step can be set."""
        if self.crowds(numbers) is not None:
            return False
        units = [chance.unit for chance in self.chances]
        return set_out(self.windows, units, numbers, self.most) is not None

    def within(self, total: int) -> tuple[int, ...] | None:
        """The fewest eggs that are certain enough and fit, at most so many in all; None if there are no such numbers.

        Raises
        ------
        CutShortSignal
            If there is too much to try.
        """
        gap = total - self.bound + SLACK * (1 + self._price)
        if gap < 0:
            return None
        offers = []
        for chance, own in zip(self.chances, self._prices, strict=True):
            at = min(self._price, own)
            weight = self._price / at
            offers.append([(n, extra * weight) for n, extra in near_cheapest(chance, at, self.certainty, gap / weight)])
        return _Trial(self, offers, total).best(gap)


class _Trial:
    """Going through the numbers near the cheapest."""

    def __init__(self, crowded: Crowded, offers: list[list[tuple[int, float]]], total: int) -> None:
        self.crowded, self.offers, self.total = crowded, offers, total
        self.found: tuple[int, ...] | None = None
        best = [max((crowded.chances[at].log(n) for n, _ in own), default=-math.inf) for at, own in enumerate(offers)]
        self.hope = [sum(best[at:]) for at in range(len(best) + 1)]

    def best(self, gap: float) -> tuple[int, ...] | None:
        """The numbers with the fewest eggs."""
        self._choose([], gap, 0.0)
        return self.found

    def _choose(self, chosen: list[int], spare: float, log: float) -> None:
        crowded, at = self.crowded, len(chosen)
        crowded.tries += 1
        if crowded.tries > _MOST_TRIES:
            raise CutShortSignal
        rest = crowded.least[at:]
        if crowded.eggs([*chosen, *rest]) > self.total or crowded.crowds([*chosen, *rest]) is not None:
            return
        if log + self.hope[at] < -crowded.risk - SLACK:
            return
        if at == len(self.offers):
            if certain_enough(crowded.chances, chosen, crowded.certainty) and crowded.fits(chosen):
                self.found, self.total = tuple(chosen), crowded.eggs(chosen) - 1
            return
        for number, extra in self.offers[at]:
            if extra <= spare:
                more = log + crowded.chances[at].log(number)
                self._choose([*chosen, number], spare - extra, more)


def _nested(one: Sequence[int], other: Sequence[int]) -> bool:
    """Whether two sets of steps lie within each other, or apart."""
    first, second = set(one), set(other)
    return first <= second or second <= first or not first & second
