"""How large a flock really is for heredity, how deep its pedigrees go, and what small numbers lose."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Record, ShownRow
from pinfeather.exact.by_name import ByName
from pinfeather.exact.numbers import between, exact, probability
from pinfeather.pedigree.system import CHROMOSOMES

if TYPE_CHECKING:
    from sympy import Expr, Rational

    from pinfeather.pedigree.pedigree import Pedigree

__all__ = ["Generations", "allele_missed", "effective_size", "generations", "heterozygosity_kept"]


def effective_size(males: Any, females: Any, chromosome: str = "autosome") -> Expr:
    """The size of the ideal flock that would lose diversity as fast as this one: 4 m f / (m + f).

    Parameters
    ----------
    males, females : int or sympy expression
        How many of each sex breed in a generation.
    chromosome : str
        ``"autosome"``; ``"Z"``, of which a hen has one copy: 9 m f / (2 m + 4 f); ``"X"``, of which a male
        has one copy: 9 m f / (4 m + 2 f).

    Returns
    -------
    sympy.Rational or sympy.Expr
        The effective number of birds, 0 if one sex is missing.

    Raises
    ------
    ArgumentError
        If a number is negative or not whole.

    Examples
    --------
    >>> from pinfeather import effective_size
    >>> effective_size(1, 10), effective_size(50, 100)
    (40/11, 400/3)
    >>> effective_size(1, 10, chromosome="Z")
    15/7

    Notes
    -----
    It takes mating at random within the flock and families whose sizes differ by chance alone.  One cock limits more
    than any number of hens can make good: with 1 cock the size is below 4.

    References
    ----------
    S. Wright 1931, Genetics 16:97-159 (unequal numbers of the sexes); A. Caballero 1994, Heredity 73:657-679
    (review, sex-linked genes); both from memory.
    """
    _checks.choice(chromosome, "chromosome", CHROMOSOMES)
    m, f = (_number(value, name) for value, name in ((males, "males"), (females, "females")))
    if m == 0 or f == 0:
        return exact(0)
    if chromosome == "autosome":
        return 4 * m * f / (m + f)
    paired, lone = (m, f) if chromosome == "Z" else (f, m)
    return 9 * m * f / (2 * paired + 4 * lone)


def _number(value: Any, name: str) -> Expr:
    return (
        exact(value, name) if getattr(value, "free_symbols", None) else exact(_checks.whole_number(value, name), name)
    )


def heterozygosity_kept(size: Any, generations: int) -> Expr:
    """The expected share of heterozygosity that is left after some generations: (1 - 1/(2 N))^t.

    Parameters
    ----------
    size : number or sympy expression
        The effective size, as :func:`effective_size` gives it; at least 1/2.
    generations : int
        How many generations pass.

    Returns
    -------
    sympy.Rational or sympy.Expr
        One minus it is the inbreeding to be expected.

    Raises
    ------
    ArgumentError
        If the size is below 1/2 or the number of generations is not a whole number.

    Examples
    --------
    >>> from pinfeather.pedigree import effective_size, heterozygosity_kept
    >>> heterozygosity_kept(effective_size(1, 10), 5)
    1564031349/3276800000

    References
    ----------
    S. Wright 1931, Genetics 16:97-159; J. F. Crow & M. Kimura 1970, An Introduction to Population Genetics Theory;
    both from memory.
    """
    number = between(size, "size", "1/2", 10**12)
    return (1 - 1 / (2 * number)) ** _checks.whole_number(generations, "generations")


def allele_missed(frequency: Any, males: int, females: int, chromosome: str = "autosome") -> Expr:
    """The chance that founders drawn from a population do not have an allele at all: (1 - p)^copies.

    Parameters
    ----------
    frequency : number or sympy expression
        The allele's frequency in the population that they come from.
    males, females : int
        How many founders of each sex.
    chromosome : str
        ``"autosome"`` (two copies a bird), ``"Z"`` (a hen has one) or ``"X"`` (a male has one).

    Returns
    -------
    sympy.Rational or sympy.Expr

    Raises
    ------
    ArgumentError
        If the frequency is not between 0 and 1.

    Examples
    --------
    >>> from pinfeather.pedigree import allele_missed
    >>> allele_missed("10%", males=1, females=4)
    3486784401/10000000000

    References
    ----------
    R. Frankham, J. D. Ballou & D. A. Briscoe, Introduction to Conservation Genetics (from memory).
    """
    _checks.choice(chromosome, "chromosome", CHROMOSOMES)
    cocks, hens = _checks.whole_number(males, "males"), _checks.whole_number(females, "females")
    copies = (1 if chromosome == "X" else 2) * cocks + (1 if chromosome == "Z" else 2) * hens
    return (1 - probability(frequency, "frequency")) ** copies


@attrs.frozen
class Generations(ShownRow):
    """How deep one bird's pedigree goes.

    Parameters
    ----------
    longest : int
        The longest line back to a founder.
    complete : int
        How many generations of ancestors are known without a gap.
    equivalent : sympy.Rational
        Equivalent complete generations: every known ancestor counted (1/2)^n, n being the generations back
        to it.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, load_fowl
    >>> from pinfeather.pedigree import generations
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "male"), Individual("Dove", "female"), Individual("Wren", "female", "Rook", "Dove"),
    ...     Individual("Pip", "male", dam="Wren"),
    ... ])
    >>> pip = generations(flock)["Pip"]
    >>> pip.longest, pip.complete, pip.equivalent
    (2, 0, 1)
    """

    longest: int
    complete: int
    equivalent: Rational

    def _record(self) -> Record:
        return attrs.asdict(self, recurse=False)


def generations(pedigree: Pedigree) -> ByName:
    """How deep and how complete the pedigree of each bird is; inbreeding cannot be seen beyond it.

    Parameters
    ----------
    pedigree : Pedigree
        The flock.  Of possible parents, the deepest counts for ``longest``, the shallowest for
        ``complete``, and the mean by their chances for ``equivalent``.

    Returns
    -------
    ByName
        Id -> :class:`Generations`, in the order of ``pedigree.individuals``.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, load_fowl
    >>> from pinfeather.pedigree import generations
    >>> wren = Individual("Wren", "hen", "Rook", "Dove")
    >>> flock = Pedigree(load_fowl(), [wren, Individual("Tit", "hen", "Rook", "Wren")])
    >>> generations(flock)["Tit"]
    Generations(longest=2, complete=1, equivalent=3/2)

    References
    ----------
    L. Maignel, D. Boichard & É. Verrier 1996, Interbull Bulletin 14:49-54 (equivalent generations; from memory).
    """
    lineage = pedigree.lineage
    complete: list[int] = []
    equivalent: list[Fraction] = []
    for bird in range(len(lineage.ids)):
        sides = [lineage.candidates(lineage.sires[bird]), lineage.candidates(lineage.dams[bird])]
        complete.append(1 + min(complete[p] for side in sides for p, _ in side) if all(sides) else 0)
        parts = [chance * (1 + equivalent[parent]) / 2 for side in sides for parent, chance in side]
        equivalent.append(sum(parts, Fraction(0)))
    found = {
        name: Generations(lineage.depth[bird], complete[bird], exact(equivalent[bird]))
        for bird, name in enumerate(lineage.ids)
    }
    return ByName({name: found[name] for name in pedigree}, "bird", "generations")
