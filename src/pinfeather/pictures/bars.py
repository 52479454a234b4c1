"""Bars: the chances of one distribution, each with its exact fraction."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.errors import TooLargeError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import as_percent
from pinfeather.pictures.palette import INK, LINE, PLAIN
from pinfeather.pictures.sheets import (
    LEADING,
    TYPE,
    new_axes,
    wrapped,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_MOST_BARS = 60

# Inches: the widest name, a bar with the space below it, and a bar by itself.
_NAMES, _ROW, _THICK = 2.6, 0.3, 0.21


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
        The bars are as long as the chances; the first outcome stands at the top.

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
    few_enough(len(distribution), "bars", "ask about less")
    shares = list(distribution.values())
    if any(share.free_symbols for share in shares):
        reason = "its chances hold symbols; put numbers in with .substituted({...}) before drawing"
        _checks.refuse("distribution", distribution, reason)
    names = ["\n".join(wrapped(str(outcome), _NAMES)) for outcome in distribution]
    lines = [name.count("\n") + 1 for name in names]
    # Each bar has a row as high as its name; a picture of one bar is no higher than that.
    rows = [max(_ROW, LEADING * number + 0.1) for number in lines]
    axes = new_axes(ax, 7.0, sum(rows) + 0.25)
    size = TYPE if ax is None else _fitting(axes, sum(rows))
    places = [(sum(rows[:at]) + row / 2) / _ROW for at, row in enumerate(rows)]
    lengths = [float(share) for share in shares]
    axes.barh(places, lengths, height=_THICK / _ROW, color=PLAIN, edgecolor=INK, linewidth=0.6)
    for place, length, share in zip(places, lengths, shares, strict=True):
        text = f"{share}   {percent(share)}" if len(str(share)) <= 14 else percent(share)
        style: dict[str, Any] = {"ha": "left", "va": "center", "color": INK, "fontsize": size}
        axes.text(length + 0.012 * max(lengths), place, text, parse_math=False, **style)
    axes.set_yticks(places)
    axes.set_yticklabels(names, fontsize=size, color=INK, parse_math=False)
    axes.set_ylim(sum(rows) / _ROW, 0)
    axes.set_xlim(0, max(lengths) * 1.45)
    axes.set_xticks([])
    axes.tick_params(axis="y", length=0)
    for side in ("top", "right", "bottom"):
        axes.spines[side].set_visible(False)
    axes.spines["left"].set_color(LINE)
    return axes


def percent(share: Any) -> str:
    """A chance as a percentage; what is not certain never reads as if it were."""
    text = as_percent(share)
    if text == "~ 0 %":
        return "< 0.01 %"
    return "> 99.99 %" if text == "~ 100 %" else text


def few_enough(count: int, what: str, advice: str) -> None:
    """Refuse more rows than could be read."""
    if count > _MOST_BARS:
        message = f"a picture of {count:,} {what} could not be read (at most {_MOST_BARS}); {advice}"
        raise TooLargeError(message, size=count, limit=_MOST_BARS)


def _fitting(axes: Axes, height: float) -> float:
    """A size of type at which rows that want so many inches fit the axes given."""
    room = axes.get_window_extent().height / axes.figure.dpi
    return TYPE * min(1.0, room / height)
