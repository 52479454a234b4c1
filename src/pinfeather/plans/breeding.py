"""Breeding: what matings of kinds give, and with what chances.

A hatch's chance is taken at the least favourable genotypes that the parents may have, so that it holds whatever they
are.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import TypeAlias

import attrs

from pinfeather.plans.blocks import Family, Mask, Nursery
from pinfeather.plans.chances import Atoms, Chance, Chances, HatchChance
from pinfeather.plans.kinds import Demand, Doubt, Kind, Looks
from pinfeather.plans.lookalikes import hidden_in, look_alikes
from pinfeather.plans.setting import Setting
from pinfeather.plans.trials import Bench, Telling, Trial
from pinfeather.plans.unproved import PenChance

HALF = Fraction(1, 2)

Want: TypeAlias = "tuple[Looks | None, Looks | None]"
"""The looks wanted, of a male and of a female chick; None where a chick of that sex will not do."""


@attrs.frozen(eq=False)
class Child:
    """A kind that a mating can give, the looks to keep for it, and the chance of its step when nothing else is kept."""

    kind: int
    looks: Looks
    chance: Chance


@attrs.frozen(eq=False)
class Option:
    """What can be kept of the chicks of one block: what they are then known to be, and the looks to keep for it.

    Of look-alikes a share is what is hoped for.
    """

    known: Mask
    hoped: Mask
    looks: Mask
    chance: Fraction
    doubt: Doubt | None = None
    log: float = attrs.field(init=False)
    hidden: bool = attrs.field(init=False)

    @log.default
    def _log_of_chance(self) -> float:
        return math.log(self.chance) if self.chance else -math.inf

    @hidden.default
    def _is_hidden(self) -> bool:
        return self.doubt is not None

    @property
    def share(self) -> Fraction:
        """The share that is what is hoped for."""
        return Fraction(1) if self.doubt is None else self.doubt.share


class Breeding:
    """All kinds met so far, by number, and what matings of them give."""

    def __init__(
        self, setting: Setting, eggs_alive: Fraction, *, tests: bool, most_birds: int, certainty: Fraction
    ) -> None:
        self.setting = setting
        self.nursery = Nursery(setting.blocks)
        self.eggs_alive = eggs_alive
        self.tests = tests
        self.most_birds = most_birds
        self.certainty = certainty
        self.chances = Chances()
        self.kinds: list[Kind] = []
        self.stock: dict[int, str] = {}
        self.target: tuple[int, ...] = ()
        self._numbers: dict[Kind, int] = {}
        self._children: dict[tuple[int, int], list[Child]] = {}
        self._families: dict[tuple[tuple[Mask, ...], tuple[Mask, ...], int], list[Family]] = {}
        self._wanted_looks: dict[tuple[int, int, Kind], Looks | None] = {}
        self._wanted_children: dict[tuple[int, int, int], Child | None] = {}
        self._known_cases: dict[object, tuple[Atoms, ...]] = {}
        self._one_of_each: dict[tuple[Atoms, ...], tuple[Atoms, ...]] = {}
        self._covered: dict[int, int | None] = {}
        self._options: dict[object, list[Option]] = {}
        self.told: dict[tuple[int, int, Mask, Mask, Mask], Telling] = {}
        """The looks that tell, once found."""
        self._test_bench = Bench(self)

    # -- kinds ---------------------------------------------------------------------------------------------------------

    def number(self, kind: Kind) -> int:
        """The number of a kind."""
        found = self._numbers.get(kind)
        if found is None:
            found = self._numbers[kind] = len(self.kinds)
            self.kinds.append(kind)
        return found

    def add_stock(self, kind: Kind, name: str) -> None:
        """Take a kind that is in hand."""
        self.stock.setdefault(self.number(kind), name)
        self._covered.clear()

    def covered(self, number: int) -> int | None:
        """A kind of the stock that can stand in for a kind, or None."""
        if number in self._covered:
            return self._covered[number]
        kind = self.kinds[number]
        found = number if number in self.stock else None
        if found is None:
            found = next((own for own in self.stock if self.kinds[own].serves_as(kind)), None)
        self._covered[number] = found
        return found

    # -- hatches -------------------------------------------------------------------------------------------------------

    def can_mate(self, sire: int, dam: int) -> bool:
        """Whether two kinds may be mated: unproven cocks and hens in pairs, as many of the one as of the other."""
        one, other = self.kinds[sire], self.kinds[dam]
        return one.proven or other.proven or one.birds == other.birds

    def numbers_of_birds(self, share: Fraction) -> range:
        """How many look-alikes may be kept: so many that one of them is right with the certainty asked."""
        fewest, wrong = 1, 1 - share
        while fewest <= self.most_birds and 1 - wrong**fewest < self.certainty:
            fewest += 1
        return range(fewest, self.most_birds + 1)

    def families(self, sire: int, dam: int, sex: int) -> list[Family]:
        """The chicks of one sex, block by block."""
        key = (self.kinds[sire].known, self.kinds[dam].known, sex)
        found = self._families.get(key)
        if found is None:
            found = self._families[key] = [
                self.nursery.family(block, one, other, sex)
                for block, (one, other) in enumerate(zip(key[0], key[1], strict=True))
            ]
        return found

    def background(self, sire: int, dam: int) -> Fraction | None:
        """The expected share of the breed's background in the chicks: the mean of the parents."""
        one, other = self.kinds[sire].background, self.kinds[dam].background
        return None if one is None or other is None else (one + other) / 2

    def children(self, sire: int, dam: int) -> list[Child]:
        """Every kind that a mating can give, except those that the stock has already."""
        key = (sire, dam)
        if key not in self._children:
            self._children[key] = list(self._bred(sire, dam))
        return self._children[key]

    def _bred(self, sire: int, dam: int) -> Iterator[Child]:
        background = self.background(sire, dam)
        doubted = self._doubted(sire, dam)
        for sex in (0, 1):
            families = self.families(sire, dam, sex)
            # Where a parent is unproven, chicks that only the right sort of parent gives are worth keeping.
            choices = [family.hopes if n in doubted else family.keeps for n, family in enumerate(families)]
            for choice in itertools.product(*choices):
                kind = Kind(sex, tuple(known for known, _ in choice), background=background)
                yield from self._child(sire, dam, kind, tuple(looks for _, looks in choice))
            if self.tests and not doubted:
                for known, looks, doubts in look_alikes(self, sire, dam, sex, families):
                    for birds in self.numbers_of_birds(math.prod((d.share for d in doubts), start=Fraction(1))):
                        yield from self._child(sire, dam, Kind(sex, known, doubts, birds, background), looks)

    def _doubted(self, sire: int, dam: int) -> set[int]:
        """The blocks in which a parent is unproven."""
        return {doubt.block for number in (sire, dam) for doubt in self.kinds[number].doubts}

    def _child(self, sire: int, dam: int, kind: Kind, looks: Looks) -> Iterator[Child]:
        number = self.number(kind)
        if self.covered(number) is None:
            chance = self.hatch(sire, dam, ((number, looks),))
            if chance is not None:
                yield Child(number, looks, chance)

    def hatch(self, sire: int, dam: int, demands: tuple[Demand, ...]) -> Chance | None:
        """The chance of getting every kind demanded from one hatch; None if it can never be had."""
        cases = self._cases(sire, dam, demands)
        if not cases:
            return None
        counts = tuple(self.kinds[number].birds for number, _ in demands)
        one, other = self.kinds[sire], self.kinds[dam]
        if one.proven and other.proven:
            return self.chances.get(("hatch", id(cases), counts), lambda: HatchChance(cases, counts))
        if len(cases) > 1 or any(count > 1 for count in counts):
            return None
        birds, share = max(one.birds, other.birds), one.share * other.share
        return self.chances.get(
            ("pen", id(cases), birds, share), lambda: PenChance(birds, share, cases[0], len(counts))
        )

    def hatch_telling(
        self, sire: int, dam: int, demands: tuple[Demand, ...], telling: Mapping[int, Telling]
    ) -> Chance | None:
        """The chance of getting every kind demanded, and in every block named a chick whose look tells."""
        wants = [self._want(number, looks) for number, looks in demands]
        for block, by_sex in telling.items():
            sides = []
            for sex in (0, 1):
                whole = [(1 << len(owner.looks[sex])) - 1 for owner in self.setting.blocks]
                whole[block] = sum(1 << look for look in by_sex[sex])
                sides.append(tuple(whole))
            wants.append((sides[0], sides[1]))
        cases = self._made_cases(sire, dam, wants)
        counts = (*(self.kinds[number].birds for number, _ in demands), *(1 for _ in telling))
        return self.chances.get(("told", cases, counts), lambda: HatchChance(cases, counts)) if cases else None

    def _want(self, number: int, looks: Looks) -> Want:
        return (looks, None) if self.kinds[number].sex == 0 else (None, looks)

    def looks_for(self, sire: int, dam: int, kind: Kind) -> Looks | None:
        """The looks to keep for a kind that is wanted: all that prove a chick to be one; None if none does."""
        key = (sire, dam, kind)
        if key not in self._wanted_looks:
            self._wanted_looks[key] = self._looks_for(sire, dam, kind)
        return self._wanted_looks[key]

    def _looks_for(self, sire: int, dam: int, kind: Kind) -> Looks | None:
        if kind.background is not None:
            own = self.background(sire, dam)
            if own is None or own < kind.background:
                return None
        found = []
        yielding = self._yielding(sire, dam, kind.sex)
        for block, family in enumerate(self.families(sire, dam, kind.sex)):
            looks = family.looks_within(kind.known[block])
            if not looks or not yielding[block].least(looks):
                return None
            found.append(looks)
        return tuple(found)

    def _cases(self, sire: int, dam: int, demands: tuple[Demand, ...]) -> tuple[Atoms, ...]:
        """How the hatch falls into parts, for each least favourable set of parents."""
        wanted = tuple((self.kinds[number].sex, looks) for number, looks in demands)
        one, other = self.kinds[sire], self.kinds[dam]
        # The number of birds and their shares do not matter.
        key = (one.known, one.right, other.known, other.right, wanted)
        if key not in self._known_cases:
            made = self._made_cases(sire, dam, [self._want(number, looks) for number, looks in demands])
            # Equal cases become one object, so that steps alike are recognised by it.
            self._known_cases[key] = self._one_of_each.setdefault(made, made)
        return self._known_cases[key]

    def _made_cases(self, sire: int, dam: int, wants: Sequence[Want]) -> tuple[Atoms, ...]:
        by_sex: list[list[list[tuple[int, Fraction]]]] = []
        for sex in (0, 1):
            own = [(at, looks) for at, want in enumerate(wants) if (looks := want[sex]) is not None]
            if own:
                by_sex.append(self._parts(sire, dam, sex, own))
        made = []
        for combination in itertools.product(*by_sex):
            atoms = tuple(sorted(atom for part in combination for atom in part))
            reached = 0
            for mask, _ in atoms:
                reached |= mask
            if reached.bit_count() < len(wants):
                return ()
            made.append(atoms)
        return tuple(sorted(set(made)))

    def _parts(
        self, sire: int, dam: int, sex: int, own: Sequence[tuple[int, Looks]]
    ) -> list[list[tuple[int, Fraction]]]:
        families = self._yielding(sire, dam, sex)
        made = []
        for case in itertools.product(*(range(len(family.vectors)) for family in families)):
            meets: dict[int, Fraction] = {}
            for chosen in range(1, 1 << len(own)):
                chance = self.eggs_alive * HALF
                for block, family in enumerate(families):
                    looks = -1
                    for at, (_, wanted) in enumerate(own):
                        if chosen >> at & 1:
                            looks &= wanted[block]
                    chance *= family.chance(case[block], looks)
                    if not chance:
                        break
                meets[chosen] = chance
            made.append(_only(meets, own))
        return made

    def _yielding(self, sire: int, dam: int, sex: int) -> list[Family]:
        """The families that chances are read from: an unproven parent yields only if it is what is wanted."""
        one, other = self.kinds[sire], self.kinds[dam]
        if one.proven and other.proven:
            return self.families(sire, dam, sex)
        return [
            self.nursery.family(block, first, second, sex)
            for block, (first, second) in enumerate(zip(one.right, other.right, strict=True))
        ]

    # -- test matings --------------------------------------------------------------------------------------------------

    def trials(self, suspect: int, testers: Sequence[int]) -> list[tuple[Trial, Chance]]:
        """The test matings of an unproven kind that are worth considering, with testers of the other sex."""
        return self._test_bench.trials(suspect, testers)

    def bred_on_trial(self, trial: Trial, demands: tuple[Demand, ...]) -> Chance | None:
        """The chance of a test mating and, in the same season, of chicks of the bird that passes."""
        chicks = tuple(demand for demand in demands if demand[0] != trial.proven and demand[1])
        return self._test_bench.bred(trial, chicks)

    def bred_beside(self, trial: Trial, mate: int, child: Child) -> Chance | None:
        """The chance of a test mating and of one sort of chick with a mate beside it."""
        if mate == trial.assays[0].tester:
            return self.bred_on_trial(trial.with_mate(mate), ((child.kind, child.looks),))
        return self._test_bench.beside(trial, child.chance)

    def wanted_child(self, sire: int, dam: int, number: int) -> Child | None:
        """What is wanted in the end, of a mating that can give it."""
        key = (sire, dam, number)
        if key not in self._wanted_children:
            looks = self.looks_for(sire, dam, self.kinds[number])
            chance = None if looks is None else self.hatch(sire, dam, ((number, looks),))
            self._wanted_children[key] = None if looks is None or chance is None else Child(number, looks, chance)
        return self._wanted_children[key]

    # -- a few of the kinds that a mating can give ---------------------------------------------------------------------

    def options(self, sire: int, dam: int, sex: int) -> list[list[Option]]:
        """Block by block: what can be kept of the chicks of one sex."""
        one, other = self.kinds[sire].known, self.kinds[dam].known
        doubted, yielding = self._doubted(sire, dam), self._yielding(sire, dam, sex)
        made = []
        for block, family in enumerate(self.families(sire, dam, sex)):
            # Families are made once, so that they can be told by their identity.
            key = (block, sex, one[block], other[block], id(yielding[block]), not doubted, block in doubted)
            if key not in self._options:
                sure = family.hopes if block in doubted else family.keeps
                found = [Option(known, known, looks, yielding[block].least(looks)) for known, looks in sure]
                if self.tests and not doubted:
                    for mask, look, doubt in hidden_in(self, sire, dam, sex, block, family):
                        found.append(Option(mask, mask & doubt.wanted, look, family.least(look), doubt))
                self._options[key] = found
            made.append(self._options[key])
        return made

    def chosen(self, sire: int, dam: int, sex: int, options: Sequence[Option], birds: int) -> Child | None:
        """The kind with one option for each block; None if the stock has it, or it cannot be had."""
        doubts = tuple(option.doubt for option in options if option.doubt is not None)
        known, looks = tuple(option.known for option in options), tuple(option.looks for option in options)
        kind = Kind(sex, known, doubts, birds, self.background(sire, dam))
        return next(self._child(sire, dam, kind, looks), None)


def _only(meets: Mapping[int, Fraction], own: Sequence[tuple[int, Looks]]) -> list[tuple[int, Fraction]]:
    """From the chance to meet at least some demands, the chance to meet exactly those; and bits for all demands."""
    exactly: dict[int, Fraction] = {}
    for chosen in sorted(meets, key=lambda mask: -mask.bit_count()):
        above = sum((chance for other, chance in exactly.items() if other & chosen == chosen), Fraction(0))
        exactly[chosen] = meets[chosen] - above
    return [
        (sum(1 << own[at][0] for at in range(len(own)) if chosen >> at & 1), chance)
        for chosen, chance in exactly.items()
        if chance
    ]
