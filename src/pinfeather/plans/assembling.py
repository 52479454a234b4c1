"""From a structure and its numbers to a draft of a programme: names for the birds, steps in order, exact figures."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import attrs

from pinfeather.exact.numbers import exact
from pinfeather.plans.chances import HatchChance
from pinfeather.plans.kinds import Breeding, Demand, Kind
from pinfeather.plans.search import Deed
from pinfeather.plans.wording import BIRD, CHICK, cautions_of, known_in_words, looks_in_words, telling_words


@attrs.frozen(eq=False)
class Action:
    """One step of a draft: its number, season and parents by name, what is done, and how many units of it."""

    number: int
    season: int
    sire: str
    dam: str
    deed: Deed
    units: int
    keeps: tuple[tuple[str, Demand], ...]
    parents: tuple[Kind, Kind]
    """Sire and dam with every genotype that they can have in this programme, and no other."""

    @property
    def eggs(self) -> int:
        """The eggs set."""
        return self.deed.chance.unit * self.units


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
                for _, (other, _) in action.keeps
                if self._serves(other, number) and (share := self._share_of(action)) is not None
            ]
            shares.append(max(made, default=kind.background))
        return min(shares, default=None)

    def _share_of(self, action: Action) -> Fraction | None:
        if action.deed.test:
            return self.breeding.kinds[action.deed.demands[0][0]].background
        return self.breeding.background(action.deed.sire, action.deed.dam)

    def _serves(self, kind: int, wanted: int) -> bool:
        return kind == wanted or self.breeding.kinds[kind].serves_as(self.breeding.kinds[wanted])

    def steps(self) -> list[dict[str, Any]]:
        """The fields of the steps, in order."""
        return [self._step(action) for action in self.actions]

    def _step(self, action: Action) -> dict[str, Any]:
        deed, breeding = action.deed, self.breeding
        fields: dict[str, Any] = {
            "number": action.number,
            "season": action.season,
            "sire": action.sire,
            "dam": action.dam,
            "eggs": action.eggs,
            "keep": tuple(self._kept(action, name, demand) for name, demand in action.keeps),
            "chance": exact(deed.chance.exact(action.units)),
            "cautions": cautions_of(breeding, *action.parents),
        }
        unproven = breeding.kinds[deed.sire].unproven or breeding.kinds[deed.dam].unproven
        if unproven is not None:
            fields["birds_on_test"] = unproven.birds
        if deed.test:
            fields["clean_chicks"] = action.units
            fields["tells"] = self._tells(deed)
        return fields

    def _tells(self, deed: Deed) -> str:
        shown = " or ".join(telling_words(self.breeding, deed)) or "of a look that only one sort of parent can give"
        if deed.proves:
            return f"A chick that is {shown} proves its parent"
        return f"A chick that is {shown} tells against its parent; a bird with none such is cleared"

    def _kept(self, action: Action, name: str, demand: Demand) -> str:
        number, looks = demand
        kind, deed = self.breeding.kinds[number], action.deed
        if deed.test:
            how = "one that is proved" if deed.proves else "the first that is cleared"
            words = [how]
        else:
            look = looks_in_words(self.breeding, deed.sire, deed.dam, kind.sex, looks)
            birds = f"{kind.birds} {CHICK[kind.sex]}s" if kind.birds > 1 else f"a {CHICK[kind.sex]}"
            words = [f"{birds}, {look}" if look else f"{birds}, whatever it looks like"]
        known = known_in_words(self.breeding.setting, kind)
        if known:
            words.append(f"known to be at least {known}" if kind.unproven is None else f"at least {known}")
        if kind.unproven is not None:
            words.append(f"{kind.unproven.share} of such birds are what is wanted")
        return f"{name}: " + "; ".join(words)


def assemble(breeding: Breeding, deeds: Sequence[Deed], units: Sequence[int]) -> Draft:
    """Name the birds and put the steps in order, the first season being 1."""
    first = min(deed.season for deed in deeds)
    paired = sorted(zip(deeds, units, strict=True), key=lambda entry: (entry[0].season, entry[0].test))
    supply: list[Kept] = []
    actions = []
    for number, (deed, unit) in enumerate(paired, start=1):
        sire, dam = (_supplied(breeding, supply, parent) for parent in (deed.sire, deed.dam))
        keeps = _names(breeding, number, deed.demands)
        parents = (sire.kind, dam.kind)
        actions.append(Action(number, deed.season - first + 1, sire.name, dam.name, deed, unit, keeps, parents))
        supply += [Kept(demand[0], name, _possible(breeding, deed, parents, demand)) for name, demand in keeps]
    return Draft(breeding, tuple(actions))


@attrs.frozen(eq=False)
class Kept:
    """A bird kept: the kind it is kept for, its name, and every genotype that it can have."""

    number: int
    name: str
    kind: Kind


def _supplied(breeding: Breeding, supply: Sequence[Kept], number: int) -> Kept:
    """The bird that takes the place of a kind."""
    if number in breeding.stock:
        return Kept(number, breeding.stock[number], breeding.kinds[number])
    exactly = next((kept for kept in supply if kept.number == number), None)
    if exactly is not None:
        return exactly
    wanted = breeding.kinds[number]
    return next(kept for kept in supply if breeding.kinds[kept.number].serves_as(wanted))


def _possible(breeding: Breeding, deed: Deed, parents: tuple[Kind, Kind], demand: Demand) -> Kind:
    """Every genotype that a bird kept can have, which is less than what its kind would allow."""
    number, looks = demand
    kind = breeding.kinds[number]
    if deed.test:
        suspect = parents[0] if breeding.kinds[deed.sire].unproven is not None else parents[1]
        known = tuple(own & wanted for own, wanted in zip(suspect.known, kind.known, strict=True))
        return Kind(kind.sex, known)
    known = ()
    for block, kept in enumerate(looks):
        family = breeding.nursery.family(block, parents[0].known[block], parents[1].known[block], kind.sex)
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
