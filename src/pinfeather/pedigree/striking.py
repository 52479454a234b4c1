"""Striking off genotypes that the records rule out, family by family, until nothing changes."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from typing import Any

import attrs

from pinfeather.pedigree.descent import Descent
from pinfeather.pedigree.genotype_space import Kind
from pinfeather.pedigree.network import Family, Network, bits


def strike_off(network: Network) -> None:
    """Strike off what the records rule out; stop at a bird that has no genotype left and name it."""
    empty = next((bird for bird, mask in enumerate(network.masks) if not mask), None)
    queue = _Queue.of(network)
    known: dict[Any, tuple[int, int, int]] = {}
    while empty is None and queue.waiting:
        family = network.families[queue.next()]
        for bird, mask in _revised(network, family, known):
            if mask != network.masks[bird]:
                network.masks[bird] = mask
                queue.touch(bird)
                if not mask:
                    empty = bird
    if empty is not None:
        network.impossible = network.setting.pedigree.individuals[empty].id


@attrs.define(eq=False)
class _Queue:
    """The families still to be looked at; a bird that has changed brings back the families it stands in."""

    waiting: deque[int]
    queued: list[bool]
    touching: dict[int, list[int]]

    @classmethod
    def of(cls, network: Network) -> _Queue:
        touching: dict[int, list[int]] = {}
        for number, family in enumerate(network.families):
            for bird in _members(family):
                touching.setdefault(bird, []).append(number)
        count = len(network.families)
        return cls(deque(range(count)), [True] * count, touching)

    def next(self) -> int:
        number = self.waiting.popleft()
        self.queued[number] = False
        return number

    def touch(self, bird: int) -> None:
        for number in self.touching[bird]:
            if not self.queued[number]:
                self.queued[number] = True
                self.waiting.append(number)


def _members(family: Family) -> tuple[int, ...]:
    child = () if family.child is None else (family.child,)
    return (*child, *family.roles[0], *family.roles[1])


def _revised(network: Network, family: Family, known: dict[Any, tuple[int, int, int]]) -> Iterable[tuple[int, int]]:
    """The states that the members of a family can still have, each given the others."""
    masks = network.masks
    sires, dams = family.roles
    child = family.mask if family.child is None else masks[family.child]
    fitting = 0
    alone = len(sires) <= 1 and len(dams) <= 1
    for sire in sires or (None,):
        for dam in dams or (None,):
            key = (
                None if sire is None else masks[sire],
                None if dam is None else masks[dam],
                child,
                family.kind,
                family.stages,
            )
            if key not in known:
                known[key] = _fitting(network.setting.descent, *key)
            of_sire, of_dam, of_child = known[key]
            fitting |= of_child
            if alone:
                if sire is not None:
                    yield sire, of_sire
                if dam is not None:
                    yield dam, of_dam
    if family.child is not None:
        yield family.child, fitting
    elif not fitting:
        # Counted chicks that no parents can have: the contradiction shows at a parent.
        yield _members(family)[0], 0


def _fitting(
    descent: Descent, sire: int | None, dam: int | None, child: int, kind: Kind, stages: tuple[str, ...]
) -> tuple[int, int, int]:
    of_sire = of_dam = of_child = 0
    for s in _bits(sire):
        for d in _bits(dam):
            chicks = descent.mask(s, d, kind, stages) & child
            if chicks:
                of_sire |= 0 if s is None else 1 << s
                of_dam |= 0 if d is None else 1 << d
                of_child |= chicks
    return of_sire, of_dam, of_child


def _bits(mask: int | None) -> Sequence[int | None]:
    """The states of a mask; of an unknown parent, only None."""
    return (None,) if mask is None else bits(mask)
