"""Pedigrees, drawn with the symbols of the trade: squares males, circles females, a double line for related mates."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.errors import TooLargeError
from pinfeather.exact.numbers import as_fraction
from pinfeather.heredity.viability import WELFARE
from pinfeather.pedigree import Pedigree, kinship_matrix
from pinfeather.pedigree.individuals import candidates
from pinfeather.pictures.palette import FILLS, INK, LINE, PAPER, QUIET, UNKNOWN, Fill, shade
from pinfeather.pictures.placing import Family, placed
from pinfeather.pictures.sheets import LEADING, SMALL, Sheet, in_lines, width_of, wrapped
from pinfeather.pictures.tracks import HALF, Tracks, tracks

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_MOST_BIRDS = 400

# Inches: the widest label, a line of it, the least room of a bird, the narrowest picture, and the widest row of birds
# that have no relatives; a line of the legend.
_LABEL, _LINE, _LEAST, _NARROWEST, _WIDEST, _KEY = 0.95, 0.135, 0.5, 5.4, 9.0, 0.24


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
    line of a bird meets that of a couple; lines without a dot only cross.  A bird of unknown parents that was bought in
    later stands beside its first mate, and birds without any relative come last.

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
        Where to draw, in type that fits; by default on a new figure of a fitting size.

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
        If there are more than 400 birds to draw, or they show more than 13 looks of the trait.

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
    >>> sorted(text.get_text() for text in ax.texts if text.get_text() in flock)
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
    layout = _Layout(flock, labels)
    entries = [in_lines(_symbols(flock, layout.lines), layout.width), in_lines(key, layout.width)]
    legend = [line for lines in entries for line in lines]
    related = any(line.double for line in layout.lines.lines)
    notes = wrapped(f"Chicks of mates that are related are inbred. {WELFARE}", layout.width, SMALL) if related else []
    top = layout.depth + 0.18
    sheet = Sheet.of(ax, layout.width, top + _KEY * len(legend) + LEADING * len(notes))
    _draw_lines(sheet, layout.lines, layout.shift)
    for name, (x, y) in layout.places.items():
        _draw_symbol(sheet, (x, y), HALF, flock[name].sex, fills[name])
        for number, text in enumerate(labels[name]):
            colour = INK if number < len(labels[name]) - (chances is not None) else QUIET
            _write(sheet, x, y + HALF + 0.09 + number * _LINE, text, color=colour)
    for number, line in enumerate(legend):
        _draw_key(sheet, line, top + _KEY * (number + 0.5))
    sheet.notes(notes, top + _KEY * len(legend))
    return sheet.axes


class _Layout:
    """Where every bird stands, in inches: families by generations, and below them birds without relatives."""

    def __init__(self, flock: Pedigree, labels: Mapping[str, Sequence[str]]) -> None:
        alone = [name for name in flock if not flock.parents(name) and not flock.chicks(name)]
        family = Pedigree(flock.species, [bird for bird in flock.individuals if bird.id not in set(alone)])
        room = {
            name: max(_LEAST, max(width_of(line, SMALL) for line in label) + 0.14) for name, label in labels.items()
        }
        placing = placed(family, room)
        deep = [max((len(labels[n]) for n in row if isinstance(n, str)), default=0) for row in placing.rows]
        self.lines = tracks(placing, [0.05 + number * _LINE for number in deep], _relations(family, placing.families))
        # Lines may pass outside the birds.
        ends = [end[0] for line in self.lines.lines for end in (line.start, line.end)]
        left = min([placing.x[name] - room[name] / 2 for name in family] + [x - 0.05 for x in ends], default=0.0)
        right = max([placing.x[name] + room[name] / 2 for name in family] + [x + 0.05 for x in ends], default=0.0)
        column = max((room[name] for name in alone), default=0.0)
        self.width = max(right - left, _NARROWEST, min(column * len(alone), _WIDEST))
        self.shift = (self.width - right - left) / 2
        self.places = {name: (placing.x[name] + self.shift, self.lines.rows[placing.row[name]]) for name in family}
        self.depth = self.lines.depth + 0.15 * bool(alone) if len(family) else 0.0
        across = int(self.width / column) if alone else 1
        for start in range(0, len(alone), across):
            row = alone[start : start + across]
            self.places |= {name: ((at + 0.5) * column, self.depth + HALF) for at, name in enumerate(row)}
            self.depth += 2 * HALF + 0.2 + _LINE * max(len(labels[name]) for name in row)


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


def _by_look(flock: Pedigree, trait: str) -> tuple[dict[str, Fill], list[_Entry]]:
    """Fills by the looks on record, and what they mean, in the order in which the trait has its looks."""
    species = flock.species
    full = species.trait_name(_checks.text(trait, "shows"))
    seen = {
        name: next((label for own, label in flock[name].shows.items() if species.trait_name(own) == full), None)
        for name in flock
    }
    labels = [label for label in species.labels_of(full) if label in seen.values()]
    if len(labels) > len(FILLS):
        message = (
            f"{len(labels)} looks in one picture could not be told apart (at most {len(FILLS)}); name some birds in "
            "ids=, and only they and their ancestors are drawn"
        )
        raise TooLargeError(message, size=len(labels), limit=len(FILLS))
    fills = dict(zip(labels, FILLS, strict=False))
    key = [_Entry(f"{full}: {label}", fill=fills[label]) for label in labels]
    if None in seen.values():
        key.append(_Entry(f"{full} not on record", fill=Fill()))
    return {name: Fill() if label is None else fills[label] for name, label in seen.items()}, key


def _by_chance(flock: Pedigree, chances: Mapping[str, Fraction] | None) -> tuple[dict[str, Fill], list[_Entry]]:
    """Shades by the chance, and a scale of them."""
    if chances is None:
        return dict.fromkeys(flock, Fill()), []
    fills = {name: Fill(shade(float(chances[name]))) if name in chances else UNKNOWN for name in flock}
    scale = [Fraction(quarter, 4) for quarter in range(5)]
    key = [_Entry(_percent(share), fill=Fill(shade(float(share)))) for share in scale]
    key[0] = attrs.evolve(key[0], text=f"chance of carrying: {key[0].text}")
    if not chances.keys() >= set(flock):
        key.append(_Entry("no chance given", fill=UNKNOWN))
    return fills, key


def _percent(chance: Fraction) -> str:
    """A chance in whole per cent; what is not certain never reads as if it were."""
    rounded = round(chance * 100)
    if rounded == 0 and chance:
        return "< 1 %"
    return "> 99 %" if rounded == 100 and chance != 1 else f"{rounded} %"


def _label(name: str, chances: Mapping[str, Fraction] | None) -> list[str]:
    lines = wrapped(name, _LABEL, SMALL)
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
    fill: Fill | None = None
    line: str = ""

    @property
    def width(self) -> float:
        return 0.3 + width_of(self.text, SMALL) + 0.2


def _symbols(flock: Pedigree, lines: Tracks) -> Iterator[_Entry]:
    """What the symbols and lines of this picture mean."""
    sexes = {flock[name].sex for name in flock}
    for sex, words in (("male", "male"), ("female", "female"), (None, "sex not on record")):
        if sex in sexes:
            yield _Entry(words, sex, Fill())
    if any(line.double for line in lines.lines):
        yield _Entry("mates are related", line="double")
    if lines.chances:
        yield _Entry("possible parent, with its chance", line="dashed")


def _draw_key(sheet: Sheet, entries: Iterable[_Entry], down: float) -> None:
    left = 0.0
    for entry in entries:
        if entry.fill is not None:
            _draw_symbol(sheet, (left + 0.12, down), 0.08, entry.sex, entry.fill)
        else:
            _draw_line(sheet, (left, down), (left + 0.24, down), entry.line == "dashed", entry.line == "double")
        sheet.write(left + 0.3, down, entry.text, ha="left", color=QUIET, size=SMALL)
        left += entry.width


def _draw_symbol(sheet: Sheet, place: tuple[float, float], half: float, sex: str | None, fill: Fill) -> None:
    from matplotlib.patches import Circle, Polygon

    x, y = place
    style: dict[str, Any] = {"zorder": 2, "linewidth": sheet.scale}
    if sex == "male":
        side = half * 0.9
        sheet.fill(x - side, y - side, 2 * side, 2 * side, fill, **style)
        return
    style |= {"facecolor": fill.colour, "edgecolor": INK}
    corners = [(x - half, y), (x, y - half), (x + half, y), (x, y + half)]
    symbol = Circle(place, half, **style) if sex == "female" else Polygon(corners, closed=True, **style)
    if fill.pattern:
        symbol.set_hatch(fill.pattern)
    sheet.axes.add_patch(symbol)


def _draw_lines(sheet: Sheet, lines: Tracks, shift: float) -> None:
    for line in lines.lines:
        (x, y), (to_x, to_y) = line.start, line.end
        _draw_line(sheet, (x + shift, y), (to_x + shift, to_y), line.dashed, line.double)
    for x, y in lines.joins:
        sheet.axes.plot([x + shift], [y], marker="o", markersize=2.8 * sheet.scale, color=LINE, zorder=1)
    for x, y, chance in lines.chances:
        _write(sheet, x + shift, y, chance, size=SMALL - 1.5, color=QUIET, zorder=3)


def _draw_line(sheet: Sheet, start: tuple[float, float], end: tuple[float, float], dashed: bool, double: bool) -> None:
    for aside in (-0.02, 0.02) if double else (0.0,):
        style = (0, (3, 2)) if dashed else "-"
        sheet.line([start[0], end[0]], [start[1] + aside, end[1] + aside], linestyle=style)


def _write(sheet: Sheet, x: float, y: float, text: str, **style: Any) -> None:
    """A text that hides the lines behind it."""
    box = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.35 * sheet.scale}
    sheet.write(x, y, text, **{"size": SMALL, "bbox": box, "zorder": 2, **style})
