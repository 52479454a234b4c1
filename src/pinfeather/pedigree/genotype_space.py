"""The genotypes that a bird can have at the loci asked about, and how they are handed on."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Literal, TypeAlias

import attrs

from pinfeather.crosses.meiosis import Handing, recombinations
from pinfeather.errors import TooLargeError
from pinfeather.exact.symbolic import Weight, WeightRing
from pinfeather.heredity.genotypes import BlockPair, Genotype, Haplotype, Layout, alleles_at, in_order
from pinfeather.heredity.matching import Pair
from pinfeather.heredity.sexes import SEXES, Sex, copies, hands_on

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species

Kind: TypeAlias = Literal["male", "female", "either"]
"""What is known of a bird's sex."""

State: TypeAlias = "tuple[Sex, tuple[BlockPair, ...]]"
"""A sex, and the homologues of each block."""

Gamete: TypeAlias = "tuple[Haplotype, ...]"
MOST_STATES = 1500


@attrs.frozen(eq=False, slots=False)
class GenotypeSpace:
    """The genotypes at some loci, numbered for either sex, and what each hands on."""

    species: Species
    places: tuple[int, ...]
    ring: WeightRing

    @cached_property
    def layout(self) -> Layout:
        """The loci, block by block."""
        return self.species.layout_of(self.places)

    @cached_property
    def states(self) -> Mapping[Kind, tuple[State, ...]]:
        """The genotypes of cocks, of hens, and of birds whose sex is not known (cocks' first)."""
        male, female = (tuple(self._states_of(sex)) for sex in SEXES)
        return {"male": male, "female": female, "either": male + female}

    @cached_property
    def number(self) -> Mapping[State, int]:
        """The number of each state among those of its own sex."""
        return {state: at for sex in SEXES for at, state in enumerate(self.states[sex])}

    def genotype(self, state: State, *, sexed: bool) -> Genotype:
        """A state as a genotype."""
        sex, pairs = state
        return Genotype(self.species, self.layout, pairs, sex if sexed else None)

    @cached_property
    def sexed(self) -> bool:
        """Whether the sexes differ in the copies they have of these loci."""
        return any(self._copies(block, "male") != self._copies(block, "female") for block in self.layout)

    def pairs_at(self, state: State) -> dict[int, Pair]:
        """The alleles at each locus."""
        found: dict[int, Pair] = {}
        for block, pair in zip(self.layout, state[1], strict=True):
            for at, place in enumerate(block):
                found[place] = alleles_at(pair, at)
        return found

    # -- handing on ------------------------------------------------------------------------------------------------

    def gametes(self, parent: Sex, state: int, chick: Sex) -> tuple[dict[Gamete, Weight], int]:
        """What a parent of one genotype hands to chicks of one sex: weights over a total."""
        key = (parent, state, chick)
        if key not in self._gametes:
            handing = self._handing(parent, chick)
            pairs = self.states[parent][state][1]
            tables = [handing.of(block, pair) for block, pair in zip(self.layout, pairs, strict=True)]
            total = 1
            for _, own in tables:
                total *= own
            made: dict[Gamete, Weight] = {}
            for combination in itertools.product(*(table.items() for table, _ in tables)):
                weight: Weight = 1
                for _, factor in combination:
                    weight = weight * factor
                gamete = tuple(h for h, _ in combination)
                made[gamete] = made.get(gamete, 0) + weight
            self._gametes[key] = (made, total)
        return self._gametes[key]

    def chick_of(self, from_sire: Gamete, from_dam: Gamete, sex: Sex) -> int:
        """The number of the chick's genotype."""
        pairs = tuple(map(in_order, zip(from_sire, from_dam, strict=True)))
        return self.number[(sex, pairs)]

    def pool(self, frequencies: Mapping[int, Sequence[Expr]], parent: Sex, chick: Sex) -> list[tuple[Gamete, Weight]]:
        """What an unknown parent hands on: every gamete, weighted by the frequencies of its alleles."""
        axes: list[list[tuple[Haplotype, Weight]]] = []
        for block in self.layout:
            chromosome = self.species.loci[block[0]].chromosome
            if not hands_on(chromosome, parent, chick, self.species.sex_system):
                axes.append([(None, 1)])
            else:
                axes.append(list(self.haplotypes(block, frequencies)))
        made = []
        for combination in itertools.product(*axes):
            weight: Weight = 1
            for _, factor in combination:
                weight = weight * factor
            if weight:
                made.append((tuple(h for h, _ in combination), weight))
        return made

    def haplotypes(
        self, block: Sequence[int], frequencies: Mapping[int, Sequence[Expr]]
    ) -> Iterable[tuple[Haplotype, Weight]]:
        """The haplotypes of a block with their weights, alleles of different loci being independent."""
        weights = [self.ring.whole(list(frequencies[place]))[0] for place in block]
        for alleles in itertools.product(*(range(len(w)) for w in weights)):
            weight: Weight = 1
            for own, allele in zip(weights, alleles, strict=True):
                weight = weight * own[allele]
            yield alleles, weight

    def pool_total(self, frequencies: Mapping[int, Sequence[Expr]], parent: Sex, chick: Sex) -> int:
        """What the weights of :meth:`pool` are out of."""
        total = 1
        for block in self.layout:
            if hands_on(self.species.loci[block[0]].chromosome, parent, chick, self.species.sex_system):
                for place in block:
                    total *= self.ring.whole(list(frequencies[place]))[1]
        return total

    def founder_weights(self, kind: Kind, frequencies: Mapping[int, Sequence[Expr]]) -> tuple[list[Weight], int]:
        """The weight of each state in a founder, by random union of gametes; and what they are out of."""
        total = 1
        for place in self.places:
            total = total * self.ring.whole(list(frequencies[place]))[1] ** 2
        weights = [self._founder_weight(state, frequencies) for state in self.states[kind]]
        return weights, total * (2 if kind == "either" else 1)

    def _founder_weight(self, state: State, frequencies: Mapping[int, Sequence[Expr]]) -> Weight:
        weight: Weight = 1
        for block, (left, right) in zip(self.layout, state[1], strict=True):
            for haplotype in (left, right):
                for at, place in enumerate(block):
                    own, denominator = self.ring.whole(list(frequencies[place]))
                    weight = weight * (denominator if haplotype is None else own[haplotype[at]])
            if left != right and left is not None and right is not None:
                weight = weight * 2
        return weight

    # -- inside ------------------------------------------------------------------------------------------------------

    @cached_property
    def _gametes(self) -> dict[tuple[Sex, int, Sex], tuple[dict[Gamete, Weight], int]]:
        return {}

    @cached_property
    def _handings(self) -> dict[tuple[Sex, Sex], Handing]:
        return {}

    def _handing(self, parent: Sex, chick: Sex) -> Handing:
        key = (parent, chick)
        if key not in self._handings:
            self._handings[key] = Handing(self.species, parent, chick, self.ring)
        return self._handings[key]

    def _copies(self, block: Sequence[int], sex: Sex) -> int:
        return copies(self.species.loci[block[0]].chromosome, sex, self.species.sex_system)

    def _states_of(self, sex: Sex) -> Iterable[State]:
        axes = [self._pairs_of(block, sex) for block in self.layout]
        size = 1
        for axis in axes:
            size *= len(axis)
        if size > MOST_STATES:
            symbols = " ".join(self.species.loci[place].symbol for place in self.places)
            message = (
                f"the loci {symbols} have {size:,} genotypes together, more than {MOST_STATES:,}; ask about fewer loci "
                "at a time"
            )
            raise TooLargeError(message, size=size, limit=MOST_STATES)
        for pairs in itertools.product(*axes):
            yield sex, pairs

    def _pairs_of(self, block: Sequence[int], sex: Sex) -> list[BlockPair]:
        number = self._copies(block, sex)
        haplotypes = list(itertools.product(*(range(len(self.species.loci[place].alleles)) for place in block)))
        if len(haplotypes) > MOST_STATES:
            message = f"{len(haplotypes):,} haplotypes of linked loci are too many; ask about fewer loci at a time"
            raise TooLargeError(message, size=len(haplotypes), limit=MOST_STATES)
        if number == 2:
            return list(itertools.combinations_with_replacement(haplotypes, 2))
        return [(h, None) for h in haplotypes] if number == 1 else [(None, None)]


def parameters(species: Species, places: Sequence[int]) -> list[Expr]:
    """The recombination fractions between the loci asked about that are symbolic."""
    layout = species.layout_of(places)
    return [value for sex in SEXES for value in recombinations(species, layout, sex) if not value.is_Rational]
