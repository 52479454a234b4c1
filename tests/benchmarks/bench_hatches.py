"""How fast the counting of chicks is, beside scipy and beside plain enumeration: printed as a Markdown table.

Run by hand, with pinfeather and its `test` extra installed::

    python tests/benchmarks/bench_hatches.py

Every comparison does the same sum twice and stops if the two answers differ; scipy works in floats, pinfeather exactly.
Figures are medians of repeats that take turns, in processor time.  sympy's memory of earlier results is emptied before
each run.
"""

from __future__ import annotations

import gc
import itertools
import math
import platform
import time
from collections.abc import Callable
from fractions import Fraction
from statistics import median
from typing import Any

import numpy
import scipy.stats
import sympy

from pinfeather import chance, chance_of_each, chicks_needed, estimate, goodness_of_fit

Work = Callable[[], Any]
Row = tuple[str, str, str, str]

CLASSES = {"walnut": "9/64", "rose": "3/64", "pea": "3/64", "single": "1/64"}
WANTED = {"walnut": 20, "rose": 10, "pea": 5, "single": 2}


def seconds(work: Work) -> float:
    sympy.core.cache.clear_cache()
    gc.collect()
    start = time.process_time()
    work()
    return time.process_time() - start


def in_turn(*works: Work, repeats: int = 7) -> list[float]:
    times = [[seconds(work) for work in works] for _ in range(repeats + 1)][1:]
    return [median(column) for column in zip(*times, strict=True)]


def same(ours: Any, theirs: Any) -> None:
    if not math.isclose(float(ours), float(theirs), rel_tol=1e-9, abs_tol=1e-12):
        message = f"the answers differ: {float(ours)} and {float(theirs)}"
        raise SystemExit(message)


def row(what: str, beside: str, ours: Work, theirs: Work) -> Row:
    same(ours(), theirs())
    fast, plain = in_turn(ours, theirs)
    return what, f"{1000 * fast:.2f} ms", f"{beside}: {1000 * plain:.2f} ms", f"{plain / fast:.2g}"


# -- the same in the plain way -----------------------------------------------------------------------------------------


def enough_in_scipy(chicks: int) -> float:
    """The multinomial over everything that is too little for some class would be long; so class after class."""
    shares = [float(Fraction(share)) for share in CLASSES.values()]
    left = numpy.zeros(chicks + 1)
    left[chicks] = 1.0
    remaining = 1.0
    for share, want in zip(shares, WANTED.values(), strict=True):
        after = numpy.zeros(chicks + 1)
        for many in range(want, chicks + 1):
            if left[many]:
                counts = numpy.arange(want, many + 1)
                after[many - counts] += left[many] * scipy.stats.binom.pmf(counts, many, share / remaining)
        left, remaining = after, remaining - share
    return float(left.sum())


def every_table(counts: tuple[int, ...], parts: tuple[int, ...]) -> Fraction:
    """The exact test by writing out every table."""
    chicks, total = sum(counts), sum(parts)
    factorials = [math.factorial(n) for n in range(chicks + 1)]

    def weight(table: tuple[int, ...]) -> int:
        ways = factorials[chicks]
        for n, part in zip(table, parts, strict=True):
            ways = ways // factorials[n] * part**n
        return ways

    threshold = weight(counts)
    summed = 0
    for bars in itertools.combinations(range(chicks + len(parts) - 1), len(parts) - 1):
        edges = (-1, *bars, chicks + len(parts) - 1)
        found = weight(tuple(b - a - 1 for a, b in itertools.pairwise(edges)))
        if found <= threshold:
            summed += found
    return Fraction(summed, total**chicks)


def needed_in_scipy(share: float) -> int:
    return int(scipy.stats.nbinom.ppf(0.95, 1, share)) + 1


def searched(counts: tuple[int, ...]) -> float:
    """The four-class example by bisection of the slope, in floats."""
    a, b, c, d = counts
    low, high = 1e-9, 1 - 1e-9
    for _ in range(60):
        t = (low + high) / 2
        if a / (2 + t) - (b + c) / (1 - t) + d / t > 0:
            low = t
        else:
            high = t
    return low


def rows() -> list[Row]:
    t = sympy.Symbol("t")
    linked = [(2 + t) / 4, (1 - t) / 4, (1 - t) / 4, t / 4]
    seen, parts = (30, 14, 10, 6), (9, 3, 3, 1)
    return [
        row(
            "enough of 4 classes, 500 chicks (goal: 50 ms)",
            "class after class, scipy",
            lambda: chance_of_each(CLASSES, WANTED, 500),
            lambda: enough_in_scipy(500),
        ),
        row(
            "exact test, 4 classes, 60 chicks (goal: 1 s)",
            "every table",
            lambda: goodness_of_fit(seen, "9:3:3:1").p_value,
            lambda: every_table(seen, parts),
        ),
        row(
            "chicks needed, 1/4096 (goal: 20 ms)",
            "scipy's negative binomial",
            lambda: chicks_needed("1/4096"),
            lambda: needed_in_scipy(1 / 4096),
        ),
        row(
            "chance of 2,400 or more of 10,000 at 1/4",
            "scipy's binomial",
            lambda: chance("1/4", 10_000, at_least=2400),
            lambda: scipy.stats.binom.sf(2399, 10_000, 0.25),
        ),
        row(
            "estimate of four linked classes, exactly",
            "bisection in floats, the value alone",
            lambda: estimate([125, 18, 20, 34], linked, t).value,
            lambda: searched((125, 18, 20, 34)),
        ),
    ]


def main() -> None:
    print(f"Python {platform.python_version()}, sympy {sympy.__version__}, scipy {scipy.__version__}")
    print()
    print("| what | pinfeather | beside | times as fast |")
    print("| --- | --- | --- | --- |")
    for cells in rows():
        print(f"| {' | '.join(cells)} |")


if __name__ == "__main__":
    main()
