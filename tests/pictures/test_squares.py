"""What the pictures hold: every text of the square, every bar at its length, and nothing taken for a formula."""

from __future__ import annotations

import io
import subprocess
import sys
from itertools import combinations
from xml.etree import ElementTree

import matplotlib as mpl
import pytest
import sympy
from matplotlib import pyplot
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.patches import Rectangle

from pinfeather import ArgumentError, Distribution, Locus, Species, TooLargeError, cross, load_fowl
from pinfeather.pictures import draw_chances, draw_square

fowl = load_fowl()


def texts(ax: Axes) -> list[str]:
    return [text.get_text() for text in ax.texts]


def boxes(ax: Axes) -> list[Rectangle]:
    """The cells and headings, without bands and legend, which are narrower."""
    return [patch for patch in ax.patches if isinstance(patch, Rectangle) and patch.get_width() > 0.2]


def bands(ax: Axes) -> list[Rectangle]:
    """The bands at the left of the cells, without the squares of the legend."""
    found = [patch for patch in ax.patches if isinstance(patch, Rectangle) and patch.get_width() < 0.2]
    return [patch for patch in found if patch.get_height() > 0.2]


def test_a_square_shows_every_gamete_cell_and_look() -> None:
    square = cross(fowl.genotype("R/r+ P/p+"), fowl.genotype("R/r+ P/p+")).square().showing("comb")
    ax = draw_square(square)
    assert len(boxes(ax)) == 25
    shown = texts(ax)
    assert shown.count("walnut") == 9
    assert shown.count("single") == 1
    assert shown.count("P r+  1/4") == 2
    assert "Each cell is 1/16 of the fertilised eggs." in shown


def test_cells_of_one_look_share_a_tint_and_others_differ() -> None:
    """W. Bateson and E. R. Saunders 1902: 9 : 3 : 3 : 1 cells."""
    square = cross(fowl.genotype("R/r+ P/p+"), fowl.genotype("R/r+ P/p+")).square().showing("comb")
    tints = [to_hex(box.get_facecolor()) for box in boxes(draw_square(square))]
    headings = tints[:5] + tints[5::5]
    assert len(set(headings)) == 1
    cells = [tint for at, tint in enumerate(tints) if at >= 5 and at % 5]
    assert sorted(cells.count(tint) for tint in set(cells)) == [1, 3, 3, 9]


def test_looks_are_told_apart_in_grey_by_bands_and_a_legend_adds_them_up() -> None:
    """W. Bateson and E. R. Saunders 1902: nine walnut, three rose, three pea, one single of sixteen."""
    square = cross(fowl.genotype("R/r+ P/p+"), fowl.genotype("R/r+ P/p+")).square().showing("comb")
    ax = draw_square(square)
    marks = [(to_hex(band.get_facecolor()), band.get_hatch()) for band in bands(ax)]
    assert sorted(marks.count(mark) for mark in set(marks)) == [1, 3, 3, 9]
    assert {"walnut  9/16", "rose  3/16", "pea  3/16", "single  1/16"} <= set(texts(ax))


def test_more_looks_than_tints_leave_the_cells_plain() -> None:
    loci = [Locus(f"g{n}", f"gene {n}", (f"G{n}", f"g{n}+"), dominance="codominant") for n in range(3)]  # 27 looks
    stock = Species("spotted fowl", loci=loci)
    mixed = stock.genotype(" ".join(f"G{n}/g{n}+" for n in range(3)))
    ax = draw_square(cross(mixed, mixed).square().showing())
    assert len(boxes(ax)) == 81
    assert bands(ax) == []
    assert {to_hex(box.get_facecolor()) for at, box in enumerate(boxes(ax)) if at >= 9 and at % 9} == {"#ffffff"}


def test_long_texts_stay_within_their_cells() -> None:
    words = "a bird with feathered toes, a crest, and an exceedingly long description of its look"
    shows = {"Longsymbolindeed/_": words, "longsymbolindeed+/longsymbolindeed+": "plain"}
    wordy = Species("wordy fowl", loci=[Locus("l", "looks", ("Longsymbolindeed", "longsymbolindeed+"), shows=shows)])
    carrier = wordy.genotype("Longsymbolindeed/longsymbolindeed+")
    ax = draw_square(cross(carrier, carrier).square().showing("looks"))
    ax.figure.canvas.draw()
    sides = [box.get_window_extent() for box in boxes(ax)]
    assert max(box.width for box in sides) < 3 * ax.figure.dpi
    for text in ax.texts:
        extent = text.get_window_extent()
        for box in sides:
            if box.contains(*extent.get_points().mean(axis=0)):
                assert box.x0 < extent.x0
                assert extent.x1 < box.x1


def test_on_axes_given_the_type_is_as_much_smaller_as_the_square() -> None:
    square = cross(fowl.genotype("R/r+ P/p+"), fowl.genotype("R/r+ P/p+")).square().showing("comb")
    whole = draw_square(square)
    _, axes = pyplot.subplots(2, 4, figsize=(10, 5))
    small = draw_square(square, axes[0][0])
    assert small.texts[0].get_fontsize() < 0.6 * whole.texts[0].get_fontsize()
    small.figure.canvas.draw()
    extents = [text.get_window_extent() for text in small.texts[:25]]
    assert not any(one.overlaps(other) for one, other in combinations(extents, 2))


def test_a_dead_cell_is_grey_and_its_sign_explained() -> None:
    ax = draw_square(cross(fowl.genotype("Cp/cp+"), fowl.genotype("Cp/cp+")).square())
    shown = texts(ax)
    assert "Cp/Cp †" in shown
    assert any(text.startswith("† : all die before hatch") for text in shown)
    assert any("veterinarian" in text for text in shown)
    tints = [to_hex(box.get_facecolor()) for box in boxes(ax)]
    assert len({tints[4], tints[5]}) == 2
    assert tints[5] == tints[7] == tints[8]


def test_a_picture_is_drawn_on_the_axes_given() -> None:
    figure, (left, right) = pyplot.subplots(1, 2)
    square = cross(fowl.genotype("Bl/bl+"), fowl.genotype("Bl/bl+")).square()
    assert draw_square(square, left) is left
    assert draw_chances(square.genotypes(), ax=right) is right
    assert pyplot.get_fignums() == [figure.number]


def test_texts_of_the_user_are_neither_formulas_nor_markup() -> None:
    odd = Species(
        "odd fowl",
        loci=[Locus("q", "quill", ("$x^{&<b>", "q+"), shows={"$x^{&<b>/_": "</svg>$\\frac{", "q+/_": "plain"})],
    )
    carrier = odd.genotype("$x^{&<b>/q+")
    chicks = cross(carrier, carrier)
    for ax in (draw_square(chicks.square().showing("quill")), draw_chances(chicks.phenotypes("quill"))):
        page = io.StringIO()
        with mpl.rc_context({"svg.fonttype": "none"}):
            figure = ax.get_figure(root=True)
            assert figure is not None
            figure.savefig(page, format="svg")
        found = [text for text in ElementTree.fromstring(page.getvalue()).itertext() if text.strip()]
        assert any("</svg>$\\frac{" in text for text in found)


def test_what_could_not_be_read_or_drawn_is_refused() -> None:
    loci = [Locus(f"a{n}", f"trait {n}", (f"A{n}", f"a{n}+")) for n in range(5)]
    stock = Species("wide fowl", loci=loci)
    mixed = stock.genotype(" ".join(f"A{n}/a{n}+" for n in range(5)))
    with pytest.raises(TooLargeError, match="1,024 cells"):
        draw_square(cross(mixed, mixed).square())
    with pytest.raises(TooLargeError, match="61 bars"):
        draw_chances(Distribution.of(dict.fromkeys(range(61), 1)))
    q = sympy.Symbol("q")
    with pytest.raises(ArgumentError, match="substituted"):
        draw_chances(Distribution.of({"carrier": q, "clear": 1 - q}))
    with pytest.raises(ArgumentError, match="must be a Distribution"):
        draw_chances({"a": 1})  # type: ignore[arg-type]
    with pytest.raises(ArgumentError, match="must be a PunnettSquare"):
        draw_square("square")  # type: ignore[arg-type]


def test_matplotlib_loads_only_when_something_is_drawn() -> None:
    code = (
        "import sys; from pinfeather.pictures import draw_chances; from pinfeather import Distribution\n"
        "assert 'matplotlib' not in sys.modules\n"
        "import matplotlib; matplotlib.use('svg'); draw_chances(Distribution.of({'a': 1}))"
    )
    subprocess.run([sys.executable, "-W", "error", "-c", code], check=True)
