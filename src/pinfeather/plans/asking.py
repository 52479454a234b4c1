"""Reading what a breeder asks of a programme: the stock, the target, what can be seen, and what stands in the way."""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.errors import ArgumentError, NoPlanError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import as_fraction, between, probability
from pinfeather.heredity.genotypes import Genotype, check_same_species
from pinfeather.heredity.patterns import Pattern
from pinfeather.heredity.sexes import SEXES, read_sex
from pinfeather.plans.blocks import bits
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.kinds import Doubt, Kind
from pinfeather.plans.lookalikes import MOST_DOUBTS
from pinfeather.plans.setting import Setting, Wish, fits, make_setting, read_tested

if TYPE_CHECKING:
    from pinfeather.heredity.species import Species


@attrs.frozen(eq=False)
class Question:
    """Everything that was asked, read and checked."""

    species: Species
    stock: dict[str, tuple[tuple[Genotype, Fraction], ...]]
    wish: Wish
    sexes: tuple[int, ...]
    certainty: Fraction
    max_seasons: int
    max_eggs: int | None
    tests: bool
    backcross_to: str | None
    recovered: Fraction | None
    eggs_alive: Fraction
    time_limit: float
    look_alikes: int
    working_life: int | None

    @property
    def birds(self) -> list[Genotype]:
        """Every genotype that the stock may have."""
        return [bird for several in self.stock.values() for bird, _ in several]


def read_stock(stock: Any, target: Any, species: Species | None) -> tuple[Species, dict[str, Any]]:
    """The stock as (genotype, chance) pairs by name, and its species."""
    entries = _checks.mapping(stock, "stock")
    if not entries:
        _checks.refuse("stock", stock, 'is empty; name the birds in hand, such as {"black hens": "+"}')
    known = [*entries.values(), target]
    found = species or next((s for s in map(_species_of, known) if s is not None), None)
    if found is None:
        message = "stock and target are all text; give one of them as a Genotype or Pattern, or say species=..."
        raise ArgumentError(message, argument="species", value=None)
    return found, {_checks.text(name, "a name in stock"): _birds(name, bird, found) for name, bird in entries.items()}


def _species_of(value: object) -> Species | None:
    if isinstance(value, (Genotype, Pattern)):
        return value.species
    if isinstance(value, Distribution):
        return next((_species_of(bird) for bird in value), None)
    return None


def _birds(name: str, value: Any, species: Species) -> tuple[tuple[Genotype, Fraction], ...]:
    if isinstance(value, str):
        value = species.genotype(value)
    if isinstance(value, Genotype):
        check_same_species(species, value.species)
        return ((value, Fraction(1)),)
    if isinstance(value, Distribution):
        pairs = []
        for bird, chance in value.items():
            _checks.instance(bird, f"stock[{name!r}]", Genotype)
            check_same_species(species, bird.species)
            if not chance.is_Rational:
                _checks.refuse(f"stock[{name!r}]", str(chance), "a programme needs numbers, not symbols, for chances")
            pairs.append((bird, as_fraction(chance)))
        if len({bird.sex for bird, _ in pairs}) > 1:
            _checks.refuse(f"stock[{name!r}]", str(value), "holds birds of different sex; name cocks and hens apart")
        return tuple(pairs)
    _checks.refuse(f"stock[{name!r}]", value, "must be a Genotype, a Distribution of genotypes, or text")


def read_wish(species: Species, target: Any, shows: Any, seen: Any, tested: Collection[str]) -> Wish:
    """What is wanted, and how it can be told."""
    pattern = species.pattern(target if target is not None else "")
    looks: dict[str, frozenset[str]] = {}
    for trait, labels in (_checks.mapping(shows, "shows") if shows is not None else {}).items():
        name = species.trait_name(trait)
        wanted = (labels,) if isinstance(labels, str) else _checks.texts(labels, f"shows[{trait!r}]")
        for label in wanted:
            if label not in species.labels_of(name):
                _checks.unknown("label", label, species.labels_of(name), f"trait {name!r}")
        looks[name] = frozenset(wanted)
    if not pattern.items and not looks:
        _checks.refuse("target", target, 'asks for nothing; name what is wanted, such as "lav/lav"')
    places = {place for item in pattern.items for place in item.loci}
    places |= {place for trait in looks for place in species.reading(trait).machine.loci}
    tests = read_tested(species, tested)
    if seen == "look":
        traits = tuple(dict.fromkeys((*species.traits_shown_by(places), *looks)))
    elif seen == "dna":
        traits, tests = tuple(looks), tuple(sorted(places | set(tests)))
    elif isinstance(seen, str):
        _checks.refuse("seen", seen, 'must be "look", "dna" or a list of traits')
    else:
        traits = tuple(species.reading(name).trait.name for name in _checks.texts(seen, "seen"))
    return Wish(pattern, looks, traits, tests)


def share_alive(fertility: Any, hatch_of_fertile: Any, survival: Any) -> Fraction:
    """The fraction of eggs set that give a chick that lives to breed, apart from losses to genotypes."""
    whole = Fraction(1)
    for name, value in (
        ("fertility", fertility),
        ("hatch_of_fertile", hatch_of_fertile),
        ("survival", survival),
    ):
        number = probability(value, name)
        if not number.is_Rational:
            _checks.refuse(name, value, "must be a number: a programme cannot be planned with a symbol")
        if number == 0:
            _checks.refuse(name, value, "must be above 0: otherwise no chick lives")
        whole *= as_fraction(number)
    return whole


def read_certainty(value: Any) -> Fraction:
    """A certainty above 0 and below 1."""
    number = between(value, "certainty", 0, 1)
    if not number.is_Rational or number in (0, 1):
        _checks.refuse("certainty", value, 'must be above 0 and below 1, such as "95%": no hatch is certain')
    return as_fraction(number)


def read_background(stock: Mapping[str, Any], backcross_to: Any, recovered: Any) -> tuple[str | None, Fraction | None]:
    """The breed to be recovered, and the share of its background wanted in the end."""
    if backcross_to is None and recovered is None:
        return None, None
    if backcross_to is None or recovered is None:
        message = 'backcross_to and recovered belong together: which stock, and how much of it, such as "7/8"'
        raise ArgumentError(message, argument="recovered", value=recovered)
    if backcross_to not in stock:
        _checks.unknown("stock", str(backcross_to), stock)
    return backcross_to, as_fraction(between(recovered, "recovered", 0, 1))


def read_sexes(sex: Any) -> tuple[int, ...]:
    """The sexes in which the bird is wanted."""
    return (0, 1) if sex is None else (SEXES.index(read_sex(sex)),)


# ---- from the question to kinds ------------------------------------------------------------------------------------


def breeding_for(question: Question) -> Breeding:
    """The kinds in hand and those wanted; refuses what cannot be reached whatever is done."""
    _check_alleles(question)
    setting = make_setting(question.species, question.birds, question.wish)
    breeding = Breeding(
        setting,
        question.eggs_alive,
        tests=question.tests,
        most_birds=question.look_alikes,
        certainty=question.certainty,
    )
    for name, birds in question.stock.items():
        _take(breeding, question, name, birds)
    for sex in (0, 1):
        if not any(breeding.kinds[number].sex == sex for number in breeding.stock):
            word = ("cock", "hen")[sex]
            message = f"there is no {word} in the stock, so nothing can be hatched; add one"
            raise NoPlanError(message, reason="one sex", sex=SEXES[sex])
    breeding.target = tuple(_wanted(question, setting, breeding, sex) for sex in question.sexes)
    return breeding


def _check_alleles(question: Question) -> None:
    """Refuse a target with an allele that nobody in the stock has."""
    species = question.species
    present: dict[int, set[int]] = {}
    for bird in question.birds:
        for sex in SEXES if bird.sex is None else (bird.sex,):
            for place in range(len(species.loci)):
                present.setdefault(place, set()).update(a for a in bird.with_sex(sex)._at(place) if a is not None)
    for item in question.wish.pattern.items:
        for place, *slots in zip(item.loci, item.left, item.right, strict=True):
            for slot in slots:
                if slot is not None and slot >= 0 and slot not in present[place]:
                    symbol = species.loci[place].symbols[slot]
                    message = f"no bird in the stock has the allele {symbol}; get one that carries it, and add it"
                    raise NoPlanError(message, reason="allele", allele=symbol)


def _take(breeding: Breeding, question: Question, name: str, birds: tuple[tuple[Genotype, Fraction], ...]) -> None:
    """Enter a line, or one bird, among the kinds in hand."""
    background = None
    if question.backcross_to is not None:
        background = Fraction(1 if name == question.backcross_to else 0)
    for sex in (0, 1):
        if birds[0][0].sex not in (None, SEXES[sex]):
            continue
        placed = [(breeding.setting.locate(bird, sex), bird, chance) for bird, chance in birds]
        dead = next((bird for at, bird, _ in placed if at is None), None)
        if dead is not None:
            message = f"stock[{name!r}]: {dead} is lethal, so there is no such bird to breed from"
            raise NoPlanError(message, reason="lethal", genotype=str(dead))
        living = [(at, chance) for at, _, chance in placed if at is not None]
        several = birds[0][0].sex is None
        for group in _by_look(breeding.setting, living, sex, split=several):
            for kind in _kinds_of(breeding, group, sex, background, several=several):
                breeding.add_stock(kind, name)


def _by_look(
    setting: Setting, living: list[tuple[tuple[int, ...], Fraction]], sex: int, *, split: bool
) -> list[list[tuple[tuple[int, ...], Fraction]]]:
    """The birds of a line by what they look like; a single bird's look is not asked."""
    groups: dict[object, list[tuple[tuple[int, ...], Fraction]]] = {}
    for at, chance in living:
        look = tuple(block.shown[sex][n] for block, n in zip(setting.blocks, at, strict=True)) if split else None
        groups.setdefault(look, []).append((at, chance))
    return list(groups.values())


def _kinds_of(
    breeding: Breeding,
    group: list[tuple[tuple[int, ...], Fraction]],
    sex: int,
    background: Fraction | None,
    *,
    several: bool,
) -> Iterable[Kind]:
    """What birds of one look are known to be, and what a share of them may be proven to be."""
    blocks = breeding.setting.blocks
    known = [0] * len(blocks)
    for at, _ in group:
        for block, place in enumerate(at):
            known[block] |= 1 << place
    yield Kind(sex, tuple(known), background=background)
    if not breeding.tests:
        return
    for doubts in _doubts_about(breeding, group, sex, known):
        for birds in breeding.numbers_of_birds(math.prod((doubt.share for doubt in doubts), start=Fraction(1))):
            if birds == 1 or several:
                yield Kind(sex, tuple(known), doubts, birds, background)


def _doubts_about(
    breeding: Breeding, group: list[tuple[tuple[int, ...], Fraction]], sex: int, known: Sequence[int]
) -> Iterable[tuple[Doubt, ...]]:
    """What may be wanted of some birds beyond what is known, in one block or in independent ones."""
    total = sum((chance for _, chance in group), Fraction(0))
    single = []
    for block, mask in enumerate(known):
        for wanted in sorted({breeding.setting.blocks[block].better[sex][place] for place in bits(mask)}):
            doubt = Doubt(block, wanted, Fraction(1))
            if mask & ~wanted:
                single.append(attrs.evolve(doubt, share=_share_of(group, (doubt,)) / total))
    for number in range(1, MOST_DOUBTS + 1):
        for chosen in itertools.combinations(single, number):
            share = math.prod((doubt.share for doubt in chosen), start=Fraction(1))
            if len({doubt.block for doubt in chosen}) == number and _share_of(group, chosen) / total == share:
                yield chosen


def _share_of(group: list[tuple[tuple[int, ...], Fraction]], doubts: tuple[Doubt, ...]) -> Fraction:
    """The share of the birds that are right in all of some blocks at once."""
    return sum(
        (chance for at, chance in group if all(doubt.wanted >> at[doubt.block] & 1 for doubt in doubts)), Fraction(0)
    )


def _wanted(question: Question, setting: Setting, breeding: Breeding, sex: int) -> int:
    """The kind wanted in one sex; refuses one that cannot live, or that the sex cannot have."""
    word = ("cock", "hen")[sex]
    target = str(question.wish.pattern) or ", ".join(
        f"{trait}: {' or '.join(sorted(labels))}" for trait, labels in question.wish.shows.items()
    )
    fixed_items = [
        item for item in question.wish.pattern.items if all(place in setting.fixed[sex] for place in item.loci)
    ]
    if fixed_items and not fits(question.species, fixed_items, sex, setting.fixed[sex]):
        message = f"no {word} can be {target}: all birds of the stock are alike at a locus of it, and otherwise"
        raise NoPlanError(message, reason="genotype", sex=SEXES[sex])
    for block in setting.blocks:
        if block.target[sex]:
            continue
        symbols = " ".join(setting.species.loci[place].symbol for group in block.groups for place in group)
        if block.hopeless[sex]:
            message = f"the wanted bird cannot live: every {word} that is {target} (at {symbols}) dies of it; "
            message += "if one copy will do, ask for that, such as Cp/cp+"
            raise NoPlanError(message, reason="lethal", sex=SEXES[sex])
        message = f"no {word} can be {target}: at {symbols} a {word} of this stock cannot have that"
        if question.sexes == (0, 1):
            other = SEXES[1 - sex]
            message += f"; a sex with a single copy cannot be mixed, so ask for one sex with sex={other!r}"
        raise NoPlanError(message, reason="genotype", sex=SEXES[sex])
    known = tuple(block.target[sex] for block in setting.blocks)
    return breeding.number(Kind(sex, known, background=question.recovered))


def read_time(value: Any) -> float:
    """A number of seconds, 0 or more."""
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not value >= 0:
        _checks.refuse("time_limit", value, "must be a number of seconds, 0 or more")
    return float(value)
