"""Where the birds of a pedigree stand in its picture: rows by generation, mates near each other, few crossing lines.

Birds and families take turns as layers, and a line that skips a row passes it at a place of its own.  Each layer is put
in the order of the means of its neighbours, up and down in turn (the barycentre method; K. Sugiyama, S. Tagawa &
M. Toda 1981, IEEE Transactions on Systems, Man, and Cybernetics 11: 109-125; from memory).
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import pairwise

import attrs

from pinfeather.pedigree import Individual, Pedigree
from pinfeather.pedigree.individuals import Parent, chances

_SWEEPS = 24
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


def placed(pedigree: Pedigree, widths: Mapping[str, float]) -> Placing:
    """The places of all birds of a pedigree, given the room that each takes."""
    families = families_of(pedigree.individuals)
    depth = {name: pedigree.generation(name) for name in pedigree}
    above = tuple(max(depth[parent] for parent in family.parents) for family in families)
    layers, links = _layers(depth, families, above)
    ordered = _in_order(layers, _Links(links))

    def room(node: Node) -> float:
        if isinstance(node, str):
            return widths[node]
        return _COUPLE if isinstance(node, int) else _PASSING

    return Placing(families, tuple(map(tuple, ordered[::2])), above, _spread(ordered, _Links(links), room))


def _layers(
    depth: Mapping[str, int], families: Sequence[Family], above: Sequence[int]
) -> tuple[list[list[Node]], list[tuple[Node, Node]]]:
    """Birds and families in layers, and the links from each layer to the next; birds tied to nobody come last."""
    last: dict[str, int] = {}
    for family, row in zip(families, above, strict=True):
        last |= {parent: max(last.get(parent, 0), row) for parent in family.parents}
    tied = {name for family in families for name in (*family.parents, *family.chicks)}
    layers: list[list[Node]] = [[] for _ in range(2 * max(depth.values(), default=0) + 1)]
    links: list[tuple[Node, Node]] = []
    for name in sorted(depth, key=lambda name: name not in tied):
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


class _Links:
    """The neighbours of every node, above and below."""

    def __init__(self, links: Iterable[tuple[Node, Node]]) -> None:
        self.up: dict[Node, list[Node]] = {}
        self.down: dict[Node, list[Node]] = {}
        for upper, lower in links:
            self.down.setdefault(upper, []).append(lower)
            self.up.setdefault(lower, []).append(upper)

    def crossings(self, upper: Sequence[Node], lower: Sequence[Node]) -> int:
        """How many pairs of links between two layers cross."""
        place = {node: at for at, node in enumerate(lower)}
        seen: list[int] = []
        count = 0
        for node in upper:
            ends = sorted(place[other] for other in self.down.get(node, ()))
            count += sum(len(seen) - bisect_right(seen, end) for end in ends)
            for end in ends:
                insort(seen, end)
        return count


def _in_order(layers: list[list[Node]], links: _Links) -> list[list[Node]]:
    """The layers in an order with few crossings: the best that some sweeps found."""

    def crossings() -> int:
        return sum(links.crossings(upper, lower) for upper, lower in pairwise(layers))

    best, fewest = [list(layer) for layer in layers], crossings()
    for sweep in range(_SWEEPS):
        down = sweep % 2 == 0
        numbers = range(1, len(layers)) if down else range(len(layers) - 2, -1, -1)
        for number in numbers:
            place = {node: at for at, node in enumerate(layers[number - 1 if down else number + 1])}
            near = links.up if down else links.down
            layers[number] = _sorted_by_mean(layers[number], near, place)
        for number in range(len(layers)):
            _swap_neighbours(layers, number, links)
        count = crossings()
        if count < fewest:
            best, fewest = [list(layer) for layer in layers], count
    return best


def _sorted_by_mean(
    layer: Sequence[Node], near: Mapping[Node, Sequence[Node]], place: Mapping[Node, int]
) -> list[Node]:
    """Nodes by the mean place of their neighbours; those without any keep their place among the others."""
    moving = sorted(
        (node for node in layer if near.get(node)),
        key=lambda node: sum(place[other] for other in near[node]) / len(near[node]),
    )
    following = iter(moving)
    return [next(following) if near.get(node) else node for node in layer]


def _swap_neighbours(layers: list[list[Node]], number: int, links: _Links) -> None:
    """Swap nodes that stand side by side wherever that leaves fewer crossings."""
    layer = layers[number]
    beside = [
        (near, {node: at for at, node in enumerate(layers[other])})
        for near, other in ((links.up, number - 1), (links.down, number + 1))
        if 0 <= other < len(layers)
    ]

    def crossed(left: Node, right: Node) -> int:
        return sum(
            place[a] > place[b] for near, place in beside for a in near.get(left, ()) for b in near.get(right, ())
        )

    for at in range(len(layer) - 1):
        if crossed(layer[at], layer[at + 1]) > crossed(layer[at + 1], layer[at]):
            layer[at], layer[at + 1] = layer[at + 1], layer[at]


def _spread(layers: Sequence[Sequence[Node]], links: _Links, room: Callable[[Node], float]) -> dict[Node, float]:
    """How far to the right each node stands: near its neighbours, with room for all, and nothing left of 0."""
    x: dict[Node, float] = {}
    for layer in layers:
        right = 0.0
        for node in layer:
            x[node] = right + room(node) / 2
            right += room(node)
    both = {node: [*links.up.get(node, ()), *links.down.get(node, ())] for node in x}
    for sweep in range(_SWEEPS):
        near = both if sweep >= _SWEEPS - 4 else (links.up, links.down)[sweep % 2]
        for layer in layers if near is not links.down else reversed(layers):
            wishes = [
                (sum(x[other] for other in near[node]) / len(near[node]), 1.0) if near.get(node) else (x[node], 0.05)
                for node in layer
            ]
            x.update(zip(layer, _kept_apart(wishes, [room(node) for node in layer]), strict=True))
    left = min((x[node] - room(node) / 2 for node in x), default=0.0)
    return {node: value - left for node, value in x.items()}


def _kept_apart(wishes: Sequence[tuple[float, float]], rooms: Sequence[float]) -> list[float]:
    """The places nearest to those wished, by weighted squares, at which nothing overlaps and the order stays.

    Neighbours that would overlap are pooled (pool adjacent violators; M. Ayer et al. 1955, Annals of Mathematical
    Statistics 26: 641-647; from memory).
    """
    starts: list[float] = []
    pools: list[tuple[float, float, int]] = []  # sum of weighted wishes, sum of weights, members
    right = 0.0
    for (wish, weight), room in zip(wishes, rooms, strict=True):
        starts.append(right + room / 2)
        right += room
        pools.append(((wish - starts[-1]) * weight, weight, 1))
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] > pools[-1][0] / pools[-1][1]:
            (total, weights, members), (other, more, few) = pools[-2:]
            pools[-2:] = [(total + other, weights + more, members + few)]
    shifts = [total / weights for total, weights, members in pools for _ in range(members)]
    return [start + shift for start, shift in zip(starts, shifts, strict=True)]
