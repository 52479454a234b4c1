"""Punnett squares and chances, drawn."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.crosses.cells import Cell
from pinfeather.crosses.square import PunnettSquare
from pinfeather.errors import TooLargeError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import as_percent

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_MOST_CELLS = 256
_MOST_BARS = 60

# A quiet look: dark ink on white, thin grey lines, tints pale enough to read on, one plain colour for bars.
_INK, _FAINT, _LINE, _BAR = "#2b2b2b", "#6b6b6b", "#bdbdbd", "#5b7f95"
_HEADING, _LOST = "#f1efea", "#e4e1dd"
_TINTS = (
    "#ffffff",
    "#e3ecf1",
    "#f4ecd8",
    "#e4eddd",
    "#f1e2df",
    "#e6e2ef",
    "#dcebe8",
    "#f3e6ef",
    "#e9e9d6",
    "#dfe3ea",
)

# The size of a letter and of a line at the size of type that is used, in inches.
_LETTER, _NOTE_LETTER, _LINE_HEIGHT, _TYPE = 0.082, 0.07, 0.18, 9.5


def draw_square(square: PunnettSquare, ax: Axes | None = None) -> Axes:
    """Draw a Punnett square.

    Parameters
    ----------
    square : PunnettSquare
        From :meth:`Offspring.square <pinfeather.crosses.offspring.Offspring.square>`; with
        ``square.showing("comb")`` cells of one look share a tint.
    ax : matplotlib.axes.Axes, optional
        Where to draw; by default on a new figure of a fitting size.

    Returns
    -------
    matplotlib.axes.Axes

    Raises
    ------
    ArgumentError
        If ``square`` is no Punnett square.
    TooLargeError
        If it has more than 256 cells, which nobody could read.

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
    grid = square.grid()
    widths = [max(len(line) for row in grid for line in row[at]) * _LETTER + 0.3 for at in range(len(grid[0]))]
    widths = [widths[0], *([max(widths[1:])] * (len(widths) - 1))]
    heights = [max(map(len, row)) * _LINE_HEIGHT + 0.2 for row in grid]
    width = max(sum(widths), 3.5)
    notes = [part for line in square.legend for part in textwrap.wrap(line, int(width / _NOTE_LETTER))]
    depth = sum(heights) + len(notes) * _LINE_HEIGHT + 0.15
    axes = _axes(ax, width + 0.2, depth + 0.2)
    axes.set_xlim(-0.02, width + 0.02)
    axes.set_ylim(depth, -0.02)
    axes.set_axis_off()
    tints = _tints(square)
    top = 0.0
    for number, (row, height) in enumerate(zip(grid, heights, strict=True)):
        left = 0.0
        for at, (entry, across) in enumerate(zip(row, widths, strict=True)):
            cell = square.cells[number - 1][at - 1] if number and at else None
            fill = _HEADING if cell is None else tints[number - 1][at - 1]
            _box(axes, (left, top, across, height), entry, fill, cell)
            left += across
        top += height
    for number, line in enumerate(notes):
        _write(axes, 0, top + 0.2 + number * _LINE_HEIGHT, line, ha="left", color=_FAINT, fontsize=_TYPE - 1)
    return axes


def draw_chances(distribution: Distribution[Any], ax: Axes | None = None) -> Axes:
    """Draw the chances of a distribution as bars, each with its exact fraction.

    Parameters
    ----------
    distribution : Distribution
        Of genotypes, looks, or anything else.
    ax : matplotlib.axes.Axes, optional
        Where to draw; by default on a new figure of a fitting size.

    Returns
    -------
    matplotlib.axes.Axes

    Raises
    ------
    ArgumentError
        If it is no distribution, or its chances hold a symbol.
    TooLargeError
        If it has more than 60 outcomes.

    Examples
    --------
    >>> import matplotlib
    >>> matplotlib.use("svg")
    >>> from pinfeather import Distribution
    >>> from pinfeather.pictures import draw_chances
    >>> ax = draw_chances(Distribution.of({"black": 1, "blue": 2, "splash": 1}))
    >>> len(ax.patches)
    3
    >>> matplotlib.pyplot.close(ax.figure)
    """
    _checks.instance(distribution, "distribution", Distribution)
    if len(distribution) > _MOST_BARS:
        message = f"a picture of {len(distribution):,} bars could not be read (at most {_MOST_BARS}); ask about less"
        raise TooLargeError(message, size=len(distribution), limit=_MOST_BARS)
    shares = list(distribution.values())
    if any(share.free_symbols for share in shares):
        reason = "its chances hold symbols; put numbers in with .substituted({...}) before drawing"
        _checks.refuse("distribution", distribution, reason)
    names = [textwrap.fill(str(outcome), 42) for outcome in distribution]
    tall = sum(0.14 + _LINE_HEIGHT * (name.count("\n") + 1) for name in names)
    axes = _axes(ax, 7.0, max(tall + 0.7, 1.4))
    places = list(range(len(names)))
    lengths = [float(share) for share in shares]
    axes.barh(places, lengths, height=0.62, color=_BAR)
    for place, length, share in zip(places, lengths, shares, strict=True):
        percent = as_percent(share)
        text = f"{share}   {percent}" if len(str(share)) <= 14 else percent
        _write(axes, length + 0.012 * max(lengths), place, text, ha="left", color=_INK)
    axes.set_yticks(places)
    axes.set_yticklabels(names, fontsize=_TYPE, color=_INK, parse_math=False)
    axes.set_ylim(len(names) - 0.4, -0.6)
    axes.set_xlim(0, max(lengths) * 1.45)
    axes.set_xticks([])
    axes.tick_params(axis="y", length=0)
    for side in ("top", "right", "bottom"):
        axes.spines[side].set_visible(False)
    axes.spines["left"].set_color(_LINE)
    return axes


def _axes(ax: Axes | None, width: float, height: float) -> Axes:
    """The axes given, or new ones on a figure of so many inches."""
    if ax is not None:
        return ax
    try:
        from matplotlib import pyplot
    except ImportError as error:
        message = "drawing needs matplotlib; install it with: pip install 'pinfeather[pictures]'"
        raise ImportError(message) from error
    return pyplot.subplots(figsize=(width, height), layout="constrained")[1]


def _box(
    axes: Axes, place: tuple[float, float, float, float], entry: Sequence[str], fill: str, cell: Cell | None
) -> None:
    """One cell or heading: a tinted rectangle and its lines of text, the genotype or gamete a little stronger."""
    from matplotlib.patches import Rectangle

    left, top, width, height = place
    axes.add_patch(Rectangle((left, top), width, height, facecolor=fill, edgecolor=_LINE, linewidth=0.8))
    lost = cell is not None and cell.sign in ("†", "‡")
    middle, start = left + width / 2, top + height / 2 - (len(entry) - 1) * _LINE_HEIGHT / 2
    for number, line in enumerate(entry):
        colour = _FAINT if lost or (number and cell is not None) else _INK
        weight = "bold" if cell is None else "normal"
        _write(axes, middle, start + number * _LINE_HEIGHT, line, ha="center", color=colour, fontweight=weight)


def _write(axes: Axes, x: float, y: float, text: str, **style: Any) -> None:
    axes.text(x, y, text, va="center", parse_math=False, **{"fontsize": _TYPE, **style})


def _tints(square: PunnettSquare) -> list[list[str]]:
    """A tint for each cell: alike for cells of one look, grey for chicks that die."""
    known: dict[str, str] = {}
    made = []
    for row in square.cells:
        tints = []
        for cell in row:
            look = "; ".join(map(str, square.looks(cell))) if square.traits else ""
            tint = known.setdefault(look, _TINTS[len(known) % len(_TINTS)])
            tints.append(_LOST if cell.sign in ("†", "‡") else tint)
        made.append(tints)
    return made
