"""The picture of a programme: every step, bird and number of eggs is there, and nothing is taken for a formula."""

from __future__ import annotations

from collections.abc import Iterator

import matplotlib as mpl
import pytest
from matplotlib import pyplot
from matplotlib.patches import FancyBboxPatch

from pinfeather import ArgumentError, Locus, Species
from pinfeather.pictures.programmes import draw_programme
from pinfeather.plans import plan_programme

TOY = Species(
    "toy fowl",
    loci=[Locus("a", "gene a", ("A+", "a")), Locus("b", "gene b", ("B+", "b")), Locus("Cr", "crest", ("Cr", "cr+"))],
)


@pytest.fixture(autouse=True)
def quiet_backend() -> Iterator[None]:
    before = mpl.get_backend()
    pyplot.switch_backend("svg")
    yield
    pyplot.close("all")
    pyplot.switch_backend(before)


def test_every_step_bird_and_number_of_eggs_is_drawn() -> None:
    best = plan_programme({"one": "a/a", "$other$": "b/b"}, "a/a b/b", species=TOY).best
    ax = draw_programme(best)
    shown = [text.get_text() for text in ax.texts]
    for words in ("one", "$other$", "step 1", "10 eggs", "step 2", "118 eggs", "cock 2", "hen 2", "season 2"):
        assert words in shown
    boxes = [patch for patch in ax.patches if isinstance(patch, FancyBboxPatch)]
    assert len(boxes) == 2 + 2 + 4
    assert len(ax.lines) == 2 * 2 + 4
    assert all(not text.get_parse_math() for text in ax.texts)


def test_a_test_mating_says_how_many_birds() -> None:
    best = plan_programme({"crested": "Cr/cr+", "plain": "+"}, "Cr/Cr", species=TOY, sex="male").best
    shown = " ".join(text.get_text() for text in draw_programme(best).texts)
    trial = next(step for step in best.steps if step.is_test)
    assert f"test: {trial.birds_on_test} birds" in shown


def test_the_axes_given_are_drawn_on_and_returned() -> None:
    best = plan_programme({"one": "a/a", "other": "b/b"}, "a/a b/b", species=TOY).best
    _, ax = pyplot.subplots()
    assert draw_programme(best, ax) is ax


def test_a_programme_of_nothing_is_an_empty_picture() -> None:
    ax = draw_programme(plan_programme({"one": "a/a"}, "a/a", species=TOY).best)
    assert list(ax.texts) == []


def test_anything_else_is_refused() -> None:
    with pytest.raises(ArgumentError, match="must be a Programme"):
        draw_programme("programme")  # type: ignore[arg-type]
