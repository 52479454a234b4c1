"""What a short script waits for, each time in a fresh Python."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable

import pytest

from tests.benchmarks.measuring import Beside

TIMED = "import time; start = time.process_time(); {}; print(time.process_time() - start)"
IMPORTING = TIMED.format("import pinfeather")
OTHERS = TIMED.format("import attrs, numpy")
SYMPY = TIMED.format("import sympy")
LOADING = f"import sympy; from pinfeather import load_fowl; {TIMED.format('load_fowl()')}"
ANSWERING = TIMED.format(
    "from pinfeather import cross, load_fowl; bird = load_fowl().genotype('R/r+ P/p+'); "
    "str(cross(bird, bird).phenotypes('comb'))"
)


class ChildClock:
    """A clock that stands still but for what a fresh Python prints as its time."""

    def __init__(self) -> None:
        self.total = 0.0

    def __call__(self) -> float:
        return self.total

    def run(self, code: str) -> Callable[[], None]:
        def work() -> None:
            printed = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
            self.total += float(printed)

        return work


CHILD = ChildClock()
in_fresh_pythons = pytest.mark.benchmark(timer=CHILD)


@in_fresh_pythons
def bench_importing(beside: Beside) -> None:
    theirs = CHILD.run(OTHERS)
    beside.compare("`import pinfeather`", CHILD.run(IMPORTING), "`import attrs, numpy`", theirs, rounds=9, at_most=2)


@in_fresh_pythons
def bench_loading_the_catalogue(beside: Beside) -> None:
    what = "`load_fowl()` for the first time, sympy being loaded"
    beside.alone(what, CHILD.run(LOADING), rounds=5, under=0.150)


@in_fresh_pythons
def bench_the_first_answer(beside: Beside) -> None:
    what = "import, catalogue, first cross and its printed looks"
    beside.compare(what, CHILD.run(ANSWERING), "`import sympy` alone", CHILD.run(SYMPY), rounds=5)
