"""Punnett squares, drawn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.crosses.cells import Cell
from pinfeather.crosses.square import PunnettSquare
from pinfeather.errors import TooLargeError
from pinfeather.pictures.palette import EDGE, FILLS, HEADING, INK, LOST, QUIET, Fill, pale
from pinfeather.pictures.sheets import LEADING, SMALL, Entry, Sheet, in_lines, legend_height, width_of, wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_MOST_CELLS = 256

# Inches: the widest text of a cell, the space beside and above it, the band that tells looks apart, the narrowest
# picture whose small print reads well.
_WIDEST, _BESIDE, _ABOVE, _BAND, _NARROWEST = 2.3, 0.14, 0.1, 0.13, 4.6


def draw_square(square: PunnettSquare, ax: Axes | None = None) -> Axes:
    """Draw a Punnett square.

    Parameters
    ----------
    square : PunnettSquare
        From :meth:`Offspring.square <pinfeather.crosses.offspring.Offspring.square>`; with
        ``square.showing("comb")`` cells of one look share a tint and a band with a pattern, and a legend adds them up.
    ax : matplotlib.axes.Axes, optional
        Where to draw, in type that fits; by default on a new figure of a fitting size.

    Returns
    -------
    matplotlib.axes.Axes

    Raises
    ------
    ArgumentError
        If ``square`` is no Punnett square.
    TooLargeError
        If it has more than 256 cells, which nobody could read.

    Notes
    -----
    Where there are more looks than tints that can be told apart (13), the cells have none, and their words say all.

    Examples
    --------
    >>> import matplotlib
    >>> matplotlib.use("svg")
    >>> from pinfeather import cross, load_fowl
    >>> from pinfeather.pictures import draw_square
    >>> fowl = load_fowl()
    >>> chicks = cross(fowl.genotype("R/r+ P/p+"), fowl.genotype("R/r+ P/p+"))
    >>> ax = draw_square(chicks.square().showing("comb"))
    >>> ax.figure.savefig("combs.svg")  # doctest: +SKIP
    >>> matplotlib.pyplot.close(ax.figure)
    """
    _checks.instance(square, "square", PunnettSquare)
    size = len(square.cells) * len(square.columns)
    if size > _MOST_CELLS:
        message = (
            f"a picture of {size:,} cells could not be read (at most {_MOST_CELLS}); name fewer loci in .square(...)"
        )
        raise TooLargeError(message, size=size, limit=_MOST_CELLS)
    grid = _Grid(square)
    width = max(sum(grid.widths), _NARROWEST)
    key = in_lines(grid.key, width)
    notes = [part for line in square.legend for part in wrapped(line, width, SMALL)]
    below = sum(grid.heights) + 0.08
    sheet = Sheet.of(ax, width, below + legend_height(key) + len(notes) * LEADING)
    grid.draw(sheet)
    sheet.notes(notes, sheet.legend(key, below))
    return sheet.axes


@attrs.frozen
class _Box:
    """What stands in a heading or a cell: lines of text, and whether each is said first or beside."""

    lines: tuple[str, ...]
    first: tuple[bool, ...]
    heading: bool

    @classmethod
    def of(cls, entry: Sequence[str], *, heading: bool) -> _Box:
        """The lines of an entry, those that are too wide broken."""
        parts = [wrapped(line, _WIDEST, bold=heading) for line in entry]
        first = tuple(number == 0 for number, own in enumerate(parts) for _ in own)
        return cls(tuple(line for own in parts for line in own), first, heading)

    @property
    def width(self) -> float:
        return max(width_of(line, bold=self.heading) for line in self.lines)

    @property
    def height(self) -> float:
        return len(self.lines) * LEADING + 2 * _ABOVE

    def write(self, sheet: Sheet, x: float, y: float) -> None:
        """The lines, their middle at this place."""
        start = y - (len(self.lines) - 1) * LEADING / 2
        for number, (line, first) in enumerate(zip(self.lines, self.first, strict=True)):
            style = {"fontweight": "bold"} if self.heading else {}
            sheet.write(x, start + number * LEADING, line, color=INK if first else QUIET, **style)


class _Grid:
    """The cells with their headings: what stands in them, how large they are, and how they are filled."""

    def __init__(self, square: PunnettSquare) -> None:
        self.boxes = [
            [_Box.of(entry, heading=not (row and at)) for at, entry in enumerate(line)]
            for row, line in enumerate(square.grid())
        ]
        self.fills, self.key = _looks(square)
        names, inner = self.boxes[0][0].width, 0.0
        for line in self.boxes:
            names = max(names, line[0].width)
            inner = max([inner, *(box.width for box in line[1:])])
        inner += 2 * _BESIDE + (_BAND if self.key else 0)
        self.widths = [names + 2 * _BESIDE, *([inner] * len(self.boxes[0][1:]))]
        self.heights = [max(box.height for box in line) for line in self.boxes]

    def draw(self, sheet: Sheet) -> None:
        """All of it, from the upper left."""
        top = 0.0
        for row, (line, height) in enumerate(zip(self.boxes, self.heights, strict=True)):
            left = 0.0
            for at, (box, width) in enumerate(zip(line, self.widths, strict=True)):
                fill = Fill() if box.heading else self.fills[row - 1][at - 1]
                ground = Fill(HEADING if box.heading else pale(fill.colour))
                sheet.fill(left, top, width, height, ground, edgecolor=EDGE)
                band = _BAND if self.key and not box.heading else 0
                if band:
                    sheet.fill(left, top, band, height, fill, linewidth=0.4)
                box.write(sheet, left + (band + width) / 2, top + height / 2)
                left += width
            top += height


def _is_lost(cell: Cell) -> bool:
    return cell.sign in ("†", "‡")


def _looks(square: PunnettSquare) -> tuple[list[list[Fill]], list[Entry]]:
    """The fill of every cell, and the legend: the looks with the share of the eggs that each has."""
    named: dict[str, str] = {}
    shares: dict[str, Any] = {}
    looks = []
    for row in square.cells:
        for cell in row:
            genotype = str(cell.genotype)
            if genotype not in named:
                named[genotype] = _in_words(square, cell)
            shares[named[genotype]] = shares.get(named[genotype], 0) + cell.fraction
        looks.append([named[str(cell.genotype)] for cell in row])
    lost = {
        look
        for row, cells in zip(looks, square.cells, strict=True)
        for look, cell in zip(row, cells, strict=True)
        if _is_lost(cell)
    }
    living = [look for look in shares if look not in lost]
    told = bool(square.traits) and len(living) <= len(FILLS)
    fills = dict(zip(living, FILLS, strict=False)) if told else {}
    cells = [[LOST if look in lost else fills.get(look, Fill()) for look in row] for row in looks]
    if not told:
        return cells, []
    return cells, [
        Entry(f"{look}  {share}" if share.is_Rational else look, LOST if look in lost else fills[look])
        for look, share in shares.items()
    ]


def _in_words(square: PunnettSquare, cell: Cell) -> str:
    """What the chicks of a cell show; the dead are told from the living."""
    looks = square.looks(cell) if square.traits else {}
    words = [str(look) if share == 1 else f"{look} {share}" for look, share in looks.items()]
    return " or ".join(words) + (f" {cell.sign}" if _is_lost(cell) else "")
