"""Exact heredity for people who breed poultry on a small scale.

What will this pairing give, how many eggs must be set, which birds carry what, how closely are they
related, and whom should one pair next?  Every chance comes out as an exact fraction.

Examples
--------
>>> from pinfeather import cross, load_fowl
>>> fowl = load_fowl()
>>> cock = fowl.genotype("Lav+/lav", sex="male")
>>> hen = fowl.genotype("lav/lav", sex="female")
>>> chicks = cross(cock, hen)
>>> print(chicks.fraction("lav/lav", sex="female"))
1/4
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0.dev0"

# The rooms, from the top floor down.  A room imports only from the floors below its own; DEVELOPERS.md is
# the tour.
#
#   fowl | records | pictures    the edge: facts, files and things to look at; imported by nobody
#   plans                        whom to pair next
#   hatches | pedigree           chicks counted | the flock and its records; neither sees the other
#   crosses                      what one pairing gives
#   heredity                     what there is to inherit, and what shows
#   exact                        sums that come out even; knows no genetics
#   _results, _tables            how results are shown and handed on
#   _checks, errors              the ground
#
# The room `exact` has a face of its own: its function of the same name is `pinfeather.exact.exact`.

# Every public name, by the room it comes from.  A new name is one entry here, and its import below for the
# type checker; tests/house/test_face.py compares the two.
_ROOMS: dict[str, tuple[str, ...]] = {
    "errors": (
        "ArgumentError",
        "ContradictionError",
        "DefinitionError",
        "ImpossibleError",
        "NoPlanError",
        "NotationError",
        "PedigreeError",
        "PinfeatherError",
        "PinfeatherWarning",
        "RecordError",
        "SmallExpectationWarning",
        "TooLargeError",
        "UnknownSymbolError",
    ),
    "exact": ("Distribution",),
    "heredity": (
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
    ),
    "crosses": ("Offspring", "PunnettSquare", "cross", "gametes"),
    "hatches": (
        "chance",
        "chance_of_each",
        "chicks_needed",
        "chicks_needed_for_each",
        "eggs_to_set",
        "estimate",
        "goodness_of_fit",
        "heterogeneity",
        "likely_range",
        "lod",
    ),
    "pedigree": (
        "Hatch",
        "Individual",
        "Pedigree",
        "birds_to_type",
        "contradictions",
        "effective_size",
        "founder_contributions",
        "genotype_probabilities",
        "inbreeding",
        "inbreeding_paths",
        "kinship",
        "kinship_matrix",
    ),
    "plans": (
        "assign_pens",
        "pairing_table",
        "plan_programme",
        "plan_test_mating",
        "rank_test_mates",
        "rotate_clans",
        "simulate",
    ),
    "fowl": ("Source", "fowl_sources", "load_fowl"),
    "records": (
        "from_json",
        "read_document",
        "read_pedigree",
        "read_species",
        "to_json",
        "write_document",
        "write_pedigree",
        "write_species",
    ),
    "pictures": (
        "draw_chances",
        "draw_chicks_needed",
        "draw_eggs_to_set",
        "draw_kinship",
        "draw_likely_range",
        "draw_pedigree",
        "draw_probabilities",
        "draw_programme",
        "draw_square",
    ),
}

if TYPE_CHECKING:
    from pinfeather.crosses import Offspring as Offspring
    from pinfeather.crosses import PunnettSquare as PunnettSquare
    from pinfeather.crosses import cross as cross
    from pinfeather.crosses import gametes as gametes
    from pinfeather.errors import ArgumentError as ArgumentError
    from pinfeather.errors import ContradictionError as ContradictionError
    from pinfeather.errors import DefinitionError as DefinitionError
    from pinfeather.errors import ImpossibleError as ImpossibleError
    from pinfeather.errors import NoPlanError as NoPlanError
    from pinfeather.errors import NotationError as NotationError
    from pinfeather.errors import PedigreeError as PedigreeError
    from pinfeather.errors import PinfeatherError as PinfeatherError
    from pinfeather.errors import PinfeatherWarning as PinfeatherWarning
    from pinfeather.errors import RecordError as RecordError
    from pinfeather.errors import SmallExpectationWarning as SmallExpectationWarning
    from pinfeather.errors import TooLargeError as TooLargeError
    from pinfeather.errors import UnknownSymbolError as UnknownSymbolError
    from pinfeather.exact import Distribution as Distribution
    from pinfeather.fowl import Source as Source
    from pinfeather.fowl import fowl_sources as fowl_sources
    from pinfeather.fowl import load_fowl as load_fowl
    from pinfeather.hatches import chance as chance
    from pinfeather.hatches import chance_of_each as chance_of_each
    from pinfeather.hatches import chicks_needed as chicks_needed
    from pinfeather.hatches import chicks_needed_for_each as chicks_needed_for_each
    from pinfeather.hatches import eggs_to_set as eggs_to_set
    from pinfeather.hatches import estimate as estimate
    from pinfeather.hatches import goodness_of_fit as goodness_of_fit
    from pinfeather.hatches import heterogeneity as heterogeneity
    from pinfeather.hatches import likely_range as likely_range
    from pinfeather.hatches import lod as lod
    from pinfeather.heredity import Allele as Allele
    from pinfeather.heredity import Caution as Caution
    from pinfeather.heredity import Genotype as Genotype
    from pinfeather.heredity import Linkage as Linkage
    from pinfeather.heredity import Locus as Locus
    from pinfeather.heredity import Pattern as Pattern
    from pinfeather.heredity import Phenotype as Phenotype
    from pinfeather.heredity import Species as Species
    from pinfeather.heredity import Trait as Trait
    from pinfeather.heredity import Viability as Viability
    from pinfeather.heredity import haldane as haldane
    from pinfeather.heredity import inverse_haldane as inverse_haldane
    from pinfeather.heredity import inverse_kosambi as inverse_kosambi
    from pinfeather.heredity import kosambi as kosambi
    from pinfeather.pedigree import Hatch as Hatch
    from pinfeather.pedigree import Individual as Individual
    from pinfeather.pedigree import Pedigree as Pedigree
    from pinfeather.pedigree import birds_to_type as birds_to_type
    from pinfeather.pedigree import contradictions as contradictions
    from pinfeather.pedigree import effective_size as effective_size
    from pinfeather.pedigree import founder_contributions as founder_contributions
    from pinfeather.pedigree import genotype_probabilities as genotype_probabilities
    from pinfeather.pedigree import inbreeding as inbreeding
    from pinfeather.pedigree import inbreeding_paths as inbreeding_paths
    from pinfeather.pedigree import kinship as kinship
    from pinfeather.pedigree import kinship_matrix as kinship_matrix
    from pinfeather.pictures import draw_chances as draw_chances
    from pinfeather.pictures import draw_chicks_needed as draw_chicks_needed
    from pinfeather.pictures import draw_eggs_to_set as draw_eggs_to_set
    from pinfeather.pictures import draw_kinship as draw_kinship
    from pinfeather.pictures import draw_likely_range as draw_likely_range
    from pinfeather.pictures import draw_pedigree as draw_pedigree
    from pinfeather.pictures import draw_probabilities as draw_probabilities
    from pinfeather.pictures import draw_programme as draw_programme
    from pinfeather.pictures import draw_square as draw_square
    from pinfeather.plans import assign_pens as assign_pens
    from pinfeather.plans import pairing_table as pairing_table
    from pinfeather.plans import plan_programme as plan_programme
    from pinfeather.plans import plan_test_mating as plan_test_mating
    from pinfeather.plans import rank_test_mates as rank_test_mates
    from pinfeather.plans import rotate_clans as rotate_clans
    from pinfeather.plans import simulate as simulate
    from pinfeather.records import from_json as from_json
    from pinfeather.records import read_document as read_document
    from pinfeather.records import read_pedigree as read_pedigree
    from pinfeather.records import read_species as read_species
    from pinfeather.records import to_json as to_json
    from pinfeather.records import write_document as write_document
    from pinfeather.records import write_pedigree as write_pedigree
    from pinfeather.records import write_species as write_species

_HOMES = {name: room for room, names in _ROOMS.items() for name in names}

__all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        message = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(message)
    value = getattr(importlib.import_module(f"pinfeather.{_HOMES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
