"""A few promising kinds for each season, so that a programme is found at once however many genes there are.

A mating of birds that differ in ten genes gives thousands of kinds.  A beam makes only the ones that are best at some
price of rarity, which can be settled gene by gene, and keeps the most promising of each season.  What it makes is
handed to the same bounds and the same search that look at all kinds, as if there were no others.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from functools import partial
from typing import TypeAlias

import attrs

from pinfeather.plans.blocks import Mask
from pinfeather.plans.breeding import Breeding, Child, Option
from pinfeather.plans.chances import MOST_EGGS
from pinfeather.plans.kinds import Kind, couple
from pinfeather.plans.ladders import Ladder, Pick, Values, climb, ladder_of, worthwhile
from pinfeather.plans.prospects import Prospects

Masks: TypeAlias = tuple[Mask, ...]
"""Block by block, what a bird is known to be, or hoped to be."""

_RAREST = math.log(8 / MOST_EGGS)
_EGGS = 4.5
"""About so many over the chance are the eggs for a chick."""

_HALVING = 1.5
"""What the score loses for each halving that the breed's share falls short of."""

_TEST = 60.0
"""About what it costs to prove a look-alike."""

_FIRST = 1e9

_LOOKED_AT = 60
"""Of how many candidates one is chosen, about."""

_WAYS = 6
"""The most ways to get a kind that are entered in one season."""


class Narrow(Breeding):
    """A breeding in which each mating gives only the kinds that were chosen."""

    def __init__(self, whole: Breeding, offspring: dict[tuple[int, int], dict[int, Child]]) -> None:
        # All that is worked out is shared: kinds have the same numbers in both.
        self.__dict__.update(whole.__dict__)
        self.offspring = offspring

    def children(self, sire: int, dam: int) -> list[Child]:
        """The kinds chosen of a mating."""
        return list(self.offspring.get((sire, dam), {}).values())


class Watched(Breeding):
    """A breeding that looks at the clock for every kind, since one mating may give a great many."""

    def __init__(self, whole: Breeding, tick: Callable[[], None]) -> None:
        self.__dict__.update(whole.__dict__)
        self.tick = tick

    def number(self, kind: Kind) -> int:
        """The number of a kind."""
        self.tick()
        return super().number(kind)


@attrs.frozen(eq=False)
class Mate:
    """A bird that chicks may be mated with later: what it is hoped to be, the breed's share, and what it costs."""

    hoped: Masks
    background: float
    cost: float


@attrs.define(eq=False)
class Candidate:
    """A kind that could be kept: the options, how many birds, its value, what it costs, and the ways to it."""

    sex: int
    options: tuple[Option, ...]
    birds: int
    background: float
    value: float = math.inf
    cost: float = math.inf
    lacks: int = 0
    ways: dict[tuple[int, int], tuple[float, tuple[Option, ...]]] = attrs.field(factory=dict)
    """By sire and dam: the cost, and the options of that mating."""

    @property
    def hoped(self) -> Masks:
        """What its birds are hoped to be."""
        return tuple(option.hoped for option in self.options)


class Beam:
    """The kinds kept of each season and what is kept of each mating, for one width and one floor of the score."""

    def __init__(
        self, breeding: Breeding, width: int, floor: float, tick: Callable[[], None], *, look_alikes: bool
    ) -> None:
        self.breeding = breeding
        self.look_alikes = look_alikes
        self.width = width
        self.tick = tick
        self.prospects = Prospects(breeding, floor, look_alikes=look_alikes)
        self.offspring: dict[tuple[int, int], dict[int, Child]] = {}
        self.cost: dict[int, float] = {}
        self._steps: dict[int, dict[tuple[int, int], float]] = {}
        """By kind: the hatches of the cheapest way to it, with about the eggs of each."""
        self.levels: list[list[int]] = [self._in_hand()]
        self._favourites: list[int] = []
        self._ladders: dict[object, Ladder] = {}
        self._menus: dict[int, list[Option]] = {}
        self._pool: dict[object, Candidate] = {}

    def reach(self, seasons: int) -> None:
        """Go on until the kinds of so many seasons are there."""
        while len(self.levels) <= seasons:
            self.levels.append(self._next())

    def narrow(self) -> Narrow:
        """The breeding with nothing but the kinds of this beam."""
        return Narrow(self.breeding, self.offspring)

    def vary(self, sire: int, dam: int, sex: int, options: tuple[Option, ...]) -> bool:
        """Enter a kind of look-alikes in every number; whether any of them is new."""
        own = self.offspring.setdefault((sire, dam), {})
        before = len(own)
        for birds in range(1, self.breeding.most_birds + 1):
            child = self.breeding.chosen(sire, dam, sex, options, birds)
            if child is not None:
                own.setdefault(child.kind, child)
        return len(own) > before

    # -- one season ----------------------------------------------------------------------------------------------------

    def _in_hand(self) -> list[int]:
        """The stock, with few of the numbers in which look-alikes may be had."""
        kept: dict[object, list[int]] = {}
        for number in self.breeding.stock:
            kind, hoped = self.breeding.kinds[number], self.breeding.kinds[number].right
            if hoped != kind.known and not self.look_alikes:
                continue
            key = (kind.sex, kind.known, hoped, kind.background)
            kept.setdefault(key, []).append(number)
        found: list[int] = []
        for numbers in kept.values():
            numbers.sort(key=lambda n: self.breeding.kinds[n].birds)
            found += sorted({numbers[-1], numbers[len(numbers) * 6 // 10]})
        self.cost = dict.fromkeys(found, 0.0)
        self._steps = {number: {} for number in found}
        return found

    def _next(self) -> list[int]:
        before = [number for level in self.levels for number in level]
        latest = set(self.levels[-1])
        kinds = self.breeding.kinds
        # The stock and the latest kinds, and of the others as many again.
        active = [*self.levels[0], *reversed([number for level in self.levels[1:] for number in level])]
        most = len(self.levels[0]) // 2 + 3 * self.width
        males, females = ([n for n in active if kinds[n].sex == sex][:most] for sex in (0, 1))
        mates = self._mates()
        for sire, dam in itertools.product(males, females):
            if (sire in latest or dam in latest) and self.breeding.can_mate(sire, dam):
                self.tick()
                self._breed(sire, dam, mates)
        fresh = self._select()
        fresh += [number for number in self._proven(before) if number not in fresh]
        self._favourites = fresh
        self._pool = {}
        return [number for number in fresh if number not in before]

    def _mates(self) -> tuple[list[Mate], list[Mate]]:
        """By sex: the birds that chicks are thought to be mated with."""
        found: tuple[list[Mate], list[Mate]] = ([], [])
        for sex in (0, 1):
            seen: set[tuple[Masks, Fraction | None]] = set()
            for number in [*self.levels[0], *self._favourites]:
                kind, hoped = self.breeding.kinds[number], self.breeding.kinds[number].right
                if kind.sex == sex and (hoped, kind.background) not in seen and len(found[sex]) < 3 + self.width // 2:
                    seen.add((hoped, kind.background))
                    found[sex].append(Mate(hoped, _share(kind.background), self.cost[number]))
        return found

    def _proven(self, before: Sequence[int]) -> Iterator[int]:
        """What test matings of the look-alikes in hand prove."""
        if not self.look_alikes:
            return
        kinds = self.breeding.kinds
        testers = [n for n in before if self.breeding.kinds[n].right == kinds[n].known]
        for suspect in before:
            if self.breeding.kinds[suspect].right == kinds[suspect].known:
                continue
            self.tick()
            for trial, _ in self.breeding.trials(suspect, testers):
                steps: dict[tuple[int, int], float] = {}
                for kind in trial.parents:
                    steps = self._both(kind, steps)
                if self._cheaper(trial.proven, steps, (suspect, trial.assays[0].tester), _TEST):
                    yield trial.proven

    def _both(self, kind: int, others: dict[tuple[int, int], float]) -> dict[tuple[int, int], float]:
        """The hatches behind a kind and some others; one that serves both is counted once."""
        steps = dict(others)
        for pair, eggs in self._steps[kind].items():
            steps[pair] = max(eggs, steps.get(pair, 0.0))
        return steps

    def _cheaper(self, kind: int, steps: dict[tuple[int, int], float], pair: tuple[int, int], eggs: float) -> bool:
        """Note a way to a kind, if it is the cheapest so far."""
        steps = {**steps, pair: max(eggs, steps.get(pair, 0.0))}
        cost = sum(steps.values())
        if cost >= self.cost.get(kind, math.inf):
            return False
        self.cost[kind], self._steps[kind] = cost, steps
        return True

    # -- one mating ----------------------------------------------------------------------------------------------------

    def _breed(self, sire: int, dam: int, mates: tuple[list[Mate], list[Mate]]) -> None:
        """Enter what a mating can give that is best with some mate at some price of rarity."""
        menus = [self._menu(sire, dam, sex) for sex in (0, 1)]
        if not all(all(menu) for menu in menus):
            return
        base = sum(self._both(sire, self._steps[dam]).values())
        background = _share(self.breeding.background(sire, dam))
        short = self._short(background, background)
        if self.look_alikes:
            self._enter_wanted(sire, dam, menus, base, background)
        for crossed in (False, True):
            # Cock and hen of one hatch, to be mated with each other.
            for choice in climb(self._joint_ladders(menus, crossed=crossed), _RAREST):
                future = _future(choice.now, choice.later - short)
                chicks = [[pick[sex] for pick in choice.picks] for sex in (0, 1)]
                rarer = min(sum([option.log for option in options]) for options in chicks)
                for sex, options in enumerate(chicks):
                    self._enter(sire, dam, sex, options, base, background, _eggs(rarer) + future)
            for sex in (0, 1):
                for mate in mates[1 - sex]:
                    ladders = self._ladders_for(menus[sex], sex, mate.hoped, crossed=crossed)
                    if not crossed and any(ladder.best <= self.prospects.floor for ladder in ladders):
                        continue
                    lost = self._short(background, mate.background)
                    for choice in climb(ladders, _RAREST):
                        options = [pick[0] for pick in choice.picks]
                        future = mate.cost + _future(choice.now, choice.later - lost)
                        future += _eggs(sum([option.log for option in options]))
                        self._enter(sire, dam, sex, options, base, background, future)

    def _enter_wanted(
        self, sire: int, dam: int, menus: Sequence[list[list[Option]]], base: float, background: float
    ) -> None:
        """Enter look-alikes that are all that is wanted, once a test mating proves one."""
        for number in self.breeding.target:
            kind = self.breeding.kinds[number]
            options = []
            for known, menu in zip(kind.known, menus[kind.sex], strict=True):
                right = [option for option in menu if not option.hoped & ~known]
                if right:
                    options.append(max(right, key=lambda option: (not option.hidden, option.chance)))
            if len(options) == len(kind.known) and any(option.hidden for option in options):
                # They come before all others.
                self._enter(sire, dam, kind.sex, options, base, background, -_FIRST)

    def _menu(self, sire: int, dam: int, sex: int) -> list[list[Option]]:
        """What can be kept, block by block, less what something else is at least as good as."""
        made = []
        for options in self.breeding.options(sire, dam, sex):
            # The breeding makes each list once, and keeps it.
            key = id(options)
            if key not in self._menus:
                self._menus[key] = worthwhile([o for o in options if self.look_alikes or not o.hidden])
            made.append(self._menus[key])
        return made

    def _joint_ladders(self, menus: Sequence[list[list[Option]]], *, crossed: bool) -> list[Ladder]:
        """The ladders of all blocks for a cock and a hen of one hatch, to be mated with each other."""
        score = self._crossed if crossed else self._finish
        made = []
        for block, (cocks, hens) in enumerate(zip(*menus, strict=True)):
            key = (block, crossed, id(cocks), id(hens))
            if key not in self._ladders:
                picks: list[Pick] = list(itertools.product(cocks, hens))
                values = partial(_of_pair, score, block)
                self._ladders[key] = ladder_of(block, picks, values)
            made.append(self._ladders[key])
        return made

    def _ladders_for(self, menu: list[list[Option]], sex: int, mate: Masks, *, crossed: bool) -> list[Ladder]:
        """The ladders of all blocks for chicks of one sex that are to be mated with a given bird."""
        score = self._crossed if crossed else self._finish
        made = []
        for block, (options, other) in enumerate(zip(menu, mate, strict=True)):
            key = (block, sex, other, crossed, id(options))
            if key not in self._ladders:
                values = partial(_of_chick, score, block, sex, other)
                self._ladders[key] = ladder_of(block, [(option,) for option in options], values)
            made.append(self._ladders[key])
        return made

    def _finish(self, block: int, cock: Mask, hen: Mask) -> Values:
        return 0.0, self.prospects.finish(block, cock, hen)

    def _crossed(self, block: int, cock: Mask, hen: Mask) -> Values:
        return self.prospects.crossed(block, cock, hen)

    def _short(self, one: float, other: float) -> float:
        """What the score loses since the breed's share is too low."""
        wanted = max(_share(self.breeding.kinds[n].background) for n in self.breeding.target)
        own = (one + other) / 2
        return 0.0 if own >= wanted else _HALVING * max(1.0, math.log2((1 - own) / max(1 - wanted, 1e-3)))

    def _enter(
        self, sire: int, dam: int, sex: int, options: list[Option], base: float, background: float, future: float
    ) -> None:
        """Enter a candidate, or a further way to one; the future holds the eggs of a single bird too."""
        hidden = [option for option in options if option.hidden]
        if len(hidden) > 1:
            return
        single = _eggs(sum([option.log for option in options]))
        known, hoped = tuple([o.known for o in options]), hidden[0].hoped if hidden else None
        for birds in self._numbers(hidden[0].share) if hidden else (1,):
            eggs = single if birds == 1 else single * (0.6 + 0.25 * birds) + _TEST
            key = (sex, known, hoped, birds, background)
            candidate = self._pool.get(key)
            if candidate is None:
                candidate = self._pool[key] = Candidate(sex, tuple(options), birds, background)
            candidate.value = min(candidate.value, base + future - single + eggs)
            cost = base + eggs
            if cost < candidate.ways.get((sire, dam), (math.inf,))[0]:
                candidate.ways[sire, dam] = (cost, tuple(options))
                candidate.cost = min(candidate.cost, cost)

    def _numbers(self, share: Fraction) -> set[int]:
        """How many look-alikes are worth keeping, so that all but certainly one is right."""
        allowed = self.breeding.numbers_of_birds(share)
        wrong = math.log(1 - float(share))
        wanted = [math.ceil(math.log(miss) / wrong) for miss in (0.06, 0.008)]
        return {min(max(number, allowed[0]), allowed[-1]) for number in wanted} if allowed else set()

    # -- choosing ------------------------------------------------------------------------------------------------------

    def _select(self) -> list[int]:
        """The most promising kinds: by themselves, beside each other, and one for each lot of genes still lacking."""
        ranked = sorted(self._pool.values(), key=lambda candidate: candidate.value)
        found: list[int] = []
        plain = [candidate for candidate in ranked if candidate.birds == 1]
        for own, width in ((plain, self.width), ([c for c in ranked if c.birds > 1], self.width // 2)):
            for number in self._chosen(own, width):
                if number not in found:
                    found.append(number)
        return found

    def _chosen(self, ranked: list[Candidate], width: int) -> Iterable[int]:
        """The most promising of some kinds, the best first."""
        taken: tuple[list[Candidate], list[Candidate]] = ([], [])
        numbers: dict[int, None] = {}

        def take(candidate: Candidate, most: int) -> bool:
            own = taken[candidate.sex]
            if len(own) >= most or any(candidate is other for other in own):
                return False
            number = self._realised(candidate)
            if number is None or number in numbers:
                return False
            numbers[number] = None
            own.append(candidate)
            return True

        looked_at = ranked[: _LOOKED_AT * width]
        keys = [(c.sex, self._lacking(c), c.background) for c in looked_at]
        alike = dict.fromkeys(keys, 0)
        for candidate, key in zip(looked_at, keys, strict=True):
            alike[key] += alike[key] < 2 and take(candidate, width // 2)
        for sex in (0, 1):
            own = [candidate for candidate in looked_at if candidate.sex == sex]
            for other in taken[1 - sex][: width // 3]:
                for candidate in heapq.nsmallest(2, own, key=partial(self._beside, other)):
                    take(candidate, width)
        for candidate, key in zip(looked_at, keys, strict=True):
            alike[key] += not alike[key] and take(candidate, width + width // 2)
        return numbers

    def _lacking(self, candidate: Candidate) -> int:
        """The blocks, as bits, in which such birds cannot give what is wanted."""
        found = 0
        for block, hoped in enumerate(candidate.hoped):
            owner = self.breeding.setting.blocks[block]
            # With the best mate that there can be.
            other = owner.target[1 - candidate.sex] or (1 << len(owner.states[1 - candidate.sex])) - 1
            pair = couple(candidate.sex, hoped, other)
            if self.prospects.finish(block, *pair) <= self.prospects.floor / 2:
                found |= 1 << block
        return found

    def _beside(self, other: Candidate, candidate: Candidate) -> float:
        """The value of a candidate as the mate of another one."""
        pair = couple(candidate.sex, candidate.hoped, other.hoped)
        now = later = 0.0
        for block, (cock, hen) in enumerate(zip(*pair, strict=True)):
            first, second = self.prospects.crossed(block, cock, hen)
            now, later = now + first, later + second
        return candidate.cost + _future(now, later - self._short(candidate.background, other.background))

    def _realised(self, candidate: Candidate) -> int | None:
        """Enter the best ways to a candidate among the offspring; its number, or None if there is none."""
        found: int | None = None
        ways = sorted(candidate.ways.items(), key=lambda way: way[1][0])
        for (sire, dam), (cost, options) in ways[:_WAYS]:
            child = self.breeding.chosen(sire, dam, candidate.sex, options, candidate.birds)
            if child is not None:
                found = child.kind
                self.offspring.setdefault((sire, dam), {})[child.kind] = child
                steps = self._both(sire, self._steps[dam])
                self._cheaper(child.kind, steps, (sire, dam), cost - sum(steps.values()))
        return found


def _of_pair(score: Callable[[int, Mask, Mask], Values], block: int, pick: Pick) -> Values:
    return score(block, pick[0].hoped, pick[1].hoped)


def _of_chick(score: Callable[[int, Mask, Mask], Values], block: int, sex: int, mate: Mask, pick: Pick) -> Values:
    return score(block, pick[0].hoped, mate) if sex == 0 else score(block, mate, pick[0].hoped)


def _share(background: Fraction | None) -> float:
    return 1.0 if background is None else float(background)


def _eggs(log: float) -> float:
    """About how many eggs a chick takes."""
    return _EGGS * math.exp(-log)


def _future(now: float, later: float) -> float:
    return _eggs(now) + _eggs(later)
