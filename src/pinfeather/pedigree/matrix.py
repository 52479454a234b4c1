"""KinshipMatrix: the kinship of every pair among some birds."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather._results import Record, Shown, exact_text
from pinfeather._tables import Table
from pinfeather.exact.numbers import exact

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from sympy import Rational

__all__ = ["KinshipMatrix"]

_SHOWN = 12


class KinshipMatrix(Shown):
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

    def pairs(self) -> dict[tuple[str, str], Rational]:
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

    def _table(self) -> Table:
        shown = self.ids[:_SHOWN]
        rows = [(row, *(exact_text(self[row, column]) for column in shown)) for row in shown]
        more = len(self.ids) - len(shown)
        return Table(("", *shown), rows, below=f"... and {more} birds more" if more else ())

    def _records(self) -> list[Record]:
        return [
            {"bird": bird, "other": other, "kinship": self[bird, other]}
            for at, bird in enumerate(self.ids)
            for other in self.ids[: at + 1]
        ]

    def _facts(self) -> Record:
        kinship = {bird: {other: self[bird, other] for other in self.ids} for bird in self.ids}
        return {"chromosome": self.chromosome, "ids": self.ids, "kinship": kinship}

    def __repr__(self) -> str:
        return f"<KinshipMatrix of {len(self.ids)} birds, {self.chromosome}>"
