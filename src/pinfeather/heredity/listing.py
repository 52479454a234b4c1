"""A species as a list of its loci."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pinfeather._results import Record
from pinfeather._tables import Table

if TYPE_CHECKING:
    from pinfeather.heredity.species import Species


def records_of(species: Species) -> list[Record]:
    """One record for each locus."""
    return [
        {
            "locus": locus.symbol,
            "name": locus.name,
            "alleles": " ".join(locus.symbols),
            "dominance": locus.dominance,
            "chromosome": locus.chromosome,
            "seen_at": locus.seen_at,
            "flag": locus.flag,
            "sources": "; ".join(locus.sources),
        }
        for locus in species.loci
    ]


def facts_of(species: Species) -> Record:
    """Its name, its way of determining sex, and its loci."""
    return {"name": species.name, "sex_system": species.sex_system, "loci": records_of(species)}


def table_of(species: Species) -> Table:
    """The loci with their alleles, and where and when they are read."""
    columns = ("locus", "name", "alleles", "chromosome", "seen_at")
    rows = [tuple(record[column] for column in columns) for record in records_of(species)]
    heads = [column.replace("_", " ") for column in columns]
    return Table(heads, rows, f"{species.name}: {len(species.loci)} loci", words=range(5))
