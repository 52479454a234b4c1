"""A programme over seasons, drawn: seasons from left to right, birds between the steps that give and use them."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.errors import TooLargeError
from pinfeather.exact.numbers import as_percent
from pinfeather.plans import Programme, Step

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_MOST_STEPS = 60

# The same quiet look as the other pictures: dark ink on white, thin grey lines, pale tints.
_INK, _FAINT, _LINE = "#2b2b2b", "#6b6b6b", "#bdbdbd"
_STEP, _TEST, _COCK, _HEN, _STOCK = "#f1efea", "#f4ecd8", "#e3ecf1", "#f3e6ef", "#ffffff"

# Inches: one column, one line of text, and the space round it; letters in a line of a box.
_ACROSS, _LINE_HEIGHT, _MARGIN, _LETTERS, _TYPE = 2.1, 0.17, 0.12, 24, 9


def draw_programme(programme: Programme, ax: Axes | None = None) -> Axes:
    """Draw a programme: seasons from left to right, with every mating, its eggs, and what is kept of it.

    Parameters
    ----------
    programme : Programme
        From :func:`~pinfeather.plans.programme.plan_programme`.
    ax : matplotlib.axes.Axes, optional
        Where to draw; by default on a new figure of a fitting size.

    Returns
    -------
    matplotlib.axes.Axes
        Boxes with corners are cocks, round ones hens; test matings have a tint of their own.

    Raises
    ------
    ArgumentError
        If ``programme`` is no programme.
    TooLargeError
        If it has more than 60 steps, which nobody could read.

    Examples
    --------
    >>> import matplotlib
    >>> matplotlib.use("svg")
    >>> from pinfeather import Locus, Species
    >>> from pinfeather.pictures.programmes import draw_programme
    >>> from pinfeather.plans import plan_programme
    >>> toy = Species("toy fowl", loci=[Locus("a", "gene a", ("A+", "a")), Locus("b", "gene b", ("B+", "b"))])
    >>> ax = draw_programme(plan_programme({"one": toy.genotype("a/a"), "other": "b/b"}, "a/a b/b").best)
    >>> ax.figure.savefig("programme.svg")  # doctest: +SKIP
    >>> matplotlib.pyplot.close(ax.figure)
    """
    _checks.instance(programme, "programme", Programme)
    if len(programme.steps) > _MOST_STEPS:
        message = f"a picture of {len(programme.steps)} steps could not be read (at most {_MOST_STEPS})"
        raise TooLargeError(message, size=len(programme.steps), limit=_MOST_STEPS)
    columns = _columns(programme)
    depth = max((_height(column) for column in columns), default=0.5)
    axes = _axes(ax, len(columns) * _ACROSS + 0.2, depth + 0.5)
    axes.set_xlim(0, max(len(columns), 1) * _ACROSS)
    axes.set_ylim(depth, -0.35)
    axes.set_axis_off()
    places: dict[object, tuple[float, float]] = {}
    for number, column in enumerate(columns):
        _draw_column(axes, number, column, depth, places)
    for season in range(1, programme.seasons + 1):
        _write(axes, 2 * season * _ACROSS, -0.2, f"season {season}", color=_FAINT)
    for step in programme.steps:
        _join(axes, step, places)
    return axes


class _Box:
    """One box: what it stands for, its lines of text, its tint, and whether its corners are round."""

    def __init__(self, key: object, text: str, fill: str, *, rounded: bool = False) -> None:
        self.key, self.fill, self.rounded = key, fill, rounded
        self.lines = [part for line in text.split("\n") for part in textwrap.wrap(line, _LETTERS)] or [""]
        self.height = len(self.lines) * _LINE_HEIGHT + 2 * _MARGIN


def _columns(programme: Programme) -> list[list[_Box]]:
    """The stock; then, for each season, its steps and what is kept of them."""
    kept = {words.split(":", 1)[0] for step in programme.steps for words in step.keep}
    stock = dict.fromkeys(p for step in programme.steps for p in (step.sire, step.dam) if p not in kept)
    columns = [[_Box(name, name, _STOCK) for name in stock]] if stock else []
    for season in range(1, programme.seasons + 1):
        steps = [step for step in programme.steps if step.season == season]
        columns.append([_Box(step.number, _step_text(step), _TEST if step.is_test else _STEP) for step in steps])
        columns.append([_bird(words) for step in steps for words in step.keep])
    return columns


def _step_text(step: Step) -> str:
    what = f"test: {step.birds_on_test} birds, {step.clean_chicks} eggs each" if step.is_test else f"{step.eggs} eggs"
    chance = as_percent(step.chance) if step.part_of is None else f"settled with step {step.part_of}"
    return f"step {step.number}\n{what}\n{chance}"


def _bird(words: str) -> _Box:
    name, _, look = words.partition(": ")
    is_hen = name.startswith("hen")
    return _Box(name, f"{name}\n{look.split(';')[0]}", _HEN if is_hen else _COCK, rounded=is_hen)


def _height(column: list[_Box]) -> float:
    return sum(box.height + _MARGIN for box in column)


def _draw_column(
    axes: Axes, number: int, column: list[_Box], depth: float, places: dict[object, tuple[float, float]]
) -> None:
    """The boxes of a column, evenly spaced."""
    from matplotlib.patches import FancyBboxPatch

    spare = (depth - _height(column)) / (len(column) + 1)
    top = spare
    width = _ACROSS * 0.78
    for box in column:
        left = number * _ACROSS + (_ACROSS - width) / 2
        style = f"round,pad=0,rounding_size={0.14 if box.rounded else 0.01}"
        axes.add_patch(
            FancyBboxPatch(
                (left, top), width, box.height, boxstyle=style, facecolor=box.fill, edgecolor=_LINE, linewidth=0.8
            )
        )
        middle = left + width / 2
        places[box.key] = (middle, top + box.height / 2)
        for line, text in enumerate(box.lines):
            weight = "bold" if line == 0 else "normal"
            _write(axes, middle, top + _MARGIN + (line + 0.5) * _LINE_HEIGHT, text, color=_INK, fontweight=weight)
        top += box.height + _MARGIN + spare


def _join(axes: Axes, step: Step, places: dict[object, tuple[float, float]]) -> None:
    """Lines from the parents to a step, and from it to what is kept."""
    half = _ACROSS * 0.39
    here = places[step.number]
    ends = [(places[parent], here) for parent in (step.sire, step.dam)]
    ends += [(here, places[words.split(":", 1)[0]]) for words in step.keep]
    for (x, y), (to_x, to_y) in ends:
        axes.plot([x + half, to_x - half], [y, to_y], color=_LINE, linewidth=1, zorder=0)


def _axes(ax: Axes | None, width: float, height: float) -> Axes:
    """The axes given, or new ones on a figure of so many inches."""
    if ax is not None:
        return ax
    try:
        from matplotlib import pyplot
    except ImportError as error:
        message = "drawing needs matplotlib; install it with: pip install 'pinfeather[pictures]'"
        raise ImportError(message) from error
    return pyplot.subplots(figsize=(max(width, 3.0), max(height, 1.0)), layout="constrained")[1]


def _write(axes: Axes, x: float, y: float, text: str, **style: Any) -> None:
    axes.text(x, y, text, ha="center", va="center", parse_math=False, **{"fontsize": _TYPE, **style})
