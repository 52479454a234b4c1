"""cross: what a pairing gives."""

from __future__ import annotations

from typing import Any

from pinfeather.crosses.breeding import Couple
from pinfeather.crosses.offspring import Offspring
from pinfeather.crosses.parents import read_parent
from pinfeather.heredity.genotypes import check_same_species


def cross(sire: Any, dam: Any) -> Offspring:
    """Cross two birds and return their chicks.

    Parameters
    ----------
    sire, dam : Genotype, Distribution of Genotype, or Offspring
        A bird of known genotype; one that is one of several, with chances; or a class of chicks kept from an earlier
        hatch (its birds of the right sex that live to breed).  The two are drawn independently: birds that share
        uncertain ancestors belong in a pedigree.

    Returns
    -------
    Offspring
        Fractions are of chicks hatched; they are expectations and no promise for a small hatch.

    Raises
    ------
    ImpossibleError
        If the sire is female or the dam male, or no bird of such a genotype lives.
    ArgumentError
        If the parents are of different species, or no birds at all.

    Notes
    -----
    Each parent hands on one allele of each locus, either with probability 1/2 (Mendel 1866); unlinked loci are
    inherited independently; the sex of a chick is 1/2 either way.

    Examples
    --------
    >>> from pinfeather import cross, load_fowl
    >>> fowl = load_fowl()
    >>> chicks = cross(fowl.genotype("Lav+/lav"), fowl.genotype("Lav+/lav"))
    >>> chicks.fraction("lav/lav")
    1/4
    """
    cock = read_parent(sire, "sire", "male")
    hen = read_parent(dam, "dam", "female")
    check_same_species(cock.species, hen.species)
    return Offspring(Couple(cock, hen))
