"""Counting chicks: exactly here, in floats with scipy there."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
import sympy

from pinfeather import chance, chance_of_each, chicks_needed, estimate, goodness_of_fit
from tests.benchmarks.measuring import Beside
from tests.benchmarks.yardsticks import statistics
from tests.benchmarks.yardsticks.enumeration import every_table

CLASSES = {"walnut": "9/64", "rose": "3/64", "pea": "3/64", "single": "1/64"}
WANTED = {"walnut": 20, "rose": 10, "pea": 5, "single": 2}
SHARES = [float(Fraction(share)) for share in CLASSES.values()]
STEP_BY_STEP = "class after class, scipy"
TABLES = "every table of counts, `fractions`"
PARTS = (9, 3, 3, 1)


def close(ours: Any, theirs: Any) -> bool:
    return math.isclose(float(ours), float(theirs), rel_tol=1e-9, abs_tol=1e-12)


def same_rational(ours: Any, theirs: Fraction) -> bool:
    return Fraction(int(ours.p), int(ours.q)) == theirs


def enough(chicks: int) -> tuple[Any, Any]:
    def ours() -> Any:
        return chance_of_each(CLASSES, WANTED, chicks)

    return ours, lambda: statistics.enough_of_each(SHARES, list(WANTED.values()), chicks)


def seen_of(chicks: int) -> tuple[int, ...]:
    """Counts somewhat off 9 : 3 : 3 : 1."""
    return chicks // 2, chicks // 4, chicks // 6, chicks - chicks // 2 - chicks // 4 - chicks // 6


def bench_enough_of_each(beside: Beside) -> None:
    ours, theirs = enough(500)
    beside.compare("enough of each of 4 classes, 500 chicks", ours, STEP_BY_STEP, theirs, same=close)


def bench_enough_of_each_in_time(beside: Beside) -> None:
    beside.alone("the time of it: enough of each of 4 classes, 500 chicks", enough(500)[0], under=0.050)


def bench_the_exact_test(beside: Beside) -> None:
    counts = (30, 14, 10, 6)
    beside.compare(
        "exact test, 4 classes, 60 chicks",
        lambda: goodness_of_fit(counts, "9:3:3:1").p_value,
        TABLES,
        lambda: every_table(counts, PARTS),
        same=same_rational,
    )


def bench_the_exact_test_in_time(beside: Beside) -> None:
    beside.alone(
        "the time of it: exact test, 4 classes, 60 chicks",
        lambda: goodness_of_fit((30, 14, 10, 6), "9:3:3:1").p_value,
        under=1,
    )


def bench_chicks_needed(beside: Beside) -> None:
    beside.compare(
        "chicks needed for one of 1/4096",
        lambda: chicks_needed("1/4096"),
        "scipy's negative binomial",
        lambda: statistics.needed(1 / 4096),
    )


def bench_chicks_needed_in_time(beside: Beside) -> None:
    beside.alone("the time of it: chicks needed for one of 1/4096", lambda: chicks_needed("1/4096"), under=0.020)


def bench_many_chicks(beside: Beside) -> None:
    beside.compare(
        "chance of 2,400 or more of 10,000 at 1/4",
        lambda: chance("1/4", 10_000, at_least=2400),
        "scipy's binomial",
        lambda: statistics.at_least(10_000, 2400, 0.25),
        same=close,
    )


def bench_an_estimate(beside: Beside) -> None:
    t = sympy.Symbol("t")
    linked = [(2 + t) / 4, (1 - t) / 4, (1 - t) / 4, t / 4]
    beside.compare(
        "estimate of a share from four classes, with the algebraic root",
        lambda: estimate([125, 18, 20, 34], linked, t).value,
        "bisection in floats, the value alone",
        lambda: statistics.by_bisection((125, 18, 20, 34)),
        same=close,
    )


@pytest.mark.parametrize("chicks", [50, 100, 200, 500, 1000])
def bench_growth_of_enough(beside: Beside, chicks: int) -> None:
    ours, theirs = enough(chicks)
    beside.point("enough", chicks, ours, {STEP_BY_STEP: theirs}, same=close)


@pytest.mark.parametrize("chicks", [15, 30, 60, 90])
def bench_growth_of_the_exact_test(beside: Beside, chicks: int) -> None:
    counts = seen_of(chicks)
    beside.point(
        "exact-test",
        chicks,
        lambda: goodness_of_fit(counts, "9:3:3:1").p_value,
        {TABLES: lambda: every_table(counts, PARTS)},
        same=same_rational,
    )
