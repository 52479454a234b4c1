"""Which chicks of a test mating tell: those of a look, or a death in the egg, that a clean suspect cannot give."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.crosses.mating import cross
from pinfeather.crosses.offspring import Offspring
from pinfeather.errors import ImpossibleError
from pinfeather.exact.numbers import exact
from pinfeather.heredity.genotypes import BlockPair, Genotype, in_order
from pinfeather.heredity.patterns import Pattern
from pinfeather.heredity.sexes import SEXES, Sex
from pinfeather.heredity.traits import SEX

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species

_AGES = ("hatch", "chick", "adult")
_PLURALS: Mapping[str, str] = {"male": "sons", "female": "daughters"}


@attrs.frozen
class Signs:
    """What to look for: the labels of each trait that say nothing, the deaths in the egg that tell, and in whom."""

    silent: Mapping[str, tuple[str, ...]]
    telling: Mapping[str, tuple[str, ...]]
    deaths: tuple[str, ...]
    """Patterns of the genotypes that die in the egg and that a clean suspect cannot give."""
    sexes: tuple[Sex, ...]
    seen_at: str

    @property
    def counted(self) -> str:
        """What is counted."""
        if self.deaths:
            return "fertile eggs"
        return "chicks" if self.sexes == SEXES else _PLURALS[self.sexes[0]]

    def words(self) -> str:
        """What to look for, in words."""
        parts = [f"{trait}: {' or '.join(labels)}" for trait, labels in self.telling.items()]
        parts += [f"an embryo dead in the egg with the signs of {pattern}" for pattern in self.deaths]
        return "; or ".join(parts)


@attrs.frozen
class Told:
    """What one couple's eggs come to: of all fertile eggs, those counted, and those counted that tell."""

    counted: Expr
    told: Expr
    lost: Expr

    @property
    def silent(self) -> Expr:
        """The chance that one of those counted says nothing."""
        return exact(1) if self.counted == 0 else ((self.counted - self.told) / self.counted).cancel()


def couple_of(suspect: Any, mate: Any, sex: Sex) -> Offspring:
    """The chicks of a suspect of one sex and its mate."""
    return cross(suspect, mate) if sex == "male" else cross(mate, suspect)


def hidden_places(genotype: Genotype) -> tuple[int, ...]:
    """The loci at which a bird has two different alleles."""
    return tuple(
        place
        for block, pair in zip(genotype.layout, genotype.pairs, strict=True)
        if pair is not None and None not in pair
        for at, place in enumerate(block)
        if pair[0][at] != pair[1][at]  # type: ignore[index]
    )


def cleaned(genotype: Genotype, places: Sequence[int]) -> Genotype:
    """The same bird with two copies of the most dominant allele that it has at some loci."""
    pairs: list[BlockPair | None] = []
    for block, pair in zip(genotype.layout, genotype.pairs, strict=True):
        if pair is None or pair[0] is None or pair[1] is None or not set(block) & set(places):
            pairs.append(pair)
            continue
        least = tuple(map(min, zip(pair[0], pair[1], strict=True)))
        left, right = (
            tuple(least[at] if place in places else h[at] for at, place in enumerate(block)) for h in pair if h
        )
        pairs.append(in_order((left, right)))
    return Genotype(genotype.species, genotype.layout, tuple(pairs), genotype.sex)


def find_signs(clean: Offspring, carrier: Offspring, places: Sequence[int], shows: Any, *, open_eggs: bool) -> Signs:
    """What tells, in chicks of a carrier and of the same bird if it is clean."""
    species = carrier.species
    deaths = _telling_deaths(species, clean, carrier) if open_eggs and shows is None else ()
    if shows is not None:
        telling = _asked_for(species, shows)
    else:
        telling = _impossible_looks(clean, carrier, places)
        telling = _useful(carrier, telling)
    silent = {t: tuple(n for n in species.labels_of(t) if n not in told) for t, told in telling.items()}
    sexes = tuple(sex for sex in SEXES if silent and _silent_share(carrier, silent, (sex,)) != _share(carrier, sex))
    if deaths or len(sexes) != 1:
        sexes = SEXES
    ages = [species.trait(trait).seen_at for trait in telling]
    seen_at = max(ages, key=_age, default="hatch")
    return Signs(silent, telling, deaths, sexes, seen_at)


def _age(stage: str) -> int:
    return _AGES.index(stage) if stage in _AGES else len(_AGES)


def _asked_for(species: Species, shows: Any) -> dict[str, tuple[str, ...]]:
    """The telling labels that a caller named."""
    telling = {}
    for trait, label in _checks.mapping(shows, "shows").items():
        name = species.trait_name(trait)
        if name == SEX:
            _checks.refuse("shows", shows, "a sex tells nothing of a carrier; name a look")
        labels = (label,) if isinstance(label, str) else _checks.texts(label, f"shows[{trait!r}]")
        for one in labels:
            if one not in species.labels_of(name):
                _checks.unknown("label", one, species.labels_of(name), f"trait {name!r}")
        telling[name] = labels
    if not telling:
        _checks.refuse("shows", shows, "must name a look: {trait: label}")
    return telling


def _impossible_looks(clean: Offspring, carrier: Offspring, places: Sequence[int]) -> dict[str, tuple[str, ...]]:
    """For each trait that the loci bear on: the labels that chicks of a carrier may show and others may not."""
    species = carrier.species
    told = [place for place in range(len(species.loci)) if carrier.tells(place) and clean.tells(place)]
    found = {}
    for trait in species.traits_shown_by(places, told):
        may = {look[trait] for look in carrier.phenotypes(trait)} - {look[trait] for look in clean.phenotypes(trait)}
        if may:
            found[trait] = tuple(label for label in species.labels_of(trait) if label in may)
    return found


def _useful(carrier: Offspring, telling: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    """The trait that tells most, and as soon as possible; and others only as far as they tell more."""
    species = carrier.species

    def silent_with(traits: Sequence[str]) -> Expr:
        quiet = {t: tuple(n for n in species.labels_of(t) if n not in telling[t]) for t in traits}
        return _silent_share(carrier, quiet, SEXES)

    chosen: list[str] = []
    left = exact(1)
    order = sorted(telling, key=lambda trait: (_sortable(silent_with([trait])), _age(species.trait(trait).seen_at)))
    for trait in order:
        share = silent_with([*chosen, trait])
        if share != left:
            chosen.append(trait)
            left = share
    return {trait: telling[trait] for trait in chosen}


def _sortable(value: Expr) -> Any:
    return value if value.is_Rational else exact(1)


def _share(chicks: Offspring, sex: Sex) -> Expr:
    return chicks.fraction(sex=sex)


def _silent_share(chicks: Offspring, silent: Mapping[str, Sequence[str]], sexes: Sequence[Sex]) -> Expr:
    """The fraction of the chicks hatched that are of some sexes and say nothing."""
    if any(not labels for labels in silent.values()):
        return exact(0)
    looks = {trait: tuple(labels) for trait, labels in silent.items()}
    return chicks.fraction(shows=looks or None, sex=sexes[0] if len(sexes) == 1 else None)


def _telling_deaths(species: Species, clean: Offspring, carrier: Offspring) -> tuple[str, ...]:
    eggs, clean_eggs = carrier.at_fertilisation, clean.at_fertilisation
    return tuple(
        str(pattern)
        for pattern, entry in species.viable_patterns
        if entry.stage == "embryo" and entry.survival != 1
        if all(carrier.tells(place) and clean.tells(place) for place in pattern.machine.loci)
        if eggs.fraction(pattern) != 0 and clean_eggs.fraction(pattern) == 0
    )


def told_by(chicks: Offspring, signs: Signs) -> Told:
    """What the eggs of one couple come to."""
    hatched = 1 - chicks.lost
    if hatched == 0:
        silent = share = exact(0)
    else:
        silent = _silent_share(chicks, signs.silent, signs.sexes) if signs.silent else exact(1)
        share = exact(1) if signs.sexes == SEXES else _share(chicks, signs.sexes[0])
    dead = _dead_with_signs(chicks, signs.deaths) if signs.deaths else exact(0)
    counted = (hatched * share + dead).expand()
    return Told(counted, (counted - hatched * silent).expand(), chicks.lost)


def _dead_with_signs(chicks: Offspring, deaths: Sequence[str]) -> Expr:
    """Of all fertile eggs, those whose embryo dies of one of the named genotypes."""
    species = chicks.species
    entries = [
        (pattern, entry.survival)
        for pattern, entry in species.viable_patterns
        if entry.stage == "embryo" and str(pattern) in deaths and chicks.couple.may_give(pattern)
    ]
    return _any_death(chicks.at_fertilisation, entries)


def _any_death(eggs: Offspring, entries: Sequence[tuple[Pattern, Expr]]) -> Expr:
    """The fraction that dies of at least one cause, each cause killing independently of the others."""
    if not entries:
        return exact(0)
    (pattern, survival), rest = entries[0], entries[1:]
    share = eggs.fraction(pattern)
    others = _any_death(eggs, rest)
    if share == 0:
        return others
    both = _any_death(eggs.given(pattern), rest) if rest else exact(0)
    return (others + share * (1 - survival) * (1 - both)).expand()


def nothing_tells(carrier: Offspring, places: Sequence[int], suspect: str, mate: str) -> ImpossibleError:
    """Say that a mate can tell nothing, and why."""
    species = carrier.species
    reasons = []
    for place in places:
        locus = species.loci[place]
        if carrier.tells(place):
            at_most = sorted(locus.symbols[allele] for allele in carrier.possible(place))
            reasons.append(f"at {locus.symbol} its chicks have {' and '.join(at_most)}")
    why = f" ({'; '.join(reasons)})" if reasons else ""
    message = (
        f"a mating to {mate} tells nothing of {suspect}: no chick looks, or dies, in a way that a clean bird's chicks "
        f"could not{why}. Take a mate that shows, or is known to carry, what the bird is suspected of"
    )
    return ImpossibleError(message, suspect=suspect, mate=mate)
