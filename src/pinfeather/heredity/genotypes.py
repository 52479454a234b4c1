"""Genotypes: what one bird has inherited."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown
from pinfeather._tables import Table
from pinfeather.errors import ArgumentError, ImpossibleError
from pinfeather.heredity.matching import Pair
from pinfeather.heredity.notation import Item, write_items
from pinfeather.heredity.sexes import SEXES, Sex, read_sex

if TYPE_CHECKING:
    from pinfeather.exact.distribution import Distribution
    from pinfeather.heredity.species import Species
    from pinfeather.heredity.traits import Phenotype

Haplotype: TypeAlias = "tuple[int, ...] | None"
"""The alleles of some loci on one homologue, or None for a missing homologue."""

BlockPair: TypeAlias = "tuple[Haplotype, Haplotype]"
"""The two homologues of a block: linked loci, or one locus by itself."""

Layout: TypeAlias = tuple[tuple[int, ...], ...]
"""The loci that a genotype tells, block by block, in map order."""


def in_order(pair: BlockPair) -> BlockPair:
    """The homologues in a fixed order, the missing one last: which parent each came from is no part of a genotype."""
    left, right = pair
    if right is None:
        return pair
    if left is None or right < left:
        return right, left
    return pair


def alleles_at(pair: BlockPair, at: int) -> Pair:
    """What stands at one locus of a block, on either homologue."""
    left, right = pair
    return (None if left is None else left[at]), (None if right is None else right[at])


def in_catalogue_order(haplotypes: Iterable[Haplotype]) -> tuple[Any, ...]:
    """A key that sorts homologues by their alleles, most dominant first, and a missing homologue last."""
    return tuple((haplotype is None, haplotype or ()) for haplotype in haplotypes)


@attrs.frozen(eq=False, repr=False)
class Genotype(Shown):
    """What a bird has inherited, at every locus of its species or at some of them.

    Genotypes are made by :meth:`Species.genotype <pinfeather.heredity.species.Species.genotype>` and come out of
    crosses; ``str()`` gives the notation, which reads back to an equal genotype.

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> cock = load_fowl().genotype("Lav+/lav S/s+")
    >>> cock.sex, cock.alleles("lav"), cock.is_heterozygous("S"), str(cock)
    ('male', ('Lav+', 'lav'), True, 'Lav+/lav S/s+')
    """

    species: Species
    layout: Layout
    pairs: tuple[BlockPair | None, ...]
    sex: Sex | None = None

    # -- asking ------------------------------------------------------------------------------------------------------

    @property
    def loci(self) -> tuple[str, ...]:
        """Symbols of the loci that this genotype tells."""
        return tuple(self.species.loci[place].symbol for block in self.layout for place in block)

    def alleles(self, locus: str) -> tuple[str, ...]:
        """The alleles at a locus: two, one (a single copy), or none.

        Parameters
        ----------
        locus : str
            Symbol or name of the locus.

        Returns
        -------
        tuple of str
            Symbols of alleles; which parent each came from is not told.

        Raises
        ------
        UnknownSymbolError
            If there is no such locus, or this genotype does not tell it.
        ImpossibleError
            If the number of copies depends on a sex that is not known.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> hen = load_fowl().genotype("Lav+/lav S/-")
        >>> hen.alleles("lav"), hen.alleles("silver")
        (('Lav+', 'lav'), ('S',))
        """
        place = self.species.place_of(locus)
        symbols = self.species.loci[place].symbols
        return tuple(symbols[allele] for allele in self._at(place) if allele is not None)

    def is_heterozygous(self, locus: str) -> bool:
        """Whether a bird has two different alleles at a locus; a single copy is never heterozygous.

        Parameters
        ----------
        locus : str
            Symbol or name of the locus.

        Returns
        -------
        bool

        Raises
        ------
        UnknownSymbolError, ImpossibleError
            As for :meth:`alleles`.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> hen = load_fowl().genotype("Lav+/lav S/-")
        >>> hen.is_heterozygous("lav"), hen.is_heterozygous("S")
        (True, False)
        """
        first, second = self._at(self.species.place_of(locus))
        return first is not None and second is not None and first != second

    def phenotypes(self, *traits: str) -> Distribution[Phenotype]:
        """What a bird of this genotype shows, with the chance of each look.

        Parameters
        ----------
        *traits : str
            Names of traits (``"sex"`` counts as one); by default those that its loci other than wild type bear on.

        Returns
        -------
        Distribution of Phenotype
            One look with probability 1, unless a penetrance is less than 1.

        Raises
        ------
        UnknownSymbolError
            If there is no such trait, or it needs a locus that this genotype does not tell.
        ImpossibleError
            If the look depends on a sex that is not known.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> str(load_fowl().genotype("R/r+ P/p+").phenotypes("comb").most_likely())
        'walnut'
        """
        from pinfeather.heredity.readings import looks_of

        names = traits or self.species.traits_shown_by(self.mutant_loci())
        if self.sex is not None:
            return looks_of(self.species, self, names)
        by_sex = [looks_of(self.species, self.with_sex(sex), names) for sex in SEXES]
        if by_sex[0] != by_sex[1]:
            message = f"what {self} shows depends on its sex; say which with sex='male' or sex='female'"
            raise ImpossibleError(message, genotype=str(self))
        return by_sex[0]

    def mutant_loci(self) -> tuple[int, ...]:
        """The positions of the loci at which not every copy is the wild type."""
        return tuple(
            place
            for block, pair in zip(self.layout, self.pairs, strict=True)
            if pair is not None
            for at, place in enumerate(block)
            if any(h is not None and not self._is_wild(place, h[at]) for h in pair)
        )

    # -- making others -------------------------------------------------------------------------------------------------

    def with_sex(self, sex: str) -> Genotype:
        """The same genotype in a bird of a given sex.

        Parameters
        ----------
        sex : {"male", "female"}

        Returns
        -------
        Genotype

        Raises
        ------
        ImpossibleError
            If the bird is known to be of the other sex.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> load_fowl().genotype("R/r+").with_sex("female")
        Genotype('R/r+', sex='female')
        """
        wanted = read_sex(sex)
        if self.sex == wanted:
            return self
        if self.sex is not None:
            message = f"{self} is {self.sex}, not {wanted}"
            raise ImpossibleError(message, genotype=str(self), sex=self.sex)
        pairs = tuple(
            self.species.wild_pair(block, wanted) if pair is None else pair
            for block, pair in zip(self.layout, self.pairs, strict=True)
        )
        return Genotype(self.species, self.layout, pairs, wanted)

    def restricted_to(self, *loci: str) -> Genotype:
        """What this genotype says of some loci only; of the others it then says nothing.

        Parameters
        ----------
        *loci : str
            Symbols or names of the loci to keep.

        Returns
        -------
        Genotype

        Raises
        ------
        UnknownSymbolError
            If there is no such locus, or this genotype does not tell it.

        Examples
        --------
        >>> from pinfeather import load_fowl
        >>> load_fowl().genotype("Lav+/lav S/-").restricted_to("lav")
        Genotype('Lav+/lav', sex='female')
        """
        layout = self.species.layout_of([self.species.place_of(locus) for locus in loci])
        return Genotype(self.species, layout, tuple(self._block_pair(block) for block in layout), self.sex)

    # -- showing and comparing -------------------------------------------------------------------------------------

    def __str__(self) -> str:
        items = [item for block, pair, shown in self._written() for item in block_items(block, pair, shown)]
        return write_items(items, self.species.loci)

    def _written(self) -> Iterator[tuple[tuple[int, ...], BlockPair, list[int]]]:
        """The blocks that the notation writes, and which of their loci: of the whole bird, those not wild type."""
        everything = self.layout == self.species.layout
        mutant = set(self.mutant_loci()) if everything else set()
        for block, pair in zip(self.layout, self.pairs, strict=True):
            if pair is not None and pair != (None, None):
                yield block, pair, [at for at, place in enumerate(block) if not everything or place in mutant]

    def _records(self) -> list[Record]:
        loci = self.species.loci
        return [
            {
                "locus": loci[block[at]].symbol,
                "name": loci[block[at]].name,
                "chromosome": loci[block[at]].chromosome,
                "alleles": write_items(block_items(block, pair, [at]), loci),
            }
            for block, pair, shown in self._written()
            for at in shown
        ]

    def _facts(self) -> Record:
        return {"genotype": str(self), "sex": self.sex, "loci": self._records()}

    def _as_columns(self) -> Record:
        return {"genotype": str(self), "sex": self.sex}

    def _table(self) -> Table:
        rows = [tuple(record.values()) for record in self._records()]
        below = () if rows else "Wild type throughout."
        above = f"{self}, {self.sex}" if self.sex else str(self)
        return Table(("locus", "name", "chromosome", "alleles"), rows, above, below, words=(0, 1, 2, 3))

    def __repr__(self) -> str:
        sex = "" if self.sex is None else f", sex={self.sex!r}"
        return f"Genotype({str(self)!r}{sex})"

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Genotype):
            return NotImplemented
        return (
            self.pairs == other.pairs
            and self.sex == other.sex
            and self.layout == other.layout
            and (self.species is other.species or self.species == other.species)
        )

    def __hash__(self) -> int:
        return hash((self.pairs, self.sex))

    # -- inside --------------------------------------------------------------------------------------------------------

    def tells(self, place: int) -> bool:
        """Whether this genotype says what stands at a locus."""
        return self.layout is self.species.layout or any(place in block for block in self.layout)

    def _at(self, place: int) -> Pair:
        """The alleles at a locus, one of each homologue."""
        for block, pair in zip(self.layout, self.pairs, strict=True):
            if place in block:
                if pair is None:
                    symbol = self.species.loci[place].symbol
                    message = f"how many copies of {symbol} the bird has depends on its sex, which is not known"
                    raise ImpossibleError(message, locus=symbol)
                return alleles_at(pair, block.index(place))
        _checks.unknown("locus", self.species.loci[place].symbol, self.loci, "what this genotype tells")

    def _block_pair(self, block: Sequence[int]) -> BlockPair | None:
        """The homologues at some loci of one block, in phase."""
        for told, pair in zip(self.layout, self.pairs, strict=True):
            if block[0] in told:
                if pair is None:
                    return None
                missing = [place for place in block if place not in told]
                if missing:
                    break
                positions = [told.index(place) for place in block]
                left, right = (None if h is None else tuple(h[at] for at in positions) for h in pair)
                return in_order((left, right))
        untold = next(place for place in block if not any(place in told for told in self.layout))
        _checks.unknown("locus", self.species.loci[untold].symbol, self.loci, "what this genotype tells")

    def _is_wild(self, place: int, allele: int) -> bool:
        return self.species.loci[place].alleles[allele].is_wild


def block_items(block: Sequence[int], pair: BlockPair, shown: Sequence[int]) -> list[Item]:
    """One item for the loci whose phase matters, and one for each other locus."""
    left, right = pair
    if left is None or right is None:
        present = left if left is not None else right
        assert present is not None  # both missing is left out by the caller
        return [Item((block[at],), (present[at],), (None,)) for at in shown]
    mixed = [at for at in shown if left[at] != right[at]]
    if len(mixed) < 2:
        return [_single(block[at], left[at], right[at]) for at in shown]
    phased = Item(tuple(block[at] for at in mixed), tuple(left[at] for at in mixed), tuple(right[at] for at in mixed))
    return [phased] + [_single(block[at], left[at], right[at]) for at in shown if at not in mixed]


def _single(place: int, left: int, right: int) -> Item:
    low, high = sorted((left, right))
    return Item((place,), (low,), (high,))


def maker(species: Species, layout: Layout, sex: Sex | None) -> Callable[[tuple[BlockPair | None, ...]], Genotype]:
    """A quick way to make very many genotypes that differ in their homologues only.

    It fills the slots one by one and so skips the frozen class's ``__init__``, which takes most of the time there.
    """
    new = Genotype.__new__
    set_species, set_layout = Genotype.species.__set__, Genotype.layout.__set__  # type: ignore[attr-defined]
    set_pairs, set_sex = Genotype.pairs.__set__, Genotype.sex.__set__  # type: ignore[attr-defined, union-attr]

    def make(pairs: tuple[BlockPair | None, ...]) -> Genotype:
        bird = new(Genotype)
        set_species(bird, species)
        set_layout(bird, layout)
        set_pairs(bird, pairs)
        set_sex(bird, sex)
        return bird

    return make


def check_same_species(first: Species, second: Species) -> None:
    """Refuse birds of two species."""
    if first is not second and first != second:
        message = f"the birds are of different species: {first.name} and {second.name}"
        raise ArgumentError(message, argument="species", value=second.name)
