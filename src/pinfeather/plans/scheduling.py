"""Putting the steps of a structure into seasons, so that no season has too many eggs and no bird grows too old.

A structure says which birds each step needs; the season of a step may be any in which they are there.  With a limit on
the eggs of a season the limit enters the sharing of the risk itself: for each season the best chance is worked out for
every number of eggs up to the limit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

import attrs

from pinfeather.plans.breeding import Breeding
from pinfeather.plans.chances import Chance
from pinfeather.plans.search import Deed
from pinfeather.plans.splitting import SLACK, Split, product, split

_MOST_TIMETABLES = 400


def in_time(
    breeding: Breeding,
    deeds: Sequence[Deed],
    seasons: int,
    working_life: int | None,
    max_eggs: int | None,
    certainty: Fraction,
    fewer_than: float,
) -> tuple[tuple[tuple[Deed, ...], Split] | None, bool]:
    """The structure in the seasons that suit it best, and its sharing; and whether all timetables were tried.

    The first is None where none is within the limits and has fewer eggs than asked.
    """
    chances = [deed.chance for deed in deeds]
    free = split(chances, certainty)
    if free is None:
        return None, True
    best: tuple[tuple[Deed, ...], Split] | None = None
    limit = fewer_than
    for tried, at in enumerate(_timetables(breeding, deeds, seasons, working_life)):
        if tried >= _MOST_TIMETABLES:
            return best, False
        shared = free if max_eggs is None or _fits(chances, free.numbers, at, max_eggs) else None
        if shared is None and max_eggs is not None:
            shared = _capped(chances, at, max_eggs, certainty, limit, free)
        if shared is not None and shared.eggs < limit:
            limit = shared.eggs
            moved = tuple(attrs.evolve(deed, season=season) for deed, season in zip(deeds, at, strict=True))
            best = (moved, shared)
            if shared.eggs == free.eggs:
                break
    return best, True


def _timetables(
    breeding: Breeding, deeds: Sequence[Deed], seasons: int, working_life: int | None
) -> Iterator[tuple[int, ...]]:
    """Seasons for the steps in which every parent is there, and none too old."""
    before = [_suppliers(breeding, deeds, at) for at in range(len(deeds))]
    chosen = [0] * len(deeds)
    order = sorted(range(len(deeds)), key=lambda at: deeds[at].season)

    def place(position: int) -> Iterator[tuple[int, ...]]:
        if position == len(order):
            yield tuple(chosen)
            return
        at = order[position]
        earliest = 1 + max((chosen[other] for other in before[at]), default=0)
        latest = seasons - _depth_after(before, at)
        if working_life is not None:
            latest = min([latest, *(chosen[other] + working_life for other in before[at])])
        for season in range(latest, earliest - 1, -1):
            chosen[at] = season
            yield from place(position + 1)

    yield from place(0)


def _suppliers(breeding: Breeding, deeds: Sequence[Deed], at: int) -> list[int]:
    """The steps whose birds a step needs."""
    found = []
    for parent in deeds[at].parents:
        if parent in breeding.stock:
            continue
        earlier = [n for n, deed in enumerate(deeds) if deed.season < deeds[at].season]
        exactly = [n for n in earlier if any(number == parent for number, _ in deeds[n].demands)]
        kind = breeding.kinds[parent]
        found.append(
            exactly[0]
            if exactly
            else next(
                n for n in earlier if any(breeding.kinds[number].serves_as(kind) for number, _ in deeds[n].demands)
            )
        )
    return found


def _depth_after(before: Sequence[Sequence[int]], at: int) -> int:
    """The longest chain of steps that needs this one."""
    return max((1 + _depth_after(before, n) for n, needed in enumerate(before) if at in needed), default=0)


def _fits(chances: Sequence[Chance], numbers: Sequence[int], at: Sequence[int], most: int) -> bool:
    eggs: dict[int, int] = {}
    for chance, number, season in zip(chances, numbers, at, strict=True):
        eggs[season] = eggs.get(season, 0) + chance.unit * number
    return all(total <= most for total in eggs.values())


Table = list[tuple[float, tuple[int, ...]]]
"""By number of eggs: the best logarithm of the chance, and the numbers that give it."""

_NOTHING = (-math.inf, ())


def _capped(
    chances: Sequence[Chance], at: Sequence[int], most: int, certainty: Fraction, fewer_than: float, free: Split
) -> Split | None:
    """The fewest eggs that are certain enough, with at most so many in each season."""
    wanted = math.log(certainty)
    whole: Table = [(0.0, ())]
    order: list[int] = []
    for season in sorted(set(at)):
        table: Table = [(0.0, ())]
        for step in (n for n, own in enumerate(at) if own == season):
            table = _joined(table, _alone(chances[step], most, certainty), most)
            order.append(step)
        whole = _joined(whole, table, int(min(fewer_than - 1, len(whole) + most)))
    for eggs, (log, numbers) in enumerate(whole):
        if log >= wanted - SLACK and eggs < fewer_than:
            placed = [0] * len(chances)
            for step, number in zip(order, numbers, strict=True):
                placed[step] = number
            if log > wanted + SLACK or product(chances, placed) >= certainty:
                return Split(tuple(placed), eggs, free.price, free.bound)
    return None


def _alone(chance: Chance, most: int, certainty: Fraction) -> Table:
    start = chance.least(certainty)
    table: Table = [_NOTHING] * (most + 1)
    if start is not None:
        for number in range(start, most // chance.unit + 1):
            table[chance.unit * number] = (chance.log(number), (number,))
    return table


def _joined(one: Table, other: Table, most: int) -> Table:
    """Both together: for every total, the best way to share it."""
    made: Table = [_NOTHING] * (min(most, len(one) + len(other) - 2) + 1)
    first = [(eggs, entry) for eggs, entry in enumerate(one) if entry[0] > -math.inf]
    second = [(eggs, entry) for eggs, entry in enumerate(other) if entry[0] > -math.inf]
    for eggs, (log, numbers) in first:
        for more, (own, own_numbers) in second:
            if eggs + more < len(made) and log + own > made[eggs + more][0]:
                made[eggs + more] = (log + own, numbers + own_numbers)
    return made
