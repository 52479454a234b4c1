"""Gametes: what one bird hands on."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from math import lcm, prod
from typing import TYPE_CHECKING, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather._results import Record, ShownRow
from pinfeather.errors import ArgumentError, DefinitionError, TooLargeError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.symbolic import Weight, WeightRing
from pinfeather.heredity.genotypes import BlockPair, Genotype, Haplotype, Layout, in_catalogue_order
from pinfeather.heredity.sexes import SEXES, Sex, hands_on, read_sex

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species

LARGEST_ANSWER = 1_000_000
"""The most outcomes that an answer may have."""

GameteTable: TypeAlias = "dict[Haplotype, Weight]"


@attrs.frozen(repr=False)
class Gamete(ShownRow):
    """The alleles that a bird hands to one chick, at some loci.

    Parameters
    ----------
    species : Species
    layout : tuple
        The loci told, block by block.
    haplotypes : tuple
        The alleles of each block; None where the gamete brings no copy, as a hen's W-bearing egg brings no Z.

    Examples
    --------
    >>> from pinfeather import gametes, load_fowl
    >>> [str(gamete) for gamete in gametes(load_fowl().genotype("R/r+"))]
    ['R', 'r+']
    """

    species: Species = attrs.field(eq=False)
    layout: Layout
    haplotypes: tuple[Haplotype, ...]

    def alleles(self, locus: str) -> tuple[str, ...]:
        """The allele at a locus, or none where the gamete brings no copy.

        Parameters
        ----------
        locus : str
            Symbol or name of the locus.

        Returns
        -------
        tuple of str
            One symbol, or none.

        Raises
        ------
        UnknownSymbolError
            If there is no such locus, or this gamete does not tell it.

        Examples
        --------
        >>> from pinfeather import gametes, load_fowl
        >>> [egg.alleles("S") for egg in gametes(load_fowl().genotype("S/-"))]
        [('S',), ()]
        """
        place = self.species.place_of(locus)
        for block, haplotype in zip(self.layout, self.haplotypes, strict=True):
            if place in block:
                if haplotype is None:
                    return ()
                return (self.species.loci[place].symbols[haplotype[block.index(place)]],)
        told = [self.species.loci[p].symbol for block in self.layout for p in block]
        _checks.unknown("locus", self.species.loci[place].symbol, told, "what this gamete tells")

    def __str__(self) -> str:
        words = [
            "-" if haplotype is None else self.species.loci[place].symbols[haplotype[at]]
            for block, haplotype in zip(self.layout, self.haplotypes, strict=True)
            for at, place in enumerate(block)
        ]
        return " ".join(words) or "+"

    def _record(self) -> Record:
        return {"gamete": str(self)}

    def _as_columns(self) -> Record:
        return self._record()

    def __repr__(self) -> str:
        return f"Gamete({str(self)!r})"


def gametes(genotype: Genotype, sex: str | None = None, *, loci: Iterable[str] | None = None) -> Distribution[Gamete]:
    """The gametes of a bird, with the exact fraction of each.

    Parameters
    ----------
    genotype : Genotype
    sex : {"male", "female"}, optional
        Needed only where the genotype does not tell it and it matters: at sex-linked loci, or where the sexes
        recombine differently.
    loci : sequence of str, optional
        The loci to list; by default those that are not pure wild type.

    Returns
    -------
    Distribution of Gamete
        A hen's gametes at Z-linked loci are half Z-bearing and half without (printed ``-``).

    Raises
    ------
    TooLargeError
        If there would be more than a million kinds; name fewer loci.
    DefinitionError
        If the recombination fraction of two linked loci is needed but not known.
    ImpossibleError
        If the sex contradicts the genotype.

    Notes
    -----
    Homologues separate equally (Mendel 1866); unlinked loci independently; linked ones cross over with the
    recombination fraction of each interval, one interval not disturbing the next.

    Examples
    --------
    >>> from pinfeather import gametes, load_fowl
    >>> fowl = load_fowl()
    >>> print(gametes(fowl.genotype("P O/p+ o+")))
    O P    12/25  48 %
    O p+    1/50   2 %
    o+ P    1/50   2 %
    o+ p+  12/25  48 %
    """
    _checks.instance(genotype, "genotype", Genotype)
    species = genotype.species
    bird = genotype if sex is None else genotype.with_sex(read_sex(sex))
    places = (
        list(bird.mutant_loci()) if loci is None else [species.place_of(name) for name in _checks.texts(loci, "loci")]
    )
    if bird.sex is not None:
        return _of_one_sex(bird, places)
    by_sex = [_of_one_sex(bird.with_sex(one), places) for one in SEXES]
    if by_sex[0] != by_sex[1]:
        message = f"the gametes of {genotype} depend on its sex; say which with sex='male' or sex='female'"
        raise ArgumentError(message, argument="sex", value=None)
    return by_sex[0]


def _of_one_sex(bird: Genotype, places: Sequence[int]) -> Distribution[Gamete]:
    assert bird.sex is not None  # seen to by the caller
    species = bird.species
    layout = species.layout_of(places)
    told = bird.restricted_to(*(species.loci[place].symbol for place in places))
    size = 1
    for pair in told.pairs:
        size *= kinds(pair)
    check_size(2 * size, "kinds of gametes")
    ring = WeightRing.of(recombinations(species, layout, bird.sex))
    gathered: dict[Gamete, Weight] = {}
    for chick in SEXES:
        tables = [
            handed_on(species, block, pair, bird.sex, chick, ring)
            for block, pair in zip(layout, told.pairs, strict=True)
            if pair is not None
        ]
        for combination in itertools.product(*(table.items() for table, _ in tables)):
            weight: Weight = 1
            for _, factor in combination:
                weight = weight * factor
            gamete = Gamete(species, layout, tuple(haplotype for haplotype, _ in combination))
            # To a chick of the other sex the bird hands the same gamete, as often, or one that differs.
            gathered[gamete] = weight
    order = sorted(gathered, key=lambda gamete: in_catalogue_order(gamete.haplotypes))
    return Distribution.from_weights(order, [gathered[gamete] for gamete in order])


def kinds(pair: BlockPair | None) -> int:
    """An upper bound on the kinds of gamete from one block."""
    if pair is None or pair[0] is None or pair[1] is None:
        return 1
    return 1 << min(sum(a != b for a, b in zip(pair[0], pair[1], strict=True)), 200)


def size_in_words(size: int) -> str:
    """How many outcomes there would be; a number that nobody can read is given by its length."""
    return f"{size:,}" if size < 10**15 else f"about 10^{len(str(size)) - 1}"


def check_size(size: int, what: str) -> None:
    """Refuse an answer that would not fit, before work on it starts."""
    if size > LARGEST_ANSWER:
        message = (
            f"the answer would have up to {size_in_words(size)} {what}, more than {LARGEST_ANSWER:,}; ask about fewer "
            "loci or traits at a time, or for the fraction of one genotype or look"
        )
        raise TooLargeError(message, size=size, limit=LARGEST_ANSWER)


def recombinations(species: Species, layout: Layout, sex: Sex) -> list[Expr]:
    """The known recombination fractions that blocks of several loci may need."""
    found = [
        species.fraction_between(first, second, sex) for block in layout for first, second in itertools.pairwise(block)
    ]
    return [value for value in found if value is not None]


def handed_on(
    species: Species, block: Sequence[int], pair: BlockPair, parent: Sex, chick: Sex, ring: WeightRing
) -> tuple[GameteTable, int]:
    """What a parent hands to a chick of one sex, from one block: weights over a total."""
    if not hands_on(species.loci[block[0]].chromosome, parent, chick, species.sex_system):
        return {None: 1}, 1
    return block_gametes(species, block, pair, parent, ring)


def block_gametes(
    species: Species, block: Sequence[int], pair: BlockPair, sex: Sex, ring: WeightRing
) -> tuple[GameteTable, int]:
    """The haplotypes that come of two homologues of one block: weights over a total."""
    left, right = pair
    if left is None or right is None:
        return {left if right is None else right: 1}, 1
    mixed = [at for at in range(len(block)) if left[at] != right[at]]
    if not mixed:
        return {left: 1}, 1
    steps, total = crossing_weights(species, [block[at] for at in mixed], sex, ring)
    strands: dict[tuple[int, ...], Weight] = {(0,): 1, (1,): 1}
    for whole, crosses in steps:
        longer: dict[tuple[int, ...], Weight] = {}
        for path, weight in strands.items():
            crossed = weight * crosses
            longer[(*path, 1 - path[-1])] = crossed
            longer[(*path, path[-1])] = weight * whole - crossed
        strands = longer
    table: GameteTable = {}
    for path, weight in strands.items():
        if weight:
            haplotype = list(left)
            for at, side in zip(mixed, path, strict=True):
                haplotype[at] = pair[side][at]  # type: ignore[index]
            key = tuple(haplotype)
            table[key] = table.get(key, 0) + weight
    return table, 2 * total


def crossing_weights(
    species: Species, places: Sequence[int], sex: Sex, ring: WeightRing
) -> tuple[list[tuple[int, Weight]], int]:
    """For neighbouring loci, the total and the weight of crossing over; and the product of all totals."""
    steps: list[tuple[int, Weight]] = []
    product = 1
    for first, second in itertools.pairwise(places):
        fraction = species.fraction_between(first, second, sex)
        if fraction is None:
            one, other = species.loci[first].symbol, species.loci[second].symbol
            message = (
                f"{one} and {other} are linked, but how often they part is not known, and a {sex} mixed at both breeds "
                f'here; give a figure with species.extended(linkage=Linkage(("{one}", "{other}"), r)), or ask '
                "about one of them at a time"
            )
            raise DefinitionError(message, loci=(one, other))
        (crosses,), total = ring.whole([fraction])
        steps.append((total, crosses))
        product *= total
    return steps, product


@attrs.frozen
class GameteFactor:
    """What a parent hands on from some blocks together: a weight for each combination of haplotypes.

    The blocks of one factor may depend on each other; different factors are independent.
    """

    layout: Layout
    table: Mapping[tuple[Haplotype, ...], Weight]
    total: Weight


def tied(
    layout: Layout, birds: Iterable[tuple[tuple[BlockPair, ...], Weight]], total: Weight, handing: Handing
) -> GameteFactor:
    """The gametes of a parent that is one of several kinds, each with a weight, from blocks that are tied together."""
    parts = []
    scale = 1
    kept = list(birds)
    check_size(max((prod(kinds(pair) for pair in pairs) for pairs, _ in kept), default=1), "kinds of gametes together")
    for pairs, weight in kept:
        tables = [handing.of(block, pair) for block, pair in zip(layout, pairs, strict=True)]
        own = 1
        for _, part in tables:
            own *= part
        scale = lcm(scale, own)
        parts.append((weight, [table for table, _ in tables], own))
    made: dict[tuple[Haplotype, ...], Weight] = {}
    for weight, tables_of_bird, own in parts:
        whole = weight * (scale // own)
        for combination in itertools.product(*(table.items() for table in tables_of_bird)):
            key = tuple(haplotype for haplotype, _ in combination)
            product = whole
            for _, factor in combination:
                product = product * factor
            made[key] = made.get(key, 0) + product
    return GameteFactor(layout, made, total * scale)


@attrs.frozen(eq=False)
class Handing:
    """A parent of one sex handing on to chicks of one sex; remembers what each pair of homologues gives."""

    species: Species
    parent: Sex
    chick: Sex
    ring: WeightRing
    _known: dict[tuple[tuple[int, ...], BlockPair], tuple[GameteTable, int]] = attrs.field(factory=dict)

    def of(self, block: tuple[int, ...], pair: BlockPair) -> tuple[GameteTable, int]:
        """What two homologues of a block give."""
        key = (block, pair)
        if key not in self._known:
            self._known[key] = handed_on(self.species, block, pair, self.parent, self.chick, self.ring)
        return self._known[key]
