"""Charts of hatches: curves and bars at the heights that scipy gives, and marks at the exact numbers."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from matplotlib import pyplot
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from scipy import stats

from pinfeather import (
    ArgumentError,
    ImpossibleError,
    chicks_needed,
    cross,
    draw_chicks_needed,
    draw_eggs_to_set,
    draw_likely_range,
    eggs_to_set,
    likely_range,
    load_fowl,
)

fowl = load_fowl()


def texts(ax: Axes) -> list[str]:
    return [text.get_text() for text in ax.texts]


@pytest.mark.parametrize(("share", "wanted"), [("1/4", 1), ("3/16", 5), ("1/512", 2), (1, 3)])
def test_the_curve_is_the_binomial_chance_of_so_many_or_more(share: str | int, wanted: int) -> None:
    """scipy.stats.binom (SciPy 1.12 or newer)."""
    curve = draw_chicks_needed(share, wanted).lines[0]
    counts = np.asarray(curve.get_xdata())
    expected = stats.binom.sf(wanted - 1, counts, float(Fraction(share)))
    assert np.asarray(curve.get_ydata()) == pytest.approx(expected, abs=1e-9)
    assert counts[0] == 0
    assert counts[-1] > chicks_needed(share, wanted)


def test_the_numbers_needed_are_marked_and_named() -> None:
    """The test mating to a known carrier: 11 chicks for 95 %, 17 for 99 % (J. R. Sedcole 1977, Crop Science 17)."""
    ax = draw_chicks_needed("1/4", certainty=("95%", "99%"))
    assert {"95 %: 11 chicks", "99 %: 17 chicks"} <= set(texts(ax))
    dots = [line for line in ax.lines if line.get_marker() == "o" and len(line.get_xdata()) == 1]
    assert [line.get_xdata()[0] for line in dots] == [11, 17]
    assert [line.get_ydata()[0] for line in dots] == pytest.approx([1 - 0.75**11, 1 - 0.75**17])


def test_the_hatch_that_brings_it_on_average_is_shown_to_fail_often() -> None:
    """Four chicks of which one in four is wanted bring none with (3/4)^4, nearly a third."""
    assert "4 chicks, 1 on average: 68.4 %" in texts(draw_chicks_needed("1/4"))
    assert not any("on average" in text for text in texts(draw_chicks_needed(1)))


def test_eggs_count_what_is_lost_on_the_way() -> None:
    rates = {"fertility": "90%", "hatch_of_fertile": "85%", "survival": "95%"}
    ax = draw_eggs_to_set("1/4", 2, **rates)
    assert f"95 %: {eggs_to_set('1/4', 2, **rates)} eggs" in texts(ax)
    assert ax.get_xlabel() == "eggs set"
    creepers = cross(fowl.genotype("Cp/cp+"), fowl.genotype("Cp/cp+"))
    wanted = {"shows": {"Cp": "creeper"}, "sex": "female"}
    ax = draw_eggs_to_set(creepers, **wanted)
    assert f"95 %: {eggs_to_set(creepers, **wanted)} eggs" in texts(ax)
    assert f"95 %: {chicks_needed(creepers, **wanted)} chicks" in texts(draw_chicks_needed(creepers, **wanted))


@pytest.mark.parametrize(("share", "chicks"), [("1/4", 20), ("1/2", 1), ("9/16", 300), (0, 5), (1, 5)])
def test_the_bars_are_the_binomial_chances_and_the_likely_range_is_shaded(share: str | int, chicks: int) -> None:
    """scipy.stats.binom (SciPy 1.12 or newer)."""
    ax = draw_likely_range(share, chicks)
    bars = [bar for group in ax.containers for bar in group]
    numbers = [round(bar.get_x() + bar.get_width() / 2) for bar in bars]
    assert [bar.get_height() for bar in bars] == pytest.approx(
        stats.binom.pmf(numbers, chicks, float(Fraction(share))), abs=1e-9
    )
    likely = likely_range(share, chicks)
    within = [number for number, bar in zip(numbers, bars, strict=True) if not bar.get_hatch()]
    assert within == list(range(likely.low, likely.high + 1))
    shaded = ax.patches[0]
    assert (shaded.get_x(), shaded.get_x() + shaded.get_width()) == (likely.low - 0.5, likely.high + 0.5)


def test_what_was_counted_is_marked_and_said_to_lie_outside_if_it_does() -> None:
    assert "3 counted" in texts(draw_likely_range("1/4", 20, observed=3))
    ax = draw_likely_range("1/4", 20, observed=15)
    assert "15 counted, outside the likely range" in texts(ax)
    assert ax.get_xlim()[1] > 15


def test_numbers_within_and_outside_differ_in_more_than_colour() -> None:
    bars = [bar for group in draw_likely_range("1/4", 20).containers for bar in group]
    assert {(to_hex(bar.get_facecolor()) == "#ffffff", bar.get_hatch() is None) for bar in bars} == {
        (True, False),
        (False, True),
    }


def test_axes_given_are_drawn_on_and_returned() -> None:
    _, (left, middle, right) = pyplot.subplots(1, 3)
    assert draw_chicks_needed("1/4", ax=left) is left
    assert draw_eggs_to_set("1/4", ax=middle) is middle
    assert draw_likely_range("1/4", 8, ax=right) is right


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(ImpossibleError):
        draw_chicks_needed(0)
    with pytest.raises(ArgumentError, match="certainty"):
        draw_chicks_needed("1/4", certainty=())
    with pytest.raises(ArgumentError, match="certainty"):
        draw_chicks_needed("1/4", certainty="100%")
    with pytest.raises(ArgumentError, match="a rate of 0"):
        draw_eggs_to_set("1/4", fertility=0)
    with pytest.raises(ArgumentError, match="more than the 8 chicks"):
        draw_likely_range("1/4", 8, observed=9)
    with pytest.raises(ArgumentError, match="observed"):
        draw_likely_range("1/4", 8, observed=-1)
