"""ByName: one number, or one result, for each of several names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from pinfeather._results import Record, Shown, ShownRow, shown_text
from pinfeather._tables import Table
from pinfeather.exact.numbers import as_percent

_ROWS_SHOWN = 60


class ByName(Shown, dict[str, Any]):
    """One number for each of several names, such as a bird's inbreeding: a dict that shows itself as a table.

    Parameters
    ----------
    items : mapping, or iterable of (name, value)
    name, value : str
        What the names name and what the numbers are: the keys of its records.

    Examples
    --------
    >>> from pinfeather.exact import ByName, exact
    >>> shares = ByName({"Rook": exact("3/4"), "Dove": exact("1/4")}, "founder", "share")
    >>> shares
    {'Rook': 3/4, 'Dove': 1/4}
    >>> print(shares)
    founder  share
    Rook       3/4  75 %
    Dove       1/4  25 %
    >>> shares.to_records(floats=True)
    [{'founder': 'Rook', 'share': 0.75}, {'founder': 'Dove', 'share': 0.25}]
    """

    __slots__ = ("name", "value")

    def __init__(
        self, items: Mapping[str, Any] | Iterable[tuple[str, Any]] = (), name: str = "name", value: str = "value"
    ) -> None:
        super().__init__(items)
        self.name = name
        self.value = value

    def _records(self) -> list[Record]:
        return [
            {self.name: name, **(value._record() if isinstance(value, ShownRow) else {self.value: value})}
            for name, value in self.items()
        ]

    def _facts(self) -> Record:
        return dict(self)

    def _table(self) -> Table:
        shown = self._records()[:_ROWS_SHOWN]
        single = not any(isinstance(value, ShownRow) for value in self.values())
        heads = list(shown[0]) if shown else [self.name, self.value]
        rows = [
            [*map(shown_text, record.values()), *([_percent(record[self.value])] if single else [])] for record in shown
        ]
        hidden = len(self) - len(shown)
        below = f"... and {hidden} more" if hidden else ()
        return Table([*heads, *([""] if single else [])], rows, below=below)


def _percent(value: Any) -> str:
    if isinstance(value, float):
        return "(a float, not exact)"
    return as_percent(value) if hasattr(value, "is_Rational") else ""
