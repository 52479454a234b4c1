"""Posterior bars: divided by genotype, in the order of the catalogue, with exact fractions and what was assumed."""

from __future__ import annotations

import pytest
from matplotlib import pyplot
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.patches import Rectangle

from pinfeather import (
    ArgumentError,
    Individual,
    Pedigree,
    TooLargeError,
    UnknownSymbolError,
    draw_probabilities,
    genotype_probabilities,
    load_fowl,
)
from pinfeather.pedigree import GenotypeProbabilities

fowl = load_fowl()
TENTH = {"lav": {"lav": "1/10"}}


def texts(ax: Axes) -> list[str]:
    return [text.get_text() for text in ax.texts]


@pytest.fixture(scope="module")
def flock() -> Pedigree:
    """A lavender chick makes carriers of its black parents; two in three of its black sibs carry (Mendel)."""
    black = {"lavender": "not lavender"}
    return Pedigree(
        fowl,
        [
            Individual("Rook", "cock", shows=black),
            Individual("Dove", "hen", shows=black),
            Individual("Wren", "hen", "Rook", "Dove", shows={"lavender": "lavender"}),
            Individual("Jay $x$", "cock", "Rook", "Dove", shows=black),
        ],
    )


@pytest.fixture(scope="module")
def found(flock: Pedigree) -> GenotypeProbabilities:
    return genotype_probabilities(flock, "lav", allele_frequencies=TENTH)


def parts(ax: Axes) -> list[Rectangle]:
    """The parts of the bars, without the squares of the legend, which are as wide as they are high."""
    return [box for box in ax.patches if isinstance(box, Rectangle) and abs(box.get_width() - box.get_height()) > 1e-6]


def test_every_bar_is_divided_by_genotype(found: GenotypeProbabilities) -> None:
    ax = draw_probabilities(found)
    widths = [part.get_width() for part in parts(ax)]
    whole = widths[0]
    assert [width / whole for width in widths] == pytest.approx([1, 1, 1, 1 / 3, 2 / 3])
    shown = texts(ax)
    assert shown.count("1") == 3
    assert {"1/3", "2/3", "Rook", "Dove", "Wren", "Jay $x$", "0 %", "100 %"} <= set(shown)
    rows = [part.get_y() for part in parts(ax)]
    assert rows == sorted(rows)
    assert all(not text.get_parse_math() for text in ax.texts)


def test_genotypes_stand_in_the_order_of_the_catalogue_and_the_legend_names_them(found: GenotypeProbabilities) -> None:
    shown = texts(draw_probabilities(found))
    key = [text for text in shown if text.lower().startswith("lav")]
    assert key == ["Lav+/Lav+", "Lav+/lav", "lav/lav"]


def test_what_was_assumed_stands_below(found: GenotypeProbabilities) -> None:
    shown = " ".join(texts(draw_probabilities(found)))
    assert "from allele frequencies Lav+ 9/10, lav 1/10" in shown


def test_the_chance_of_carrying_an_allele_and_the_birds_in_the_order_asked(found: GenotypeProbabilities) -> None:
    ax = draw_probabilities(found, ["Jay $x$", "Rook"], allele="lav")
    assert [text for text in texts(ax) if text in found] == ["Jay $x$", "Rook"]
    assert {"carries lav", "free of lav", "2/3", "1/3"} <= set(texts(ax))
    widths = [part.get_width() for part in parts(ax)]
    assert widths[0] / widths[2] == pytest.approx(2 / 3)
    marks = [(to_hex(part.get_facecolor()), part.get_hatch()) for part in parts(ax)]
    assert marks[0] == marks[2] != marks[1]


def test_floats_never_look_exact(flock: Pedigree) -> None:
    shown = texts(draw_probabilities(genotype_probabilities(flock, "lav", arithmetic="float"), ["Jay $x$"]))
    assert {"~ 33.3 %", "~ 66.7 %"} <= set(shown)
    assert any("64-bit floats, not exactly" in text for text in shown)


def test_what_cannot_be_drawn_is_refused(found: GenotypeProbabilities, flock: Pedigree) -> None:
    with pytest.raises(ArgumentError, match="must be a GenotypeProbabilities"):
        draw_probabilities({"Rook": 1})  # type: ignore[arg-type]
    with pytest.raises(ArgumentError, match="names no bird"):
        draw_probabilities(found, [])
    with pytest.raises(ArgumentError, match="stands twice"):
        draw_probabilities(found, ["Wren", "Wren"])
    with pytest.raises(UnknownSymbolError, match="did you mean 'Wren'"):
        draw_probabilities(found, ["Wrn"])
    with pytest.raises(UnknownSymbolError, match="did you mean 'Wren'"):
        draw_probabilities(found, ["Wrn"], allele="lav")
    with pytest.raises(UnknownSymbolError, match="no allele 'Bl'"):
        draw_probabilities(found, allele="Bl")
    crowd = Pedigree(fowl, [Individual(f"bird {number}") for number in range(61)])
    with pytest.raises(TooLargeError, match=r"61 birds could not be read .* name some in ids="):
        draw_probabilities(genotype_probabilities(crowd, "lav"))
    with pytest.raises(TooLargeError, match=r"genotypes in one picture .* name an allele="):
        draw_probabilities(genotype_probabilities(flock, ["S", "Bl"]), ["Rook"])


def test_the_axes_given_are_drawn_on_and_returned(found: GenotypeProbabilities) -> None:
    _, ax = pyplot.subplots()
    assert draw_probabilities(found, ax=ax) is ax
