"""The flock's records as a product of factors, made small before any sum is begun.

Birds' genotypes are the variables.  First the genotypes that the records rule out are struck off, family by family,
until nothing changes (the idea of Lange & Goradia 1987, American Journal of Human Genetics 40:250-256; from memory).  A
bird left with one genotype is no variable any more and cuts the pedigree there.  Childless birds and unbanded chicks
are summed out at once and become evidence on their parents.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

from pinfeather.exact.factors import Factor
from pinfeather.exact.symbolic import Weight
from pinfeather.exact.ties import Ties
from pinfeather.pedigree.descent import BRED, HATCHED, Descent
from pinfeather.pedigree.evidence import Frequencies, Reader, Record, Vector
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


def prepared(
    setting: Setting, keep: Collection[str] = (), dropped: Collection[Record] = (), breeding: Collection[str] = ()
) -> Network:
    """The network of a pedigree, pruned; birds in ``keep`` stay variables even if childless.

    Birds in ``breeding`` are about to be bred, and so are taken to live to breed.
    """
    from pinfeather.pedigree.building import Builder
    from pinfeather.pedigree.striking import strike_off

    network = _stated(setting, dropped, frozenset(breeding))
    strike_off(network)
    if network.impossible is None:
        Builder(network, {setting.position[name] for name in keep}).build(dropped)
    return network


def _stated(setting: Setting, dropped: Collection[Record], breeding: frozenset[str]) -> Network:
    """What each bird may be by its own records, and all families."""
    pedigree = setting.pedigree
    position = setting.position
    gone = {(record.subject, record.part) for record in dropped if record.field == "parents"}
    kinds: list[Kind] = []
    vectors: list[list[Vector]] = []
    masks: list[int] = []
    families: list[Family] = []
    bred = setting.bred | breeding
    known: dict[Any, tuple[list[Vector], int]] = {}
    for number, bird in enumerate(pedigree.individuals):
        kind = setting.kind(bird)
        roles = (
            () if (bird.id, "sire") in gone else tuple(position[name] for name in bird.sires),
            () if (bird.id, "dam") in gone else tuple(position[name] for name in bird.dams),
        )
        stages = BRED if bird.id in bred else HATCHED
        founder = not roles[0] and not roles[1]
        key = (kind, bird.shows, bird.genotype, bird.tested, stages if founder else None, bird.id if dropped else None)
        if key not in known:
            own = setting.reader.bird(bird, kind, dropped)
            if founder:
                survival = setting.reader.survival(stages, kind)
                own = own if survival is None else [*own, survival]
            known[key] = own, _mask(own, len(setting.space.states[kind]))
        own, mask = known[key]
        kinds.append(kind)
        vectors.append(own)
        masks.append(mask if not founder else mask & _founder_mask(setting, bird, kind))
        if not founder:
            families.append(Family(number, roles, kind, stages, 0))
    network = Network(setting, kinds, vectors, families, masks, bred)
    for hatch in pedigree.hatches:
        network.families.extend(_hatch_families(setting, hatch, dropped))
    return network


def _founder_mask(setting: Setting, bird: Individual, kind: Kind) -> int:
    """The genotypes that the founders' allele frequencies allow."""
    frequencies = setting.frequencies(bird)
    if all(value != 0 for values in frequencies.values() for value in values):
        return -1
    weights, _ = setting.space.founder_weights(kind, frequencies)
    return sum(1 << state for state, weight in enumerate(weights) if weight)


def _mask(vectors: Iterable[Vector], states: int) -> int:
    mask = (1 << states) - 1
    for weights, _ in vectors:
        mask &= sum(1 << state for state, weight in enumerate(weights) if weight)
    return mask


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


def _hatch_families(setting: Setting, hatch: Hatch, dropped: Collection[Record]) -> list[Family]:
    position = setting.position
    roles = tuple(position[n] for n in hatch.sires), tuple(position[n] for n in hatch.dams)
    gone = {record.part for record in dropped if record.subject == hatch.id and record.field == "counts"}
    made = []
    for number in range(len(hatch.counts)):
        vector, chicks = counted(setting, hatch, number)
        if vector is not None and chicks and str(number) not in gone and (roles[0] or roles[1]):
            made.append(Family(None, roles, "either", HATCHED, _mask([vector], len(vector[0]))))
    return made


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
