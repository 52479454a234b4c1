"""What a pair of parents gives, as weights for each genotype of a chick that has hatched, or has lived to breed."""

from __future__ import annotations

from math import lcm
from typing import TypeAlias

import attrs

from pinfeather.exact.symbolic import Weight, common_multiple, even_quotient
from pinfeather.heredity.sexes import SEXES, Sex
from pinfeather.pedigree.evidence import Frequencies, Reader
from pinfeather.pedigree.genotype_space import Gamete, GenotypeSpace, Kind

HATCHED: tuple[str, ...] = ("embryo",)
BRED: tuple[str, ...] = ("embryo", "chick", "adult")

Row: TypeAlias = "tuple[tuple[tuple[int, Weight], ...], Weight]"
"""Numbers of the chick's states with their weights, and what these are out of."""


@attrs.frozen(eq=False)
class Descent:
    """Rows of transmission, worked out when they are first needed.

    A parent is the number of its genotype, or None for one that nobody knows, drawn from the founders' alleles.  The
    chicks of a row are those alive at the stage; a chick of known sex is one of its sex, since which sex is banded is
    the breeder's choice, while of a chick whose sex is open either sex is as likely as hatching makes it.
    """

    space: GenotypeSpace
    reader: Reader
    frequencies: Frequencies
    _rows: dict[tuple[int | None, int | None, Kind, tuple[str, ...]], Row] = attrs.field(factory=dict)
    _masks: dict[tuple[int | None, int | None, Kind, tuple[str, ...]], int] = attrs.field(factory=dict)

    def row(self, sire: int | None, dam: int | None, kind: Kind, stages: tuple[str, ...]) -> Row:
        """The chicks of two parents."""
        key = (sire, dam, kind, stages)
        if key not in self._rows:
            self._rows[key] = self._row(sire, dam, kind, stages)
        return self._rows[key]

    def mask(self, sire: int | None, dam: int | None, kind: Kind, stages: tuple[str, ...]) -> int:
        """The chick's possible states, as bits."""
        key = (sire, dam, kind, stages)
        if key not in self._masks:
            self._masks[key] = sum(1 << state for state, _ in self.row(sire, dam, kind, stages)[0])
        return self._masks[key]

    def _row(self, sire: int | None, dam: int | None, kind: Kind, stages: tuple[str, ...]) -> Row:
        if (sire is None or dam is None) and self.reader.survival(stages, kind) is not None:
            return self._over_unknown(sire, dam, kind, stages)
        if kind != "either":
            return self._of_sex(sire, dam, kind, stages)
        offset = len(self.space.states["male"])
        (males, male_total), (females, female_total) = (self._conceived(sire, dam, sex) for sex in SEXES)
        both = {state: weight * female_total for state, weight in males.items()}
        both.update({state + offset: weight * male_total for state, weight in females.items()})
        return self._alive(both, 2 * male_total * female_total, kind, stages)

    def _over_unknown(self, sire: int | None, dam: int | None, kind: Kind, stages: tuple[str, ...]) -> Row:
        """A chick of an unknown parent where some chicks die: the same as if that parent stood on record by a name."""
        role: Sex = "male" if sire is None else "female"
        founders, _ = self.space.founder_weights(role, self.frequencies)
        survival = self.reader.survival(BRED, role)
        parts = []
        for state, weight in enumerate(founders):
            alive = weight if survival is None else weight * survival[0][state]
            row, own = self.row(state, dam, kind, stages) if sire is None else self.row(sire, state, kind, stages)
            if alive:
                parts.append((alive, row, own))
        multiple = common_multiple(own for _, _, own in parts if own)
        made: dict[int, Weight] = {}
        total: Weight = 0
        for alive, row, own in parts:
            total = total + alive * multiple
            if not own:  # a pair of which no chick lives keeps its weight and gives none
                continue
            share = alive * even_quotient(multiple, own)
            for chick, weight in row:
                made[chick] = made.get(chick, 0) + weight * share
        return tuple((chick, weight) for chick, weight in sorted(made.items()) if weight), total

    def _of_sex(self, sire: int | None, dam: int | None, sex: Sex, stages: tuple[str, ...]) -> Row:
        chicks, total = self._conceived(sire, dam, sex)
        return self._alive(chicks, total, sex, stages)

    def _alive(self, chicks: dict[int, Weight], total: Weight, kind: Kind, stages: tuple[str, ...]) -> Row:
        survival = self.reader.survival(stages, kind)
        if survival is not None:
            alive = {state: weight * survival[0][state] for state, weight in chicks.items()}
            total = sum(alive.values())
            chicks = alive
        return tuple((state, weight) for state, weight in sorted(chicks.items()) if weight), total

    def _conceived(self, sire: int | None, dam: int | None, sex: Sex) -> tuple[dict[int, Weight], int]:
        from_sire, sire_total = self._handed(sire, "male", sex)
        from_dam, dam_total = self._handed(dam, "female", sex)
        made: dict[int, Weight] = {}
        for one, weight in from_sire:
            for other, factor in from_dam:
                state = self.space.chick_of(one, other, sex)
                made[state] = made.get(state, 0) + weight * factor
        return made, sire_total * dam_total

    def _handed(self, parent: int | None, role: Sex, sex: Sex) -> tuple[list[tuple[Gamete, Weight]], int]:
        if parent is None:
            return self._pooled(role, sex)
        table, total = self.space.gametes(role, parent, sex)
        return list(table.items()), total

    def _pooled(self, role: Sex, sex: Sex) -> tuple[list[tuple[Gamete, Weight]], int]:
        """The gametes of a parent that nobody knows: it lived to breed, whatever it was."""
        survival = self.reader.survival(BRED, role)
        if survival is None:
            pool = self.space.pool(self.frequencies, role, sex)
            return list(pool), self.space.pool_total(self.frequencies, role, sex)
        founders, _ = self.space.founder_weights(role, self.frequencies)
        made: dict[Gamete, Weight] = {}
        total: Weight = 0
        scale = lcm(*(self.space.gametes(role, state, sex)[1] for state in range(len(founders))))
        for state, weight in enumerate(founders):
            table, own = self.space.gametes(role, state, sex)
            alive = weight * survival[0][state] * (scale // own)
            total = total + weight * survival[0][state] * scale
            for gamete, factor in table.items():
                made[gamete] = made.get(gamete, 0) + alive * factor
        return [(gamete, weight) for gamete, weight in made.items() if weight], total
