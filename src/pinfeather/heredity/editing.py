"""Changing a species: adding and replacing parts, and keeping some loci only."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import attrs

from pinfeather.errors import DefinitionError
from pinfeather.heredity import assembly
from pinfeather.heredity.linkage import Linkage
from pinfeather.heredity.loci import Locus
from pinfeather.heredity.matching import Pair, possible_pairs, survey
from pinfeather.heredity.notation import Item, slot_fits, write_items
from pinfeather.heredity.readings import machine_of
from pinfeather.heredity.sexes import SEXES, Sex
from pinfeather.heredity.traits import Trait, TraitRule
from pinfeather.heredity.viability import Caution, Viability

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable

    from pinfeather.heredity.species import Species

T = TypeVar("T")


@attrs.frozen
class Parts:
    """What a species is extended with."""

    loci: tuple[Locus, ...]
    linkage: tuple[Linkage, ...]
    traits: tuple[Trait, ...]
    viability: tuple[Viability, ...]
    cautions: tuple[Caution, ...]


def read_parts(loci: Any, linkage: Any, traits: Any, viability: Any, cautions: Any) -> Parts:
    """The parts that a caller gave, each kind one or several."""
    return Parts(
        assembly.read_loci(loci),
        assembly.read_linkage(linkage),
        assembly.read_traits(traits),
        assembly.read_viability(viability),
        assembly.read_cautions(cautions),
    )


def extend(species: Species, parts: Parts, name: str | None) -> Species:
    """A species with parts added; a part of the same name replaces the old one."""
    linkage = species.linkage
    for group in parts.linkage:
        linkage = _with_group(linkage, group)
    return attrs.evolve(
        species,
        name=species.name if name is None else name,
        loci=_replaced(species.loci, parts.loci, lambda locus: locus.symbol),
        linkage=linkage,
        traits=_replaced(species.traits, parts.traits, lambda trait: trait.name),
        viability=_replaced(species.viability, parts.viability, lambda entry: (entry.pattern, entry.stage, entry.sex)),
        cautions=_replaced(species.cautions, parts.cautions, lambda caution: caution.pattern),
    )


def _replaced(old: Sequence[T], new: Iterable[T], key: Callable[[T], Hashable]) -> tuple[T, ...]:
    kept = {key(part): part for part in old}
    kept.update((key(part), part) for part in new)
    return tuple(kept.values())


def _with_group(linkage: tuple[Linkage, ...], group: Linkage) -> tuple[Linkage, ...]:
    """Linkage groups with one more, or with its figures put into the group that holds its loci."""
    touched = [old for old in linkage if set(old.loci) & set(group.loci)]
    if all(set(old.loci) <= set(group.loci) for old in touched):
        return (*(old for old in linkage if old not in touched), group)
    if len(touched) == 1 and set(group.loci) <= set(touched[0].loci):
        changed = _with_figures(touched[0], group)
        return tuple(changed if old is touched[0] else old for old in linkage)
    names = "; ".join(" ".join(old.loci) for old in touched)
    message = (
        f"the group {' '.join(group.loci)} overlaps others ({names}); give a group that holds all of their loci, or "
        "one that lies within one of them"
    )
    raise DefinitionError(message, loci=group.loci)


def _with_figures(old: Linkage, new: Linkage) -> Linkage:
    """The old group with the fractions of a smaller one: in its chain for neighbours, beside it for others."""
    chain = list(old.recombination)
    pairs = dict(old.pairs)
    for (first, second), value in zip(itertools.pairwise(new.loci), new.recombination, strict=True):
        low, high = sorted((old.loci.index(first), old.loci.index(second)))
        if high - low == 1:
            chain[low] = value
            pairs.pop((old.loci[low], old.loci[high]), None)
        else:
            pairs[(old.loci[low], old.loci[high])] = value
    return Linkage(old.loci, tuple(chain), pairs, old.sources + new.sources, old.notes, old.flag)


def restrict(species: Species, places: Sequence[int]) -> Species:
    """A species with some loci only; rules are kept as they read in birds that are wild type elsewhere."""
    kept = set(places)
    symbols = {species.loci[place].symbol for place in places}
    background = _Background(species, kept)
    linkage = tuple(g for old in species.linkage if (g := _restricted_group(old, symbols)) is not None)
    return attrs.evolve(
        species,
        loci=tuple(species.loci[place] for place in places),
        linkage=linkage,
        traits=tuple(t for old in species.traits if (t := background.trait(old)) is not None),
        viability=tuple(
            attrs.evolve(entry, pattern=text, sex=entry.sex or sex)
            for pattern, entry in species.viable_patterns
            for text, sex in background.pattern(pattern.items)
            # What harms every bird of one sex in this background is kept: it tilts the sexes.
            if (text or entry.sex or sex) and (entry.sex is None or sex in (None, entry.sex))
        ),
        cautions=tuple(
            attrs.evolve(c, pattern=text)
            for p, c in species.cautioned_patterns
            for text, _ in background.pattern(p.items)
            if text
        ),
    )


def _restricted_group(group: Linkage, symbols: set[str]) -> Linkage | None:
    loci = [symbol for symbol in group.loci if symbol in symbols]
    if len(loci) < 2:
        return None
    chain = tuple(
        (group.fraction(first, second, "male"), group.fraction(first, second, "female"))
        for first, second in itertools.pairwise(loci)
    )
    whole = Linkage(loci, chain, {}, group.sources, group.notes, group.flag)
    pairs = {
        (low, high): value
        for (low, high), value in group.pairs.items()
        if low in symbols and high in symbols and whole.fraction(low, high, "male") is None
    }
    return Linkage(loci, chain, pairs, group.sources, group.notes, group.flag)


@attrs.frozen
class _Background:
    """The loci that are left out, all wild type."""

    species: Species
    kept: set[int]

    def trait(self, trait: Trait) -> Trait | None:
        """The trait as it reads in this background; None if nothing of it is left to see."""
        rules: list[TraitRule] = []
        for rule in trait.rules:
            for text, sex in self.pattern(self.species.pattern(rule.pattern).items):
                if rule.sex is None or sex is None or rule.sex == sex:
                    rules.append(TraitRule(text, rule.shows, rule.sex or sex))
        reached = self._reached(rules)
        own_locus = trait.name in {self.species.loci[place].name for place in self.kept}
        named = own_locus or len(reached) > 1 or any(rules[number].pattern for number in reached)
        return attrs.evolve(trait, rules=tuple(rules[number] for number in reached)) if named else None

    def pattern(self, items: Sequence[Item]) -> list[tuple[str, Sex | None]]:
        """What is left of a pattern, in both sexes or in one; nothing where the wild type does not fit it."""
        fits: dict[Sex, bool] = {sex: all(self._fits(item, sex) for item in items) for sex in SEXES}
        if not any(fits.values()):
            return []
        left = [item for item in map(self._shortened, items) if item.loci]
        text = write_items(left, self.species.loci) if left else ""
        return [(text, None)] if all(fits.values()) else [(text, sex) for sex in SEXES if fits[sex]]

    def _fits(self, item: Item, sex: Sex) -> bool:
        """Whether wild-type homologues fit an item at the loci that are left out."""
        outside = [at for at, place in enumerate(item.loci) if place not in self.kept]

        def fits(at: int) -> bool:
            place = item.loci[at]
            wild = self.species.wild_allele(place)
            pairs: list[Pair] = [
                pair
                for pair in possible_pairs(self.species.loci[place], sex, self.species.sex_system)
                if all(allele in (wild, None) for allele in pair)
            ]
            left, right = item.left[at], item.right[at]
            return any(
                (slot_fits(left, a) and slot_fits(right, b)) or (slot_fits(left, b) and slot_fits(right, a))
                for a, b in pairs
            )

        return all(fits(at) for at in outside)

    def _shortened(self, item: Item) -> Item:
        inside = [at for at, place in enumerate(item.loci) if place in self.kept]
        return Item(
            tuple(item.loci[at] for at in inside),
            tuple(item.left[at] for at in inside),
            tuple(item.right[at] for at in inside),
        )

    def _reached(self, rules: Sequence[TraitRule]) -> list[int]:
        machine = machine_of(self.species, rules)
        return sorted(survey(machine, self.species.loci, self.species.sex_system).reached)
