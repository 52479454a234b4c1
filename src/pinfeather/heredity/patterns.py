"""Patterns: genotypes with holes."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import attrs

from pinfeather.errors import ImpossibleError
from pinfeather.heredity.genotypes import Genotype, block_items, check_same_species
from pinfeather.heredity.matching import Machine, Rule
from pinfeather.heredity.notation import Item, or_missing, write_items
from pinfeather.heredity.sexes import SEXES, Sex

if TYPE_CHECKING:
    from pinfeather.heredity.species import Species


@attrs.frozen(slots=False, repr=False)
class Pattern:
    """A genotype with holes: what a bird must have at some loci.

    Patterns are made by :meth:`Species.pattern <pinfeather.heredity.species.Species.pattern>`.  ``_`` is any allele, or
    the missing homologue; a locus that is not mentioned is free.

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> fowl = load_fowl()
    >>> carries = fowl.pattern("lav/_")
    >>> carries.matches(fowl.genotype("Lav+/lav")), carries.matches(fowl.genotype("R/r+"))
    (True, False)
    """

    species: Species
    items: tuple[Item, ...]
    sex: Sex | None = None

    @cached_property
    def machine(self) -> Machine:
        """The machine that reads birds for this pattern."""
        return Machine.of((Rule(self.items, self.sex),), self.species.loci)

    @cached_property
    def parts(self) -> tuple[Pattern, ...]:
        """Patterns of one item each that must all fit: items say nothing of each other."""
        return tuple(Pattern(self.species, (item,), self.sex) for item in self.items) or (self,)

    @property
    def loci(self) -> tuple[str, ...]:
        """Symbols of the loci that the pattern mentions."""
        return tuple(self.species.loci[place].symbol for item in self.items for place in item.loci)

    def matches(self, genotype: Genotype) -> bool:
        """Whether a bird fits the pattern.

        Parameters
        ----------
        genotype : Genotype
            A bird of the same species that tells the loci the pattern mentions.

        Returns
        -------
        bool

        Raises
        ------
        ArgumentError
            If the bird is of another species.
        UnknownSymbolError
            If its genotype does not tell a locus of the pattern.
        ImpossibleError
            If the answer depends on a sex that is not known.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> fowl = load_fowl()
        >>> rose_or_walnut = fowl.pattern("R/_")
        >>> [rose_or_walnut.matches(fowl.genotype(text)) for text in ("R/R", "R/r+ P/p+", "P/P")]
        [True, True, False]
        """
        check_same_species(self.species, genotype.species)
        sexes = SEXES if genotype.sex is None else (genotype.sex,)
        fits = {self._fits(genotype.with_sex(sex), sex) for sex in sexes}
        if len(fits) > 1:
            message = f"whether {genotype} fits {self} depends on its sex, which is not known"
            raise ImpossibleError(message, genotype=str(genotype))
        return fits.pop()

    def _fits(self, genotype: Genotype, sex: Sex) -> bool:
        return self.machine.read(sex, {place: genotype._at(place) for place in self.machine.loci}) is not None

    def __str__(self) -> str:
        return write_items(self.items, self.species.loci) if self.items else ""

    def __repr__(self) -> str:
        return f"Pattern({str(self)!r})"


def exactly(genotype: Genotype) -> Pattern:
    """The pattern that fits one genotype only; where its sex is open, every copy of a sex-linked locus is wild type."""
    species = genotype.species
    items: list[Item] = []
    for block, pair in zip(genotype.layout, genotype.pairs, strict=True):
        if pair is None:
            wild = [(place, species.wild_allele(place)) for place in block]
            items.extend(Item((place,), (or_missing(allele),), (or_missing(allele),)) for place, allele in wild)
        elif pair != (None, None):
            items.extend(block_items(block, pair, range(len(block))))
    return Pattern(species, tuple(items), genotype.sex)
