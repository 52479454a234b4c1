"""Expressions as trees: what is written reads back to the same, and nothing else is read."""

from __future__ import annotations

import json
from typing import Any

import pytest
import sympy

from pinfeather.errors import DefinitionError
from pinfeather.exact.expressions import expression_of, number_from_text, number_text, tree_of

R, Q, X = sympy.Symbol("r"), sympy.Symbol("q", positive=True), sympy.Symbol("x")

EXPRESSIONS = [
    sympy.Rational(3, 4),
    sympy.Rational(-1, 7) ** 901,
    sympy.Integer(3) ** 5000,
    R,
    Q,
    sympy.expand((1 - R) ** 5),
    R * Q / 2 + Q**2,
    1 / (1 + 2 * R),
    sympy.sqrt(2) * R,
    sympy.exp(-2 * R) + sympy.log(3),
    sympy.tanh(R) - sympy.atanh(Q),
    sympy.E,
    sympy.CRootOf(X**5 - X - 1, 0),
]


@pytest.mark.parametrize("expression", EXPRESSIONS, ids=[str(e)[:30] for e in EXPRESSIONS])
def test_an_expression_survives_json(expression: Any) -> None:
    assert expression_of(json.loads(json.dumps(tree_of(expression)))) == expression


def test_assumptions_tell_symbols_apart() -> None:
    assert expression_of(tree_of(Q)).is_positive
    assert expression_of(tree_of(Q)) != sympy.Symbol("q")


def test_long_numbers_are_written_in_hexadecimal() -> None:
    assert number_text(sympy.Rational(3, 4)) == "3/4"
    assert number_text(sympy.Integer(-2)) == "-2"
    long = sympy.Integer(10) ** 1001
    assert number_text(long).startswith("0x")
    assert number_from_text(number_text(long)) == long
    assert number_from_text(number_text(-1 / long)) == -1 / long


@pytest.mark.parametrize("text", ["3/-4", "3/0", "three", "1/x"])
def test_a_number_that_was_never_written_is_refused_by_name(text: str) -> None:
    with pytest.raises(DefinitionError, match=f"^'{text}' is no number"):
        number_from_text(text)


def test_what_no_result_holds_is_not_written() -> None:
    with pytest.raises(DefinitionError, match="holds sin, which cannot be written down"):
        tree_of(1 + sympy.sin(R))
    with pytest.raises(DefinitionError, match="holds Float"):
        tree_of(sympy.Float(0.5))


REFUSED: list[Any] = [
    None,
    [],
    ["eval", "1"],
    [1, 2],
    ["number"],
    ["number", "1/0"],
    ["number", "one"],
    ["number", 3],
    ["symbol", "", {}],
    ["symbol", 3, {}],
    ["symbol", "r", ["positive"]],
    ["symbol", "r", {"positive": "yes"}],
    ["symbol", "r", {"positive": True, "negative": True}],
    ["add", ["number", "1"]],
    ["power", ["number", "3"], ["number", "99999999999"]],
    ["power", ["number", "3"], ["number", "1/99999999999"]],
    ["power", ["number", "3"], ["power", ["number", "9"], ["number", "1/2"], ["number", "1"]]],
    ["power", ["power", ["number", "3"], ["number", "9999"]], ["number", "9999"]],
    ["power", ["number", "3"], ["log", ["number", "7"]]],
    ["root", ["1", "0"], 5],
    ["root", ["0", "1"], 0],
    ["root", ["1/2", "0", "1"], 0],
    ["root", "x**2", 0],
    ["exp", ["number", "1"], ["number", "2"]],
]


@pytest.mark.parametrize("tree", REFUSED, ids=[str(tree)[:40] for tree in REFUSED])
def test_a_tree_that_was_never_written_is_refused(tree: Any) -> None:
    with pytest.raises(DefinitionError, match="is no number or expression of a document") as caught:
        expression_of(tree)
    assert str(caught.value).startswith("None") is (tree is None)


def test_a_tree_of_great_depth_is_refused() -> None:
    tree: list[Any] = ["number", "1"]
    for _ in range(200):
        tree = ["exp", tree]
    with pytest.raises(DefinitionError, match="is no number or expression"):
        expression_of(tree)
