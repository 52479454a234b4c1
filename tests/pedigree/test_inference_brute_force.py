"""Inference agrees, to the last digit, with going through every assignment of genotypes to the birds."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import pytest
import sympy
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pinfeather import ContradictionError, Individual, Pedigree
from pinfeather.pedigree import GenotypeProbabilities, contradictions, genotype_probabilities
from tests.oracles import as_fraction
from tests.pedigree.inference_flocks import WORLDS, Case, cases, cases_in
from tests.pedigree.inference_oracle import Answer, FlockOracle

Q = sympy.Symbol("q")


def keyed(flock: FlockOracle, found: Mapping[Any, Any], sex: str | None = None) -> dict[Any, Any]:
    """The library's genotypes as the brute force names them."""
    made: dict[Any, Any] = {}
    for genotype, chance in found.items():
        bird = flock.oracle.bird(str(genotype), genotype.sex or sex or "male", told=flock.places)
        key = flock.oracle.key(bird, flock.places, sexed=genotype.sex is not None)
        assert key not in made
        made[key] = chance if isinstance(chance, float) else as_fraction(chance)
    return made


def merged(shares: Mapping[Any, Fraction], *, sexed: bool) -> dict[Any, Fraction]:
    """The brute force's genotypes, the sexes put together where the loci do not tell them apart."""
    made: dict[Any, Fraction] = {}
    for (sex, *told), chance in shares.items():
        key = (sex if sexed else None, *told)
        made[key] = made.get(key, Fraction(0)) + chance
    return made


def assert_same_birds(case: Case, flock: FlockOracle, answer: Answer, found: Mapping[str, Any]) -> None:
    assert list(found) == list(case.pedigree.ids)
    for bird in case.pedigree.individuals:
        library = keyed(flock, found[bird.id], bird.sex)
        assert library == merged(answer.birds[bird.id], sexed=next(iter(library))[0] is not None)


def assert_same_parents(case: Case, answer: Answer, found: GenotypeProbabilities) -> None:
    for bird in case.pedigree.individuals:
        for parent, tell, known in ((bird.sire, found.sires, answer.sires), (bird.dam, found.dams, answer.dams)):
            if parent is not None:
                told = {one: as_fraction(chance) for one, chance in tell(bird.id).items() if chance != 0}
                assert told == known[bird.id]


def assert_same_carriers(case: Case, flock: FlockOracle, answer: Answer, found: GenotypeProbabilities) -> None:
    for symbol in case.loci:
        place = flock.oracle.places[symbol]
        for allele in flock.oracle.symbols[place]:
            told = {name: as_fraction(chance) for name, chance in found.carriers(allele).items()}
            members = flock.members
            assert told == {
                name: sum(
                    (c for g, c in shares.items() if allele in (members[g].left[place], members[g].right[place])),
                    Fraction(0),
                )
                for name, shares in answer.birds.items()
            }


def check(case: Case) -> None:
    flock = case.oracle()
    answer = flock.answer()
    if not answer.probability:
        with pytest.raises(ContradictionError):
            genotype_probabilities(case.pedigree, **case.asked())
        return
    found = genotype_probabilities(case.pedigree, **case.asked())
    assert as_fraction(found.probability_of_records) == answer.probability
    assert_same_birds(case, flock, answer, found)
    assert_same_parents(case, answer, found)
    assert_same_carriers(case, flock, answer, found)


@pytest.mark.parametrize("world", WORLDS)
@settings(max_examples=15)
@given(data=st.data())
def test_every_bird_is_what_all_assignments_say(world: str, data: st.DataObject) -> None:
    check(data.draw(cases_in(WORLDS[world])))


def pairs_of(pedigree: Pedigree) -> list[tuple[str, str]]:
    sexes: dict[str | None, list[str]] = {"male": [], "female": [], None: []}
    for bird in pedigree.individuals:
        sexes[bird.sex].append(bird.id)
    return [(sire, dam) for sire in sexes["male"] for dam in sexes["female"]]


@given(st.data(), cases(slips=0))
def test_the_next_mating_gives_what_all_assignments_say(data: st.DataObject, case: Case) -> None:
    """The two parents may well be related, and what is known of one bears on the other."""
    assume(pairs_of(case.pedigree))
    sire, dam = data.draw(st.sampled_from(pairs_of(case.pedigree)))
    flock = case.oracle()
    assume(flock.answer([(sire, dam)]).probability)
    hatch = flock.next_hatch(sire, dam)
    assume(hatch.weight())
    chicks = genotype_probabilities(case.pedigree, **case.asked()).offspring(sire, dam)
    genotypes = chicks.genotypes(*case.loci)
    sexed = next(iter(genotypes)).sex is not None
    assert keyed(flock, genotypes) == hatch.genotypes(flock.places, sexed=sexed)
    assert as_fraction(chicks.lost) == hatch.lost()


@given(cases(slips=0))
def test_floats_agree_to_twelve_digits_and_have_the_same_zeros(case: Case) -> None:
    flock = case.oracle()
    answer = flock.answer()
    assume(answer.probability)
    found = genotype_probabilities(case.pedigree, arithmetic="float", **case.asked())
    for bird in case.pedigree.individuals:
        library = keyed(flock, found[bird.id], bird.sex)
        exact = merged(answer.birds[bird.id], sexed=next(iter(library))[0] is not None)
        assert library == pytest.approx({key: float(chance) for key, chance in exact.items()}, rel=1e-12, abs=0)


@given(st.data(), cases(worlds=("one locus", "Z-linked", "embryo lethal", "penetrance", "linked"), slips=0))
def test_a_symbol_for_a_frequency_gives_the_answer_for_every_frequency(data: st.DataObject, case: Case) -> None:
    symbol = case.loci[0]
    first = case.pedigree.species.locus(symbol).symbols[0]
    value = data.draw(st.sampled_from((Fraction(1, 3), Fraction(5, 7))))
    flock = FlockOracle(
        case.pedigree, case.loci, {**case.frequencies, symbol: {first: value}}, {}, case.background, case.test_error
    )
    answer = flock.answer()
    assume(answer.probability)
    asked = {**case.asked(), "allele_frequencies": {**case.frequencies, symbol: {first: Q}}}
    found = genotype_probabilities(case.pedigree, **asked)
    number = sympy.Rational(value.numerator, value.denominator)
    assert as_fraction(found.probability_of_records.subs(Q, number)) == answer.probability
    for bird in case.pedigree.individuals:
        library = keyed(flock, {g: c.subs(Q, number) for g, c in found[bird.id].items()}, bird.sex)
        library = {key: chance for key, chance in library.items() if chance}
        assert library == merged(answer.birds[bird.id], sexed=next(iter(library))[0] is not None)


def kept_only(case: Case, records: Any) -> Pedigree:
    """The flock with some of its records only; parents are records like any other."""
    kept = {(r.subject, r.field, r.part) for r in records}
    birds = [
        Individual(
            bird.id,
            bird.sex,
            bird.sire if (bird.id, "parents", "sire") in kept else None,
            bird.dam if (bird.id, "parents", "dam") in kept else None,
            shows={trait: label for trait, label in bird.shows.items() if (bird.id, "shows", trait) in kept},
            genotype=bird.genotype if (bird.id, "genotype", "") in kept else None,
            tested=bird.tested if (bird.id, "tested", "") in kept else None,
        )
        for bird in case.pedigree.individuals
    ]
    hatches = [
        type(hatch)(
            hatch.id,
            hatch.sire,
            hatch.dam,
            [c for n, c in enumerate(hatch.counts) if (hatch.id, "counts", str(n)) in kept],
        )
        for hatch in case.pedigree.hatches
    ]
    return Pedigree(case.pedigree.species, birds, hatches)


def possible(case: Case, records: Any) -> bool:
    flock = FlockOracle(
        kept_only(case, records), case.loci, case.frequencies, case.special, case.background, case.test_error
    )
    return flock.answer().probability > 0


@st.composite
def mistaken(draw: st.DrawFn) -> Case:
    """Flocks with a slip; the brute force bears fewer birds where it is asked many times."""
    names = (
        "one locus",
        "one incomplete",
        "Z-linked",
        "sex-limited",
        "hidden by the background",
        "XY",
        "three alleles",
    )
    return draw(cases(worlds=names, slips=9))


@given(mistaken())
def test_contradicting_records_are_named_without_one_too_many(case: Case) -> None:
    """Each set is impossible by itself, is possible without any one of its records, and shares none with another."""
    asked = case.asked()
    found = contradictions(case.pedigree, **asked)
    assert bool(found) is (case.oracle().answer().probability == 0)
    named = [record for conflict in found for record in conflict.records]
    assert len(named) == len(set(named))
    for conflict in found:
        assert not possible(case, conflict.records)
        for record in conflict.records:
            assert possible(case, [other for other in conflict.records if other != record])
