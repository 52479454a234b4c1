"""The picture of a programme: every step, bird and number of eggs is there, and nothing is taken for a formula."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from matplotlib import pyplot
from matplotlib.axes import Axes
from matplotlib.patches import FancyBboxPatch

from pinfeather import ArgumentError, Caution, Locus, Species
from pinfeather.pictures import draw_programme
from pinfeather.plans import Programme, plan_programme

TOY = Species(
    "toy fowl",
    loci=[Locus("a", "gene a", ("A+", "a")), Locus("b", "gene b", ("B+", "b")), Locus("Cr", "crest", ("Cr", "cr+"))],
)


def texts(ax: Axes) -> list[str]:
    return [text.get_text() for text in ax.texts]


def boxes(ax: Axes) -> list[FancyBboxPatch]:
    """The boxes of birds and steps, not those of the legend, which are smaller."""
    return [patch for patch in ax.patches if isinstance(patch, FancyBboxPatch) and patch.get_width() > 0.5]


def place(ax: Axes, words: str) -> tuple[float, float]:
    x, y = next(text.get_position() for text in ax.texts if text.get_text() == words)
    return float(x), float(y)


@pytest.fixture(scope="module")
def long_programme() -> Programme:
    """Five seasons, with birds that pass seasons on their way; the numbers are those of ProgrammeSet's example."""
    loci = [
        Locus("a", "gene a", ("A+", "a")),
        Locus("Cr", "crest", ("Cr", "cr+")),
        Locus("z", "gene z", ("Z+", "z"), chromosome="Z"),
    ]
    toy = Species("toy fowl", loci=loci, cautions=[Caution("a/a", "such birds tire")])
    stock = {"one": toy.genotype("a/a"), "crested": "Cr/Cr", "third": "z/z"}
    return plan_programme(stock, "a/a Cr/_ z/z", test_matings=False).best


def test_every_step_bird_and_number_of_eggs_is_drawn() -> None:
    best = plan_programme({"one": "a/a", "$other$": "b/b"}, "a/a b/b", species=TOY).best
    ax = draw_programme(best)
    shown = [text.get_text() for text in ax.texts]
    for words in ("one", "$other$", "step 1", "10 eggs", "step 2", "118 eggs", "cock 2", "hen 2", "season 2"):
        assert words in shown
    assert len(boxes(ax)) == 2 + 2 + 4
    assert len(ax.lines) == 2 * 2 + 4
    assert all(not text.get_parse_math() for text in ax.texts)


def test_a_hatch_spread_over_seasons_has_a_box_in_each() -> None:
    stock = {"one": "a/a", "other": "b/b"}
    best = plan_programme(stock, "a/a b/b", species=TOY, max_eggs_per_season=60, max_seasons=3, test_matings=False).best
    ax = draw_programme(best)
    shown = [text.get_text() for text in ax.texts]
    for words in ("step 2, part 1 of 2", "60 eggs", "goes on in season 3", "step 2, part 2 of 2", "58 eggs"):
        assert words in shown
    assert len(ax.lines) == 2 + 2 + 2 + 1 + 2
    for line in ax.lines:
        down = list(line.get_ydata())
        assert down == sorted(down), "no line turns back where a season keeps nothing"


def test_a_test_mating_says_how_many_birds() -> None:
    best = plan_programme({"crested": "Cr/cr+", "plain": "+"}, "Cr/Cr", species=TOY, sex="male").best
    ax = draw_programme(best)
    shown = " ".join(text.get_text() for text in ax.texts)
    trial = next(step for step in best.steps if step.is_test)
    assert f"test mating: {trial.birds_on_test} birds, {trial.clean_chicks} eggs each" in shown
    dashed = [box for box in boxes(ax) if box.get_linestyle() in ("--", "dashed")]
    assert len(dashed) == 1


def test_seasons_stand_one_below_the_other_and_steps_above_what_is_kept(long_programme: Programme) -> None:
    ax = draw_programme(long_programme)
    down = [place(ax, f"season {season}")[1] for season in range(1, 6)]
    assert down == sorted(down)
    for step in long_programme.steps:
        for words in step.keep:
            assert place(ax, f"step {step.number}")[1] < place(ax, words.split(":")[0])[1]
        for parent in (step.sire, step.dam):
            assert place(ax, parent)[1] < place(ax, f"step {step.number}")[1]


def test_no_box_overlaps_another_and_no_line_runs_through_one(long_programme: Programme) -> None:
    ax = draw_programme(long_programme)
    sides = [(b.get_x(), b.get_y(), b.get_x() + b.get_width(), b.get_y() + b.get_height()) for b in boxes(ax)]
    for (left, top, right, bottom), (other_left, other_top, other_right, other_bottom) in combinations(sides, 2):
        assert right < other_left or other_right < left or bottom < other_top or other_bottom < top
    for line in ax.lines:
        points = list(zip(line.get_xdata(), line.get_ydata(), strict=True))
        for (x, y), (to_x, to_y) in pairwise(points):
            for left, top, right, bottom in sides:
                within = [t / 20 for t in range(21)]
                inside = [
                    left + 1e-6 < x + t * (to_x - x) < right - 1e-6 and top + 1e-6 < y + t * (to_y - y) < bottom - 1e-6
                    for t in within
                ]
                assert not any(inside)


def test_every_text_of_a_box_stays_within_it(long_programme: Programme) -> None:
    ax = draw_programme(long_programme)
    ax.figure.canvas.draw()
    outlines = [box.get_window_extent() for box in boxes(ax)]
    for text in ax.texts:
        middle = text.get_window_extent()
        for outline in outlines:
            if outline.contains(*middle.get_points().mean(axis=0)):
                assert outline.x0 < middle.x0
                assert middle.x1 < outline.x1


def test_a_step_that_can_harm_says_so_and_the_caution_stands_below(long_programme: Programme) -> None:
    shown = texts(draw_programme(long_programme))
    harmful = [step for step in long_programme.steps if step.cautions]
    assert harmful
    assert shown.count("CAUTION, see below") == len(harmful)
    assert any(text.startswith("CAUTION, step ") and "such birds tire" in text for text in shown)
    assert "veterinarian" in " ".join(shown)


def test_the_birds_kept_in_the_end_have_a_strong_edge_and_the_legend_says_so(long_programme: Programme) -> None:
    ax = draw_programme(long_programme)
    strong = [box for box in boxes(ax) if box.get_linewidth() > 1.5]
    assert len(strong) == 2  # a cock and a hen
    assert {"cock", "hen", "hatch", "kept in the end"} <= set(texts(ax))


def test_the_axes_given_are_drawn_on_and_returned() -> None:
    best = plan_programme({"one": "a/a", "other": "b/b"}, "a/a b/b", species=TOY).best
    _, ax = pyplot.subplots()
    assert draw_programme(best, ax) is ax


def test_a_programme_of_nothing_is_an_empty_picture() -> None:
    ax = draw_programme(plan_programme({"one": "a/a"}, "a/a", species=TOY).best)
    assert boxes(ax) == []
    assert texts(ax)[0] == "Programme for a/a: 0 seasons, 0 eggs."


def test_anything_else_is_refused() -> None:
    with pytest.raises(ArgumentError, match="must be a Programme"):
        draw_programme("programme")  # type: ignore[arg-type]
