"""Independent loci: every genotype of a cross, and questions about a few loci out of many."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import icepool
import pytest
import sympy

from pinfeather import cross
from pinfeather.exact.products import product_weights
from tests.benchmarks.flocks import heterozygote, look_of_all
from tests.benchmarks.measuring import Beside
from tests.benchmarks.yardsticks.enumeration import gamete_pairs

ENUMERATED = "gamete pairs with `fractions`"
DICE = "icepool, a library for dice, joint throw"
ASKED = ("L0", "L2", "L4")
PATTERN = "L0+/_ l2/l2 L4+/l4"


def every_genotype(count: int) -> Any:
    bird = heterozygote(count)
    return lambda: list(cross(bird, bird).genotypes().items())


def as_dice(count: int) -> Any:
    die = icepool.Die({0: 1, 1: 2, 2: 1})
    return lambda: icepool.tupleize(*[die] * count)


def in_order(chances: Any) -> list[Fraction]:
    return sorted(Fraction(int(chance.numerator), int(chance.denominator)) for chance in chances)


def of_dice(throw: Any) -> list[Fraction]:
    return [Fraction(quantity, throw.denominator()) for quantity in throw.quantities()]


def bench_every_genotype(beside: Beside) -> None:
    ours, plain, dice = every_genotype(10), lambda: gamete_pairs(10), as_dice(10)
    axes = [[1, 2, 1]] * 10
    expected = in_order(plain().values())
    assert expected == in_order(chance for _, chance in ours())
    assert expected == in_order(of_dice(dice()))
    assert expected == [Fraction(int(weight), 4**10) for weight in sorted(product_weights(axes))]
    inside = "the weights inside"
    times = beside.take_turns(ours, {inside: lambda: product_weights(axes), ENUMERATED: plain, DICE: dice}, rounds=3)
    what = "10 independent loci, all 59,049 genotypes as keys"
    beside.ratio(what, times["pinfeather"], ENUMERATED, times[ENUMERATED], at_least=50)
    beside.ratio(what, times["pinfeather"], DICE, times[DICE])
    what = "the 59,049 weights inside"
    beside.ratio(what, times[inside], ENUMERATED, times[ENUMERATED], at_least=1000)
    beside.ratio(what, times[inside], DICE, times[DICE], at_least=100)


@pytest.mark.benchmark(disable_gc=False)
def bench_every_genotype_with_the_collector_on(beside: Beside) -> None:
    beside.compare(
        "all 59,049 genotypes as keys, the garbage collector on",
        every_genotype(10),
        ENUMERATED,
        lambda: gamete_pairs(10),
        rounds=3,
        once=True,
        same=lambda mine, theirs: in_order(chance for _, chance in mine) == in_order(theirs.values()),
        at_least=50,
    )


# -- a few of many loci --------------------------------------------------------------------------------------


def bench_genotypes_at_three_of_many(beside: Beside) -> None:
    few, many = heterozygote(5), heterozygote(100)
    beside.compare(
        "genotypes at 3 of 100 loci",
        lambda: [chance for _, chance in cross(many, many).genotypes(*ASKED).items()],
        "3 of 5 loci",
        lambda: [chance for _, chance in cross(few, few).genotypes(*ASKED).items()],
        rounds=101,
        at_most=2,
    )


def bench_a_pattern_at_three_of_many(beside: Beside) -> None:
    few, many = heterozygote(5), heterozygote(100)
    assert cross(many, many).fraction(PATTERN) == sympy.Rational(3, 32)
    beside.compare(
        "fraction of a pattern at 3 of 100 loci",
        lambda: cross(many, many).fraction(PATTERN),
        "3 of 5 loci",
        lambda: cross(few, few).fraction(PATTERN),
        rounds=101,
        at_most=2,
    )


def bench_a_look_at_all_of_many(beside: Beside) -> None:
    bird = heterozygote(100)
    wanted = look_of_all(bird, recessive=7)
    assert cross(bird, bird).fraction(shows=wanted) == sympy.Rational(3**99, 4**100)
    what = "fraction of one look at all of 100 loci"
    beside.alone(what, lambda: cross(bird, bird).fraction(shows=wanted), rounds=51, under=0.010)


# -- growth --------------------------------------------------------------------------------------------------


def same_as_either(ours: Any, theirs: Any) -> bool:
    chances = theirs.values() if isinstance(theirs, dict) else of_dice(theirs)
    return in_order(chance for _, chance in ours) == in_order(chances)


@pytest.mark.parametrize("loci", [2, 4, 6, 8, 9])
def bench_growth_of_every_genotype(beside: Beside, loci: int) -> None:
    others = {ENUMERATED: lambda: gamete_pairs(loci), DICE: as_dice(loci)}
    beside.point("crosses", loci, every_genotype(loci), others, same=same_as_either)


@pytest.mark.parametrize("loci", [5, 10, 20, 50, 100])
def bench_growth_of_a_question(beside: Beside, loci: int) -> None:
    """How long the same question takes as the birds differ in more loci; nothing plain gets that far."""
    bird = heterozygote(loci)
    whole = look_of_all(bird, recessive=4)
    beside.point(
        "questions",
        loci,
        lambda: cross(bird, bird).fraction(PATTERN),
        {"a look at all the loci": lambda: cross(bird, bird).fraction(shows=whole)},
        rounds=21,
        same=lambda three, every: (three, every) == (sympy.Rational(3, 32), sympy.Rational(3 ** (loci - 1), 4**loci)),
    )
