"""From a structure and its numbers to a draft of a programme: names for the birds, steps in order, exact figures."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import attrs

from pinfeather.plans.blocks import Mask
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.chances import HatchChance
from pinfeather.plans.drafting import steps_of
from pinfeather.plans.kinds import Demand, Kind, Looks, couple
from pinfeather.plans.search import Deed
from pinfeather.plans.timetables import first_season, was_on_test
from pinfeather.plans.unproved import TrialChance
from pinfeather.plans.wording import BIRD


@attrs.frozen(eq=False)
class Kept:
    """Birds kept: the kind they are kept for, their name, and every genotype that they can have in this programme."""

    number: int
    name: str
    kind: Kind
    season: int
    born: float
    """The season from which their age counts."""


@attrs.frozen(eq=False)
class Action:
    """One deed of a draft: its number, season and parents, how many units of it, and what is kept, by name.

    A test mating with two mates has two steps, and its number is that of the last.
    """

    number: int
    season: int
    deed: Deed
    units: int
    keeps: tuple[tuple[str, Demand], ...]
    parents: tuple[Kept, ...]
    """The birds that take part, in the order of the deed's parents."""
    parts: tuple[tuple[int, int], ...]
    """(season, units set in it): several where the eggs are spread over seasons, of which its own is the last."""

    @property
    def eggs(self) -> int:
        """The eggs set, over all seasons."""
        return self.deed.chance.unit * self.units

    @property
    def eggs_by_mate(self) -> tuple[int, ...]:
        """Of a test mating: the eggs from each bird on test, by mate."""
        chance = self.deed.chance
        found = chance.shared_out(self.units) if isinstance(chance, TrialChance) else None
        assert found is not None  # the chance is above 0
        return found


@attrs.frozen(eq=False)
class Draft:
    """A structure with its numbers, ready to be put in words, simulated or worked out."""

    breeding: Breeding
    actions: tuple[Action, ...]

    @classmethod
    def empty(cls, breeding: Breeding) -> Draft:
        """Nothing to do: what is wanted is in hand."""
        return cls(breeding, ())

    @property
    def seasons(self) -> int:
        """The number of seasons used."""
        return max((action.season for action in self.actions), default=0)

    def chance(self) -> Fraction:
        """The exact chance that every step succeeds."""
        whole = Fraction(1)
        for action in self.actions:
            whole *= action.deed.chance.exact(action.units)
        return whole

    def mean(self) -> Fraction:
        """The mean number of eggs if each hatch stops when what is wanted has come."""
        whole = Fraction(0)
        for action in self.actions:
            chance = action.deed.chance
            whole += chance.mean() if isinstance(chance, HatchChance) else action.eggs
        return whole

    def stopping_point(self, coverage: Fraction) -> int:
        """The number of eggs not exceeded with a chance, if each hatch stops when it can."""
        weights = [1.0]
        for action in self.actions:
            chance = action.deed.chance
            if not isinstance(chance, HatchChance):
                weights = [0.0] * action.eggs + weights
                continue
            own, number = [0.0], 0
            while 1 - sum(own) > 1e-12:
                number += 1
                own.append(chance.failing(number - 1) - chance.failing(number))
            made = [0.0] * (len(weights) + len(own) - 1)
            for at, weight in enumerate(weights):
                if weight:
                    for eggs, part in enumerate(own):
                        made[at + eggs] += weight * part
            weights = made
        reached = 0.0
        for eggs, weight in enumerate(weights):
            reached += weight
            if reached >= float(coverage) - 1e-12:
                return eggs
        return len(weights) - 1

    def background(self) -> Fraction | None:
        """The least expected share of the breed's background among the birds wanted."""
        shares = []
        for number in self.breeding.target:
            kind = self.breeding.kinds[number]
            if kind.background is None:
                return None
            made = [
                share
                for action in self.actions
                for _, (other, looks) in action.keeps
                if self._serves(other, number) and (share := self._share_of(action, looks)) is not None
            ]
            shares.append(max(made, default=kind.background))
        return min(shares, default=None)

    def _share_of(self, action: Action, looks: Looks) -> Fraction | None:
        kinds = self.breeding.kinds
        trial = action.deed.trial
        if trial is None:
            return self.breeding.background(action.deed.sire, action.deed.dam)
        if trial.mate is None or not looks:
            return kinds[trial.proven].background
        return self.breeding.background(trial.proven, trial.mate)

    def _serves(self, kind: int, wanted: int) -> bool:
        return kind == wanted or self.breeding.kinds[kind].serves_as(self.breeding.kinds[wanted])

    def steps(self) -> list[dict[str, Any]]:
        """The fields of the steps, in order."""
        found = [fields for action in self.actions for fields in steps_of(self.breeding, action)]
        return sorted(found, key=lambda fields: (fields["season"], fields["number"]))


def assemble(breeding: Breeding, deeds: Sequence[Deed], units: Sequence[int]) -> Draft:
    """Name the birds and put the steps in order, the first season being 1."""
    first = min(first_season(deed) for deed in deeds)
    paired = sorted(zip(deeds, units, strict=True), key=lambda entry: (first_season(entry[0]), entry[0].test))
    supply: list[Kept] = []
    actions: list[Action] = []
    number = 0
    for deed, unit in paired:
        number += 1 if deed.trial is None else len(deed.trial.mates)
        there = [kept for kept in supply if kept.season < first_season(deed)]
        parents = tuple(_supplied(breeding, there, parent) for parent in deed.parents)
        keeps = _names(breeding, number, deed.demands)
        parts = tuple((season - first + 1, part) for season, part in deed.parts or ((deed.season, unit),))
        actions.append(Action(number, parts[-1][0], deed, unit, keeps, parents, parts))
        for name, demand in keeps:
            # The first of the parents of a test mating are the birds on test.
            born = parents[0].born if was_on_test(deed, demand) else first_season(deed)
            kind = _possible(breeding, deed, parents, demand)
            supply.append(Kept(demand[0], name, kind, deed.season, born))
    return Draft(breeding, tuple(actions))


def _supplied(breeding: Breeding, supply: Sequence[Kept], number: int) -> Kept:
    """The bird that takes the place of a kind: the youngest that was kept for it, else one that is better."""
    if number in breeding.stock:
        return Kept(number, breeding.stock[number], breeding.kinds[number], 0, math.inf)
    wanted = breeding.kinds[number]
    exactly = [kept for kept in supply if kept.number == number]
    fitting = exactly or [kept for kept in supply if breeding.kinds[kept.number].serves_as(wanted)]
    return max(fitting, key=lambda kept: kept.born)


def _possible(breeding: Breeding, deed: Deed, parents: Sequence[Kept], demand: Demand) -> Kind:
    """Every genotype that a bird kept can have, which is less than what its kind would allow."""
    number, looks = demand
    kind = breeding.kinds[number]
    sire, dam = parents[0].kind.known, parents[1].kind.known
    if deed.trial is not None:
        suspect = tuple(
            own & right
            for own, right in zip(parents[0].kind.known, breeding.kinds[deed.trial.suspect].right, strict=True)
        )
        if not looks:
            return Kind(kind.sex, suspect)
        mate = parents[1 + deed.trial.mates.index(deed.trial.mate)].kind.known
        sire, dam = couple(breeding.kinds[deed.trial.suspect].sex, suspect, mate)
    known: tuple[Mask, ...] = ()
    for block, kept in enumerate(looks):
        family = breeding.nursery.family(block, sire[block], dam[block], kind.sex)
        mask = 0
        for look, own in enumerate(family.by_look):
            mask |= own if kept >> look & 1 else 0
        known = (*known, mask)
    return Kind(kind.sex, known)


def _names(breeding: Breeding, step: int, demands: Sequence[Demand]) -> tuple[tuple[str, Demand], ...]:
    """Names such as "cock 2", or "cock 2a" and "cock 2b" where a step keeps several of a sex."""
    made = []
    for sex in (0, 1):
        own = [demand for demand in demands if breeding.kinds[demand[0]].sex == sex]
        for at, demand in enumerate(own):
            plural = "s" if breeding.kinds[demand[0]].birds > 1 else ""
            letter = "abcdefghijklmnopqrstuvwxyz"[at % 26] if len(own) > 1 else ""
            made.append((f"{BIRD[sex]}{plural} {step}{letter}", demand))
    return tuple(made)
