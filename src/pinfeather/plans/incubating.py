"""Room in the incubator: setting the eggs of several steps over the seasons, with at most so many in each season.

Every step has a window of seasons in which its eggs may be set; test matings and pens of look-alikes set them in whole
units, one egg from each bird.  Eggs of single pairs fit if, for every stretch of seasons, those that must be set within
it are no more than it holds (P. Hall 1935), and then they fit if those that are due first are set first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeAlias

import attrs

from pinfeather.plans.timetables import Window

Parts: TypeAlias = "tuple[tuple[int, int], ...]"
"""(season, units set in it), first season first."""

_MOST_TRIES = 20_000


class CutShortSignal(Exception):  # noqa: N818 - it is no error, and never leaves the room
    """More would have to be tried than there is patience for."""


@attrs.frozen
class Stretch:
    """Some steps whose windows lie within a stretch of seasons, and the eggs that it holds."""

    steps: tuple[int, ...]
    holds: int


def stretches(windows: Sequence[Window], most: int) -> list[Stretch]:
    """Every stretch of seasons with the steps that have to be done within it, the narrowest for each set of steps."""
    found: dict[tuple[int, ...], int] = {}
    for first in {window[0] for window in windows}:
        for last in {window[1] for window in windows if window[1] >= first}:
            inside = tuple(at for at, (low, high) in enumerate(windows) if first <= low and high <= last)
            if inside:
                found[inside] = min(found.get(inside, most * (last - first + 1)), most * (last - first + 1))
    return [Stretch(steps, holds) for steps, holds in sorted(found.items())]


def set_out(
    windows: Sequence[Window], units: Sequence[int], numbers: Sequence[int], most: int
) -> tuple[Parts, ...] | None:
    """A way to set so many units of each step within its window; None if there is none."""
    last = max((window[1] for window in windows), default=0)
    return _Setting(windows, units, numbers).place(0, dict.fromkeys(range(1, last + 1), most))


def tidied(
    windows: Sequence[Window], units: Sequence[int], numbers: Sequence[int], most: int, wanted_later: Sequence[bool]
) -> tuple[Parts, ...]:
    """A way to set the eggs with few hatches spread out, each over neighbouring seasons as far as may be.

    Chicks that are wanted later come as late as they can, so that they are young; the rest as early as they can.
    """
    kept = list(windows)
    found = set_out(kept, units, numbers, most)
    assert found is not None  # the caller has made sure
    for at in sorted(range(len(kept)), key=lambda n: windows[n][0]):
        for narrower in _narrower(windows[at], late=wanted_later[at]):
            try:
                trial = set_out([*kept[:at], narrower, *kept[at + 1 :]], units, numbers, most)
            except CutShortSignal:
                continue
            if trial is not None:
                kept[at], found = narrower, trial
                break
    return found


def _narrower(window: Window, *, late: bool) -> Iterator[Window]:
    first, last = window
    for length in range(last - first + 1):
        starts = range(first, last - length + 1)
        for start in reversed(starts) if late else starts:
            yield start, start + length


class _Setting:
    """The steps in whole units are placed one by one, and what is left over must hold the single eggs."""

    def __init__(self, windows: Sequence[Window], units: Sequence[int], numbers: Sequence[int]) -> None:
        self.windows, self.units, self.numbers = windows, units, numbers
        self.whole = sorted((at for at, unit in enumerate(units) if unit > 1), key=lambda at: -units[at])
        self.single = [at for at, unit in enumerate(units) if unit == 1]
        self.tries = 0

    def place(self, position: int, room: dict[int, int]) -> tuple[Parts, ...] | None:
        """The steps from a position on, in the room that is left."""
        # Even if units could be broken up, everything has to fit.
        loose = [(at, self.units[at] * self.numbers[at]) for at in (*self.single, *self.whole[position:])]
        placed = self._due_first(loose, room)
        if placed is None or position == len(self.whole):
            if placed is None:
                return None
            return tuple(placed.get(at, ()) for at in range(len(self.windows)))
        at = self.whole[position]
        unit, (first, last) = self.units[at], self.windows[at]
        for parts in self._ways(self.numbers[at], unit, first, last, room):
            left = dict(room)
            for season, number in parts:
                left[season] -= unit * number
            rest = self.place(position + 1, left)
            if rest is not None:
                return (*rest[:at], parts, *rest[at + 1 :])
        return None

    def _ways(self, number: int, unit: int, season: int, last: int, room: dict[int, int]) -> Iterator[Parts]:
        """Every way to set so many units from a season on, as many as possible first."""
        self.tries += 1
        if self.tries > _MOST_TRIES:
            raise CutShortSignal
        if not number:
            yield ()
            return
        if season > last:
            return
        later = sum(room[other] // unit for other in range(season + 1, last + 1))
        for here in range(min(number, room[season] // unit), max(0, number - later) - 1, -1):
            for rest in self._ways(number - here, unit, season + 1, last, room):
                yield ((season, here), *rest) if here else rest

    def _due_first(self, loose: Sequence[tuple[int, int]], room: dict[int, int]) -> dict[int, Parts] | None:
        """Single eggs: in each season those that are due first."""
        left = {at: eggs for at, eggs in loose if eggs}
        placed: dict[int, Parts] = {}
        for season in sorted(room):
            free = room[season]
            for at in sorted(left, key=lambda n: (self.windows[n][1], n)):
                first, last = self.windows[at]
                if not first <= season <= last:
                    continue
                here = min(left[at], free)
                if here:
                    placed[at] = (*placed.get(at, ()), (season, here))
                    left[at] -= here
                    free -= here
                    if not left[at]:
                        del left[at]
        return None if left else placed
