"""Test matings: which look-alikes, with which mates, prove themselves or are cleared, and by which chicks.

A suspect may be put to two testers, each of which tells of one doubt, or to a tester and, in the same season, to a mate
whose chicks are kept from the bird that passes.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

import attrs

from pinfeather.plans.blocks import Mask, bits
from pinfeather.plans.chances import Atoms, Chance, HatchChance
from pinfeather.plans.kinds import Demand, Doubt, Kind, couple
from pinfeather.plans.unproved import TrialChance

if TYPE_CHECKING:
    from pinfeather.plans.breeding import Breeding

_HALF = Fraction(1, 2)

Telling: TypeAlias = tuple[frozenset[int], frozenset[int]]
"""By sex of the chick: the looks of one block that tell."""


Odds: TypeAlias = tuple[Fraction, tuple[tuple[Fraction, tuple[Fraction, ...]], ...]]
"""The share of the suspects that are right; the shares that are wrong, and how often their eggs tell, by mate."""


@attrs.frozen(cache_hash=True)
class Assay:
    """One mating of the suspects with a tester: the blocks in which chicks tell for them, and against them."""

    tester: int
    proves: tuple[int, ...]
    clears: tuple[int, ...]


@attrs.frozen(cache_hash=True)
class Trial:
    """A test mating: which unproven kind, with which testers, proves which kind; and who is bred from beside it."""

    suspect: int
    assays: tuple[Assay, ...]
    proven: int
    mate: int | None = None

    @property
    def mates(self) -> tuple[int, ...]:
        """All mates of a suspect, in the order in which its eggs are counted."""
        testers = tuple(assay.tester for assay in self.assays)
        return testers if self.mate is None or self.mate in testers else (*testers, self.mate)

    @property
    def parents(self) -> tuple[int, ...]:
        """All kinds that take part."""
        return (self.suspect, *self.mates)

    def with_mate(self, mate: int) -> Trial:
        """The same with a mate whose chicks are kept."""
        return attrs.evolve(self, mate=mate)


@attrs.frozen(eq=False)
class _Signal:
    """What one assay brings: what a right bird's eggs must give, and how often a wrong bird's tell against it."""

    assay: Assay
    right: HatchChance | None
    against: Mapping[tuple[int, ...], Fraction]
    strength: tuple[Fraction, ...] | None
    """Figures each of which makes the test better; None where testers cannot be compared by figures."""


class Bench:
    """Works out test matings for one set of kinds, and remembers how often chicks tell."""

    def __init__(self, breeding: Breeding) -> None:
        self.breeding = breeding
        self._sorts: dict[object, int] = {}
        self._sort_of: dict[int, int] = {}
        self._signals: dict[object, list[_Signal]] = {}
        self._odds: dict[object, Odds] = {}
        self._one_of_each: dict[Odds, Odds] = {}
        self._bred: dict[tuple[Trial, tuple[Demand, ...]], Chance | None] = {}
        self._beside: dict[tuple[int, tuple[Assay, ...], int], Chance] = {}
        self._proven: dict[int, int] = {}

    def trials(self, suspect: int, testers: Sequence[int]) -> list[tuple[Trial, Chance]]:
        """The test matings of an unproven kind that are worth considering, with testers of the other sex."""
        kind = self.breeding.kinds[suspect]
        proven = self._proven.get(suspect)
        if proven is None:
            proven = self._proven[suspect] = self.breeding.number(kind.settled())
        if self.breeding.covered(proven) is not None:
            return []
        blocks = tuple(doubt.block for doubt in kind.doubts)
        found: list[tuple[_Signal, ...]] = [(signal,) for signal in self._worthwhile(suspect, testers, blocks)]
        if len(blocks) == 2:
            first, second = (self._worthwhile(suspect, testers, (block,)) for block in blocks)
            found += [
                (one, other)
                for one, other in itertools.product(first, second)
                if one.assay.tester != other.assay.tester
            ]
        made = []
        for signals in found:
            trial = Trial(suspect, tuple(signal.assay for signal in signals), proven)
            made.append((trial, self._chance(suspect, signals)))
        return made

    def bred(self, trial: Trial, demands: tuple[Demand, ...]) -> Chance | None:
        """The chance of a test mating with a mate, of whose chicks with the bird that passes some are kept."""
        key = (trial, demands)
        if key not in self._bred:
            self._bred[key] = self._bred_chance(trial, demands)
        return self._bred[key]

    def _bred_chance(self, trial: Trial, demands: tuple[Demand, ...]) -> Chance | None:
        signals = [self._signal(trial.suspect, assay) for assay in trial.assays]
        if trial.mate is None or not demands:
            return self._chance(trial.suspect, signals)
        kind = self.breeding.kinds[trial.suspect]
        pair = couple(kind.sex, trial.proven, trial.mate)
        beside = trial.mate not in (assay.tester for assay in trial.assays)
        if not beside and trial.assays[0].proves:
            bred = self._told_and_kept(kind, trial, pair, demands)
        else:
            bred = self.breeding.hatch(*pair, demands)
        return None if bred is None else self._chance(trial.suspect, signals, bred, beside=beside)

    def beside(self, trial: Trial, wanted: Chance) -> Chance:
        """The chance of a test mating and, with another mate, of chicks that come with a chance of their own."""
        key = (trial.suspect, trial.assays, id(wanted))
        if key not in self._beside:
            signals = [self._signal(trial.suspect, assay) for assay in trial.assays]
            self._beside[key] = self._chance(trial.suspect, signals, wanted, beside=True)
        return self._beside[key]

    # -- chances -------------------------------------------------------------------------------------------------------

    def _sort(self, suspect: int) -> int:
        """A number for what the suspects are, however many they are."""
        if suspect not in self._sort_of:
            kind = self.breeding.kinds[suspect]
            self._sort_of[suspect] = self._sorts.setdefault((kind.sex, kind.known, kind.doubts), len(self._sorts))
        return self._sort_of[suspect]

    def _chance(
        self, suspect: int, signals: Sequence[_Signal], bred: Chance | None = None, *, beside: bool = False
    ) -> Chance:
        kind = self.breeding.kinds[suspect]
        sort = self._sort(suspect)
        rights: list[Chance | None] = [signal.right for signal in signals]
        if bred is not None:
            rights = [*rights, bred] if beside else [bred]
        # Of a bird that is wrong and not found out, the chicks wanted are taken to come.
        places = tuple(signal.assay for signal in signals)
        key = (sort, places, beside)
        if key not in self._odds:
            made = (kind.share, tuple(_wrongs(kind.doubts, signals, beside=beside)))
            # Equal odds become one object, so that tests alike are recognised by it.
            self._odds[key] = self._one_of_each.setdefault(made, made)
        odds = self._odds[key]
        return self.breeding.chances.get(
            ("trial", kind.birds, id(odds), *map(id, rights)),
            lambda: TrialChance(kind.birds, odds[0], rights, odds[1]),  # type: ignore[arg-type]
        )

    def _told_and_kept(
        self, kind: Kind, trial: Trial, pair: tuple[int, int], demands: tuple[Demand, ...]
    ) -> Chance | None:
        """Chicks that tell and chicks wanted, of one and the same hatch."""
        assert trial.mate is not None  # the caller has seen to it
        mate = self.breeding.kinds[trial.mate]
        telling = {
            block: telling_looks(self.breeding, kind, mate, block, proves=True) for block in trial.assays[0].proves
        }
        nursery = self.breeding.nursery
        for block, sex in itertools.product(telling, (0, 1)):
            known = [list(bits(self.breeding.kinds[number].known[block])) for number in pair]
            if len({nursery.look_vector(block, one, two, sex) for one, two in itertools.product(*known)}) > 1:
                return None
        return self.breeding.hatch_telling(*pair, demands, telling)

    # -- signals -------------------------------------------------------------------------------------------------------

    def _worthwhile(self, suspect: int, testers: Sequence[int], blocks: tuple[int, ...]) -> list[_Signal]:
        """The assays that settle some doubts, without those that another one with a tester in hand surpasses."""
        stock = self.breeding.stock
        in_hand: dict[tuple[tuple[int, ...], tuple[int, ...]], list[tuple[Fraction, ...]]] = {}
        found = []
        for tester in sorted(testers, key=lambda t: t not in stock):
            for signal in self._signals_with(suspect, tester, blocks):
                known = in_hand.setdefault((signal.assay.proves, signal.assay.clears), [])
                strength = signal.strength
                if strength is not None and any(
                    all(own <= other for own, other in zip(strength, better, strict=True)) for better in known
                ):
                    continue
                if strength is not None and tester in stock:
                    known.append(strength)
                found.append(signal)
        return found

    def _signals_with(self, suspect: int, tester: int, blocks: tuple[int, ...]) -> list[_Signal]:
        key = (self._sort(suspect), tester, blocks)
        if key not in self._signals:
            self._signals[key] = list(self._made_with(self.breeding.kinds[suspect], tester, blocks))
        return self._signals[key]

    def _made_with(self, kind: Kind, tester: int, blocks: tuple[int, ...]) -> Iterator[_Signal]:
        mate = self.breeding.kinds[tester]
        if mate.sex == kind.sex or not mate.proven:
            return
        for modes in itertools.product((True, False), repeat=len(blocks)):
            proves = tuple(block for block, mode in zip(blocks, modes, strict=True) if mode)
            clears = tuple(block for block, mode in zip(blocks, modes, strict=True) if not mode)
            signal = self._made(kind, mate, Assay(tester, proves, clears))
            if signal is not None:
                yield signal

    def _signal(self, suspect: int, assay: Assay) -> _Signal:
        blocks = tuple(sorted((*assay.proves, *assay.clears)))
        return next(s for s in self._signals_with(suspect, assay.tester, blocks) if s.assay == assay)

    def _made(self, kind: Kind, mate: Kind, assay: Assay) -> _Signal | None:
        right = None
        told: tuple[Fraction, ...] = ()
        cases: tuple[Atoms, ...] = ()
        if assay.proves:
            cases = self._telling_eggs(kind, mate, assay.proves, proves=True)
            every = range(len(assay.proves))
            if not all(any(mask >> n & 1 for mask, _ in case) for case in cases for n in every):
                return None
            right = self._right(cases, len(assay.proves))
            told = tuple(dict(cases[0]).get(mask, Fraction(0)) for mask in range(1, 1 << len(assay.proves)))
        against = {}
        for number in range(1, len(assay.clears) + 1):
            for blocks in itertools.combinations(assay.clears, number):
                cases_against = self._telling_eggs(kind, mate, blocks, proves=False)
                against[blocks] = min(sum((chance for _, chance in case), Fraction(0)) for case in cases_against)
                if not against[blocks]:
                    return None
        comparable = not assay.proves or len(cases) == 1
        return _Signal(assay, right, against, (*told, *against.values()) if comparable else None)

    def _right(self, cases: tuple[Atoms, ...], number: int) -> HatchChance:
        counts = (1,) * number
        found = self.breeding.chances.get(("told", cases, counts), lambda: HatchChance(cases, counts))
        assert isinstance(found, HatchChance)  # that is what was asked for
        return found

    def _telling_eggs(self, kind: Kind, mate: Kind, blocks: tuple[int, ...], *, proves: bool) -> tuple[Atoms, ...]:
        """How the eggs of birds that are right in some blocks, or wrong in them, tell of it."""
        looks = {block: telling_looks(self.breeding, kind, mate, block, proves=proves) for block in blocks}
        sort = {b: kind.right[b] if proves else kind.known[b] & ~kind.right[b] for b in blocks}
        return self._eggs(kind, mate, sort, looks)

    def _eggs(
        self, kind: Kind, mate: Kind, suspects: Mapping[int, Mask], telling: Mapping[int, Telling]
    ) -> tuple[Atoms, ...]:
        """How the eggs of a suspect fall into parts, by the blocks in which a chick tells, for all it may be."""
        breeding = self.breeding
        blocks = tuple(suspects)
        pairs = [list(itertools.product(bits(suspects[block]), bits(mate.known[block]))) for block in blocks]
        others = [self._others_alive(kind, mate, blocks, sex) for sex in (0, 1)]
        found: dict[Atoms, None] = {}
        for case in itertools.product(*pairs):
            chances: dict[int, Fraction] = {}
            for sex in (0, 1):
                tells, silent = [], []
                for block, (suspect, tester) in zip(blocks, case, strict=True):
                    one, two = couple(kind.sex, suspect, tester)
                    vector = breeding.nursery.look_vector(block, one, two, sex)
                    tells.append(sum((vector[look] for look in telling[block][sex]), Fraction(0)))
                    silent.append(sum(vector, Fraction(0)) - tells[-1])
                for mask in range(1, 1 << len(blocks)):
                    chance = breeding.eggs_alive * _HALF * others[sex]
                    for n in range(len(blocks)):
                        chance *= tells[n] if mask >> n & 1 else silent[n]
                    chances[mask] = chances.get(mask, Fraction(0)) + chance
            found[tuple((mask, chance) for mask, chance in chances.items() if chance)] = None
        return tuple(found)

    def _others_alive(self, kind: Kind, mate: Kind, blocks: Sequence[int], sex: int) -> Fraction:
        """The least share of chicks of one sex that live, as far as the other blocks go."""
        sire, dam = couple(kind.sex, kind, mate)
        whole = Fraction(1)
        for block, (one, two) in enumerate(zip(sire.known, dam.known, strict=True)):
            if block not in blocks:
                family = self.breeding.nursery.family(block, one, two, sex)
                whole *= min(sum(vector, Fraction(0)) for vector in family.vectors)
        return whole


def _wrongs(
    doubts: Sequence[Doubt], signals: Sequence[_Signal], *, beside: bool
) -> Iterator[tuple[Fraction, tuple[Fraction, ...]]]:
    """For each way of being wrong in which a bird may pass: the share of such birds, and how often their eggs tell."""
    cleared = {block for signal in signals for block in signal.assay.clears}
    doubtful = [doubt.block for doubt in doubts if doubt.block in cleared]
    for number in range(1, len(doubtful) + 1):
        for wrong in itertools.combinations(doubtful, number):
            share = Fraction(1)
            for doubt in doubts:
                share *= 1 - doubt.share if doubt.block in wrong else doubt.share
            rates = []
            for signal in signals:
                here = tuple(block for block in signal.assay.clears if block in wrong)
                rates.append(signal.against.get(here, Fraction(0)))
            yield share, (*rates, Fraction(0)) if beside else tuple(rates)


def telling_looks(breeding: Breeding, suspect: Kind, tester: Kind, block: int, *, proves: bool) -> Telling:
    """The looks that only one sort of suspect can give: the right sort where it proves, else the wrong one."""
    right, known = suspect.right[block], suspect.known[block]
    speaking, silent = (right, known & ~right) if proves else (known & ~right, right)
    key = (block, suspect.sex, speaking, silent, tester.known[block])
    if key not in breeding.told:
        breeding.told[key] = _told_looks(breeding, *key)
    return breeding.told[key]


def _told_looks(breeding: Breeding, block: int, sex: int, speaking: Mask, silent: Mask, mate: Mask) -> Telling:
    found = []
    for chick in (0, 1):
        seen: list[set[int]] = []
        for sort in (speaking, silent):
            looks: set[int] = set()
            for at, other in itertools.product(bits(sort), bits(mate)):
                one, two = couple(sex, at, other)
                vector = breeding.nursery.look_vector(block, one, two, chick)
                looks |= {look for look, chance in enumerate(vector) if chance}
            seen.append(looks)
        found.append(frozenset(seen[0] - seen[1]))
    return found[0], found[1]
