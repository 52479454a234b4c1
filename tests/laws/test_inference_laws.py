"""Laws of inference: what must hold whatever is on record."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import attrs
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from pinfeather import ArgumentError, ContradictionError, Individual, Pedigree
from pinfeather.pedigree import GenotypeProbabilities, Hatch, contradictions, genotype_probabilities
from tests.oracles import as_fraction
from tests.pedigree.inference_flocks import Case, cases

# The lethal that kills every chick of some pairs is left out where a law speaks of "a chick".
ALIVE = (
    "one locus",
    "three alleles",
    "Z-linked",
    "embryo lethal",
    "penetrance",
    "linked",
    "unlinked",
    "XY",
    "W and cell",
)


def ask(case: Case, pedigree: Pedigree | None = None, **changes: Any) -> GenotypeProbabilities:
    """The flock's answer; flocks whose records contradict each other are passed over."""
    try:
        return genotype_probabilities(pedigree or case.pedigree, **{**case.asked(), **changes})
    except ContradictionError:
        assume(False)
        raise


def told(found: GenotypeProbabilities) -> dict[str, dict[str, Fraction]]:
    return {name: {f"{g!r}": as_fraction(c) for g, c in found[name].items()} for name in found}


def with_birds(case: Case, birds: Any, hatches: Any = None) -> Pedigree:
    return Pedigree(case.pedigree.species, birds, case.pedigree.hatches if hatches is None else hatches)


@given(cases())
def test_the_chances_of_a_bird_add_to_one(case: Case) -> None:
    found = ask(case)
    for name in found:
        assert sum(found[name].values()) == 1
    assert 0 < found.probability_of_records <= 1


@given(st.data(), cases())
def test_the_order_of_birds_and_hatches_does_not_matter(data: st.DataObject, case: Case) -> None:
    birds = data.draw(st.permutations(case.pedigree.individuals))
    hatches = data.draw(st.permutations(case.pedigree.hatches))
    first, second = ask(case), ask(case, with_birds(case, birds, hatches))
    assert told(first) == told(second)
    assert first.probability_of_records == second.probability_of_records


@given(st.data(), cases(worlds=ALIVE))
def test_a_barren_bird_without_records_changes_nothing(data: st.DataObject, case: Case) -> None:
    sexes = {bird.id: bird.sex for bird in case.pedigree.individuals}
    parents = [
        data.draw(st.sampled_from([None, *(name for name, own in sexes.items() if own == sex)]))
        for sex in ("male", "female")
    ]
    # A bird that has not bred yet is not made a parent: that would tell that it lived to breed.
    bred = {name for r in (*case.pedigree.individuals, *case.pedigree.hatches) for name in (*r.sires, *r.dams)}
    assume(all(parent is None or parent in bred for parent in parents))
    barren = Individual("barren", data.draw(st.sampled_from(("male", "female", None))), *parents)
    first, second = ask(case), ask(case, with_birds(case, [*case.pedigree.individuals, barren]))
    assert told(first) == {name: own for name, own in told(second).items() if name != "barren"}
    assert first.probability_of_records == second.probability_of_records


@given(cases())
def test_naming_the_unknown_parent_of_one_bird_changes_nothing(case: Case) -> None:
    half = [bird for bird in case.pedigree.individuals if (bird.sire is None) is not (bird.dam is None)]
    assume(half)
    role = "sire" if half[0].sire is None else "dam"
    named = attrs.evolve(half[0], **{role: "stranger"})
    birds = [named if bird.id == named.id else bird for bird in case.pedigree.individuals]
    first, second = ask(case), ask(case, with_birds(case, birds))
    assert told(first) == {name: own for name, own in told(second).items() if name != "stranger"}
    assert first.probability_of_records == second.probability_of_records


@given(st.data(), cases())
def test_counting_a_hatch_in_two_parts_changes_nothing(data: st.DataObject, case: Case) -> None:
    assume(case.pedigree.hatches)
    hatch = case.pedigree.hatches[0]
    first_part, second_part = [], []
    for looks, chicks in hatch.counts:
        some = data.draw(st.integers(0, chicks))
        first_part.append((looks, some))
        second_part.append((looks, chicks - some))
    parts = [
        Hatch("one part", hatch.sire, hatch.dam, first_part),
        Hatch("the rest", hatch.sire, hatch.dam, second_part),
    ]
    split = with_birds(case, case.pedigree.individuals, [*parts, *case.pedigree.hatches[1:]])
    assert told(ask(case)) == told(ask(case, split))
    assert ask(case).probability_of_records == ask(case, split).probability_of_records


# Most flocks drawn have no hatch that the law speaks of; enough of them do.
@settings(suppress_health_check=[HealthCheck.filter_too_much])
@given(cases(worlds=ALIVE))
def test_counted_chicks_tell_as_much_as_banded_ones_of_open_sex(case: Case) -> None:
    assume(case.pedigree.hatches)
    hatch, others = case.pedigree.hatches[0], case.pedigree.hatches[1:]
    assume(all("sex" not in looks for looks, _ in hatch.counts))
    # A founder is banded as one bird; that is a chick of two unknown parents only where nothing is lethal.
    assume(hatch.sire is not None or hatch.dam is not None)
    banded = [
        Individual(f"chick {number} {n}", None, hatch.sire, hatch.dam, shows=looks)
        for number, (looks, chicks) in enumerate(hatch.counts)
        for n in range(chicks)
    ]
    apart = with_birds(case, [*case.pedigree.individuals, *banded], others)
    chicks = told(ask(case, apart))
    bred = {name for r in (*case.pedigree.individuals, *others, *banded) for name in (*r.sires, *r.dams)}
    assume(bred.issuperset((*hatch.sires, *hatch.dams)))
    assert told(ask(case)) == {name: own for name, own in chicks.items() if name in case.pedigree}


@given(st.data(), cases(worlds=("one locus", "Z-linked", "linked", "three alleles"), slips=0))
def test_the_next_mating_gives_what_a_chick_added_to_the_book_would_be(data: st.DataObject, case: Case) -> None:
    pairs = [
        (sire.id, dam.id)
        for sire in case.pedigree.individuals
        for dam in case.pedigree.individuals
        if (sire.sex, dam.sex) == ("male", "female")
    ]
    assume(pairs)
    sire, dam = data.draw(st.sampled_from(pairs))
    with_chick = case.pedigree.adding(Individual("chick", None, sire, dam))
    chicks = ask(case).offspring(sire, dam).genotypes(*case.loci)
    assert {f"{g!r}": as_fraction(c) for g, c in chicks.items()} == told(ask(case, with_chick))["chick"]


@given(st.data(), cases())
def test_what_is_thought_now_is_the_average_over_what_a_record_may_yet_say(data: st.DataObject, case: Case) -> None:
    """The law of total probability: a look still to be seen moves a bird either way, but not on average."""
    found = ask(case)
    open_birds = [
        (bird, trait)
        for bird in case.pedigree.individuals
        for trait in case.pedigree.species.trait_names
        if trait not in bird.shows
    ]
    assume(open_birds)
    bird, trait = data.draw(st.sampled_from(open_birds))
    places = {case.pedigree.species.place_of(symbol) for symbol in case.loci}
    assume(places.intersection(case.pedigree.species.reading(trait).machine.loci))
    average: dict[str, dict[str, Fraction]] = {name: {} for name in found}
    total = Fraction(0)
    for label in case.pedigree.species.labels_of(trait):
        seen = attrs.evolve(bird, shows={**bird.shows, trait: label})
        birds = [seen if one.id == bird.id else one for one in case.pedigree.individuals]
        try:
            after = genotype_probabilities(with_birds(case, birds), **case.asked())
        except (ContradictionError, ArgumentError):
            continue  # a look that the records, or the background, rule out has no chance; the total shows if one had
        chance = as_fraction(after.probability_of_records / found.probability_of_records)
        total += chance
        for name, own in told(after).items():
            for genotype, share in own.items():
                average[name][genotype] = average[name].get(genotype, Fraction(0)) + chance * share
    assert total == 1
    assert average == told(found)


@given(st.data(), cases(worlds=("one locus", "Z-linked", "penetrance", "linked"), slips=0))
def test_a_record_that_is_certain_already_changes_nothing(data: st.DataObject, case: Case) -> None:
    found = ask(case)
    sure = [name for name in found if len(found[name]) == 1]
    assume(sure)
    name = data.draw(st.sampled_from(sure))
    (genotype,) = found[name]
    bird = attrs.evolve(case.pedigree[name], genotype=genotype)
    birds = [bird if one.id == name else one for one in case.pedigree.individuals]
    again = ask(case, with_birds(case, birds))
    assert told(again) == told(found)
    assert again.probability_of_records == found.probability_of_records


@given(cases(worlds=("one locus", "Z-linked", "one incomplete")))
def test_renaming_the_birds_renames_the_answer(case: Case) -> None:
    """No bird is special for its name or for where it stands in the book."""
    names = {bird.id: f"Ω {n}" for n, bird in enumerate(case.pedigree.individuals)}

    def renamed(parent: Any) -> Any:
        if parent is None or isinstance(parent, str):
            return names.get(parent)
        return {names[name]: chance for name, chance in parent.items()}

    records = [
        attrs.evolve(r, sire=renamed(r.sire), dam=renamed(r.dam), **({"id": names[r.id]} if r.id in names else {}))
        for r in (*case.pedigree.individuals, *case.pedigree.hatches)
    ]
    size = len(case.pedigree)
    mirrored = with_birds(case, records[:size], records[size:])
    special = {names[name]: own for name, own in case.special.items()}
    asked = {**case.asked(), "allele_frequencies": {**case.frequencies, **special} or None}
    first, second = ask(case), told(ask(case, mirrored, **asked))
    assert {names[name]: own for name, own in told(first).items()} == second


@given(cases(slips=0))
def test_records_that_can_all_be_true_hold_no_contradiction(case: Case) -> None:
    ask(case)
    assert contradictions(case.pedigree, **case.asked()) == ()


@given(st.data(), cases(worlds=("one locus", "Z-linked", "penetrance", "unlinked"), slips=0))
def test_an_explanation_says_what_leaving_a_record_out_would_change(data: st.DataObject, case: Case) -> None:
    found = ask(case)
    name = data.draw(st.sampled_from(list(found)))
    explanation = found.explain(name)
    assert explanation.now == found[name]
    shifts = [influence.shift for influence in explanation.influences]
    assert all(0 < shift <= 1 for shift in shifts)
    assert shifts == sorted(shifts, reverse=True)
    for influence in explanation.influences:
        record = influence.record
        if record.field == "shows":
            bird = case.pedigree[record.subject]
            bare = attrs.evolve(bird, shows={t: label for t, label in bird.shows.items() if t != record.part})
            birds = [bare if one.id == bird.id else one for one in case.pedigree.individuals]
            assert ask(case, with_birds(case, birds))[name] == influence.without
