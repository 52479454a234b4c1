"""Exact sums over products of factors: a good order, then two passes over a tree of cliques.

The forward pass sums variables out one by one and gives the total; the backward pass sends what the rest knows back
down, so that one sweep gives the distribution of every variable (Lauritzen & Spiegelhalter 1988; the division of
separators is that of Jensen, Lauritzen & Olesen 1990).  All divisions come out even, so whole numbers stay whole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import log2
from typing import Any

import attrs

from pinfeather.exact.factors import Arithmetic, Factor, divided, product, reduced_table, rescaled

ABANDON = 2**34
"""An order whose tables grow beyond this is not looked at any further."""


@attrs.frozen
class Order:
    """An order of elimination and what it costs.

    ``cliques`` gives, for each variable in order, the variables still there that it is tied to.
    """

    variables: tuple[int, ...]
    cliques: tuple[tuple[int, ...], ...]
    largest: int
    cost: int

    @property
    def width(self) -> int:
        """The size of the largest clique, less one."""
        return max((len(clique) for clique in self.cliques), default=0)


def elimination_order(scopes: Iterable[Sequence[int]], sizes: Mapping[int, int]) -> Order:
    """The better of two greedy orders: fewest new ties first, and smallest table first.

    Where a table would pass ``ABANDON`` the order is cut short and its size is a lower bound for that order.
    """
    ties: dict[int, set[int]] = {}
    for scope in scopes:
        for variable in scope:
            ties.setdefault(variable, set()).update(scope)
    for variable, others in ties.items():
        others.discard(variable)
    by_fill = _greedy(ties, sizes, _fill)
    if by_fill.largest <= 64:
        return by_fill
    return min((by_fill, _greedy(ties, sizes, _weight)), key=lambda order: (order.largest, order.cost))


def _greedy(
    start: Mapping[int, set[int]],
    sizes: Mapping[int, int],
    score: Callable[[int, dict[int, set[int]], Mapping[int, int]], tuple[float, ...]],
) -> Order:
    ties = {variable: set(others) for variable, others in start.items()}
    scores = {variable: score(variable, ties, sizes) for variable in ties}
    order: list[int] = []
    cliques: list[tuple[int, ...]] = []
    largest = cost = 0
    while ties:
        variable = min(scores, key=lambda v: (scores[v], v))
        neighbours = ties.pop(variable)
        del scores[variable]
        size = sizes[variable]
        for other in neighbours:
            size *= sizes[other]
        largest, cost = max(largest, size), cost + size
        order.append(variable)
        cliques.append(tuple(sorted(neighbours)))
        if size > ABANDON:
            break
        touched = _joined(variable, neighbours, ties)
        for other in touched:
            scores[other] = score(other, ties, sizes)
    return Order(tuple(order), tuple(cliques), largest, cost)


def _joined(variable: int, neighbours: set[int], ties: dict[int, set[int]]) -> set[int]:
    """Tie the neighbours of a variable that goes to each other; return those whose scores may have changed."""
    touched = set(neighbours)
    for other in neighbours:
        mine = ties[other]
        mine.discard(variable)
        fresh = neighbours - mine
        fresh.discard(other)
        if fresh:
            mine |= fresh
            touched |= mine
    return touched


def _fill(variable: int, ties: dict[int, set[int]], sizes: Mapping[int, int]) -> tuple[float, ...]:
    """How many ties would be new, then how large the table would be."""
    neighbours = ties[variable]
    missing = 0
    for other in neighbours:
        missing += len(neighbours) - 1 - len(neighbours & ties[other])
    return (missing, *_weight(variable, ties, sizes))


def _weight(variable: int, ties: dict[int, set[int]], sizes: Mapping[int, int]) -> tuple[float, ...]:
    return (log2(sizes[variable]) + sum(log2(sizes[other]) for other in ties[variable]),)


@attrs.frozen(eq=False)
class Swept:
    """What a sweep found: the total, and the beliefs of the cliques."""

    total: Any
    """The sum over everything, as ``total * scale``; ``scale`` is a whole number that was divided out on the way."""
    scale: int
    beliefs: Mapping[int, Factor]
    """For each variable, the belief of the clique in which it is summed out."""
    position: Mapping[int, int]
    """The place of each variable in the order of elimination."""

    def of(self, variable: int) -> list[Any]:
        """The weights of one variable's values, given everything."""
        return self.together([variable]).weights()

    def together(self, variables: Sequence[int]) -> Factor:
        """The weights of several variables together, given everything; some factor must have held them all."""
        belief = self.beliefs[min(variables, key=self.position.__getitem__)]
        return belief.summed_over(set(belief.variables).difference(variables))


def sweep(
    factors: Sequence[Factor],
    sizes: Mapping[int, int],
    order: Order,
    arithmetic: Arithmetic = "exact",
    *,
    backward: bool = True,
    on_clique: Callable[[int], None] | None = None,
) -> Swept:
    """Sum the product of all factors over all variables, and find what each clique holds given everything.

    ``on_clique`` is called with the size of each table as the forward pass goes along.
    """
    tree = _Tree.of(order)
    waiting: list[list[Factor]] = [[] for _ in order.variables]
    total: Any = 1
    for factor in factors:
        if factor.variables:
            waiting[tree.first(factor.variables)].append(factor)
        else:
            total = total * factor.weights()[0]
    held: list[Factor] = []
    messages: list[Factor] = []
    scale = 1
    for at, variable in enumerate(order.variables):
        variables = tree.variables(at)
        bucket = Factor(variables, product(waiting[at], variables, sizes, arithmetic))
        waiting[at] = []
        if on_clique is not None:
            on_clique(bucket.table.size)
        message = bucket.summed_over([variable])
        if arithmetic == "exact":
            table, shared = reduced_table(message.table)
            message, scale = Factor(message.variables, table), scale * shared
        elif arithmetic == "float":
            message = Factor(message.variables, rescaled(message.table))
        held.append(bucket)
        messages.append(message)
        if message.variables:
            waiting[tree.parent[at]].append(message)
        else:
            total = total * message.weights()[0]
    beliefs = _backward(order, tree, held, messages, sizes, arithmetic) if backward and total else {}
    return Swept(total, scale, beliefs, tree.position)


def _backward(
    order: Order,
    tree: _Tree,
    held: list[Factor],
    messages: list[Factor],
    sizes: Mapping[int, int],
    arithmetic: Arithmetic,
) -> dict[int, Factor]:
    beliefs: dict[int, Factor] = {}
    for at in reversed(range(len(order.variables))):
        # Taken off the lists, so that a bucket is gone once its belief is there: the tables are the memory.
        bucket, message = held.pop(), messages.pop()
        if message.variables:
            above = beliefs[order.variables[tree.parent[at]]]
            seen = above.summed_over(set(above.variables) - set(message.variables))
            outside = divided(seen.table, message.table)
            outside = reduced_table(outside)[0] if arithmetic == "exact" else rescaled(outside)
            bucket = Factor(
                bucket.variables,
                product([bucket, Factor(message.variables, outside)], bucket.variables, sizes, arithmetic),
            )
        beliefs[order.variables[at]] = bucket
    return beliefs


@attrs.frozen
class _Tree:
    """Which clique each message goes to."""

    order: Order
    position: Mapping[int, int]
    parent: tuple[int, ...]

    @classmethod
    def of(cls, order: Order) -> _Tree:
        position = {variable: at for at, variable in enumerate(order.variables)}
        parent = tuple(min((position[v] for v in clique), default=-1) for clique in order.cliques)
        return cls(order, position, parent)

    def first(self, variables: Iterable[int]) -> int:
        """The clique in which the first of some variables is summed out; it holds them all."""
        return min(self.position[variable] for variable in variables)

    def variables(self, at: int) -> tuple[int, ...]:
        return tuple(sorted((self.order.variables[at], *self.order.cliques[at])))
