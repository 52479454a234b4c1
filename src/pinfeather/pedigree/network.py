"""A flock's records as a product of factors over the birds' genotypes: the parts, and how they hang together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

import attrs

from pinfeather.exact.factors import Factor
from pinfeather.exact.symbolic import Weight
from pinfeather.exact.ties import Ties
from pinfeather.pedigree.descent import HATCHED, Descent
from pinfeather.pedigree.evidence import Frequencies, Reader, Vector
from pinfeather.pedigree.genotype_space import GenotypeSpace, Kind

if TYPE_CHECKING:
    from pinfeather.pedigree.individuals import Hatch, Individual
    from pinfeather.pedigree.pedigree import Pedigree

Roles: TypeAlias = "tuple[tuple[int, ...], tuple[int, ...]]"
"""The numbers of the birds that may be the sire, and of those that may be the dam; none is a parent unknown."""


@attrs.frozen(eq=False, slots=False)
class Setting:
    """Everything that stays the same whichever records are looked at."""

    pedigree: Pedigree
    space: GenotypeSpace
    reader: Reader
    descent: Descent
    special: Mapping[str, Frequencies]

    @cached_property
    def position(self) -> dict[str, int]:
        """The number of each bird, which is also the number of its variable."""
        return {bird.id: number for number, bird in enumerate(self.pedigree.individuals)}

    @cached_property
    def bred(self) -> frozenset[str]:
        """The birds that are, or may be, parents on record."""
        birds = {name for bird in self.pedigree.individuals for name in (*bird.sires, *bird.dams)}
        return frozenset(birds.union(*((*hatch.sires, *hatch.dams) for hatch in self.pedigree.hatches)))

    def kind(self, bird: Individual) -> Kind:
        """What is known of a bird's sex."""
        return "either" if bird.sex is None else bird.sex

    def frequencies(self, bird: Individual) -> Frequencies:
        """The allele frequencies that a founder is drawn from."""
        return self.special.get(bird.id, self.descent.frequencies)


@attrs.frozen(eq=False)
class Family:
    """A chick, or counted chicks, and the birds that may be the parents."""

    child: int | None
    roles: Roles
    kind: Kind
    stages: tuple[str, ...]
    mask: int
    """For counted chicks: the states that fit what was seen."""


@attrs.define(eq=False)
class Network:
    """The factors left to be summed, and how to read the birds that are no longer among them.

    ``masks`` holds the states left to each bird as bits; ``impossible`` is the family (or founder) that no genotypes
    fit, if there is one.
    """

    setting: Setting
    kinds: list[Kind]
    vectors: list[list[Vector]]
    families: list[Family]
    masks: list[int]
    bred: frozenset[str]
    impossible: str | None = None
    factors: list[Factor] = attrs.field(factory=list)
    sizes: dict[int, int] = attrs.field(factory=dict)
    above: Weight = 1
    below: Weight = 1
    """What the product of the factors is to be multiplied by, and divided by."""
    leaves: dict[int, Leaf] = attrs.field(factory=dict)
    selectors: dict[tuple[int, int], int] = attrs.field(factory=dict)
    """(bird, 0 for the sire or 1 for the dam) -> the variable that says which candidate it is."""


@attrs.frozen(eq=False)
class Leaf:
    """A childless bird that was summed out: the table it left on its parents, and what it was made of."""

    parents: tuple[int | None, int | None]
    rows: Mapping[tuple[int | None, int | None], tuple[tuple[int, Weight], ...]]
    """For each pair of parents' states: the chick's states with their weights, all on one scale."""


def counted(setting: Setting, hatch: Hatch, number: int) -> tuple[Vector | None, int]:
    """What was seen of some counted chicks, as weights of a chick of either sex; and how many there were."""
    looks, chicks = hatch.counts[number]
    states = setting.space.states["either"]
    vector: list[Weight] = [1] * len(states)
    total = 1
    for trait, label in looks.items():
        if trait == "sex":
            vector = [w if state[0] == label else 0 for w, state in zip(vector, states, strict=True)]
            continue
        look = setting.reader.look(trait, (label,), "either")
        if look is not None:
            vector = [w * own for w, own in zip(vector, look[0], strict=True)]
            total *= look[1]
    # That a chick hatched says something by itself where a pair may have no living chick at all.
    silent = setting.reader.survival(HATCHED, "either") is None and all(weight == total for weight in vector)
    return (None if silent else (tuple(vector), total)), chicks


def connected(factors: Iterable[Factor]) -> list[list[Factor]]:
    """The factors in groups that share no variable."""
    ties: Ties[int] = Ties()
    kept = list(factors)
    for factor in kept:
        ties.tie(factor.variables)
    groups: dict[int, list[Factor]] = {}
    for factor in kept:
        groups.setdefault(ties.leader(factor.variables[0]), []).append(factor)
    return list(groups.values())


def bits(mask: int) -> list[int]:
    """The numbers of the bits that are set."""
    found = []
    while mask:
        lowest = mask & -mask
        found.append(lowest.bit_length() - 1)
        mask ^= lowest
    return found
