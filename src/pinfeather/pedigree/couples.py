"""Many pairs of birds known together: one sweep for the flock, then one walk through the cliques for each bird.

After a sweep every clique holds what is known of its own birds.  From the clique of one bird the walk carries that
bird's genotype along as one more axis: across a separator the joint table is the neighbour's own, times the chance of
the carried bird given the separator.  So a thousand pairs cost little more than the sweep (the idea of out-of-clique
marginals; R. G. Cowell, A. P. Dawid, S. L. Lauritzen & D. J. Spiegelhalter 1999, Probabilistic Networks and Expert
Systems, chapter 6; from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import TypeAlias

import attrs

from pinfeather.errors import ImpossibleError, TooLargeError
from pinfeather.exact.elimination import Order, Swept, elimination_order, sweep
from pinfeather.exact.factors import Factor, product, reduced_table
from pinfeather.exact.symbolic import Weight, WeightRing, common_multiple, even_quotient
from pinfeather.heredity.genotypes import Genotype
from pinfeather.heredity.sexes import Sex
from pinfeather.pedigree.network import Network, Setting, bits, connected
from pinfeather.pedigree.next_mating import bird_of, couple_chances
from pinfeather.pedigree.preparing import prepared

Table: TypeAlias = "list[list[Weight]]"
"""The weights of two birds together: a row for each state of the first."""

Joint: TypeAlias = "tuple[list[tuple[int, int]], list[Weight]]"
"""The possible couples of states of two birds, with their weights."""


def prepared_for_breeding(setting: Setting, birds: Collection[str]) -> Network:
    """The network of a flock some of whose birds are about to be bred."""
    network = prepared(setting, keep=birds, breeding=birds)
    if network.impossible is not None:
        message = (
            f"no genotype fits the records of {network.impossible} once {', '.join(birds)} are taken to live to breed"
        )
        raise ImpossibleError(message, birds=tuple(birds))
    return network


def joint_weights(
    setting: Setting, firsts: Sequence[str], seconds: Sequence[str], largest: int
) -> Iterator[tuple[str, Mapping[str, Joint]]]:
    """For each of the first birds: its genotype together with that of each of the second, given everything.

    All birds named are taken to be alive to breed.
    """
    birds = tuple(dict.fromkeys((*firsts, *seconds)))
    network = prepared_for_breeding(setting, birds)
    if setting.space.ring.generators:
        # Polynomials have no handy common multiples: take the pairs one by one.
        for first in firsts:
            yield first, {second: _one_pair(setting, first, second, largest) for second in seconds}
        return
    trees = [Tree.of(network, factors, largest) for factors in connected(network.factors)]
    home = {variable: tree for tree in trees for variable in tree.swept.beliefs}
    position = setting.position
    targets: dict[int, set[int]] = {id(tree): set() for tree in trees}
    for name in birds:
        if position[name] in home:
            targets[id(home[position[name]])].add(position[name])
    ways = {id(tree): tree.ways_between(targets[id(tree)]) for tree in trees}
    alone = {name: _alone(network, home, position[name]) for name in birds}
    domains = {name: bits(network.masks[position[name]]) for name in birds}
    for first in firsts:
        own = position[first]
        tree = home.get(own)
        tables = tree.together(own, targets[id(tree)], ways[id(tree)]) if tree is not None else {}
        found: dict[str, Joint] = {}
        for second in seconds:
            table = tables.get(position[second])
            if table is None:
                table = [[left * right for right in alone[second]] for left in alone[first]]
            found[second] = _possible(domains[first], domains[second], table)
        yield first, found


def _one_pair(setting: Setting, first: str, second: str, largest: int) -> Joint:
    couples, chances = couple_chances(setting, first, second, largest)
    values = list(chances.values())
    return [couples[number] for number in chances], WeightRing.of(values).whole(values)[0]


def _possible(rows: Sequence[int], columns: Sequence[int], table: Table) -> Joint:
    """The couples of states that are possible, with their weights."""
    pairs = [
        ((one, other), weight)
        for one, row in zip(rows, table, strict=True)
        for other, weight in zip(columns, row, strict=True)
        if weight
    ]
    return [states for states, _ in pairs], [weight for _, weight in pairs]


def whole_genotype(setting: Setting, sex: Sex, state: int) -> Genotype:
    """A state as a genotype at every locus; what was not asked about is as the flock's background has it."""
    return bird_of(setting, range(len(setting.space.species.loci)), sex, state)


def _alone(network: Network, home: Mapping[int, Tree], bird: int) -> list[Weight]:
    """The weights of one bird's states."""
    if bird not in home:
        return [1] * len(bits(network.masks[bird]))  # one state is left
    return home[bird].swept.of(bird)


@attrs.frozen(eq=False)
class Tree:
    """The cliques of birds that are tied, each with what it holds given everything; and which lies beside which."""

    sizes: Mapping[int, int]
    order: Order
    swept: Swept
    beside: tuple[tuple[int, ...], ...]

    @classmethod
    def of(cls, network: Network, factors: Sequence[Factor], largest: int) -> Tree:
        """Sweep some factors that are connected."""
        order = elimination_order([factor.variables for factor in factors], network.sizes)
        if order.largest > largest:
            message = (
                f"the birds together need a table of {order.largest:,} entries, more than {largest:,}; see "
                "birds_to_type(), name fewer birds, or raise largest_table"
            )
            raise TooLargeError(message, size=order.largest, limit=largest)
        swept = sweep(factors, network.sizes, order)
        beside: list[list[int]] = [[] for _ in order.variables]
        for at, clique in enumerate(order.cliques):
            if clique:
                parent = min(swept.position[v] for v in clique)
                beside[at].append(parent)
                beside[parent].append(at)
        return cls(network.sizes, order, swept, tuple(map(tuple, beside)))

    def ways_between(self, targets: Iterable[int]) -> tuple[frozenset[int], ...]:
        """For each clique, the neighbours that lie on a way between targets."""
        wanted = {self.swept.position[variable] for variable in targets}
        left = [set(neighbours) for neighbours in self.beside]
        ends = [at for at, neighbours in enumerate(left) if len(neighbours) <= 1 and at not in wanted]
        while ends:
            at = ends.pop()
            for other in left[at]:
                left[other].discard(at)
                if len(left[other]) == 1 and other not in wanted:
                    ends.append(other)
            left[at] = set()
        return tuple(map(frozenset, left))

    def together(self, bird: int, others: Collection[int], ways: Sequence[frozenset[int]]) -> dict[int, Table]:
        """The weights of a bird's states together with those of each of some others."""
        start = self.swept.position[bird]
        joint = {start: self._belief(start)}
        found: dict[int, Table] = {}
        waiting = [(start, -1)]
        while waiting:
            at, behind = waiting.pop()
            here = joint.pop(at)
            variable = self.order.variables[at]
            if variable in others:
                found[variable] = self._read(here, bird, variable)
            for beyond in ways[at]:
                if beyond != behind:
                    joint[beyond] = self._across(here, beyond, bird)
                    waiting.append((beyond, at))
        return found

    def _belief(self, at: int) -> Factor:
        return self.swept.beliefs[self.order.variables[at]]

    def _across(self, here: Factor, beyond: int, bird: int) -> Factor:
        """Carry a bird from one clique into the next."""
        there = self._belief(beyond)
        if bird in there.variables:
            return there
        between = set(here.variables) & set(there.variables)
        carried = here.summed_over(set(here.variables) - between - {bird})
        known = there.summed_over(set(there.variables) - between)
        weights = known.weights()
        multiple = common_multiple(weight for weight in weights if weight)
        shares = [even_quotient(multiple, weight) if weight else 0 for weight in weights]
        share = Factor.of(known.variables, known.table.shape, shares)
        variables = tuple(sorted({*there.variables, bird}))
        ratio = Factor(carried.variables, product([carried, share], carried.variables, self.sizes, "exact"))
        ratio = Factor(ratio.variables, reduced_table(ratio.table)[0])
        table = product([there, ratio], variables, self.sizes, "exact")
        return Factor(variables, reduced_table(table)[0])

    def _read(self, joint: Factor, bird: int, other: int) -> Table:
        if bird == other:
            weights = joint.summed_over(set(joint.variables) - {bird}).weights()
            return [[weight if at == row else 0 for at in range(len(weights))] for row, weight in enumerate(weights)]
        both = joint.summed_over(set(joint.variables) - {bird, other})
        table: Table = both.table.tolist()
        return table if bird < other else [list(row) for row in zip(*table, strict=True)]
