"""The real roots of a polynomial with rational coefficients, as exact numbers.

sympy isolates the roots; this file picks the form in which they are handed out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pinfeather.exact.tails import digits_of

if TYPE_CHECKING:
    from sympy import Expr

_SAME = 10**-40


def real_roots(polynomial: Any, low: Expr, high: Expr) -> list[Expr]:
    """The different real roots in ``[low, high]``, in order.

    A root of degree one or two is a rational number or a square root, and one of degree four is written in square roots
    where the quartic is a quadratic of a quadratic.  Every other would fill lines in radicals, and is a
    ``sympy.CRootOf``, which is exact too and gives any number of digits.

    Parameters
    ----------
    polynomial : sympy.Poly
        In one unknown, over the rational numbers.
    low, high : sympy.Rational
        The ends of the interval, which belong to it.
    """
    found = []
    for factor, _ in polynomial.factor_list()[1]:
        found += [_readable(root, factor) for root in factor.real_roots() if low <= root <= high]
    return sorted(found, key=digits_of)


def _readable(root: Expr, factor: Any) -> Expr:
    """A root of an irreducible polynomial: a quartic that is a quadratic of a quadratic has short radicals."""
    layers = factor.decompose() if factor.degree() == 4 else []
    if len(layers) != 2:
        return root
    near = digits_of(root)
    for middle in _square_roots(layers[0]):
        for radical in _square_roots(layers[1] - middle):
            if radical.evalf().is_Float and abs(digits_of(radical) - near) < _SAME * (1 + abs(near)):
                return radical
    return root


def _square_roots(polynomial: Any) -> list[Expr]:
    """Both roots of a quadratic, real or not."""
    from sympy import sqrt

    a, b, c = polynomial.all_coeffs()
    centre, spread = -b / (2 * a), sqrt(b**2 - 4 * a * c) / (2 * a)
    return [centre - spread, centre + spread]
