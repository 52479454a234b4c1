"""Pedigrees, drawn with the symbols of the trade: squares males, circles females, a double line for related mates."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.errors import TooLargeError
from pinfeather.exact.numbers import as_fraction
from pinfeather.pedigree import Pedigree, kinship_matrix
from pinfeather.pedigree.individuals import candidates
from pinfeather.pictures.placing import Family, placed
from pinfeather.pictures.tracks import HALF, Tracks, tracks

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_MOST_BIRDS = 400

# The same quiet look as the other pictures; the tints of looks are a little stronger, since the symbols are small.
_INK, _FAINT, _LINE, _SHADE = "#2b2b2b", "#6b6b6b", "#7d7d7d", "#2f5d7c"
_TINTS = ("#b3c9d6", "#e3c47a", "#9dbb8a", "#c9a3bd", "#b08a78", "#8a86b0", "#d98f76", "#6d6d6d")
_HATCHES = ("", "////", "....", "xxxx")

# Inches: a letter and a line of the labels, and the least room of a bird; letters in a line of a label.
_LETTER, _LINE_HEIGHT, _LEAST, _LETTERS, _TYPE = 0.066, 0.135, 0.5, 12, 8


@attrs.frozen
class _Fill:
    """How a symbol is filled."""

    colour: str = "#ffffff"
    hatch: str = ""


def draw_pedigree(
    pedigree: Pedigree,
    ids: Iterable[str] | None = None,
    *,
    shows: str | None = None,
    probabilities: Mapping[str, Any] | None = None,
    ax: Axes | None = None,
) -> Axes:
    """Draw a pedigree: founders on top, a row for each generation, and lines from parents to chicks.

    Squares are males, circles females, and diamonds birds of a sex that is not on record.  A line joins mates, a double
    one mates that are related; dashed lines lead to possible parents, with the chance of each.  A dot marks where the
    line of a bird meets that of a couple; lines without a dot only cross.

    Parameters
    ----------
    pedigree : Pedigree
        The flock.
    ids : iterable of str, optional
        Birds to draw, with all their ancestors; by default all.
    shows : str, optional
        A trait: symbols are filled by the look on record, and a legend names the looks.
    probabilities : mapping of str to number, optional
        For each bird a chance from 0 to 1, such as
        :meth:`GenotypeProbabilities.carriers <pinfeather.pedigree.GenotypeProbabilities.carriers>` gives: symbols are
        shaded by it, and it stands under the id as a rounded percentage.
    ax : matplotlib.axes.Axes, optional
        Where to draw; by default on a new figure of a fitting size.  On axes of another size the texts may overlap.

    Returns
    -------
    matplotlib.axes.Axes

    Raises
    ------
    ArgumentError
        If ``pedigree`` is no pedigree, ``ids`` are none, a chance is not from 0 to 1, or both ``shows`` and
        ``probabilities`` are given.
    UnknownSymbolError
        If the pedigree has no such bird, or its species no such trait.
    TooLargeError
        If there are more than 400 birds to draw.

    Notes
    -----
    The symbols are those of the standard human pedigree nomenclature (R. L. Bennett et al. 1995, American Journal of
    Human Genetics 56: 745-752; from memory), which breeders of animals use alike.

    Examples
    --------
    >>> import matplotlib
    >>> matplotlib.use("svg")
    >>> from pinfeather import Individual, Pedigree, load_fowl
    >>> from pinfeather.pictures import draw_pedigree
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Wren", "hen", "Rook", "Dove"), Individual("Jay", "cock", "Rook", "Dove"),
    ...     Individual("Tit", "hen", "Jay", "Wren"),
    ... ])
    >>> ax = draw_pedigree(flock)
    >>> sorted(text.get_text() for text in ax.texts)[:5]
    ['Dove', 'Jay', 'Rook', 'Tit', 'Wren']
    >>> ax.figure.savefig("flock.svg")  # doctest: +SKIP
    >>> matplotlib.pyplot.close(ax.figure)
    """
    flock = _chosen(_checks.instance(pedigree, "pedigree", Pedigree), ids)
    if shows is not None and probabilities is not None:
        _checks.refuse("shows", shows, "symbols can be filled by a look or by chances, not by both; draw two pictures")
    chances = None if probabilities is None else _chances(probabilities, pedigree)
    fills, key = _by_look(flock, shows) if shows is not None else _by_chance(flock, chances)
    labels = {name: _label(name, chances) for name in flock}
    room = {name: max(_LEAST, max(map(len, label)) * _LETTER + 0.14) for name, label in labels.items()}
    placing = placed(flock, room)
    deep = [max((len(labels[n]) for n in row if isinstance(n, str)), default=0) for row in placing.rows]
    lines = tracks(placing, [0.05 + number * _LINE_HEIGHT for number in deep], _relations(flock, placing.families))
    wide = max((placing.x[name] + room[name] / 2 for name in flock), default=0.0)
    width = max(wide, 4.5)
    legend = [*_in_lines(_symbols(flock, lines), width), *_in_lines(key, width)]
    depth = lines.depth + 0.2 + 0.24 * len(legend)
    axes = _axes(ax, width + 0.2, depth + 0.2)
    shift = (width - wide) / 2
    axes.set_xlim(-0.1, width + 0.1)
    axes.set_ylim(depth, -0.1)
    axes.set_aspect("equal")
    axes.set_axis_off()
    _draw_lines(axes, lines, shift)
    for name in flock:
        place = (placing.x[name] + shift, lines.rows[flock.generation(name)])
        _draw_symbol(axes, place, HALF, flock[name].sex, fills[name])
        for number, text in enumerate(labels[name]):
            colour = _INK if number < len(labels[name]) - (chances is not None) else _FAINT
            _write(axes, place[0], place[1] + HALF + 0.09 + number * _LINE_HEIGHT, text, color=colour)
    for number, entries in enumerate(legend):
        _draw_key(axes, entries, lines.depth + 0.3 + 0.24 * number)
    return axes


def _chosen(pedigree: Pedigree, ids: Iterable[str] | None) -> Pedigree:
    """The birds to draw."""
    if ids is not None:
        names = _checks.texts(ids, "ids")
        if not names:
            _checks.refuse("ids", ids, "names no bird; leave it out to draw all")
        pedigree = pedigree.restricted_to(*names)
    if len(pedigree) > _MOST_BIRDS:
        message = (
            f"a picture of {len(pedigree):,} birds could not be read (at most {_MOST_BIRDS}); name some in ids=, and "
            "only they and their ancestors are drawn"
        )
        raise TooLargeError(message, size=len(pedigree), limit=_MOST_BIRDS)
    return pedigree


# -- what the symbols are filled with ----------------------------------------------------------------------------------


def _chances(probabilities: Mapping[str, Any], pedigree: Pedigree) -> dict[str, Fraction]:
    found = {}
    for name, chance in _checks.mapping(probabilities, "probabilities").items():
        if name not in pedigree:
            _checks.unknown("bird", str(name), pedigree, "the pedigree")
        if isinstance(chance, Mapping):
            reason = "must be a mapping from bird to one chance; write such as probabilities.carriers('lav')"
            _checks.refuse("probabilities", type(probabilities).__name__, reason)
        found[name] = as_fraction(chance, f"the chance of {name}")
        if not 0 <= found[name] <= 1:
            _checks.refuse("probabilities", chance, f"the chance of {name} must be from 0 to 1")
    return found


def _by_look(flock: Pedigree, trait: str) -> tuple[dict[str, _Fill], list[_Entry]]:
    """Fills by the looks on record, and what they mean, in the order in which the trait has its looks."""
    species = flock.species
    full = species.trait_name(_checks.text(trait, "shows"))
    seen = {
        name: next((label for own, label in flock[name].shows.items() if species.trait_name(own) == full), None)
        for name in flock
    }
    labels = [label for label in species.labels_of(full) if label in seen.values()]
    fills = {
        label: _Fill(_TINTS[at % len(_TINTS)], _HATCHES[at // len(_TINTS) % len(_HATCHES)])
        for at, label in enumerate(labels)
    }
    key = [_Entry(f"{full}: {label}", fill=fills[label]) for label in labels]
    if None in seen.values():
        key.append(_Entry(f"{full} not on record", fill=_Fill()))
    return {name: _Fill() if label is None else fills[label] for name, label in seen.items()}, key


def _by_chance(flock: Pedigree, chances: Mapping[str, Fraction] | None) -> tuple[dict[str, _Fill], list[_Entry]]:
    """Shades by the chance, and a scale of them."""
    if chances is None:
        return dict.fromkeys(flock, _Fill()), []
    fills = {name: _Fill(_shade(chances[name])) if name in chances else _Fill(hatch="////") for name in flock}
    scale = [Fraction(quarter, 4) for quarter in range(5)]
    key = [_Entry(_percent(share), fill=_Fill(_shade(share))) for share in scale]
    key[0] = attrs.evolve(key[0], text=f"chance of carrying: {key[0].text}")
    if not chances.keys() >= set(flock):
        key.append(_Entry("no chance given", fill=_Fill(hatch="////")))
    return fills, key


def _shade(chance: Fraction) -> str:
    dark = [int(_SHADE[at : at + 2], 16) for at in (1, 3, 5)]
    return "#" + "".join(f"{round(255 + (part - 255) * float(chance)):02x}" for part in dark)


def _percent(chance: Fraction) -> str:
    """A chance in whole per cent; what is not certain never reads as if it were."""
    rounded = round(chance * 100)
    if rounded == 0 and chance:
        return "< 1 %"
    return "> 99 %" if rounded == 100 and chance != 1 else f"{rounded} %"


def _label(name: str, chances: Mapping[str, Fraction] | None) -> list[str]:
    lines = textwrap.wrap(name, _LETTERS) or [name]
    if chances is not None:
        lines.append(_percent(chances[name]) if name in chances else "?")
    return lines


def _relations(flock: Pedigree, families: Iterable[Family]) -> Any:
    """Whether a parent is related to its mate: to every one of them that is possible."""
    matrix = kinship_matrix(flock) if families else None

    def related(parent: str, family: Family) -> bool:
        others = candidates(family.dam if parent in candidates(family.sire) else family.sire)
        return matrix is not None and bool(others) and all(matrix[parent, other] != 0 for other in others)

    return related


# -- drawing -----------------------------------------------------------------------------------------------------------


@attrs.frozen
class _Entry:
    """One entry of the legend: its words, and the symbol or the line before them."""

    text: str
    sex: str | None = "male"
    fill: _Fill | None = None
    line: str = ""

    @property
    def width(self) -> float:
        return 0.45 + len(self.text) * _LETTER * 0.9


def _symbols(flock: Pedigree, lines: Tracks) -> Iterator[_Entry]:
    """What the symbols and lines of this picture mean."""
    sexes = {flock[name].sex for name in flock}
    for sex, words in (("male", "male"), ("female", "female"), (None, "sex not on record")):
        if sex in sexes:
            yield _Entry(words, sex, _Fill())
    if any(line.double for line in lines.lines):
        yield _Entry("mates are related", line="double")
    if lines.chances:
        yield _Entry("possible parent, with its chance", line="dashed")


def _in_lines(entries: Iterable[_Entry], width: float) -> list[list[_Entry]]:
    """The legend in lines that fit."""
    made: list[list[_Entry]] = []
    left = 0.0
    for entry in entries:
        if entry.width > left:
            made.append([])
            left = width
        made[-1].append(entry)
        left -= entry.width
    return made


def _draw_key(axes: Axes, entries: Iterable[_Entry], down: float) -> None:
    left = 0.0
    for entry in entries:
        middle = (left + 0.12, down)
        if entry.fill is not None:
            _draw_symbol(axes, middle, 0.075, entry.sex, entry.fill)
        else:
            _draw_line(axes, (left, down), (left + 0.24, down), entry.line == "dashed", entry.line == "double")
        _write(axes, left + 0.3, down, entry.text, ha="left", color=_FAINT)
        left += entry.width


def _draw_symbol(axes: Axes, place: tuple[float, float], half: float, sex: str | None, fill: _Fill) -> None:
    from matplotlib.patches import Circle, Polygon, Rectangle

    x, y = place
    style: dict[str, Any] = {"facecolor": fill.colour, "edgecolor": _INK, "linewidth": 1, "zorder": 2}
    if fill.hatch:
        style["hatch"] = fill.hatch
    if sex == "male":
        side = half * 0.9
        axes.add_patch(Rectangle((x - side, y - side), 2 * side, 2 * side, **style))
    elif sex == "female":
        axes.add_patch(Circle(place, half, **style))
    else:
        corners = [(x - half, y), (x, y - half), (x + half, y), (x, y + half)]
        axes.add_patch(Polygon(corners, closed=True, **style))


def _draw_lines(axes: Axes, lines: Tracks, shift: float) -> None:
    for line in lines.lines:
        (x, y), (to_x, to_y) = line.start, line.end
        _draw_line(axes, (x + shift, y), (to_x + shift, to_y), line.dashed, line.double)
    for x, y in lines.joins:
        axes.plot([x + shift], [y], marker="o", markersize=2.6, color=_LINE, zorder=1)
    for x, y, chance in lines.chances:
        box = {"facecolor": "white", "edgecolor": "none", "pad": 0.4}
        _write(axes, x + shift, y, chance, fontsize=_TYPE - 1.5, color=_FAINT, bbox=box, zorder=3)


def _draw_line(axes: Axes, start: tuple[float, float], end: tuple[float, float], dashed: bool, double: bool) -> None:
    for aside in (-0.018, 0.018) if double else (0.0,):
        axes.plot(
            [start[0], end[0]],
            [start[1] + aside, end[1] + aside],
            color=_LINE,
            linewidth=0.9,
            linestyle=(0, (3, 2)) if dashed else "-",
            solid_capstyle="butt",
            zorder=1,
        )


def _axes(ax: Axes | None, width: float, height: float) -> Axes:
    """The axes given, or new ones on a figure of so many inches."""
    if ax is not None:
        return ax
    try:
        from matplotlib import pyplot
    except ImportError as error:
        message = "drawing needs matplotlib; install it with: pip install 'pinfeather[pictures]'"
        raise ImportError(message) from error
    return pyplot.subplots(figsize=(width, height), layout="constrained")[1]


def _write(axes: Axes, x: float, y: float, text: str, **style: Any) -> None:
    box = {"facecolor": "white", "edgecolor": "none", "pad": 0.3}
    style = {"ha": "center", "fontsize": _TYPE, "bbox": box, "zorder": 2, **style}
    axes.text(x, y, text, va="center", parse_math=False, **style)
