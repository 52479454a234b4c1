"""Measuring two ways to the same answer side by side, and keeping what was found for the page.

A benchmark asks its fixture ``beside`` to compare: both sides are run once and have to give the same answer; then they
take turns.  pytest-benchmark times our own side, and the yardstick is timed in the set-up of each of its rounds.  What
was found goes into the ``extra_info`` of pytest-benchmark, whence ``speed_page.py`` takes it.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from statistics import median
from typing import Any

Work = Callable[[], Any]


@dataclass(frozen=True)
class Row:
    """A line of a table.  ``times`` is in seconds; ``reached`` is None where no goal was set."""

    what: str
    takes: float | None
    against: str
    found: str
    goal: str = ""
    reached: bool | None = None


@dataclass(frozen=True)
class Point:
    """A place on a curve: how long each way takes, in seconds, at one size."""

    curve: str
    size: int
    times: dict[str, float]
    cells: dict[str, str]


def timed(work: Work, clock: Callable[[], float], *, collecting: bool = False) -> tuple[float, Any]:
    """The time that some work takes, and what comes of it."""
    settle()
    if not collecting:
        gc.disable()
    try:
        start = clock()
        result = work()
        return clock() - start, result
    finally:
        gc.enable()


def settle() -> None:
    """The same start for every round: no garbage, and nothing that sympy remembers of an earlier one."""
    if "sympy" in sys.modules:
        sys.modules["sympy"].core.cache.clear_cache()
    gc.collect()


def shown(seconds: float) -> str:
    """A time in words, to two or three figures."""
    if seconds >= 10:
        return f"{seconds:,.0f} s"
    if seconds >= 1:
        return f"{seconds:.1f} s"
    if seconds >= 0.1:
        return f"{seconds * 1000:.0f} ms"
    if seconds >= 0.001:
        return f"{seconds * 1000:.{1 if seconds >= 0.01 else 2}f} ms"
    return f"{seconds * 1e6:.0f} µs"


def number(ratio: float) -> str:
    return f"{ratio:,.0f}" if ratio >= 9.95 else f"{ratio:.1f}" if ratio >= 1.995 else f"{ratio:.2f}"


def equal(one: Any, other: Any) -> bool:
    return bool(one == other)


class Beside:
    """One benchmark: our own side, and what stands beside it."""

    def __init__(self, benchmark: Any) -> None:
        self._benchmark = benchmark
        self._collecting = not benchmark._disable_gc
        self.rows: list[Row] = []
        self.points: list[Point] = []

    # -- measuring ---------------------------------------------------------------------------------------------------

    def take_turns(self, ours: Work, others: Mapping[str, Work], *, rounds: int) -> dict[str, list[float]]:
        """The times of every side, round by round; our own side is called "pinfeather"."""
        clock = self._benchmark._timer
        times: dict[str, list[float]] = {name: [] for name in others}

        def set_up() -> None:
            for name, work in others.items():
                taken, result = timed(work, clock, collecting=self._collecting)
                del result
                times[name].append(taken)
            settle()

        self._benchmark.pedantic(ours, setup=set_up, rounds=rounds, iterations=1)
        return {"pinfeather": list(self._benchmark.stats.stats.data), **times}

    def once(self, work: Work) -> tuple[float, Any]:
        """The time of a single run, for a yardstick that takes too long to be run again and again."""
        return timed(work, self._benchmark._timer, collecting=self._collecting)

    # -- rows --------------------------------------------------------------------------------------------------------

    def compare(
        self,
        what: str,
        ours: Work,
        against: str,
        theirs: Work,
        *,
        rounds: int = 7,
        same: Callable[[Any, Any], bool] = equal,
        once: bool = False,
        at_least: float | None = None,
        at_most: float | None = None,
    ) -> None:
        """A row: how many times as fast we are; or, with ``at_most``, how many times as long we take."""
        taken, answer = self.once(theirs)
        assert same(ours(), answer), f"the two sides differ: {what}, {against}"
        del answer
        times = self.take_turns(ours, {} if once else {against: theirs}, rounds=rounds)
        mine, other = times["pinfeather"], [taken] if once else times[against]
        self.ratio(what, mine, against, other, at_least=at_least, at_most=at_most)

    def ratio(
        self,
        what: str,
        mine: list[float],
        against: str,
        other: list[float],
        *,
        at_least: float | None = None,
        at_most: float | None = None,
    ) -> None:
        """A row from times that were taken in turns; goals hold for the ratio of the medians."""
        pairs = zip(mine, other * len(mine) if len(other) == 1 else other, strict=True)
        goal, reached = "", None
        faster = sorted(b / a for a, b in pairs)
        value = median(other) / median(mine)
        if at_least is not None:
            goal, reached = f"at least {at_least:,g}", value >= at_least
        if at_most is not None:
            goal, reached = f"at most {at_most:,g}", 1 / value <= at_most
        # Whichever number is above 1 reads best, but a goal and its figure have to be of one kind.
        as_long = at_most is not None or (at_least is None and value < 1)
        words = "times as long" if as_long else "times as fast"
        value, spread = (1 / value, [1 / one for one in reversed(faster)]) if as_long else (value, faster)
        between = f" ({number(spread[0])} to {number(spread[-1])})" if len(spread) > 2 else ""
        self.add(Row(what, median(mine), against, f"{number(value)} {words}{between}", goal, reached))

    def alone(self, what: str, ours: Work, *, rounds: int = 7, under: float, found: str = "") -> float:
        """A row with nothing beside it, and a goal that is a time; how long it takes."""
        ours()
        taken = median(self.take_turns(ours, {}, rounds=rounds)["pinfeather"])
        self.add(Row(what, taken, "", found, f"under {shown(under)}", taken < under))
        return taken

    def add(self, row: Row) -> None:
        self.rows.append(row)

    # -- curves ------------------------------------------------------------------------------------------------------

    def point(
        self,
        curve: str,
        size: int,
        ours: Work,
        others: Mapping[str, Work],
        *,
        rounds: int = 3,
        same: Callable[[Any, Any], bool] = equal,
    ) -> None:
        """A place on a curve, all sides having given the same answer there."""
        answer = ours()
        for name, work in others.items():
            assert same(answer, work()), f"the two sides differ: {curve}, {size}, {name}"
        del answer
        self.add_point(curve, size, self.take_turns(ours, others, rounds=rounds), {})

    def add_point(self, curve: str, size: int, times: Mapping[str, list[float]], cells: Mapping[str, str]) -> None:
        """A place on a curve from times taken in turns; the cells, if any, stand for the size in the table."""
        self.points.append(Point(curve, size, {name: median(own) for name, own in times.items()}, dict(cells)))

    def keep(self) -> None:
        """Hand what was found to pytest-benchmark."""
        self._benchmark.extra_info["rows"] = [asdict(row) for row in self.rows]
        self._benchmark.extra_info["points"] = [asdict(point) for point in self.points]
