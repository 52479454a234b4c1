"""Does a hatch fit what was expected, and do several hatches agree?"""

from __future__ import annotations

import contextlib
import json
import math
from typing import Any

import pytest
import scipy.stats
import sympy
from hypothesis import given
from hypothesis import strategies as st
from sympy import Rational

from pinfeather.crosses import cross
from pinfeather.errors import (
    ArgumentError,
    DefinitionError,
    ImpossibleError,
    NotationError,
    SmallExpectationWarning,
    TooLargeError,
    UnknownSymbolError,
)
from pinfeather.exact.distribution import Distribution
from pinfeather.fowl import load_fowl
from pinfeather.hatches import goodness_of_fit, heterogeneity
from pinfeather.heredity import Locus, Species

FOWL = load_fowl()
CARRIERS = cross(FOWL.genotype("Lav+/lav"), FOWL.genotype("Lav+/lav"))
WALNUTS = cross(FOWL.genotype("R/r+ P/p+"), FOWL.genotype("R/r+ P/p+"))
COMBS = {"walnut": 31, "rose": 12, "pea": 9, "single": 4}
r = sympy.Symbol("r")


# ---- what is expected, in all its forms ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "expected",
    [
        "9:3:3:1",
        "9 : 3 : 3 : 1",
        "0.5625:0.1875:0.1875:0.0625",
        [9, 3, 3, 1],
        {"single": 1, "walnut": 9, "pea": 3, "rose": 3},
        {"walnut": "9/16", "rose": "3/16", "pea": "3/16", "single": "1/16"},
        Distribution.of({"walnut": 9, "rose": 3, "pea": 3, "single": 1}),
        WALNUTS.phenotypes("comb"),
        WALNUTS,
    ],
    ids=["ratio", "spaced", "decimals", "numbers", "mapping", "fractions", "distribution", "looks", "cross"],
)
def test_an_expectation_may_be_given_in_many_forms(expected: Any) -> None:
    fit = goodness_of_fit(COMBS, expected)
    assert fit.p_value == goodness_of_fit([31, 12, 9, 4], "9:3:3:1").p_value
    assert fit.observed == COMBS
    assert fit.expected["pea"] == Rational(21, 2)
    assert fit.chicks == 56


def test_the_chicks_of_a_cross_are_counted_by_look_or_by_genotype() -> None:
    by_genotype = goodness_of_fit({"Lav+/lav": 5, "lav/lav": 3, "Lav+/Lav+": 1}, CARRIERS)
    assert list(by_genotype.observed) == ["Lav+/Lav+", "Lav+/lav", "lav/lav"]
    assert by_genotype == goodness_of_fit({"lav/Lav+": 5, "lav/lav": 3, "Lav+/Lav+": 1}, CARRIERS, loci="lav")
    by_sex = goodness_of_fit({"male": 7, "female": 12}, CARRIERS)
    assert by_sex.expected == {"male": Rational(19, 2), "female": Rational(19, 2)}
    both = goodness_of_fit({"single, male": 1, "walnut, female": 8}, WALNUTS)
    assert both.expected["single, male"] == Rational(9, 32)
    assert both == goodness_of_fit({"single, male": 1, "walnut, female": 8}, WALNUTS, traits=("comb", "sex"))


# An invented gull whose tuft and beard have the same two labels, the one recessive and the other dominant.
GULL = Species(
    "Salt gull",
    loci=[
        Locus("tf", "tuft", ("Tf+", "tf"), shows={"tf/tf": "present", "Tf+/_": "absent"}),
        Locus("Bd", "beard", ("Bd", "bd+"), shows={"Bd/_": "present", "bd+/bd+": "absent"}),
    ],
)


def test_traits_that_share_their_labels_are_told_apart_where_it_matters() -> None:
    blues = cross(FOWL.genotype("E/E Bl/bl+"), FOWL.genotype("E/E Bl/bl+"))
    assert goodness_of_fit({"black": 6, "blue": 11, "splash": 5}, blues).expected["blue"] == 11
    with pytest.raises(UnknownSymbolError, match="did you mean 'splash'"):
        goodness_of_fit({"black": 6, "blue": 11, "splach": 5}, blues)
    both = cross(GULL.genotype("Tf+/tf Bd/bd+"), GULL.genotype("Tf+/tf Bd/bd+"))
    with pytest.raises(ArgumentError, match="several traits: tuft or beard"):
        goodness_of_fit({"present": 9, "absent": 3}, both)
    assert goodness_of_fit({"present": 9, "absent": 3}, both, traits="beard").expected["present"] == 9
    one = cross(GULL.genotype("Tf+/tf"), GULL.genotype("Tf+/tf"))
    assert goodness_of_fit({"present": 3, "absent": 9}, one).expected["present"] == 3
    told = GULL.genotype("tf/tf").restricted_to("tf")
    assert goodness_of_fit({"present": 3, "absent": 9}, cross(told, GULL.genotype("Tf+/tf"))).expected["present"] == 6


def test_a_class_nobody_saw_was_counted_none_times() -> None:
    assert goodness_of_fit({"walnut": 3}, WALNUTS).observed == {"walnut": 3, "rose": 0, "pea": 0, "single": 0}


def test_keys_are_matched_by_the_text_they_print_as() -> None:
    looks = WALNUTS.phenotypes("comb")
    counts = dict(zip(looks, (31, 12, 9, 4), strict=True))
    assert goodness_of_fit(counts, looks) == goodness_of_fit(COMBS, "9:3:3:1")


# ---- the three tests -----------------------------------------------------------------------------------------------


@given(st.lists(st.tuples(st.integers(0, 60), st.integers(1, 12)), min_size=2, max_size=6))
def test_the_large_sample_tests_agree_with_scipy(cells: list[tuple[int, int]]) -> None:
    counts, parts = [1 + count for count, _ in cells], [part for _, part in cells]
    means = [part * sum(counts) / sum(parts) for part in parts]
    for method, theirs in (
        ("chi-square", scipy.stats.chisquare(counts, means)),
        ("likelihood-ratio", scipy.stats.power_divergence(counts, means, lambda_="log-likelihood")),
    ):
        with pytest.warns(SmallExpectationWarning) if min(means) < 5 else contextlib.nullcontext():
            fit = goodness_of_fit(counts, parts, method=method)
        assert float(fit.statistic) == pytest.approx(theirs.statistic, rel=1e-11, abs=1e-11)
        assert fit.p_value == pytest.approx(theirs.pvalue, abs=1e-12)


@given(st.integers(0, 150), st.integers(0, 150), st.integers(1, 9), st.integers(1, 9))
def test_the_exact_test_of_two_classes_agrees_with_scipy(a: int, b: int, first: int, second: int) -> None:
    if a + b:
        theirs = scipy.stats.binomtest(a, a + b, first / (first + second)).pvalue
        assert float(goodness_of_fit([a, b], [first, second]).p_value) == pytest.approx(theirs, abs=1e-12)


def test_the_exact_test_gives_fractions() -> None:
    fit = goodness_of_fit([3, 0], "1:1")
    assert (fit.statistic, fit.p_value, fit.degrees_of_freedom) == (Rational(1, 8), Rational(1, 4), 1)
    assert "p_value=1/4" in repr(fit)
    assert len({fit, goodness_of_fit([3, 0], "1:1")}) == 1


def test_a_statistic_of_chi_square_is_exact() -> None:
    fit = goodness_of_fit([30, 10], "1:1", method="chi-square")
    assert fit.statistic == 10
    assert isinstance(fit.p_value, float)


def test_one_class_fits_by_itself() -> None:
    assert goodness_of_fit({"black": 4}, {"black": 1}).p_value == 1
    assert goodness_of_fit({"black": 4}, {"black": 1}, method="chi-square").p_value == 1
    assert goodness_of_fit([41, 0], "1:0").degrees_of_freedom == 0


def test_a_p_value_is_right_far_into_the_tail() -> None:
    fit = goodness_of_fit([1500, 500], "1:1", method="chi-square")
    assert fit.statistic == 500
    assert fit.p_value == pytest.approx(scipy.stats.chi2.sf(500, 1), rel=1e-12)
    exact = goodness_of_fit([1500, 500], "1:1")
    assert float(exact.p_value) == pytest.approx(scipy.stats.binomtest(500, 2000, 0.5).pvalue, rel=1e-9)
    beyond = goodness_of_fit([15_000, 0], "1:1", method="chi-square")
    assert beyond.p_value == 0
    assert "p = less than 1e-300" in str(beyond)


def test_irrational_chances_go_with_the_large_sample_tests() -> None:
    chances = {"a": sympy.sqrt(2) / 2, "b": 1 - sympy.sqrt(2) / 2}
    fit = goodness_of_fit({"a": 60, "b": 40}, chances, method="chi-square")
    means = [100 * 2**0.5 / 2, 100 * (1 - 2**0.5 / 2)]
    assert fit.statistic == pytest.approx(scipy.stats.chisquare([60, 40], means).statistic, rel=1e-12)
    assert fit.expected["a"] == pytest.approx(70.71, abs=0.01)


def test_parameters_that_were_estimated_cost_degrees_of_freedom() -> None:
    assert goodness_of_fit([30, 50, 20], "1:2:1", method="chi-square", estimated=1).degrees_of_freedom == 1


def test_small_expectations_are_warned_of() -> None:
    with pytest.warns(SmallExpectationWarning, match="1.00 'single'|1 'single'"):
        fit = goodness_of_fit({"walnut": 9, "rose": 4, "pea": 2, "single": 1}, "9:3:3:1", method="chi-square")
    assert "Too few expected" in fit.warning
    assert "Too few expected" in str(fit)
    assert goodness_of_fit({"walnut": 9, "rose": 4, "pea": 2, "single": 1}, "9:3:3:1").warning == ""


@pytest.mark.parametrize("method", ["exact", "chi-square", "likelihood-ratio"])
def test_what_cannot_come_out_is_impossible_and_not_merely_unlikely(method: str) -> None:
    clean = cross(FOWL.genotype("R/R"), FOWL.genotype("R/r+"))
    fit = goodness_of_fit({"rose": 40, "single": 2}, clean, method=method)
    assert fit.p_value == 0
    assert fit.impossible == ("single",)
    assert "Impossible, not merely unlikely: 2 'single'" in str(fit)
    assert "wrong parent" in str(fit)
    assert goodness_of_fit([40, 2], "1:0", method=method).impossible == ("class 2",)
    assert json.loads(json.dumps(fit.to_dict(), allow_nan=False))["impossible"] == ["single"]


def test_large_tables_are_refused_before_the_work_with_the_way_round() -> None:
    with pytest.raises(TooLargeError, match='use method="chi-square"') as caught:
        goodness_of_fit([30] * 12, [1] * 12)
    assert caught.value.size > caught.value.limit == 2_000_000
    with pytest.raises(TooLargeError):
        goodness_of_fit([3, 2, 2], "1:1:1", largest_enumeration=10)
    with pytest.raises(TooLargeError):
        goodness_of_fit([10**6, 10**6], "1:1")


# ---- how it reads --------------------------------------------------------------------------------------------------


def test_a_fit_reads_as_a_short_table() -> None:
    assert str(goodness_of_fit({"black": 64, "game": 23}, "3:1", method="chi-square")) == (
        "class  counted  expected\n"
        "black       64     65.25\n"
        "game        23     21.75\n"
        "total       87        87\n"
        "chi-square: 0.096 with 1 degree of freedom, p = 0.757\n"
        "These counts fit: by chance alone 75.7 % of such hatches come out as far off, or further."
    )


@pytest.mark.parametrize(
    ("counts", "words"),
    [
        ([5, 5], "These counts fit"),
        ([16, 5], "fit badly: by chance alone only 1 hatch in 38"),
        ([90, 10], "do not fit"),
    ],
)
def test_the_verdict_is_in_words(counts: list[int], words: str) -> None:
    assert words in str(goodness_of_fit(counts, "1:1"))


def test_a_hatch_too_far_off_for_words_is_still_put_into_words() -> None:
    assert "fewer than 1 hatch in a million million" in str(goodness_of_fit([200, 0], "1:1"))


def test_names_are_escaped_in_html() -> None:
    html = goodness_of_fit({"<b>black</b>": 3, "white & blue": 4}, "1:1")._repr_html_()
    assert "<b>" not in html
    assert "&lt;b&gt;black&lt;/b&gt;" in html
    assert "white &amp; blue" in html


def test_plain_values_hold_exact_numbers_as_text() -> None:
    plain = goodness_of_fit([3, 0], "1:1").to_dict()
    assert plain["p_value"] == "1/4"
    assert plain["expected"] == {"class 1": "3/2", "class 2": "3/2"}
    assert json.loads(json.dumps(plain)) == plain


def test_fractions_of_many_digits_are_written_out() -> None:
    fit = goodness_of_fit([5000, 5000], "9:7")
    assert "p_value=<about " in repr(fit)
    plain = fit.to_dict()
    top, bottom = plain["p_value"].split("/")
    assert len(bottom) > 4300
    assert float(f"0.{top}") > 0


# ---- several hatches -----------------------------------------------------------------------------------------------


def test_heterogeneity_is_what_the_pooled_fit_leaves() -> None:
    """Three hatches in the ratio expected between them, none of them alone."""
    found = heterogeneity([[30, 10], [10, 30], [20, 20]], "1:1")
    assert (found.total_statistic, found.total_degrees_of_freedom) == (20, 3)
    assert (found.pooled.statistic, found.pooled.chicks) == (0, 120)
    assert (found.statistic, found.degrees_of_freedom) == (20, 2)
    assert found.p_value == pytest.approx(math.exp(-10), rel=1e-12)
    assert "do not pool them" in str(found)


@given(
    st.lists(st.lists(st.integers(20, 90), min_size=3, max_size=3), min_size=2, max_size=4),
)
def test_the_likelihood_ratio_of_heterogeneity_is_that_of_the_table(hatches: list[list[int]]) -> None:
    """The likelihood ratio splits exactly: its heterogeneity is that of the contingency table, whatever is expected."""
    found = heterogeneity(hatches, "1:2:1", method="likelihood-ratio")
    theirs = scipy.stats.chi2_contingency(hatches, lambda_="log-likelihood", correction=False)
    assert found.statistic == pytest.approx(theirs.statistic, abs=1e-9)
    assert found.degrees_of_freedom == theirs.dof
    assert found.p_value == pytest.approx(theirs.pvalue, abs=1e-10)
    assert found.statistic >= 0


def test_heterogeneity_reads_as_a_short_table() -> None:
    found = heterogeneity(
        {"pen A": {"black": 30, "game": 9}, "pen <B>": {"game": 17, "black": 41}}, {"black": 3, "game": 1}
    )
    lines = str(found).splitlines()
    assert lines[0].split() == ["hatch", "chicks", "chi-square", "degrees", "of", "freedom", "p"]
    assert lines[1].startswith("pen A")
    assert lines[-1] == "The hatches agree with each other, and together they fit."
    assert "pen &lt;B&gt;" in found._repr_html_()
    assert json.loads(json.dumps(found.to_dict()))["pooled"]["observed"] == {"black": 71, "game": 26}


def test_small_hatches_are_warned_of_once() -> None:
    with pytest.warns(SmallExpectationWarning, match="hatch 1, hatch 2") as caught:
        heterogeneity([[3, 1], [4, 3]], "3:1")
    assert len(caught) == 1


@pytest.mark.parametrize(
    "ask",
    [lambda: goodness_of_fit([3, 1], "3:1", method="chi-square"), lambda: heterogeneity([[3, 1], [4, 3]], "3:1")],
    ids=["goodness_of_fit", "heterogeneity"],
)
def test_a_warning_points_at_the_line_that_asked(ask: Any) -> None:
    with pytest.warns(SmallExpectationWarning) as caught:
        ask()
    assert caught[0].filename == __file__


# ---- bad calls -----------------------------------------------------------------------------------------------------

BAD = {
    "a negative count": (lambda: goodness_of_fit([3, -1], "1:1"), ArgumentError, "at least 0"),
    "a fractional count": (
        lambda: goodness_of_fit({"a": 2.5, "b": 1}, {"a": 1, "b": 1}),
        ArgumentError,
        "observed a=2.5",
    ),
    "a count that is true": (lambda: goodness_of_fit([True, 3], "1:1"), ArgumentError, "whole number"),
    "no chick at all": (lambda: goodness_of_fit([0, 0], "1:1"), ArgumentError, "not one chick"),
    "text for counts": (lambda: goodness_of_fit("3:1", "3:1"), ArgumentError, "class: count"),
    "chances short of one": (
        lambda: goodness_of_fit({"a": 1, "b": 2}, {"a": "1/2", "b": "1/3"}),
        DefinitionError,
        "sum to 5/6",
    ),
    "a negative chance": (lambda: goodness_of_fit({"a": 1, "b": 2}, {"a": 2, "b": -1}), DefinitionError, "negative"),
    "a ratio of nothing": (lambda: goodness_of_fit([1, 2], "0:0"), DefinitionError, "above zero"),
    "a ratio of words": (lambda: goodness_of_fit([1, 2], "three:one"), NotationError, "three"),
    "a ratio without a colon": (lambda: goodness_of_fit([1, 2], "31"), NotationError, "colons"),
    "a ratio too long": (lambda: goodness_of_fit([1, 2], "1:2:1"), ArgumentError, "2 classes.*has 3"),
    "an unknown class": (
        lambda: goodness_of_fit({"blakk": 1}, {"black": 3, "game": 1}),
        UnknownSymbolError,
        "in the expectation; .*'black'",
    ),
    "an unknown outcome": (
        lambda: goodness_of_fit({"roze": 1}, Distribution.of({"rose": 1, "pea": 1})),
        UnknownSymbolError,
        "'rose'",
    ),
    "an unknown label": (lambda: goodness_of_fit({"walnut": 1, "singlle": 1}, WALNUTS), UnknownSymbolError, "'single'"),
    "labels of no trait": (lambda: goodness_of_fit({"x": 1, "y": 2}, WALNUTS), ArgumentError, "no one trait"),
    "names of uneven length": (
        lambda: goodness_of_fit({"walnut": 1, "rose, male": 2}, WALNUTS),
        ArgumentError,
        "no one",
    ),
    "counts without names": (lambda: goodness_of_fit([1, 2], WALNUTS), ArgumentError, r"\[1, 2\]: .*named"),
    "counts without names, mapping": (
        lambda: goodness_of_fit([1, 2], {"a": 1, "b": 1}),
        ArgumentError,
        "named classes",
    ),
    "one class twice": (lambda: goodness_of_fit({"lav/Lav+": 1, "Lav+/lav": 1}, CARRIERS), ArgumentError, "already"),
    "traits and loci": (
        lambda: goodness_of_fit({"a": 1}, CARRIERS, traits="comb", loci="lav"),
        ArgumentError,
        "either",
    ),
    "traits of a ratio": (lambda: goodness_of_fit([1, 2], "1:1", traits="comb"), ArgumentError, "Offspring"),
    "an unknown method": (lambda: goodness_of_fit([1, 2], "1:1", method="chi-squared"), ArgumentError, "chi-square"),
    "an unknown number": (
        lambda: goodness_of_fit({"a": 1, "b": 2}, {"a": r, "b": 1 - r}),
        ArgumentError,
        "depends on r",
    ),
    "irrational and exact": (
        lambda: goodness_of_fit({"a": 1, "b": 2}, {"a": sympy.sqrt(2) / 2, "b": 1 - sympy.sqrt(2) / 2}),
        ArgumentError,
        "irrational",
    ),
    "estimated and exact": (lambda: goodness_of_fit([1, 2], "1:1", estimated=1), ArgumentError, "estimated"),
    "too much estimated": (
        lambda: goodness_of_fit([10, 20], "1:1", "chi-square", estimated=2),
        ArgumentError,
        "no degree of freedom",
    ),
    "an expectation of no kind": (lambda: goodness_of_fit({"a": 1}, 7), ArgumentError, "expected=7"),
    "one hatch alone": (lambda: heterogeneity([[3, 1]], "3:1"), ArgumentError, "two hatches"),
    "hatches of no kind": (lambda: heterogeneity("3:1", "3:1"), ArgumentError, "hatches"),
    "hatches with other classes": (
        lambda: heterogeneity([{"a": 9, "b": 9}, {"b": 9, "a": 9}], "1:1"),
        ArgumentError,
        "different classes",
    ),
    "the exact test of several hatches": (
        lambda: heterogeneity([[3, 1], [3, 1]], "3:1", method="exact"),
        ArgumentError,
        "method='exact'",
    ),
    "an impossible class in a hatch": (
        lambda: heterogeneity([[3, 0], [3, 1]], "1:0"),
        ImpossibleError,
        "hatch 2",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_calls_are_answered(name: str) -> None:
    call, error, words = BAD[name]
    with pytest.raises(error, match=words) as caught:
        call()
    assert "None" not in str(caught.value)
    assert caught.value.fields.get("value", ...) is not None
