"""The setting of a programme: the loci that matter, in blocks, with what shows, what is wanted and what dies."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather.crosses.meiosis import recombinations
from pinfeather.errors import TooLargeError
from pinfeather.heredity.matching import Machine, Pair, Rule
from pinfeather.heredity.notation import ANY, Item
from pinfeather.heredity.sexes import SEXES
from pinfeather.plans.blocks import Block, Groups, State, states_of
from pinfeather.plans.ordering import Order

if TYPE_CHECKING:
    from pinfeather.heredity.genotypes import Genotype
    from pinfeather.heredity.patterns import Pattern
    from pinfeather.heredity.species import Species
    from pinfeather.heredity.traits import Reading

Look: TypeAlias = tuple[tuple[str, object], ...]
"""What a breeder can tell of one block: (trait or locus, what is seen of it)."""

_MOST_COMBINATIONS = 200_000


@attrs.frozen(eq=False)
class Wish:
    """What is wanted, and how it can be told."""

    pattern: Pattern
    shows: Mapping[str, frozenset[str]]
    traits: tuple[str, ...]
    tested: tuple[int, ...]


@attrs.frozen(eq=False)
class Setting:
    """Everything that a programme needs to know of the genetics."""

    species: Species
    wish: Wish
    blocks: tuple[Block, ...]
    fixed: tuple[dict[int, Pair], dict[int, Pair]]
    """By sex: what every bird has at the loci that do not vary."""

    def locate(self, genotype: Genotype, sex: int) -> tuple[int, ...] | None:
        """Where a bird stands in each block; None if it cannot live."""
        bird = genotype.with_sex(SEXES[sex])
        found: list[int] = []
        for block in self.blocks:
            state: State = tuple(_pair(bird, group) for group in block.groups)
            at = block.place_of(sex).get(state)
            if at is None:
                return None
            found.append(at)
        return tuple(found)


def make_setting(species: Species, birds: Sequence[Genotype], wish: Wish) -> Setting:
    """Cut the loci that matter into blocks.

    Those are the loci of the target that differ within the stock, and the differing loci on which the look or the life
    of such a bird depends.
    """
    alleles = _alleles(species, birds)
    varying = {place for place, found in alleles.items() if len(found) > 1}
    named = {place for item in wish.pattern.items for place in item.loci}
    read = [species.reading(trait) for trait in (*wish.traits, *wish.shows)]
    seen = {place for reading in read for place in reading.machine.loci}
    dying = [pattern for pattern, entry in species.viable_patterns if entry.survival != 1]
    mortal = {place for pattern in dying for place in pattern.machine.loci}
    places = sorted(varying & (named | seen | mortal | set(wish.tested)))
    fixed = tuple(_fixed(species, birds, sex, set(places)) for sex in (0, 1))
    groups = species.layout_of(places)
    for sex in SEXES:
        for value in recombinations(species, groups, sex):
            if not value.is_Rational:
                message = "a programme needs numbers: give the recombination fraction as one, not as a symbol"
                _checks.refuse("stock", str(value), message)
    maker = _Maker(species, wish, alleles, (fixed[0], fixed[1]))
    return Setting(species, wish, tuple(maker.block(tied) for tied in maker.tied(groups)), (fixed[0], fixed[1]))


def _pair(bird: Genotype, group: tuple[int, ...]) -> Any:
    return bird._block_pair(group)


def _alleles(species: Species, birds: Sequence[Genotype]) -> dict[int, tuple[int, ...]]:
    """The alleles present at each locus that some bird tells."""
    found: dict[int, set[int]] = {}
    for bird in birds:
        for sex in SEXES if bird.sex is None else (bird.sex,):
            sexed = bird.with_sex(sex)
            for place in range(len(species.loci)):
                found.setdefault(place, set()).update(a for a in sexed._at(place) if a is not None)
    return {place: tuple(sorted(alleles)) for place, alleles in found.items()}


def _fixed(species: Species, birds: Sequence[Genotype], sex: int, varying: set[int]) -> dict[int, Pair]:
    """What a bird of one sex has at the loci that do not vary, or that nobody looks at."""
    of_sex = next((bird for bird in birds if bird.sex in (None, SEXES[sex])), birds[0])
    other = of_sex if of_sex.sex in (None, SEXES[sex]) else None
    made: dict[int, Pair] = {}
    for place in range(len(species.loci)):
        if place in varying:
            continue
        if other is not None:
            made[place] = other.with_sex(SEXES[sex])._at(place)
            continue
        present = [a for a in of_sex._at(place) if a is not None]
        wild = species.wild_pair((place,), SEXES[sex])
        assert wild is not None  # the sex is given
        allele = present[0] if present else None
        made[place] = (None if wild[0] is None else allele, None if wild[1] is None else allele)
    return made


@attrs.frozen(eq=False)
class _Maker:
    """Makes the blocks of a setting."""

    species: Species
    wish: Wish
    alleles: Mapping[int, tuple[int, ...]]
    fixed: tuple[dict[int, Pair], dict[int, Pair]]

    def tied(self, groups: Groups) -> list[Groups]:
        """The linkage groups, joined where a look, a loss or the target ties them."""
        of_place = {place: n for n, group in enumerate(groups) for place in group}
        joined = list(range(len(groups)))

        def join(numbers: Iterable[int]) -> None:
            found = sorted({joined[n] for n in numbers})
            for n, now in enumerate(joined):
                if now in found:
                    joined[n] = found[0]

        def touched(places: Iterable[int]) -> list[int]:
            return sorted({of_place[place] for place in places if place in of_place})

        for places in self._held_together():
            join(touched(places))
        for trait in self.wish.traits:
            numbers = touched(self.species.reading(trait).machine.loci)
            if len(numbers) > 1 and not self._separable(trait, [groups[n] for n in numbers]):
                join(numbers)
        return [tuple(group for n, group in enumerate(groups) if joined[n] == first) for first in sorted(set(joined))]

    def _held_together(self) -> Iterable[Iterable[int]]:
        """Loci that the target, or a loss, speaks of in one breath."""
        yield from (item.loci for item in self.wish.pattern.items)
        yield from (self.species.reading(trait).machine.loci for trait in self.wish.shows)
        yield from (p.machine.loci for p, entry in self.species.viable_patterns if entry.survival != 1)

    def block(self, groups: Groups) -> Block:
        """One block, with its looks, its losses, its part of the target and its order."""
        places = {place for group in groups for place in group}
        states: list[list[State]] = []
        survival: list[list[Fraction]] = []
        hopeful: list[bool] = []
        for sex in (0, 1):
            every = states_of(self.species, groups, self.alleles, SEXES[sex])
            lives = [self._survival(groups, state, sex, places) for state in every]
            states.append([state for state, life in zip(every, lives, strict=True) if life])
            survival.append([life for life in lives if life])
            hopeful.append(any(self._fits(groups, state, sex, places) for state in every))
        looks: list[list[Look]] = [[], []]
        shown: list[list[tuple[tuple[int, Fraction], ...]]] = [[], []]
        for sex in (0, 1):
            index: dict[Look, int] = {}
            for state in states[sex]:
                chances = self._looks(groups, state, sex, places)
                shown[sex].append(tuple((index.setdefault(look, len(index)), c) for look, c in chances.items()))
            looks[sex] = list(index)
        target = tuple(
            sum(1 << at for at, state in enumerate(states[sex]) if self._fits(groups, state, sex, places))
            for sex in (0, 1)
        )
        better = Order(groups, states, shown, (target[0], target[1]), self._choices(groups)).better()
        return Block(
            self.species,
            groups,
            (tuple(states[0]), tuple(states[1])),
            (tuple(survival[0]), tuple(survival[1])),
            (tuple(looks[0]), tuple(looks[1])),
            (tuple(shown[0]), tuple(shown[1])),
            better,
            (target[0], target[1]),
            (hopeful[0] and not target[0], hopeful[1] and not target[1]),
        )

    def _choices(self, groups: Groups) -> dict[int, tuple[int, ...]]:
        """The alleles that may be the one wanted, at the loci of the target."""
        named = {place for item in self.wish.pattern.items for place in item.loci}
        for trait in self.wish.shows:
            named |= set(self.species.reading(trait).machine.loci)
        return {place: self.alleles[place] for group in groups for place in group if place in named}

    # -- reading one genotype ----------------------------------------------------------------------------------------

    def pairs(self, groups: Groups, state: State, sex: int) -> dict[int, Pair]:
        """What stands at every locus of a bird."""
        made = dict(self.fixed[sex])
        for group, (left, right) in zip(groups, state, strict=True):
            for at, place in enumerate(group):
                made[place] = (None if left is None else left[at], None if right is None else right[at])
        return made

    def _survival(self, groups: Groups, state: State, sex: int, places: set[int]) -> Fraction:
        lives = Fraction(1)
        pairs = self.pairs(groups, state, sex)
        for pattern, entry in self.species.viable_patterns:
            if places & set(pattern.machine.loci) and pattern.machine.read(SEXES[sex], pairs) is not None:
                if not entry.survival.is_Rational:
                    message = "a programme needs numbers: give the survival as one, not as a symbol"
                    _checks.refuse("stock", str(entry.survival), message)
                lives *= Fraction(int(entry.survival.p), int(entry.survival.q))
        return lives

    def _fits(self, groups: Groups, state: State, sex: int, places: set[int]) -> bool:
        pairs = self.pairs(groups, state, sex)
        items = [item for item in self.wish.pattern.items if places & set(item.loci)]
        if items and not fits(self.species, items, sex, pairs):
            return False
        for trait, labels in self.wish.shows.items():
            reading = self.species.reading(trait)
            if places & set(reading.machine.loci) and not set(_labels(reading, sex, pairs)) <= labels:
                return False
        return True

    def _looks(self, groups: Groups, state: State, sex: int, places: set[int]) -> dict[Look, Fraction]:
        """What a breeder can tell of a bird in this block, with the chance of each look."""
        pairs = self.pairs(groups, state, sex)
        made: dict[Look, Fraction] = {(): Fraction(1)}
        for place in self.wish.tested:
            if place in places:
                alleles = tuple(sorted(a for a in pairs[place] if a is not None))
                made = {(*look, (self.species.loci[place].symbol, alleles)): c for look, c in made.items()}
        for trait in self.wish.traits:
            reading = self.species.reading(trait)
            own = [place for place in reading.machine.loci if place in places]
            if not own or not self._is_seen(reading, sex):
                continue
            parts: dict[object, Fraction] = {}
            if set(self._varying(reading)) <= places:
                parts.update(_labels(reading, sex, pairs))
            else:
                parts[self._class(reading, groups, state, sex)] = Fraction(1)
            made = {(*look, (trait, part)): c * p for look, c in made.items() for part, p in parts.items()}
        return made

    def _is_seen(self, reading: Reading, sex: int) -> bool:
        # What is seen at laying is seen in the sex that lays.
        return not (reading.trait.seen_at == "laying" and SEXES[sex] == "male")

    def _varying(self, reading: Reading) -> list[int]:
        return [place for place in reading.machine.loci if place not in self.fixed[0]]

    # -- traits that several blocks bear on ----------------------------------------------------------------------------

    def _separable(self, trait: str, groups: Sequence[tuple[int, ...]]) -> bool:
        """Whether seeing the trait is the same as seeing a part of it in each group."""
        reading = self.species.reading(trait)
        for sex in (0, 1):
            seen = {self._key(reading, states, groups, sex) for states in self._combinations(groups, sex)}
            classes = 1
            for group in groups:
                own = states_of(self.species, (group,), self.alleles, SEXES[sex])
                classes *= len({self._class(reading, (group,), state, sex) for state in own})
            if len(seen) != classes:
                return False
        return True

    def _combinations(self, groups: Sequence[tuple[int, ...]], sex: int) -> Iterable[tuple[State, ...]]:
        lists = [states_of(self.species, (group,), self.alleles, SEXES[sex]) for group in groups]
        size = 1
        for states in lists:
            size *= len(states)
        if size > _MOST_COMBINATIONS:
            message = (
                f"one look depends on {len(groups)} loci that differ within the stock, in {size:,} combinations, more "
                f"than {_MOST_COMBINATIONS:,}; name fewer traits with seen=[...]"
            )
            raise TooLargeError(message, size=size, limit=_MOST_COMBINATIONS)
        return itertools.product(*lists)

    def _key(
        self, reading: Reading, states: Sequence[State], groups: Sequence[tuple[int, ...]], sex: int
    ) -> tuple[tuple[str, Fraction], ...]:
        state = tuple(pair for one in states for pair in one)
        return tuple(_labels(reading, sex, self.pairs(tuple(groups), state, sex)).items())

    def _class(self, reading: Reading, groups: Groups, state: State, sex: int) -> object:
        """What is seen of one block in a trait that other blocks bear on too: the looks it can lead to."""
        places = {place for group in groups for place in group}
        others = [
            group
            for group in self.species.layout_of([p for p in self._varying(reading) if p not in places])
            if not places & set(group)
        ]
        return tuple(
            self._key(reading, (state, *states), (*groups, *others), sex) for states in self._combinations(others, sex)
        )


def labels_shown(setting: Setting, trait: str, sex: int, states: Mapping[int, int]) -> dict[str, Fraction]:
    """What a bird shows of a trait, from its genotypes in the blocks that bear on it."""
    pairs = dict(setting.fixed[sex])
    for number, at in states.items():
        block = setting.blocks[number]
        for group, (left, right) in zip(block.groups, block.states[sex][at], strict=True):
            for n, place in enumerate(group):
                pairs[place] = (None if left is None else left[n], None if right is None else right[n])
    return _labels(setting.species.reading(trait), sex, pairs)


def fits(species: Species, items: Sequence[Item], sex: int, pairs: Mapping[int, Pair]) -> bool:
    """Whether a bird fits some items of a target.

    A target speaks for both sexes: where a bird has a single copy, two equal alleles ask for that one.
    """
    single = tuple(_single(item, pairs) for item in items)
    return Machine.of((Rule(single),), species.loci).read(SEXES[sex], pairs) is not None


def _single(item: Item, pairs: Mapping[int, Pair]) -> Item:
    right = tuple(
        ANY if pairs[place][1] is None and left == right else right
        for place, left, right in zip(item.loci, item.left, item.right, strict=True)
    )
    return Item(item.loci, item.left, right)


def _labels(reading: Reading, sex: int, pairs: Mapping[int, Pair]) -> dict[str, Fraction]:
    """What a bird shows of a trait, with the chance of each label."""
    rule = reading.machine.read(SEXES[sex], pairs)
    assert rule is not None  # the species refuses rules that miss a genotype
    made = {}
    for label, chance in reading.shows[rule]:
        if not chance.is_Rational:
            message = "a programme needs numbers: give the penetrance as one, not as a symbol"
            _checks.refuse("seen", str(chance), message)
        made[reading.labels[label]] = Fraction(int(chance.p), int(chance.q))
    return made


def read_tested(species: Species, tested: Collection[str]) -> tuple[int, ...]:
    """The loci that a DNA test reads."""
    if isinstance(tested, str):
        tested = (tested,)
    return tuple(species.place_of(symbol) for symbol in _checks.texts(tested, "tested"))
