"""How many chicks, how many eggs, and what a hatch is likely to bring."""

from __future__ import annotations

import itertools
import json
import math
from typing import Any

import pytest
import scipy.stats
import sympy
from sympy import Rational

from pinfeather.crosses import cross
from pinfeather.errors import ArgumentError, ImpossibleError, TooLargeError, UnknownSymbolError
from pinfeather.exact.distribution import Distribution
from pinfeather.fowl import load_fowl
from pinfeather.hatches import (
    chance,
    chance_of_each,
    chicks_needed,
    chicks_needed_for_each,
    eggs_to_set,
    likely_range,
)

FOWL = load_fowl()
CARRIERS = cross(FOWL.genotype("Lav+/lav"), FOWL.genotype("Lav+/lav"))
CREEPERS = cross(FOWL.genotype("Cp/cp+"), FOWL.genotype("Cp/cp+"))
p, q = sympy.symbols("p q")


# ---- one class -----------------------------------------------------------------------------------------------------


def test_a_chance_is_an_exact_fraction() -> None:
    assert chance("1/4", 10) == 1 - Rational(3, 4) ** 10
    assert chance(0.25, 4, at_least=2, at_most=2) == Rational(27, 128)
    assert chance("25%", 3, at_least=0) == 1
    assert chance("1/4", 3, at_least=4) == 0
    assert chance(0, 3) == 0
    assert chance(1, 3, at_least=3) == 1


def test_a_symbolic_fraction_gives_a_polynomial() -> None:
    assert chance(p, 3) == sympy.expand(1 - (1 - p) ** 3)
    assert chance(p / 2, 4, at_least=3).subs(p, 1) == Rational(5, 16)


def test_an_irrational_fraction_stays_exact() -> None:
    assert sympy.simplify(chance(sympy.sqrt(2) / 2, 2) - (1 - (1 - sympy.sqrt(2) / 2) ** 2)) == 0


def test_the_chicks_of_a_cross_may_be_asked_directly() -> None:
    assert chance(CARRIERS, 10, genotype="lav/lav") == chance("1/4", 10)
    assert chance(CARRIERS, 10, genotype="lav/lav", sex="female") == chance("1/8", 10)
    assert chance(CARRIERS, 10, shows={"lavender": "lavender"}, sex="female") == chance("1/8", 10)
    assert chicks_needed(CARRIERS, genotype="lav/lav") == 11
    assert likely_range(CARRIERS, 20, genotype="lav/lav") == likely_range("1/4", 20)


def test_ten_thousand_chicks_are_no_obstacle() -> None:
    exact = chance("1/64", 10_000, at_least=150)
    assert float(exact) == pytest.approx(scipy.stats.binom.sf(149, 10_000, 1 / 64), abs=1e-12)
    low, high, coverage = likely_range("9/16", 10_000)
    assert (low, high) == (5528, 5722)
    assert coverage >= Rational(19, 20)
    binomial = scipy.stats.binom(10_000, 9 / 16)
    assert float(coverage) == pytest.approx(binomial.cdf(high) - binomial.cdf(low - 1), abs=1e-12)
    assert repr(likely_range("9/16", 10_000)) == "LikelyRange(low=5528, high=5722, coverage=<about 0.950639>)"
    assert json.loads(json.dumps(likely_range("1/3", 10_000).to_dict()))["low"] == 3241


def test_chances_too_long_to_be_of_use_are_refused_before_the_work() -> None:
    with pytest.raises(TooLargeError, match="chicks_needed") as caught:
        chance("1/3", 10**9)
    assert caught.value.size > caught.value.limit


@pytest.mark.parametrize(
    ("fraction", "expected"),
    [("1/2", (5, 7, 10)), ("1/4", (11, 17, 25)), ("1/8", (23, 35, 52)), ("1/4096", (12270, 18861, 28291))],
)
def test_the_chicks_needed_are_the_least_that_do(fraction: str, expected: tuple[int, ...]) -> None:
    for certainty, number in zip(("95%", "99%", "99.9%"), expected, strict=True):
        assert chicks_needed(fraction, certainty=certainty) == number
        assert chance(fraction, number) >= Rational(*map(int, _parts(certainty)))
        assert chance(fraction, number - 1) < Rational(*map(int, _parts(certainty)))


def _parts(percent: str) -> tuple[str, str]:
    digits = percent.rstrip("%")
    return digits.replace(".", ""), "1000" if "." in digits else "100"


def test_full_certainty_is_to_be_had_where_all_chicks_are_alike() -> None:
    assert chicks_needed(1, wanted=4, certainty=1) == 4
    assert chicks_needed(1, wanted=4) == 4


def test_an_irrational_fraction_needs_as_many_chicks_as_its_neighbours() -> None:
    assert chicks_needed(sympy.sqrt(2) / 2) == chicks_needed("0.7071067811865475") == 3
    assert likely_range(sympy.sqrt(2) / 2, 10)[:2] == likely_range("0.7071067811865475", 10)[:2]


@pytest.mark.parametrize(
    "ask",
    [lambda value: chicks_needed(value, certainty="50%"), lambda value: likely_range(value, 1, coverage="40%")],
    ids=["chicks_needed", "likely_range"],
)
def test_an_irrational_fraction_at_a_turning_point_is_refused_by_name(ask: Any) -> None:
    """One chick is enough for an even chance of a class of just over a half, two are needed just below."""
    hair = sympy.sqrt(2) / 10**70
    with pytest.raises(ArgumentError, match=r"too close to a turning point.*give a rational number near it") as caught:
        ask(Rational(1, 2) + hair)
    assert (caught.value.argument, caught.value.value) == ("fraction", Rational(1, 2) + hair)
    assert ask(Rational(1, 2) + 10**20 * hair)


def test_what_can_be_named_only_for_an_offspring_is_refused_by_name() -> None:
    for asked in ({"traits": "comb"}, {"loci": "lav"}):
        with pytest.raises(ArgumentError) as caught:
            chance_of_each({"a": "1/4"}, {"a": 1}, 5, **asked)
        assert {caught.value.argument: caught.value.value} == asked


def test_eggs_pay_for_fertility_hatch_and_survival() -> None:
    assert eggs_to_set("1/4") == chicks_needed("1/4")
    rates = {"fertility": "90%", "hatch_of_fertile": "85%", "survival": "95%"}
    assert eggs_to_set("1/4", **rates) == chicks_needed(Rational(1, 4) * Rational(90 * 85 * 95, 100**3)) == 15
    assert eggs_to_set("1/2", wanted=3, fertility="1/2") == chicks_needed("1/4", wanted=3)
    assert eggs_to_set("1/4", certainty="99%") == chicks_needed("1/4", certainty="99%") == 17


def test_eggs_pay_for_lethal_genotypes_too() -> None:
    """Of creeper to creeper a quarter of the embryos die, so that half of the fertile eggs give a creeper chick."""
    assert CREEPERS.fraction("Cp/cp+") == Rational(2, 3)
    assert eggs_to_set(CREEPERS, genotype="Cp/cp+") == chicks_needed("1/2") == 5


def test_eggs_for_several_classes_at_once() -> None:
    each = {"pullet": "1/8", "cockerel": "1/8"}
    wanted = {"pullet": 2, "cockerel": 1}
    assert eggs_to_set(each, wanted) == chicks_needed_for_each(each, wanted)
    assert eggs_to_set(each, wanted, "50%") == chicks_needed_for_each(each, wanted, "50%")
    halved = {name: Rational(1, 16) for name in each}
    assert eggs_to_set(each, wanted, fertility="1/2") == chicks_needed_for_each(halved, wanted)


def test_a_likely_range_is_unpacked_printed_and_exact() -> None:
    found = likely_range("1/2", 10)
    assert found == (2, 8, Rational(501, 512))
    low, high, coverage = found
    assert coverage == chance("1/2", 10, low, high)
    assert str(found) == "likely number of chicks  2 to 8\nchance of that           97.9 %"
    assert str(likely_range(1, 10)) == "likely number of chicks  10 to 10\nchance of that              100 %"
    assert str(likely_range("1/100", 10, "99.99%")).endswith("more than 99.9 %")
    assert found.to_dict() == {"low": 2, "high": 8, "coverage": "501/512"}
    assert ">2 to 8</" in found._repr_html_()


def test_a_small_hatch_promises_little() -> None:
    """Common practice, no source: ten or twenty-five chicks do not guarantee the numbers expected."""
    assert likely_range("1/4", 10)[:2] == (0, 5)
    assert likely_range("1/4", 25)[:2] == (2, 10)
    assert chance("1/4", 8, at_least=2, at_most=2) < Rational(1, 3)


# ---- several classes at once ---------------------------------------------------------------------------------------


def test_several_wants_are_met_in_one_hatch() -> None:
    each = {"lavender pullet": "1/8", "lavender cockerel": "1/8"}
    wanted = {"lavender pullet": 3, "lavender cockerel": 1}
    by_hand = sum(
        Rational(math.factorial(40), math.factorial(a) * math.factorial(b) * math.factorial(40 - a - b))
        * Rational(1, 8) ** (a + b)
        * Rational(3, 4) ** (40 - a - b)
        for a, b in itertools.product(range(3, 41), range(1, 41))
        if a + b <= 40
    )
    assert chance_of_each(each, wanted, chicks=40) == by_hand


def test_classes_that_are_not_wanted_are_free() -> None:
    ratio = Distribution.of({"walnut": 9, "rose": 3, "pea": 3, "single": 1})
    assert chance_of_each(ratio, {"single": 2}, 30) == chance("1/16", 30, at_least=2)
    assert chance_of_each(ratio, {"single": 2, "rose": 0}, 30) == chance("1/16", 30, at_least=2)
    assert chance_of_each(ratio, {}, 30) == 1


def test_symbolic_classes_give_a_polynomial() -> None:
    assert chance_of_each({"a": p, "b": q}, {"a": 1, "b": 1}, 2) == 2 * p * q
    four = chance_of_each({"a": p, "b": "1/4"}, {"a": 2, "b": 1}, 4)
    assert four.subs(p, Rational(1, 2)) == chance_of_each({"a": "1/2", "b": "1/4"}, {"a": 2, "b": 1}, 4)


def test_the_classes_of_a_cross_are_told_by_their_labels() -> None:
    walnuts = cross(FOWL.genotype("R/r+ P/p+"), FOWL.genotype("R/r+ P/p+"))
    wanted = {"single, male": 1, "single, female": 2}
    by_hand = chance_of_each({"m": "1/32", "f": "1/32"}, {"m": 1, "f": 2}, 60)
    assert chance_of_each(walnuts, wanted, 60) == by_hand
    assert chance_of_each(walnuts, wanted, 60, traits=("comb", "sex")) == by_hand
    assert chicks_needed_for_each(walnuts, wanted) == chicks_needed_for_each(
        {"m": "1/32", "f": "1/32"}, {"m": 1, "f": 2}
    )
    assert chance_of_each(CARRIERS, {"lav/lav": 2}, 9, loci="lav") == chance("1/4", 9, at_least=2)


@pytest.mark.parametrize("certainty", ["50%", "95%", "99.9%"])
def test_the_chicks_needed_for_each_are_the_least_that_do(certainty: str) -> None:
    each, wanted = {"a": "1/8", "b": "1/3", "c": "1/8"}, {"a": 1, "b": 4, "c": 1}
    found = chicks_needed_for_each(each, wanted, certainty)
    threshold = Rational(*map(int, _parts(certainty)))
    assert chance_of_each(each, wanted, found) >= threshold
    assert chance_of_each(each, wanted, found - 1) < threshold


def test_one_class_alone_needs_what_it_needs_by_itself() -> None:
    assert chicks_needed_for_each({"a": "1/16"}, {"a": 3}) == chicks_needed("1/16", wanted=3)
    assert chicks_needed_for_each({"a": "1/16", "b": "1/2"}, {"a": 3}) == chicks_needed("1/16", wanted=3)
    assert chicks_needed_for_each({"a": "1/16"}, {"a": 0}) == 0
    assert chicks_needed_for_each({"a": 1}, {"a": 2}, certainty=1) == 2


def test_too_many_classes_at_once_are_refused_before_the_work() -> None:
    each = {f"class {n}": Rational(1, 40 + n) for n in range(24)}
    with pytest.raises(TooLargeError, match="24 classes at once") as caught:
        chance_of_each(each, dict.fromkeys(each, 1), 50)
    assert caught.value.size > caught.value.limit
    with pytest.raises(TooLargeError):
        chicks_needed_for_each(each, dict.fromkeys(each, 1))


# ---- bad calls -----------------------------------------------------------------------------------------------------

BAD = {
    "fraction above one": (lambda: chance("5/4", 3), ArgumentError, "between 0 and 1"),
    "negative fraction": (lambda: chance(-0.1, 3), ArgumentError, "between 0 and 1"),
    "chicks not whole": (lambda: chance("1/4", 2.5), ArgumentError, "chicks=2.5"),
    "negative chicks": (lambda: chance("1/4", -1), ArgumentError, "at least 0"),
    "chicks of a range not whole": (lambda: likely_range("1/4", 2.5), ArgumentError, "chicks=2.5"),
    "chicks of several classes not whole": (
        lambda: chance_of_each({"a": "1/4"}, {"a": 1}, 2.5),
        ArgumentError,
        "chicks=2.5",
    ),
    "a least number not whole": (lambda: chance("1/4", 9, at_least=0.5), ArgumentError, "at_least=0.5"),
    "a largest number not whole": (lambda: chance("1/4", 9, at_most=0.5), ArgumentError, "at_most=0.5"),
    "coverage of nothing": (lambda: likely_range("1/4", 9, 0), ArgumentError, "coverage=0"),
    "bounds the wrong way round": (lambda: chance("1/4", 9, at_least=4, at_most=2), ArgumentError, "contradict"),
    "no chicks chosen": (lambda: chance(CARRIERS, 9), ArgumentError, "say which chicks"),
    "a choice without an offspring": (lambda: chance("1/4", 9, sex="male"), ArgumentError, "of an Offspring"),
    "nothing wanted": (lambda: chicks_needed("1/4", wanted=0), ArgumentError, "wanted=0"),
    "certainty of nothing": (lambda: chicks_needed("1/4", certainty=0), ArgumentError, "above 0 and below 1"),
    "certainty above one": (lambda: chicks_needed("1/4", certainty="120%"), ArgumentError, "between 0 and 1"),
    "full certainty": (lambda: chicks_needed("1/4", certainty=1), ArgumentError, "fraction of 1/4.*may fail"),
    "symbolic certainty": (lambda: chicks_needed("1/4", certainty=p), ArgumentError, "rational"),
    "a symbol where numbers count": (lambda: chicks_needed(p), ArgumentError, "depends on p"),
    "a symbol in a range": (lambda: likely_range(p, 10), ArgumentError, "depends on p"),
    "a class that cannot come": (lambda: chicks_needed(0), ImpossibleError, "cannot come out"),
    "full coverage": (lambda: likely_range("1/4", 10, coverage=1), ArgumentError, "above 0 and below 1"),
    "no fertility": (lambda: eggs_to_set("1/4", fertility=0), ArgumentError, "fertility=0.*hatches nothing"),
    "no hatch": (lambda: eggs_to_set("1/4", hatch_of_fertile=0), ArgumentError, "hatch_of_fertile=0"),
    "no survival": (lambda: eggs_to_set("1/4", survival="0%"), ArgumentError, "survival='0%'"),
    "eggs for chicks that were picked out": (
        lambda: eggs_to_set(CARRIERS.given("Lav+/_"), genotype="Lav+/lav"),
        ArgumentError,
        "whole mating",
    ),
    "eggs for fertilised eggs": (
        lambda: eggs_to_set(CREEPERS.at_fertilisation, genotype="Cp/cp+"),
        ArgumentError,
        "whole mating",
    ),
    "fertility above one": (lambda: eggs_to_set("1/4", fertility=90), ArgumentError, "between 0 and 1"),
    "several wants of one fraction": (lambda: eggs_to_set("1/4", {"a": 1}), ArgumentError, "several fractions"),
    "a choice among named classes": (
        lambda: eggs_to_set({"a": "1/4"}, {"a": 1}, sex="male"),
        ArgumentError,
        "Offspring",
    ),
    "one number wanted of several classes": (lambda: eggs_to_set({"a": "1/4"}, 2), ArgumentError, "wanted=2"),
    "fractions above one": (lambda: chance_of_each({"a": "2/3", "b": "1/2"}, {"a": 1}, 5), ArgumentError, "sum to 7/6"),
    "an unknown class": (
        lambda: chance_of_each({"rose": "1/4"}, {"roze": 1}, 5),
        UnknownSymbolError,
        "'roze' in fractions.*'rose'",
    ),
    "a negative want": (lambda: chance_of_each({"a": "1/4"}, {"a": -1}, 5), ArgumentError, "wanted a=-1"),
    "wants that are no mapping": (lambda: chance_of_each({"a": "1/4"}, 3, 5), ArgumentError, "wanted=3"),
    "traits of plain fractions": (
        lambda: chance_of_each({"a": "1/4"}, {"a": 1}, 5, traits="comb"),
        ArgumentError,
        "only for an Offspring",
    ),
    "an impossible class among several": (
        lambda: chicks_needed_for_each({"a": "1/4", "b": 0}, {"a": 1, "b": 1}),
        ImpossibleError,
        "cannot come out",
    ),
    "full certainty of several": (
        lambda: chicks_needed_for_each({"a": "1/4", "b": "1/4"}, {"a": 1, "b": 1}, 1),
        ArgumentError,
        "may fail",
    ),
    "irrational classes": (
        lambda: chicks_needed_for_each({"a": sympy.sqrt(2) / 4, "b": "1/4"}, {"a": 1, "b": 1}),
        ArgumentError,
        "rational",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_calls_are_answered(name: str) -> None:
    call, error, words = BAD[name]
    with pytest.raises(error, match=words) as caught:
        call()
    assert "None" not in str(caught.value)
    assert caught.value.fields.get("value", ...) is not None
