"""What do my birds carry, and how are they related?  The flock and its records."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pinfeather.pedigree.checking import Problem
    from pinfeather.pedigree.conflicts import Conflict, Conflicts, contradictions
    from pinfeather.pedigree.contributions import (
        effective_founders,
        founder_allele_loss,
        founder_contributions,
        founder_genomes,
    )
    from pinfeather.pedigree.evidence import Record
    from pinfeather.pedigree.explaining import Explanation, Influence
    from pinfeather.pedigree.individuals import Hatch, Individual, PossibleParents
    from pinfeather.pedigree.inference import genotype_probabilities
    from pinfeather.pedigree.matrix import KinshipMatrix
    from pinfeather.pedigree.paths import InbreedingPath, InbreedingPaths, inbreeding_caution, inbreeding_paths
    from pinfeather.pedigree.pedigree import Pedigree
    from pinfeather.pedigree.probabilities import GenotypeProbabilities
    from pinfeather.pedigree.relatedness import inbreeding, kinship, kinship_matrix
    from pinfeather.pedigree.sizes import (
        Generations,
        allele_missed,
        effective_size,
        generations,
        heterozygosity_kept,
    )
    from pinfeather.pedigree.typing_order import BirdsToType, BirdToType, birds_to_type

_HOMES = {
    "BirdToType": "typing_order",
    "BirdsToType": "typing_order",
    "Conflict": "conflicts",
    "Conflicts": "conflicts",
    "Explanation": "explaining",
    "Generations": "sizes",
    "GenotypeProbabilities": "probabilities",
    "Hatch": "individuals",
    "InbreedingPath": "paths",
    "InbreedingPaths": "paths",
    "Individual": "individuals",
    "Influence": "explaining",
    "KinshipMatrix": "matrix",
    "Pedigree": "pedigree",
    "PossibleParents": "individuals",
    "Problem": "checking",
    "Record": "evidence",
    "allele_missed": "sizes",
    "birds_to_type": "typing_order",
    "contradictions": "conflicts",
    "effective_founders": "contributions",
    "effective_size": "sizes",
    "founder_allele_loss": "contributions",
    "founder_contributions": "contributions",
    "founder_genomes": "contributions",
    "generations": "sizes",
    "genotype_probabilities": "inference",
    "heterozygosity_kept": "sizes",
    "inbreeding": "relatedness",
    "inbreeding_caution": "paths",
    "inbreeding_paths": "paths",
    "kinship": "relatedness",
    "kinship_matrix": "relatedness",
}

__all__ = [
    "BirdToType",
    "BirdsToType",
    "Conflict",
    "Conflicts",
    "Explanation",
    "Generations",
    "GenotypeProbabilities",
    "Hatch",
    "InbreedingPath",
    "InbreedingPaths",
    "Individual",
    "Influence",
    "KinshipMatrix",
    "Pedigree",
    "PossibleParents",
    "Problem",
    "Record",
    "allele_missed",
    "birds_to_type",
    "contradictions",
    "effective_founders",
    "effective_size",
    "founder_allele_loss",
    "founder_contributions",
    "founder_genomes",
    "generations",
    "genotype_probabilities",
    "heterozygosity_kept",
    "inbreeding",
    "inbreeding_caution",
    "inbreeding_paths",
    "kinship",
    "kinship_matrix",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(importlib.import_module(f"pinfeather.pedigree.{_HOMES[name]}"), name)
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)


def __dir__() -> list[str]:
    return __all__
