"""Reading traits from genotypes: rules made into machines, proved to fit every genotype, and read."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from pinfeather.errors import DefinitionError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.symbolic import WeightRing
from pinfeather.heredity.genotypes import Genotype
from pinfeather.heredity.loci import Locus
from pinfeather.heredity.matching import Machine, Rule, survey
from pinfeather.heredity.notation import Item, write_items
from pinfeather.heredity.traits import SEX, Phenotype, Reading, Trait, TraitRule, default_rules

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species


def looks_of(species: Species, genotype: Genotype, names: Sequence[str]) -> Distribution[Phenotype]:
    """What a bird of known sex shows of some traits."""
    full = tuple(species.trait_name(name) for name in names)
    chances: list[list[tuple[str, Expr]]] = []
    for name in full:
        if name == SEX:
            chances.append([(str(genotype.sex), 1)])
        else:
            chances.append(_shown(genotype, species.reading(name)))
    ring = WeightRing.of(chance for shown in chances for _, chance in shown if chance != 1)
    weighted = []
    for shown in chances:
        weights, _ = ring.whole([chance for _, chance in shown]) if len(shown) > 1 else ([1], 1)
        weighted.append(list(zip((label for label, _ in shown), weights, strict=True)))
    looks: dict[Phenotype, Any] = {}
    for combination in itertools.product(*weighted):
        weight: Any = 1
        for _, factor in combination:
            weight = weight * factor
        looks[Phenotype(full, tuple(label for label, _ in combination))] = weight
    return Distribution.from_weights(looks, looks.values())


def _shown(genotype: Genotype, reading: Reading) -> list[tuple[str, Expr]]:
    assert genotype.sex is not None  # asked for by Genotype.phenotypes
    pairs = {place: genotype._at(place) for place in reading.machine.loci}
    rule = reading.machine.read(genotype.sex, pairs)
    assert rule is not None  # the survey proved that some rule fits every genotype
    return [(reading.labels[label], chance) for label, chance in reading.shows[rule]]


def checked_reading(species: Species, trait: Trait) -> Reading:
    """A trait's reading, once it is sure that its rules miss no genotype and each can be reached."""
    machine = machine_of(species, trait.rules)
    found = survey(machine, species.loci, species.sex_system)
    if found.missed is not None:
        sex, pairs = found.missed
        items = [Item((place,), (left,), (right,)) for place, (left, right) in pairs.items()]
        missed = write_items([i for i in items if (i.left, i.right) != ((None,), (None,))], species.loci)
        message = (
            f"the rules of trait {trait.name!r} miss a genotype: {missed} in a {sex}; a last rule ('', label) "
            "catches all that is left"
        )
        raise DefinitionError(message, trait=trait.name, genotype=missed)
    for number, rule in enumerate(trait.rules):
        if number not in found.reached:
            message = (
                f"rule {number + 1} of trait {trait.name!r}, {rule.pattern!r}, is never reached: the rules before "
                "it take every genotype that it fits"
            )
            raise DefinitionError(message, trait=trait.name, rule=rule.pattern)
    return Reading.of(trait, machine)


def own_reading(species: Species, locus: Locus) -> Reading:
    """The reading of a locus's own trait, without the filled-in rules that are never reached."""
    rules = default_rules(locus)
    found = survey(machine_of(species, rules), species.loci, species.sex_system)
    kept = tuple(rule for number, rule in enumerate(rules) if number in found.reached)
    trait = Trait(locus.name, kept, locus.seen_at, locus.sources, locus.notes, locus.flag)
    return Reading.of(trait, machine_of(species, kept))


def machine_of(species: Species, rules: Sequence[TraitRule]) -> Machine:
    """The machine that reads the rules of a trait."""
    return Machine.of([Rule(species.pattern(rule.pattern).items, rule.sex) for rule in rules], species.loci)


def shown_by(species: Species, places: set[int], told: set[int]) -> tuple[str, ...]:
    """The traits that some loci bear on, as far as the loci told suffice to read them."""
    needs = {trait.name: species.reading(trait.name).machine.loci for trait in species.traits}
    readable = [name for name, loci in needs.items() if told.issuperset(loci)]
    spoken = {place for name in readable for place in needs[name]}
    own = [locus.name for place, locus in enumerate(species.loci) if place in places - spoken]
    return (*(name for name in readable if places.intersection(needs[name])), *(n for n in own if n not in needs))
