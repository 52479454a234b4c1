"""Expressions as plain trees of lists and texts, and back: no text is ever handed to an evaluator."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NoReturn

from pinfeather.errors import DefinitionError

if TYPE_CHECKING:
    from sympy import Expr

_LARGEST_POWER = 10_000
_LARGEST_BITS = 2_000_000
_LARGEST_DEGREE = 200
_DEEPEST = 100
_DECIMAL_DIGITS = 1000
_FUNCTIONS = ("exp", "log", "tanh", "atanh")


def number_text(number: Expr) -> str:
    """A rational number as text: decimal, or hexadecimal where decimal would be very long."""
    top, bottom = int(number.p), int(number.q)
    if max(abs(top), bottom) < 10**_DECIMAL_DIGITS:
        return str(top) if bottom == 1 else f"{top}/{bottom}"
    return f"{top:#x}/{bottom:#x}"


def number_from_text(text: str) -> Expr:
    """The number that :func:`number_text` wrote.

    Raises
    ------
    DefinitionError
        If the text was not written so.
    """
    from sympy import Rational

    top, _, bottom = text.partition("/") if isinstance(text, str) else ("", "", "")
    try:
        parts = [int(part, 16 if "x" in part else 10) for part in (top, bottom or "1")]
        return Rational(*parts) if parts[1] > 0 else _refuse(text)
    except ValueError:
        _refuse(text)


def tree_of(expression: Expr) -> list[Any]:
    """An expression as a tree of lists and texts.

    Raises
    ------
    DefinitionError
        If it holds something that no result of this library holds.

    Examples
    --------
    >>> import sympy
    >>> tree_of(1 - sympy.Symbol("r") / 2)[0]
    'add'
    """
    name = type(expression).__name__
    if expression.is_Rational:
        return ["number", number_text(expression)]
    if expression.is_Symbol:
        return ["symbol", expression.name, {k: v for k, v in sorted(expression.assumptions0.items()) if v is not None}]
    if name == "ComplexRootOf":
        return ["root", [number_text(c) for c in expression.poly.all_coeffs()], int(expression.index)]
    kinds = {"Add": "add", "Mul": "mul", "Pow": "power", "Exp1": "e", **{f: f for f in _FUNCTIONS}}
    if name not in kinds:
        message = f"{expression} holds {name}, which cannot be written down; put numbers in for it first"
        raise DefinitionError(message, expression=expression)
    return [kinds[name], *(tree_of(argument) for argument in expression.args)]


def expression_of(tree: Any, depth: int = 0) -> Expr:
    """The expression of a tree.

    Raises
    ------
    DefinitionError
        If the tree is not one that :func:`tree_of` makes.

    Examples
    --------
    >>> expression_of(["mul", ["number", "1/2"], ["symbol", "r", {}]])
    r/2
    """
    import sympy

    if depth > _DEEPEST or not isinstance(tree, list) or not tree or not isinstance(tree[0], str):
        _refuse(tree)
    kind, *rest = tree
    leaves: dict[tuple[str, int], Any] = {
        ("number", 1): number_from_text,
        ("symbol", 2): _symbol,
        ("root", 2): _root,
        ("e", 0): lambda: sympy.E,
    }
    if (kind, len(rest)) in leaves:
        return leaves[kind, len(rest)](*rest)
    arguments = [expression_of(argument, depth + 1) for argument in rest]
    if kind in ("add", "mul") and len(arguments) >= 2:
        return (sympy.Add if kind == "add" else sympy.Mul)(*arguments)
    if kind == "power" and len(arguments) == 2:
        return _power(*arguments)
    if kind in _FUNCTIONS and len(arguments) == 1:
        return getattr(sympy, kind)(arguments[0])
    _refuse(tree)


def _symbol(name: Any, assumptions: Any) -> Expr:
    from sympy import Symbol

    plain = isinstance(assumptions, dict) and all(isinstance(value, bool) for value in assumptions.values())
    if not isinstance(name, str) or not name or not plain:
        _refuse(name)
    try:
        return Symbol(name, **assumptions)
    except (ValueError, TypeError):  # assumptions that contradict each other
        _refuse(assumptions)


def _power(base: Expr, exponent: Expr) -> Expr:
    # A number raised to a huge power would never come to an end.
    if exponent.is_Rational:
        size = max(abs(int(exponent.p)), int(exponent.q))
        digits = max(int(base.p).bit_length(), int(base.q).bit_length()) if base.is_Rational else 1
        if size > _LARGEST_POWER or size * digits > _LARGEST_BITS:
            _refuse(str(exponent))
    if base.is_number and not exponent.is_Rational and not exponent.free_symbols:
        _refuse(str(exponent))
    return base**exponent


def _root(coefficients: Any, index: Any) -> Expr:
    from sympy import CRootOf, Poly, Symbol

    known = isinstance(coefficients, list) and 2 <= len(coefficients) <= _LARGEST_DEGREE + 1
    if not known or not isinstance(index, int) or not 0 <= index < len(coefficients) - 1:
        _refuse(coefficients)
    numbers = [number_from_text(text) for text in coefficients]
    if numbers[0] == 0 or not all(number.is_Integer for number in numbers):
        _refuse(coefficients)
    return CRootOf(Poly(numbers, Symbol("x")), index, radicals=False)


def _refuse(what: Any) -> NoReturn:
    shown = repr(what)
    message = f"{shown if len(shown) <= 60 else shown[:60] + '...'} is no number or expression of a document"
    raise DefinitionError(message, value=shown)
