"""One mating worked out twice, by the library and by the brute force, and the two compared."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from pinfeather import Distribution, cross
from pinfeather.crosses import Offspring
from tests.oracles import Hatch, Keep, Oracle, as_fraction

ONE = Fraction(1)


def fractions(distribution: Distribution[Any]) -> dict[Any, Fraction]:
    return {outcome: as_fraction(chance) for outcome, chance in distribution.items()}


def genotypes_by_key(oracle: Oracle, chicks: Offspring, places: list[int]) -> tuple[dict[Any, Fraction], bool]:
    """The library's genotypes at some loci, read back by the oracle from what they print."""
    symbols = [oracle.species.loci[place].symbol for place in places]
    found: dict[Any, Fraction] = {}
    sexed = False
    for genotype, chance in fractions(chicks.genotypes(*symbols)).items():
        sexed = genotype.sex is not None
        bird = oracle.bird(str(genotype), genotype.sex or "male", told=places)
        found[oracle.key(bird, places, sexed=sexed)] = chance
    return found, sexed


def assert_agreement(
    chicks: Offspring, hatch: Hatch, places: list[int], question: Keep, stage: str = "hatched"
) -> None:
    """The library and the brute force tell the same of a hatch: genotypes, looks, a question, and losses."""
    oracle = hatch.oracle
    found, sexed = genotypes_by_key(oracle, chicks, places)
    assert found == hatch.genotypes(places, sexed=sexed, stage=stage)
    names = oracle.species.trait_names
    for traits in [*((name, "sex") for name in names), tuple(trait.name for trait in oracle.species.traits)]:
        if traits:
            looks = {look.labels: chance for look, chance in fractions(chicks.phenotypes(*traits)).items()}
            assert looks == hatch.looks(traits, stage)
    assert as_fraction(chicks.fraction(**question.asked())) == hatch.fraction(question, stage)


def both_ways(oracle: Oracle, sire: str, dam: str) -> tuple[Offspring, Hatch]:
    """One mating, by the library and by the brute force; matings of which no chick hatches are passed over."""
    hatch = oracle.hatch({oracle.bird(sire, "male"): ONE}, {oracle.bird(dam, "female"): ONE})
    assume(hatch.weight() > 0)
    of = oracle.species
    return cross(of.genotype(sire, sex="male"), of.genotype(dam, sex="female")), hatch


def some_places(draw: Any, oracle: Oracle) -> list[int]:
    return sorted(draw(st.sets(st.sampled_from(range(len(oracle.symbols))), min_size=1)))
