"""How the results of this room are laid out: short tables in text and in HTML, and numbers as text."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import Decimal
from html import escape
from typing import Any

from pinfeather.exact.numbers import fraction_of

_LONGEST_SHOWN = 40


def text_table(rows: Sequence[Sequence[str]], remarks: Iterable[str] = ()) -> str:
    """Rows in aligned columns, the first to the left and the others to the right; then remarks."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [row[0].ljust(widths[0]), *(cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True))]
        lines.append("  ".join(cells).rstrip())
    return "\n".join([*lines, *remarks])


def html_table(rows: Sequence[Sequence[str]], remarks: Iterable[str] = ()) -> str:
    """The same as HTML; the first row is the head, and every text is escaped."""
    head = "".join(f"<th>{escape(cell)}</th>" for cell in rows[0])
    body = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows[1:])
    below = "".join(f"<p>{escape(remark)}</p>" for remark in remarks)
    return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{below}"


def exact_text(value: Any) -> str:
    """An exact number as text, such as ``"3/4"``, however many digits it has."""
    if not getattr(value, "is_Rational", False):
        return str(value)
    top, bottom = _digits(int(value.p)), _digits(int(value.q))
    return top if bottom == "1" else f"{top}/{bottom}"


def _digits(number: int) -> str:
    # Python refuses to print whole numbers of more than 4300 digits; Decimal writes them out, and quickly.
    return format(Decimal(number), "f")


def brief(value: Any) -> str:
    """An exact number for a ``repr``: in full where that is short, otherwise its size."""
    shown = exact_text(value)
    return shown if len(shown) <= _LONGEST_SHOWN else f"<about {_as_float(value):.6g}>"


def number_text(value: Any) -> Any:
    """A number ready for JSON: exact ones as text, floats as they are, infinity as a word."""
    if isinstance(value, float):
        return value if math.isfinite(value) else "infinite"
    return exact_text(value)


def decimal_text(value: Any, places: int = 2) -> str:
    """A number for people: whole ones as they are, others to so many places."""
    if isinstance(value, int) or getattr(value, "is_Integer", False):
        return _digits(int(value))
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
