"""Carrier risks that textbooks work out by hand, and the rules for test matings.  Sources stand beside each."""

from __future__ import annotations

from typing import Any

import pytest
import sympy

from pinfeather import Individual, Locus, Pedigree, Species, Trait, genotype_probabilities
from pinfeather.pedigree import Hatch
from tests.oracles import as_fraction

RECESSIVE = Species("toy fowl", loci=[Locus("a", "ailment", ("A+", "a"))])
ON_THE_X = Species("toy human", "XY", loci=[Locus("h", "haemophilia", ("H+", "h"), chromosome="X")])
ON_THE_Z = Species("toy fowl", loci=[Locus("h", "pale", ("H+", "h"), chromosome="Z")])
ILL, WELL = {"ailment": "ailment"}, {"ailment": "not ailment"}
HALF = "1/2"


def carrier(
    birds: list[Individual], name: str, *, species: Species = RECESSIVE, hatches: Any = (), **asked: Any
) -> Any:
    symbol = species.loci[0].symbol
    found = genotype_probabilities(Pedigree(species, birds, hatches), symbol, **asked)
    return found.carriers(species.loci[0].symbols[1])[name]


# ---- carrier risk in textbooks -------------------------------------------------------------------------------------


SIBS = [
    Individual("sire", "male", shows=WELL),
    Individual("dam", "female", shows=WELL),
    Individual("ill sib", "female", "sire", "dam", shows=ILL),
    Individual("well sib", "male", "sire", "dam", shows=WELL),
]


def test_an_unaffected_sib_of_an_affected_one_carries_with_two_thirds() -> None:
    """The two thirds of every counselling text: Aa x Aa gave one aa, another child is unaffected."""
    found = genotype_probabilities(Pedigree(RECESSIVE, SIBS), "a")
    assert found["well sib"].to_dict() == {"+": "1/3", "A+/a": "2/3"}
    assert found.carriers("a")["sire"] == 1


@pytest.mark.parametrize("frequency", [HALF, "1/100", sympy.Symbol("q", positive=True)])
def test_the_two_thirds_do_not_depend_on_how_rare_the_allele_is(frequency: Any) -> None:
    """Both parents are proved carriers by the affected chick, so that the population no longer matters."""
    assert carrier(SIBS, "well sib", allele_frequencies={"a": {"a": frequency}}) == sympy.Rational(2, 3)


def test_a_mother_known_to_carry_gives_a_daughter_one_in_nine_after_three_unaffected_sons() -> None:
    """S. Ogino & R. B. Wilson 2004, Journal of Molecular Diagnostics 6:1-9, Fig. 1A: prior 1/2, three sons, 1/9."""
    birds = [
        Individual("I-2", "female", genotype="H+/h"),
        Individual("I-1", "male", genotype="H+/-"),
        Individual("consultand", "female", "I-1", "I-2"),
        Individual("mate", "male", genotype="H+/-"),
    ]
    assert carrier(birds, "consultand", species=ON_THE_X) == sympy.Rational(1, 2)
    sons = [
        Individual(f"son {n}", "male", "mate", "consultand", shows={"haemophilia": "not haemophilia"}) for n in range(3)
    ]
    assert carrier([*birds, *sons], "consultand", species=ON_THE_X) == sympy.Rational(1, 9)
    found = genotype_probabilities(Pedigree(ON_THE_X, [*birds, *sons]), "h")
    assert found.offspring("mate", "consultand").given(sex="male").fraction("h/-") == sympy.Rational(1, 18)


@pytest.mark.parametrize(("sons", "posterior"), [(0, HALF), (2, "1/5"), (3, "1/9")])
def test_unaffected_sons_count_against_a_carrier(sons: int, posterior: str) -> None:
    """A. Gelman et al., Bayesian Data Analysis, section 1.4: 0.20 after two sons, 0.111 after three (from memory)."""
    birds = [
        Individual("brother", "male", "father", "mother", shows={"haemophilia": "haemophilia"}),
        Individual("father", "male", shows={"haemophilia": "not haemophilia"}),
        Individual("mother", "female", genotype="H+/_"),
        Individual("woman", "female", "father", "mother"),
    ]
    born = Hatch("sons", "mate", "woman", [({"sex": "male", "haemophilia": "not haemophilia"}, sons)])
    assert str(carrier(birds, "woman", species=ON_THE_X, hatches=[born])) == posterior


@pytest.mark.parametrize(("daughters", "posterior"), [(0, HALF), (1, "1/3"), (3, "1/9"), (5, "1/33")])
def test_unaffected_daughters_count_against_a_cock(daughters: int, posterior: str) -> None:
    """The same sum with the sexes of fowl: daughters show their sire's Z (arithmetic of Ogino & Wilson 2004)."""
    birds = [
        Individual("grandsire", "male", genotype="H+/H+"),
        Individual("grandam", "female", genotype="h/-"),
        Individual("old cock", "male", "grandsire", "grandam"),
        Individual("hen", "female", genotype="H+/-"),
        Individual("cock", "male", "old cock", "hen"),
    ]
    hatch = Hatch("daughters", "cock", "any hen", [({"sex": "female", "pale": "not pale"}, daughters)])
    found = carrier(birds, "cock", species=ON_THE_Z, hatches=[hatch])
    assert str(found) == posterior
    assert carrier(birds, "old cock", species=ON_THE_Z, hatches=[hatch]) == 1


def test_the_mother_of_an_isolated_case_of_a_lethal_is_a_carrier_with_two_thirds() -> None:
    """J. B. S. Haldane 1935; abstract in Human Heredity 23:19 (1973): 2/3, new mutation 1/3, carrier women 4 mu.

    Mutation is no part of the library.  Here it is a second possible dam, all of whose eggs carry the allele, with the
    chance mu; a woman who is not ill carries with 4 mu if the allele's frequency q gives 2q/(1 + q) = 4 mu.
    """
    mu = sympy.Rational(1, 10**6)
    birds = [
        Individual("mother", "female", genotype="H+/_"),
        Individual("mutation", "female", genotype="h/h"),
        Individual("son", "male", None, {"mother": 1 - mu, "mutation": mu}, shows={"haemophilia": "haemophilia"}),
    ]
    asked = {"allele_frequencies": {"mother": {"h": {"h": 2 * mu / (1 - 2 * mu)}}}}
    assert carrier(birds[:1], "mother", species=ON_THE_X, **asked) == 4 * mu
    found = genotype_probabilities(Pedigree(ON_THE_X, birds), "h", **asked)
    assert abs(found.carriers("h")["mother"] - sympy.Rational(2, 3)) < 2 * mu
    assert abs(found.dams("son")["mutation"] - sympy.Rational(1, 3)) < 2 * mu


def test_a_negative_dna_result_of_known_sensitivity_lowers_two_thirds_to_one_sixth() -> None:
    """A standard counselling sum (of the kind in Ogino & Wilson 2004; from memory): 2/3, sensitivity 90 %, gives 1/6.

    A test that misses one carrier in ten but is never wrong about a non-carrier is a trait with a penetrance.
    """
    tested = RECESSIVE.extended(
        traits=[Trait("dna", [("A+/a", {"found": "0.9", "nothing found": "0.1"}), ("", "nothing found")])]
    )
    birds = [*SIBS[:3], Individual("well sib", "male", "sire", "dam", shows={**WELL, "dna": "nothing found"})]
    assert carrier(birds, "well sib", species=tested) == sympy.Rational(1, 6)


@pytest.mark.parametrize(("frequency", "mate_carries", "risk"), [("1/43", "1/22", "1/132"), ("1/49", "1/25", "1/150")])
def test_the_sib_of_an_affected_one_with_an_unrelated_mate(frequency: str, mate_carries: str, risk: str) -> None:
    """The standard sum for cystic fibrosis: 2/3 x 1/25 x 1/4 = 1/150 (carrier frequency 1/25: Journal of Medical
    Genetics 2004; sum from memory).  One in 25 of the unaffected carries where the allele's frequency is 1/49."""
    flock = Pedigree(RECESSIVE, [*SIBS, Individual("mate", "female", shows=WELL)])
    found = genotype_probabilities(flock, "a", allele_frequencies={"mate": {"a": {"a": frequency}}})
    assert str(found.carriers("a")["mate"]) == mate_carries
    assert str(found.offspring("well sib", "mate").fraction("a/a")) == risk


@pytest.mark.parametrize("sensitivity", ["0.70", "0.85"])
def test_both_carriers_of_a_couple_are_detected_with_the_square_of_the_sensitivity(sensitivity: str) -> None:
    """Mercer University case answers: 49 % and 72.2 % (the case says 71 % of one mutation but squares 0.70)."""
    share = sympy.Rational(sensitivity)
    tested = RECESSIVE.extended(
        traits=[Trait("dna", [("A+/a", {"found": share, "not found": 1 - share}), ("", "not found")])]
    )
    birds = [
        Individual(n, s, genotype="A+/a", shows={"dna": "found"}) for n, s in (("man", "male"), ("wife", "female"))
    ]
    clean = [Individual(n, s, genotype="A+/a") for n, s in (("man", "male"), ("wife", "female"))]
    with_tests, without = (
        genotype_probabilities(Pedigree(tested, made), "a").probability_of_records for made in (birds, clean)
    )
    assert round(float(100 * with_tests / without), 1) == {"0.70": 49.0, "0.85": 72.2}[sensitivity]


# ---- test matings ---------------------------------------------------------------------------------------------------


def suspect(mate: str) -> list[Individual]:
    """A cock that is a carrier with one half by his parents, and his mate."""
    return [
        Individual("clean", "male", genotype="A+/A+"),
        Individual("split", "female", genotype="A+/a"),
        Individual("cock", "male", "clean", "split", shows=WELL),
        Individual("mate", "female", genotype=mate),
    ]


def clean_chicks(number: int, sire: str = "cock", dam: str = "mate") -> Hatch:
    return Hatch("test", sire, dam, [(WELL, number)])


MATES = {"a/a": "1/2", "A+/a": "3/4"}


@pytest.mark.parametrize("mate", MATES)
@pytest.mark.parametrize("number", [0, 1, 5, 7, 11, 25])
def test_clean_chicks_of_a_test_mating_leave_the_textbook_doubt(mate: str, number: int) -> None:
    """Arithmetic: a carrier gives n clean chicks with (1/2)^n from a recessive mate and (3/4)^n from a carrier."""
    miss = sympy.Rational(MATES[mate]) ** number
    assert carrier(suspect(mate), "cock", hatches=[clean_chicks(number)]) == miss / (1 + miss)


@pytest.mark.parametrize(
    ("mate", "numbers"), [("a/a", (5, 7, 10)), ("A+/a", (11, 17, 25))], ids=["recessive", "carrier"]
)
def test_how_many_clean_chicks_the_table_of_test_matings_asks_for(mate: str, numbers: tuple[int, ...]) -> None:
    """Arithmetic: the least n whose chance in a carrier is at most 5 %, 1 % and 0.1 %.

    With even odds beforehand the doubt m/(1 + m) tells the chance m.
    """
    for number, most in zip(numbers, ("1/20", "1/100", "1/1000"), strict=True):
        doubts = [carrier(suspect(mate), "cock", hatches=[clean_chicks(n)]) for n in (number - 1, number)]
        chances = [doubt / (1 - doubt) for doubt in doubts]
        assert chances[1] <= sympy.Rational(most) < chances[0]


def own_daughters(daughters: int, chicks: int) -> Pedigree:
    birds = [*suspect("a/a")[:3], Individual("dam", "female", genotype="A+/A+")]
    birds += [Individual(f"daughter {n}", "female", "cock", "dam") for n in range(daughters)]
    hatches = [Hatch(f"hatch {n}", "cock", f"daughter {n}", [(WELL, chicks)]) for n in range(daughters)]
    return Pedigree(RECESSIVE, birds, hatches)


@pytest.mark.parametrize(("daughters", "chicks"), [(1, 1), (5, 1), (23, 1), (1, 4), (1, 40), (3, 6)])
def test_own_daughters_out_of_clean_dams_test_their_sire(daughters: int, chicks: int) -> None:
    """Arithmetic: (7/8)^n from one chick of each of n daughters, 1/2 + (1/2)(3/4)^k from k chicks of one daughter."""
    miss = (sympy.Rational(1, 2) + sympy.Rational(1, 2) * sympy.Rational(3, 4) ** chicks) ** daughters
    doubt = genotype_probabilities(own_daughters(daughters, chicks), "a").carriers("a")["cock"]
    assert doubt == miss / (1 + miss)


def test_one_daughter_never_clears_her_sire() -> None:
    """Arithmetic: with even odds beforehand, one daughter leaves more than a third however many chicks she has."""
    assert genotype_probabilities(own_daughters(1, 500), "a").carriers("a")["cock"] > sympy.Rational(1, 3)


def test_the_daughters_of_a_cock_test_him_for_a_recessive_on_the_z() -> None:
    """Arithmetic: (1/2)^n from n clean daughters, whoever the hen; clean sons of a clean hen tell nothing."""
    birds = [
        Individual("cock", "male", "sire", "dam"),
        Individual("sire", "male", genotype="H+/h"),
        Individual("dam", "female", genotype="H+/-"),
    ]
    for sex, number, doubt in (("female", 5, "1/33"), ("female", 10, "1/1025"), ("male", 10, HALF)):
        hatch = Hatch("test", "cock", "hen", [({"sex": sex, "pale": "not pale"}, number)])
        hen = Individual("hen", "female", genotype="H+/-")
        assert str(carrier([*birds, hen], "cock", species=ON_THE_Z, hatches=[hatch])) == doubt


def test_a_hen_is_no_carrier_of_a_recessive_on_the_z() -> None:
    """Common practice, no source: what a hen has on her Z, she shows."""
    birds = [
        Individual("hen", "female", "sire", "dam", shows={"pale": "not pale"}),
        Individual("sire", "male", genotype="H+/h"),
    ]
    assert carrier(birds, "hen", species=ON_THE_Z) == 0


@pytest.mark.parametrize(("penetrance", "numbers"), [("0.86", (6, 9)), ("0.727", (7, 11))])
def test_a_look_that_does_not_always_show_asks_for_more_chicks(penetrance: str, numbers: tuple[int, int]) -> None:
    """Arithmetic: with penetrance p of the tested class, 1 - p/2 stands in the place of 1/2."""
    shy = RECESSIVE.extended(
        traits=[
            Trait(
                "ailment",
                [("a/a", {"ailment": penetrance, "not ailment": 1 - sympy.Rational(penetrance)}), ("", "not ailment")],
            )
        ]
    )
    for number, most in zip(numbers, ("1/20", "1/100"), strict=True):
        doubts = [carrier(suspect("a/a"), "cock", species=shy, hatches=[clean_chicks(n)]) for n in (number - 1, number)]
        chances = [doubt / (1 - doubt) for doubt in doubts]
        assert chances[1] == (1 - sympy.Rational(penetrance) / 2) ** number
        assert chances[1] <= sympy.Rational(most) < chances[0]


@pytest.mark.parametrize("prior", [HALF, "1/100", sympy.Symbol("q", positive=True)])
def test_one_recessive_chick_proves_the_carrier_and_clean_ones_only_persuade(prior: Any) -> None:
    """Common practice, no source: one recessive chick proves both parents, whatever was thought of them before."""
    birds = [Individual("cock", "male", shows=WELL), Individual("mate", "female", genotype="a/a")]
    asked = {"allele_frequencies": {"a": {"a": prior}}}
    assert carrier(birds, "cock", hatches=[Hatch("test", "cock", "mate", [(WELL, 30), (ILL, 1)])], **asked) == 1
    doubt = carrier(birds, "cock", hatches=[clean_chicks(30)], **asked)
    assert doubt != 0
    assert doubt.subs(sympy.Symbol("q", positive=True), sympy.Rational(1, 2)) < sympy.Rational(1, 10**8)


def test_a_mistaken_sire_is_the_usual_way_round_that_proof() -> None:
    """Common practice, no source: a second cock in the pen takes the proof away from each and leaves it to both."""
    birds = [
        Individual("old cock", "male", "clean", "split", shows=WELL),
        Individual("young cock", "male", "clean", "split", shows=WELL),
        Individual("clean", "male", genotype="A+/A+"),
        Individual("split", "female", genotype="A+/a"),
        Individual("mate", "female", genotype="a/a"),
        Individual("chick", None, {"old cock": HALF, "young cock": HALF}, "mate", shows=ILL),
    ]
    found = genotype_probabilities(Pedigree(RECESSIVE, birds), "a")
    carriers = found.carriers("a")
    assert carriers["old cock"] == carriers["young cock"] == sympy.Rational(3, 4)
    assert as_fraction(found.sires("chick")["old cock"]) == as_fraction(found.sires("chick")["young cock"])
