"""Kinds: classes of birds that a breeder can tell apart and keep, and what matings of them give.

What is known of a kind is, block by block, a set of genotypes that its birds lie in.  A hatch's chance is taken at the
least favourable genotypes that the parents may have, so that it holds whatever they are.  A kind whose look hides what
is wanted is *unproven*: a share of its birds is right, and several are kept.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import TypeAlias

import attrs

from pinfeather.plans.blocks import Family, Mask, Nursery, bits
from pinfeather.plans.chances import (
    Atoms,
    Chance,
    Chances,
    HatchChance,
    PenChance,
)
from pinfeather.plans.setting import Setting
from pinfeather.plans.trials import Bench, Trial

HALF = Fraction(1, 2)

Looks: TypeAlias = tuple[Mask, ...]
"""The looks to keep, block by block."""

Demand: TypeAlias = "tuple[int, Looks]"
"""(number of the kind, the looks to keep for it)."""


@attrs.frozen(cache_hash=True)
class Unproven:
    """What is not yet proven of a kind: the block, what is wanted of it, the share that has it, the birds kept."""

    block: int
    wanted: Mask
    share: Fraction
    birds: int


@attrs.frozen(cache_hash=True)
class Kind:
    """A class of birds: sex (0 male, 1 female), what is known of each block, and the share of a breed's background."""

    sex: int
    known: tuple[Mask, ...]
    unproven: Unproven | None = None
    background: Fraction | None = None

    @property
    def birds(self) -> int:
        """How many are kept."""
        return 1 if self.unproven is None else self.unproven.birds

    def serves_as(self, other: Kind) -> bool:
        """Whether a bird of this kind can stand in for one of another."""
        if self.sex != other.sex or any(own & ~wanted for own, wanted in zip(self.known, other.known, strict=True)):
            return False
        if self.background is not None and other.background is not None and self.background < other.background:
            return False
        if other.unproven is None:
            return self.unproven is None or self.unproven.birds >= 1
        if self.unproven is None:
            return not self.known[other.unproven.block] & ~other.unproven.wanted
        mine, theirs = self.unproven, other.unproven
        same = mine.block == theirs.block and not mine.wanted & ~theirs.wanted
        return same and mine.share >= theirs.share and mine.birds >= theirs.birds


@attrs.frozen(eq=False)
class Step:
    """One thing to do in a season, as the search sees it."""

    sire: int
    dam: int
    demands: tuple[Demand, ...]
    chance: Chance
    test: bool = False


@attrs.frozen(eq=False)
class Child:
    """A kind that a mating can give, the looks to keep for it, and the chance of its step when nothing else is kept."""

    kind: int
    looks: Looks
    chance: Chance


class Breeding:
    """All kinds met so far, by number, and what matings of them give."""

    def __init__(self, setting: Setting, eggs_alive: Fraction, *, tests: bool, most_birds: int) -> None:
        self.setting = setting
        self.nursery = Nursery(setting.blocks)
        self.eggs_alive = eggs_alive
        self.tests = tests
        self.most_birds = most_birds
        self.chances = Chances()
        self.kinds: list[Kind] = []
        self.stock: dict[int, str] = {}
        self.target: tuple[int, ...] = ()
        self._numbers: dict[Kind, int] = {}
        self._children: dict[tuple[int, int], list[Child]] = {}
        self._families: dict[tuple[tuple[Mask, ...], tuple[Mask, ...], int], list[Family]] = {}
        self._wanted_looks: dict[tuple[int, int, Kind], Looks | None] = {}
        self._known_cases: dict[object, tuple[Atoms, ...]] = {}
        self._one_of_each: dict[tuple[Atoms, ...], tuple[Atoms, ...]] = {}
        self._covered: dict[int, int | None] = {}
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
        """Whether two kinds may be mated: at most one of them unproven."""
        return self.kinds[sire].unproven is None or self.kinds[dam].unproven is None

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
        pen = self._pen(sire, dam)
        for sex in (0, 1):
            families = self.families(sire, dam, sex)
            choices = [self._choices(family, block, pen) for block, family in enumerate(families)]
            for choice in itertools.product(*choices):
                kind = Kind(sex, tuple(known for known, _ in choice), None, background)
                yield from self._child(sire, dam, kind, tuple(looks for _, looks in choice))
            if self.tests and pen is None:
                yield from self._look_alikes(sire, dam, sex, families, background)

    def _choices(self, family: Family, block: int, pen: Unproven | None) -> list[tuple[Mask, Mask]]:
        # Where a parent is unproven, chicks that only the right sort of parent gives are worth keeping.
        return family.hopes if pen is not None and pen.block == block else family.keeps

    def _child(self, sire: int, dam: int, kind: Kind, looks: Looks) -> Iterator[Child]:
        number = self.number(kind)
        if self.covered(number) is None:
            chance = self.hatch(sire, dam, ((number, looks),))
            if chance is not None:
                yield Child(number, looks, chance)

    def _look_alikes(
        self, sire: int, dam: int, sex: int, families: Sequence[Family], background: Fraction | None
    ) -> Iterator[Child]:
        """The unproven kinds: birds of one look in one block, of which a share is what is wanted."""
        for block, family in enumerate(families):
            others = [other.keeps for at, other in enumerate(families) if at != block]
            for look, wanted, share in self._hidden(sire, dam, sex, block, family):
                for choice in itertools.product(*others):
                    whole = [*choice[:block], (family.by_look[look], 1 << look), *choice[block:]]
                    known, looks = tuple(k for k, _ in whole), tuple(m for _, m in whole)
                    for birds in range(1, self.most_birds + 1):
                        kind = Kind(sex, known, Unproven(block, wanted, share, birds), background)
                        yield from self._child(sire, dam, kind, looks)

    def _hidden(
        self, sire: int, dam: int, sex: int, block: int, family: Family
    ) -> Iterator[tuple[int, Mask, Fraction]]:
        """(a look, what is wanted of the birds that have it, the share that is so)."""
        if len(family.vectors) > 1:
            return
        owner = self.setting.blocks[block]
        for look, mask in enumerate(family.by_look):
            if mask.bit_count() < 2 or not family.vectors[0][look]:
                continue
            for wanted in sorted({owner.better[sex][at] for at in bits(mask)}):
                if mask & ~wanted:
                    share = self._share(sire, dam, sex, block, look, wanted, family)
                    if share:
                        yield look, wanted, share

    def _share(
        self, sire: int, dam: int, sex: int, block: int, look: int, wanted: Mask, family: Family
    ) -> Fraction | None:
        """The share of the birds of a look that is what is wanted, if that holds whatever the parents are.

        The reference is the pair of parents with the least favourable chances.  Any other pair must give no more birds
        of the look that are not wanted, and no fewer that are, or that show openly that they are.
        """
        owner = self.setting.blocks[block]
        open_looks = family.looks_within(wanted)
        parts: list[tuple[bool, Fraction, Fraction, Fraction]] = []
        pairs = itertools.product(bits(self.kinds[sire].known[block]), bits(self.kinds[dam].known[block]))
        for one, other in pairs:
            right = wrong = shown = Fraction(0)
            for chick, weight in self.nursery.chicks(block, one, other, sex).items():
                for seen, chance in owner.shown[sex][chick]:
                    if seen == look and wanted >> chick & 1:
                        right += weight * chance
                    elif seen == look:
                        wrong += weight * chance
                    elif open_looks >> seen & 1:
                        shown += weight * chance
            vector = self.nursery.look_vector(block, one, other, sex)
            parts.append((vector == family.vectors[0], right, wrong, shown))
        right, wrong = min(((own, bad) for is_reference, own, bad, _ in parts if is_reference))
        if right and all(bad <= wrong and own + shown >= right for _, own, bad, shown in parts):
            return right / (right + wrong)
        return None

    def hatch(self, sire: int, dam: int, demands: tuple[Demand, ...]) -> Chance | None:
        """The chance of getting every kind demanded from one hatch; None if it can never be had."""
        pen = self._pen(sire, dam)
        cases = self._cases(sire, dam, demands)
        if not cases:
            return None
        counts = tuple(self.kinds[number].birds for number, _ in demands)
        if pen is None:
            key = ("hatch", id(cases), counts)
            return self.chances.get(key, lambda: HatchChance(cases, counts))
        if len(cases) > 1 or any(count > 1 for count in counts):
            return None
        pen_key = ("pen", id(cases), pen.birds, pen.share)
        return self.chances.get(pen_key, lambda: PenChance(pen.birds, pen.share, cases[0], len(counts)))

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

    def _pen(self, sire: int, dam: int) -> Unproven | None:
        return self.kinds[sire].unproven or self.kinds[dam].unproven

    def _cases(self, sire: int, dam: int, demands: tuple[Demand, ...]) -> tuple[Atoms, ...]:
        """How the hatch falls into parts, for each least favourable set of parents."""
        wanted = tuple((self.kinds[number].sex, looks) for number, looks in demands)
        pen = self._pen(sire, dam)
        # The number of birds, and what else is known of the parents, do not matter.
        unproven = pen and (pen.block, pen.wanted, self.kinds[sire].unproven is None)
        key = (self.kinds[sire].known, self.kinds[dam].known, unproven, wanted)
        if key not in self._known_cases:
            made = self._made_cases(sire, dam, demands)
            # Equal cases become one object, so that steps alike are recognised by it.
            self._known_cases[key] = self._one_of_each.setdefault(made, made)
        return self._known_cases[key]

    def _made_cases(self, sire: int, dam: int, demands: tuple[Demand, ...]) -> tuple[Atoms, ...]:
        by_sex: list[list[list[tuple[int, Fraction]]]] = []
        for sex in (0, 1):
            own = [(at, looks) for at, (number, looks) in enumerate(demands) if self.kinds[number].sex == sex]
            if own:
                by_sex.append(self._parts(sire, dam, sex, own))
        made = []
        for combination in itertools.product(*by_sex):
            atoms = tuple(sorted(atom for part in combination for atom in part))
            reached = 0
            for mask, _ in atoms:
                reached |= mask
            if reached.bit_count() < len(demands):
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
        families = self.families(sire, dam, sex)
        pen = self._pen(sire, dam)
        if pen is not None:
            families = list(families)
            one, other = self.kinds[sire], self.kinds[dam]
            first = pen.wanted & one.known[pen.block] if one.unproven else one.known[pen.block]
            second = pen.wanted & other.known[pen.block] if other.unproven else other.known[pen.block]
            families[pen.block] = self.nursery.family(pen.block, first, second, sex)
        return families

    # -- test matings --------------------------------------------------------------------------------------------------

    def trials(self, suspect: int, testers: Sequence[int]) -> list[Trial]:
        """The test matings of an unproven kind that are worth considering, with testers of the other sex."""
        return self._test_bench.trials(suspect, testers)


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
