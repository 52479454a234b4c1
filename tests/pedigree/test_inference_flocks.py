"""Small flocks whose answers can be reasoned out: mistakes named, knots told, records weighed, results shown."""

from __future__ import annotations

import itertools
import pickle
import random
from typing import Any

import pytest
import sympy

from pinfeather import ContradictionError, Individual, Pedigree, TooLargeError
from pinfeather.pedigree import Hatch, birds_to_type, contradictions, genotype_probabilities
from tests.hand_made import fowl

LAVENDER = {"lavender": "lavender"}
CLEAN = {"lavender": "not lavender"}


def bird(name: str, sex: str | None, sire: Any = None, dam: Any = None, **told: Any) -> Individual:
    return Individual(name, sex, sire, dam, **told)


PLANTED = [
    bird("Rook", "male", shows=LAVENDER),
    bird("Dove", "female", shows=LAVENDER),
    bird("Jay", "male", "Rook", "Dove", shows=LAVENDER),
    bird("Wren", "female", "Rook", "Dove", shows=CLEAN),
    bird("Pip", "female", "Jay", "Wren"),
    bird("Kid", "male", "Jay", "Pip", shows=LAVENDER),
]


# ---- contradictions ------------------------------------------------------------------------------------------------


def test_a_planted_mistake_is_found_and_worded() -> None:
    (conflict,) = contradictions(Pedigree(fowl(), PLANTED), "lav")
    assert [str(record) for record in conflict.records] == [
        "Rook shows lavender: lavender",
        "Dove shows lavender: lavender",
        "Wren's sire is Rook",
        "Wren's dam is Dove",
        "Wren shows lavender: not lavender",
    ]
    assert conflict.birds == ("Rook", "Dove", "Wren")
    assert str(conflict).startswith("these cannot all be true: Rook shows lavender: lavender; ")


def test_the_error_names_the_same_records_and_survives_pickling() -> None:
    with pytest.raises(ContradictionError, match="Wren shows lavender: not lavender") as caught:
        genotype_probabilities(Pedigree(fowl(), PLANTED), "lav")
    assert caught.value.conflicts == contradictions(Pedigree(fowl(), PLANTED), "lav")
    again = pickle.loads(pickle.dumps(caught.value))
    assert (str(again), again.conflicts) == (str(caught.value), caught.value.conflicts)


def test_several_mistakes_are_all_found() -> None:
    second = [
        bird("Owl", "male", genotype="Lav+/Lav+"),
        bird("Crow", "female"),
        bird("Tit", "female", "Owl", "Crow", tested="lav/lav"),
    ]
    found = contradictions(Pedigree(fowl(), [*PLANTED, *second]), "lav")
    assert [conflict.birds for conflict in found] == [("Rook", "Dove", "Wren"), ("Owl", "Tit")]
    assert len(contradictions(Pedigree(fowl(), [*PLANTED, *second]), "lav", most=1)) == 1


def test_a_test_that_may_be_wrong_contradicts_nothing() -> None:
    birds = [bird("Owl", "male", genotype="Lav+/Lav+"), bird("Tit", "female", "Owl", tested="lav/lav")]
    flock = Pedigree(fowl(), birds)
    assert len(contradictions(flock, "lav")) == 1
    assert contradictions(flock, "lav", test_error="1/100") == ()
    assert genotype_probabilities(flock, "lav", test_error="1/100").carriers("lav")["Tit"] == sympy.Rational(1, 2)


def test_counted_chicks_can_contradict_their_parents() -> None:
    birds = [bird("Rook", "male", shows=LAVENDER), bird("Dove", "female", shows=LAVENDER)]
    flock = Pedigree(fowl(), birds, [Hatch("May", "Rook", "Dove", [(LAVENDER, 9), (CLEAN, 1)])])
    (conflict,) = contradictions(flock, "lav")
    assert str(conflict.records[-1]) == "hatch May of Rook x Dove had 1 of lavender: not lavender"
    assert conflict.birds == ("Rook", "Dove", "May")


def test_a_knot_that_no_family_shows_by_itself_is_found() -> None:
    """Two splits' families fit one by one, but one sib cannot be clean and carry at once."""
    birds = [
        bird("Rook", "male", genotype="Lav+/_"),
        bird("Dove", "female", genotype="Lav+/Lav+"),
        bird("Wren", "female", "Rook", "Dove"),
        bird("Jay", "male", "Rook", "Dove"),
        bird("Kid", "male", "Jay", "Wren", shows=LAVENDER),
        bird("Sib", "female", "Rook", "Dove", shows=LAVENDER),
    ]
    (conflict,) = contradictions(Pedigree(fowl(), birds), "lav")
    assert conflict.birds == ("Dove", "Sib")


# ---- entangled flocks ----------------------------------------------------------------------------------------------


def entangled(generations: int = 6, cocks: int = 4, hens: int = 12, chicks: int = 40) -> Pedigree:
    """A closed flock of pens at random, of which nothing is recorded but the parents of its last birds."""
    draw = random.Random(5)
    birds = [bird(f"c{n}", "male") for n in range(cocks)] + [bird(f"h{n}", "female") for n in range(hens)]
    males, females = [b.id for b in birds[:cocks]], [b.id for b in birds[cocks:]]
    for generation in range(generations):
        born = [
            bird(f"{generation}.{n}", "male" if n % 3 else "female", draw.choice(males), draw.choice(females))
            for n in range(chicks)
        ]
        birds += born
        males = draw.sample([b.id for b in born if b.sex == "male"], cocks)
        females = draw.sample([b.id for b in born if b.sex == "female"], hens)
    last = draw.choice(males), draw.choice(females)
    return Pedigree(
        fowl(), [*birds, *(bird(f"kid {n}", None, *last, shows=LAVENDER if n else CLEAN) for n in range(2))]
    )


def records_on(flock: Pedigree, share: float) -> Pedigree:
    """The flock with a look that fits any parents on record of some birds."""
    draw = random.Random(7)
    birds = [
        Individual(b.id, b.sex, b.sire, b.dam, shows=CLEAN if draw.random() < share else b.shows)
        for b in flock.individuals
    ]
    return Pedigree(flock.species, birds)


def test_a_flock_that_is_too_entangled_is_refused_before_any_sum_with_advice() -> None:
    flock = records_on(entangled(), 0.9)
    steps: list[Any] = []
    with pytest.raises(TooLargeError) as caught:
        genotype_probabilities(flock, "lav", largest_table=2**8, on_progress=lambda *step: steps.append(step))
    assert steps == []
    error = caught.value
    assert error.size > error.limit == 2**8
    assert set(error.birds) <= set(flock.ids)
    assert error.birds
    for words in ("too entangled", f"{error.size:,}", "256", error.birds[0], "birds_to_type", "fewer loci"):
        assert words in str(error)
    assert error.advice[0] in flock
    assert error.advice[0] in str(error)


def test_a_flock_that_is_refused_with_a_symbol_is_refused_as_early() -> None:
    flock = records_on(entangled(), 0.9)
    with pytest.raises(TooLargeError, match="too entangled"):
        genotype_probabilities(flock, "lav", largest_table=2**8, allele_frequencies={"lav": {"lav": sympy.Symbol("q")}})


def test_symbols_are_refused_where_tables_are_large_and_numbers_would_do() -> None:
    flock = entangled(cocks=2, hens=8)
    rare = {"lav": {"lav": "1/10"}}
    assert 2**13 < genotype_probabilities(flock, "lav", allele_frequencies=rare).largest_table < 2**21
    q = sympy.Symbol("q")
    with pytest.raises(TooLargeError, match=r"polynomials in q is more than 8,192.*put numbers in") as caught:
        genotype_probabilities(flock, "lav", allele_frequencies={"lav": {"lav": q}})
    assert caught.value.limit == 2**13


def test_the_birds_to_type_cut_the_knot_as_they_promise() -> None:
    """When the first bird named is typed, the largest table is no larger than was promised."""
    flock = records_on(entangled(), 0.9)
    first, *_ = birds_to_type(flock, "lav", most=2)
    assert first.after < first.before
    assert str(first) == f"{first.bird}: largest table {first.before:,} -> {first.after:,}"
    # The result of the test is any genotype that the bird may have.
    typed = [
        Individual(b.id, b.sex, b.sire, b.dam, shows=b.shows, genotype="Lav+/lav" if b.id == first.bird else None)
        for b in flock.individuals
    ]
    found = genotype_probabilities(Pedigree(flock.species, typed), "lav", largest_table=2**24)
    assert found.largest_table <= first.after


def test_typing_every_cock_leaves_a_forest() -> None:
    """With all sires known each chick hangs on its dam alone, whatever the flock's size."""
    flock = entangled()
    sires = {b.sire for b in flock.individuals}
    birds = [
        Individual(b.id, b.sex, b.sire, b.dam, shows=b.shows, genotype="Lav+/lav" if b.id in sires else None)
        for b in flock.individuals
    ]
    assert genotype_probabilities(Pedigree(flock.species, birds), "lav").width <= 1
    assert birds_to_type(Pedigree(flock.species, birds), "lav") == ()


def test_backcrossing_to_one_cock_for_years_stays_narrow() -> None:
    """Line breeding is easy: one cock on his daughters, granddaughters and so on, twelve generations long."""
    birds = [bird("Rook", "male"), bird("Dove", "female", shows=CLEAN)]
    dam = "Dove"
    for generation in range(12):
        birds.append(bird(f"hen {generation}", "female", "Rook", dam, shows=CLEAN))
        birds.append(bird(f"sib {generation}", None, "Rook", dam, shows=CLEAN))
        dam = f"hen {generation}"
    birds.append(bird("Kid", None, "Rook", dam, shows=LAVENDER))
    found = genotype_probabilities(Pedigree(fowl(), birds), "lav")
    assert found.width <= 2
    assert found.carriers("lav")["Rook"] == found.carriers("lav")[dam] == 1


def test_progress_runs_to_its_end() -> None:
    steps: list[tuple[int, int]] = []
    flock = records_on(entangled(generations=3, cocks=2, hens=4), 0.9)
    genotype_probabilities(flock, "lav", on_progress=lambda done, whole: steps.append((done, whole)))
    assert steps[-1][0] == steps[-1][1]
    assert all(one[0] < other[0] for one, other in itertools.pairwise(steps))


# ---- explanations and printing ---------------------------------------------------------------------------------------


SIBS = Pedigree(
    fowl(),
    [
        bird("Rook", "male", shows=CLEAN),
        bird("Dove", "female", shows=CLEAN),
        bird("Wren", "female", "Rook", "Dove", shows=LAVENDER),
        bird("Jay", "male", "Rook", "Dove", shows=CLEAN),
        bird("Stranger", "male", shows=LAVENDER),
    ],
    [Hatch("test", "Jay", "Crow", [(CLEAN, 4)])],
)


def test_an_explanation_ranks_the_records_that_moved_a_bird() -> None:
    explanation = genotype_probabilities(SIBS, "lav").explain("Jay")
    told = [str(influence.record) for influence in explanation.influences]
    assert "Wren shows lavender: lavender" in told
    assert "Jay shows lavender: not lavender" in told
    assert not any("Stranger" in text for text in told)
    text = str(explanation)
    assert text.index(told[0]) < text.index(told[-1])
    assert text.startswith("Jay: before any record ")
    assert explanation.to_dict()["bird"] == "Jay"
    assert "<table>" in explanation._repr_html_()


def test_a_bird_that_nothing_moves_says_so() -> None:
    flock = Pedigree(fowl(), [bird("Rook", "male"), bird("Dove", "female", shows=CLEAN)])
    assert "No single record moves it." in str(genotype_probabilities(flock, "lav").explain("Rook"))


def test_what_was_assumed_is_told() -> None:
    told = " ".join(genotype_probabilities(SIBS, "lav", test_error="0.01", background="Bl/Bl").assumptions)
    for words in ("Lav+ 1/2, lav 1/2", "pure Bl", "wrong with chance 1/100", "those that hatch"):
        assert words in told


def test_floats_say_that_they_are_floats() -> None:
    found = genotype_probabilities(SIBS, "lav", arithmetic="float")
    assert isinstance(found.carriers("lav")["Jay"], float)
    assert "not exact" in str(found)
    assert "float" in repr(found)
    assert any("not exactly" in line for line in found.assumptions)
    assert "not exact" not in str(genotype_probabilities(SIBS, "lav"))


def test_a_flock_prints_with_numbers_and_with_symbols() -> None:
    q = sympy.Symbol("q", positive=True)
    assert "\nJay  " in str(genotype_probabilities(SIBS, "lav"))
    symbolic = genotype_probabilities(SIBS, "lav", allele_frequencies={"lav": {"lav": q}})
    assert "\nJay  " in str(symbolic)
    assert symbolic.carriers("lav")["Crow"].has(q)


def test_a_line_has_frequencies_of_its_own() -> None:
    flock = Pedigree(fowl(), [bird("Rook", "male"), bird("Dove", "female"), bird("Owl", "male")])
    asked = {("Rook", "Dove"): {"lav": {"lav": 0}}, "lav": {"lav": "1/10"}}
    carriers = genotype_probabilities(flock, "lav", allele_frequencies=asked).carriers("lav")
    assert carriers == {"Rook": 0, "Dove": 0, "Owl": sympy.Rational(19, 100)}


def test_the_answer_is_a_mapping_over_all_birds() -> None:
    found = genotype_probabilities(SIBS, "lav")
    assert list(found) == list(SIBS.ids)
    assert len(found) == len(SIBS)
    assert "Jay" in found
    assert "Nobody" not in found
    assert found.loci == ("lav",)
    assert found.pedigree is SIBS
