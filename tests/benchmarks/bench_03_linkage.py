"""Linked loci: with numbers and with symbols for the recombination fractions."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
import sympy

from pinfeather import cross, gametes
from tests.benchmarks.flocks import heterozygote, look_of_all
from tests.benchmarks.measuring import Beside
from tests.benchmarks.yardsticks.enumeration import walked
from tests.benchmarks.yardsticks.expressions import expanded_in_a_loop

EXPANDED = "expanding sympy expressions"
WALKED = "walking along with `fractions`"


def fractions_of(loci: int) -> list[Fraction]:
    return [Fraction(5 + place % 7, 100) for place in range(loci - 1)]


def three_places(loci: int) -> tuple[int, int, int]:
    return 0, loci // 2, loci - 1


def both_ways(loci: int) -> tuple[Any, Any, Any]:
    """The gametes at three loci out of many linked ones: our way, the plain way, and whether they agree."""
    between = fractions_of(loci)
    bird = heterozygote(loci, between)
    hen = bird.species.genotype(
        " ".join(locus.symbols[1] for locus in bird.species.loci)
        + "/"
        + " ".join(locus.symbols[1] for locus in bird.species.loci)
    )
    asked = [f"L{place}" for place in three_places(loci)]

    def ours() -> Any:
        return list(cross(bird, hen).genotypes(*asked).items())

    def same(mine: Any, theirs: Any) -> bool:
        return sorted(Fraction(int(v.p), int(v.q)) for _, v in mine) == sorted(theirs.values())

    return ours, lambda: walked(between, three_places(loci)), same


def symbols_for(count: int) -> list[Any]:
    symbols = sympy.symbols("r s t")[:count]
    return [symbols[place % count] for place in range(11)]


def polynomial_of(bird: Any, wanted: dict[str, str]) -> Any:
    """The polynomial inside, before it becomes an expression: numerator and denominator."""
    chicks = cross(bird, bird)
    event = chicks.kept.narrowed(chicks.species, None, wanted, None)
    return chicks.couple.weight(event, chicks.alive, chicks._ring(event))


def bench_three_of_a_hundred_linked(beside: Beside) -> None:
    ours, theirs, same = both_ways(100)
    what = "testcross, genotypes at 3 of 100 linked loci"
    beside.compare(what, ours, WALKED, theirs, rounds=15, same=same, at_least=10)


@pytest.mark.parametrize(("count", "words"), [(1, "one symbol"), (3, "three symbols")])
def bench_symbols(beside: Beside, count: int, words: str) -> None:
    """The whole answer, and the polynomial inside before sympy makes an expression of it."""
    fractions = symbols_for(count)
    bird = heterozygote(12, fractions)
    wanted = look_of_all(bird, recessive=3)

    def ours() -> Any:
        return cross(bird, bird).fraction(shows=wanted)

    def theirs() -> Any:
        return expanded_in_a_loop(fractions, 3)

    above, below = polynomial_of(bird, wanted)
    assert theirs() == ours() == sympy.expand(above.as_expr() / below)
    inside = "the polynomial inside"
    times = beside.take_turns(ours, {inside: lambda: polynomial_of(bird, wanted), EXPANDED: theirs}, rounds=3)
    what = f"one look at 12 linked loci, {words} for the recombination fractions"
    beside.ratio(what, times["pinfeather"], EXPANDED, times[EXPANDED], at_least=100)
    beside.ratio(f"{inside}, {words}", times[inside], EXPANDED, times[EXPANDED], at_least=100)


@pytest.mark.parametrize("loci", [3, 10, 30, 100])
def bench_growth_of_linked_loci(beside: Beside, loci: int) -> None:
    ours, theirs, same = both_ways(loci)
    beside.point("linkage", loci, ours, {WALKED: theirs}, rounds=9, same=same)


@pytest.mark.parametrize("loci", [4, 6, 8, 10])
def bench_growth_with_symbols(beside: Beside, loci: int) -> None:
    fractions = symbols_for(3)[: loci - 1]
    bird = heterozygote(loci, fractions)
    wanted = look_of_all(bird, recessive=2)
    beside.point(
        "symbols",
        loci,
        lambda: cross(bird, bird).fraction(shows=wanted),
        {EXPANDED: lambda: expanded_in_a_loop(fractions, 2)},
        rounds=3,
    )


def bench_every_gamete(beside: Beside) -> None:
    between = fractions_of(12)
    bird = heterozygote(12, between)
    beside.compare(
        "all 4,096 gametes of 12 linked loci",
        lambda: list(gametes(bird).items()),
        WALKED,
        lambda: walked(between, tuple(range(12))),
        rounds=5,
        same=lambda mine, theirs: sorted(Fraction(int(v.p), int(v.q)) for _, v in mine) == sorted(theirs.values()),
    )
