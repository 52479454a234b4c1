"""Where the birds of a pedigree stand in its picture: rows by generation, mates near each other, few crossing lines.

Birds and families take turns as layers, and a line that skips a row passes it at a place of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import attrs

from pinfeather.pedigree import Individual, Pedigree
from pinfeather.pedigree.individuals import Parent, chances
from pinfeather.pictures.layers import Links, in_order, spread

# Inches: the room of a line that passes a row, and of the line that comes down from a couple.
_PASSING, _COUPLE = 0.2, 0.12


@attrs.frozen
class Family:
    """The chicks of one couple; a parent may be unknown, or one of several with a chance of each."""

    sire: Parent
    dam: Parent
    chicks: tuple[str, ...]

    @property
    def parents(self) -> dict[str, str]:
        """The birds that are, or may be, parents; those that only may be have a chance, as text."""
        both = (*chances(self.sire), *chances(self.dam))
        return {name: "" if chance == 1 else str(chance) for name, chance in both}


@attrs.frozen
class Passing:
    """The place where the line of a parent passes a layer on its way down."""

    parent: str
    layer: int


Node = str | int | Passing
"""A bird by its id, a family by its number, or a line that passes."""


@attrs.frozen(eq=False)
class Placing:
    """Rows of birds and passing lines from left to right, and how far to the right each stands, in inches."""

    families: tuple[Family, ...]
    rows: tuple[tuple[Node, ...], ...]
    above: tuple[int, ...]
    """For each family, the row that its line comes down from: the lowest of its parents'."""
    x: Mapping[Node, float]
    row: Mapping[str, int]
    """The row of each bird."""

    def stand_in(self, parent: str, row: int) -> Node:
        """The bird, or its line, in a row."""
        return parent if parent in self.rows[row] else Passing(parent, 2 * row)


def families_of(birds: Iterable[Individual]) -> tuple[Family, ...]:
    """The birds that share both parents, family by family."""
    found: dict[tuple[Parent, Parent], list[str]] = {}
    for bird in birds:
        if bird.sire is not None or bird.dam is not None:
            found.setdefault((bird.sire, bird.dam), []).append(bird.id)
    return tuple(Family(sire, dam, tuple(chicks)) for (sire, dam), chicks in found.items())


def rows_of(pedigree: Pedigree, families: Sequence[Family]) -> dict[str, int]:
    """The row of every bird: one below the lowest of its parents.

    A bird without parents on record stands beside its first mate, however late it was bought in.
    """
    row = {name: pedigree.generation(name) for name in pedigree}
    bought: dict[str, int] = {}
    for family in families:
        for name in family.parents:
            lowest = max((row[other] for other in family.parents if other != name), default=0)
            if not pedigree.parents(name):
                bought[name] = min(bought.get(name, lowest), lowest)
    return row | bought


def placed(pedigree: Pedigree, widths: Mapping[str, float]) -> Placing:
    """The places of all birds of a pedigree, given the room that each takes."""
    families = families_of(pedigree.individuals)
    depth = rows_of(pedigree, families)
    above = tuple(max(depth[parent] for parent in family.parents) for family in families)
    layers, ties = layers_of(depth, families, above)
    links = Links(ties)
    ordered = in_order(layers, links)

    def room(node: Node) -> float:
        if isinstance(node, str):
            return widths[node]
        return _COUPLE if isinstance(node, int) else _PASSING

    passing: dict[str, list[Node]] = {}
    for layer in ordered:
        for node in layer:
            if isinstance(node, Passing):
                passing.setdefault(node.parent, []).append(node)
    x = spread(ordered, links, room, passing.values())
    return Placing(families, tuple(map(tuple, ordered[::2])), above, x, depth)


def layers_of(
    depth: Mapping[str, int], families: Sequence[Family], above: Sequence[int]
) -> tuple[list[list[Node]], list[tuple[Node, Node]]]:
    """Birds and families in layers, and the links from each layer to the next."""
    last: dict[str, int] = {}
    for family, row in zip(families, above, strict=True):
        last |= {parent: max(last.get(parent, 0), row) for parent in family.parents}
    layers: list[list[Node]] = [[] for _ in range(2 * max(depth.values(), default=0) + 1)]
    links: list[tuple[Node, Node]] = []
    for name in depth:
        layers[2 * depth[name]].append(name)
        node: Node = name
        for layer in range(2 * depth[name] + 1, 2 * last.get(name, 0) + 1):
            layers[layer].append(Passing(name, layer))
            links.append((node, Passing(name, layer)))
            node = Passing(name, layer)
    for number, family in enumerate(families):
        layers[2 * above[number] + 1].append(number)
        for parent in family.parents:
            links.append((parent if depth[parent] == above[number] else Passing(parent, 2 * above[number]), number))
        links += [(number, chick) for chick in family.chicks]
    return layers, links
