"""What each bird of a flock may be, given everything on record: a bar for each, divided by genotype."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.errors import TooLargeError
from pinfeather.pedigree import GenotypeProbabilities
from pinfeather.pictures.bars import few_enough, percent
from pinfeather.pictures.palette import FILLS, QUIET, Fill, ink_on
from pinfeather.pictures.sheets import LEADING, SMALL, Entry, Sheet, in_lines, legend_height, width_of, wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Inches: the widest name, a bar from 0 to 1, a bar with the space below it, and a bar by itself.
_NAMES, _LONG, _ROW, _THICK = 2.6, 4.6, 0.3, 0.21


def draw_probabilities(
    probabilities: GenotypeProbabilities,
    ids: Iterable[str] | None = None,
    *,
    allele: str | None = None,
    ax: Axes | None = None,
) -> Axes:
    """Draw what each bird of a flock may be, given everything on record: a bar for each, divided by genotype.

    Parameters
    ----------
    probabilities : GenotypeProbabilities
        From :func:`~pinfeather.pedigree.genotype_probabilities`.
    ids : iterable of str, optional
        The birds to draw, in this order; by default all, in the order of the pedigree.
    allele : str, optional
        An allele: bars are divided into the chance of carrying it and the chance of being free of it.
    ax : matplotlib.axes.Axes, optional
        Where to draw, in type that fits; by default on a new figure of a fitting size.

    Returns
    -------
    matplotlib.axes.Axes
        Exact fractions stand in the bars where there is room; below them a legend, and what was assumed.

    Raises
    ------
    ArgumentError
        If ``probabilities`` are something else, ``ids`` are none, or a probability holds a symbol.
    UnknownSymbolError
        If there is no such bird, or no locus asked about has such an allele.
    TooLargeError
        If there are more than 60 birds to draw, or more than 13 genotypes among them.

    Examples
    --------
    >>> import matplotlib
    >>> matplotlib.use("svg")
    >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl
    >>> from pinfeather.pictures import draw_probabilities
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "cock"), Individual("Dove", "hen"),
    ...     Individual("Wren", "hen", "Rook", "Dove", shows={"lavender": "lavender"}),
    ...     Individual("Jay", "cock", "Rook", "Dove", shows={"lavender": "not lavender"}),
    ... ])
    >>> ax = draw_probabilities(genotype_probabilities(flock, "lav"))
    >>> [text.get_text() for text in ax.texts if "/7" in text.get_text()]
    ['5/7', '2/7', '5/7', '2/7', '1/7', '6/7']
    >>> matplotlib.pyplot.close(ax.figure)
    """
    _checks.instance(probabilities, "probabilities", GenotypeProbabilities)
    names = list(probabilities) if ids is None else list(_checks.unique(_checks.texts(ids, "ids"), "ids"))
    if not names:
        _checks.refuse("ids", ids, "names no bird; leave it out to draw all")
    few_enough(len(names), "birds", "name some in ids=")
    shares = _shares_of(probabilities, names, allele)
    classes = _merged(shares.values())
    if len(classes) > len(FILLS):
        message = (
            f"{len(classes)} genotypes in one picture could not be told apart (at most {len(FILLS)}); ask about one "
            "locus, or name an allele="
        )
        raise TooLargeError(message, size=len(classes), limit=len(FILLS))
    fills = dict(zip(classes, FILLS if allele is None else (FILLS[5], FILLS[0]), strict=False))
    labels = {name: wrapped(name, _NAMES) for name in names}
    start = max(width_of(line) for lines in labels.values() for line in lines) + 0.12
    width = start + _LONG + 0.2
    rows = [max(_ROW, LEADING * len(labels[name]) + 0.1) for name in names]
    key = in_lines([Entry(label, fill) for label, fill in fills.items()], width)
    notes = [part for line in probabilities.assumptions for part in wrapped(line, width, SMALL)]
    below = sum(rows) + 0.3
    sheet = Sheet.of(ax, width, below + legend_height(key) + LEADING * len(notes) + 0.05)
    _draw_scale(sheet, start, sum(rows))
    top = 0.0
    for name, row in zip(names, rows, strict=True):
        _draw_name(sheet, labels[name], start, top + row / 2)
        _draw_parts(sheet, shares[name], fills, (start, top + (row - _THICK) / 2))
        top += row
    sheet.notes(notes, sheet.legend(key, below) + 0.05)
    return sheet.axes


def _shares_of(
    probabilities: GenotypeProbabilities, names: Sequence[str], allele: str | None
) -> dict[str, dict[str, Any]]:
    """For each bird, its classes with their chances; of an allele, whether it carries it."""
    if allele is not None:
        carrying = probabilities.carriers(_checks.text(allele, "allele"))
        for name in names:
            probabilities[name]  # an unknown bird is refused with the nearest known
        found = {name: {f"carries {allele}": carrying[name], f"free of {allele}": 1 - carrying[name]} for name in names}
    else:
        found = {name: _added_up(probabilities[name]) for name in names}
    for name, shares in found.items():
        for share in shares.values():
            if getattr(share, "free_symbols", None):
                _checks.refuse("probabilities", share, f"a chance of {name} holds a symbol; give numbers to draw it")
    return found


def _added_up(birds: Mapping[Any, Any]) -> dict[str, Any]:
    """The genotypes as text, which is the same for both sexes."""
    shares: dict[str, Any] = {}
    for genotype, share in birds.items():
        shares[str(genotype)] = shares.get(str(genotype), 0) + share
    return shares


def _merged(groups: Iterable[Mapping[str, Any]]) -> list[str]:
    """All labels, in an order that each group keeps: what is missing goes before what follows it there."""
    merged: list[str] = []
    for group in groups:
        labels = list(group)
        for at, label in enumerate(labels):
            if label not in merged:
                place = next((merged.index(other) for other in labels[at + 1 :] if other in merged), len(merged))
                merged.insert(place, label)
    return merged


def _draw_scale(sheet: Sheet, start: float, down: float) -> None:
    """Thin lines behind the bars at each quarter."""
    for quarter in range(5):
        x = start + _LONG * quarter / 4
        sheet.line([x, x], [0, down + 0.04], linewidth=0.6, zorder=0)
        sheet.write(x, down + 0.13, f"{25 * quarter} %", size=SMALL, color=QUIET)


def _draw_name(sheet: Sheet, lines: Sequence[str], right: float, middle: float) -> None:
    start = middle - (len(lines) - 1) * LEADING / 2
    for number, line in enumerate(lines):
        sheet.write(right - 0.1, start + number * LEADING, line, ha="right")


def _draw_parts(
    sheet: Sheet, shares: Mapping[str, Any], fills: Mapping[str, Fill], corner: tuple[float, float]
) -> None:
    """The bar of one bird, part by part, always in the same order."""
    left, top = corner
    for label, fill in fills.items():
        length = _LONG * float(shares.get(label, 0))
        if not length:
            continue
        sheet.fill(left, top, length, _THICK, fill, zorder=2)
        text = _share_text(shares[label])
        if width_of(text, SMALL) + 0.08 <= length:
            box = {"facecolor": fill.colour, "edgecolor": "none", "pad": 0.8 * sheet.scale} if fill.pattern else None
            style = {"color": ink_on(fill.colour), "size": SMALL, "bbox": box, "zorder": 3}
            sheet.write(left + length / 2, top + _THICK / 2, text, **style)
        left += length


def _share_text(share: Any) -> str:
    """The exact fraction, or a percentage where that is long or not known."""
    if isinstance(share, float):
        return f"~ {100 * share:.1f} %"
    return str(share) if len(str(share)) <= 12 else percent(share)
