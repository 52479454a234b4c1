"""The large-sample tests: their statistics, and the tail of the chi-square distribution far out.

The tail is summed by mpmath, which comes with sympy, at three times the precision of a float; it is imported inside
the functions, so that importing the library stays quick.

References
----------
K. Pearson 1900, Philosophical Magazine 50:157-175 (the chi-square test); S. S. Wilks 1938, Annals of Mathematical
Statistics 9:60-62 (the likelihood ratio).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sympy import Expr

_DIGITS = 50


@cache
def context() -> Any:
    """An arithmetic of our own, so that nobody else's precision is touched."""
    from mpmath import MPContext

    own = MPContext()
    own.dps = _DIGITS
    return own


def chi_square(counts: Sequence[int], expected: Sequence[Any]) -> Any:
    """Pearson's statistic, exactly where the expectations are Fractions; none of them may be zero."""
    return sum((count - mean) ** 2 / mean for count, mean in zip(counts, expected, strict=True))


def likelihood_ratio(counts: Sequence[int], expected: Sequence[Any]) -> Any:
    """Twice the sum of count x log(count / expectation), as a number of :func:`context`."""
    mp = context()
    seen = [(count, mean) for count, mean in zip(counts, expected, strict=True) if count]
    return 2 * mp.fsum(count * mp.log(count / number(mean)) for count, mean in seen)


def number(value: Any) -> Any:
    """A Fraction, or a number that mpmath knows, as a number of :func:`context`."""
    mp = context()
    if isinstance(value, Fraction):
        return mp.mpf(value.numerator) / value.denominator
    return mp.mpf(value)


def digits_of(value: Expr) -> Any:
    """An exact real number, rational or not, as a number of :func:`context`."""
    mp = context()
    if value.is_Rational:
        return mp.mpf(int(value.p)) / int(value.q)
    return mp.make_mpf(value.evalf(_DIGITS + 10)._mpf_)


def upper_tail(statistic: Any, degrees_of_freedom: int) -> Any:
    """The chance that a chi-square is at least so large, as a number of :func:`context`; 1 without any freedom."""
    mp = context()
    if degrees_of_freedom == 0 or statistic <= 0:
        return mp.one
    return mp.gammainc(mp.mpf(degrees_of_freedom) / 2, number(statistic) / 2, regularized=True)
