"""How many chicks or eggs it takes, and what a hatch of a given size is likely to bring."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.exact.numbers import as_percent, exact
from pinfeather.hatches import chicks_needed, likely_range
from pinfeather.hatches.sample_sizes import share_of_eggs
from pinfeather.hatches.wants import fraction_meant, no_symbol
from pinfeather.pictures.palette import ACCENT, COLOURS, EDGE, INK, LINE, PLAIN, QUIET, pale
from pinfeather.pictures.sheets import SMALL, TYPE, new_axes

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from pinfeather.crosses.offspring import Looks, Offspring
    from pinfeather.heredity.genotypes import Genotype
    from pinfeather.heredity.patterns import Pattern

# Inches: a chart of its own.  Below: how many points a curve has, and how many chicks are told apart as dots.
_WIDE, _HIGH = 6.4, 3.6
_POINTS, _DOTS = 240, 60


def draw_chicks_needed(
    fraction: Offspring | Any,
    wanted: int = 1,
    certainty: Any = "95%",
    *,
    genotype: str | Pattern | Genotype | None = None,
    shows: Looks | None = None,
    sex: str | None = None,
    ax: Axes | None = None,
) -> Axes:
    """Draw the chance of as many chicks of one class as wanted against the chicks hatched.

    Parameters
    ----------
    fraction, wanted, genotype, shows, sex
        As for :func:`~pinfeather.hatches.chicks_needed`.
    certainty : number, or sequence of numbers
        Each above 0 and below 1, such as ``("90%", "95%", "99%")``; the chicks needed for each are marked.
    ax : matplotlib.axes.Axes, optional
        Where to draw; by default on a new figure.

    Returns
    -------
    matplotlib.axes.Axes
        Chicks to the right, chances from 0 to 1 upwards.  The hatch that brings so many on average is marked too, since
        it so often fails to.

    Raises
    ------
    ArgumentError
        If an argument is out of range, or the fraction is symbolic.
    ImpossibleError
        If the fraction is 0, or no number of chicks gives a certainty.

    Notes
    -----
    The numbers of chicks marked are exact, as :func:`~pinfeather.hatches.chicks_needed` finds them; the curve is
    drawn from floats.

    Examples
    --------
    >>> import matplotlib
    >>> matplotlib.use("svg")
    >>> from pinfeather.pictures import draw_chicks_needed
    >>> ax = draw_chicks_needed("1/4")
    >>> [text.get_text() for text in ax.texts]
    ['95 %: 11 chicks', '4 chicks, 1 on average: 68.4 %']
    >>> matplotlib.pyplot.close(ax.figure)
    """
    value = no_symbol(fraction_meant(fraction, genotype, shows, sex))
    return _draw_needed(value, wanted, certainty, "chick", ax)


def draw_eggs_to_set(
    fraction: Offspring | Any,
    wanted: int = 1,
    certainty: Any = "95%",
    fertility: Any = 1,
    hatch_of_fertile: Any = 1,
    survival: Any = 1,
    *,
    genotype: str | Pattern | Genotype | None = None,
    shows: Looks | None = None,
    sex: str | None = None,
    ax: Axes | None = None,
) -> Axes:
    """Draw the chance of as many chicks of one class as wanted against the eggs set.

    Parameters
    ----------
    fraction, wanted, fertility, hatch_of_fertile, survival, genotype, shows, sex
        As for :func:`~pinfeather.hatches.eggs_to_set`, of one class.
    certainty : number, or sequence of numbers
        Each above 0 and below 1, such as ``("90%", "95%", "99%")``; the eggs to set for each are marked.
    ax : matplotlib.axes.Axes, optional
        Where to draw; by default on a new figure.

    Returns
    -------
    matplotlib.axes.Axes
        Eggs to the right, chances from 0 to 1 upwards.

    Raises
    ------
    ArgumentError
        If a rate is 0 or outside (0, 1], or an argument is out of range.
    ImpossibleError
        If no number of eggs gives such a chick.

    Examples
    --------
    >>> import matplotlib
    >>> matplotlib.use("svg")
    >>> from pinfeather.pictures import draw_eggs_to_set
    >>> ax = draw_eggs_to_set("1/4", certainty=("90%", "95%"), fertility="90%", hatch_of_fertile="85%", survival="95%")
    >>> [text.get_text() for text in ax.texts][:2]
    ['90 %: 12 eggs', '95 %: 15 eggs']
    >>> matplotlib.pyplot.close(ax.figure)
    """
    chosen: dict[str, Any] = {"genotype": genotype, "shows": shows, "sex": sex}
    share = share_of_eggs(fraction, fertility, hatch_of_fertile, survival, **chosen)
    return _draw_needed(no_symbol(share), wanted, certainty, "egg", ax)


def draw_likely_range(
    fraction: Offspring | Any,
    chicks: int,
    coverage: Any = "95%",
    *,
    observed: int | None = None,
    genotype: str | Pattern | Genotype | None = None,
    shows: Looks | None = None,
    sex: str | None = None,
    ax: Axes | None = None,
) -> Axes:
    """Draw how many chicks of one class a hatch may bring: a bar for each number, the likely range shaded.

    Parameters
    ----------
    fraction, chicks, coverage, genotype, shows, sex
        As for :func:`~pinfeather.hatches.likely_range`.
    observed : int, optional
        How many there were: this number is marked.
    ax : matplotlib.axes.Axes, optional
        Where to draw; by default on a new figure.

    Returns
    -------
    matplotlib.axes.Axes
        Numbers of chicks to the right, their chances upwards.  Numbers too rare to be seen are left out.

    Raises
    ------
    ArgumentError
        If an argument is out of range, or the fraction is symbolic.

    Notes
    -----
    The range and its chance are exact, as :func:`~pinfeather.hatches.likely_range` finds them; the bars are drawn from
    floats.

    Examples
    --------
    >>> import matplotlib
    >>> matplotlib.use("svg")
    >>> from pinfeather.pictures import draw_likely_range
    >>> ax = draw_likely_range("1/4", 20, observed=3)
    >>> [text.get_text() for text in ax.texts]
    ['2 to 9 of 20 chicks: 96.2 %', '3 counted']
    >>> matplotlib.pyplot.close(ax.figure)
    """
    chosen: dict[str, Any] = {"genotype": genotype, "shows": shows, "sex": sex}
    value = no_symbol(fraction_meant(fraction, genotype, shows, sex))
    likely = likely_range(fraction, chicks, coverage, **chosen)
    count = None if observed is None else _checks.whole_number(observed, "observed")
    if count is not None and count > chicks:
        _checks.refuse("observed", observed, f"more than the {chicks} chicks that hatched")
    heights = {number: _chance_of(float(value), chicks, number) for number in range(chicks + 1)}
    seen = [number for number, height in heights.items() if height > max(heights.values()) / 500]
    first = min([likely.low, *seen, *([] if count is None else [count])])
    last = max([likely.high, *seen, *([] if count is None else [count])])
    axes = new_axes(ax, _WIDE, _HIGH)
    axes.axvspan(likely.low - 0.5, likely.high + 0.5, color=pale(COLOURS[2]), zorder=0, linewidth=0)
    for number in range(first, last + 1):
        within = likely.low <= number <= likely.high
        style: dict[str, Any] = {"color": PLAIN} if within else {"facecolor": "white", "hatch": "////"}
        axes.bar([number], [heights[number]], width=0.8, **{"edgecolor": INK, "linewidth": 0.6, **style})
    top = max(heights.values())
    axes.set_xlim(first - 0.7, last + 0.7)
    axes.set_ylim(0, top * 1.28)
    _label(axes, "chicks of this class", f"chance in a hatch of {chicks}")
    words = f"{likely.low} to {likely.high} of {_counted(chicks, 'chick')}: {_brief(likely.coverage)}"
    _write(axes, (likely.low + likely.high) / 2, top * 1.22, words, ha="center", va="center")
    if count is not None:
        words = f"{count} counted" + ("" if likely.low <= count <= likely.high else ", outside the likely range")
        side = "right" if count > (first + last) / 2 else "left"
        axes.plot([count, count], [heights[count], top * 1.08], color=ACCENT, linewidth=0.9)
        axes.plot([count], [heights[count] + top * 0.03], marker="v", markersize=7, color=ACCENT, clip_on=False)
        _write(axes, count, top * 1.1, words, ha=side, va="center", color=ACCENT)
    return axes


# -- the curve ---------------------------------------------------------------------------------------------------------


def _draw_needed(value: Any, wanted: int, certainty: Any, unit: str, ax: Axes | None) -> Axes:
    """The curve, with a mark for each certainty and one for the hatch that brings so many on average."""
    several = isinstance(certainty, Sequence) and not isinstance(certainty, str)
    certainties = list(certainty) if several else [certainty]
    if not certainties:
        _checks.refuse("certainty", certainty, "must be a number, or some of them")
    needed = [chicks_needed(value, wanted, one) for one in certainties]
    end = max(max(needed) + 2, math.ceil(max(needed) * 1.3))
    step = max(1, end // _POINTS)
    counts = sorted({*range(0, end + 1, step), *needed})
    share = float(value)
    axes = new_axes(ax, _WIDE, _HIGH)
    chances = [_chance_of_enough(share, count, wanted) for count in counts]
    dots: dict[str, Any] = {"marker": "o", "markersize": 3} if end <= _DOTS else {}
    axes.plot(counts, chances, color=PLAIN, linewidth=1.4, zorder=2, **dots)
    for one, count in sorted(zip(map(exact, certainties), needed, strict=True), key=lambda pair: pair[1]):
        axes.plot([0, count, count], [float(one)] * 2 + [0], color=LINE, linewidth=0.9, linestyle="--", zorder=1)
        axes.plot(
            [count], [_chance_of_enough(share, count, wanted)], "o", markersize=7, color=ACCENT, zorder=3, clip_on=False
        )
        place = (count + end * 0.012, 0.03 if len(needed) == 1 else 0.03 + 0.08 * needed.index(count))
        _write(axes, *place, f"{as_percent(one)}: {_counted(count, unit)}", ha="left", va="bottom", color=ACCENT)
    mean = math.ceil(wanted / share)
    if mean < min(needed):
        chance = _chance_of_enough(share, mean, wanted)
        axes.plot([mean], [chance], "s", markersize=6, color="white", markeredgecolor=INK, zorder=3)
        words = f"{_counted(mean, unit)}, {wanted} on average: {100 * chance:.1f} %"
        _write(axes, mean + end * 0.025, chance - 0.01, words, ha="left", va="top")
    axes.set_xlim(0, end)
    axes.set_ylim(0, 1.04)
    _label(axes, f"{unit}s {'hatched' if unit == 'chick' else 'set'}", f"chance of {wanted} or more")
    return axes


def _chance_of(share: float, trials: int, number: int) -> float:
    """The binomial chance of exactly so many, in floats."""
    if share in (0.0, 1.0):
        return float(number == trials * share)
    ways = math.lgamma(trials + 1) - math.lgamma(number + 1) - math.lgamma(trials - number + 1)
    return math.exp(ways + number * math.log(share) + (trials - number) * math.log1p(-share))


def _chance_of_enough(share: float, trials: int, wanted: int) -> float:
    """The chance of so many or more, in floats."""
    if trials < wanted:
        return 0.0
    return min(1.0, max(0.0, 1 - math.fsum(_chance_of(share, trials, number) for number in range(wanted))))


# -- the look of a chart -----------------------------------------------------------------------------------------------


def _label(axes: Axes, below: str, beside: str) -> None:
    """Axes named in plain words, chances in per cent, and no more lines than needed."""
    from matplotlib.ticker import FuncFormatter, MaxNLocator

    axes.set_xlabel(below, fontsize=TYPE, color=INK)
    axes.set_ylabel(beside, fontsize=TYPE, color=INK)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda number, _: f"{number:,.0f}"))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda share, _: f"{100 * share:.4g} %"))
    axes.tick_params(labelsize=SMALL, labelcolor=QUIET, color=EDGE)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(LINE)


def _write(axes: Axes, x: float, y: float, text: str, **style: Any) -> None:
    box = {"facecolor": "white", "edgecolor": "none", "pad": 1}
    axes.text(x, y, text, parse_math=False, **{"fontsize": SMALL, "color": INK, "bbox": box, "zorder": 4, **style})


def _brief(chance: Any) -> str:
    """A chance to a tenth of a per cent; one that is not quite certain does not pass for it."""
    shown = f"{100 * float(chance):.1f} %"
    return "> 99.9 %" if shown == "100.0 %" and chance != 1 else shown


def _counted(number: int, word: str) -> str:
    return f"{number:,} {word}" if number == 1 else f"{number:,} {word}s"
