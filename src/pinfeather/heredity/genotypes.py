"""Genotypes: what one bird has inherited."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import prod
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather.errors import ArgumentError, ImpossibleError, NotationError, TooLargeError
from pinfeather.heredity.matching import Pair
from pinfeather.heredity.notation import Item, write_items
from pinfeather.heredity.sexes import SEXES, Sex, copies, read_sex

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


_PHASES_SHOWN = 2
_MOST_PHASES = 4096


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
class Genotype:
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

        Raises
        ------
        UnknownSymbolError
            If there is no such locus, or this genotype does not tell it.
        ImpossibleError
            If the number of copies depends on a sex that is not known.
        """
        place = self.species.place_of(locus)
        symbols = self.species.loci[place].symbols
        return tuple(symbols[allele] for allele in self._at(place) if allele is not None)

    def is_heterozygous(self, locus: str) -> bool:
        """Whether a bird has two different alleles at a locus; a single copy is never heterozygous."""
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

        Raises
        ------
        ImpossibleError
            If the bird is known to be of the other sex.
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
        """What this genotype says of some loci only; of the others it then says nothing."""
        layout = self.species.layout_of([self.species.place_of(locus) for locus in loci])
        return Genotype(self.species, layout, tuple(self._block_pair(block) for block in layout), self.sex)

    # -- showing and comparing -------------------------------------------------------------------------------------

    def __str__(self) -> str:
        items: list[Item] = []
        everything = self.layout == self.species.layout
        mutant = set(self.mutant_loci()) if everything else set()
        for block, pair in zip(self.layout, self.pairs, strict=True):
            if pair is not None and pair != (None, None):
                shown = [at for at, place in enumerate(block) if not everything or place in mutant]
                items.extend(block_items(block, pair, shown))
        return write_items(items, self.species.loci)

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


def from_items(
    species: Species, items: Sequence[Item], text: str, sex: Sex | None, *, every_phase: bool
) -> tuple[Genotype, ...]:
    """The genotypes that a text may mean: one, or one for each phase that it leaves open (a few, or every one)."""
    named: dict[int, tuple[Item, int]] = {place: (item, at) for item in items for at, place in enumerate(item.loci)}
    known_sex = _sex_of(species, items, text, sex)
    for item in items:
        _check_copies(species, item, known_sex, text)
    most = _MOST_PHASES if every_phase else _PHASES_SHOWN
    per_block = [_block_phases(species, block, named, known_sex, most) for block in species.layout]
    size = prod(len(phases) for phases in per_block)
    if size > _MOST_PHASES:
        message = f"{text!r} leaves more than {_MOST_PHASES:,} phases open; write the phase of some of its linked loci"
        raise TooLargeError(message, size=size, limit=_MOST_PHASES)
    made: list[tuple[BlockPair | None, ...]] = [()]
    for phases in per_block:
        made = [(*pairs, phase) for pairs in made for phase in phases]
    return tuple(Genotype(species, species.layout, pairs, known_sex) for pairs in made)


def _sex_of(species: Species, items: Sequence[Item], text: str, sex: Sex | None) -> Sex | None:
    """The sex of the bird: as given, or as the number of copies at a sex-linked locus implies."""
    implied: dict[Sex, str] = {}
    single = ""
    for item in items:
        for place, left, right in zip(item.loci, item.left, item.right, strict=True):
            locus = species.loci[place]
            written = (left is not None) + (right is not None)
            by_sex = {s: copies(locus.chromosome, s, species.sex_system) for s in SEXES}
            if by_sex["male"] != by_sex["female"]:
                for one in SEXES:
                    if by_sex[one] == written:
                        implied[one] = locus.symbol
                        single = locus.symbols[left if left is not None else right or 0]
    if len(implied) > 1:
        message = (
            f"{text!r}: the copies written at {implied['male']} are a male's, those at {implied['female']} a female's"
        )
        raise NotationError(message, text=text, column=None)
    found = next(iter(implied), None)
    if sex is not None and found is not None and sex != found:
        number = "one copy" if found == ("female" if species.sex_system == "ZW" else "male") else "two copies"
        advice = (
            f"; a hen has one Z, so write it as {single}/-" if sex == "female" and species.sex_system == "ZW" else ""
        )
        makes = "makes" if number == "one copy" else "make"
        message = (
            f"{text!r} with sex={sex!r}: the {number} written at {implied[found]} {makes} the bird {found}{advice}"
        )
        raise NotationError(message, text=text, column=None)
    return sex if sex is not None else found


def _check_copies(species: Species, item: Item, sex: Sex | None, text: str) -> None:
    for place, left, right in zip(item.loci, item.left, item.right, strict=True):
        locus = species.loci[place]
        written = (left is not None) + (right is not None)
        allowed = {copies(locus.chromosome, s, species.sex_system) for s in (SEXES if sex is None else (sex,))}
        if written not in allowed:
            wanted = " or ".join(str(n) for n in sorted(allowed))
            bird = f"a {sex}" if sex else "a bird"
            message = (
                f"{text!r}: {bird} has {wanted} cop{'y' if wanted == '1' else 'ies'} at locus {locus.symbol} "
                f"({locus.chromosome}), but {written} stand{'s' if written == 1 else ''} there"
            )
            raise NotationError(message, text=text, column=None)


def _block_phases(
    species: Species, block: tuple[int, ...], named: Mapping[int, tuple[Item, int]], sex: Sex | None, most: int
) -> list[BlockPair | None]:
    """The homologues that a text may mean for one block; several, though not many more than ``most``, if it is open."""
    if not any(place in named for place in block):
        return [species.wild_pair(block, sex)]
    missing = _single_copy(block, named)
    left: dict[int, Any] = {}
    right: dict[int, Any] = {}
    free: list[list[int]] = []
    for place in block:
        if place not in named:
            wild = species.wild_allele(place)
            left[place], right[place] = wild, wild
            continue
        item, at = named[place]
        left[place], right[place] = item.left[at], item.right[at]
        if missing and left[place] is None:
            left[place], right[place] = right[place], left[place]
    for item in {id(i): i for i, _ in (named[p] for p in block if p in named)}.values():
        if not missing and any(a != b for a, b in zip(item.left, item.right, strict=True)):
            free.append(list(item.loci))
    choices: list[BlockPair | None] = []
    # The first item with a heterozygous locus is held still; turning all of them gives the same bird.
    for turns in range(min(1 << max(len(free) - 1, 0), most + 1)):
        turned = {p for n, group in enumerate(free[1:]) if turns >> n & 1 for p in group}
        one = tuple(right[p] if p in turned else left[p] for p in block)
        other = None if missing else tuple(left[p] if p in turned else right[p] for p in block)
        pair = in_order((one, other))
        if pair not in choices:
            choices.append(pair)
    return choices


def _single_copy(block: tuple[int, ...], named: Mapping[int, tuple[Item, int]]) -> bool:
    item, at = next(named[place] for place in block if place in named)
    return item.left[at] is None or item.right[at] is None


def one_phase(choices: Sequence[Genotype], text: str) -> Genotype:
    """The only genotype meant, or an error that shows each way of writing the phase."""
    if len(choices) == 1:
        return choices[0]
    ways = " or ".join(f"'{choice}'" for choice in choices[:2])
    message = (
        f"{text!r}: the loci are linked, so it matters which alleles lie together; write {ways}"
        f"{', ...' if len(choices) > 2 else ''}, or take phase='unknown'"
    )
    raise NotationError(message, text=text, column=None, ways=tuple(str(choice) for choice in choices))


def check_same_species(first: Species, second: Species) -> None:
    """Refuse birds of two species."""
    if first is not second and first != second:
        message = f"the birds are of different species: {first.name} and {second.name}"
        raise ArgumentError(message, argument="species", value=second.name)
