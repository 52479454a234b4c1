"""A pedigree as whole numbers: birds in an order with parents first, and their parents as positions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from graphlib import TopologicalSorter
from typing import TYPE_CHECKING

import attrs

from pinfeather.pedigree.individuals import Individual, Parent, PossibleParents

if TYPE_CHECKING:
    from pinfeather.pedigree.pedigree import Pedigree

UNKNOWN = -1


@attrs.frozen
class Lineage:
    """Birds as nodes 0, 1, ... with parents first; behind them one node for each set of possible parents.

    A set of possible parents acts as a parent whose every gene comes from its members by their chances;
    since each bird draws its own parent, and draws independently of all that lies further back,
    expectations over the possible pedigrees follow from treating the set so.

    Parameters
    ----------
    ids : tuple of str
        The birds.
    position : dict
        Id -> node.
    sires, dams : list of int
        The parent's node, or ``UNKNOWN``, for each bird.
    mixtures : tuple
        For the nodes behind the birds: (node, chance) of each possible parent.
    depth : list of int
        The longest line back to a founder, for each bird.
    level : list of int
        The same for each node, where a mixture counts as a step of its own.
    """

    ids: tuple[str, ...]
    position: dict[str, int]
    sires: list[int]
    dams: list[int]
    mixtures: tuple[tuple[tuple[int, Fraction], ...], ...]
    depth: list[int]
    level: list[int]

    def candidates(self, node: int) -> tuple[tuple[int, Fraction], ...]:
        """The birds that stand behind a parent's node, with the chance of each."""
        if node == UNKNOWN:
            return ()
        return ((node, Fraction(1)),) if node < len(self.ids) else self.mixtures[node - len(self.ids)]

    def parents(self, bird: int) -> tuple[tuple[int, Fraction], ...]:
        """All birds that may be a parent of this one, with the chance of each."""
        return self.candidates(self.sires[bird]) + self.candidates(self.dams[bird])

    def parent_nodes(self, node: int) -> list[int]:
        """The nodes from which this one has its genes: its parents, or the members of a set."""
        if node >= len(self.ids):
            return [member for member, _ in self.mixtures[node - len(self.ids)]]
        return [parent for parent in (self.sires[node], self.dams[node]) if parent != UNKNOWN]

    def behind(self, birds: Iterable[int]) -> list[int]:
        """The birds, all their ancestors, and the sets of possible parents among these, in order."""
        found: set[int] = set()
        waiting = list(birds)
        while waiting:
            node = waiting.pop()
            if node not in found:
                found.add(node)
                waiting.extend(self.parent_nodes(node))
        return sorted(found)

    def breeders(self) -> list[int]:
        """Every node that is, or may be, a parent, in order."""
        found = {*self.sires, *self.dams, *(member for mixture in self.mixtures for member, _ in mixture)}
        return sorted(found - {UNKNOWN})


def parents_first(individuals: Sequence[Individual]) -> tuple[str, ...]:
    """The ids with every parent before its chicks: founders, then the given order wherever that will do.

    Raises ``graphlib.CycleError`` where a bird is its own ancestor.
    """
    founders = [bird.id for bird in individuals if bird.sire is None and bird.dam is None]
    seen = set(founders)
    ordered = list(founders)
    for bird in individuals:
        if not (seen.issuperset(bird.sires) and seen.issuperset(bird.dams)):
            break
        if bird.id not in seen:
            seen.add(bird.id)
            ordered.append(bird.id)
    else:
        return tuple(ordered)
    return tuple(TopologicalSorter({bird.id: (*bird.sires, *bird.dams) for bird in individuals}).static_order())


def lineage_of(pedigree: Pedigree) -> Lineage:
    """Number the birds of a pedigree that has been checked."""
    ids = parents_first(pedigree.individuals)
    position = {name: number for number, name in enumerate(ids)}
    nodes: dict[PossibleParents, int] = {}

    def node(parent: Parent) -> int:
        if parent is None:
            return UNKNOWN
        if isinstance(parent, str):
            return position[parent]
        return nodes.setdefault(parent, len(ids) + len(nodes))

    birds = [pedigree[name] for name in ids]
    sires = [node(bird.sire) for bird in birds]
    dams = [node(bird.dam) for bird in birds]
    mixtures = tuple(tuple((position[n], c) for n, c in mixture.fractions().items()) for mixture in nodes)
    depth, level = _depths(sires, dams, mixtures)
    return Lineage(ids, position, sires, dams, mixtures, depth, level)


def _depths(
    sires: Sequence[int], dams: Sequence[int], mixtures: Sequence[tuple[tuple[int, Fraction], ...]]
) -> tuple[list[int], list[int]]:
    birds = len(sires)
    # The place behind the last node answers for UNKNOWN, which is -1.
    depth, level = [-1] * (birds + len(mixtures) + 1), [-1] * (birds + len(mixtures) + 1)
    for bird, parents in enumerate(zip(sires, dams, strict=True)):
        for node in parents:
            if node >= birds and level[node] < 0:
                members = [member for member, _ in mixtures[node - birds]]
                depth[node] = max(depth[member] for member in members)
                level[node] = max(level[member] for member in members) + 1
        depth[bird] = max(depth[node] for node in parents) + 1
        level[bird] = max(level[node] for node in parents) + 1
    return depth[:birds], level[:-1]
