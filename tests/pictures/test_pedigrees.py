"""What a drawn pedigree holds: every bird, its symbol by sex, double lines for related mates, chances of parents."""

from __future__ import annotations

from collections.abc import Iterator

import matplotlib as mpl
import pytest
from matplotlib import pyplot
from matplotlib.axes import Axes

from pinfeather import ArgumentError, Individual, Pedigree, TooLargeError, UnknownSymbolError, load_fowl
from pinfeather.pictures import draw_pedigree

fowl = load_fowl()


@pytest.fixture(autouse=True)
def quiet_backend() -> Iterator[None]:
    before = mpl.get_backend()
    pyplot.switch_backend("svg")
    yield
    pyplot.close("all")
    pyplot.switch_backend(before)


def texts(ax: Axes) -> list[str]:
    return [text.get_text() for text in ax.texts]


def flock() -> Pedigree:
    return Pedigree(
        fowl,
        [
            Individual("Wren", "hen", "Rook", "Dove", shows={"comb": "rose"}),
            Individual("Jay", "cock", "Rook", "Dove", shows={"comb": "single"}),
            Individual("Tit", "hen", "Jay", "Wren"),
            Individual("Owl", None, {"Jay": "2/3", "Rook": "1/3"}, "Tit"),
        ],
    )


def test_every_bird_stands_under_its_id_below_its_parents() -> None:
    ax = draw_pedigree(flock())
    heights = {text.get_text(): text.get_position()[1] for text in ax.texts}
    assert {"Rook", "Dove", "Wren", "Jay", "Tit", "Owl"} <= set(heights)
    down = 1 if ax.yaxis_inverted() else -1
    for chick, parents in (("Wren", ("Rook", "Dove")), ("Tit", ("Jay", "Wren")), ("Owl", ("Tit",))):
        assert all(down * heights[chick] > down * heights[parent] for parent in parents)


def test_the_legend_names_what_is_drawn_and_nothing_else() -> None:
    everything = set(texts(draw_pedigree(flock(), shows="comb")))
    named = {"mates are related", "possible parent, with its chance", "sex not on record"}
    assert named | {"comb: rose", "1/3", "2/3"} <= everything
    strangers = texts(draw_pedigree(Pedigree(fowl, [Individual("Wren", "hen", "Rook", "Dove")])))
    assert not named & set(strangers)


def test_some_birds_are_drawn_with_their_ancestors_only() -> None:
    shown = texts(draw_pedigree(flock(), ["Wren"]))
    assert {"Wren", "Rook", "Dove"} <= set(shown)
    assert not {"Jay", "Tit", "Owl"} & set(shown)


def test_chances_stand_under_the_birds_and_nothing_is_taken_for_a_formula() -> None:
    birds = Pedigree(fowl, [Individual("$x^2$", "hen", "Rook", "Dove")])
    ax = draw_pedigree(birds, probabilities={"$x^2$": "1/4", "Rook": 1, "Dove": 0})
    joined = " ".join(texts(ax))
    assert "$x^2$" in joined
    assert "25 %" in joined
    assert not any(text.get_parse_math() for text in ax.texts)


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(UnknownSymbolError, match="Wren"):
        draw_pedigree(flock(), ["Wrenn"])
    with pytest.raises(UnknownSymbolError, match="comb"):
        draw_pedigree(flock(), shows="combb")
    with pytest.raises(ArgumentError, match="not by both"):
        draw_pedigree(flock(), shows="comb", probabilities={"Wren": 1})
    many = Pedigree(fowl, [Individual(f"bird {n}", "hen") for n in range(401)])
    with pytest.raises(TooLargeError, match="400"):
        draw_pedigree(many)
