"""Reading numbers exactly, and the elementary functions that map distances need.

sympy is imported inside the functions, so that importing the library stays quick.
"""

from __future__ import annotations

import math
import numbers
import re
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from pinfeather._checks import refuse
from pinfeather.errors import NotationError

if TYPE_CHECKING:
    from sympy import Expr

_DECIMAL = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?"
_NUMBER = re.compile(rf"\s*(?P<top>{_DECIMAL})\s*(?:/\s*(?P<bottom>{_DECIMAL}))?\s*(?P<percent>%)?\s*")
_LONGEST_TEXT = 2000


def exact(value: Any, name: str = "value") -> Expr:
    """Read a number exactly and return it as a sympy number or expression.

    Parameters
    ----------
    value : int, Fraction, Decimal, float, str or sympy expression
        A float is read as the decimal it prints as, so ``0.05`` is 1/20.  Text may be a whole number, a
        decimal, a fraction or a percentage: ``"3/4"``, ``"0.05"``, ``"95%"``.  Symbolic parameters are sympy
        expressions, never text.
    name : str
        What the number is, for error messages.

    Returns
    -------
    sympy.Expr
        A ``sympy.Rational`` unless the value was symbolic or irrational.

    Raises
    ------
    NotationError
        If text cannot be read as a number.
    ArgumentError
        If the value is no number at all, or is infinite.

    Examples
    --------
    >>> from pinfeather.exact import exact
    >>> exact(0.05), exact("95%"), exact("3/4"), exact(2)
    (1/20, 19/20, 3/4, 2)
    >>> import sympy
    >>> exact(1 - sympy.Symbol("r"))
    1 - r
    """
    from sympy import Expr, Rational

    if isinstance(value, Expr):
        return _without_floats(value, name)
    fraction = as_fraction(value, name)
    return Rational(fraction.numerator, fraction.denominator)


def as_fraction(value: Any, name: str = "value") -> Fraction:
    """Read a number that is not symbolic as a :class:`fractions.Fraction`."""
    if isinstance(value, bool):
        refuse(name, value, "must be a number, not true or false")
    if isinstance(value, str):
        return _from_text(value, name)
    if isinstance(value, numbers.Rational):
        return Fraction(int(value.numerator), int(value.denominator))
    if hasattr(value, "__index__"):
        return Fraction(int(value.__index__()))
    if isinstance(value, (float, Decimal)):
        if not (value.is_finite() if isinstance(value, Decimal) else math.isfinite(value)):
            refuse(name, value, "must be a finite number")
        return Fraction(value) if isinstance(value, Decimal) else Fraction(repr(float(value)))
    refuse(name, value, f'must be a number such as "3/4", "0.05" or "95%", not {type(value).__name__}')


def fraction_of(value: Expr) -> Fraction:
    """A sympy Rational as a :class:`fractions.Fraction`."""
    return Fraction(int(value.p), int(value.q))


def probability(value: Any, name: str = "probability") -> Expr:
    """Read a chance exactly; a number outside [0, 1] is refused, a symbolic one is taken on trust."""
    return between(value, name, 0, 1)


def between(value: Any, name: str, low: Any, high: Any) -> Expr:
    """Read a number exactly and refuse it outside ``[low, high]``, unless it is symbolic."""
    number = exact(value, name)
    if not number.free_symbols:
        # An irrational number that sympy cannot order exactly is compared to 60 digits.
        shown = number if number.is_Rational else number.evalf(60)
        if not (exact(low) <= shown <= exact(high)):
            percent = f'; {value} per cent is written "{value}%"' if high == 1 and 1 < shown <= 100 else ""
            refuse(name, value, f"must lie between {low} and {high}{percent}")
    return number


def exponential(value: Any) -> Expr:
    """The exponential function, exactly."""
    from sympy import exp

    return exp(exact(value))


def logarithm(value: Any) -> Expr:
    """The natural logarithm, exactly."""
    from sympy import log

    return log(exact(value))


def hyperbolic_tangent(value: Any) -> Expr:
    """The hyperbolic tangent, exactly."""
    from sympy import tanh

    return tanh(exact(value))


def inverse_hyperbolic_tangent(value: Any) -> Expr:
    """The inverse hyperbolic tangent, exactly."""
    from sympy import atanh

    return atanh(exact(value))


def _from_text(value: str, name: str) -> Fraction:
    found = _NUMBER.fullmatch(value) if len(value) <= _LONGEST_TEXT else None
    if found is None:
        shown = value if len(value) <= 40 else value[:40] + "..."
        message = (
            f'{name}={shown!r} is not a number; write "3/4", "0.05" or "95%" (a parameter to be kept as a symbol '
            "is given as sympy.Symbol)"
        )
        raise NotationError(message, text=value)
    bottom = Fraction(found["bottom"] or 1)
    if bottom == 0:
        message = f"{name}={value!r} divides by zero"
        raise NotationError(message, text=value)
    number = Fraction(found["top"]) / bottom
    return number / 100 if found["percent"] else number


def _without_floats(value: Expr, name: str) -> Expr:
    """Replace the floats of an expression by the decimals they print as."""
    from sympy import Float, Rational

    if value.is_number and (value.is_finite is not True or value.is_real is False):
        refuse(name, value, "must be a finite real number")
    floats = value.atoms(Float)
    if not floats:
        return value
    swaps = {number: Rational(str(Fraction(repr(float(number))))) for number in floats}
    return value.xreplace(swaps)


def as_percent(value: Expr, digits: int = 2) -> str:
    """A probability as a percentage for people, rounded half up; ``~`` marks one that is not exact.

    A symbolic value has no percentage, and the text is empty.

    Examples
    --------
    >>> as_percent(exact("9/16")), as_percent(exact("1/3"))
    ('56.25 %', '~ 33.33 %')
    """
    if not value.is_Rational:
        return ""
    scale = 100 * 10**digits
    top, bottom = int(value.p) * scale, int(value.q)
    rounded = (2 * top + bottom) // (2 * bottom)
    whole, part = divmod(rounded, 10**digits)
    shown = f"{whole}.{part:0{digits}d}".rstrip("0").rstrip(".")
    return f"{shown} %" if rounded * bottom == top else f"~ {shown} %"
