"""Inbreeding and kinship: "sums" is the arithmetic on birds that are numbered already, which is what C does too.

"Whole question" is the public call, exact results made into rationals included.
"""

from __future__ import annotations

import resource
from statistics import median
from typing import Any

import numpy as np
import pytest

from pinfeather import inbreeding, kinship_matrix
from pinfeather.pedigree.lineage import Lineage
from pinfeather.pedigree.relatedness import every_row, sweep
from pinfeather.pedigree.system import System, common_scale, fits_machine_words
from tests.benchmarks.flocks import generations
from tests.benchmarks.measuring import Beside, Row, shown
from tests.benchmarks.yardsticks.relations import by_counting_paths, reference, remembered, traced

IN_C = "tracing in C"
TRACED = "tracing in Python, floats"
RECURSION = "recursion with a memory, `fractions`"
PATHS = "counting paths with networkx"


def numbered(lineage: Lineage) -> tuple[Any, Any]:
    """The parents by number, for C."""
    return np.array(lineage.sires, dtype=np.int32), np.array(lineage.dams, dtype=np.int32)


def sums_of(lineage: Lineage) -> Any:
    """Every bird's inbreeding as a whole number over the scale, without making rationals of them."""
    breeders = lineage.breeders()
    scale = common_scale(lineage, breeders)
    system = System(lineage, [False] * len(lineage.level), False, scale, fits_machine_words(lineage, scale))
    pairs: dict[tuple[int, int], int] = {}
    places = [pairs.setdefault(pair, len(pairs)) for pair in zip(lineage.sires, lineage.dams, strict=True)]
    values, _ = sweep(system, breeders, list(pairs), [])
    return values[places] / scale


def same_floats(ours: Any, theirs: Any) -> bool:
    """Equal to the last bit."""
    mine = [float(value) for value in (ours.values() if isinstance(ours, dict) else ours)]
    return mine == [float(value) for value in theirs]


def same_as_far_as_counted(exact: dict[str, Any], counted: dict[str, float]) -> bool:
    return bool(counted) and all(abs(float(exact[name]) - value) < 1e-12 for name, value in counted.items())


# -- ten thousand birds --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("number", "cocks", "hens"), [(10, 10, 40), (25, 10, 40), (10, 50, 200), (25, 50, 200)])
def bench_ten_thousand(beside: Beside, number: int, cocks: int, hens: int) -> None:
    pedigree = generations(10_000, number, cocks, hens)
    lineage = pedigree.lineage
    sires, dams = numbered(lineage)
    what = f"10,000 birds, {number} generations of {cocks} + {hens}"
    theirs = reference().inbreeding(sires, dams)
    slow, answer = beside.once(lambda: traced(lineage.sires, lineage.dams))
    assert same_floats(sums_of(lineage), theirs)
    assert same_floats(inbreeding(pedigree), theirs)
    assert same_floats(theirs, answer)
    in_c, whole = IN_C, "whole question"
    times = beside.take_turns(
        lambda: sums_of(lineage),
        {in_c: lambda: reference().inbreeding(sires, dams), whole: lambda: inbreeding(pedigree)},
        rounds=7,
    )
    beside.ratio(f"{what}: sums", times["pinfeather"], in_c, times[in_c], at_most=3)
    beside.ratio(f"{what}: sums", times["pinfeather"], TRACED, [slow], at_least=5)
    beside.ratio(f"{what}: whole question", times[whole], TRACED, [slow])
    ratio = median(times[whole]) / median(times[in_c])
    beside.add(Row(f"{what}: whole question", median(times[whole]), in_c, f"{ratio:.1f} times as long"))


# -- a thousand birds ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [10, 25])
def bench_recursion(beside: Beside, number: int) -> None:
    lineage = generations(1000, number, 5, 20).lineage
    beside.compare(
        f"1,000 birds, {number} generations of 5 + 20: sums",
        lambda: sums_of(lineage),
        RECURSION,
        lambda: remembered(lineage.sires, lineage.dams),
        rounds=9,
        same=same_floats,
        at_least=8,
    )


def bench_counting_paths(beside: Beside) -> None:
    pedigree = generations(1000, 10, 5, 20)
    what = "1,000 birds, 10 generations of 5 + 20"
    taken, counted = beside.once(lambda: by_counting_paths(pedigree, limit=20.0))
    assert same_as_far_as_counted(inbreeding(pedigree), counted)
    times = beside.take_turns(lambda: sums_of(pedigree.lineage), {"whole": lambda: inbreeding(pedigree)}, rounds=9)
    against = f"{PATHS}, given up after {taken:.0f} s at {len(counted)} birds"
    for words, own in (("sums", times["pinfeather"]), ("whole question", times["whole"])):
        ratio = taken / median(own)
        reached = ratio >= 10_000
        beside.add(
            Row(
                f"{what}: {words}",
                median(own),
                against,
                f"more than {ratio:,.0f} times as fast",
                "at least 10,000",
                reached,
            )
        )


# -- large flocks --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("number", "cocks", "hens"), [(25, 10, 40), (10, 100, 400), (25, 100, 400), (40, 20, 80)])
def bench_a_hundred_thousand(beside: Beside, number: int, cocks: int, hens: int) -> None:
    """Tracing in C takes a quarter of a minute for the deep wide flock, and is not exact beyond 26 generations."""
    pedigree = generations(100_000, number, cocks, hens)
    lineage = pedigree.lineage
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    sums, found = beside.once(lambda: sums_of(lineage))
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    notes = [f"sums {shown(sums)}", f"peak memory {grown:+,.0f} MB"]
    if number <= 25 and cocks * number <= 1000:
        taken, theirs = beside.once(lambda: reference().inbreeding(*numbered(lineage)))
        assert (found == theirs).all()
        notes.append(f"sums {sums / taken:.2f} times as long as C")
    del found
    what = f"100,000 birds, {number} generations of {cocks} + {hens}: whole question"
    (whole,) = beside.take_turns(lambda: inbreeding(pedigree), {}, rounds=1)["pinfeather"]
    beside.add(Row(what, whole, "", "; ".join(notes), "under 10 s", whole < 10))


@pytest.mark.parametrize(("number", "cocks", "hens"), [(10, 10, 40), (25, 50, 200)])
def bench_the_whole_matrix(beside: Beside, number: int, cocks: int, hens: int) -> None:
    """The kinship of all pairs of 10,000 birds: 800 MB."""
    pedigree = generations(10_000, number, cocks, hens)
    lineage = pedigree.lineage
    sires, dams = numbered(lineage)
    scope = list(range(len(pedigree)))
    scale = common_scale(lineage, scope)
    system = System(lineage, [False] * len(scope), False, scale, fits_machine_words(lineage, scale))
    assert (every_row(system, scope)[0][::101] / scale == reference().matrix(sires, dams)[::101]).all()
    in_c, whole = "two loops in C", "whole question"
    times = beside.take_turns(
        lambda: every_row(system, scope),
        {
            in_c: lambda: reference().matrix(sires, dams),
            whole: lambda: kinship_matrix(pedigree).floats(),
        },
        rounds=5,
    )
    what = f"whole matrix of 10,000 birds, {number} generations of {cocks} + {hens}"
    beside.ratio(f"{what}: sums", times["pinfeather"], in_c, times[in_c], at_most=1.5)
    ratio = median(times[whole]) / median(times[in_c])
    beside.add(Row(f"{what}: whole question, as floats", median(times[whole]), in_c, f"{ratio:.1f} times as long"))


# -- growth --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("birds", [100, 300, 1000, 3000, 10_000])
def bench_growth_of_inbreeding(beside: Beside, birds: int) -> None:
    """Ten generations, a fortieth of the birds breeding in each."""
    breeding = birds // 40
    pedigree = generations(birds, 10, max(1, breeding // 5), breeding - max(1, breeding // 5))
    lineage = pedigree.lineage
    others = {TRACED: lambda: traced(lineage.sires, lineage.dams)}
    if birds <= 1000:
        others[RECURSION] = lambda: remembered(lineage.sires, lineage.dams)
    same = lambda ours, theirs: [float(ours[name]) for name in lineage.ids] == [float(v) for v in theirs]  # noqa: E731
    beside.point("inbreeding", birds, lambda: inbreeding(pedigree), others, same=same)


@pytest.mark.parametrize("depth", [2, 4, 6, 8, 10])
def bench_growth_of_paths(beside: Beside, depth: int) -> None:
    """One cock and three hens a generation, ten chicks in each: the paths double and double again."""
    pedigree = generations(4 + 10 * depth, depth, 1, 3)
    others = {PATHS: lambda: by_counting_paths(pedigree)}
    beside.point("paths", depth, lambda: inbreeding(pedigree), others, same=same_as_far_as_counted)
