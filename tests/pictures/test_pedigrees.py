"""The picture of a pedigree: its symbols, its lines, and that these tell who descends from whom and nothing else.

The symbols are those of R. L. Bennett et al. 1995, American Journal of Human Genetics 56: 745-752 (from memory).
"""

from __future__ import annotations

import io
import random
from itertools import combinations, pairwise
from typing import Any
from xml.etree import ElementTree

import matplotlib as mpl
import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib import pyplot
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.patches import Circle, Polygon, Rectangle

from pinfeather import (
    ArgumentError,
    Individual,
    Pedigree,
    Species,
    TooLargeError,
    UnknownSymbolError,
    genotype_probabilities,
    load_fowl,
)
from pinfeather.pictures import draw_pedigree
from pinfeather.pictures.layers import Links, in_order
from pinfeather.pictures.placing import layers_of, placed
from pinfeather.pictures.tracks import HALF, Line, Tracks, tracks

fowl = load_fowl()
TOY = Species("toy fowl")
BLACK, LAVENDER = {"lavender": "not lavender"}, {"lavender": "lavender"}


@pytest.fixture(scope="module")
def flock() -> Pedigree:
    """Full sibs mated, a hen of two possible sires, and a bird of no sex on record."""
    return Pedigree(
        fowl,
        [
            Individual("Rook", "cock", shows=BLACK),
            Individual("Dove", "hen", shows=BLACK),
            Individual("Wren", "hen", "Rook", "Dove", shows=LAVENDER),
            Individual("Jay", "cock", "Rook", "Dove", shows=BLACK),
            Individual("Tit", "hen", "Jay", "Wren"),
            Individual("Owl", "hen", {"Rook": "2/3", "Heron": "1/3"}, "Starling", shows=BLACK),
            Individual("Chick $x_2$", None, "Heron", "Starling"),
        ],
    )


def texts(ax: Axes) -> list[str]:
    return [text.get_text() for text in ax.texts]


def symbols(ax: Axes, kind: type[Any]) -> list[Any]:
    """The symbols of the birds, not those of the legend, which are smaller."""
    found = [patch for patch in ax.patches if isinstance(patch, kind)]
    return [patch for patch in found if patch.get_path().get_extents(patch.get_patch_transform()).height > 0.2]


def test_males_are_squares_females_circles_and_others_diamonds(flock: Pedigree) -> None:
    ax = draw_pedigree(flock)
    counts = [len(symbols(ax, kind)) for kind in (Rectangle, Circle, Polygon)]
    assert counts == [3, 5, 1]
    for words in (*flock.ids, "male", "female", "sex not on record", "mates are related"):
        assert words in texts(ax)


def test_generations_stand_in_rows_with_founders_on_top(flock: Pedigree) -> None:
    places = {text.get_text(): text.get_position() for text in draw_pedigree(flock).texts}
    assert len({places[name][1] for name in flock.founders}) == 1
    assert places["Rook"][1] < places["Wren"][1] == places["Owl"][1] == places["Jay"][1] < places["Tit"][1]


def test_a_bird_bought_in_stands_beside_its_first_mate_and_birds_without_relatives_come_last() -> None:
    flock = Pedigree(
        fowl,
        [
            Individual("Wren", "hen", "Rook", "Dove"),
            Individual("Tit", "hen", "Heron", "Wren"),
            Individual("Owl", "hen", "Heron", "Tit"),
            Individual("Stork", "cock"),
        ],
    )
    places = {text.get_text(): text.get_position() for text in draw_pedigree(flock).texts}
    rows = [{"Rook", "Dove"}, {"Wren", "Heron"}, {"Tit"}, {"Owl"}, {"Stork"}]
    down = [{places[name][1] for name in row} for row in rows]
    assert [len(row) for row in down] == [1] * 5
    assert down == sorted(down, key=min)


def test_many_birds_without_relatives_fill_rows_of_a_readable_width() -> None:
    ax = draw_pedigree(Pedigree(fowl, [Individual(f"bird number {number}", "hen") for number in range(60)]))
    assert ax.figure.get_size_inches()[0] < 10
    assert len({round(circle.center[1], 3) for circle in symbols(ax, Circle)}) > 5


def test_only_related_mates_have_a_double_line(flock: Pedigree) -> None:
    assert "mates are related" not in texts(draw_pedigree(flock, ["Owl", "Jay", "Wren"]))
    shown = texts(draw_pedigree(flock, ["Tit"]))
    assert "mates are related" in shown
    assert "veterinarian" in " ".join(shown), "chicks of related mates are inbred, and that can hurt them"


def test_lines_to_possible_parents_are_dashed_and_have_their_chance(flock: Pedigree) -> None:
    ax = draw_pedigree(flock, ["Owl"])
    assert {"2/3", "1/3", "possible parent, with its chance"} <= set(texts(ax))
    assert any(line.get_linestyle() == "--" for line in ax.lines)
    sure = draw_pedigree(flock, ["Tit"])
    assert all(line.get_linestyle() != "--" for line in sure.lines)


def test_with_ids_only_these_and_their_ancestors_are_drawn(flock: Pedigree) -> None:
    shown = texts(draw_pedigree(flock, ["Wren"]))
    assert {"Wren", "Rook", "Dove"} <= set(shown)
    assert not {"Jay", "Tit", "Owl", "Heron"} & set(shown)


def test_symbols_of_one_look_are_filled_alike_and_the_legend_names_it(flock: Pedigree) -> None:
    ax = draw_pedigree(flock, shows="lav")
    fills = [to_hex(patch.get_facecolor()) for kind in (Rectangle, Circle, Polygon) for patch in symbols(ax, kind)]
    assert sorted(fills.count(fill) for fill in set(fills)) == [1, 4, 4]  # Wren; four blacks; four not on record
    patterns = {
        (to_hex(patch.get_facecolor()), patch.get_hatch())
        for kind in (Rectangle, Circle)
        for patch in symbols(ax, kind)
    }
    assert len({pattern for _, pattern in patterns}) > 1, "grey alone does not have to tell the looks apart"
    assert {"lavender: lavender", "lavender: not lavender", "lavender not on record"} <= set(texts(ax))


def test_symbols_are_shaded_by_chance_and_what_is_not_certain_never_reads_so(flock: Pedigree) -> None:
    """Both parents of a recessive chick carry it for certain (Mendel)."""
    chances = genotype_probabilities(flock, "lav", allele_frequencies={"lav": {"lav": "1/1000"}}).carriers("lav")
    ax = draw_pedigree(flock, probabilities=chances)
    shades = {to_hex(patch.get_facecolor()) for patch in symbols(ax, Circle)}
    assert len(shades) > 1
    assert {"100 %", "< 1 %", "chance of carrying: 0 %"} <= set(texts(ax))
    ax = draw_pedigree(flock, ["Wren"], probabilities={"Wren": "999/1000", "Rook": 0})
    assert {"> 99 %", "0 %", "?", "no chance given"} <= set(texts(ax))


def test_no_text_is_taken_for_a_formula(flock: Pedigree) -> None:
    ax = draw_pedigree(flock)
    assert all(not text.get_parse_math() for text in ax.texts)
    with mpl.rc_context({"svg.fonttype": "none"}):
        page = io.StringIO()
        ax.figure.savefig(page, format="svg")
    found = [element.text or "" for element in ElementTree.fromstring(page.getvalue()).iter() if element.text]
    assert any("Chick $x_2$" in text for text in found)


def test_the_axes_given_are_drawn_on_and_returned(flock: Pedigree) -> None:
    _, ax = pyplot.subplots()
    assert draw_pedigree(flock, ax=ax) is ax


def test_a_pedigree_without_birds_is_an_empty_picture() -> None:
    assert draw_pedigree(Pedigree(fowl, [])).patches[:] == []


def test_what_cannot_be_drawn_is_refused_with_the_way_round(flock: Pedigree) -> None:
    crowd = Pedigree(fowl, [Individual(f"bird {number}") for number in range(401)])
    with pytest.raises(TooLargeError, match=r"a picture of 401 birds could not be read .* name some in ids="):
        draw_pedigree(crowd)
    assert len(symbols(draw_pedigree(crowd, ["bird 7"]), Polygon)) == 1
    probabilities = genotype_probabilities(flock, "lav")
    with pytest.raises(ArgumentError, match="must be a Pedigree"):
        draw_pedigree("flock")  # type: ignore[arg-type]
    with pytest.raises(ArgumentError, match="names no bird"):
        draw_pedigree(flock, [])
    with pytest.raises(ArgumentError, match="must be a sequence of texts"):
        draw_pedigree(flock, "Wren")
    with pytest.raises(UnknownSymbolError, match="did you mean 'Wren'"):
        draw_pedigree(flock, ["Wrn"])
    with pytest.raises(UnknownSymbolError, match="no trait 'combs'"):
        draw_pedigree(flock, shows="combs")
    with pytest.raises(ArgumentError, match="draw two pictures"):
        draw_pedigree(flock, shows="lav", probabilities={})
    with pytest.raises(ArgumentError, match=r"write such as probabilities.carriers\('lav'\)"):
        draw_pedigree(flock, probabilities=probabilities)
    with pytest.raises(UnknownSymbolError, match="no bird 'Wrn'"):
        draw_pedigree(flock, probabilities={"Wrn": 1})
    with pytest.raises(ArgumentError, match="must be from 0 to 1"):
        draw_pedigree(flock, probabilities={"Wren": 2})


# -- places and lines --------------------------------------------------------------------------------------------------


def led(pedigree: Pedigree) -> tuple[dict[str, tuple[float, float]], Tracks]:
    """The middle of every bird's symbol, and the lines."""
    placing = placed(pedigree, dict.fromkeys(pedigree, 0.5))
    lines = tracks(placing, [0.2] * len(placing.rows), lambda _parent, _family: False)
    return {name: (placing.x[name], lines.rows[placing.row[name]]) for name in pedigree}, lines


@st.composite
def pedigrees(draw: st.DrawFn) -> Pedigree:
    """Flocks of up to 16 birds: some with one parent known, some with two possible sires."""
    birds: list[Individual] = []
    for number in range(draw(st.integers(1, 16))):
        cocks = [bird.id for bird in birds if bird.sex == "male"]
        hens = [bird.id for bird in birds if bird.sex == "female"]
        sires = draw(st.lists(st.sampled_from(cocks), max_size=2, unique=True)) if cocks else []
        dam = draw(st.none() | st.sampled_from(hens)) if hens else None
        sire = dict.fromkeys(sires, 1) if len(sires) > 1 else next(iter(sires), None)
        birds.append(Individual(f"{number}", draw(st.sampled_from(["male", "female"])), sire, dam))
    return Pedigree(TOY, birds)


def between(value: float, one: float, other: float) -> bool:
    return min(one, other) - 1e-6 <= value <= max(one, other) + 1e-6


def on(point: tuple[float, float], line: Line) -> bool:
    (x, y), (to_x, to_y) = line.start, line.end
    return between(point[0], x, to_x) and between(point[1], y, to_y)


@settings(max_examples=60, deadline=None)
@given(pedigree=pedigrees())
def test_the_lines_tie_every_chick_to_its_parents_and_nobody_to_strangers(pedigree: Pedigree) -> None:
    """Lines are followed where one ends on another, not where they cross; networkx finds what hangs together."""
    middles, lines = led(pedigree)
    drawn = networkx.Graph()
    drawn.add_nodes_from(pedigree)
    drawn.add_nodes_from(range(len(lines.lines)))
    for (one, first), (other, second) in combinations(enumerate(lines.lines), 2):
        if any(on(end, second) for end in (first.start, first.end)) or any(
            on(end, first) for end in (second.start, second.end)
        ):
            drawn.add_edge(one, other)
    for name, (x, y) in middles.items():
        edge = [(x, y - HALF), (x, y + HALF), (x - HALF, y), (x + HALF, y)]
        drawn.add_edges_from(
            (name, number)
            for number, line in enumerate(lines.lines)
            if any(end == pytest.approx(point) for end in (line.start, line.end) for point in edge)
        )
    meant = networkx.Graph(pedigree.graph.to_undirected())
    groups = [{node for node in group if isinstance(node, str)} for group in networkx.connected_components(drawn)]
    assert sorted(map(sorted, filter(None, groups))) == sorted(map(sorted, networkx.connected_components(meant)))


@settings(max_examples=60, deadline=None)
@given(pedigree=pedigrees())
def test_no_line_lies_upon_another_but_those_of_one_couple(pedigree: Pedigree) -> None:
    _, lines = led(pedigree)
    for one, other in combinations(lines.lines, 2):
        for along, across in ((0, 1), (1, 0)):
            level = {line.start[across] for line in (one, other)} | {line.end[across] for line in (one, other)}
            if max(level) - min(level) > 1e-6:
                continue
            left = max(min(line.start[along], line.end[along]) for line in (one, other))
            right = min(max(line.start[along], line.end[along]) for line in (one, other))
            assert right - left < 1e-6 or (along == 0 and one.end == other.end), (one, other)


@settings(max_examples=60, deadline=None)
@given(pedigree=pedigrees())
def test_symbols_do_not_overlap(pedigree: Pedigree) -> None:
    middles, _ = led(pedigree)
    for (x, y), (other_x, other_y) in combinations(middles.values(), 2):
        assert abs(y - other_y) > 2 * HALF or abs(x - other_x) > 0.49


def bred(size: int, seed: int) -> Pedigree:
    """An invented flock: eighteen founders, then a few seasons of some cocks with three hens each."""
    draw = random.Random(seed)
    birds = [Individual(f"{n}", "cock" if n % 3 == 0 else "hen") for n in range(18)]
    while len(birds) < size:
        cocks = draw.sample([bird.id for bird in birds[-40:] if bird.sex == "male"], 3)
        hens = draw.sample([bird.id for bird in birds[-40:] if bird.sex == "female"], 9)
        for number in range(len(birds), min(len(birds) + 22, size)):
            pen = draw.randrange(9)
            birds.append(Individual(f"{number}", draw.choice(["cock", "hen"]), cocks[pen % 3], hens[pen]))
    return Pedigree(fowl, birds)


@pytest.mark.parametrize("seed", range(4))
def test_a_flock_of_a_hundred_is_drawn_in_rows_without_overlaps_and_with_few_crossings(seed: int) -> None:
    """Few: a third, at the most, of those when birds and families stand in the order of the book."""
    flock = bred(100, seed)
    placing = placed(flock, dict.fromkeys(flock, 0.5))
    stood: dict[int, list[float]] = {}
    for name in flock:
        stood.setdefault(placing.row[name], []).append(placing.x[name])
        for parent in flock.parents(name):
            assert placing.row[parent] < placing.row[name]
    assert all(right - left > 0.499 for row in stood.values() for left, right in pairwise(sorted(row)))
    layers, ties = layers_of(placing.row, placing.families, placing.above)
    links = Links(ties)
    by_book = links.all_crossings(layers)
    assert by_book > 200
    assert links.all_crossings(in_order(layers, links)) < by_book / 3


def test_mates_come_together_and_no_lines_cross_where_none_need() -> None:
    """Two families whose birds were listed in turns."""
    parents = [Individual(name, sex) for name, sex in (("A", "cock"), ("C", "cock"), ("B", "hen"), ("D", "hen"))]
    chicks = [Individual(f"{sire}{n}", "hen", sire, dam) for n in (1, 2) for sire, dam in (("A", "B"), ("C", "D"))]
    placing = placed(Pedigree(fowl, [*parents, *chicks]), dict.fromkeys([*"ABCD", "A1", "A2", "C1", "C2"], 0.5))
    founders, below = ["".join(map(str, row)) for row in placing.rows]
    assert {frozenset(founders[:2]), frozenset(founders[2:])} == {frozenset("AB"), frozenset("CD")}
    assert below[0] == below[2] == min(founders[:2])
    assert below[4] == below[6] == min(founders[2:])
