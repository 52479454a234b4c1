"""How fast kinship and inbreeding are: ratios measured in one run, printed as a Markdown table.

Run by hand, with pinfeather and its `test` extra installed and a C compiler at hand::

    python tests/benchmarks/bench_kinship.py

The reference in C stands in `inbreeding.c` beside this file and is compiled first.  Every comparison does the same sum
twice and stops if the answers differ.  Figures are medians of repeats that take turns, in processor time.  "sums" means
the arithmetic on birds that are numbered already, which is what the C functions do; "whole question" means the public
call, exact results made into rationals included.  The flocks are invented: discrete generations out of one set of
founders, C cocks and H hens breeding in each.
"""

from __future__ import annotations

import csv
import ctypes
import datetime
import gc
import heapq
import importlib.metadata
import os
import platform
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from statistics import median
from typing import Any

import networkx
import numpy as np

from pinfeather import Individual, Pedigree, Species, inbreeding, kinship_matrix, read_pedigree
from pinfeather.pedigree.kinship import every_row, sweep
from pinfeather.pedigree.lineage import Lineage
from pinfeather.pedigree.system import System, common_scale, fits_machine_words

TOY = Species("toy fowl")
Row = tuple[str, str, str, str, str]


# -- measuring -------------------------------------------------------------------------------------------------------


def seconds(work: Callable[[], Any]) -> tuple[float, Any]:
    """The time that some work takes, and what comes of it."""
    gc.collect()
    gc.disable()
    try:
        start = time.process_time()
        result = work()
        return time.process_time() - start, result
    finally:
        gc.enable()


def in_turn(*works: Callable[[], Any], repeats: int) -> list[float]:
    """The median time of each piece of work, all of them taking turns after one round to warm up."""
    times: list[list[float]] = [[] for _ in works]
    for turn in range(repeats + 1):
        for own, work in zip(times, works, strict=True):
            taken, result = seconds(work)
            del result
            if turn:
                own.append(taken)
    return [median(own) for own in times]


def row(what: str, ours: float, other: str, ratio: float, goal: float | None = None, *, most: bool = False) -> Row:
    """One line of the table; ``most`` turns the goal from "at least" into "at most"."""
    shown = f"{ratio:,.0f}" if ratio >= 10 else f"{ratio:.2f}"
    if goal is None:
        return what, f"{1000 * ours:,.1f} ms", f"{other}: {shown} times", "", ""
    reached = ratio <= goal if most else ratio >= goal
    wanted = f"{'at most' if most else 'at least'} {goal:,g}"
    return what, f"{1000 * ours:,.1f} ms", f"{other}: {shown} times", wanted, "yes" if reached else "**no**"


# -- flocks ----------------------------------------------------------------------------------------------------------


def flock(birds: int, generations: int, cocks: int, hens: int) -> Pedigree:
    """A closed flock in discrete generations."""
    draw = random.Random(birds + generations)
    founders = [Individual(f"f{number}", "male" if number < cocks else "female") for number in range(cocks + hens)]
    everyone = list(founders)
    males, females = [bird.id for bird in founders[:cocks]], [bird.id for bird in founders[cocks:]]
    chicks = (birds - len(founders)) // generations
    for generation in range(generations):
        pens = [(draw.choice(males), hen) for hen in females]
        pairs = sorted(draw.choice(pens) for _ in range(chicks))
        kept = draw.sample(range(chicks), cocks + hens)
        cockerels = set(kept[:cocks])
        names = [f"{generation}.{number}" for number in range(chicks)]
        for number, (name, (sire, dam)) in enumerate(zip(names, pairs, strict=True)):
            everyone.append(Individual(name, "male" if number in cockerels else "female", sire, dam))
        males = [names[number] for number in kept[:cocks]]
        females = [names[number] for number in kept[cocks:]]
    return Pedigree(TOY, everyone)


def numbered(pedigree: Pedigree) -> tuple[Lineage, Any, Any]:
    """The birds by number, for Python and for C."""
    lineage = pedigree.lineage
    return lineage, np.array(lineage.sires, dtype=np.int32), np.array(lineage.dams, dtype=np.int32)


# -- the ways to do it -----------------------------------------------------------------------------------------------


def sums_of(lineage: Lineage) -> Any:
    """Every bird's inbreeding as a whole number over the scale, without making rationals of them."""
    breeders = lineage.breeders()
    scale = common_scale(lineage, breeders)
    system = System(lineage, [False] * len(lineage.level), False, scale, fits_machine_words(lineage, scale))
    pairs: dict[tuple[int, int], int] = {}
    places = [pairs.setdefault(pair, len(pairs)) for pair in zip(lineage.sires, lineage.dams, strict=True)]
    values, _ = sweep(system, breeders, list(pairs), [])
    return values[places] / scale


class Reference:
    """The functions in C."""

    def __init__(self, folder: str) -> None:
        compiler = shutil.which("cc") or shutil.which("gcc")
        if compiler is None:
            sys.exit("a C compiler is needed for the reference")
        library = Path(folder, "inbreeding.so")
        source = Path(__file__).with_name("inbreeding.c")
        subprocess.run([compiler, "-O2", "-shared", "-fPIC", "-o", str(library), str(source)], check=True)
        self._library = ctypes.CDLL(str(library))

    def inbreeding(self, sires: Any, dams: Any) -> Any:
        found = np.zeros(len(sires))
        self._library.inbreeding_by_tracing(len(sires), _at(sires), _at(dams), _at(found))
        return found

    def matrix(self, sires: Any, dams: Any) -> Any:
        cells = np.zeros((len(sires), len(sires)))
        self._library.kinship_matrix(ctypes.c_long(len(sires)), _at(sires), _at(dams), _at(cells))
        return cells


def _at(array: Any) -> ctypes.c_void_p:
    return ctypes.c_void_p(array.ctypes.data)


def traced_in_python(sires: list[int], dams: list[int]) -> list[float]:
    """Ancestor tracing as a careful programmer would write it in Python, full sibs counted once."""
    found: list[float] = []
    part: list[float] = []
    known: dict[tuple[int, int], float] = {}
    for bird, pair in enumerate(zip(sires, dams, strict=True)):
        part.append(0.5 - 0.25 * sum(-1.0 if parent < 0 else found[parent] for parent in pair))
        if min(pair) >= 0 and pair not in known:
            known[pair] = _traced(bird, sires, dams, part) - 1.0
        found.append(known[pair] if min(pair) >= 0 else 0.0)
    return found


def _traced(bird: int, sires: list[int], dams: list[int], part: list[float]) -> float:
    shares = {bird: 1.0}
    waiting = [-bird]
    total = 0.0
    while waiting:
        ancestor = -heapq.heappop(waiting)
        share = shares.pop(ancestor)
        total += share * share * part[ancestor]
        for parent in (sires[ancestor], dams[ancestor]):
            if parent >= 0:
                if parent not in shares:
                    heapq.heappush(waiting, -parent)
                    shares[parent] = 0.0
                shares[parent] += share / 2
    return total


def remembered_fractions(sires: list[int], dams: list[int]) -> list[Fraction]:
    """The textbook recursion with a memory, in fractions."""
    memory: dict[tuple[int, int], Fraction] = {}

    def kinship(a: int, b: int) -> Fraction:
        if a < 0 or b < 0:
            return Fraction(0)
        first, second = (a, b) if a < b else (b, a)
        if (first, second) not in memory:
            sire, dam = sires[second], dams[second]
            if first == second:
                memory[first, second] = (1 + kinship(sire, dam)) / 2
            else:
                memory[first, second] = (kinship(sire, first) + kinship(dam, first)) / 2
        return memory[first, second]

    return [kinship(sire, dam) for sire, dam in zip(sires, dams, strict=True)]


def by_counting_paths(pedigree: Pedigree, limit: float) -> tuple[dict[str, float], float]:
    """Wright's path method on a networkx graph, as many birds as the time allows, oldest first."""
    back = pedigree.graph.reverse()
    found: dict[str, float] = {}
    start = time.process_time()
    for name in pedigree.lineage.ids:
        bird = pedigree[name]
        total = 0.0
        if bird.sire is not None and bird.dam is not None:
            sire, dam = str(bird.sire), str(bird.dam)
            common = (networkx.descendants(back, sire) | {sire}) & (networkx.descendants(back, dam) | {dam})
            for ancestor in common:
                downs = [[dam]] if dam == ancestor else list(networkx.all_simple_paths(back, dam, ancestor))
                ups = [[sire]] if sire == ancestor else networkx.all_simple_paths(back, sire, ancestor)
                for up in ups:
                    for down in downs:
                        if set(up).isdisjoint(down[:-1]):
                            total += 0.5 ** (len(up) + len(down) - 1) * (1 + found[ancestor])
                        if time.process_time() - start > limit:
                            return found, time.process_time() - start
        found[name] = total
    return found, time.process_time() - start


# -- the comparisons -------------------------------------------------------------------------------------------------


def every_coefficient(reference: Reference, birds: int, generations: int, cocks: int, hens: int) -> list[Row]:
    """All inbreeding coefficients of one flock, against C and against plain Python."""
    pedigree = flock(birds, generations, cocks, hens)
    lineage, sires, dams = numbered(pedigree)
    theirs = reference.inbreeding(sires, dams)
    assert (sums_of(lineage) == theirs).all()
    assert [float(value) for value in inbreeding(pedigree).values()] == list(theirs)
    ours, whole, c = in_turn(
        lambda: sums_of(lineage),
        lambda: inbreeding(pedigree),
        lambda: reference.inbreeding(sires, dams),
        repeats=7,
    )
    assert traced_in_python(lineage.sires, lineage.dams) == list(theirs)
    slow, _ = seconds(lambda: traced_in_python(lineage.sires, lineage.dams))
    what = f"{birds:,} birds, {generations} generations of {cocks} + {hens}"
    goal = 3.0 if generations == 25 else None
    return [
        row(f"{what}: sums", ours, "time of C", ours / c, goal, most=True),
        row(f"{what}: sums", ours, "faster than tracing in Python", slow / ours, 5),
        row(f"{what}: whole question", whole, "time of C", whole / c),
    ]


def bench_every_coefficient(reference: Reference) -> list[Row]:
    flocks = ((10, 10, 40), (25, 10, 40), (10, 50, 200), (25, 50, 200))
    return [line for sizes in flocks for line in every_coefficient(reference, 10_000, *sizes)]


def against_fractions(pedigree: Pedigree, generations: int) -> list[Row]:
    """The same by the recursion of the textbooks."""
    lineage = pedigree.lineage
    exact = inbreeding(pedigree)
    remembered = remembered_fractions(lineage.sires, lineage.dams)
    assert [float(value) for value in remembered] == [float(exact[name]) for name in lineage.ids]
    ours, memo = in_turn(lambda: sums_of(lineage), lambda: remembered_fractions(lineage.sires, lineage.dams), repeats=9)
    what = f"1,000 birds, {generations} generations of 5 + 20: sums"
    return [row(what, ours, "faster than the recursion in fractions", memo / ours, 8)]


def bench_thousand_birds() -> list[Row]:
    pedigree = flock(1000, 10, 5, 20)
    exact = {name: float(value) for name, value in inbreeding(pedigree).items()}
    counted, taken = by_counting_paths(pedigree, 30)
    assert all(abs(exact[name] - value) < 1e-12 for name, value in counted.items())
    ours, whole = in_turn(lambda: sums_of(pedigree.lineage), lambda: inbreeding(pedigree), repeats=9)
    what = "1,000 birds, 10 generations of 5 + 20"
    beyond = f"faster than counting paths with networkx ({len(counted)} birds of {len(pedigree)} in {taken:.0f} s)"
    return [
        row(f"{what}: sums", ours, beyond, taken / ours, 10_000),
        row(f"{what}: whole question", whole, "faster than counting paths, likewise", taken / whole, 10_000),
        *against_fractions(pedigree, 10),
        *against_fractions(flock(1000, 25, 5, 20), 25),
    ]


def hundred_thousand_birds(reference: Reference, generations: int, cocks: int, hens: int) -> Row:
    """A large flock, and how much more memory it takes."""
    pedigree = flock(100_000, generations, cocks, hens)
    lineage, sires, dams = numbered(pedigree)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    ours, whole = in_turn(lambda: sums_of(lineage), lambda: inbreeding(pedigree), repeats=1)
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    what = f"100,000 birds, {generations} generations of {cocks} + {hens}: whole question"
    note = f"peak memory {grown:+,.0f} MB; sums {1000 * ours:,.0f} ms"
    # Tracing in C takes a quarter of a minute for the deep wide flock, and is not exact beyond 26 generations.
    if generations <= 25 and cocks * generations <= 1000:
        c, theirs = seconds(lambda: reference.inbreeding(sires, dams))
        assert (sums_of(lineage) == theirs).all()
        note += f", {ours / c:.2f} times the time of C"
    return what, f"{1000 * whole:,.0f} ms", note, "seconds", "yes" if whole < 10 else "**no**"


def bench_hundred_thousand_birds(reference: Reference) -> list[Row]:
    flocks = ((25, 10, 40), (10, 100, 400), (25, 100, 400), (40, 20, 80))
    return [hundred_thousand_birds(reference, *sizes) for sizes in flocks]


def whole_matrix(reference: Reference, generations: int, cocks: int, hens: int) -> list[Row]:
    """The kinship of all pairs of 10,000 birds: 800 MB."""
    pedigree = flock(10_000, generations, cocks, hens)
    lineage, sires, dams = numbered(pedigree)
    scope = list(range(len(pedigree)))
    scale = common_scale(lineage, scope)
    system = System(lineage, [False] * len(scope), False, scale, fits_machine_words(lineage, scale))
    assert (every_row(system, scope)[0][::101] / scale == reference.matrix(sires, dams)[::101]).all()
    ours, c, floats = in_turn(
        lambda: every_row(system, scope),
        lambda: reference.matrix(sires, dams),
        lambda: kinship_matrix(pedigree).floats(),
        repeats=5,
    )
    what = f"whole matrix of 10,000 birds, {generations} generations of {cocks} + {hens}"
    return [
        row(f"{what}: sums", ours, "time of C", ours / c, 1.5, most=True),
        row(f"{what}: whole question, as floats", floats, "time of C", floats / c),
    ]


def bench_whole_matrix(reference: Reference) -> list[Row]:
    return [line for sizes in ((10, 10, 40), (25, 50, 200)) for line in whole_matrix(reference, *sizes)]


def bench_reading(folder: str) -> list[Row]:
    path = Path(folder, "flock.csv")
    pedigree = flock(100_000, 25, 10, 40)
    with path.open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["id", "sex", "sire", "dam", "hatched", "notes"])
        for number, bird in enumerate(pedigree.individuals):
            day = f"{2000 + pedigree.generation(bird.id)}-04-{1 + number % 28:02d}"
            writer.writerow([bird.id, bird.sex, bird.sire or "", bird.dam or "", day, "ring" if number % 3 else ""])

    def plainly() -> list[dict[str, str]]:
        with path.open(newline="") as file:
            return list(csv.DictReader(file))

    told: list[int] = []
    taken, book = seconds(lambda: read_pedigree(path, TOY, on_progress=lambda done, _: told.append(done)))
    assert len(book) == len(pedigree)
    assert told[-1] == len(pedigree)
    ours, plain = in_turn(lambda: read_pedigree(path, TOY), plainly, repeats=1)
    what = "reading 100,000 birds from CSV, checked, with progress"
    note = f"{ours / plain:.1f} times the time of csv.DictReader, which checks nothing"
    return [(what, f"{1000 * taken:,.0f} ms", note, "a few seconds", "yes" if taken < 6 else "**no**")]


# -- the table -------------------------------------------------------------------------------------------------------


def surroundings() -> str:
    """The machine and the versions, in one line."""
    versions = ", ".join(f"{name} {importlib.metadata.version(name)}" for name in ("networkx", "numpy", "sympy"))
    machine = f"{os.cpu_count()} processors {platform.machine()}, {platform.system()}"
    return f"{datetime.date.today():%d %B %Y}; {machine}; Python {platform.python_version()}, {versions}"


def main() -> None:
    """Run everything and print the table."""
    print("| what | takes | against | goal | reached |")
    print("| --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        reference = Reference(folder)
        benches: tuple[Callable[[], list[Row]], ...] = (
            lambda: bench_every_coefficient(reference),
            bench_thousand_birds,
            lambda: bench_hundred_thousand_birds(reference),
            lambda: bench_whole_matrix(reference),
            lambda: bench_reading(folder),
        )
        for bench in benches:
            for line in bench():
                print("| " + " | ".join(line) + " |", flush=True)
    print()
    print(surroundings())


if __name__ == "__main__":
    main()
