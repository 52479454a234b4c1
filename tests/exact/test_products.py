"""Outcomes and weights of independent parts, multiplied out."""

from __future__ import annotations

import sys

import pytest
import sympy

from pinfeather.exact.products import Product, product_weights
from pinfeather.exact.symbolic import WeightRing

q = sympy.Symbol("q")


@pytest.mark.parametrize(
    "axes", [[], [[3]], [[1, 2], [3]], [[1, 2], [1, 1, 5], [7, 2]], [[1] * 8] * 4, [[2**40, 1] * 50] * 2]
)
def test_products_of_weights_are_in_the_order_of_their_outcomes(axes: list[list[int]]) -> None:
    """Whether they are multiplied one by one or, where they are many and small, as an array."""
    expected = [1]
    for axis in axes:
        expected = [weight * factor for weight in expected for factor in axis]
    found = product_weights(axes)
    assert found == expected
    assert all(type(weight) is int for weight in found)


def test_products_of_symbolic_weights_are_polynomials() -> None:
    ring = WeightRing.of([q])
    axis, _ = ring.whole([q, 1 - q])
    assert [ring.quotient(weight, 1) for weight in product_weights([axis, [1, 2]])] == [q, 2 * q, 1 - q, 2 - 2 * q]


def test_the_outcomes_of_a_product_are_made_when_somebody_looks() -> None:
    made = []

    def make(parts: tuple[str, ...]) -> str:
        made.append(parts)
        return "".join(parts)

    product = Product([["a", "b"], ["x", "y", "z"]], make)
    assert (len(product), made) == (6, [])
    assert (product[1], list(product)[-1], len(made)) == ("ay", "bz", 6)


def test_products_come_out_the_same_where_there_is_no_numpy(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in a browser, whose Python may lack it."""
    axes = [[1, 3] * 4] * 4
    expected = product_weights(axes)
    monkeypatch.setitem(sys.modules, "numpy", None)
    assert product_weights(axes) == expected
