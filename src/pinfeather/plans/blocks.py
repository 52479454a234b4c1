"""Blocks: the linked loci, or the loci whose looks depend on each other, of which a programme keeps account together.

Within a block every genotype that can come of the stock is written out, so that what is known of a bird is a set of
them: one bit each.  Different blocks are inherited independently and seen independently.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, TypeAlias

import attrs

from pinfeather.crosses.meiosis import handed_on
from pinfeather.errors import TooLargeError
from pinfeather.exact.symbolic import RATIONAL
from pinfeather.heredity.genotypes import BlockPair, Haplotype, in_order
from pinfeather.heredity.sexes import SEXES, Sex, copies

if TYPE_CHECKING:
    from pinfeather.heredity.species import Species

Groups: TypeAlias = tuple[tuple[int, ...], ...]
"""Groups of linked loci, each in map order."""

State: TypeAlias = tuple[BlockPair, ...]
"""The homologues of one bird, one pair for each group."""

Mask: TypeAlias = int
"""A set of genotypes, or of looks, of one block: one bit each."""

Vector: TypeAlias = tuple[Fraction, ...]
"""The chance of each look, of a chick that lives to breed; what is missing to one dies."""

LARGEST_BLOCK = 600


def bits(mask: Mask) -> Iterator[int]:
    """The positions of the bits of a set."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def states_of(species: Species, groups: Groups, present: Mapping[int, Sequence[int]], sex: Sex) -> list[State]:
    """Every genotype of some groups that can come of the alleles present."""
    choices: list[list[BlockPair]] = []
    size = 1
    for group in groups:
        number = copies(species.loci[group[0]].chromosome, sex, species.sex_system)
        haplotypes: list[Haplotype] = list(itertools.product(*(present[place] for place in group)))
        if number == 2:
            pairs = [in_order(pair) for pair in itertools.combinations_with_replacement(haplotypes, 2)]
        elif number == 1:
            pairs = [(haplotype, None) for haplotype in haplotypes]
        else:
            pairs = [(None, None)]
        choices.append(pairs)
        size *= len(pairs)
    if size > LARGEST_BLOCK:
        symbols = " ".join(species.loci[place].symbol for group in groups for place in group)
        message = (
            f"{symbols} are linked, or seen together, and have {size:,} genotypes between them, more than "
            f"{LARGEST_BLOCK}; plan for fewer of them at a time, or name fewer traits with seen=[...]"
        )
        raise TooLargeError(message, size=size, limit=LARGEST_BLOCK)
    return list(itertools.product(*choices))


@attrs.frozen(eq=False)
class Block:
    """One block: its genotypes by sex, what each shows, which are better than which, and which fit the target.

    Sexes are counted: 0 is male, 1 female.
    """

    species: Species
    groups: Groups
    states: tuple[tuple[State, ...], tuple[State, ...]]
    survival: tuple[tuple[Fraction, ...], tuple[Fraction, ...]]
    looks: tuple[tuple[object, ...], tuple[object, ...]]
    shown: tuple[tuple[tuple[tuple[int, Fraction], ...], ...], ...]
    """By sex and genotype: the looks with their chances."""
    better: tuple[tuple[Mask, ...], tuple[Mask, ...]]
    """By sex and genotype: the genotypes at least as good, itself among them."""
    target: tuple[Mask, Mask]
    hopeless: tuple[bool, bool] = (False, False)
    """By sex: whether some genotype would fit the target, but all of those die."""

    def place_of(self, sex: int) -> dict[State, int]:
        """Where each genotype stands."""
        return {state: at for at, state in enumerate(self.states[sex])}

    def closure(self, sex: int, mask: Mask) -> Mask:
        """A set with all that is at least as good as one of its members."""
        whole = 0
        for at in bits(mask):
            whole |= self.better[sex][at]
        return whole


class Family:
    """The chicks of one block that two parents give: one sex, each parent known as a set of genotypes."""

    __slots__ = ("_sums", "by_look", "hopes", "keeps", "vectors")

    def __init__(self, vectors: list[Vector], by_look: list[Mask]) -> None:
        self.vectors = vectors
        """The least favourable chances of the looks, over all that the parents may be."""
        self.by_look = by_look
        """By look: the genotypes that a chick with it may have."""
        self.keeps: list[tuple[Mask, Mask]] = []
        """(what the chicks kept are known to be, the looks to keep for it), if to be had whatever the parents are."""
        self.hopes: list[tuple[Mask, Mask]] = []
        """The same, if it can be had at all."""
        self._sums: dict[tuple[int, Mask], Fraction] = {}

    def looks_within(self, wanted: Mask) -> Mask:
        """The looks that prove a chick to be within a set."""
        found = 0
        for look, mask in enumerate(self.by_look):
            if mask and not mask & ~wanted:
                found |= 1 << look
        return found

    def chance(self, case: int, looks: Mask) -> Fraction:
        """The chance of one of some looks."""
        key = (case, looks)
        if key not in self._sums:
            vector = self.vectors[case]
            self._sums[key] = sum((vector[look] for look in bits(looks)), Fraction(0))
        return self._sums[key]

    def least(self, looks: Mask) -> Fraction:
        """The least chance of one of some looks."""
        return min(self.chance(case, looks) for case in range(len(self.vectors)))


class Nursery:
    """Works out the chicks of blocks and remembers them."""

    def __init__(self, blocks: Sequence[Block]) -> None:
        self.blocks = tuple(blocks)
        self.cut = False
        """Whether some choices of looks to keep were left out because there are too many."""
        self._families: dict[tuple[int, Mask, Mask, int], Family] = {}
        self._vectors: dict[tuple[int, int, int, int], Vector] = {}
        self._chicks: dict[tuple[int, int, int, int], dict[int, Fraction]] = {}
        self._places = [(block.place_of(0), block.place_of(1)) for block in blocks]

    def family(self, block: int, sire: Mask, dam: Mask, sex: int) -> Family:
        """The chicks of one sex that come of parents known as sets of genotypes."""
        key = (block, sire, dam, sex)
        found = self._families.get(key)
        if found is None:
            found = self._families[key] = self._made(block, sire, dam, sex)
        return found

    def chicks(self, block: int, sire: int, dam: int, sex: int) -> dict[int, Fraction]:
        """Genotype -> the fraction of the eggs of one sex that hatch and live to breed with it."""
        key = (block, sire, dam, sex)
        if key not in self._chicks:
            self._chicks[key] = self._bred(block, sire, dam, sex)
        return self._chicks[key]

    def look_vector(self, block: int, sire: int, dam: int, sex: int) -> Vector:
        """The chances of the looks of one pair's chicks."""
        key = (block, sire, dam, sex)
        found = self._vectors.get(key)
        if found is None:
            owner = self.blocks[block]
            vector = [Fraction(0)] * len(owner.looks[sex])
            for chick, weight in self.chicks(block, sire, dam, sex).items():
                for look, chance in owner.shown[sex][chick]:
                    vector[look] += weight * chance
            found = self._vectors[key] = tuple(vector)
        return found

    def _bred(self, block: int, sire: int, dam: int, sex: int) -> dict[int, Fraction]:
        owner = self.blocks[block]
        made: dict[State, Fraction] = {(): Fraction(1)}
        for number, group in enumerate(owner.groups):
            pair = _pairs_of(
                owner.species, group, owner.states[0][sire][number], owner.states[1][dam][number], SEXES[sex]
            )
            made = {(*state, own): weight * part for state, weight in made.items() for own, part in pair.items()}
        places = self._places[block][sex]
        living = ((places.get(state), weight) for state, weight in made.items())
        return {at: weight * owner.survival[sex][at] for at, weight in living if at is not None}

    def _made(self, block: int, sire: Mask, dam: Mask, sex: int) -> Family:
        owner = self.blocks[block]
        vectors: dict[Vector, None] = {}
        by_look = [0] * len(owner.looks[sex])
        for one, other in itertools.product(bits(sire), bits(dam)):
            for chick in self.chicks(block, one, other, sex):
                for look, _ in owner.shown[sex][chick]:
                    by_look[look] |= 1 << chick
            vectors[self.look_vector(block, one, other, sex)] = None
        sets, whole = _unions([owner.closure(sex, mask) for mask in by_look if mask])
        self.cut = self.cut or not whole
        keeps: dict[Mask, Mask] = {}
        family = Family(list(vectors), by_look)
        for mask in sorted(sets, key=lambda m: (m.bit_count(), m)):
            looks = family.looks_within(mask)
            if looks:
                keeps.setdefault(looks, mask)
        family.vectors = _least_favourable(list(vectors), list(keeps))
        family.hopes = [(mask, looks) for looks, mask in keeps.items()]
        family.keeps = [(mask, looks) for mask, looks in family.hopes if family.least(looks) > 0]
        return family


@cache
def _pairs_of(
    species: Species, group: tuple[int, ...], sire: BlockPair, dam: BlockPair, chick: Sex
) -> dict[BlockPair, Fraction]:
    """The homologues that a chick gets of one linkage group, with their chances."""
    made: dict[BlockPair, Fraction] = {}
    cock, cocks = handed_on(species, group, sire, "male", chick, RATIONAL)
    hen, hens = handed_on(species, group, dam, "female", chick, RATIONAL)
    for (one, weight), (other, factor) in itertools.product(cock.items(), hen.items()):
        pair = in_order((one, other))
        made[pair] = made.get(pair, Fraction(0)) + Fraction(weight * factor, cocks * hens)
    return made


_MOST_SETS = 48


def _unions(masks: Iterable[Mask]) -> tuple[set[Mask], bool]:
    """All unions of some sets, and True; where there are very many, the sets and the union of all, and False."""
    found: set[Mask] = set()
    single = set(masks)
    for mask in single:
        found |= {mask} | {mask | other for other in found}
        if len(found) > _MOST_SETS:
            everything = 0
            for one in single:
                everything |= one
            return single | {everything}, False
    return found, True


def _least_favourable(vectors: list[Vector], keeps: list[Mask]) -> list[Vector]:
    """The vectors that no other one lies below, where "below" is a smaller chance of every set worth keeping.

    If a vector gives every set of the ring made of ``keeps`` at most the chance that another gives it, chicks of the
    two can be paired off so that whatever the first yields is yielded by the second too (V. Strassen 1965).
    """
    if len(vectors) == 1:
        return vectors
    ring = _ring(keeps)
    if ring is None:
        return vectors
    sums = {vector: [sum((vector[look] for look in bits(part)), Fraction(0)) for part in ring] for vector in vectors}
    kept: list[Vector] = []
    for vector in sorted(vectors, key=lambda v: sum(sums[v])):
        if not any(all(a <= b for a, b in zip(sums[low], sums[vector], strict=True)) for low in kept):
            kept.append(vector)
    return kept


def _ring(sets: Iterable[Mask]) -> list[Mask] | None:
    """The sets closed under union and intersection; None if they are too many."""
    found = set(sets)
    while True:
        more = {a | b for a in found for b in found} | {a & b for a in found for b in found}
        if more <= found:
            return [mask for mask in found if mask]
        if len(more) > 8 * _MOST_SETS:
            return None
        found |= more
