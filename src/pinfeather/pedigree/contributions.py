"""What the founders left in the flock: their shares, how many they amount to, and what of them is lost."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING

from pinfeather import _checks
from pinfeather.errors import TooLargeError
from pinfeather.exact.by_name import ByName
from pinfeather.exact.numbers import exact
from pinfeather.pedigree.lineage import UNKNOWN, Lineage
from pinfeather.pedigree.relatedness import kinship_matrix
from pinfeather.pedigree.system import single_copies

if TYPE_CHECKING:
    from sympy import Rational

    from pinfeather.pedigree.pedigree import Pedigree

__all__ = ["effective_founders", "founder_allele_loss", "founder_contributions", "founder_genomes"]

_MOST_STATES = 2**22


def founder_contributions(pedigree: Pedigree, ids: Iterable[str], chromosome: str = "autosome") -> ByName:
    """The share of each founder in the genes of some birds, by descent.

    Parameters
    ----------
    pedigree : Pedigree
        The flock.
    ids : iterable of str
        The birds whose genes are shared out, such as this season's breeders.
    chromosome : str
        ``"autosome"``, or ``"Z"`` (``"X"``), where every copy counts once: two for a cock, one for a hen.

    Returns
    -------
    ByName
        Founder -> ``sympy.Rational``; the shares sum to 1, and founders without a share are left out.  The
        parent that a bird lacks counts as a founder of its own, named ``"unknown dam of Wren"``.  Possible
        parents are counted by their chances.

    Raises
    ------
    UnknownSymbolError
        If there is no such bird.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, founder_contributions, load_fowl
    >>> wren = Individual("Wren", "hen", "Rook", "Dove")
    >>> flock = Pedigree(load_fowl(), [wren, Individual("Tit", "hen", "Rook", "Wren")])
    >>> founder_contributions(flock, ["Tit"])
    {'Rook': 3/4, 'Dove': 1/4}

    References
    ----------
    R. C. Lacy 1989, Zoo Biology 8:111-123 (founder contributions and founder equivalents); from memory.
    """
    names = chosen(pedigree, ids)
    lineage = pedigree.lineage
    single = single_copies(pedigree, chromosome, lineage.behind(lineage.position[name] for name in names))
    copies = [1 if single[lineage.position[name]] else 2 for name in names]
    shares = [Fraction(0)] * len(lineage.level)
    for name, number in zip(names, copies, strict=True):
        shares[lineage.position[name]] += Fraction(number, sum(copies))
    unknown = _handed_back(lineage, single, chromosome == "X", shares)
    found = {name: shares[lineage.position[name]] for name in pedigree.founders}
    for (role, bird), share in sorted(unknown.items(), key=lambda item: item[0][1]):
        name = f"unknown {role} of {lineage.ids[bird]}"
        while name in pedigree:
            name += "'"
        found[name] = share
    return ByName({name: exact(share) for name, share in found.items() if share}, "founder", "share")


def _handed_back(
    lineage: Lineage, single: list[bool], from_dam: bool, shares: list[Fraction]
) -> dict[tuple[str, int], Fraction]:
    """Hand every bird's share on to its parents, youngest first; what unknown parents get is returned."""
    unknown: dict[tuple[str, int], Fraction] = {}
    for bird in range(len(lineage.ids) - 1, -1, -1):
        sire, dam, share = lineage.sires[bird], lineage.dams[bird], shares[bird]
        if not share or (sire == UNKNOWN and dam == UNKNOWN):
            continue
        portions = {"sire": share / 2, "dam": share / 2}
        if single[bird]:
            portions = {"dam" if from_dam else "sire": share}
        shares[bird] = Fraction(0)
        for role, portion in portions.items():
            parents = lineage.candidates(sire if role == "sire" else dam)
            for parent, chance in parents:
                shares[parent] += portion * chance
            if not parents:
                unknown[role, bird] = portion
    return unknown


def chosen(pedigree: Pedigree, ids: Iterable[str]) -> tuple[str, ...]:
    """The birds asked for: at least one, each once, all of them known."""
    names = _checks.unique(_checks.texts(ids, "ids"), "ids")
    if not names:
        _checks.refuse("ids", names, "must name at least one bird")
    return tuple(pedigree[name].id for name in names)


def effective_founders(pedigree: Pedigree, ids: Iterable[str], chromosome: str = "autosome") -> Rational:
    """How many founders of equal share would give the diversity that the unequal shares give: 1 / Σ p².

    Parameters
    ----------
    pedigree : Pedigree
        The flock.
    ids : iterable of str
        The birds looked at.
    chromosome : str
        ``"autosome"``, ``"Z"`` or ``"X"``.

    Returns
    -------
    sympy.Rational

    Raises
    ------
    UnknownSymbolError
        If there is no such bird.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, load_fowl
    >>> from pinfeather.pedigree import effective_founders
    >>> wren = Individual("Wren", "hen", "Rook", "Dove")
    >>> flock = Pedigree(load_fowl(), [wren, Individual("Tit", "hen", "Rook", "Wren")])
    >>> effective_founders(flock, ["Tit"])
    8/5

    References
    ----------
    R. C. Lacy 1989, Zoo Biology 8:111-123 ("founder equivalents"); D. Boichard, L. Maignel & É. Verrier 1997,
    Genetics Selection Evolution 29:5-23 ("effective number of founders"); both from memory.
    """
    shares = founder_contributions(pedigree, ids, chromosome).values()
    return exact(1) / sum(share**2 for share in shares)


def founder_genomes(pedigree: Pedigree, ids: Iterable[str], chromosome: str = "autosome") -> Rational:
    """How many founders that lost nothing would hold the diversity that is left: 1 / (2 × mean kinship).

    The mean is over all pairs of the birds, each with itself included.  It is never above the effective
    number of founders where every parent is known: what it falls short by was lost in bottlenecks and by
    chance.

    Parameters
    ----------
    pedigree : Pedigree
        The flock.
    ids : iterable of str
        The birds looked at, such as those now alive.
    chromosome : str
        ``"autosome"``, ``"Z"`` or ``"X"``.

    Returns
    -------
    sympy.Rational

    Raises
    ------
    UnknownSymbolError
        If there is no such bird.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, load_fowl
    >>> from pinfeather.pedigree import founder_genomes
    >>> flock = Pedigree(load_fowl(), [Individual("Wren", "hen", "Rook", "Dove")])
    >>> founder_genomes(flock, ["Wren"]), founder_genomes(flock, ["Rook", "Dove"])
    (1, 2)

    References
    ----------
    R. C. Lacy 1995, Zoo Biology 14:565-577; A. Caballero & M. A. Toro 2000, Genetical Research 75:331-343; both
    from memory.
    """
    return 1 / (2 * kinship_matrix(pedigree, chosen(pedigree, ids), chromosome).mean())


def founder_allele_loss(
    pedigree: Pedigree, ids: Iterable[str], chromosome: str = "autosome", *, largest: int = _MOST_STATES
) -> ByName:
    """For each founder, the chance that a given one of its two genes at a locus is in none of the birds.

    By symmetry it is also the expected share of the founder's genes that is lost.  Chicks counted in
    hatches do not enter.  The chance is exact: all ways in which the gene can have come down are summed.

    Parameters
    ----------
    pedigree : Pedigree
        The flock.
    ids : iterable of str
        The birds that could hold the gene, such as those now alive.
    chromosome : str
        ``"autosome"``, ``"Z"`` or ``"X"``.
    largest : int
        How many states of the flock may have to be kept at a time.

    Returns
    -------
    ByName
        Founder -> ``sympy.Rational``; 1 for a founder without descendants among the birds.

    Raises
    ------
    TooLargeError
        If a founder's descendants breed side by side in such numbers that the sum may need more than
        ``largest`` states; nothing has been done yet.
    UnknownSymbolError
        If there is no such bird.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, load_fowl
    >>> from pinfeather.pedigree import founder_allele_loss
    >>> wren = Individual("Wren", "hen", "Rook", "Dove")
    >>> flock = Pedigree(load_fowl(), [wren, Individual("Jay", "cock", "Rook", "Dove")])
    >>> founder_allele_loss(flock, ["Wren", "Jay"])
    {'Rook': 1/4, 'Dove': 1/4}

    References
    ----------
    The quantity is the complement of "retention" in R. C. Lacy 1989, Zoo Biology 8:111-123 (from memory), who found
    it by simulation after J. W. MacCluer et al. 1986, Zoo Biology 5:147-160.
    """
    from pinfeather.pedigree.gene_drop import Descent

    names = chosen(pedigree, ids)
    lineage = pedigree.lineage
    nodes = [lineage.position[name] for name in names]
    scope = [node for node in lineage.behind(nodes) if node < len(lineage.ids)]
    single = single_copies(pedigree, chromosome, scope)
    descents: Mapping[str, Descent] = {
        name: Descent(lineage, single, chromosome == "X", scope, frozenset(nodes), lineage.position[name])
        for name in pedigree.founders
    }
    for name, descent in descents.items():
        if descent.most_states > largest:
            message = (
                f"following the genes of {name} may need {descent.most_states:,} states at a time, and "
                f"{largest:,} are allowed; ask for fewer birds, or raise largest"
            )
            raise TooLargeError(message, size=descent.most_states, limit=largest, founder=name)
    return ByName({name: exact(descent.loss()) for name, descent in descents.items()}, "founder", "lost")
