"""The factors of a flock: what each bird and each hatch says, over the genotypes that are left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from typing import Any

import attrs

from pinfeather.exact.factors import Factor
from pinfeather.exact.symbolic import Weight, common_multiple, even_quotient
from pinfeather.pedigree.descent import BRED, HATCHED
from pinfeather.pedigree.evidence import Frequencies, Record, Vector
from pinfeather.pedigree.genotype_space import Kind
from pinfeather.pedigree.individuals import Hatch, Parent, PossibleParents, chances
from pinfeather.pedigree.mixed_hatches import mixed_factor
from pinfeather.pedigree.network import Family, Leaf, Network, bits, counted


@attrs.define(eq=False)
class Builder:
    """Builds the factors of a network whose masks are final; birds in ``keep`` stay variables."""

    network: Network
    keep: set[int]
    domains: list[list[int]] = attrs.field(init=False)
    _templates: dict[Any, Any] = attrs.field(factory=dict)
    _on_parents: dict[tuple[int | None, int | None], Counter[Any]] = attrs.field(factory=dict)

    def __attrs_post_init__(self) -> None:
        self.domains = [bits(mask) for mask in self.network.masks]

    def build(self, dropped: Collection[Record]) -> None:
        """Build every factor."""
        network = self.network
        individuals = network.setting.pedigree.individuals
        parents = {p for family in network.families for role in family.roles for p in role}
        for bird, domain in enumerate(self.domains):
            network.sizes[bird] = len(domain)
        with_family: set[int] = set()
        for family in network.families:
            if family.child is None:
                continue
            with_family.add(family.child)
            if family.child in parents or family.child in self.keep or max(map(len, family.roles)) > 1:
                self._chick(family)
            else:
                self._leaf(family)
        for bird in range(len(individuals)):
            if bird not in with_family:
                self._founder(bird)
        for hatch in network.setting.pedigree.hatches:
            self._hatch(hatch, dropped)
        for pair, templates in self._on_parents.items():
            self._put_on_parents(pair, templates)
        network.factors = [factor for factor in network.factors if factor.variables]

    # Evidence of one bird.

    def _evidence(self, bird: int) -> tuple[list[Weight], int]:
        """The weights of a bird's own records over its states that are left."""
        domain = self.domains[bird]
        weights: list[Weight] = [1] * len(domain)
        total = 1
        for vector, own in self.network.vectors[bird]:
            weights = [w * vector[state] for w, state in zip(weights, domain, strict=True)]
            total *= own
        return weights, total

    def _founder(self, bird: int) -> None:
        setting = self.network.setting
        individual = setting.pedigree.individuals[bird]
        kind = self.network.kinds[bird]
        frequencies = setting.frequencies(individual)
        prior, total = self._template(
            ("founder", kind, individual.id if individual.id in setting.special else None),
            lambda: setting.space.founder_weights(kind, frequencies),
        )
        evidence, own = self._evidence(bird)
        alive = self._alive_founders(bird, kind, frequencies)
        weights = [prior[state] * w for state, w in zip(self.domains[bird], evidence, strict=True)]
        divisor = own * total if alive is None else own // alive[1] * alive[0]
        self._add(Factor.of((bird,), (len(weights),), weights), divisor)

    def _alive_founders(self, bird: int, kind: Kind, frequencies: Frequencies) -> tuple[Weight, int] | None:
        """Where some founders' genotypes do not live: the weight of those that do, and what survival is out of."""
        setting = self.network.setting
        individual = setting.pedigree.individuals[bird]
        survival = setting.reader.survival(BRED if individual.id in self.network.bred else HATCHED, kind)
        if survival is None:
            return None
        prior, _ = setting.space.founder_weights(kind, frequencies)
        total: Weight = 0
        for weight, alive in zip(prior, survival[0], strict=True):
            total = total + weight * alive
        return total, survival[1]

    # Chicks that stay variables.

    def _chick(self, family: Family) -> None:
        assert family.child is not None  # counted chicks are not banded
        child = family.child
        sire = self._parent(family, 0)
        dam = self._parent(family, 1)
        table, total = self._family_table(family, sire, dam, child)
        variables = (*(v for v in (sire, dam) if v is not None), child)
        shape = [self.network.sizes[v] for v in variables]
        self._add(Factor.of(variables, shape, table), total)

    def _parent(self, family: Family, role: int) -> int | None:
        """The variable of a parent; of several possible ones, a variable that is a copy of the right one."""
        birds = family.roles[role]
        if len(birds) <= 1:
            return birds[0] if birds else None
        assert family.child is not None  # only banded birds come here
        network = self.network
        individual = network.setting.pedigree.individuals[family.child]
        given: Parent = individual.sire if role == 0 else individual.dam
        assert isinstance(given, PossibleParents)  # more than one candidate
        shares = [chance for _, chance in chances(given)]
        weights, total = network.setting.space.ring.whole(shares)
        selector, copy = len(self.domains), len(self.domains) + 1
        states = sorted({state for bird in birds for state in self.domains[bird]})
        self.domains.extend([list(range(len(birds))), states])
        network.sizes.update({selector: len(birds), copy: len(states)})
        network.selectors[family.child, role] = selector
        self._add(Factor.of((selector,), (len(birds),), weights), total)
        for number, bird in enumerate(birds):
            flat = [
                1 if chosen != number or own == theirs else 0
                for chosen in range(len(birds))
                for theirs in self.domains[bird]
                for own in states
            ]
            shape = (len(birds), len(self.domains[bird]), len(states))
            self._add(Factor.of((selector, bird, copy), shape, flat), 1)
        return copy

    def _family_table(
        self, family: Family, sire: int | None, dam: int | None, child: int
    ) -> tuple[list[Weight], Weight]:
        """A chick's weights for all states of its parents and itself, over one total."""
        evidence, own = self._evidence(child)
        key = (
            None if sire is None else tuple(self.domains[sire]),
            None if dam is None else tuple(self.domains[dam]),
            tuple(self.domains[child]),
            family.kind,
            family.stages,
        )
        rows, total = self._template(key, lambda: self._rows(*key))
        flat = [row.get(state, 0) * w for row in rows for state, w in zip(self.domains[child], evidence, strict=True)]
        return flat, total * own

    def _rows(
        self,
        sires: tuple[int, ...] | None,
        dams: tuple[int, ...] | None,
        _child: tuple[int, ...],
        kind: Kind,
        stages: tuple[str, ...],
    ) -> tuple[list[dict[int, Weight]], Weight]:
        descent = self.network.setting.descent
        rows = [descent.row(s, d, kind, stages) for s in sires or (None,) for d in dams or (None,)]
        total = common_multiple(total for _, total in rows if total)
        return [
            {state: weight * even_quotient(total, own) for state, weight in row} if own else {} for row, own in rows
        ], total

    # Childless chicks and counted chicks: evidence on their parents.

    def _leaf(self, family: Family) -> None:
        assert family.child is not None  # counted chicks come by themselves
        child = family.child
        sire, dam = (role[0] if role else None for role in family.roles)
        evidence, own = self._evidence(child)
        ends = (sire, dam)
        sires, dams = (None if p is None else tuple(self.domains[p]) for p in ends)
        key = (sires, dams, tuple(self.domains[child]), family.kind, family.stages, tuple(evidence), own)
        leaf, weights, total = self._template(("leaf", key), lambda: self._leaf_table(key, evidence, own))
        self.network.leaves[child] = Leaf(ends, leaf)
        self._on_parents.setdefault(ends, Counter())[("leaf", key)] += 1
        self._templates[("on parents", ("leaf", key))] = (weights, total)

    def _leaf_table(
        self, key: Any, evidence: Sequence[Weight], own: int
    ) -> tuple[dict[Any, Any], list[Weight], Weight]:
        sires, dams, child, kind, stages = key[:5]
        rows, total = self._template(key[:5], lambda: self._rows(sires, dams, child, kind, stages))
        pairs = [(s, d) for s in sires or (None,) for d in dams or (None,)]
        table = {
            pair: tuple(
                (state, row[state] * w) for state, w in zip(child, evidence, strict=True) if row.get(state, 0) and w
            )
            for pair, row in zip(pairs, rows, strict=True)
        }
        weights = []
        for pair in pairs:
            weight: Weight = 0
            for _, part in table[pair]:
                weight = weight + part
            weights.append(weight)
        return table, weights, total * own

    def _hatch(self, hatch: Hatch, dropped: Collection[Record]) -> None:
        gone = {record.part for record in dropped if record.subject == hatch.id and record.field == "counts"}
        for number in range(len(hatch.counts)):
            vector, chicks = counted(self.network.setting, hatch, number)
            if vector is not None and chicks and str(number) not in gone:
                self._counted(hatch, vector, chicks)

    def _counted(self, hatch: Hatch, vector: Vector, chicks: int) -> None:
        """Chicks that were only counted: the chance of one such chick, for all states of its possible parents."""
        setting = self.network.setting
        position = setting.position
        shares: list[tuple[int | None, int | None, Any]] = [
            (
                None if sire is None else position[sire],
                None if dam is None else position[dam],
                first * second,
            )
            for sire, first in chances(hatch.sire) or ((None, 1),)
            for dam, second in chances(hatch.dam) or ((None, 1),)
        ]
        if len(shares) == 1:
            sire, dam, _ = shares[0]
            sires, dams = (None if p is None else tuple(self.domains[p]) for p in (sire, dam))
            key = ("counted", sires, dams, vector)
            self._templates[("on parents", key)] = self._template(key, lambda: self._seen(sires, dams, vector))
            self._on_parents.setdefault((sire, dam), Counter())[key] += chicks
        else:
            self._counted_of_several(shares, vector, chicks)

    def _seen(
        self, sires: tuple[int, ...] | None, dams: tuple[int, ...] | None, vector: Vector
    ) -> tuple[list[Weight], Weight]:
        rows, total = self._rows(sires, dams, (), "either", HATCHED)
        weights = []
        for row in rows:
            weight: Weight = 0
            for state, part in row.items():
                weight = weight + part * vector[0][state]
            weights.append(weight)
        return weights, total * vector[1]

    def _counted_of_several(
        self, shares: Sequence[tuple[int | None, int | None, Any]], vector: Vector, chicks: int
    ) -> None:
        factor, total = mixed_factor(shares, self.domains, lambda s, d: self._seen(s, d, vector), self.network.setting)
        self._add(factor.power(chicks), total**chicks)

    def _put_on_parents(self, pair: tuple[int | None, int | None], templates: Counter[Any]) -> None:
        """All childless and counted chicks of two parents in one factor."""
        variables = tuple(p for p in pair if p is not None)
        shape = [self.network.sizes[p] for p in variables]
        product: Factor | None = None
        scale: Weight = 1
        for key, times in templates.items():
            weights, total = self._templates[("on parents", key)]
            factor = Factor.of(variables, shape, weights).power(times)
            product = factor if product is None else product.times(factor)
            scale = scale * total**times
        assert product is not None  # every counter holds something
        self._add(product, scale)

    # Bookkeeping.

    def _template(self, key: Any, make: Any) -> Any:
        if key not in self._templates:
            self._templates[key] = make()
        return self._templates[key]

    def _add(self, factor: Factor, total: Weight) -> None:
        """Keep a factor without its variables of one value; what becomes a bare number goes into the scale."""
        network = self.network
        small = factor.chosen({v: [0] for v in factor.variables if network.sizes[v] == 1})
        network.below = network.below * total
        if small.variables:
            network.factors.append(small)
        else:
            network.above = network.above * small.weights()[0]
