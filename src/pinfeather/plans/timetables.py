"""Timetables: the seasons between which each step of a structure may be done, so that its birds are there, and young.

A step has a window of seasons.  Its first season comes after the last season of the steps that its birds come of, and
its last season before the first of those that use its chicks.  Where birds grow old, the chicks of a hatch count as
hatched in its first season: the breeder does not know beforehand of which of its seasons the bird kept will be.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TypeAlias

import attrs

from pinfeather.plans.breeding import Breeding
from pinfeather.plans.kinds import Demand
from pinfeather.plans.search import Deed

Window: TypeAlias = "tuple[int, int]"
"""The first and the last season in which eggs of a step may be set."""


@attrs.frozen(eq=False)
class Ties:
    """For each step: the steps that it has to wait for, and the hatches of which its birds come, which must be young.

    The two differ where a bird was put on test: it has to be waited for until the test is done, and is as old as it is.
    """

    waits_for: tuple[tuple[int, ...], ...]
    hatched_by: tuple[tuple[int, ...], ...]


def first_season(deed: Deed) -> int:
    """The first season in which eggs of a step are set."""
    return deed.parts[0][0] if deed.parts else deed.season


def answer(breeding: Breeding, deed: Deed, kind: int) -> Demand | None:
    """What is kept of a step for a kind: just that, or a better one; None if there is nothing that would do."""
    kinds = breeding.kinds
    exactly = next((demand for demand in deed.demands if demand[0] == kind), None)
    return exactly or next((one for one in deed.demands if kinds[one[0]].serves_as(kinds[kind])), None)


def was_on_test(deed: Deed, demand: Demand) -> bool:
    """Whether a bird kept is one that was on test, rather than a chick."""
    return deed.trial is not None and not demand[1]


def supplier(breeding: Breeding, deeds: Sequence[Deed], at: int, parent: int) -> int | None:
    """The step that gives a bird that another one needs: that of the youngest of just that kind, else of a better one.

    None if it comes of the stock.
    """
    if parent in breeding.stock:
        return None
    start = first_season(deeds[at])
    earlier = [n for n, deed in enumerate(deeds) if deed.season < start]
    exactly = [n for n in earlier if any(number == parent for number, _ in deeds[n].demands)]
    fitting = exactly or [n for n in earlier if answer(breeding, deeds[n], parent) is not None]
    return max(fitting, key=lambda n: (born(breeding, deeds, n, parent), -n))


def born(breeding: Breeding, deeds: Sequence[Deed], at: int, kind: int) -> float:
    """The season from which the age of a bird that a step gives counts; one of the stock never grows old."""
    deed = deeds[at]
    given = answer(breeding, deed, kind)
    if deed.trial is None or given is None or not was_on_test(deed, given):
        return first_season(deed)
    hatch = supplier(breeding, deeds, at, deed.trial.suspect)
    return math.inf if hatch is None else born(breeding, deeds, hatch, deed.trial.suspect)


def too_old(breeding: Breeding, deeds: Sequence[Deed], working_life: int) -> bool:
    """Whether any bird is bred from, or put on test, after its working life."""
    for at, deed in enumerate(deeds):
        for parent in deed.parents:
            giver = supplier(breeding, deeds, at, parent)
            if giver is not None and deed.season > born(breeding, deeds, giver, parent) + working_life:
                return True
    return False


def windows(ties: Ties, seasons: int, working_life: int | None, *, spread: bool) -> Iterator[tuple[Window, ...]]:
    """The windows that the steps can have together, each as wide as the others leave it.

    What settles them is the first season of each step.  Unless birds grow old, a first season that could be earlier and
    leaves all others as they are is passed over.  Without spreading, late seasons come first, else early ones.
    """
    waits_for = ties.waits_for
    users = [[n for n, needed in enumerate(waits_for) if at in needed] for at in range(len(waits_for))]
    after = _depths(users)
    order = sorted(range(len(waits_for)), key=lambda at: -after[at])
    first = [0] * len(waits_for)

    def last(at: int) -> int:
        ends = [seasons, *(first[user] - 1 for user in users[at])]
        if working_life is not None:
            ends += [first[hatch] + working_life for hatch in ties.hatched_by[at]]
        return min(ends)

    def begin(position: int) -> Iterator[tuple[Window, ...]]:
        if position == len(order):
            made = tuple((first[at], last(at)) for at in range(len(first)))
            if working_life is not None or not any(_too_late(made, at, waits_for[at]) for at in range(len(made))):
                yield made
            return
        at = order[position]
        low = 1 + max((first[other] for other in waits_for[at]), default=0)
        high = seasons - after[at]
        if working_life is not None:
            high = min([high, *(first[hatch] + working_life for hatch in ties.hatched_by[at])])
        for season in range(low, high + 1) if spread else range(high, low - 1, -1):
            first[at] = season
            yield from begin(position + 1)

    yield from begin(0)


def _too_late(made: Sequence[Window], at: int, waits_for: Sequence[int]) -> bool:
    """Whether a step could begin earlier without anything else changing."""
    return made[at][0] > 1 + max((made[other][1] for other in waits_for), default=0)


def _depths(users: Sequence[Sequence[int]]) -> list[int]:
    """For each step the longest chain of steps that need it."""
    found: dict[int, int] = {}

    def depth(at: int) -> int:
        if at not in found:
            found[at] = max((1 + depth(user) for user in users[at]), default=0)
        return found[at]

    return [depth(at) for at in range(len(users))]
