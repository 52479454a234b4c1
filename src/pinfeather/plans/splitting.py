"""Sharing the risk of a programme out among its steps, so that the eggs are fewest.

Each step has a chance that grows with its eggs; the product must reach the certainty asked.  With one price for risk
(a Lagrange multiplier) the steps come apart: each takes the number that is cheapest at that price.  What the price
gives is a lower bound for any sharing, and only numbers that lie within the gap between that bound and the best sharing
known can do better; those few are tried out.

References
----------
H. Everett 1963, Operations Research 11:399-417 (the multiplier); B. Fox 1966, Management Science 13:210-216 (one unit
at a time where it gains most).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from fractions import Fraction

import attrs

from pinfeather.plans.chances import Chance

SLACK = 1e-9
"""Floats nearer to each other than this are compared again exactly."""


@attrs.frozen
class Split:
    """The number chosen for each step, the eggs, the price of risk that goes with it, and the bound that it proves."""

    numbers: tuple[int, ...]
    eggs: int
    price: float
    bound: float


def certain_enough(chances: Sequence[Chance], numbers: Sequence[int], certainty: Fraction) -> bool:
    """Whether the exact chances multiply to at least the certainty."""
    total = sum(chance.log(number) for chance, number in zip(chances, numbers, strict=True))
    wanted = math.log(certainty)
    if total > wanted + SLACK:
        return True
    if total < wanted - SLACK:
        return False
    return product(chances, numbers) >= certainty


def product(chances: Sequence[Chance], numbers: Sequence[int]) -> Fraction:
    """The exact chance that all steps succeed."""
    whole = Fraction(1)
    for chance, number in zip(chances, numbers, strict=True):
        whole *= chance.exact(number)
    return whole


def split(chances: Sequence[Chance], certainty: Fraction, fewer_than: float = math.inf) -> Split | None:
    """The fewest eggs with which all steps succeed with the certainty; None if not fewer than so many will do."""
    if not chances:
        return Split((), 0, 0.0, 0.0)
    if any(chance.least(certainty) is None for chance in chances):
        return None
    if sum(math.log(chance.ceiling) for chance in chances) < math.log(certainty) - SLACK:
        return None
    price, bound, numbers = _best_price(chances, certainty)
    if numbers is None or bound > fewer_than - 1 + SLACK:
        return None
    numbers = _trimmed(chances, numbers, certainty)
    eggs = _eggs(chances, numbers)
    better = _within(chances, certainty, price, min(eggs, fewer_than) - 1)
    if better is not None:
        numbers, eggs = better, _eggs(chances, better)
    return Split(tuple(numbers), eggs, price, bound) if eggs < fewer_than else None


def _eggs(chances: Sequence[Chance], numbers: Sequence[int]) -> int:
    return sum(chance.unit * number for chance, number in zip(chances, numbers, strict=True))


def _best_price(chances: Sequence[Chance], certainty: Fraction) -> tuple[float, float, list[int] | None]:
    """The price with the best bound, the bound, and numbers that are certain enough."""
    risk = -math.log(certainty)
    low, high = 0.0, 64.0
    best, best_price = -math.inf, 0.0
    enough: list[int] | None = None

    def at(price: float) -> bool:
        nonlocal best, best_price, enough
        found = [chance.cost(price, certainty) for chance in chances]
        value = sum(cost for cost, _ in found) - price * risk
        if value > best:
            best, best_price = value, price
        numbers = [number for _, number in found]
        if certain_enough(chances, numbers, certainty):
            if enough is None or _eggs(chances, numbers) <= _eggs(chances, enough):
                enough = numbers
            return True
        return False

    while not at(high):
        low, high = high, 4 * high
        if high > 1e12:
            return best_price, best, enough
    while high - low > 1e-4 * high:
        middle = (low + high) / 2
        low, high = (low, middle) if at(middle) else (middle, high)
    return best_price, best, enough


def _trimmed(chances: Sequence[Chance], numbers: Sequence[int], certainty: Fraction) -> list[int]:
    """Take units away, the dearest first, while the certainty is kept."""
    kept = list(numbers)
    for at in sorted(range(len(kept)), key=lambda n: -chances[n].unit):
        while kept[at] > 1:
            kept[at] -= 1
            if not certain_enough(chances, kept, certainty):
                kept[at] += 1
                break
    return kept


def _within(chances: Sequence[Chance], certainty: Fraction, price: float, most: float) -> list[int] | None:
    """Numbers with at most so many eggs that are certain enough, the fewest eggs first; None if there are none."""
    risk = -math.log(certainty)
    gap = most - (sum(chance.cost(price, certainty)[0] for chance in chances) - price * risk) + SLACK * (1 + price)
    if gap < 0:
        return None
    windows = [near_cheapest(chance, price, certainty, gap) for chance in chances]
    # For a total of eggs only the numbers with the best chance matter; those cost least at the price too.
    table: dict[int, tuple[float, float, tuple[int, ...]]] = {0: (0.0, 0.0, ())}
    for chance, window in zip(chances, windows, strict=True):
        made: dict[int, tuple[float, float, tuple[int, ...]]] = {}
        for (eggs, (log, extra, numbers)), (number, more) in itertools.product(table.items(), window):
            total, own = eggs + chance.unit * number, log + chance.log(number)
            if total <= most and extra + more <= gap and (total not in made or own > made[total][0]):
                made[total] = (own, extra + more, (*numbers, number))
        table = made
    for eggs, (log, _, numbers) in sorted(table.items()):
        if log >= -risk - SLACK:
            if certain_enough(chances, numbers, certainty):
                return list(numbers)
            # So near that floats cannot tell which numbers are best.
            other = _tried_out(chances, windows, certainty, eggs, gap)
            if other is not None:
                return other
    return None


def _tried_out(
    chances: Sequence[Chance],
    windows: Sequence[list[tuple[int, float]]],
    certainty: Fraction,
    eggs: int,
    gap: float,
) -> list[int] | None:
    """Numbers from the windows with exactly so many eggs that are certain enough, every one tried; None if none is."""
    risk = -math.log(certainty)

    def choose(at: int, chosen: list[int], left: int, spare: float, log: float) -> list[int] | None:
        if log < -risk - SLACK or left < 0:
            return None
        if at == len(windows):
            return chosen if left == 0 and certain_enough(chances, chosen, certainty) else None
        for number, extra in windows[at]:
            if extra <= spare:
                rest = left - chances[at].unit * number
                found = choose(at + 1, [*chosen, number], rest, spare - extra, log + chances[at].log(number))
                if found is not None:
                    return found
        return None

    return choose(0, [], eggs, gap, 0.0)


def near_cheapest(chance: Chance, price: float, certainty: Fraction, gap: float) -> list[tuple[int, float]]:
    """The numbers whose cost is within the gap of the cheapest, with what they cost more."""
    cheapest, at = chance.cost(price, certainty)
    start = chance.least(certainty)
    assert start is not None  # the caller has asked
    found = [(at, 0.0)]
    for way in (-1, 1):
        number = at + way
        most = cheapest + gap + price * math.log(chance.ceiling)
        while number >= start and chance.unit * number <= most:
            extra = chance.value(number, price) - cheapest
            if extra <= gap:
                found.append((number, max(extra, 0.0)))
            elif chance.concave:
                break
            number += way
    return sorted(found)
