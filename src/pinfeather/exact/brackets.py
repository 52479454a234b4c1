"""Whole numbers known to lie between two bounds of limited length.

A power such as 4095 to the 12,270th has 147,000 bits, and most of them do not matter when the question is only whether
it is above a threshold.  A bracket keeps the first few hundred bits of a lower and of an upper bound, rounded down and
up, so every comparison that it decides is certain.  Where it cannot decide, the caller asks again with more bits; a
bracket that is long enough rounds nothing and is exact.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from pinfeather.exact.numbers import fraction_of

if TYPE_CHECKING:
    from sympy import Expr

Bracket: TypeAlias = tuple[int, int, int]
"""``(low, high, shift)``: a number between ``low * 2**shift`` and ``high * 2**shift``."""


def bracket(value: int) -> Bracket:
    """The bracket of a whole number that is known exactly."""
    return value, value, 0


def shortened(number: Bracket, bits: int) -> Bracket:
    """The bracket with bounds of at most ``bits`` bits, the lower rounded down and the upper up."""
    low, high, shift = number
    excess = high.bit_length() - bits
    if excess <= 0:
        return number
    return low >> excess, -(-high >> excess), shift + excess


def product(a: Bracket, b: Bracket, bits: int) -> Bracket:
    """The product of two brackets."""
    return shortened((a[0] * b[0], a[1] * b[1], a[2] + b[2]), bits)


def power(base: int, exponent: int, bits: int) -> Bracket:
    """A whole number raised to a whole power, by repeated squaring."""
    result, square = bracket(1), shortened(bracket(base), bits)
    while exponent:
        if exponent & 1:
            result = product(result, square, bits)
        exponent >>= 1
        if exponent:
            square = product(square, square, bits)
    return result


def scaled(number: Bracket, times: int, over: int, bits: int) -> Bracket:
    """The bracket times one whole number and divided by another."""
    low, high, shift = number
    low, high = low * times, high * times
    # Bits that the division would cost are first put on below the point, as far as the length allows; a shift is
    # never pushed below zero, since what is bracketed is whole and a division that comes out even stays exact.
    room = min(shift, max(0, bits + over.bit_length() - high.bit_length()))
    low, high = (low << room) // over, -((-high << room) // over)
    return shortened((low, high, shift - room), bits)


def total(a: Bracket, b: Bracket, bits: int) -> Bracket:
    """The sum of two brackets."""
    if a[2] < b[2]:
        a, b = b, a
    # ``a`` has the larger shift; it is written out at the smaller one unless ``b`` is far too small to matter.
    gap = a[2] - b[2]
    if gap <= 2 * bits:
        return shortened(((a[0] << gap) + b[0], (a[1] << gap) + b[1], b[2]), bits)
    return shortened((a[0], a[1] + 1, a[2]), bits)


def compared(a: Bracket, b: Bracket) -> int | None:
    """1 where ``a`` is certainly larger, -1 where ``b`` is, 0 where they are equal; None where it cannot be told."""
    least = min(a[2], b[2])
    a_low, a_high = a[0] << (a[2] - least), a[1] << (a[2] - least)
    b_low, b_high = b[0] << (b[2] - least), b[1] << (b[2] - least)
    if a_low > b_high:
        return 1
    if a_high < b_low:
        return -1
    if a_low == a_high == b_low == b_high:
        return 0
    return None


def neighbours(value: Expr) -> tuple[Fraction, Fraction]:
    """Rational numbers just below and just above a real number; a rational one is both."""
    if value.is_Rational:
        same = fraction_of(value)
        return same, same
    scale = 10**60
    near = int((value * scale).evalf(80).floor())
    return Fraction(near - 1, scale), Fraction(near + 2, scale)
