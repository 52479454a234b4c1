"""The map of kinship: exact figures where there is room, relatives side by side, inbreeding stated on the diagonal."""

from __future__ import annotations

import pytest
from matplotlib import pyplot
from matplotlib.axes import Axes
from matplotlib.colors import to_hex

from pinfeather import (
    ArgumentError,
    Individual,
    Pedigree,
    TooLargeError,
    draw_kinship,
    kinship_matrix,
    load_fowl,
)
from pinfeather.pictures.palette import luminance

fowl = load_fowl()


@pytest.fixture(scope="module")
def flock() -> Pedigree:
    """Full sibs and their chick, whose inbreeding is 1/4 (S. Wright 1922, American Naturalist 56), and strangers."""
    return Pedigree(
        fowl,
        [
            Individual("Stork", "cock"),
            Individual("Rook", "cock"),
            Individual("Heron $x$", "hen", "Stork", "Crane"),
            Individual("Dove", "hen"),
            Individual("Wren", "hen", "Rook", "Dove"),
            Individual("Jay", "cock", "Rook", "Dove"),
            Individual("Tit", "hen", "Jay", "Wren"),
        ],
    )


def texts(ax: Axes) -> list[str]:
    return [text.get_text() for text in ax.texts]


def rows(ax: Axes, flock: Pedigree) -> list[str]:
    """The names beside the rows, from the top down."""
    beside = [text for text in ax.texts if text.get_text() in flock and text.get_rotation() == 0]
    return [text.get_text() for text in sorted(beside, key=lambda text: text.get_position()[1])]


def test_every_pair_stands_in_its_cell_with_its_exact_kinship(flock: Pedigree) -> None:
    """Parent and chick, and full sibs, are 1/4; sibs and their chick 3/8 (S. Wright 1922)."""
    matrix = kinship_matrix(flock, ["Rook", "Wren", "Jay", "Tit"])
    ax = draw_kinship(matrix, order="given")
    place = {text.get_text(): text.get_position() for text in ax.texts if text.get_rotation() == 0}
    across = {text.get_text(): text.get_position()[0] for text in ax.texts if text.get_rotation() == 90}
    found = {}
    for text in ax.texts:
        x, y = text.get_position()
        for row in matrix.ids:
            for column in matrix.ids:
                if abs(x - across[column]) < 0.01 and abs(y - place[row][1]) < 0.01:
                    found[row, column] = text.get_text()
    assert found["Rook", "Wren"] == found["Wren", "Jay"] == found["Rook", "Tit"] == "1/4"
    assert found["Wren", "Tit"] == found["Tit", "Jay"] == "3/8"
    assert found["Rook", "Rook"] == "1/2"
    assert texts(ax).count("5/8") == texts(ax).count("F = 1/4") == 1


def test_relatives_stand_side_by_side_unless_the_order_given_is_asked_for(flock: Pedigree) -> None:
    matrix = kinship_matrix(flock)
    assert rows(draw_kinship(matrix, order="given"), flock) == list(matrix.ids)
    found = rows(draw_kinship(matrix), flock)
    assert sorted(found) == sorted(matrix.ids)
    family = [found.index(name) for name in ("Rook", "Dove", "Wren", "Jay", "Tit")]
    assert max(family) - min(family) == 4


def test_the_closer_the_darker_and_the_legend_names_the_shades_that_occur(flock: Pedigree) -> None:
    matrix = kinship_matrix(flock)
    ax = draw_kinship(matrix, order="given")
    mesh = ax.collections[0]
    ax.figure.canvas.draw()
    shades = [to_hex(colour) for colour in mesh.get_facecolors()]
    kinships = [float(matrix[a, b]) for a in matrix.ids for b in matrix.ids]
    by_kinship: dict[float, set[str]] = {}
    for kinship, shade in zip(kinships, shades, strict=True):
        by_kinship.setdefault(kinship, set()).add(shade)
    assert all(len(found) == 1 for found in by_kinship.values())
    light = [luminance(next(iter(by_kinship[kinship]))) for kinship in sorted(by_kinship)]
    assert light[0] == pytest.approx(1)
    assert light == sorted(light, reverse=True)
    assert [text for text in texts(ax) if text.startswith("up to")] == ["up to 1/4", "up to 1/2", "up to 1"]


def test_many_birds_have_no_figures_but_their_inbreeding_behind_them() -> None:
    birds = [Individual("Wren", "hen", "Rook", "Dove"), Individual("Jay", "cock", "Rook", "Dove")]
    chicks = [Individual(f"chick {number}", "hen", "Jay", "Wren") for number in range(20)]
    ax = draw_kinship(kinship_matrix(Pedigree(fowl, [*birds, *chicks])))
    shown = texts(ax)
    assert "5/8" not in shown
    assert shown.count("  F = 1/4") == 20


def test_a_hen_with_one_z_is_not_said_to_be_inbred_on_it(flock: Pedigree) -> None:
    shown = texts(draw_kinship(kinship_matrix(flock, chromosome="Z")))
    assert not any("F =" in text for text in shown)
    assert any("Z chromosome" in text and "1 for a single copy" in text for text in shown)


def test_close_kin_bring_the_caution_and_strangers_do_not(flock: Pedigree) -> None:
    assert "veterinarian" in " ".join(texts(draw_kinship(kinship_matrix(flock))))
    assert "veterinarian" not in " ".join(texts(draw_kinship(kinship_matrix(flock, ["Rook", "Dove", "Stork"]))))


def test_no_text_is_taken_for_a_formula_and_long_names_keep_to_their_room(flock: Pedigree) -> None:
    assert all(not text.get_parse_math() for text in draw_kinship(kinship_matrix(flock)).texts)
    long = Pedigree(fowl, [Individual("a name that goes on and on and on", "hen"), Individual("B", "cock")])
    ax = draw_kinship(kinship_matrix(long))
    above = [text.get_text() for text in ax.texts if text.get_rotation() == 90]
    assert any(text.endswith("…") for text in above)
    ax.figure.canvas.draw()
    whole = ax.figure.bbox
    for text in ax.texts:
        extent = text.get_window_extent()
        assert extent.x0 >= whole.x0
        assert extent.x1 <= whole.x1


def test_what_cannot_be_drawn_is_refused(flock: Pedigree) -> None:
    with pytest.raises(ArgumentError, match="must be a KinshipMatrix"):
        draw_kinship([[1]])  # type: ignore[arg-type]
    with pytest.raises(ArgumentError, match="must be one of 'relatives', 'given'"):
        draw_kinship(kinship_matrix(flock), order="age")
    crowd = Pedigree(fowl, [Individual(f"bird {number}") for number in range(201)])
    with pytest.raises(TooLargeError, match=r"201 birds could not be read .* name some in kinship_matrix"):
        draw_kinship(kinship_matrix(crowd))
    with pytest.raises(ArgumentError, match="has no birds"):
        draw_kinship(kinship_matrix(Pedigree(fowl, [])))


def test_the_axes_given_are_drawn_on_and_returned(flock: Pedigree) -> None:
    _, ax = pyplot.subplots()
    assert draw_kinship(kinship_matrix(flock), ax=ax) is ax
