"""Who carries it: exact here, beside libraries for chances in general and beside plain fractions.

Every comparison asks for the carriers among all birds.  Network or pedigree are made beforehand, all else counts.
"""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from statistics import median
from typing import Any

import pytest

from pinfeather import Pedigree, genotype_probabilities
from tests.benchmarks.flocks import flock
from tests.benchmarks.measuring import Beside, Row, number, shown
from tests.benchmarks.yardsticks.enumeration import every_assignment, every_branch
from tests.benchmarks.yardsticks.networks import lea_solver, megabytes_of_pyagrum, pgmpy_solver, pyagrum_solver

LARGEST = 2**26
ASSIGNMENTS, BRANCHES = "every assignment, `fractions`", "every branch, `fractions`"
LEA = "Lea, discrete random variables"
PGMPY = "pgmpy, variable elimination"
PYAGRUM = "pyAgrum (C++), Shafer-Shenoy"


def ours(pedigree: Pedigree, arithmetic: str = "exact") -> Callable[[], dict[str, Any]]:
    """The carriers of the mutant allele among all birds, as a piece of work."""
    (locus,) = pedigree.species.loci

    def work() -> dict[str, Any]:
        found = genotype_probabilities(pedigree, locus.symbol, arithmetic=arithmetic, largest_table=LARGEST)
        return found.carriers(locus.symbols[1])

    return work


def same_to_nine_digits(one: dict[str, Any], other: dict[str, Any]) -> bool:
    return one.keys() == other.keys() and all(abs(float(one[name]) - float(other[name])) < 1e-9 for name in one)


def megabytes(pedigree: Pedigree) -> float:
    """The most memory that our own sums hold at once, everything that Python and numpy allot counted."""
    work = ours(pedigree)
    work()
    tracemalloc.start()
    work()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 2**20


# -- beside others -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("against", "plain", "size", "least"),
    [(ASSIGNMENTS, every_assignment, 12, 150), (BRANCHES, every_branch, 12, 1), (BRANCHES, every_branch, 18, 100)],
)
def bench_brute_force(beside: Beside, against: str, plain: Any, size: int, least: float) -> None:
    pedigree = flock("overlap", size, 0.6)
    beside.compare(f"overlap, {size} birds", ours(pedigree), against, lambda: plain(pedigree), rounds=3, at_least=least)


def bench_random_variables(beside: Beside) -> None:
    pedigree = flock("overlap", 12, 0.6)
    solve = lea_solver(pedigree)
    beside.compare("overlap, 12 birds", ours(pedigree), LEA, solve, once=True, at_least=2000)


@pytest.mark.parametrize(
    ("kind", "size", "least"), [("closed", 30, 60), ("line", 30, 60), ("closed", 100, 300), ("overlap", 100, 300)]
)
def bench_pgmpy(beside: Beside, kind: str, size: int, least: float) -> None:
    pedigree = flock(kind, size, 0.6)
    beside.compare(
        f"{kind}, {size} birds",
        ours(pedigree),
        PGMPY,
        pgmpy_solver(pedigree),
        rounds=3,
        once=size > 30,
        same=same_to_nine_digits,
        at_least=least,
    )


@pytest.mark.parametrize(
    ("kind", "size", "least"),
    [
        ("tree", 100, 1),
        ("line", 100, 1),
        ("closed", 100, 1),
        ("closed", 300, 10),
        ("closed", 400, 10),
        ("overlap", 600, 10),
    ],
)
def bench_pyagrum(beside: Beside, kind: str, size: int, least: float) -> None:
    """How hard a net is for a library that strikes off no genotypes first varies much: three flocks of each kind."""
    works = {}
    for seed in (1, 2, 3):
        pedigree = flock(kind, size, 0.6, seed=seed)
        works[seed] = ours(pedigree), pyagrum_solver(pedigree)
        assert same_to_nine_digits(works[seed][0](), works[seed][1]())
    others = {f"{side} {seed}": work for seed, both in works.items() for side, work in zip("ab", both, strict=True)}
    first = others.pop("a 1")
    times = beside.take_turns(first, others, rounds=1 if size > 300 else 5)
    mine = [median(times["pinfeather"]), median(times["a 2"]), median(times["a 3"])]
    ratios = [median(times[f"b {seed}"]) / mine[seed - 1] for seed in (1, 2, 3)]
    found = f"{number(median(ratios))} times as fast ({number(min(ratios))} to {number(max(ratios))})"
    goal, reached = f"at least {least}", median(ratios) >= least
    beside.add(Row(f"{kind}, {size} birds, three flocks", median(mine), PYAGRUM, found, goal, reached))


@pytest.mark.parametrize(("kind", "size"), [("closed", 300), ("overlap", 600)])
def bench_memory(beside: Beside, kind: str, size: int) -> None:
    pedigree = flock(kind, size, 0.6)
    held, grown = megabytes(pedigree), megabytes_of_pyagrum(kind, size, 0.6)
    beside.take_turns(ours(pedigree), {}, rounds=1)
    found = f"{held:.1f} MB against {grown:,.1f} MB"
    reached = grown >= 50 * held
    beside.add(Row(f"{kind}, {size} birds, memory", None, PYAGRUM, found, "a fiftieth", reached))


# -- by itself -----------------------------------------------------------------------------------------------


def bench_floats(beside: Beside) -> None:
    """Goal: at most half of the exact time where tables are large; twelve digits and the same zeros."""
    pedigree = flock("closed", 300, 0.2)
    exact, floats = ours(pedigree)(), ours(pedigree, "float")()
    assert all((exact[name] == 0) is (floats[name] == 0) for name in exact)
    worst = max(abs(floats[n] / float(exact[n]) - 1) for n in exact if exact[n] != 0)
    assert worst < 1e-12
    times = beside.take_turns(ours(pedigree, "float"), {"exact": ours(pedigree)}, rounds=5)
    what = f'closed, 300 birds, 20 % seen, `arithmetic="float"` (relative error {worst:.0e})'
    beside.ratio(what, times["pinfeather"], "the same exactly", times["exact"], at_most=0.5)


@pytest.mark.parametrize(
    ("what", "kind", "options"),
    [
        ("tree", "tree", {}),
        ("line-bred", "line", {}),
        ("closed, on the Z", "closed", {"on_z": True}),
        ("closed, sires DNA-tested", "closed", {"sires_typed": True}),
    ],
)
def bench_large(beside: Beside, what: str, kind: str, options: dict[str, bool]) -> None:
    """Goals: 0.25 seconds for 3,000 birds without many loops, and at most 15 times the time for 300.

    How the founders' alleles were drawn makes a difference, so that three flocks are tried of each kind.
    """
    works = {
        (size, seed): ours(flock(kind, size, 0.6, seed=seed, **options)) for size in (300, 3000) for seed in (1, 2, 3)
    }
    first = works.pop((3000, 1))
    first()
    times = beside.take_turns(first, {str(key): work for key, work in works.items()}, rounds=1)
    large = [median(times["pinfeather"]), median(times["(3000, 2)"]), median(times["(3000, 3)"])]
    small = [median(times[f"(300, {seed})"]) for seed in (1, 2, 3)]
    ratio = median(large) / median(small)
    found = f"{number(ratio)} times as long; the slowest of three flocks {shown(max(large))}"
    reached = median(large) <= 0.25 and ratio <= 15
    beside.add(Row(f"{what}, 3,000 birds", median(large), "300 birds", found, "under 250 ms; at most 15", reached))


@pytest.mark.parametrize(
    ("kind", "size", "seen", "most", "memory"),
    [("closed", 300, 0.6, 0.05, None), ("closed", 300, 0.2, 0.2, 20), ("overlap", 1000, 0.6, 2.0, None)],
)
def bench_loops(beside: Beside, kind: str, size: int, seen: float, most: float, memory: float | None) -> None:
    """Goals in seconds, and for one in megabytes, for flocks with many loops."""
    pedigree = flock(kind, size, seen)
    held = megabytes(pedigree)
    beside.alone(f"{kind}, {size:,} birds, {seen:.0%} seen", ours(pedigree), rounds=3, under=most)
    row = beside.rows.pop()
    goal = row.goal if memory is None else f"{row.goal}, {memory} MB"
    reached = row.reached and (memory is None or held <= memory)
    beside.add(Row(row.what, row.takes, "", f"{held:.1f} MB held", goal, reached))


# -- growth --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("birds", [6, 8, 10, 12])
def bench_growth_of_small_flocks(beside: Beside, birds: int) -> None:
    pedigree = flock("overlap", birds, 0.6)
    others: dict[str, Any] = {
        ASSIGNMENTS: lambda: every_assignment(pedigree),
        LEA: lea_solver(pedigree),
        PGMPY: pgmpy_solver(pedigree),
    }
    if birds > 10:
        del others[LEA]
    beside.point("small-flocks", birds, ours(pedigree), others, rounds=1, same=same_to_nine_digits)


@pytest.mark.parametrize("birds", [30, 100, 300, 1000, 3000])
def bench_growth_of_line_breeding(beside: Beside, birds: int) -> None:
    pedigree = flock("line", birds, 0.6)
    others: dict[str, Any] = {PYAGRUM: pyagrum_solver(pedigree)}
    if birds <= 100:
        others[PGMPY] = pgmpy_solver(pedigree)
    beside.point("line-breeding", birds, ours(pedigree), others, rounds=3, same=same_to_nine_digits)


@pytest.mark.parametrize(
    ("name", "size", "seen", "on_z"),
    [
        ("line", 3000, 0.6, False),
        ("tree", 3000, 0.6, False),
        ("closed, on the Z", 3000, 0.6, True),
        ("closed", 30, 0.6, False),
        ("closed", 100, 0.6, False),
        ("closed", 300, 0.6, False),
        ("closed", 300, 0.2, False),
        ("overlap", 300, 0.6, False),
        ("overlap", 300, 0.2, False),
        ("overlap", 1000, 0.6, False),
    ],
)
def bench_entanglement(beside: Beside, name: str, size: int, seen: float, on_z: bool) -> None:
    """The cost against the entanglement, not against the number of birds."""
    pedigree = flock(name.split(",")[0], size, seen, on_z=on_z)
    (locus,) = pedigree.species.loci
    found: list[Any] = []

    def exactly() -> dict[str, Any]:
        found[:] = [genotype_probabilities(pedigree, locus.symbol, largest_table=LARGEST)]
        return found[0].carriers(locus.symbols[1])

    floats = ours(pedigree, "float")
    assert same_to_nine_digits(exactly(), floats())
    width, largest = found[0].width, found[0].largest_table
    cells = {
        "flock": name,
        "birds": f"{size:,}",
        "seen": f"{seen:.0%}",
        "width": str(width),
        "largest table": f"{largest:,}",
    }
    times = beside.take_turns(exactly, {"in floats": floats}, rounds=1)
    beside.add_point("entanglement", largest, times, cells)
