"""How the results of this room read: numbers for people, tables, and plain values for JSON."""

from __future__ import annotations

import json
import re
from typing import Any

import attrs
import pytest
import sympy
from sympy import Rational

from pinfeather.hatches import estimate, goodness_of_fit, heterogeneity
from pinfeather.hatches.layout import brief, how_often, percent_text, short_p

r = sympy.Symbol("r")
ESTIMATE = estimate({"parental": 27, "recombinant": 6}, {"parental": 1 - r, "recombinant": r}, r)
TWINS = estimate({"a": 10, "b": 30}, {"a": 2 * r * (1 - r), "b": 1 - 2 * r * (1 - r)}, r)
FIT = goodness_of_fit({"black": 64, "game": 23}, "3:1", method="chi-square")
PENS = heterogeneity({"pen A": [30, 9], "pen B": [41, 17]}, "3:1")


# ---- numbers -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (Rational(1, 20), "1 hatch in 20"),
        (Rational(1, 99), "1 hatch in 99"),
        (Rational(1, 437), "1 hatch in 440"),
        (Rational(1, 123_456), "1 hatch in 120,000"),
        (1e-11, "1 hatch in 100,000,000,000"),
        (1e-13, "fewer than 1 hatch in a million million"),
        (0, "fewer than 1 hatch in a million million"),
    ],
)
def test_a_small_chance_is_one_hatch_in_so_many_to_two_digits(share: Any, words: str) -> None:
    assert how_often(share) == words


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (1, "100 %"),
        (Rational(9996, 10_000), "more than 99.9 %"),
        (Rational(9995, 10_000), "more than 99.9 %"),
        (Rational(9994, 10_000), "99.9 %"),
        (Rational(1, 3), "33.3 %"),
        (Rational(1, 800), "0.125 %"),
    ],
)
def test_a_percentage_has_three_digits_and_is_never_rounded_up_to_certainty(share: Any, words: str) -> None:
    assert percent_text(share) == words


@pytest.mark.parametrize(
    ("p_value", "words"),
    [
        (1, "1.000"),
        (Rational(1, 10), "0.100"),
        (Rational(99, 1000), "0.099"),
        (0.012345, "0.0123"),
        (0.0, "less than 1e-300"),
    ],
)
def test_a_p_value_has_three_digits_that_count(p_value: Any, words: str) -> None:
    assert short_p(p_value) == words


def test_a_long_number_is_shown_by_its_size() -> None:
    forty, longer = Rational(1, 10**37 + 1), Rational(1, 10**38 + 1)
    assert brief(forty) == f"1/1{'0' * 36}1"
    assert len(brief(forty)) == 40
    assert brief(longer) == "<about 1e-38>"


# ---- verdicts ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ([1, 18], "These counts fit: by chance alone 5.26 % of such hatches"),
        ([1, 19], "These counts fit: by chance alone 5 % of such hatches"),
        ([1, 20], "These counts fit badly: by chance alone only 1 hatch in 21"),
        ([1, 99], "These counts fit badly: by chance alone only 1 hatch in 100"),
        ([1, 100], "These counts do not fit: by chance alone only 1 hatch in 100"),
    ],
)
def test_one_in_twenty_still_fits_and_one_in_a_hundred_fits_badly(parts: list[int], words: str) -> None:
    """One chick of the rarer class, whose p-value is the fraction of that class."""
    assert str(goodness_of_fit([1, 0], parts)).splitlines()[-1].startswith(words)


def test_what_cannot_come_out_is_named_with_what_to_look_for() -> None:
    fit = goodness_of_fit({"black": 3, "game": 1, "white": 2}, {"black": 3, "game": 0, "white": 0})
    assert str(fit).splitlines()[-2:] == [
        "Impossible, not merely unlikely: 1 'game', 2 'white'.",
        "Look for a wrong parent, a misread chick, a wrong genotype on record, or a label put on twice.",
    ]


@pytest.mark.parametrize(
    ("hatches", "words"),
    [
        ([[30, 10], [10, 30]], "The hatches differ from each other more than chance explains; do not pool them."),
        ([[30, 30], [20, 20]], "The hatches agree with each other, and together they fit."),
        ([[45, 15], [60, 20]], "The hatches agree with each other, and together they do not fit."),
    ],
)
def test_whether_hatches_may_be_pooled_is_said_in_words(hatches: list[list[int]], words: str) -> None:
    found = heterogeneity(hatches, "1:1")
    assert str(found).splitlines()[-1] == words
    assert f"<p>{words}</p>" in found._repr_html_()


def test_values_that_cannot_be_told_apart_are_shown_to_four_places() -> None:
    low, high = (1 - sympy.sqrt(2) / 2) / 2, (1 + sympy.sqrt(2) / 2) / 2
    assert sorted([TWINS.exact, *TWINS.equally_good]) == [low, high]
    assert str(TWINS).splitlines()[-1] == (
        f"Equally good: {float(TWINS.equally_good[0]):.4f}.  The counts cannot tell these apart."
    )
    assert "Equally good" not in str(ESTIMATE)


def test_the_border_is_said_where_a_standard_error_would_stand() -> None:
    found = estimate({"parental": 10, "recombinant": 0}, {"parental": 1 - r, "recombinant": r}, r)
    assert re.search(r"^standard error +none, at the border$", str(found), re.MULTILINE)


# ---- plain values --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("result", [ESTIMATE, FIT, PENS], ids=lambda result: type(result).__name__)
def test_plain_values_name_every_public_attribute(result: Any) -> None:
    plain = result.to_dict()
    assert list(plain) == [field.name for field in attrs.fields(type(result)) if not field.name.startswith("_")]
    assert json.loads(json.dumps(plain, allow_nan=False)) == plain


def test_plain_values_are_those_of_the_result() -> None:
    plain = ESTIMATE.to_dict()
    assert (plain["parameter"], plain["exact"], plain["value"]) == ("r", "2/11", ESTIMATE.value)
    assert (plain["support"], plain["between"]) == ("2", ["0", "1"])
    assert plain["support_interval"] == list(ESTIMATE.support_interval)
    assert (plain["observed"], plain["expected"]) == (ESTIMATE.observed, ESTIMATE.expected)
    assert plain["standard_error"] == ESTIMATE.standard_error
    assert plain["expected_standard_error"] == ESTIMATE.expected_standard_error
    assert plain["log_likelihood"] == ESTIMATE.log_likelihood
    assert TWINS.to_dict()["equally_good"] == [str(value) for value in TWINS.equally_good]
    fit = FIT.to_dict()
    assert (fit["method"], fit["statistic"], fit["degrees_of_freedom"]) == ("chi-square", "25/261", 1)
    assert (fit["observed"], fit["expected"]) == (FIT.observed, {"black": "261/4", "game": "87/4"})
    assert (fit["p_value"], fit["impossible"], fit["warning"]) == (FIT.p_value, [], "")
    pens = PENS.to_dict()
    assert pens["hatches"]["pen A"]["observed"] == PENS.hatches["pen A"].observed
    assert pens["pooled"] == PENS.pooled.to_dict()
    assert pens["total_statistic"] == str(PENS.total_statistic)
    assert pens["statistic"] == str(PENS.statistic)
    assert (pens["total_degrees_of_freedom"], pens["degrees_of_freedom"]) == (2, 1)
    assert (pens["total_p_value"], pens["p_value"]) == (PENS.total_p_value, PENS.p_value)
