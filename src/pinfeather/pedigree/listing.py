"""Flocks, and what their birds may be, as tables and records."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pinfeather._results import Record
from pinfeather._tables import Table

if TYPE_CHECKING:
    from pinfeather.pedigree.pedigree import Pedigree
    from pinfeather.pedigree.probabilities import GenotypeProbabilities

_ROWS_SHOWN = 60


def birds_of(flock: Pedigree) -> list[Record]:
    """One record for each bird."""
    return [bird._record() for bird in flock.individuals]


def book_of(flock: Pedigree) -> Record:
    """The whole book: birds, hatches and notes."""
    hatches = [hatch._record() for hatch in flock.hatches]
    return {"species": flock.species.name, "birds": birds_of(flock), "hatches": hatches, "notes": flock.notes}


def table_of(flock: Pedigree) -> Table:
    """The birds; columns that few books fill are left out where they are empty."""
    shown = [bird._record() for bird in flock.individuals[:_ROWS_SHOWN]]
    seldom = ("hatched", "shows", "genotype", "tested")
    heads = ("bird", "sex", "sire", "dam", *(head for head in seldom if any(bird[head] for bird in shown)))
    rows = [["" if record[head] is None else str(record[head]) for head in heads] for record in shown]
    hidden = len(flock) - len(rows)
    below = [f"... and {hidden} more"] if hidden else []
    if flock.hatches:
        below.append(f"Hatches of chicks not banded: {len(flock.hatches)}.")
    return Table(heads, rows, f"{flock.species.name}: {len(flock)} birds", below, range(len(heads)))


def chances_of(known: GenotypeProbabilities) -> list[Record]:
    """One record for each bird and each genotype that it may have."""
    return [
        {"bird": name, "genotype": str(bird), "sex": bird.sex, "chance": chance}
        for name in known
        for bird, chance in known[name].items()
    ]


def facts_of(known: GenotypeProbabilities) -> Record:
    """What was asked and assumed, and what each bird may be."""
    return {
        "loci": known.loci,
        "arithmetic": known.arithmetic,
        "assumptions": known.assumptions,
        "birds": {name: {str(bird): chance for bird, chance in known[name].items()} for name in known},
    }


def table_of_chances(known: GenotypeProbabilities) -> Table:
    """The likeliest genotypes of each bird."""
    exact = known.arithmetic == "exact"
    symbolic = exact and bool(known.setting.space.ring.generators)
    rows = []
    for name in known.pedigree.ids[:_ROWS_SHOWN]:
        shares = list(known[name].items())
        if not symbolic:
            shares = sorted(((bird, float(share)) for bird, share in shares), key=lambda entry: -entry[1])
        parts = ", ".join(f"{bird} {share if symbolic else f'{share:.4g}'}" for bird, share in shares[:3])
        rows.append((name, f"{parts}{', ...' if len(shares) > 3 else ''}"))
    hidden = len(known) - len(rows)
    below = [f"... and {hidden} more birds"] if hidden else []
    if not symbolic:
        below.append("(decimals are rounded)" if exact else "(64-bit floats, not exact)")
    return Table(("bird", "what it carries, likeliest first"), rows, below=below, words=(0, 1))
