"""Test matings: which look-alikes, with which mates, prove themselves or are cleared, and by which chicks."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

import attrs

from pinfeather.plans.blocks import Mask, bits
from pinfeather.plans.chances import Chance, ClearingChance, ProvingChance

if TYPE_CHECKING:
    from pinfeather.plans.kinds import Breeding, Kind, Unproven

_HALF = Fraction(1, 2)


@attrs.frozen(eq=False)
class Trial:
    """A test mating: which unproven kind, with which tester, proves which kind."""

    suspect: int
    tester: int
    proven: int
    chance: Chance
    proves: bool
    """Whether a chick tells for the suspect (else: against it)."""


class Bench:
    """Works out test matings for one set of kinds, and remembers how often chicks tell."""

    def __init__(self, breeding: Breeding) -> None:
        self.breeding = breeding
        self._tells: dict[tuple[int, int, Mask, Mask, Mask], Fraction] = {}

    def trials(self, suspect: int, testers: Sequence[int]) -> list[Trial]:
        """The test matings of an unproven kind that are worth considering, with testers of the other sex."""
        kind = self.breeding.kinds[suspect]
        assert kind.unproven is not None  # asked of unproven kinds only
        known = list(kind.known)
        known[kind.unproven.block] &= kind.unproven.wanted
        proven = self.breeding.number(attrs.evolve(kind, known=tuple(known), unproven=None))
        if self.breeding.covered(proven) is not None:
            return []
        found = []
        in_hand: dict[bool, Fraction] = {}
        # A tester that must first be bred is worth its while only if its chicks tell more often.
        for tester in sorted(testers, key=lambda t: t not in self.breeding.stock):
            for proves, tells in self._telling(kind, tester):
                if tells > in_hand.get(proves, Fraction(0)):
                    if tester in self.breeding.stock:
                        in_hand[proves] = tells
                    chance = self._trial_chance(kind.unproven, tells, proves=proves)
                    found.append(Trial(suspect, tester, proven, chance, proves))
        return found

    def _trial_chance(self, unproven: Unproven, tells: Fraction, *, proves: bool) -> Chance:
        make = ProvingChance if proves else ClearingChance
        key = (make, unproven.birds, unproven.share, tells)
        return self.breeding.chances.get(key, lambda: make(unproven.birds, unproven.share, tells))

    def _telling(self, kind: Kind, tester: int) -> Iterator[tuple[bool, Fraction]]:
        """(whether a telling chick speaks for the suspect, the least share of eggs that give one)."""
        unproven = kind.unproven
        mate = self.breeding.kinds[tester]
        if unproven is None or mate.sex == kind.sex or mate.unproven is not None:
            return
        block = unproven.block
        right = kind.known[block] & unproven.wanted
        wrong = kind.known[block] & ~unproven.wanted
        for proves, speaking, silent in ((True, right, wrong), (False, wrong, right)):
            key = (kind.sex, block, speaking, silent, mate.known[block])
            if key not in self._tells:
                self._tells[key] = self._told(*key)
            tells = self._tells[key]
            if tells:
                yield proves, tells * self.breeding.eggs_alive

    def _told(self, sex: int, block: int, speaking: Mask, silent: Mask, mate: Mask) -> Fraction:
        """The least share of chicks whose look only a suspect of the one sort can give."""
        cases = {at: dict.fromkeys(bits(mate), Fraction(0)) for at in bits(speaking)}
        for chick in (0, 1):
            quiet: set[int] = set()
            for at, other in itertools.product(bits(silent), bits(mate)):
                one, two = (at, other) if sex == 0 else (other, at)
                vector = self.breeding.nursery.look_vector(block, one, two, chick)
                quiet |= {look for look, chance in enumerate(vector) if chance}
            for at, other in itertools.product(bits(speaking), bits(mate)):
                one, two = (at, other) if sex == 0 else (other, at)
                vector = self.breeding.nursery.look_vector(block, one, two, chick)
                cases[at][other] += _HALF * sum(
                    (chance for look, chance in enumerate(vector) if look not in quiet), Fraction(0)
                )
        return min((chance for by_mate in cases.values() for chance in by_mate.values()), default=Fraction(0))


def telling_looks(breeding: Breeding, suspect: Kind, tester: Kind, *, proves: bool) -> list[tuple[int, int, int]]:
    """(sex of the chick, block, look) of every look by which a test mating tells."""
    assert suspect.unproven is not None  # asked of test matings only
    block = suspect.unproven.block
    right = suspect.known[block] & suspect.unproven.wanted
    wrong = suspect.known[block] & ~suspect.unproven.wanted
    found = []
    for chick in (0, 1):
        seen: list[set[int]] = []
        for sort in (right, wrong) if proves else (wrong, right):
            looks: set[int] = set()
            for at, other in itertools.product(bits(sort), bits(tester.known[block])):
                one, two = (at, other) if suspect.sex == 0 else (other, at)
                vector = breeding.nursery.look_vector(block, one, two, chick)
                looks |= {look for look, chance in enumerate(vector) if chance}
            seen.append(looks)
        found += [(chick, block, look) for look in sorted(seen[0] - seen[1])]
    return found
