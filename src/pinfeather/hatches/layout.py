"""How numbers are written for people: chances, counts and test statistics, in few digits."""

from __future__ import annotations

from typing import Any

from pinfeather._results import digits, exact_text
from pinfeather.exact.numbers import fraction_of

_LONGEST_SHOWN = 40


def brief(value: Any) -> str:
    """An exact number for a ``repr``: in full where that is short, otherwise its size."""
    shown = exact_text(value)
    return shown if len(shown) <= _LONGEST_SHOWN else f"<about {_as_float(value):.6g}>"


def decimal_text(value: Any, places: int = 2) -> str:
    """A number for people: whole ones as they are, others to so many places."""
    if isinstance(value, int) or getattr(value, "is_Integer", False):
        return digits(int(value))
    return f"{_as_float(value):.{places}f}"


def statistic_text(value: Any) -> str:
    """A test statistic to three places."""
    return f"{_as_float(value):.3f}"


def percent_text(value: Any) -> str:
    """A chance as a percentage with three significant digits; one that is not quite 1 does not pass for it."""
    share = _as_float(value)
    if share >= 0.9995 and value != 1:
        return "more than 99.9 %"
    return f"{100 * share:.3g} %"


def how_often(value: Any) -> str:
    """A small chance as "1 hatch in 400"."""
    share = _as_float(value)
    if share < 1e-12:
        return "fewer than 1 hatch in a million million"
    times = 1 / share
    digits = len(str(int(times)))
    rounded = round(times, min(0, 2 - digits))
    return f"1 hatch in {int(rounded):,}"


def short_p(p_value: Any) -> str:
    """A p-value with three digits that count; a zero that stands for a number too small for a float says so."""
    share = _as_float(p_value)
    if share >= 0.1:
        return f"{share:.3f}"
    return f"{share:.3g}" if share > 0 else "less than 1e-300"


def _as_float(value: Any) -> float:
    return float(fraction_of(value)) if getattr(value, "is_Rational", False) else float(value)
