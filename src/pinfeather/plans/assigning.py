"""Who goes into which pen at the least cost: a min-cost flow, with pens that are either empty or full enough.

Whole-number costs keep the optimum exact.  A pen of at least two hens or none at all is no flow problem; it is settled
by branching on the pens that the flow left too small, each branch again a flow with a bound below.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from fractions import Fraction
from math import lcm
from typing import Any

import attrs

from pinfeather.errors import TooLargeError

_MOST_EDGES = 2_000_000
_LEAST_FLOWS = 200
_SOURCE, _PENS = "source", "pens"


@attrs.frozen(eq=False)
class Demand:
    """Cocks with the least and the most hens of a pen, hens, and what each allowed pairing costs.

    ``left_out`` holds what it costs to leave a hen out; a hen that is not in it has to be placed.  Cocks in ``must``
    have to have a pen, and at most ``pens`` of them have one.
    """

    bounds: Mapping[str, tuple[int, int]]
    hens: tuple[str, ...]
    costs: Mapping[tuple[str, str], int]
    left_out: Mapping[str, int]
    must: frozenset[str] = frozenset()
    pens: int | None = None


def cheapest(demand: Demand) -> dict[str, str] | None:
    """For each hen placed, her cock, at the least cost; None where nothing meets all demands."""
    best: tuple[int, dict[str, str]] | None = None
    waiting = [(frozenset(demand.must), frozenset[str]())]
    flows = 0
    most = max(_LEAST_FLOWS, _MOST_EDGES // (len(demand.costs) + 1))
    while waiting:
        used, unused = waiting.pop()
        if demand.pens is not None and len(used) > demand.pens:
            continue
        flows += 1
        if flows > most:
            message = (
                f"more than {most:,} flows were tried to settle which pens to open; name fewer cocks, allow more pens, "
                "or lower the least number of hens of a pen to 1"
            )
            raise TooLargeError(message, size=flows, limit=most)
        found = _flow(demand, used, unused)
        if found is None or (best is not None and found[0] >= best[0]):
            continue
        cock = _to_settle(demand, used, found[1])
        if cock is None:
            best = found
        else:
            waiting.append((used, unused | {cock}))
            waiting.append((used | {cock}, unused))
    return None if best is None else best[1]


def _to_settle(demand: Demand, used: frozenset[str], placed: Mapping[str, str]) -> str | None:
    """A cock whose pen came out too small, or one pen too many."""
    sizes: dict[str, int] = {}
    for cock in placed.values():
        sizes[cock] = sizes.get(cock, 0) + 1
    for cock, size in sizes.items():
        if cock not in used and size < demand.bounds[cock][0]:
            return cock
    if demand.pens is not None and len(set(sizes) | used) > demand.pens:
        return max((cock for cock in sizes if cock not in used), key=lambda cock: sizes[cock])
    return None


def _flow(demand: Demand, used: frozenset[str], unused: frozenset[str]) -> tuple[int, dict[str, str]] | None:
    """The cheapest flow where some pens have to be opened and some may not be."""
    import networkx

    if demand.pens is not None and len(used) == demand.pens:
        unused = frozenset(demand.bounds) - used
    sizes = {cock: (max(low, 1) if cock in used else 0, high) for cock, (low, high) in demand.bounds.items()}
    sizes = {cock: size for cock, size in sizes.items() if cock not in unused}
    supply = sum(least for least, _ in sizes.values())
    if supply > len(demand.hens):
        return None
    graph: networkx.DiGraph[Hashable] = networkx.DiGraph()
    # No more hens than the largest pens together hold: it keeps the bound near when only a few pens may be opened.
    room = sum(sorted((high for _, high in sizes.values()), reverse=True)[: demand.pens])
    graph.add_edge(_SOURCE, _PENS, capacity=max(0, room - supply), weight=0)
    for cock, (least, high) in sizes.items():
        graph.add_node(("cock", cock), demand=-least)
        graph.add_edge(_PENS, ("cock", cock), capacity=high - least, weight=0)
    for hen in demand.hens:
        graph.add_node(("hen", hen), demand=1)
        if hen in demand.left_out:
            graph.add_edge(_SOURCE, ("hen", hen), capacity=1, weight=demand.left_out[hen])
    for (cock, hen), cost in demand.costs.items():
        if cock in sizes:
            graph.add_edge(("cock", cock), ("hen", hen), capacity=1, weight=cost)
    graph.add_node(_SOURCE, demand=supply - len(demand.hens))
    try:
        cost, flow = networkx.network_simplex(graph)
    except networkx.NetworkXUnfeasible:
        return None
    placed = {hen: cock for (cock, hen) in demand.costs if cock in sizes and flow[("cock", cock)].get(("hen", hen), 0)}
    return int(cost), placed


def scaled(levels: Sequence[Mapping[Any, Fraction]], most: int) -> dict[Any, int]:
    """Whole-number costs that put assignments in the order of the first level, ties by the second, and so on.

    ``most`` is how many costs an assignment adds up.
    """
    costs: dict[Any, int] = dict.fromkeys(levels[0], 0)
    for level in levels:
        denominator = lcm(*(value.denominator for value in level.values()))
        whole = {key: value.numerator * (denominator // value.denominator) for key, value in level.items()}
        spread = most * (max(whole.values(), default=0) - min(whole.values(), default=0)) + 1
        costs = {key: cost * spread + whole[key] for key, cost in costs.items()}
    return costs
