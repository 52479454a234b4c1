"""Weights are whole numbers, or polynomials over the whole numbers in the parameters that are symbols."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.exact.symbolic import RATIONAL, WeightRing, added, common_multiple, even_quotient, reduced, ring_of

r, q = sympy.symbols("r q")
HALF = sympy.Rational(1, 2)


def test_rational_values_need_no_ring() -> None:
    ring = WeightRing.of([HALF, sympy.Integer(2)])
    assert ring is RATIONAL
    assert ring.whole([HALF, sympy.Rational(1, 3)]) == ([3, 2], 6)
    assert ring.whole([]) == ([], 1)


def test_a_ring_holds_the_symbols_of_its_values() -> None:
    ring = WeightRing.of([r / 2, 1 - q, HALF])
    assert set(ring.generators) == {r, q}
    assert ring == WeightRing(ring.generators)
    assert ring != RATIONAL


def test_values_are_written_over_one_whole_denominator() -> None:
    ring = WeightRing.of([r, q])
    values = [r / 2, (1 - q) / 3, HALF]
    weights, total = ring.whole(values)
    assert total == 6
    assert [ring.quotient(weight, total) for weight in weights] == [sympy.expand(value) for value in values]


def test_a_ring_writes_each_set_of_values_for_itself() -> None:
    """Asked again it gives the same weights, in a list of its own, and other values get other weights."""
    ring = WeightRing.of([r, q])
    first, total = ring.whole([r / 2, 1 - r / 2])
    other, one = ring.whole([q, 1 - q])
    assert (total, one) == (2, 1)
    assert [ring.quotient(weight, one) for weight in other] == [q, 1 - q]
    again, _ = ring.whole([r / 2, 1 - r / 2])
    assert again == first
    again.clear()
    assert ring.whole([r / 2, 1 - r / 2]) == (first, 2)


@pytest.mark.parametrize(
    ("weight", "total", "quotient"),
    [
        (r, 1, r),
        (2 * r, 4, r / 2),
        (1 - r**2, 1 - r, 1 + r),
        (r, r**2, 1 / r),
        (2, 4 * r, 1 / (2 * r)),
        (sympy.Integer(0), r, 0),
        (r - r**2, 2 * r - r**2, (1 - r) / (2 - r)),
    ],
)
def test_a_quotient_comes_out_cancelled_and_expanded(weight: Any, total: Any, quotient: Any) -> None:
    ring = WeightRing.of([r, q])
    (above, below), _ = ring.whole([sympy.sympify(weight), sympy.sympify(total)])
    found = ring.quotient(above, below)
    assert sympy.cancel(found - quotient) == 0
    numerator, denominator = sympy.fraction(found)
    assert (numerator, denominator) == (sympy.expand(numerator), sympy.expand(denominator))
    assert sympy.gcd(numerator, denominator) in (1, -1, 2)


def test_whole_weights_divide_to_rationals_in_any_ring() -> None:
    ring = WeightRing.of([r])
    assert ring.quotient(3, 6) == HALF
    assert isinstance(RATIONAL.quotient(3, 6), sympy.Rational)
    assert ring.quotient(*_pair(ring, 3, 6)) == HALF


def test_a_whole_number_may_be_divided_by_a_polynomial() -> None:
    ring = WeightRing.of([r])
    (double, one), _ = ring.whole([2 * r, 1 + r])
    assert ring.quotient(6, double) == 3 / r
    assert ring.quotient(6, one) == 6 / (1 + r)
    assert ring.quotient(6, double - double + 4) == sympy.Rational(3, 2)
    assert ring.quotient(double, 4) == r / 2
    root = WeightRing.of([sympy.sqrt(2)])
    (irrational,), _ = root.whole([sympy.sqrt(2)])
    assert root.quotient(2, irrational) == sympy.sqrt(2)


def _pair(ring: WeightRing, above: int, below: int) -> tuple[Any, Any]:
    """Two whole numbers that stand in the ring as polynomials of degree nought."""
    (first, second, _), _ = ring.whole([sympy.Integer(above), sympy.Integer(below), r])
    return first, second


@pytest.mark.parametrize(
    "parameter", [sympy.exp(-sympy.Rational(2, 5)), sympy.sqrt(2) / 2, sympy.tanh(sympy.Rational(1, 5)), sympy.pi / 4]
)
def test_an_irrational_parameter_is_kept_as_what_it_is(parameter: Any) -> None:
    ring = WeightRing.of([parameter, 1 - parameter])
    (one, other), total = ring.whole([parameter, 1 - parameter])
    assert sympy.simplify(ring.quotient(one, total) - parameter) == 0
    assert ring.quotient(one + other, total) == 1
    assert sympy.simplify(ring.quotient(one, one + one) - HALF) == 0
    assert sympy.simplify(ring.quotient(one * other, other) - parameter * sympy.Integer(total)) == 0


def test_the_ring_of_some_weights_is_the_one_they_were_made_in() -> None:
    ring = WeightRing.of([r, q])
    (weight,), _ = ring.whole([r * q])
    assert ring_of([3, weight]) == ring
    assert ring_of([3, 4]) is RATIONAL
    assert ring_of([]) is RATIONAL


def test_weights_are_reduced_by_what_divides_them_all() -> None:
    ring = WeightRing.of([r])
    (weight,), _ = ring.whole([4 * r + 6])
    assert reduced([6, 9, 0]) == [2, 3, 0]
    assert reduced([5, 7]) == [5, 7]
    assert reduced([0, 0]) == [0, 0]
    assert reduced([]) == []
    assert [str(w) for w in reduced([weight, 2])] == ["2*r + 3", "1"]
    assert reduced([weight, 3]) == [weight, 3]


def test_sums_and_nothing() -> None:
    ring = WeightRing.of([r])
    (one, other), _ = ring.whole([r, -r])
    assert added([]) == 0
    assert added([1, 2, 3]) == 6
    assert added([one, other]) == 0
    assert one != 0


coefficients = st.lists(st.integers(-6, 6), min_size=1, max_size=4)


@given(coefficients, coefficients, st.fractions(min_value=0, max_value=1, max_denominator=30))
def test_a_quotient_has_the_value_that_its_parts_have(top: list[int], bottom: list[int], at: Fraction) -> None:
    """Sums, products and quotients of polynomials agree with those of their values at a point."""
    x = sympy.Rational(at.numerator, at.denominator)
    above = sum((c * r**n for n, c in enumerate(top)), r - r)
    below = sum((c * r**n for n, c in enumerate(bottom)), r - r)
    ring = WeightRing.of([r])
    weights, total = ring.whole([sympy.expand(above) / 6, sympy.expand(below) / 4])
    value, other = (sympy.sympify(part).subs(r, x) for part in (above, below))
    assert ring.quotient(weights[0] * weights[1], total * total).subs(r, x) == value * other / 24
    assert ring.quotient(weights[0] + weights[1], total).subs(r, x) == value / 6 + other / 4
    if weights[1] and other != 0:
        assert ring.quotient(weights[0], weights[1]).subs(r, x) == (value / 6) / (other / 4)


def test_a_common_multiple_is_divided_evenly_by_every_weight() -> None:
    (poly, other), _ = WeightRing.of([r]).whole([1 + r, 2 * r])
    weights = [4, poly, 6, other, poly]
    multiple = common_multiple(weights)
    assert multiple == 12 * poly * other
    assert all(even_quotient(multiple, weight) * weight == multiple for weight in weights)
    assert common_multiple([]) == 1


def test_even_quotients_of_whole_numbers_and_polynomials() -> None:
    (poly,), _ = WeightRing.of([r]).whole([3 + 6 * r])
    assert even_quotient(12, 4) == 3
    assert even_quotient(poly, 3) * 3 == poly
    assert even_quotient(poly * poly, poly) == poly
    constant = poly.ring.ground_new(2)
    assert even_quotient(6, constant) == 3
