"""Why a bird is thought to carry what it does: the records that moved it, in order of weight."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import attrs

from pinfeather._results import Record as PlainRecord
from pinfeather._results import Shown, ShownRow, exact_text
from pinfeather._tables import Table
from pinfeather.exact.distribution import Distribution
from pinfeather.heredity.genotypes import Genotype
from pinfeather.pedigree.conflicts import records_of
from pinfeather.pedigree.evidence import Record
from pinfeather.pedigree.network import Setting

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.pedigree.probabilities import GenotypeProbabilities


@attrs.frozen
class Influence(ShownRow):
    """One record, and what would be thought of the bird without it.

    Parameters
    ----------
    record : Record
        Which bird or hatch, which field, and the record in words.
    without : Distribution of Genotype
        What the bird would be thought to carry if this record alone were missing.
    shift : sympy.Rational
        How far the record moves the bird: half the sum of the differences between the two distributions, from 0 to 1
        (the total-variation distance).

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "male"), Individual("Dove", "female"),
    ...     Individual("Wren", "female", "Rook", "Dove", shows={"lavender": "lavender"}),
    ... ])
    >>> influence = genotype_probabilities(flock, "lav").explain("Rook").influences[0]
    >>> influence.record.field, influence.shift
    ('parents', 1/4)
    """

    record: Record
    without: Distribution[Genotype]
    shift: Expr

    def __str__(self) -> str:
        return f"{self.record}: without it, {_short(self.without)}"

    def _record(self) -> PlainRecord:
        return {**self.record._record(), "without": _whole(self.without), "shift": self.shift}

    def _facts(self) -> PlainRecord:
        return {"record": str(self.record), "without": self.without, "shift": self.shift}


@attrs.frozen
class Explanation(Shown):
    """What moved a bird: from the distribution before any record to the one that all records give.

    Parameters
    ----------
    bird : str
        The bird's id.
    before, now : Distribution of Genotype
        With no record but the birds' parents, and with all of them.
    influences : tuple of Influence
        The records that move it, in order of weight.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "male"), Individual("Dove", "female"),
    ...     Individual("Wren", "female", "Rook", "Dove", shows={"lavender": "lavender"}),
    ... ])
    >>> told = genotype_probabilities(flock, "lav").explain("Rook")
    >>> told.before["Lav+/lav"], told.now["Lav+/lav"]
    (1/2, 1/2)
    >>> told.before["Lav+/Lav+"], told.now["Lav+/Lav+"]
    (1/4, 0)
    """

    bird: str
    before: Distribution[Genotype]
    now: Distribution[Genotype]
    influences: tuple[Influence, ...]

    def __str__(self) -> str:
        lines = [self._said()]
        if not self.influences:
            lines.append("No single record moves it.")
        return "\n".join([*lines, *(f"- {influence}." for influence in self.influences)])

    def _said(self) -> str:
        return f"{self.bird}: before any record {_short(self.before)}; now {_short(self.now)}."

    def _table(self) -> Table:
        rows = [(str(one.record), _short(one.without)) for one in self.influences]
        return Table(("record", "without it"), rows, self._said(), words=(0, 1))

    def _records(self) -> list[PlainRecord]:
        return [influence._record() for influence in self.influences]

    def _facts(self) -> PlainRecord:
        return {"bird": self.bird, "before": self.before, "now": self.now, "influences": self.influences}


def explain(
    probabilities: GenotypeProbabilities,
    setting: Setting,
    name: str,
    largest: int,
    on_progress: Callable[[int, int], None] | None,
) -> Explanation:
    """Leave out each record in turn and see how far the bird moves."""
    now: Distribution[Genotype] = probabilities[name]
    records = records_of(setting)
    told = tuple(record for record in records if record.field != "parents")
    before = _without(probabilities, setting, told, largest)[name]
    influences = []
    for number, record in enumerate(records):
        other: Distribution[Genotype] = _without(probabilities, setting, (record,), largest)[name]
        shift = distance(now, other)
        if shift != 0:
            influences.append(Influence(record, other, shift))
        if on_progress is not None:
            on_progress(number + 1, len(records))
    if all(influence.shift.is_Rational for influence in influences):
        influences.sort(key=lambda influence: -influence.shift)
    return Explanation(name, before, now, tuple(influences))


def _without(
    probabilities: GenotypeProbabilities, setting: Setting, dropped: tuple[Record, ...], largest: int
) -> GenotypeProbabilities:
    """The answer with some records left out; it serves every bird that is explained, so it is kept."""
    from pinfeather.pedigree.inference import solved

    known = probabilities.without
    if dropped not in known:
        known[dropped] = solved(setting, "exact", largest, dropped=dropped)
    return known[dropped]


def distance(one: Distribution[Genotype], other: Distribution[Genotype]) -> Expr:
    """Half the sum of the differences between two distributions."""
    from pinfeather.exact.numbers import exact

    total = exact(0)
    for outcome in {*one, *other}:
        total += abs(one.fraction(outcome) - other.fraction(outcome))
    return total / 2


def assumptions_of(setting: Setting, arithmetic: str) -> tuple[str, ...]:
    """What the sums took to be so."""
    species = setting.space.species
    lines = []
    for place, shares in setting.descent.frequencies.items():
        shown = ", ".join(f"{s} {v}" for s, v in zip(species.loci[place].symbols, shares, strict=True))
        lines.append(f"founders are drawn, unrelated, from allele frequencies {shown}")
    lines.extend(f"{name} is drawn from frequencies of its own" for name in setting.special)
    background = ", ".join(species.loci[p].alleles[a].symbol for p, a in setting.reader.background.items())
    lines.append(
        f"at other loci the flock is pure {background}" if background else "at other loci all birds are wild type"
    )
    if setting.reader.test_error != 0:
        lines.append(f"a DNA result is wrong with chance {setting.reader.test_error}")
    lines.append("chicks are drawn from those that hatch, whichever sex was banded")
    if arithmetic == "float":
        lines.append("the sums were done on 64-bit floats, not exactly")
    return tuple(lines)


def _whole(distribution: Distribution[Genotype]) -> str:
    """All genotypes with their exact chances, in one line."""
    return ", ".join(f"{bird} {exact_text(chance)}" for bird, chance in distribution.items())


def _short(distribution: Distribution[Genotype]) -> str:
    """The likeliest genotypes, with short fractions as they are and long ones rounded."""
    parts = []
    for bird, chance in distribution.items():
        text = str(chance)
        if len(text) > 12 and chance.is_Rational:
            text = f"~{float(chance):.4f}"
        parts.append(f"{bird} {text}")
    return ", ".join(parts[:4]) + (", ..." if len(parts) > 4 else "")
