"""The sheet that a picture is drawn on: measured in inches from its upper left corner, fitted to the axes given."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather.pictures.palette import INK, LINE, QUIET, Fill

if TYPE_CHECKING:
    from matplotlib.axes import Axes

TYPE, SMALL = 9.0, 8.0
"""The sizes of type, in points."""

LEADING = 0.17
"""From one line of text to the next, in inches."""

_KEY, _SWATCH = 0.24, 0.16


def needs_matplotlib() -> None:
    """Ask for matplotlib before anything is measured or drawn with it."""
    try:
        import matplotlib  # noqa: F401
    except ImportError as error:
        message = "drawing needs matplotlib; install it with: pip install 'pinfeather[pictures]'"
        raise ImportError(message) from error


def new_axes(ax: Axes | None, width: float, height: float) -> Axes:
    """The axes given, or new ones on a figure of so many inches."""
    if ax is not None:
        return ax
    needs_matplotlib()
    from matplotlib import pyplot

    return pyplot.subplots(figsize=(width, height), layout="constrained")[1]


@lru_cache(maxsize=20_000)
def _points(text: str, size: float, bold: bool, family: str) -> float:  # noqa: ARG001 - the family is part of the key
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    font = FontProperties(size=size, weight="bold" if bold else "normal")
    width: float = text_to_path.get_text_width_height_descent(text, font, ismath=False)[0]
    return width


def width_of(text: str, size: float = TYPE, *, bold: bool = False) -> float:
    """How wide a line of text is, in inches, in the type that matplotlib is set to."""
    needs_matplotlib()
    from matplotlib import rcParams

    # On a screen letters are fitted to the dots, which makes a line up to a thirtieth wider.
    return 1.03 * _points(text, size, bold, str(rcParams["font.family"])) / 72


def wrapped(text: str, width: float, size: float = TYPE, *, bold: bool = False) -> list[str]:
    """A text in lines of at most so many inches; a word that is wider is broken, behind a stroke if it has any."""
    if width_of(text, size, bold=bold) <= width:
        return [text]
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if width_of(longer, size, bold=bold) <= width:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and width_of(lines[-1] + letter, size, bold=bold) > width:
                head, stroke, rest = lines[-1].rpartition("/")
                lines[-1:] = [head + stroke, rest] if stroke and rest else [lines[-1], ""]
            lines[-1] += letter
    return lines


@attrs.frozen
class Entry:
    """One entry of a legend: its words, and the area before them."""

    text: str
    fill: Fill

    @property
    def width(self) -> float:
        """With the space behind it, in inches."""
        return 0.26 + width_of(self.text, SMALL) + 0.2


def in_lines(entries: Iterable[Any], width: float) -> list[list[Any]]:
    """The entries of a legend, in lines that fit."""
    made: list[list[Any]] = []
    left = 0.0
    for entry in entries:
        if entry.width > left or not made:
            made.append([])
            left = width
        made[-1].append(entry)
        left -= entry.width
    return made


@attrs.frozen
class Sheet:
    """Axes in inches, and how much larger or smaller than life they are."""

    axes: Axes
    scale: float

    @classmethod
    def of(cls, ax: Axes | None, width: float, height: float) -> Sheet:
        """A sheet of so many inches, on the axes given or on new ones; nothing on it is distorted."""
        margin, padding = 0.03, 0.0834  # the padding is what matplotlib's constrained layout takes
        axes = new_axes(ax, width + 2 * margin + padding, height + 2 * margin + padding)
        scale = 1.0
        if ax is not None:
            room = ax.get_window_extent()
            scale = min(room.width / (width + 2 * margin), room.height / (height + 2 * margin)) / ax.figure.dpi
        axes.set_xlim(-margin, width + margin)
        axes.set_ylim(height + margin, -margin)
        axes.set_aspect("equal")
        axes.set_axis_off()
        return cls(axes, scale)

    def write(self, x: float, y: float, text: str, **style: Any) -> None:
        """A line of text, drawn as it is: no sign in it is taken for a formula."""
        size = style.pop("size", TYPE) * self.scale
        style = {"ha": "center", "va": "center", "color": INK, **style}
        # Texts have their room on the sheet; the layout need not make more.
        self.axes.text(x, y, text, fontsize=size, parse_math=False, **style).set_in_layout(False)

    def fill(self, left: float, top: float, width: float, height: float, fill: Fill, **style: Any) -> None:
        """A rectangle."""
        from matplotlib.patches import Rectangle

        style = {"edgecolor": INK, "linewidth": 0.8 * self.scale, **style}
        area = Rectangle((left, top), width, height, facecolor=fill.colour, **style)
        if fill.pattern:
            area.set_hatch(fill.pattern)
        self.axes.add_patch(area)

    def line(self, xs: Sequence[float], ys: Sequence[float], **style: Any) -> None:
        """A line through some points."""
        width = style.pop("linewidth", 0.9) * self.scale
        self.axes.plot(xs, ys, linewidth=width, **{"color": LINE, "solid_capstyle": "butt", "zorder": 1, **style})

    def legend(self, lines: Iterable[Iterable[Entry]], top: float) -> float:
        """Lines of a legend; where they end."""
        for entries in lines:
            left = 0.0
            for entry in entries:
                self.fill(left, top + (_KEY - _SWATCH) / 2, _SWATCH, _SWATCH, entry.fill)
                self.write(left + 0.23, top + _KEY / 2, entry.text, ha="left", color=QUIET, size=SMALL)
                left += entry.width
            top += _KEY
        return top

    def notes(self, lines: Iterable[str], top: float) -> None:
        """Lines of small print."""
        for number, line in enumerate(lines):
            self.write(0, top + (number + 0.5) * LEADING, line, ha="left", color=QUIET, size=SMALL)


def legend_height(lines: Sequence[Any]) -> float:
    """How high a legend of so many lines is, in inches."""
    return _KEY * len(lines)
