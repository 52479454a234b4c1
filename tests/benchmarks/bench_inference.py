"""How fast inference is: ratios measured in one run, printed as Markdown tables.

Run by hand, with pinfeather and its `test` extra installed::

    python tests/benchmarks/bench_inference.py

pgmpy and pyAgrum, two libraries for Bayesian networks in general, are measured beside it where they are installed; both
compute with floats, pyAgrum in C++.  Every comparison asks for the carriers among all birds and stops if two answers
differ by more than 1e-9.  Times are medians of repeats that take turns, in processor time: network or pedigree are made
beforehand, everything else counts.  The flocks are those of `simulated_flocks.py`.
"""

from __future__ import annotations

import datetime
import functools
import gc
import importlib.metadata
import importlib.util
import itertools
import os
import platform
import subprocess
import sys
import time
import tracemalloc
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from statistics import median
from typing import Any

from simulated_flocks import flock

from pinfeather import Pedigree, genotype_probabilities

Row = tuple[str, ...]
GENOTYPES = ((0, 0), (0, 1), (1, 1))
LARGEST = 2**26
INSTALLED = {name for name in ("pgmpy", "pyagrum") if importlib.util.find_spec(name)}


# -- measuring -------------------------------------------------------------------------------------------------------


def in_turn(*works: Callable[[], Any], repeats: int) -> list[float]:
    """The median time of each piece of work, all of them taking turns after one round to warm up."""
    times: list[list[float]] = [[] for _ in works]
    for turn in range(repeats + 1):
        for own, work in zip(times, works, strict=True):
            gc.collect()
            gc.disable()
            start = time.process_time()
            work()
            taken = time.process_time() - start
            gc.enable()
            if turn or repeats == 0:
                own.append(taken)
    return [median(own) for own in times]


def shown(taken: float) -> str:
    """A time in milliseconds, to two or three figures."""
    number = taken * 1000
    return f"{number:,.0f} ms" if number >= 100 else f"{number:.1f} ms"


def times(ratio: float) -> str:
    return f"{ratio:,.0f} times" if ratio >= 10 else f"{ratio:.1f} times"


def row(what: str, ours: float, other: str, found: str, goal: str, reached: bool) -> Row:
    return what, shown(ours), f"{other}: {found}", goal, said(reached)


def said(reached: bool) -> str:
    return "yes" if reached else "**no**"


def megabytes(kind: str, size: int, seen: float) -> float:
    """The most memory that our own sums hold at once, everything that Python and numpy allot counted."""
    work = ours(flock(kind, size, seen))
    work()
    tracemalloc.start()
    work()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 2**20


def megabytes_of_pyagrum(*case: Any) -> float:
    """By how much the peak of a fresh process grows while pyAgrum works out its first answer."""
    command = [sys.executable, __file__, "--memory", *map(str, case)]
    return float(subprocess.run(command, capture_output=True, text=True, check=True).stdout) / 1024


def report_memory(kind: str, size: str, seen: str) -> None:
    """Print it in kilobytes; needs the /proc of Linux, where writing a 5 sets the peak back to what is held now."""
    solve = pyagrum_solver(flock(kind, int(size), float(seen)))
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
    before = peak_in_kilobytes()
    solve()
    print(peak_in_kilobytes() - before)


def peak_in_kilobytes() -> int:
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM"))


# -- the same question, asked in several ways -------------------------------------------------------------------------


def ours(pedigree: Pedigree, arithmetic: str = "exact") -> Callable[[], dict[str, Any]]:
    """The carriers of the mutant allele among all birds, as a piece of work."""
    (locus,) = pedigree.species.loci

    def work() -> dict[str, Any]:
        found = genotype_probabilities(pedigree, locus.symbol, arithmetic=arithmetic, largest_table=LARGEST)
        return found.carriers(locus.symbols[1])

    return work


def width_and_table(pedigree: Pedigree) -> tuple[int, int]:
    found = genotype_probabilities(pedigree, pedigree.species.loci[0].symbol, largest_table=LARGEST)
    return found.width, found.largest_table


def mutant(pedigree: Pedigree) -> str:
    return pedigree.species.loci[0].name


def agree(one: dict[str, Any], other: dict[str, Any]) -> None:
    assert one.keys() == other.keys()
    assert all(abs(float(one[name]) - float(other[name])) < 1e-9 for name in one)


def chance_table(dtype: type) -> list[list[Any]]:
    """The chance of each genotype of a chick, for the nine pairs of parents' genotypes, dam's running fastest."""
    table = [[dtype(0)] * 9 for _ in range(3)]
    for column, (sire, dam) in enumerate(itertools.product(GENOTYPES, repeat=2)):
        for gametes in itertools.product(sire, dam):
            table[sum(gametes)][column] += dtype(1) / 4
    return table


def read(pedigree: Pedigree) -> list[tuple[Any, Any, tuple[int, ...]]]:
    """For each bird the numbers of its parents, and the genotypes that fit its look."""
    at = {name: number for number, name in enumerate(pedigree.ids)}
    steps = []
    for bird in pedigree.individuals:
        look = bird.shows.get(mutant(pedigree))
        fits = (0, 1, 2) if look is None else (2,) if look == mutant(pedigree) else (0, 1)
        steps.append((at.get(bird.sire), at.get(bird.dam), fits))
    return steps


FOUNDER = (Fraction(1, 4), Fraction(1, 2), Fraction(1, 4))


def every_assignment(pedigree: Pedigree) -> dict[str, Fraction]:
    """All assignments of genotypes that fit the looks, one after the other, in plain fractions."""
    by_pair = list(zip(*chance_table(Fraction), strict=True))
    steps = read(pedigree)
    carrying = [Fraction(0)] * len(steps)
    whole = Fraction(0)
    for held in itertools.product(*(fits for _, _, fits in steps)):
        weight = Fraction(1)
        for genotype, (sire, dam, _) in zip(held, steps, strict=True):
            weight *= (FOUNDER if sire is None else by_pair[3 * held[sire] + held[dam]])[genotype]
        if weight:
            whole += weight
            for number, genotype in enumerate(held):
                if genotype:
                    carrying[number] += weight
    return {name: share / whole for name, share in zip(pedigree.ids, carrying, strict=True)}


def every_branch(pedigree: Pedigree) -> dict[str, Fraction]:
    """The same, bird by bird: what the first birds cannot be together is not followed any further."""
    by_pair = list(zip(*chance_table(Fraction), strict=True))
    steps = read(pedigree)
    held = [0] * len(steps)
    carrying = [Fraction(0)] * len(steps)

    def walk(number: int, weight: Fraction) -> Fraction:
        if number == len(steps):
            return weight
        sire, dam, fits = steps[number]
        own = FOUNDER if sire is None else by_pair[3 * held[sire] + held[dam]]
        total = Fraction(0)
        for genotype in fits:
            if own[genotype]:
                held[number] = genotype
                below = walk(number + 1, weight * own[genotype])
                total += below
                if genotype:
                    carrying[number] += below
        return total

    whole = walk(0, Fraction(1))
    return {name: share / whole for name, share in zip(pedigree.ids, carrying, strict=True)}


def pgmpy_solver(pedigree: Pedigree) -> Callable[[], dict[str, float]]:
    """Variable elimination, bird by bird; a look is a node of its own."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    model = DiscreteBayesianNetwork()
    evidence = {}
    for bird in pedigree.individuals:
        model.add_node(bird.id)
        if bird.sire is None:
            model.add_cpds(TabularCPD(bird.id, 3, [[0.25], [0.5], [0.25]]))
        else:
            model.add_edges_from([(bird.sire, bird.id), (bird.dam, bird.id)])
            model.add_cpds(TabularCPD(bird.id, 3, chance_table(float), [bird.sire, bird.dam], [3, 3]))
        look = bird.shows.get(mutant(pedigree))
        if look is not None:
            model.add_edge(bird.id, f"look of {bird.id}")
            model.add_cpds(TabularCPD(f"look of {bird.id}", 2, [[1, 1, 0], [0, 0, 1]], [bird.id], [3]))
            evidence[f"look of {bird.id}"] = int(look == mutant(pedigree))

    def work() -> dict[str, float]:
        engine = VariableElimination(model)
        asked = (engine.query([name], evidence, show_progress=False).values for name in pedigree.ids)
        return {name: float(found[1] + found[2]) for name, found in zip(pedigree.ids, asked, strict=True)}

    return work


def pyagrum_solver(pedigree: Pedigree) -> Callable[[], dict[str, float]]:
    """Shafer-Shenoy propagation over a junction tree, all birds at once."""
    import pyagrum

    network = pyagrum.BayesNet()
    for name in pedigree.ids:
        network.add(pyagrum.LabelizedVariable(name, "", 3))
    evidence = {}
    by_pair = list(zip(*chance_table(float), strict=True))
    for bird in pedigree.individuals:
        if bird.sire is None:
            network.cpt(bird.id).fillWith([0.25, 0.5, 0.25])
        else:
            network.addArc(bird.sire, bird.id)
            network.addArc(bird.dam, bird.id)
            for sire, dam in itertools.product(range(3), repeat=2):
                network.cpt(bird.id)[{bird.sire: sire, bird.dam: dam}] = list(by_pair[3 * sire + dam])
        look = bird.shows.get(mutant(pedigree))
        if look is not None:
            evidence[bird.id] = [0, 0, 1] if look == mutant(pedigree) else [1, 1, 0]

    def work() -> dict[str, float]:
        engine = pyagrum.ShaferShenoyInference(network)
        engine.setEvidence(evidence)
        engine.makeInference()
        return {name: float(sum(engine.posterior(name).tolist()[1:])) for name in pedigree.ids}

    return work


# -- against others --------------------------------------------------------------------------------------------------


def bench_brute_force() -> list[Row]:
    """Goal: 150 times at 12 birds."""
    rows = []
    for what, plain, size, least in (
        ("every assignment", every_assignment, 12, 150),
        ("every branch", every_branch, 12, 1),
        ("every branch", every_branch, 18, 100),
    ):
        pedigree = flock("overlap", size, 0.6)
        work = functools.partial(plain, pedigree)
        assert ours(pedigree)() == work()
        mine, other = in_turn(ours(pedigree), work, repeats=2)
        ratio = other / mine
        against = f"{what}, `fractions`"
        rows.append(row(f"overlap, {size} birds", mine, against, times(ratio), f"at least {least}", ratio >= least))
    return rows


def bench_pgmpy() -> list[Row]:
    """Goals: 60 times at 30 birds, 300 times at 100."""
    if "pgmpy" not in INSTALLED:
        return []
    rows = []
    for kind, size, least in (("closed", 30, 60), ("line", 30, 60), ("closed", 100, 300), ("overlap", 100, 300)):
        pedigree = flock(kind, size, 0.6)
        theirs = pgmpy_solver(pedigree)
        agree(ours(pedigree)(), theirs())
        mine, *_ = in_turn(ours(pedigree), repeats=5)
        other, *_ = in_turn(theirs, repeats=0)
        ratio = other / mine
        goal = f"at least {least}"
        rows.append(
            row(f"{kind}, {size} birds", mine, "pgmpy, variable elimination", times(ratio), goal, ratio >= least)
        )
    return rows


def bench_pyagrum() -> list[Row]:
    """Goals: never slower; 10 times faster in a fiftieth of the memory on flocks of 300 and more with loops.

    How hard a net is for a library that strikes off no genotypes first varies much from flock to flock, so that three
    are tried of each kind.
    """
    if "pyagrum" not in INSTALLED:
        return []
    rows = []
    against = "pyAgrum (C++), Shafer-Shenoy"
    for kind, size, least in (
        ("tree", 100, 1),
        ("line", 100, 1),
        ("closed", 100, 1),
        ("closed", 300, 10),
        ("closed", 400, 10),
        ("overlap", 600, 10),
    ):
        mine, ratios = [], []
        for seed in (1, 2, 3):
            pedigree = flock(kind, size, 0.6, seed=seed)
            theirs = pyagrum_solver(pedigree)
            agree(ours(pedigree)(), theirs())
            own, other = in_turn(ours(pedigree), theirs, repeats=1 if size > 100 else 5)
            mine.append(own)
            ratios.append(other / own)
        found = f"{times(median(ratios))} ({min(ratios):.1f} to {max(ratios):.1f})"
        reached = median(ratios) >= least
        rows.append(row(f"{kind}, {size} birds", median(mine), against, found, f"at least {least}", reached))
    for kind, size in (("closed", 300), ("overlap", 600)):
        held, grown = megabytes(kind, size, 0.6), megabytes_of_pyagrum(kind, size, 0.6)
        found = f"{grown:,.1f} MB against {held:.1f} MB"
        rows.append((f"{kind}, {size} birds, memory", "", f"pyAgrum: {found}", "a fiftieth", said(grown >= 50 * held)))
    return rows


# -- by itself -------------------------------------------------------------------------------------------------------


def bench_floats() -> list[Row]:
    """Goal: at most half of the exact time where tables are large; twelve digits and the same zeros."""
    pedigree = flock("closed", 300, 0.2)
    exact, floats = ours(pedigree)(), ours(pedigree, "float")()
    assert all((exact[name] == 0) is (floats[name] == 0) for name in exact)
    worst = max(abs(floats[n] / float(exact[n]) - 1) for n in exact if exact[n] != 0)
    assert worst < 1e-12
    mine, quick = in_turn(ours(pedigree), ours(pedigree, "float"), repeats=1)
    found = f"{quick / mine:.2f} of the time, relative error {worst:.0e}"
    return [row("closed, 300 birds, 20% seen", mine, 'arithmetic="float"', found, "at most 0.5", quick <= mine / 2)]


def bench_large() -> list[Row]:
    """Goals: 0.25 seconds for 3000 birds without many loops, and at most 15 times the time for 300.

    How the founders' alleles were drawn makes a difference, so that three flocks are tried of each kind.
    """
    rows = []
    for name, kind, on_z in (
        ("tree", "tree", False),
        ("line-bred", "line", False),
        ("closed, Z-linked", "closed", True),
    ):
        small, large = (
            [in_turn(ours(flock(kind, size, 0.6, on_z=on_z, seed=seed)), repeats=3)[0] for seed in (1, 2, 3)]
            for size in (300, 3000)
        )
        ratio = median(large) / median(small)
        found = f"{ratio:.1f} times; the worst of three flocks took {shown(max(large))}"
        reached = median(large) <= 0.25 and ratio <= 15
        rows.append(row(f"{name}, 3,000 birds", median(large), "300 birds", found, "250 ms; at most 15", reached))
    return rows


def bench_targets() -> list[Row]:
    """Goals in seconds for flocks with many loops."""
    rows = []
    for kind, size, seen, most in (("closed", 300, 0.6, 0.05), ("closed", 300, 0.2, 0.2), ("overlap", 1000, 0.6, 2.0)):
        pedigree = flock(kind, size, seen)
        mine, *_ = in_turn(ours(pedigree), repeats=2)
        memory = megabytes(kind, size, seen)
        what = f"{kind}, {size:,} birds, {seen:.0%} seen"
        goal = f"{shown(most)}{', 20 MB' if seen == 0.2 else ''}"
        reached = mine <= most and (seen != 0.2 or memory <= 20)
        rows.append(row(what, mine, "memory", f"{memory:.1f} MB", goal, reached))
    return rows


def curve() -> None:
    """Cost against entanglement, not against the number of birds."""
    print("\n| flock | birds | seen | width | largest table | exact | floats |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    asked = [
        ("line", 3000, 0.6, False),
        ("tree", 3000, 0.6, False),
        ("closed, Z-linked", 3000, 0.6, True),
        ("closed", 30, 0.6, False),
        ("closed", 100, 0.6, False),
        ("closed", 300, 0.6, False),
        ("closed", 300, 0.2, False),
        ("overlap", 300, 0.6, False),
        ("overlap", 300, 0.2, False),
        ("overlap", 1000, 0.6, False),
    ]
    for name, size, seen, on_z in asked:
        pedigree = flock(name.split(",")[0], size, seen, on_z=on_z)
        width, largest = width_and_table(pedigree)
        exact, floats = in_turn(ours(pedigree), ours(pedigree, "float"), repeats=1)
        cells = (name, f"{size:,}", f"{seen:.0%}", str(width), f"{largest:,}", shown(exact), shown(floats))
        print("| " + " | ".join(cells) + " |", flush=True)


def surroundings() -> str:
    """The machine and the versions, in one line."""
    names = ("numpy", "sympy", "networkx", *sorted(INSTALLED))
    versions = ", ".join(f"{name} {importlib.metadata.version(name)}" for name in names)
    machine = f"{os.cpu_count()} processors {platform.machine()}, {platform.system()}"
    return f"{datetime.date.today():%d %B %Y}; {machine}; Python {platform.python_version()}, {versions}"


def main() -> None:
    """Run everything and print the tables."""
    print("| what | takes | against | goal | reached |")
    print("| --- | --- | --- | --- | --- |")
    for bench in (bench_brute_force, bench_pgmpy, bench_pyagrum, bench_floats, bench_large, bench_targets):
        for cells in bench():
            print("| " + " | ".join(cells) + " |", flush=True)
    curve()
    print()
    print(surroundings())


if __name__ == "__main__":
    if sys.argv[1:2] == ["--memory"]:
        report_memory(*sys.argv[2:])
    else:
        main()
