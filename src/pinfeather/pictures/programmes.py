"""A programme over seasons, drawn: seasons from top to bottom, birds between the steps that give and use them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.errors import TooLargeError
from pinfeather.pictures.bars import percent
from pinfeather.pictures.layers import Links, in_order, spread
from pinfeather.pictures.palette import ACCENT, COLOURS, GROUND, HEADING, INK, LINE, PAPER, QUIET, Fill, pale
from pinfeather.pictures.sheets import LEADING, SMALL, Sheet, in_lines, width_of, wrapped
from pinfeather.plans import Programme, Step

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_MOST_STEPS = 60

# Inches: a box, the space within it and beside it, a line that passes, the space between rows, the names of the seasons
# at the left, a line of the legend.
_BOX, _INSIDE, _BESIDE, _PASSING, _BETWEEN, _SIDE, _KEY = 1.8, 0.1, 0.2, 0.24, 0.34, 0.95, 0.26

_COCK, _HEN, _STOCK, _STEP, _TEST = (
    Fill(pale(COLOURS[1])),
    Fill(pale(COLOURS[4])),
    Fill(),
    Fill(HEADING),
    Fill(pale(COLOURS[2])),
)


@attrs.frozen
class _Passing:
    """The place where the line of a bird passes a row on its way to a later season."""

    bird: str
    row: int


@attrs.frozen
class _Text:
    """A line of a box."""

    words: str
    bold: bool = False
    colour: str = INK


@attrs.frozen(eq=False)
class _Box:
    """One box: its lines of text, its tint, and how its edge is drawn."""

    lines: tuple[_Text, ...]
    fill: Fill
    rounded: bool = False
    is_goal: bool = False
    is_test: bool = False

    @property
    def height(self) -> float:
        return len(self.lines) * LEADING + 2 * _INSIDE


def draw_programme(programme: Programme, ax: Axes | None = None) -> Axes:
    """Draw a programme: seasons from top to bottom, with every mating, its eggs, and what is kept of it.

    Parameters
    ----------
    programme : Programme
        From :func:`~pinfeather.plans.programme.plan_programme`.
    ax : matplotlib.axes.Axes, optional
        Where to draw, in type that fits; by default on a new figure of a fitting size.

    Returns
    -------
    matplotlib.axes.Axes
        Boxes with corners are cocks, round ones hens; test matings have a dashed edge, and the birds that no later step
        uses a thick one.  Steps that can give harmful genotypes say so, and the cautions stand below.

    Raises
    ------
    ArgumentError
        If ``programme`` is no programme.
    TooLargeError
        If it has more than 60 steps, which nobody could read.

    Examples
    --------
    >>> import matplotlib
    >>> matplotlib.use("svg")
    >>> from pinfeather import Locus, Species
    >>> from pinfeather.pictures import draw_programme
    >>> from pinfeather.plans import plan_programme
    >>> toy = Species("toy fowl", loci=[Locus("a", "gene a", ("A+", "a")), Locus("b", "gene b", ("B+", "b"))])
    >>> ax = draw_programme(plan_programme({"one": toy.genotype("a/a"), "other": "b/b"}, "a/a b/b").best)
    >>> ax.figure.savefig("programme.svg")  # doctest: +SKIP
    >>> matplotlib.pyplot.close(ax.figure)
    """
    _checks.instance(programme, "programme", Programme)
    if len(programme.steps) > _MOST_STEPS:
        message = f"a picture of {len(programme.steps)} steps could not be read (at most {_MOST_STEPS})"
        raise TooLargeError(message, size=len(programme.steps), limit=_MOST_STEPS)
    boxes = _boxes(programme)
    rows = _rows(programme)
    paths = _paths(programme, rows)
    links = Links(tie for path in paths for tie in pairwise(path))
    layers = in_order([[*row, *_passing(paths, number)] for number, row in enumerate(rows)], links)
    chains = [[node for node in path if isinstance(node, _Passing)] for path in paths]
    across = spread(layers, links, lambda node: _BOX + _BESIDE if node in boxes else _PASSING, chains)
    tops = [0.0]
    for row in rows:
        tops.append(tops[-1] + max((boxes[node].height + _BETWEEN for node in row), default=0.0))
    places = {
        node: (_SIDE + across[node], (tops[number] + tops[number + 1]) / 2)
        for number, layer in enumerate(layers)
        for node in layer
    }
    width = max([4.6, *(x + _BOX / 2 + 0.12 for x, _ in places.values())])
    key = in_lines(_legend(programme, boxes), width)
    notes = _notes(programme, width)
    depth = tops[-1] + 0.05
    sheet = Sheet.of(ax, width, depth + _KEY * len(key) + LEADING * len(notes) + 0.05)
    _draw_seasons(sheet, programme, tops, width)
    heights = {
        # A season in which nothing is kept has a row without height.
        node: max(tops[number + 1] - tops[number] - _BETWEEN, 0.0)
        for number, layer in enumerate(layers)
        for node in layer
    }
    heights |= {node: box.height for node, box in boxes.items()}
    for path in paths:
        _draw_path(sheet, path, places, heights)
    for node, box in boxes.items():
        _draw_box(sheet, box, places[node])
    for number, entries in enumerate(key):
        _draw_key(sheet, entries, depth + (number + 0.5) * _KEY)
    sheet.notes(notes, depth + 0.05 + _KEY * len(key))
    return sheet.axes


# -- what stands where -------------------------------------------------------------------------------------------------


def _name(words: str) -> str:
    """The name of a bird that is kept, out of the words that say what to keep."""
    return words.split(":", 1)[0]


def _rows(programme: Programme) -> list[list[Any]]:
    """The stock; then, for each season, the numbers of its steps and the names of what is kept of them."""
    kept = {_name(words) for step in programme.steps for words in step.keep}
    stock = list(dict.fromkeys(p for step in programme.steps for p in (step.sire, step.dam) if p not in kept))
    rows: list[list[Any]] = [list(stock)] if stock else []
    for season in range(1, programme.seasons + 1):
        steps = [step for step in programme.steps if step.season == season]
        rows.append([_node(step) for step in steps])
        rows.append([_name(words) for step in steps for words in step.keep])
    return rows


def _paths(programme: Programme, rows: Sequence[Sequence[Any]]) -> list[list[Any]]:
    """The lines from parents to steps and from steps to what is kept, with the rows that they pass."""
    at = {node: number for number, nodes in enumerate(rows) for node in nodes}
    paths: list[list[Any]] = []

    def lead(start: Any, end: Any) -> None:
        paths.append([start, *(_Passing(start, number) for number in range(at[start] + 1, at[end])), end])

    for step in programme.steps:
        seasons = [season for season, _ in step.set_in]
        if not step.is_spread or step.season == seasons[0]:
            for parent in dict.fromkeys((step.sire, step.dam)):
                lead(parent, _node(step))
        else:
            lead((step.number, seasons[seasons.index(step.season) - 1]), _node(step))
        paths += [[_node(step), _name(words)] for words in step.keep]
    return paths


def _node(step: Step) -> tuple[int, int]:
    """What a step is called among the boxes: a hatch spread over seasons has one in each."""
    return step.number, step.season


def _passing(paths: Sequence[Sequence[Any]], row: int) -> list[_Passing]:
    """The lines that pass a row, each once however many steps it serves."""
    found = (node for path in paths for node in path if isinstance(node, _Passing) and node.row == row)
    return list(dict.fromkeys(found))


def _boxes(programme: Programme) -> dict[Any, _Box]:
    """The box of every bird and step."""
    used = {parent for step in programme.steps for parent in (step.sire, step.dam)}
    boxes: dict[Any, _Box] = {}
    for step in programme.steps:
        for parent in (step.sire, step.dam):
            boxes.setdefault(parent, _Box(_in_lines([_Text(parent, bold=True)]), _STOCK))
        boxes[_node(step)] = _Box(_in_lines(_of_step(step)), _TEST if step.is_test else _STEP, is_test=step.is_test)
        for words in step.keep:
            name, _, rest = words.partition(": ")
            look, *known = rest.split("; ")
            texts = [_Text(name, bold=True), _Text(look), *(_Text(part, colour=QUIET) for part in known)]
            is_hen = name.startswith("hen")
            goal = name not in used
            boxes[name] = _Box(_in_lines(texts), _HEN if is_hen else _COCK, rounded=is_hen, is_goal=goal)
    return boxes


def _of_step(step: Step) -> list[_Text]:
    seasons = [season for season, _ in step.set_in]
    part = f", part {seasons.index(step.season) + 1} of {len(seasons)}" if step.is_spread else ""
    lines = [_Text(f"step {step.number}{part}", bold=True)]
    if step.is_test:
        lines += [_Text(f"test mating: {step.birds_on_test} birds, {step.clean_chicks} eggs each")]
    elif step.birds_on_test is not None:
        lines += [_Text(f"{step.eggs} eggs, from {step.birds_on_test} unproved birds")]
    else:
        lines += [_Text(f"{step.eggs} eggs")]
    if step.sire == step.dam:
        lines.append(_Text(f"{step.sire}, both parents"))
    lines.append(_Text(_outcome(step), colour=QUIET))
    if step.cautions:
        lines.append(_Text("CAUTION, see below", bold=True, colour=ACCENT))
    return lines


def _outcome(step: Step) -> str:
    if not step.is_last:
        return f"goes on in season {next(season for season, _ in step.set_in if season > step.season)}"
    if step.part_of is not None:
        return f"settled together with step {step.part_of}"
    return f"succeeds with {percent(step.chance)}"


def _in_lines(texts: Sequence[_Text]) -> tuple[_Text, ...]:
    """Texts in lines that fit a box."""
    return tuple(
        attrs.evolve(text, words=line)
        for text in texts
        for line in wrapped(text.words, _BOX - 2 * _INSIDE, SMALL, bold=text.bold)
    )


def _notes(programme: Programme, width: float) -> list[str]:
    """What it comes to, and the cautions."""
    lines = programme.in_brief()
    cautions: dict[str, list[str]] = {}
    for step in programme.steps:
        for caution in step.cautions:
            cautions.setdefault(str(caution), []).append(str(step.number))
    for words, numbers in cautions.items():
        lines.append(f"CAUTION, step {', '.join(numbers)}: {words}")
    return [part for line in lines for part in wrapped(line, width, SMALL)]


# -- drawing -----------------------------------------------------------------------------------------------------------


def _draw_seasons(sheet: Sheet, programme: Programme, tops: Sequence[float], width: float) -> None:
    """A heading for each season, and a pale ground behind every other."""
    first = len(tops) - 1 - 2 * programme.seasons
    if first:
        sheet.write(0.08, (tops[0] + tops[1]) / 2, "birds in hand", ha="left", color=QUIET)
    for season in range(programme.seasons):
        top, bottom = tops[first + 2 * season], tops[first + 2 * season + 2]
        if season % 2 == 0:
            sheet.fill(0, top, width, bottom - top, Fill(GROUND), edgecolor="none", zorder=0)
        sheet.write(0.08, (top + bottom) / 2, f"season {season + 1}", ha="left", color=QUIET)


def _draw_path(
    sheet: Sheet, path: Sequence[Any], places: Mapping[Any, tuple[float, float]], heights: Mapping[Any, float]
) -> None:
    """A line from box to box, upright where it passes a row."""
    xs, ys = [], []
    for at, node in enumerate(path):
        x, y = places[node]
        half = heights[node] / 2
        ends = [y - half] * (at > 0) + [y + half] * (at < len(path) - 1)
        xs += [x] * len(ends)
        ys += ends
    sheet.line(xs, ys, linewidth=1.1)


def _draw_box(sheet: Sheet, box: _Box, middle: tuple[float, float]) -> None:
    x, y = middle
    _draw_outline(sheet, box, (x - _BOX / 2, y - box.height / 2, _BOX, box.height))
    for number, line in enumerate(box.lines):
        down = y - box.height / 2 + _INSIDE + (number + 0.5) * LEADING
        style: Mapping[str, Any] = {"fontweight": "bold"} if line.bold else {}
        sheet.write(x, down, line.words, size=SMALL, color=line.colour, zorder=3, **style)


def _draw_outline(sheet: Sheet, box: _Box, place: tuple[float, float, float, float]) -> None:
    from matplotlib.patches import FancyBboxPatch

    left, top, width, height = place
    corner = min(0.16, height / 2) if box.rounded else 0.0
    style = f"round,pad=0,rounding_size={corner}" if corner else "square,pad=0"
    strong = box.is_goal or box.is_test
    outline = FancyBboxPatch((left, top), width, height, boxstyle=style, facecolor=box.fill.colour, zorder=2)
    outline.set_edgecolor(INK if strong else LINE)
    outline.set_linewidth((2.0 if box.is_goal else 0.9) * sheet.scale)
    outline.set_linestyle("--" if box.is_test else "-")
    sheet.axes.add_patch(outline)


@attrs.frozen
class _Entry:
    """One entry of the legend."""

    text: str
    box: _Box

    @property
    def width(self) -> float:
        return 0.42 + width_of(self.text, SMALL) + 0.2


def _legend(programme: Programme, boxes: Mapping[Any, _Box]) -> list[_Entry]:
    """What the edges and tints of this picture mean."""
    tints = [box.fill for box in boxes.values()]
    kinds = (("cock", _Box((), _COCK)), ("hen", _Box((), _HEN, rounded=True)), ("hatch", _Box((), _STEP)))
    entries = [_Entry(words, box) for words, box in kinds if box.fill in tints]
    if any(step.is_test for step in programme.steps):
        entries.append(_Entry("test mating", _Box((), _TEST, is_test=True)))
    if any(box.is_goal for box in boxes.values()):
        entries.append(_Entry("kept in the end", _Box((), Fill(PAPER), is_goal=True)))
    return entries


def _draw_key(sheet: Sheet, entries: Sequence[_Entry], down: float) -> None:
    left = 0.0
    for entry in entries:
        _draw_outline(sheet, entry.box, (left + 0.02, down - 0.08, 0.28, 0.16))
        sheet.write(left + 0.36, down, entry.text, ha="left", color=QUIET, size=SMALL)
        left += entry.width
