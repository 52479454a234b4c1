"""The table of pairings: every figure is that of the single mating, and the eggs are counted case by case."""

from __future__ import annotations

import pickle
from fractions import Fraction
from math import comb

import pytest
from hypothesis import assume, given, settings

from pinfeather import (
    ArgumentError,
    ContradictionError,
    ImpossibleError,
    Individual,
    Pedigree,
    TooLargeError,
    UnknownSymbolError,
    genotype_probabilities,
    kinship,
    load_fowl,
)
from pinfeather.exact.numbers import exact
from pinfeather.heredity.sexes import SEXES
from pinfeather.pedigree.couples import joint_weights, whole_genotype
from pinfeather.pedigree.next_mating import couple_chances
from pinfeather.plans import Pairing, assign_pens, pairing_table, rank_test_mates
from tests.pedigree.inference_flocks import Case, cases

FOWL = load_fowl()
SETTLED = ("one locus", "three alleles", "Z-linked", "embryo lethal", "penetrance", "linked", "unlinked", "XY")


def fraction(value: object) -> Fraction:
    return Fraction(str(value))


@given(cases(worlds=SETTLED))
@settings(max_examples=40)
def test_many_pairs_at_once_are_known_as_each_pair_by_itself(case: Case) -> None:
    males = [bird.id for bird in case.pedigree.individuals if bird.sex == "male"]
    females = [bird.id for bird in case.pedigree.individuals if bird.sex == "female"]
    assume(males and females)
    try:
        known = genotype_probabilities(case.pedigree, **case.asked())
    except ContradictionError:
        assume(False)
    for male, found in joint_weights(known.setting, males, females, 2**21):
        for female, (states, weights) in found.items():
            couples, chances = couple_chances(known.setting, male, female, 2**21)
            alone = {couples[number]: fraction(chance) for number, chance in chances.items()}
            assert {s: Fraction(w, sum(weights)) for s, w in zip(states, weights, strict=True)} == alone


def flock() -> Pedigree:
    return Pedigree(
        FOWL,
        [
            Individual("Rook", "male", genotype="Lav+/lav"),
            Individual("Dove", "female", genotype="Lav+/lav"),
            Individual("Finch", "female", genotype="lav/lav"),
            Individual("Jay", "male", "Rook", "Dove", shows={"lavender": "not lavender"}),
            Individual("Wren", "female", "Rook", "Dove", shows={"lavender": "not lavender"}),
            Individual("Tit", "female", "Jay", "Finch", shows={"lavender": "not lavender"}),
        ],
    )


def test_every_figure_of_a_row_is_that_of_the_next_mating() -> None:
    known = genotype_probabilities(flock(), "lav")
    table = pairing_table(known, wanted="lav/lav", sex="female")
    assert len(table) == 2 * 4
    for row in table:
        chicks = known.offspring(row.sire, row.dam)
        assert row.wanted == chicks.fraction("lav/lav", sex="female")
        assert row.inbreeding == kinship(flock(), row.sire, row.dam)
        assert (row.lost, row.cautions) == (chicks.lost, chicks.cautions)


def test_losses_and_cautions_of_a_creeper_mating_stand_in_its_row() -> None:
    """Two creepers: a quarter of the embryos die, and two of three chicks are creepers (Cutler 1925)."""
    birds = [Individual("Trundle", "male", genotype="Cp/cp+"), Individual("Shuffle", "female", genotype="Cp/cp+")]
    row: Pairing = pairing_table(genotype_probabilities(Pedigree(FOWL, birds), "Cp"), wanted="Cp/cp+")[0]
    assert (row.wanted, row.lost, row.per_egg) == (exact("2/3"), exact("1/4"), exact("1/2"))
    assert [str(risk.chance) for risk in row.risks] == ["1/4"]
    assert "veterinarian" in str(row)
    assert row.refused_for()
    assert not row.refused_for({"Cp/Cp"})


def test_eggs_are_the_least_number_by_trying_one_after_the_other() -> None:
    """Jay is a carrier with 2/3; of a carrier's eggs by Finch half bring lavender, of others none."""
    known = genotype_probabilities(flock().restricted_to("Rook", "Dove", "Finch", "Jay"), "lav")
    row = pairing_table(known, ["Jay"], ["Finch"], "lav/lav", number=2, certainty="60%", fertility="9/10")[0]

    def reached(eggs: int) -> Fraction:
        p = Fraction(9, 20)
        return Fraction(2, 3) * (1 - sum(comb(eggs, k) * p**k * (1 - p) ** (eggs - k) for k in range(2)))

    assert row.eggs == next(eggs for eggs in range(100) if reached(eggs) >= Fraction(3, 5))
    hopeless = pairing_table(known, ["Jay"], ["Finch"], "lav/lav", certainty="67%")[0]
    assert hopeless.eggs is None


def test_columns_sort_with_the_less_related_first_among_equals() -> None:
    table = pairing_table(genotype_probabilities(flock(), "lav"), wanted="lav/lav", certainty="60%")
    shares = [row.wanted for row in table.sorted_by("wanted")]
    assert shares == sorted(shares, reverse=True)
    eggs = [row.eggs for row in table.sorted_by("eggs")]
    numbers = [number for number in eggs if number is not None]
    assert numbers == sorted(numbers)
    assert eggs[: len(numbers)] == numbers
    best = table.sorted_by("wanted")
    ties = [row for row in best if row.wanted == best[0].wanted]
    assert [row.inbreeding for row in ties] == sorted(row.inbreeding for row in ties)
    with pytest.raises(ArgumentError, match="must be one of"):
        table.sorted_by("colour")


def test_the_table_is_shown_as_text_html_and_plain_records() -> None:
    table = pairing_table(genotype_probabilities(flock(), "lav"), ["Rook"], ["Finch"], "lav/lav")
    assert "Rook x Finch    50 %" in str(table)
    assert ">Rook x Finch</" in table._repr_html_()
    record = {"sire": "Rook", "dam": "Finch", "wanted": 0.5, "inbreeding": 0.0, "lost": 0.0, "eggs": 5, "cautions": ""}
    assert table.to_records(floats=True) == [record]
    assert table.to_records()[0]["wanted"] == "1/2"


def test_harm_that_was_not_asked_about_is_spoken_of() -> None:
    birds = [
        Individual("Trundle", "male", genotype="Cp/cp+ Lav+/lav"),
        Individual("Shuffle", "female", shows={"creeper": "creeper"}),
    ]
    table = pairing_table(genotype_probabilities(Pedigree(FOWL, birds), "lav"), wanted="lav/lav")
    assert "Trundle, Shuffle speak of Cp" in str(table)


def test_symbolic_chances_come_out_symbolic() -> None:
    import sympy

    q = sympy.Symbol("q")
    birds = [Individual("Rook", "male"), Individual("Finch", "female", genotype="lav/lav")]
    known = genotype_probabilities(Pedigree(FOWL, birds), "lav", allele_frequencies={"lav": {"lav": q}})
    row = pairing_table(known, wanted="lav/lav")[0]
    assert row.wanted == q
    with pytest.raises(ArgumentError, match="symbols"):
        _ = row.eggs
    table = pairing_table(known, wanted="lav/lav")
    record = {"sire": "Rook", "dam": "Finch", "wanted": "q", "inbreeding": 0.0, "lost": 0.0, "eggs": None}
    assert table.to_records(floats=True) == [{**record, "cautions": ""}]
    assert "Rook x Finch       q" in str(table)
    with pytest.raises(ArgumentError, match="cannot be put in order"):
        table.sorted_by("wanted")
    with pytest.raises(ArgumentError, match="cannot be put in order"):
        assign_pens(table)


def test_tables_pens_and_test_matings_survive_pickling() -> None:
    known = genotype_probabilities(flock(), "lav")
    table = pairing_table(known, wanted="lav/lav")
    again = pickle.loads(pickle.dumps(table))
    assert again.to_records() == table.to_records()
    pens = assign_pens(table)
    assert pickle.loads(pickle.dumps(pens)).cock_of == pens.cock_of
    ranking = rank_test_mates(known, "Jay", "lav")
    assert str(pickle.loads(pickle.dumps(ranking))) == str(ranking)


@given(cases())
@settings(max_examples=30)
def test_what_was_not_asked_about_is_as_the_background_has_it(case: Case) -> None:
    try:
        known = genotype_probabilities(case.pedigree, **case.asked())
    except ContradictionError:
        assume(False)
    setting = known.setting
    species = case.pedigree.species
    for sex in SEXES:
        for number, state in enumerate(setting.space.states[sex]):
            bird = whole_genotype(setting, sex, number)
            told = setting.space.genotype(state, sexed=True)
            assert bird.restricted_to(*known.loci) == told.with_sex(sex)
            for locus in species.loci:
                if locus.symbol not in known.loci:
                    wild = next(allele.symbol for allele in locus.alleles if allele.is_wild)
                    assert set(bird.alleles(locus.symbol)) <= {case.background.get(locus.symbol, wild)}


def test_a_look_is_wanted_with_the_background_that_the_flock_has() -> None:
    """On dominant white nothing of lavender shows; on the wild type it does."""
    for background, expected in ((None, exact("1/2")), ("I/I", exact(0))):
        birds = [Individual("Rook", "male", genotype="Lav+/lav"), Individual("Finch", "female", genotype="lav/lav")]
        known = genotype_probabilities(Pedigree(FOWL, birds), "lav", background=background)
        assert pairing_table(known, shows={"shade of black": "lavender"})[0].wanted == expected


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        ({"males": ["Wren"]}, ImpossibleError, "Wren stands among the males"),
        ({"females": ["Robin"]}, UnknownSymbolError, "no bird 'Robin'"),
        ({"males": []}, ArgumentError, "names no bird"),
        ({"males": ["Jay", "Jay"]}, ArgumentError, "stands twice"),
        ({"wanted": None}, ArgumentError, "say which chicks are wanted"),
        ({"wanted": "R/R"}, UnknownSymbolError, "no locus 'R'"),
        ({"certainty": 1}, ArgumentError, "certainty"),
        ({"fertility": 0}, ArgumentError, "hatches nothing"),
        ({"forbidden": ["Jay"]}, ArgumentError, "pair"),
        ({"forbidden": [("Jay", "Robin")]}, UnknownSymbolError, "no hen 'Robin'"),
    ],
)
def test_what_cannot_be_answered_is_refused(arguments: dict[str, object], error: type[Exception], words: str) -> None:
    asked: dict[str, object] = {"wanted": "lav/lav", **arguments}
    with pytest.raises(error, match=words):
        pairing_table(genotype_probabilities(flock(), "lav"), **asked)  # type: ignore[arg-type]


def test_forbidden_pairings_are_left_out() -> None:
    table = pairing_table(genotype_probabilities(flock(), "lav"), ["Jay"], wanted="lav/lav", forbidden=[("Jay", "Tit")])
    assert "Tit" not in [row.dam for row in table]
    with pytest.raises(UnknownSymbolError, match="no pairing"):
        _ = table["Jay", "Tit"]


def test_a_flock_too_entangled_for_the_pairs_says_so() -> None:
    known = genotype_probabilities(flock(), "lav")
    with pytest.raises(TooLargeError, match="birds_to_type"):
        list(joint_weights(known.setting, ["Rook", "Jay"], ["Wren", "Tit"], 1))
