"""KinshipMatrix: the kinship of every pair among some birds."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from html import escape
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.exact.numbers import exact

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from sympy import Rational

__all__ = ["KinshipMatrix"]

_SHOWN = 12


class KinshipMatrix:
    """The kinship of every pair among some birds.

    ``matrix["Wren", "Jay"]`` is exact; :meth:`floats` hands out the whole as a ``numpy`` array.  Made by
    :func:`kinship_matrix`.

    Attributes
    ----------
    ids : tuple of str
        The birds, in the order of rows and columns.
    chromosome : str
        ``"autosome"``, ``"Z"`` or ``"X"``.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, kinship_matrix, load_fowl
    >>> flock = Pedigree(load_fowl(), [Individual("Wren", "hen", "Rook", "Dove")])
    >>> matrix = kinship_matrix(flock, ["Rook", "Wren"])
    >>> matrix["Rook", "Wren"], matrix.mean()
    (1/4, 3/8)
    """

    __slots__ = ("_cells", "_rows", "_scale", "chromosome", "ids")

    def __init__(self, ids: tuple[str, ...], chromosome: str, cells: NDArray[Any], scale: int, rows: Sequence[int]):
        self.ids = ids
        self.chromosome = chromosome
        self._cells = cells
        self._scale = scale
        self._rows = dict(zip(ids, rows, strict=True))

    def __getitem__(self, pair: tuple[str, str]) -> Rational:
        first, second = pair
        for name in pair:
            if name not in self._rows:
                _checks.unknown("bird", str(name), self.ids, "this kinship matrix")
        return exact(Fraction(int(self._cells[self._rows[first], self._rows[second]]), self._scale))

    def floats(self) -> NDArray[np.float64]:
        """The kinships as a new array of floats, rows and columns in the order of ``ids``."""
        shares = self._block() / self._scale
        return shares.astype(float, copy=False)

    def to_dict(self) -> dict[tuple[str, str], Rational]:
        """Every pair's kinship, exactly: (id, id) -> ``sympy.Rational``."""
        return {(first, second): self[first, second] for first in self.ids for second in self.ids}

    def mean(self) -> Rational:
        """The mean of all cells, each bird with itself included."""
        # Python's whole numbers, since a sum of thousands of cells may outgrow the machine's.
        total = int(self._block().astype(object).sum())
        return exact(Fraction(total, self._scale * len(self.ids) ** 2))

    def whole_numbers(self) -> tuple[int, list[list[int]]]:
        """The scale, and the cells up to the diagonal in units of it."""
        block = self._block()
        return self._scale, [[int(cell) for cell in block[row, : row + 1]] for row in range(len(self.ids))]

    def __len__(self) -> int:
        return len(self.ids)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, KinshipMatrix):
            return NotImplemented
        return (self.ids, self.chromosome) == (other.ids, other.chromosome) and self._same_cells(other)

    def _same_cells(self, other: KinshipMatrix) -> bool:
        ours = self._block().astype(object) * other._scale
        return bool((ours == other._block().astype(object) * self._scale).all())

    def _block(self) -> NDArray[Any]:
        """The cells of the birds asked for, in their order; no copy where that is the whole table."""
        rows = list(self._rows.values())
        if rows == list(range(len(self._cells))):
            return self._cells
        return self._cells[rows][:, rows]

    __hash__ = None  # type: ignore[assignment]

    def _shown(self) -> tuple[list[list[str]], str]:
        """The first rows and columns as text, and a line about the rest."""
        shown = self.ids[:_SHOWN]
        table = [["", *shown], *([row, *(str(self[row, column]) for column in shown)] for row in shown)]
        more = len(self.ids) - len(shown)
        return table, f"... and {more} birds more" if more else ""

    def __str__(self) -> str:
        table, more = self._shown()
        widths = [max(map(len, column)) for column in zip(*table, strict=True)]
        lines = ["  ".join(f"{c:>{w}}" for c, w in zip(row, widths, strict=True)).rstrip() for row in table]
        return "\n".join(lines + [more] * bool(more))

    def _repr_html_(self) -> str:
        (heading, *rows), more = self._shown()
        head = "".join(f"<th>{escape(name)}</th>" for name in heading)
        body = "".join(
            f"<tr><th>{escape(row[0])}</th>{''.join(f'<td>{escape(cell)}</td>' for cell in row[1:])}</tr>"
            for row in rows
        )
        caption = f"<caption>{escape(more)}</caption>" if more else ""
        return f"<table>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"

    def __repr__(self) -> str:
        return f"<KinshipMatrix of {len(self.ids)} birds, {self.chromosome}>"
