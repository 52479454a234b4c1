"""Tables over variables: products, sums and choices are what listing every combination gives."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pytest
import sympy
from hypothesis import assume, given
from hypothesis import strategies as st

from pinfeather.exact.factors import Factor, divided, product, reduced_table, rescaled, summed_together
from pinfeather.exact.symbolic import WeightRing

SIZES = {0: 2, 1: 3, 2: 1, 3: 2}
HUGE = 10**40


@st.composite
def factors(draw: st.DrawFn) -> Factor:
    """A factor over some of four variables, told in any order, with weights beyond 64 bits."""
    variables = draw(st.permutations(sorted(SIZES)))[: draw(st.integers(0, 3))]
    shape = [SIZES[v] for v in variables]
    size = int(np.prod(shape, dtype=int))
    return Factor.of(variables, shape, draw(st.lists(st.integers(0, HUGE), min_size=size, max_size=size)))


def everything(variables: Sequence[int]) -> list[dict[int, int]]:
    ranges = (range(SIZES[v]) for v in variables)
    return [dict(zip(variables, values, strict=True)) for values in itertools.product(*ranges)]


def weight(factor: Factor, values: Mapping[int, int]) -> Any:
    return factor.table[tuple(values[v] for v in factor.variables)]


def test_weights_are_listed_with_the_last_variable_running_fastest() -> None:
    assert Factor.of((0, 1), (2, 3), [1, 2, 3, 4, 5, 6]).weights() == [1, 2, 3, 4, 5, 6]


def test_variables_are_put_in_ascending_order() -> None:
    factor = Factor.of((1, 0), (3, 2), [1, 2, 3, 4, 5, 6])
    assert factor.variables == (0, 1)
    assert factor.weights() == [1, 3, 5, 2, 4, 6]


@given(st.lists(factors(), max_size=4))
def test_a_product_is_the_product_of_every_combination(made: list[Factor]) -> None:
    table = product(made, tuple(SIZES), SIZES, "exact")
    for values in everything(tuple(SIZES)):
        expected = 1
        for factor in made:
            expected *= weight(factor, values)
        assert table[tuple(values.values())] == expected


@given(st.lists(factors(), min_size=1, max_size=4))
def test_a_sum_is_the_sum_of_every_combination(made: list[Factor]) -> None:
    variables = tuple(sorted({v for factor in made for v in factor.variables}))
    assume(variables)
    total = summed_together(made, variables)
    assert total.variables == variables
    for values in everything(variables):
        assert weight(total, values) == sum(weight(factor, values) for factor in made)


@given(factors(), st.sets(st.sampled_from(sorted(SIZES))))
def test_summing_out_adds_every_combination(factor: Factor, away: set[int]) -> None:
    summed = factor.summed_over(away)
    assert summed.variables == tuple(v for v in factor.variables if v not in away)
    for values in everything(summed.variables):
        rest = everything([v for v in factor.variables if v in away])
        assert weight(summed, values) == sum(weight(factor, {**values, **other}) for other in rest)


@given(factors(), st.integers(1, 4))
def test_the_same_evidence_several_times_is_a_power(factor: Factor, times: int) -> None:
    assert factor.power(times).weights() == [w**times for w in factor.weights()]
    assert isinstance(factor.power(times).table, np.ndarray)


@given(factors(), st.integers(0, HUGE))
def test_two_pieces_of_evidence_of_the_same_things_are_multiplied(factor: Factor, scale: int) -> None:
    other = Factor(factor.variables, factor.table * scale)
    both = factor.times(other)
    assert both.variables == factor.variables
    assert both.weights() == [scale * w**2 for w in factor.weights()]


@given(factors())
def test_a_variable_left_with_one_value_is_dropped(factor: Factor) -> None:
    chosen = factor.chosen({0: [1]})
    assert chosen.variables == tuple(v for v in factor.variables if v != 0 and SIZES[v] > 1)
    for values in everything(chosen.variables):
        assert weight(chosen, values) == weight(factor, {**dict.fromkeys(SIZES, 0), **values, 0: 1})


@given(factors())
def test_truth_values_say_where_a_weight_is_not_nothing(factor: Factor) -> None:
    assert factor.in_arithmetic("possible").weights() == [w != 0 for w in factor.weights()]


@given(factors())
def test_floats_are_shares_of_the_largest_weight(factor: Factor) -> None:
    largest = max(factor.weights())
    expected = [w / largest if largest else 0.0 for w in factor.weights()]
    assert factor.in_arithmetic("float").weights() == pytest.approx(expected, rel=1e-15, abs=0)


def test_weights_too_large_for_a_float_keep_their_ratio() -> None:
    factor = Factor.of((0,), (2,), [10**400, 3 * 10**400])
    assert factor.in_arithmetic("float").weights() == pytest.approx([1 / 3, 1])


@given(st.lists(st.integers(0, HUGE), min_size=1, max_size=6), st.integers(1, HUGE))
def test_what_all_weights_share_is_divided_out_and_told(weights: list[int], shared: int) -> None:
    table, factor = reduced_table(np.array([w * shared for w in weights], dtype=object))
    assert [w * factor for w in table.tolist()] == [w * shared for w in weights]
    assert factor % shared == 0 or not any(weights)


def test_nothing_divided_by_nothing_is_nothing() -> None:
    above, below = np.array([0, 6 * HUGE], dtype=object), np.array([0, 3 * HUGE], dtype=object)
    assert divided(above, below).tolist() == [0, 2]
    assert divided(np.array([0.0, 6.0]), np.array([0.0, 3.0])).tolist() == [0.0, 2.0]


def test_polynomials_are_divided_where_it_comes_out_even() -> None:
    r = sympy.Symbol("r")
    ring = WeightRing.of([r])
    (x, square), _ = ring.whole([r, r**2 + 3 * r])
    above = np.array([square, 6 * x, x - x, 12, x - x + 12], dtype=object)
    below = np.array([x, 3, 0, 4, x - x + 3], dtype=object)
    assert divided(above, below).tolist() == [x + 3, 2 * x, 0, 3, 4]
    whole = np.array([12, 0], dtype=object), np.array([x - x + 3, x], dtype=object)
    assert divided(*whole).tolist() == [4, 0]
    assert divided(np.array(square, dtype=object), np.array(x, dtype=object)).tolist() == x + 3


def test_a_factor_is_nothing_when_every_weight_is() -> None:
    assert Factor.of((0,), (2,), [0, 0]).nothing()
    assert not Factor.of((0,), (2,), [0, 1]).nothing()


def test_floats_are_rescaled_to_a_largest_of_one() -> None:
    assert rescaled(np.array([1e-200, 5e-200])).tolist() == pytest.approx([0.2, 1.0])
    assert rescaled(np.array([0.0, 0.0])).tolist() == [0.0, 0.0]


def test_truth_values_and_whole_numbers_are_not_rescaled() -> None:
    assert rescaled(np.array([True, False])).tolist() == [True, False]
    whole = rescaled(np.array([2 * HUGE, HUGE], dtype=object)).tolist()
    assert whole == [2 * HUGE, HUGE]
    assert all(type(weight) is int for weight in whole)
    assert rescaled(np.array([])).tolist() == []
