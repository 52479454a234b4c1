"""Numbers are read exactly, whatever they are written as, and refused with a sentence where they cannot be."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from pinfeather import ArgumentError, NotationError
from pinfeather.exact import exact
from pinfeather.exact.numbers import (
    as_fraction,
    as_percent,
    between,
    exponential,
    hyperbolic_tangent,
    inverse_hyperbolic_tangent,
    logarithm,
    probability,
)

HALF = sympy.Rational(1, 2)
r = sympy.Symbol("r")


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        (3, (3, 1)),
        (-2, (-2, 1)),
        (0.05, (1, 20)),
        (0.1, (1, 10)),
        (1e-3, (1, 1000)),
        (Fraction(3, 4), (3, 4)),
        (Decimal("0.125"), (1, 8)),
        (sympy.Rational(2, 6), (1, 3)),
        (sympy.Integer(7), (7, 1)),
        (sympy.Float("0.05"), (1, 20)),
        (np.float64(0.25), (1, 4)),
        (np.int64(4), (4, 1)),
        ("3/4", (3, 4)),
        (" 3 / 4 ", (3, 4)),
        ("0.05", (1, 20)),
        (".5", (1, 2)),
        ("1.", (1, 1)),
        ("95%", (19, 20)),
        ("12.5 %", (1, 8)),
        ("-1/3", (-1, 3)),
        ("+2", (2, 1)),
        ("1e-2", (1, 100)),
        ("0.5/0.25", (2, 1)),
        ("1/2%", (1, 200)),
    ],
)
def test_a_number_is_read_exactly_however_it_is_written(written: Any, meant: tuple[int, int]) -> None:
    number = exact(written)
    assert number == sympy.Rational(*meant)
    assert number.is_Rational
    assert isinstance(number, sympy.Rational)


@pytest.mark.parametrize("expression", [r, 1 - r, r**2 / 3, sympy.exp(-r / 50), sympy.sqrt(2) / 2])
def test_a_symbolic_number_stays_as_it_is(expression: Any) -> None:
    assert exact(expression) == expression


def test_whatever_stands_for_a_whole_number_is_read_as_one() -> None:
    class Ring:
        def __index__(self) -> int:
            return 7

    assert exact(Ring()) == 7


def test_floats_inside_an_expression_become_the_decimals_they_print_as() -> None:
    assert exact(0.05 * r + sympy.Float(0.1)) == r / 20 + sympy.Rational(1, 10)


@pytest.mark.parametrize(
    "text", ["", " ", "half", "1/2/3", "1,5", "50 percent", "%", "1e9999", "r", "__import__('os')", "9" * 3000]
)
def test_text_that_is_no_number_is_refused_with_what_to_write(text: str) -> None:
    with pytest.raises(NotationError, match=r'is not a number; write "3/4", "0\.05" or "95%"') as caught:
        exact(text, "recombination")
    assert str(caught.value).startswith("recombination=")
    assert len(str(caught.value)) < 300
    assert caught.value.text == text


@pytest.mark.parametrize("text", ["1/0", "3/0.0", "0/0"])
def test_division_by_zero_is_refused(text: str) -> None:
    with pytest.raises(NotationError, match=f"prior='{text}' divides by zero"):
        exact(text, "prior")


@pytest.mark.parametrize(
    ("value", "reason"),
    [
        (True, "must be a number, not true or false"),
        (None, 'must be a number such as "3/4", "0.05" or "95%", not NoneType'),
        ([1, 2], "not list"),
        (1j, "not complex"),
        (object, "not type"),
        (float("inf"), "must be a finite number"),
        (float("nan"), "must be a finite number"),
        (Decimal("NaN"), "must be a finite number"),
        (Decimal("sNaN"), "must be a finite number"),
        (sympy.oo, "must be a finite real number"),
        (sympy.zoo, "must be a finite real number"),
        (sympy.nan, "must be a finite real number"),
        (sympy.I, "must be a finite real number"),
        (1 + 2 * sympy.I, "must be a finite real number"),
    ],
)
def test_a_value_that_is_no_finite_real_number_is_refused(value: Any, reason: str) -> None:
    with pytest.raises(ArgumentError) as caught:
        exact(value, "chance")
    assert str(caught.value).startswith("chance=")
    assert reason in str(caught.value)
    assert caught.value.argument == "chance"


@pytest.mark.parametrize("value", [0, 1, "1/2", "100%", 0.5, r, 1 - r, sympy.exp(-1), sympy.sqrt(2) / 2])
def test_a_chance_between_0_and_1_is_taken(value: Any) -> None:
    assert probability(value) == exact(value)


@pytest.mark.parametrize("value", [-1, "1.01", "101%", 2, -0.1, sympy.sqrt(2), sympy.pi, -sympy.exp(1)])
def test_a_chance_outside_0_and_1_is_refused(value: Any) -> None:
    with pytest.raises(ArgumentError, match=r"penetrance=.*: must lie between 0 and 1"):
        probability(value, "penetrance")


def test_the_bounds_of_an_interval_belong_to_it() -> None:
    assert between("1/2", "recombination", 0, "1/2") == HALF
    assert between(0, "recombination", 0, "1/2") == 0
    with pytest.raises(ArgumentError, match="must lie between 0 and 1/2"):
        between("0.51", "recombination", 0, "1/2")
    with pytest.raises(NotationError, match=r"^recombination='often' is not a number"):
        between("often", "recombination", 0, "1/2")


@pytest.mark.parametrize("value", ["3/10", 0.3, Fraction(3, 10)])
def test_elementary_functions_are_exact_and_take_any_number(value: Any) -> None:
    x = sympy.Rational(3, 10)
    assert exponential(value) == sympy.exp(x)
    assert logarithm(value) == sympy.log(x)
    assert hyperbolic_tangent(value) == sympy.tanh(x)
    assert inverse_hyperbolic_tangent(value) == sympy.atanh(x)


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("9/16", "56.25 %"),
        ("1/3", "~ 33.33 %"),
        ("2/3", "~ 66.67 %"),
        ("1/200", "0.5 %"),
        ("1/100000", "~ 0 %"),
        ("1", "100 %"),
        ("0", "0 %"),
        ("1/16", "6.25 %"),
        ("1/32", "~ 3.13 %"),
    ],
)
def test_a_percentage_says_when_it_is_rounded(value: str, shown: str) -> None:
    """Halves are rounded up, and a rounded figure carries a tilde."""
    assert as_percent(exact(value)) == shown


def test_a_symbolic_chance_has_no_percentage() -> None:
    assert as_percent(1 - r) == ""


@given(st.fractions())
def test_a_fraction_reads_back_from_its_text(number: Fraction) -> None:
    assert as_fraction(str(number)) == number
    assert exact(number) == sympy.Rational(number.numerator, number.denominator)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_float_is_the_decimal_it_prints_as(number: float) -> None:
    assert as_fraction(number) == Fraction(repr(number))
    assert as_fraction(exact(number)) == Fraction(repr(number))


@given(st.decimals(allow_nan=False, allow_infinity=False, places=6))
def test_a_decimal_reads_like_its_text(number: Decimal) -> None:
    assert as_fraction(number) == as_fraction(str(number))


@given(st.text(max_size=12) | st.text(alphabet="0123456789./%+-e ", max_size=12))
def test_no_text_makes_anything_but_a_number_or_our_error(text: str) -> None:
    try:
        number = exact(text)
    except NotationError:
        return
    assert number.is_Rational


@pytest.mark.parametrize(("written", "advice"), [(95, True), ("12.5", True), (100, True), (101, False), (-1, False)])
def test_a_percentage_without_its_sign_is_told_how_to_write_it(written: Any, advice: bool) -> None:
    with pytest.raises(ArgumentError, match=r"certainty=.*: must lie between 0 and 1") as caught:
        probability(written, "certainty")
    assert (f'{written} per cent is written "{written}%"' in str(caught.value)) is advice


def test_no_such_advice_is_given_where_one_is_not_the_end() -> None:
    with pytest.raises(ArgumentError, match=r"must lie between 0 and 1/2$"):
        between("0.6", "recombination", 0, "1/2")
