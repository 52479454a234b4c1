"""How fast crosses are: ratios measured in one run, printed as a Markdown table.

Run by hand, with pinfeather and its `test` extra installed::

    python tests/benchmarks/bench_crosses.py

Every comparison does the same sum twice, once through pinfeather and once in the plain way, and stops if the two
answers differ.  Figures are medians of repeats that take turns, in processor time, so that other programs at work do
not count.  sympy's memory of earlier results is emptied before each run: otherwise a repeated sum would be looked up
instead of done.  Python's collector of cyclic garbage rests meanwhile (as it does in `timeit`), except in the row that
says otherwise.
"""

from __future__ import annotations

import datetime
import gc
import importlib.metadata
import itertools
import os
import platform
import subprocess
import sys
import time
from collections.abc import Callable
from fractions import Fraction
from statistics import median
from typing import Any

import sympy

from pinfeather import Linkage, Locus, Species, cross
from pinfeather.exact.products import product_weights

Row = tuple[str, str, str, str, str]


# -- measuring -------------------------------------------------------------------------------------------------------


def seconds(work: Callable[[], Any], *, collecting: bool = False) -> tuple[float, Any]:
    """The time that some work takes, and what comes of it."""
    sympy.core.cache.clear_cache()
    gc.collect()
    if not collecting:
        gc.disable()
    try:
        start = time.process_time()
        result = work()
        return time.process_time() - start, result
    finally:
        gc.enable()


def in_turn(*works: Callable[[], Any], repeats: int, collecting: bool = False) -> list[float]:
    """The median time of each piece of work, all of them taking turns after one round to warm up."""
    times: list[list[float]] = [[] for _ in works]
    for turn in range(repeats + 1):
        for own, work in zip(times, works, strict=True):
            taken, result = seconds(work, collecting=collecting)
            del result
            if turn:
                own.append(taken)
    return [median(own) for own in times]


def in_process(code: str, repeats: int) -> list[float]:
    """What a piece of code prints as its time in seconds, each time in a fresh Python."""
    command = [sys.executable, "-c", code]
    printed = [subprocess.run(command, capture_output=True, text=True, check=True) for _ in range(repeats + 1)]
    return [float(one.stdout) for one in printed[1:]]


def row(what: str, ours: float, other: str, ratio: float, goal: float, *, most: bool = False) -> Row:
    """One line of the table; ``most`` turns the goal from "at least" into "at most"."""
    reached = ratio <= goal if most else ratio >= goal
    shown = f"{ratio:,.0f}" if ratio >= 10 else f"{ratio:.2f}"
    wanted = f"{'at most' if most else 'at least'} {goal:,g}"
    return what, milliseconds(ours), f"{other}: {shown} times", wanted, "yes" if reached else "**no**"


def milliseconds(time_taken: float) -> str:
    """A time in milliseconds, to two or three figures."""
    number = time_taken * 1000
    return f"{number:,.0f} ms" if number >= 100 else f"{number:.1f} ms" if number >= 10 else f"{number:.2f} ms"


# -- species to cross ------------------------------------------------------------------------------------------------


def heterozygote(count: int, recombinations: list[Any] | None = None) -> Any:
    """A bird heterozygous at some loci: independent ones, or one coupled group."""
    names = [f"L{n}" for n in range(count)]
    loci = [Locus(name, f"look {name}", (f"{name}+", name.lower())) for name in names]
    if recombinations is None:
        species = Species("fowl", loci=loci)
        return species.genotype(" ".join(f"{name}+/{name.lower()}" for name in names))
    species = Species("fowl", loci=loci, linkage=[Linkage(names, recombinations)])
    wild, mutant = " ".join(f"{name}+" for name in names), " ".join(name.lower() for name in names)
    return species.genotype(f"{wild}/{mutant}")


def look_of_all(bird: Any, recessive: int) -> dict[str, str]:
    """A look at every locus, recessive at one of them."""
    labels = [bird.species.labels_of(locus.name) for locus in bird.species.loci]
    return {
        locus.name: shown[1] if place == recessive else shown[0]
        for place, (locus, shown) in enumerate(zip(bird.species.loci, labels, strict=True))
    }


# -- ten independent loci: every genotype ----------------------------------------------------------------------------


def enumerated(count: int) -> dict[tuple[tuple[int, int], ...], Fraction]:
    """All genotypes of two heterozygotes with their fractions, gamete pair by gamete pair."""
    half = Fraction(1, 2)
    gametes = dict.fromkeys(itertools.product((0, 1), repeat=count), half**count)
    found: dict[tuple[tuple[int, int], ...], Fraction] = {}
    for one, chance in gametes.items():
        for other, factor in gametes.items():
            key = tuple([(a, b) if a <= b else (b, a) for a, b in zip(one, other, strict=True)])
            found[key] = found.get(key, 0) + chance * factor
    return found


def bench_every_genotype() -> list[Row]:
    """Goals: 50 times through the public calls, 1000 times for the weights by themselves."""
    bird = heterozygote(10)
    axes = [[1, 2, 1]] * 10

    def ours() -> Any:
        return list(cross(bird, bird).genotypes().items())

    def weights() -> Any:
        return product_weights(axes)

    naive = sorted(enumerated(10).values())
    assert naive == sorted(Fraction(int(v.p), int(v.q)) for _, v in ours())
    assert naive == sorted(Fraction(weight, 4**10) for weight in weights())
    plain, mine, inner = in_turn(lambda: enumerated(10), ours, weights, repeats=3)
    plain_collecting, mine_collecting = in_turn(lambda: enumerated(10), ours, repeats=3, collecting=True)
    against = "gamete pairs with `fractions`"
    return [
        row("10 independent loci, all 59,049 genotypes as keys", mine, against, plain / mine, 50),
        row(
            "the same with the garbage collector on",
            mine_collecting,
            against,
            plain_collecting / mine_collecting,
            50,
        ),
        row("the 59,049 weights inside", inner, against, plain / inner, 1000),
    ]


# -- a hundred independent loci ----------------------------------------------------------------------------------------


def bench_three_of_many() -> list[Row]:
    """Goal: the same question costs at most twice as much with 100 loci as with 5."""
    few, many = heterozygote(5), heterozygote(100)
    asked = ("L0", "L2", "L4")
    pattern = "L0+/_ l2/l2 L4+/l4"
    assert cross(few, few).genotypes(*asked).ratio() == cross(many, many).genotypes(*asked).ratio()
    assert cross(few, few).fraction(pattern) == cross(many, many).fraction(pattern) == sympy.Rational(3, 32)
    rows = []
    questions: list[tuple[str, Callable[[Any], Any]]] = [
        ("genotypes at 3 of 100 loci", lambda bird: list(cross(bird, bird).genotypes(*asked).items())),
        ("fraction of a pattern at 3 of 100 loci", lambda bird: cross(bird, bird).fraction(pattern)),
    ]
    for what, question in questions:

        def ask_many(question: Callable[[Any], Any] = question) -> Any:
            return question(many)

        def ask_few(question: Callable[[Any], Any] = question) -> Any:
            return question(few)

        large, small = in_turn(ask_many, ask_few, repeats=101)
        rows.append(row(what, large, "3 of 5 loci", large / small, 2, most=True))
    return rows


def bench_all_of_many() -> list[Row]:
    """Goal: 10 milliseconds."""
    bird = heterozygote(100)
    wanted = look_of_all(bird, recessive=7)
    assert cross(bird, bird).fraction(shows=wanted) == sympy.Rational(3**99, 4**100)
    (taken,) = in_turn(lambda: cross(bird, bird).fraction(shows=wanted), repeats=51)
    reached = "yes" if taken < 0.010 else "**no**"
    return [("fraction of one look at all of 100 loci", milliseconds(taken), "", "under 10 ms", reached)]


# -- twelve linked loci with symbols ---------------------------------------------------------------------------------


def expanded_in_a_loop(fractions: list[Any], recessive: int) -> Any:
    """The same look by the same walk along the chromosome, with sympy expressions expanded at every step."""
    strands = [(one, other) for one in (0, 1) for other in (0, 1)]

    def shown(strand: tuple[int, int], place: int) -> bool:
        return (strand == (1, 1)) is (place == recessive)

    states = {strand: sympy.Rational(1, 4) if shown(strand, 0) else sympy.Integer(0) for strand in strands}
    for place, r in enumerate(fractions, start=1):
        moved: dict[tuple[int, int], Any] = {}
        for to in strands:
            total = sympy.Integer(0)
            if shown(to, place):
                for come, weight in states.items():
                    for before, after in zip(come, to, strict=True):
                        weight = weight * (1 - r if before == after else r)
                    total = sympy.expand(total + weight)
            moved[to] = total
        states = moved
    return sympy.expand(sum(states.values()))


def bench_symbols() -> list[Row]:
    """Goal: 100 times, with one symbol for all intervals and with three symbols by turns."""
    rows = []
    for count, words in ((1, "one symbol"), (3, "three symbols")):
        symbols = sympy.symbols("r s t")[:count]
        fractions = [symbols[n % count] for n in range(11)]
        bird = heterozygote(12, fractions)
        wanted = look_of_all(bird, recessive=3)

        def ours(bird: Any = bird, wanted: dict[str, str] = wanted) -> Any:
            return cross(bird, bird).fraction(shows=wanted)

        def polynomial(bird: Any = bird, wanted: dict[str, str] = wanted) -> Any:
            chicks = cross(bird, bird)
            event = chicks.kept.narrowed(chicks.species, None, wanted, None)
            return chicks.couple.weight(event, chicks.alive, chicks._ring(event))

        def plain(fractions: list[Any] = fractions) -> Any:
            return expanded_in_a_loop(fractions, 3)

        above, below = polynomial()
        assert plain() == ours() == sympy.expand(above.as_expr() / below)
        other, mine, inner = in_turn(plain, ours, polynomial, repeats=5)
        what = f"one look at 12 linked loci, {words} for the recombination fractions"
        rows.append(row(what, mine, "expanding sympy expressions", other / mine, 100))
        rows.append(row("the polynomial inside", inner, "expanding sympy expressions", other / inner, 100))
    return rows


# -- fresh processes ---------------------------------------------------------------------------------------------------

IMPORTING = "import time; start = time.process_time(); {}; print(time.process_time() - start)"
LOADING = (
    "import sympy, time; from pinfeather import load_fowl; start = time.process_time(); load_fowl(); "
    "print(time.process_time() - start)"
)
ANSWERING = IMPORTING.format(
    "from pinfeather import cross, load_fowl; bird = load_fowl().genotype('R/r+ P/p+'); "
    "str(cross(bird, bird).phenotypes('comb'))"
)


def bench_fresh_processes() -> list[Row]:
    """Goals: importing takes at most twice as long as attrs and numpy, the catalogue under 150 milliseconds."""
    mine = median(in_process(IMPORTING.format("import pinfeather"), 15))
    other = median(in_process(IMPORTING.format("import attrs, numpy"), 15))
    catalogue = median(in_process(LOADING, 7))
    answer = median(in_process(ANSWERING, 7))
    symbols = median(in_process(IMPORTING.format("import sympy"), 7))
    return [
        row("`import pinfeather`", mine, "`import attrs, numpy`", mine / other, 2, most=True),
        (
            "`load_fowl()` for the first time, sympy being loaded",
            milliseconds(catalogue),
            "",
            "under 150 ms",
            "yes" if catalogue < 0.150 else "**no**",
        ),
        (
            "import, catalogue, first cross and its printed looks",
            milliseconds(answer),
            f"`import sympy` alone: {answer / symbols:.2f} times",
            "",
            "",
        ),
    ]


# -- the table ---------------------------------------------------------------------------------------------------------


def surroundings() -> str:
    """The machine and the versions, in one line."""
    versions = ", ".join(f"{name} {importlib.metadata.version(name)}" for name in ("attrs", "numpy", "sympy"))
    machine = f"{os.cpu_count()} processors {platform.machine()}, {platform.system()}"
    return f"{datetime.date.today():%d %B %Y}; {machine}; Python {platform.python_version()}, {versions}"


def main() -> None:
    """Run everything and print the table."""
    print("| what | takes | against | goal | reached |")
    print("| --- | --- | --- | --- | --- |")
    benches = (bench_every_genotype, bench_three_of_many, bench_all_of_many, bench_symbols, bench_fresh_processes)
    for bench in benches:
        for line in bench():
            print("| " + " | ".join(line) + " |", flush=True)
    print()
    print(surroundings())


if __name__ == "__main__":
    main()
