"""Parents: a bird of known genotype, a bird that is one of several, or a chick kept from an earlier hatch.

Each answers the same question: what does it hand on to a chick of one sex, at some loci?  The answer is a list of
pieces that are independent of each other: a :class:`PointBlock` where the two homologues are known, otherwise a
:class:`~pinfeather.crosses.meiosis.GameteFactor` over all blocks that depend on each other.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Protocol, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather.crosses.meiosis import GameteFactor, GameteTable, Handing, check_size, handed_on, kinds, tied
from pinfeather.errors import ImpossibleError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.symbolic import Weight, WeightRing
from pinfeather.heredity.genotypes import BlockPair, Genotype, Haplotype, Layout, check_same_species
from pinfeather.heredity.sexes import Sex

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.crosses.offspring import Offspring
    from pinfeather.heredity.species import Species


@attrs.frozen
class PointBlock:
    """One block of a parent whose homologues are known."""

    block: tuple[int, ...]
    pair: BlockPair

    def table(self, species: Species, parent: Sex, chick: Sex, ring: WeightRing) -> tuple[GameteTable, int]:
        """What it hands on, written out."""
        check_size(kinds(self.pair), "kinds of gametes of one linkage group")
        return handed_on(species, self.block, self.pair, parent, chick, ring)


Piece: TypeAlias = "PointBlock | GameteFactor"


class Parent(Protocol):
    """What a cross asks of a parent."""

    @property
    def species(self) -> Species:
        """The species of the parent."""

    @property
    def sex(self) -> Sex:
        """The sex of the parent."""

    @property
    def parameters(self) -> tuple[Expr, ...]:
        """The symbolic numbers that its own chances hold."""

    def tells(self, place: int) -> bool:
        """Whether anything is known of a locus."""

    def possible(self, place: int) -> frozenset[int]:
        """The alleles that it may have at a locus."""

    def pieces(self, places: Collection[int], chick: Sex, ring: WeightRing) -> list[Piece]:
        """What it hands on to a chick of one sex at some loci."""

    def __str__(self) -> str: ...


@attrs.frozen
class OneBird:
    """A parent whose genotype is known."""

    genotype: Genotype
    sex: Sex

    @property
    def species(self) -> Species:
        """The species of the parent."""
        return self.genotype.species

    @property
    def parameters(self) -> tuple[Expr, ...]:
        """The symbolic numbers that its own chances hold."""
        return ()

    def tells(self, place: int) -> bool:
        """Whether anything is known of a locus."""
        return self.genotype.tells(place)

    def possible(self, place: int) -> frozenset[int]:
        """The alleles that it may have at a locus."""
        return frozenset(allele for allele in self.genotype._at(place) if allele is not None)

    def pieces(self, places: Collection[int], chick: Sex, ring: WeightRing) -> list[Piece]:
        """What it hands on to a chick of one sex at some loci."""
        del chick, ring
        return [PointBlock(block, block_pair(self.genotype, block)) for block in self.species.layout_of(places)]

    def __str__(self) -> str:
        return str(self.genotype)


@attrs.frozen(eq=False)
class OneOfSeveral:
    """A parent that is one of several genotypes, each with its chance."""

    birds: tuple[Genotype, ...]
    chances: tuple[Expr, ...]
    sex: Sex

    @property
    def species(self) -> Species:
        """The species of the parent."""
        return self.birds[0].species

    @property
    def parameters(self) -> tuple[Expr, ...]:
        """The symbolic numbers that its own chances hold."""
        return tuple(chance for chance in self.chances if not chance.is_Rational)

    def tells(self, place: int) -> bool:
        """Whether anything is known of a locus."""
        return all(bird.tells(place) for bird in self.birds)

    def possible(self, place: int) -> frozenset[int]:
        """The alleles that it may have at a locus."""
        return frozenset(allele for bird in self.birds for allele in bird._at(place) if allele is not None)

    def pieces(self, places: Collection[int], chick: Sex, ring: WeightRing) -> list[Piece]:
        """What it hands on to a chick of one sex at some loci."""
        same: list[Piece] = []
        open_blocks: list[tuple[int, ...]] = []
        for block in self.species.layout_of(places):
            pairs = {block_pair(bird, block) for bird in self.birds}
            if len(pairs) == 1:
                same.append(PointBlock(block, pairs.pop()))
            else:
                open_blocks.append(block)
        if not open_blocks:
            return same
        layout = tuple(open_blocks)
        weights, denominator = ring.whole(list(self.chances))
        gathered: dict[tuple[BlockPair, ...], Weight] = {}
        for bird, weight in zip(self.birds, weights, strict=True):
            key = tuple(block_pair(bird, block) for block in layout)
            gathered[key] = gathered.get(key, 0) + weight
        handing = Handing(self.species, self.sex, chick, ring)
        return [*same, tied(layout, gathered.items(), denominator, handing)]

    def __str__(self) -> str:
        return "one of " + ", ".join(
            f"{bird} ({chance})" for bird, chance in zip(self.birds, self.chances, strict=True)
        )


@attrs.frozen(eq=False)
class KeptChick:
    """A parent that is a chick kept from an earlier hatch, and has lived to breed."""

    hatch: Offspring
    sex: Sex

    @property
    def species(self) -> Species:
        """The species of the parent."""
        return self.hatch.species

    @property
    def parameters(self) -> tuple[Expr, ...]:
        """The symbolic numbers that its own chances hold."""
        return self.hatch.parameters

    def tells(self, place: int) -> bool:
        """Whether anything is known of a locus."""
        return self.hatch.tells(place)

    def possible(self, place: int) -> frozenset[int]:
        """The alleles that it may have at a locus."""
        return self.hatch.possible(place)

    def pieces(self, places: Collection[int], chick: Sex, ring: WeightRing) -> list[Piece]:
        """What it hands on to a chick of one sex at some loci."""
        handing = Handing(self.species, self.sex, chick, ring)
        return [
            tied(factor.layout, factor.table.items(), factor.total, handing)
            for factor in self.hatch.genotype_factors(places, self.sex, ring)
        ]

    def __str__(self) -> str:
        return f"a {self.sex} of ({self.hatch.mating})"


def multiplied_out(
    pieces: Sequence[Piece], layout: Layout, species: Species, parent: Sex, chick: Sex, ring: WeightRing
) -> tuple[dict[tuple[Haplotype, ...], Weight], Weight]:
    """What a parent hands to chicks of one sex, every combination of homologues in the order of the layout."""
    tables: list[tuple[Layout, Mapping[Any, Weight]]] = []
    total: Weight = 1
    for piece in pieces:
        if isinstance(piece, PointBlock):
            table, own = piece.table(species, parent, chick, ring)
            tables.append(((piece.block,), {(haplotype,): weight for haplotype, weight in table.items()}))
        else:
            own = piece.total
            tables.append((piece.layout, piece.table))
        total = total * own
    order = [block for blocks, _ in tables for block in blocks]
    places = [order.index(block) for block in layout]
    made: dict[tuple[Haplotype, ...], Weight] = {}
    for combination in itertools.product(*(table.items() for _, table in tables)):
        flat = [haplotype for key, _ in combination for haplotype in key]
        weight: Weight = 1
        for _, factor in combination:
            weight = weight * factor
        made[tuple(flat[at] for at in places)] = weight
    return made, total


def block_pair(bird: Genotype, block: Sequence[int]) -> BlockPair:
    """The homologues of one block in a bird of known sex."""
    pair = bird._block_pair(block)
    assert pair is not None  # the sex of a parent is always known
    return pair


@attrs.frozen
class GenotypeFactor:
    """The genotypes at some blocks that depend on each other: a weight for each combination of homologue pairs."""

    layout: Layout
    table: dict[tuple[BlockPair, ...], Weight]
    total: Weight


def read_parent(value: object, role: str, sex: Sex) -> Parent:
    """A parent from what a caller gave: a genotype, a distribution of them, or chicks kept from a hatch."""
    from pinfeather.crosses.offspring import Offspring

    if isinstance(value, Genotype):
        return _checked(OneBird(_of_sex(value, role, sex), sex), role)
    if isinstance(value, Distribution):
        return _checked(_one_of_several(value, role, sex), role)
    if isinstance(value, Offspring):
        kept = value.for_breeding(sex, role)
        return KeptChick(kept, sex)
    _checks.refuse(
        role,
        value,
        "must be a Genotype (species.genotype(...)), a Distribution of genotypes, or the Offspring of an earlier cross",
    )


def _of_sex(bird: Genotype, role: str, sex: Sex) -> Genotype:
    if bird.sex is not None and bird.sex != sex:
        message = f"the {role} {bird} is {bird.sex}; a {role} must be {sex}"
        raise ImpossibleError(message, role=role, genotype=str(bird), sex=bird.sex)
    return bird.with_sex(sex)


def _one_of_several(value: Distribution[Genotype], role: str, sex: Sex) -> OneBird | OneOfSeveral:
    birds = [_checks.instance(outcome, f"an outcome of {role}", Genotype) for outcome in value]
    for bird in birds[1:]:
        check_same_species(birds[0].species, bird.species)
    of_the_sex = [bird.sex in (None, sex) for bird in birds]
    if any(of_the_sex) and not all(of_the_sex):
        return _one_of_several(value.given(lambda bird: bird.sex in (None, sex)), role, sex)
    if len(birds) == 1:
        return OneBird(_of_sex(birds[0], role, sex), sex)
    return OneOfSeveral(tuple(_of_sex(bird, role, sex) for bird in birds), tuple(value.values()), sex)


def _checked(parent: OneBird | OneOfSeveral, role: str) -> Parent:
    """Refuse a parent of a genotype with which no bird lives."""
    birds = parent.birds if isinstance(parent, OneOfSeveral) else (parent.genotype,)
    for pattern, entry in parent.species.viable_patterns:
        if entry.is_lethal:
            for bird in birds:
                told = all(bird.tells(place) for place in pattern.machine.loci)
                if told and pattern.matches(bird):
                    note = f" ({entry.note})" if entry.note else ""
                    message = f"the {role} {bird} cannot be a living bird: {entry.pattern} is lethal{note}"
                    raise ImpossibleError(message, role=role, genotype=str(bird), pattern=entry.pattern)
    return parent
