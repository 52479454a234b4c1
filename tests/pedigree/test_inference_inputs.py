"""Questions that cannot be answered are refused at once, with what was wrong and what to write instead."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import sympy

from pinfeather import (
    ArgumentError,
    ContradictionError,
    ImpossibleError,
    Individual,
    NotationError,
    Pedigree,
    TooLargeError,
    UnknownSymbolError,
)
from pinfeather.pedigree import birds_to_type, contradictions, genotype_probabilities
from tests.hand_made import fowl

Q = sympy.Symbol("q")
FLOCK = Pedigree(
    fowl(),
    [
        Individual("Rook", "male"),
        Individual("Dove", "female"),
        Individual("Wren", "female", "Rook", "Dove", shows={"lavender": "lavender"}),
    ],
)
BAD_QUESTIONS: dict[str, tuple[Any, dict[str, Any], type[Exception], str]] = {
    "an unknown locus": ("lva", {}, UnknownSymbolError, "did you mean 'lav'"),
    "no locus": ([], {}, ArgumentError, "at least one locus"),
    "a locus by two names": (["lav", "lavender"], {}, ArgumentError, "stands twice"),
    "a number for a locus": (3, {}, ArgumentError, "loci"),
    "frequencies that sum to less than one": (
        "lav",
        {"allele_frequencies": {"lav": {"lav": "1/2", "Lav+": "1/3"}}},
        ArgumentError,
        "sum to 5/6, not to 1",
    ),
    "frequencies that sum to more than one": (
        "lav",
        {"allele_frequencies": {"lav": {"lav": "1/2", "Lav+": "2/3"}}},
        ArgumentError,
        "sum to 7/6, not to 1",
    ),
    "a frequency below nothing": (
        "lav",
        {"allele_frequencies": {"lav": {"lav": "-1/2"}}},
        ArgumentError,
        "between 0 and 1",
    ),
    "frequencies of an unknown bird of a line": (
        "lav",
        {"allele_frequencies": {("Rook", "Dov"): {"lav": {"lav": 1}}}},
        UnknownSymbolError,
        "did you mean 'Dove'",
    ),
    "frequencies of nothing known": (
        "lav",
        {"allele_frequencies": {"Rok": {"lav": {"lav": 1}}}},
        UnknownSymbolError,
        "'Rok'",
    ),
    "frequencies of an unknown allele": (
        "lav",
        {"allele_frequencies": {"lav": {"lv": 1}}},
        UnknownSymbolError,
        "did you mean 'lav'",
    ),
    "a bare frequency": ("lav", {"allele_frequencies": {"lav": "1/2"}}, ArgumentError, "mapping"),
    "frequencies that are no mapping": ("lav", {"allele_frequencies": 3}, ArgumentError, "mapping"),
    "a test error below nothing": ("lav", {"test_error": -1}, ArgumentError, "between 0 and 1/2"),
    "a test that is a toss of a coin": ("lav", {"test_error": "1/2"}, ArgumentError, "less than 1/2"),
    "a test that is usually wrong": ("lav", {"test_error": "0.9"}, ArgumentError, "between 0 and 1/2"),
    "a test error in words": ("lav", {"test_error": "rarely"}, NotationError, "is not a number"),
    "an unknown arithmetic": ("lav", {"arithmetic": "decimal"}, ArgumentError, "'exact', 'float'"),
    "floats of a symbol": (
        "lav",
        {"arithmetic": "float", "allele_frequencies": {"lav": {"lav": Q}}},
        ArgumentError,
        "symbolic",
    ),
    "no room for a table": ("lav", {"largest_table": 0}, ArgumentError, "at least 1"),
    "a background that is not pure": ("lav", {"background": "Bl/bl+"}, ArgumentError, "must be pure at Bl"),
    "a background at the locus asked about": ("lav", {"background": "lav/lav"}, ArgumentError, "one of the loci asked"),
    "a background of an unknown allele": ("lav", {"background": "Zz/Zz"}, UnknownSymbolError, "no allele 'Zz'"),
    "very many genotypes": (["R", "P", "O", "lav", "Bl", "Cp", "S"], {}, TooLargeError, "fewer loci"),
}


@pytest.mark.parametrize("case", BAD_QUESTIONS)
def test_a_bad_question_is_refused(case: str) -> None:
    loci, asked, kind, words = BAD_QUESTIONS[case]
    with pytest.raises(kind, match=words):
        genotype_probabilities(FLOCK, loci, **asked)


@pytest.mark.parametrize("verb", [genotype_probabilities, contradictions, birds_to_type])
def test_a_list_of_birds_is_no_pedigree(verb: Callable[..., Any]) -> None:
    with pytest.raises(ArgumentError, match="Pedigree"):
        verb(list(FLOCK.individuals), "lav")


ASKED_OF_A_FLOCK: dict[str, tuple[Callable[[Any], Any], type[Exception], str]] = {
    "an unknown bird": (lambda found: found["Rok"], UnknownSymbolError, "did you mean 'Rook'"),
    "an unknown allele": (lambda found: found.carriers("lv"), UnknownSymbolError, "did you mean 'lav'"),
    "an allele of another locus": (lambda found: found.carriers("Bl"), UnknownSymbolError, "loci asked about"),
    "the sires of a founder": (lambda found: found.sires("Rook"), ImpossibleError, "Rook has no sire on record"),
    "the dams of an unknown bird": (lambda found: found.dams("Roo"), UnknownSymbolError, "did you mean 'Rook'"),
    "a hen as the sire": (lambda found: found.offspring("Dove", "Wren"), ImpossibleError, "Dove cannot be the sire"),
    "a cock as the dam": (lambda found: found.offspring("Rook", "Rook"), ImpossibleError, "Rook cannot be the dam"),
    "the chicks of an unknown bird": (lambda found: found.offspring("Rk", "Wren"), UnknownSymbolError, "no bird 'Rk'"),
    "why of an unknown bird": (lambda found: found.explain("Wern"), UnknownSymbolError, "did you mean 'Wren'"),
}


@pytest.mark.parametrize("case", ASKED_OF_A_FLOCK)
def test_what_cannot_be_told_of_a_flock_is_refused(case: str) -> None:
    question, kind, words = ASKED_OF_A_FLOCK[case]
    with pytest.raises(kind, match=words):
        question(genotype_probabilities(FLOCK, "lav"))


@pytest.mark.parametrize(
    "question",
    [
        lambda found: found.probability_of_records,
        lambda found: found.offspring("Rook", "Dove"),
        lambda found: found.explain("Wren"),
    ],
    ids=["probability_of_records", "offspring", "explain"],
)
def test_what_is_exact_is_not_told_from_floats(question: Callable[[Any], Any]) -> None:
    found = genotype_probabilities(FLOCK, "lav", arithmetic="float")
    with pytest.raises(ArgumentError, match="without arithmetic='float'"):
        question(found)


def test_a_bird_of_open_sex_is_not_mated() -> None:
    flock = FLOCK.adding(Individual("Pip", None, "Rook", "Dove"))
    with pytest.raises(ImpossibleError, match="Pip cannot be the sire: its sex on record is not known"):
        genotype_probabilities(flock, "lav").offspring("Pip", "Wren")


def test_a_look_that_the_background_forbids_asks_for_the_other_loci() -> None:
    flock = Pedigree(fowl(), [Individual("Wren", "female", shows={"comb": "walnut"})])
    with pytest.raises(ArgumentError, match="ask for those loci too, or say with background="):
        genotype_probabilities(flock, "R")
    assert genotype_probabilities(flock, "R", background="P/P")["Wren"].fraction("r+/r+") == 0
    assert genotype_probabilities(flock, ["R", "P"]).carriers("P")["Wren"] == 1


def test_a_chick_that_none_of_its_possible_sires_can_have_is_a_contradiction() -> None:
    birds = [
        Individual("Rook", "male", genotype="Lav+/Lav+"),
        Individual("Jay", "male", genotype="Lav+/Lav+"),
        Individual("Wren", "female", {"Rook": 1, "Jay": 1}, "Dove", shows={"lavender": "lavender"}),
    ]
    with pytest.raises(ContradictionError, match="Wren's sire is Rook or Jay") as caught:
        genotype_probabilities(Pedigree(fowl(), birds), "lav")
    (conflict,) = caught.value.conflicts
    assert conflict.birds == ("Rook", "Jay", "Wren")


def test_a_founder_that_its_line_cannot_have_is_a_contradiction() -> None:
    flock = Pedigree(fowl(), [Individual("Rook", "male", shows={"lavender": "lavender"})])
    with pytest.raises(ContradictionError, match="Rook shows lavender: lavender"):
        genotype_probabilities(flock, "lav", allele_frequencies={"lav": {"lav": 0}})


def test_a_bird_that_cannot_live_is_a_contradiction() -> None:
    flock = Pedigree(fowl(), [Individual("Rook", "male", genotype="Cp/Cp")])
    with pytest.raises(ContradictionError, match="Rook is known to be Cp/Cp"):
        genotype_probabilities(flock, "Cp")
