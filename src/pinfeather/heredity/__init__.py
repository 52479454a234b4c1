"""What there is to inherit, and what shows: loci, linkage, genotypes, patterns, traits, viability, species."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pinfeather.heredity.genotypes import Genotype
    from pinfeather.heredity.linkage import Linkage, haldane, inverse_haldane, inverse_kosambi, kosambi
    from pinfeather.heredity.loci import Allele, Locus
    from pinfeather.heredity.patterns import Pattern
    from pinfeather.heredity.species import Species
    from pinfeather.heredity.traits import Phenotype, Trait
    from pinfeather.heredity.viability import Caution, Viability

_HOMES = {
    "Allele": "loci",
    "Caution": "viability",
    "Genotype": "genotypes",
    "Linkage": "linkage",
    "Locus": "loci",
    "Pattern": "patterns",
    "Phenotype": "traits",
    "Species": "species",
    "Trait": "traits",
    "Viability": "viability",
    "haldane": "linkage",
    "inverse_haldane": "linkage",
    "inverse_kosambi": "linkage",
    "kosambi": "linkage",
}

__all__ = [
    "Allele",
    "Caution",
    "Genotype",
    "Linkage",
    "Locus",
    "Pattern",
    "Phenotype",
    "Species",
    "Trait",
    "Viability",
    "haldane",
    "inverse_haldane",
    "inverse_kosambi",
    "kosambi",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(importlib.import_module(f"pinfeather.heredity.{_HOMES[name]}"), name)
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)


def __dir__() -> list[str]:
    return __all__
