"""The kinship of every pair of a flock as a map of shades, relatives side by side."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.errors import TooLargeError
from pinfeather.heredity.viability import WELFARE
from pinfeather.pedigree import KinshipMatrix
from pinfeather.pictures.palette import EDGE, QUIET, Fill, ink_on, shade
from pinfeather.pictures.sheets import LEADING, SMALL, Entry, Sheet, in_lines, legend_height, width_of, wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_MOST_BIRDS, _MOST_FIGURES = 200, 16

# Inches: a cell with figures at the least, a cell without, the widest name beside and above, the narrowest picture.
_CELL, _SMALL_CELL, _NAMES, _ABOVE, _NARROWEST = 0.44, 0.19, 1.7, 1.2, 5.2

# Where the shades change.  Each is twice the one before, as kinship halves with every step away.
_PARTS = (32, 16, 8, 4, 2, 1)
_SHADES = tuple(shade(step / len(_PARTS)) for step in range(len(_PARTS) + 1))


def draw_kinship(matrix: KinshipMatrix, *, order: str = "relatives", ax: Axes | None = None) -> Axes:
    """Draw a kinship matrix as a map of shades: the darker, the closer.

    Parameters
    ----------
    matrix : KinshipMatrix
        From :func:`~pinfeather.pedigree.kinship_matrix`.
    order : {"relatives", "given"}
        ``"relatives"`` puts close birds side by side; ``"given"`` keeps the order of the matrix.
    ax : matplotlib.axes.Axes, optional
        Where to draw, in type that fits; by default on a new figure of a fitting size.

    Returns
    -------
    matplotlib.axes.Axes
        Up to 16 birds, with exact figures in the cells.  On the diagonal stands a bird with itself, (1 + F)/2; the
        inbreeding F of birds that are inbred stands there and behind their names.

    Raises
    ------
    ArgumentError
        If ``matrix`` is no kinship matrix, or has no birds, or there is no such order.
    TooLargeError
        If it has more than 200 birds, whose names could not be read.

    Notes
    -----
    Relatives are found by joining, again and again, the two groups of birds with the highest mean kinship (R. R. Sokal
    & C. D. Michener 1958, University of Kansas Science Bulletin 38: 1409-1438; from memory), with the ends that are
    closest put together.  Shades change at 1/32, 1/16, 1/8, 1/4 and 1/2, and each holds its upper end.

    Examples
    --------
    >>> import matplotlib
    >>> matplotlib.use("svg")
    >>> from pinfeather import Individual, Pedigree, kinship_matrix, load_fowl
    >>> from pinfeather.pictures import draw_kinship
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Wren", "hen", "Rook", "Dove"), Individual("Jay", "cock", "Rook", "Dove"),
    ...     Individual("Tit", "hen", "Jay", "Wren"),
    ... ])
    >>> ax = draw_kinship(kinship_matrix(flock))
    >>> "F = 1/4" in [text.get_text() for text in ax.texts]
    True
    >>> matplotlib.pyplot.close(ax.figure)
    """
    _checks.instance(matrix, "matrix", KinshipMatrix)
    _checks.choice(order, "order", ("relatives", "given"))
    if not len(matrix):
        _checks.refuse("matrix", matrix, "has no birds")
    if len(matrix) > _MOST_BIRDS:
        message = (
            f"a picture of {len(matrix):,} birds could not be read (at most {_MOST_BIRDS}); name some in "
            "kinship_matrix(pedigree, ids=...)"
        )
        raise TooLargeError(message, size=len(matrix), limit=_MOST_BIRDS)
    birds = _Map(matrix, order)
    key = in_lines(_legend(birds), birds.width)
    notes = [part for line in _notes(birds) for part in wrapped(line, birds.width, SMALL)]
    below = birds.depth + 0.1
    sheet = Sheet.of(ax, birds.width, below + legend_height(key) + LEADING * len(notes))
    birds.draw(sheet)
    sheet.notes(notes, sheet.legend(key, below))
    return sheet.axes


class _Map:
    """The cells and names: which bird stands where, how close each pair is, and how large it all is."""

    def __init__(self, matrix: KinshipMatrix, order: str) -> None:
        self.scale, rows = matrix.whole_numbers()
        count = len(matrix)
        self.cells = [[rows[max(a, b)][min(a, b)] for b in range(count)] for a in range(count)]
        places = _relatives_together(self.cells) if order == "relatives" else list(range(count))
        self.cells = [[self.cells[a][b] for b in places] for a in places]
        self.autosome = matrix.chromosome == "autosome"
        self.chromosome = matrix.chromosome
        self.figures = count <= _MOST_FIGURES
        names = [matrix.ids[place] for place in places]
        # A hen has one Z: she is 1 with herself and has no inbreeding there.
        behind = [f"  F = {self.inbreeding(at)}" if self.inbreeding(at) else "" for at in range(count)]
        self.rows = [wrapped(name, _NAMES, SMALL) for name in names]
        self.behind = behind if not self.figures else [""] * count
        self.columns = [_shortened(name) for name in names]
        self.side = _SMALL_CELL
        if self.figures:
            wide = max(width_of(line, SMALL) for at in range(count) for line in self.lines(at, at))
            wide = max([wide, *(width_of(str(self.kinship(a, b)), SMALL) for a in range(count) for b in range(a))])
            self.side = max(_CELL, wide + 0.12, LEADING * max(map(len, self.rows)) + 0.06)
        self.left = max(width_of(line, SMALL) for lines in self.rows for line in lines) + 0.1
        self.top = max(width_of(name, SMALL) for name in self.columns) + 0.1
        right = max(width_of(text, SMALL) for text in self.behind)
        self.width = max(self.left + self.side * count + right + 0.05, _NARROWEST)
        self.depth = self.top + self.side * count

    def kinship(self, a: int, b: int) -> Fraction:
        """Of the birds in two rows."""
        return Fraction(self.cells[a][b], self.scale)

    def step(self, a: int, b: int) -> int:
        """Which shade a pair has: paper for none, and a darker one for each bound that is passed."""
        cell = self.cells[a][b]
        return 1 + sum(part * cell > self.scale for part in _PARTS[:-1]) if cell else 0

    def inbreeding(self, at: int) -> Fraction:
        """Of a bird, where it has a meaning for both sexes: F, as its kinship with itself is (1 + F)/2."""
        return 2 * self.kinship(at, at) - 1 if self.autosome else Fraction(0)

    def lines(self, a: int, b: int) -> list[str]:
        """What stands in a cell."""
        own = [str(self.kinship(a, b))] if self.kinship(a, b) else ["0"]
        return [*own, f"F = {self.inbreeding(a)}"] if a == b and self.inbreeding(a) else own

    def draw(self, sheet: Sheet) -> None:
        """The names and the cells."""
        for at, name in enumerate(self.columns):
            middle = self.left + (at + 0.5) * self.side
            sheet.write(middle, self.top - 0.05, name, size=SMALL, rotation=90, va="bottom")
            down = self.top + (at + 0.5) * self.side
            for number, line in enumerate(self.rows[at]):
                shift = (number - (len(self.rows[at]) - 1) / 2) * LEADING
                sheet.write(self.left - 0.06, down + shift, line, size=SMALL, ha="right")
            if self.behind[at]:
                sheet.write(self.left + self.side * len(self.cells), down, self.behind[at], size=SMALL, ha="left")
        self._draw_cells(sheet)
        for a in range(len(self.cells)):
            place = (self.left + a * self.side, self.top + a * self.side, self.side, self.side)
            sheet.fill(*place, Fill("none"), linewidth=1.1, zorder=2)
            for b in range(len(self.cells) if self.figures else 0):
                self._write_cell(sheet, a, b)

    def _draw_cells(self, sheet: Sheet) -> None:
        """All cells at once, since large maps have tens of thousands."""
        from matplotlib.colors import ListedColormap

        ends = [at * self.side for at in range(len(self.cells) + 1)]
        steps = [[self.step(a, b) for b in range(len(self.cells))] for a in range(len(self.cells))]
        sheet.axes.pcolormesh(
            [self.left + end for end in ends],
            [self.top + end for end in ends],
            steps,
            cmap=ListedColormap(_SHADES),
            vmin=-0.5,
            vmax=len(_PARTS) + 0.5,
            edgecolors=EDGE,
            linewidth=0.5 * sheet.scale,
        )

    def _write_cell(self, sheet: Sheet, a: int, b: int) -> None:
        texts = self.lines(a, b)
        for number, text in enumerate(texts):
            down = self.top + (a + 0.5) * self.side + (number - (len(texts) - 1) / 2) * 0.14
            colour = QUIET if text == "0" else ink_on(_SHADES[self.step(a, b)])
            sheet.write(self.left + (b + 0.5) * self.side, down, text, size=SMALL, color=colour, zorder=3)


def _shortened(name: str) -> str:
    """A name that fits above a column."""
    if width_of(name, SMALL) <= _ABOVE:
        return name
    while width_of(name + "…", SMALL) > _ABOVE:
        name = name[:-1]
    return name.rstrip() + "…"


def _legend(birds: _Map) -> list[Entry]:
    """The shades that occur."""
    count = len(birds.cells)
    found = {birds.step(a, b) for a in range(count) for b in range(a + 1)}
    words = ["0", *(f"up to 1/{part}" if part > 1 else "up to 1" for part in _PARTS)]
    return [Entry(text, Fill(_SHADES[step])) for step, text in enumerate(words) if step in found]


def _notes(birds: _Map) -> list[str]:
    count = len(birds.cells)
    notes = ["The kinship of two birds is the inbreeding of their chicks."]
    if birds.autosome:
        notes.append("On the diagonal: a bird with itself, (1 + F)/2, where F is its own inbreeding.")
    else:
        notes = [
            f"Kinship on the {birds.chromosome} chromosome.",
            "On the diagonal: a bird with itself, 1 for a single copy.",
        ]
    notes = [" ".join(notes)]
    close = any(8 * birds.cells[a][b] >= birds.scale for a in range(count) for b in range(a))
    return [*notes, f"Close mating can hurt birds. {WELFARE}"] if close else notes


def _relatives_together(cells: Sequence[Sequence[Any]]) -> list[int]:
    """An order in which close birds stand side by side."""
    groups = {at: [at] for at in range(len(cells))}
    close = {(a, b): float(cells[a][b]) for a in groups for b in groups if a < b}
    while len(groups) > 1:
        first, second = max(close, key=close.__getitem__)
        one, other = groups[first], groups.pop(second)
        for third in groups:
            if third != first:
                near = close[min(first, third), max(first, third)] * len(one)
                far = close.pop((min(second, third), max(second, third))) * len(other)
                close[min(first, third), max(first, third)] = (near + far) / (len(one) + len(other))
        del close[first, second]
        ways = [(left, right) for left in (one, one[::-1]) for right in (other, other[::-1])]
        left, right = max(ways, key=lambda way: cells[way[0][-1]][way[1][0]])
        groups[first] = left + right
    return groups[0]
