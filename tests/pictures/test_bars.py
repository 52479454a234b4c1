"""Bars: as long as the chances, with exact fractions, in the order of the catalogue, told apart without colour."""

from __future__ import annotations

from itertools import pairwise

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from pinfeather import (
    Distribution,
    load_fowl,
)
from pinfeather.pictures import draw_chances

fowl = load_fowl()
TENTH = {"lav": {"lav": "1/10"}}


def texts(ax: Axes) -> list[str]:
    return [text.get_text() for text in ax.texts]


def boxes(ax: Axes) -> list[Rectangle]:
    return [patch for patch in ax.patches if isinstance(patch, Rectangle)]


def test_bars_are_as_long_as_the_chances() -> None:
    chances = Distribution.of({"black": "1/4", "blue": "1/2", "splash": "1/4"})
    ax = draw_chances(chances)
    assert [bar.get_width() for bar in boxes(ax)] == [0.25, 0.5, 0.25]
    assert [label.get_text() for label in ax.get_yticklabels()] == ["black", "blue", "splash"]
    assert texts(ax) == ["1/4   25 %", "1/2   50 %", "1/4   25 %"]
    low, high = ax.get_ylim()
    assert low > high, "the first outcome stands at the top"


def test_what_is_not_certain_never_reads_as_if_it_were() -> None:
    ax = draw_chances(Distribution.of({"sport": "1/1000000007", "plain": "1000000006/1000000007"}))
    assert texts(ax) == ["1/1000000007   < 0.01 %", "> 99.99 %"]


def test_long_names_are_broken_and_their_bars_have_room() -> None:
    ax = draw_chances(Distribution.of({"word " * 30: "1/3", "x" * 90: "1/3", "short": "1/3"}))
    ax.figure.canvas.draw()
    names = [label.get_window_extent() for label in ax.get_yticklabels()]
    assert max(name.width for name in names) < 3 * ax.figure.dpi
    assert not any(one.overlaps(other) for one, other in pairwise(names))
    thick = {round(bar.get_height(), 6) for bar in boxes(ax)}
    assert len(thick) == 1
