"""What every result can do: be printed, be shown in a notebook, and be handed on as plain values.

A result says what its table looks like (``_table``), what its records hold (``_records``) and all that it knows
(``_facts``); the four forms follow from these.  Exact numbers leave as text, ``"3/8"``, or, by name, as floats.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Self, TypeVar

from pinfeather._tables import Table

if TYPE_CHECKING:
    from rich.text import Text

Record = dict[str, Any]
T = TypeVar("T")

_LONGEST_SHOWN = 40


class Shown:
    """A result that can be printed, shown in a notebook, and handed on as plain values."""

    __slots__ = ()

    def _table(self) -> Table:
        """The result as people read it."""
        raise NotImplementedError

    def _records(self) -> list[Record]:
        """The rows as mappings from plain keys to values, the same keys in each."""
        raise NotImplementedError

    def _facts(self) -> Record:
        """Everything that the result says, by name."""
        return {"rows": self._records()}

    def __str__(self) -> str:
        return self._table().text()

    def _repr_html_(self) -> str:
        return self._table().html()

    def __rich__(self) -> Text:
        # The library rich asks for this, so it is there; in a Text, a bird called "[red]" is no markup.
        from rich.text import Text

        return Text(str(self))

    def to_dict(self) -> dict[str, Any]:
        """Everything that the result says as plain values ready for JSON; exact numbers are text, ``"3/8"``."""
        return {key: plain(value) for key, value in self._facts().items()}

    def to_records(self, *, floats: bool = False) -> list[dict[str, Any]]:
        """The rows as flat mappings, ready for a data frame or a file of comma-separated values.

        Parameters
        ----------
        floats : bool
            Give exact numbers as floats; otherwise they are text, ``"3/8"``, and stay exact.  Symbolic ones are text
            in either case.

        Returns
        -------
        list of dict
            One for each row, all with the same keys.
        """
        return [{key: plain(value, floats=floats) for key, value in record.items()} for record in self._records()]


class ShownRow(Shown):
    """A result that is one row: its facts, and its one record, are its fields."""

    __slots__ = ()

    def _record(self) -> Record:
        """The one record."""
        raise NotImplementedError

    def _records(self) -> list[Record]:
        return [self._record()]

    def _facts(self) -> Record:
        return self._record()

    def _table(self) -> Table:
        rows = [(key.replace("_", " "), shown_text(value)) for key, value in self._record().items()]
        return Table((type(self).__name__, ""), rows, words=(0, 1), headed=False)


class Listing(Shown, tuple[T, ...]):
    """Several results of a kind: a tuple that shows itself as one table."""

    __slots__ = ()

    def __new__(cls, rows: Iterable[T] = ()) -> Self:
        """Take the rows."""
        return super().__new__(cls, rows)

    def _records(self) -> list[Record]:
        return [record for row in self for record in row._records()]  # type: ignore[attr-defined]

    def __repr__(self) -> str:
        return f"{type(self).__name__}({tuple.__repr__(self)})"


def beside(named: Record, **ours: Any) -> Record:
    """Columns that a breeder named, such as traits, and ours beside them; one of the same name is told apart."""
    return {**{f"{key} shown" if key in ours else key: value for key, value in named.items()}, **ours}


def plain(value: Any, *, floats: bool = False) -> Any:
    """A value ready for JSON: exact numbers as text, or as floats where asked."""
    if value is None or isinstance(value, (bool, str, int)):
        return value
    if isinstance(value, Shown):
        return value.to_dict()
    if isinstance(value, Mapping):
        return {str(key): plain(item, floats=floats) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item, floats=floats) for item in value]
    return value.isoformat() if isinstance(value, datetime.date) else _plain_number(value, floats)


def _plain_number(value: Any, floats: bool) -> Any:
    if isinstance(value, float):
        return value if math.isfinite(value) else "infinite" if value > 0 else "not a number"
    if floats and getattr(value, "is_Rational", isinstance(value, Fraction)):
        return float(Fraction(int(value.numerator), int(value.denominator)))
    if floats and getattr(value, "is_number", False) and value.is_finite:
        return float(value)
    return exact_text(value)


def exact_text(value: Any) -> str:
    """An exact number as text, such as ``"3/4"``, however many digits it has."""
    if not getattr(value, "is_Rational", False):
        return "infinite" if getattr(value, "is_infinite", False) else str(value)
    top, bottom = digits(int(value.p)), digits(int(value.q))
    return top if bottom == "1" else f"{top}/{bottom}"


def shown_text(value: Any) -> str:
    """A value of a record for people: exact where that is short, nothing where there is none."""
    if value is None:
        return ""
    shown = str(plain(value))
    if len(shown) > _LONGEST_SHOWN and getattr(value, "is_Rational", False):
        return f"about {plain(value, floats=True):.6g}"
    return shown


def digits(number: int) -> str:
    """A whole number, written out."""
    # Python refuses to print whole numbers of more than 4300 digits; Decimal writes them out, and quickly.
    return format(Decimal(number), "f")
