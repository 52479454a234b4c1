"""The network of a flock, made small before any sum is begun.

Birds' genotypes are the variables.  First the genotypes that the records rule out are struck off, family by family,
until nothing changes (the idea of Lange & Goradia 1987, American Journal of Human Genetics 40:250-256; from memory).  A
bird left with one genotype is no variable any more and cuts the pedigree there.  Childless birds and unbanded chicks
are summed out at once and become evidence on their parents.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING, Any

from pinfeather.pedigree.building import Builder
from pinfeather.pedigree.descent import BRED, HATCHED
from pinfeather.pedigree.evidence import Record, Vector
from pinfeather.pedigree.genotype_space import Kind
from pinfeather.pedigree.network import Family, Network, Setting, counted
from pinfeather.pedigree.striking import strike_off

if TYPE_CHECKING:
    from pinfeather.pedigree.individuals import Hatch, Individual


def prepared(
    setting: Setting, keep: Collection[str] = (), dropped: Collection[Record] = (), breeding: Collection[str] = ()
) -> Network:
    """The network of a pedigree, pruned; birds in ``keep`` stay variables even if childless.

    Birds in ``breeding`` are about to be bred, and so are taken to live to breed.
    """
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
