"""Things in layers, tied to things in the next: an order with few crossing ties, and places with room for all.

Each layer is put in the order of the means of its neighbours, up and down in turn (the barycentre method; K. Sugiyama,
S. Tagawa & M. Toda 1981, IEEE Transactions on Systems, Man, and Cybernetics 11: 109-125); then everything is moved, one
after the other, to where in its layer it crosses least (sifting; C. Matuszewski, R. Schönfeld & P. Molitor 1999,
Graph Drawing, LNCS 1731: 217-224).  Both from memory.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from itertools import pairwise
from math import inf
from typing import TypeVar

Node = TypeVar("Node", bound=Hashable)

_SWEEPS, _SIFTS, _FINALISTS = 24, 8, 2


class Links:
    """The neighbours of every node, above and below."""

    def __init__(self, links: Iterable[tuple[Hashable, Hashable]]) -> None:
        self.up: dict[Hashable, list[Hashable]] = {}
        self.down: dict[Hashable, list[Hashable]] = {}
        for upper, lower in links:
            self.down.setdefault(upper, []).append(lower)
            self.up.setdefault(lower, []).append(upper)

    def crossings(self, upper: Sequence[Hashable], lower: Sequence[Hashable]) -> int:
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

    def all_crossings(self, layers: Sequence[Sequence[Hashable]]) -> int:
        """How many pairs of links cross in all."""
        return sum(self.crossings(upper, lower) for upper, lower in pairwise(layers))


def in_order(layers: Sequence[Sequence[Node]], links: Links) -> list[list[Node]]:
    """The layers in an order with few crossings: the best that some sweeps found."""
    now = [list(layer) for layer in layers]
    found = [(links.all_crossings(now), 0, now)]
    for sweep in range(1, _SWEEPS + 1):
        now = [list(layer) for layer in now]
        down = sweep % 2 == 1
        for number in range(1, len(now)) if down else range(len(now) - 2, -1, -1):
            place = {node: at for at, node in enumerate(now[number - 1 if down else number + 1])}
            now[number] = _sorted_by_mean(now[number], links.up if down else links.down, place)
        for number in range(len(now)):
            _sift(now, number, links, 1)
        found.append((links.all_crossings(now), sweep, now))
    found.sort(key=lambda one: one[:2])
    return min((_sifted(layers, links) for _, _, layers in found[:_FINALISTS]), key=links.all_crossings)


def _sifted(layers: Sequence[Sequence[Node]], links: Links) -> list[list[Node]]:
    """The layers sifted one after the other, and again as long as that helps."""
    now = [list(layer) for layer in layers]
    count = links.all_crossings(now)
    for _ in range(_SIFTS):
        for number in range(len(now)):
            _sift(now, number, links, len(now[number]))
        before, count = count, links.all_crossings(now)
        if count == before:
            break
    return now


def _sorted_by_mean(
    layer: Sequence[Node], near: Mapping[Hashable, Sequence[Hashable]], place: Mapping[Node, int]
) -> list[Node]:
    """Nodes by the mean place of their neighbours; those without any keep their place among the others."""
    moving = sorted(
        (node for node in layer if near.get(node)),
        key=lambda node: _mean(place[other] for other in near[node]),  # type: ignore[index]
    )
    following = iter(moving)
    return [next(following) if near.get(node) else node for node in layer]


def _mean(values: Iterable[float]) -> float:
    found = list(values)
    return sum(found) / len(found)


def _sift(layers: list[list[Node]], number: int, links: Links, far: int) -> None:
    """Move every node of a layer to where it crosses least, so far at most; it stays where that is no better."""
    layer = layers[number]
    ends: dict[Node, list[list[int]]] = {node: [] for node in layer}
    for near, other in ((links.up, number - 1), (links.down, number + 1)):
        if 0 <= other < len(layers):
            place: dict[Hashable, int] = {node: at for at, node in enumerate(layers[other])}
            for node in layer:
                ends[node].append(sorted(place[end] for end in near.get(node, ())))

    def gain(left: Node, right: Node) -> int:
        """How many crossings fewer there are when the two change sides."""
        return sum(
            len(theirs) - bisect_right(theirs, end) - bisect_left(theirs, end)
            for own, theirs in zip(ends[right], ends[left], strict=True)
            for end in own
        )

    for node in list(layer):
        start = layer.index(node)
        best, most = start, 0
        for step, stop in ((-1, max(start - far, 0) - 1), (1, min(start + far + 1, len(layer)))):
            saved = 0
            for at in range(start + step, stop, step):
                saved += gain(layer[at], node) if step < 0 else gain(node, layer[at])
                if saved > most:
                    best, most = at, saved
        layer.insert(best, layer.pop(start))


def spread(
    layers: Sequence[Sequence[Node]], links: Links, room: Callable[[Node], float], chains: Iterable[Sequence[Node]] = ()
) -> dict[Node, float]:
    """How far along its layer each node stands: near its neighbours, with room for all, and nothing before 0.

    Chains are nodes of following layers, such as the places where one line passes: they stand straight where they can.
    """
    x: dict[Node, float] = {}
    for layer in layers:
        right = 0.0
        for node in layer:
            x[node] = right + room(node) / 2
            right += room(node)
    both = {node: [*links.up.get(node, ()), *links.down.get(node, ())] for node in x}
    for sweep in range(_SWEEPS):
        near: Mapping[Hashable, Sequence[Hashable]] = both  # type: ignore[assignment]
        if sweep < _SWEEPS - 4:
            near = (links.up, links.down)[sweep % 2]
        for layer in layers if near is not links.down else reversed(layers):
            wishes = [
                (_mean(x[other] for other in near[node]), 1.0)  # type: ignore[index]
                if near.get(node)
                else (x[node], 0.05)
                for node in layer
            ]
            x.update(zip(layer, _kept_apart(wishes, [room(node) for node in layer]), strict=True))
    _straighten(layers, x, room, chains)
    left = min((x[node] - room(node) / 2 for node in x), default=0.0)
    return {node: value - left for node, value in x.items()}


def _straighten(
    layers: Sequence[Sequence[Node]],
    x: dict[Node, float],
    room: Callable[[Node], float],
    chains: Iterable[Sequence[Node]],
) -> None:
    """Move the nodes of each chain to one place, as many in a row as have room there."""
    beside: dict[Node, tuple[Node | None, Node | None]] = {}
    for layer in layers:
        beside |= {
            node: (left, right) for left, node, right in zip([None, *layer], layer, [*layer[1:], None], strict=False)
        }
    for chain in chains:
        together: list[Node] = []
        low, high = -inf, inf
        for node in [*chain, None]:
            if node is not None:
                left, right = beside[node]
                least = -inf if left is None else x[left] + (room(left) + room(node)) / 2
                most = inf if right is None else x[right] - (room(right) + room(node)) / 2
                if max(low, least) <= min(high, most):
                    together, low, high = [*together, node], max(low, least), min(high, most)
                    continue
            if together:
                middle = min(max(sum(x[one] for one in together) / len(together), low), high)
                x.update(dict.fromkeys(together, middle))
            if node is not None:
                together, low, high = [node], least, most


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
