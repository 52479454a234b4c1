"""Chicks of parents that are known together: each couple of genotypes with its chance."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping, Sequence
from functools import cached_property
from math import lcm, prod
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather.crosses.breeding import Couple
from pinfeather.crosses.meiosis import Handing, check_size, kinds
from pinfeather.crosses.observing import Segment, Table
from pinfeather.crosses.offspring import Offspring
from pinfeather.crosses.parents import OneOfSeveral, block_pair
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.symbolic import Weight, WeightRing
from pinfeather.heredity.genotypes import BlockPair, Genotype, Layout, in_order
from pinfeather.heredity.sexes import Sex

if TYPE_CHECKING:
    from sympy import Expr


@attrs.frozen(eq=False, slots=False)
class JointCouple(Couple):
    """A sire and a dam whose genotypes depend on each other."""

    couples: tuple[tuple[Genotype, Genotype], ...] = ()
    chances: tuple[Expr, ...] = ()
    names: str = ""

    def __str__(self) -> str:
        return self.names

    @cached_property
    def parameters(self) -> tuple[Expr, ...]:
        """The symbolic numbers that the chicks' chances hold."""
        return (*super().parameters, *(chance for chance in self.chances if not chance.is_Rational))

    def segments(
        self, places: Collection[int], written_out: Collection[int], sex: Sex, ring: WeightRing
    ) -> list[Segment]:
        """The chicks of one sex at some loci: blocks that are the same in all couples apart, the others together."""
        layout = self.species.layout_of(places)
        fixed: list[tuple[int, ...]] = []
        open_blocks: list[tuple[int, ...]] = []
        for block in layout:
            pairs = {(block_pair(sire, block), block_pair(dam, block)) for sire, dam in self.couples}
            (fixed if len(pairs) == 1 else open_blocks).append(block)
        settled = [place for block in fixed for place in block]
        segments = super().segments(settled, written_out, sex, ring) if settled else []
        return [*segments, self._together(tuple(open_blocks), sex, ring)] if open_blocks else segments

    def _together(self, layout: Layout, sex: Sex, ring: WeightRing) -> Table:
        for couple in self.couples:
            size = prod(kinds(block_pair(bird, block)) for bird in couple for block in layout)
            check_size(size, "combinations of gametes of a couple")
        weights, denominator = ring.whole(list(self.chances))
        sire_gives = Handing(self.species, "male", sex, ring)
        dam_gives = Handing(self.species, "female", sex, ring)
        parts: list[tuple[list[dict[BlockPair, Weight]], int, Weight]] = []
        scale = 1
        for (sire, dam), weight in zip(self.couples, weights, strict=True):
            blocks, total = [], 1
            for block in layout:
                from_sire, sire_total = sire_gives.of(block, block_pair(sire, block))
                from_dam, dam_total = dam_gives.of(block, block_pair(dam, block))
                blocks.append(_paired(from_sire, from_dam))
                total *= sire_total * dam_total
            scale = lcm(scale, total)
            parts.append((blocks, total, weight))
        rows: dict[tuple[BlockPair, ...], Weight] = {}
        for blocks, total, weight in parts:
            for combination in itertools.product(*(block.items() for block in blocks)):
                product = weight * (scale // total)
                for _, factor in combination:
                    product = product * factor
                key = tuple(pair for pair, _ in combination)
                rows[key] = rows.get(key, 0) + product
        return Table(layout, tuple(rows.items()), denominator * scale)


def _paired(from_sire: Mapping[Any, Weight], from_dam: Mapping[Any, Weight]) -> dict[BlockPair, Weight]:
    made: dict[BlockPair, Weight] = {}
    for one, weight in from_sire.items():
        for other, factor in from_dam.items():
            pair = in_order((one, other))
            made[pair] = made.get(pair, 0) + weight * factor
    return made


def offspring_of_couples(
    couples: Sequence[tuple[Genotype, Genotype]], chances: Distribution[int], names: str
) -> Offspring:
    """The chicks of a pair known together: ``chances`` gives the chance of each couple of genotypes, by number."""
    numbers = list(chances)
    kept = tuple(couples[number] for number in numbers)
    values = tuple(chances.values())
    sire = OneOfSeveral(tuple(one for one, _ in kept), values, "male")
    dam = OneOfSeveral(tuple(other for _, other in kept), values, "female")
    return Offspring(JointCouple(sire, dam, kept, values, names))
