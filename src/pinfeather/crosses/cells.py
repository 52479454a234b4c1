"""The cells of a Punnett square: the chick that two gametes make, and what becomes of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import attrs

from pinfeather.crosses.handing import HandedOn
from pinfeather.exact.numbers import exact
from pinfeather.heredity.genotypes import Genotype, in_order
from pinfeather.heredity.patterns import Pattern
from pinfeather.heredity.sexes import Sex
from pinfeather.heredity.viability import Viability

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.crosses.breeding import Couple


@attrs.frozen
class Cell:
    """One cell of a Punnett square: the chick that two gametes make.

    Parameters
    ----------
    genotype : Genotype
        At the loci of the square, with the chick's sex where one of them is sex-linked.
    fraction : sympy.Rational or sympy.Expr
        Of all fertilised eggs, those that die included.
    harms : tuple of Viability
        The entries of the species that this genotype falls under, as far as the loci of the square decide it.
    """

    genotype: Genotype
    fraction: Expr
    harms: tuple[Viability, ...] = ()

    @property
    def sex(self) -> Sex | None:
        """The sex of the chick; None where the square shows no sex-linked locus."""
        return self.genotype.sex

    @property
    def hatching(self) -> Expr:
        """The part of such eggs that survives to hatch."""
        return self._surviving("embryo")

    @property
    def maturing(self) -> Expr:
        """The part of the chicks hatched of them that lives to breed."""
        return (self._surviving("chick") * self._surviving("adult")).expand()

    @property
    def sign(self) -> str:
        """``†`` all die before hatch, ``‡`` none lives to breed, ``*`` a part dies; empty where none does."""
        if self.hatching == 0:
            return "†"
        if self.maturing == 0:
            return "‡"
        return "" if self.hatching == 1 and self.maturing == 1 else "*"

    def _surviving(self, stage: str) -> Expr:
        share = exact(1)
        for entry in self.harms:
            if entry.stage == stage:
                share = (share * entry.survival).expand()
        return share


def cells_of(
    rows: HandedOn, columns: HandedOn, harms: Sequence[tuple[Pattern, Viability]]
) -> tuple[tuple[Cell, ...], ...]:
    """The cells, row by row; either parent's gamete may decide the sex of the chick."""
    made = []
    products: dict[tuple[Expr, Expr], Expr] = {}
    for row, (gamete, share) in zip(rows.sexes, rows.gametes.items(), strict=True):
        cells = []
        for column, (other, factor) in zip(columns.sexes, columns.gametes.items(), strict=True):
            pairs = tuple(map(in_order, zip(gamete.haplotypes, other.haplotypes, strict=True)))
            bird = Genotype(gamete.species, gamete.layout, pairs, row or column)
            fitting = tuple(entry for pattern, entry in harms if pattern.matches(bird))
            if (share, factor) not in products:
                products[share, factor] = (share * factor).expand()
            cells.append(Cell(bird, products[share, factor], fitting))
        made.append(tuple(cells))
    return tuple(made)


def harms_of(couple: Couple, places: Sequence[int]) -> tuple[list[tuple[Pattern, Viability]], list[Viability]]:
    """The harmful genotypes that this mating may meet: those that the loci shown decide, and the others."""
    decided, untold = [], []
    for pattern, entry in couple.species.viable_patterns:
        if entry.survival != 1 and couple.may_give(pattern):
            if set(pattern.machine.loci) <= set(places):
                decided.append((pattern, entry))
            else:
                untold.append(entry)
    return decided, untold
