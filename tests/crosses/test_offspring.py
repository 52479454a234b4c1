"""Offspring: questions about the chicks of a mating, and the classes of them that are kept."""

from __future__ import annotations

from typing import Any

import pytest
import sympy

from pinfeather import (
    ArgumentError,
    ImpossibleError,
    NotationError,
    UnknownSymbolError,
    cross,
    load_fowl,
)
from pinfeather.heredity import Locus, Phenotype, Species, Trait
from tests.hand_made import BARRING, LAVENDER, fowl

of = fowl()
COMBS = cross(of.genotype("R/r+ P/p+"), of.genotype("R/r+ P/p+"))
SEXED = cross(of.genotype("R/r+ s+/s+"), of.genotype("R/r+ S/-"))
PLAIN = cross(of.genotype("+"), of.genotype("+"))


# ---- what is asked by default ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sire", "dam", "loci", "traits"),
    [
        ("R/r+", "+", ("R",), ("comb",)),
        ("lav/lav", "Lav+/lav P/P", ("lav",), ("lavender",)),
        ("lav/lav", "lav/lav", ("lav",), ("lavender",)),
        ("s+/s+", "S/-", ("S",), ("silver", "sex")),
        ("S/S", "S/-", ("S",), ("silver",)),
        ("Cp/cp+", "Cp/cp+", ("Cp",), ("creeper",)),
        ("R/R", "R/R", ("R",), ("comb",)),
        ("+", "+", (), ()),
    ],
)
def test_by_default_what_segregates_is_told(
    sire: str, dam: str, loci: tuple[str, ...], traits: tuple[str, ...]
) -> None:
    """Loci that do not segregate are told only where none does, and the sex only where looks differ by it."""
    chicks = cross(of.genotype(sire), of.genotype(dam))
    assert {bird.loci for bird in chicks.genotypes()} == {loci}
    assert {look.traits for look in chicks.phenotypes()} == {traits}


def test_a_mating_of_wild_types_gives_wild_types() -> None:
    assert PLAIN.genotypes()["+"] == 1
    assert PLAIN.phenotypes("comb")["single"] == 1
    assert (PLAIN.lost, PLAIN.cautions, PLAIN.sexing()) == (0, (), {})


# ---- asking ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("question", "fraction"),
    [
        ({}, "1"),
        ({"genotype": "R/_"}, "3/4"),
        ({"genotype": "R/r+ P/p+"}, "1/4"),
        ({"genotype": of.pattern("R/R")}, "1/4"),
        ({"genotype": of.genotype("R/r+ P/p+")}, "1/4"),
        ({"shows": {"comb": "walnut"}}, "9/16"),
        ({"shows": {"comb": ["walnut", "rose"]}}, "3/4"),
        ({"shows": {"comb": {"pea"}, "sex": "male"}}, "3/32"),
        ({"shows": {"comb": []}}, "0"),
        ({"shows": {"comb": "walnut"}, "sex": "female"}, "9/32"),
        ({"genotype": "R/R", "shows": {"comb": "walnut"}, "sex": "male"}, "3/32"),
        ({"genotype": "lav/lav"}, "0"),
        ({"shows": {"sex": "male"}, "sex": "female"}, "0"),
        ({"shows": {"R": "rose comb"}}, "3/4"),
    ],
)
def test_a_fraction_may_be_asked_by_genotype_look_and_sex(question: dict[str, Any], fraction: str) -> None:
    answer = COMBS.fraction(**question)
    assert answer == sympy.Rational(fraction)
    assert isinstance(answer, sympy.Rational)


@pytest.mark.parametrize("ask", [COMBS.fraction, COMBS.given])
@pytest.mark.parametrize(
    ("question", "kind", "words"),
    [
        ({"genotype": "Rr/_"}, UnknownSymbolError, "no allele 'Rr' in fowl; did you mean"),
        ({"genotype": 5}, ArgumentError, "pattern=5: must be text, not int"),
        ({"genotype": fowl(name="quail").genotype("R/R")}, ArgumentError, "different species: fowl and quail"),
        ({"shows": {"combs": "walnut"}}, UnknownSymbolError, "no trait 'combs' in fowl; did you mean 'comb'"),
        (
            {"shows": {"comb": "wallnut"}},
            UnknownSymbolError,
            "no label 'wallnut' in trait 'comb'; did you mean 'walnut'",
        ),
        (
            {"shows": {"comb": ["rose", "straight"]}},
            UnknownSymbolError,
            "no label 'straight' in trait 'comb'; known are|did you",
        ),
        ({"shows": {"sex": "hen"}}, UnknownSymbolError, "no label 'hen' in trait 'sex'"),
        ({"shows": {"comb": 5}}, ArgumentError, "must be a sequence of texts"),
        ({"shows": {"comb": None}}, ArgumentError, "must be a sequence of texts"),
        ({"shows": {"comb": [5]}}, ArgumentError, "must be text, not int"),
        ({"shows": "walnut"}, ArgumentError, "shows='walnut': must be a mapping such as"),
        ({"shows": {5: "walnut"}}, UnknownSymbolError, "no trait '5' in fowl"),
        ({"sex": "hen"}, ArgumentError, "sex='hen': must be one of 'male', 'female'"),
    ],
)
def test_a_question_that_cannot_be_read_is_refused(
    ask: Any, question: dict[str, Any], kind: type[Exception], words: str
) -> None:
    with pytest.raises(kind, match=words):
        ask(**question)


@pytest.mark.parametrize(
    ("ask", "kind", "words"),
    [
        (
            lambda: COMBS.genotypes("R", "pee comb"),
            UnknownSymbolError,
            "no locus 'pee comb' in fowl; did you mean 'pea comb'",
        ),
        (lambda: COMBS.phenotypes("comb", "gait"), UnknownSymbolError, "no trait 'gait' in fowl; "),
        (lambda: COMBS.phenotypes("comb", "comb"), ArgumentError, "trait='comb': stands twice"),
        (lambda: COMBS.phenotypes("R", "rose comb"), ArgumentError, "trait='rose comb': stands twice"),
        (
            lambda: COMBS.phenotypes("comb")["rosy"],
            UnknownSymbolError,
            "no label 'rosy' in trait 'comb'; did you mean 'rose'",
        ),
        (lambda: COMBS.genotypes("R")["Rr"], UnknownSymbolError, "no allele 'Rr' in fowl"),
        (lambda: SEXED.genotypes("R", "S")["R/r+"], NotationError, "does not say what stands at the sex-linked loci"),
    ],
)
def test_what_a_hatch_does_not_know_is_refused(ask: Any, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        ask()


def test_answers_read_what_is_typed_in_any_order() -> None:
    both = COMBS.genotypes("R", "P")
    assert both["P/p+ R/r+"] == both["R/r+, P/p+"] == both["R/r+ P/p+"] == sympy.Rational(1, 4)
    assert both["R/R P/P Lav+/lav"] == sympy.Rational(1, 16)
    assert COMBS.genotypes("R")["+"] == sympy.Rational(1, 4)
    assert SEXED.genotypes("S")["S/-"] == 0
    assert SEXED.genotypes("S")["s+/-"] == sympy.Rational(1, 2)
    assert COMBS.phenotypes("comb", "lavender")["walnut, not lavender"] == sympy.Rational(9, 16)
    assert COMBS.phenotypes("comb", "sex")["walnut, male"] == sympy.Rational(9, 32)
    assert COMBS.phenotypes("comb")[Phenotype(("comb",), ("pea",))] == sympy.Rational(3, 16)


def test_outcomes_stand_in_catalogue_order() -> None:
    assert [str(bird) for bird in COMBS.genotypes("R")] == ["R/R", "R/r+", "r+/r+"]
    assert [str(look) for look in COMBS.phenotypes("comb", "sex")][:3] == [
        "walnut, male",
        "walnut, female",
        "rose, male",
    ]
    assert [(str(bird), bird.sex) for bird in cross(of.genotype("S/s+"), of.genotype("S/-")).genotypes()] == [
        ("S/S", "male"),
        ("S/s+", "male"),
        ("S/-", "female"),
        ("s+/-", "female"),
    ]


# ---- keeping ---------------------------------------------------------------------------------------------------------


def test_a_hatch_prints_its_looks_and_what_is_lost_and_says_what_it_cannot_list() -> None:
    fowl = load_fowl()
    creepers = cross(fowl.genotype("Cp/cp+", sex="male"), fowl.genotype("Cp/cp+"))
    lines = str(creepers).splitlines()
    assert lines[0] == creepers.mating == "Cp/cp+ x Cp/cp+"
    assert lines[1].split() == ["creeper", "2/3", "~", "66.67", "%"]
    assert "Lost before hatch: 1/4 of the fertilised eggs (25 %)." in lines
    assert lines[-1].startswith("Caution: Cp/Cp")
    assert "veterinarian" in lines[-1]
    phases = fowl.genotype("O/o+ C+/c", sex="male", phase="unknown")
    assert "how often they part is not known" in str(cross(phases, fowl.genotype("+")))
    many = " ".join(f"{locus.symbols[0]}/{locus.symbols[-1]}" for locus in fowl.loci[8:9] + fowl.loci[12:16])
    mixed = fowl.genotype(f"{many} E/e+ Bl/bl+ Fm/fm+ Bd+/bd Mf+/mf Mb/mb+ Hf/hf+ Ap/ap+ Fr+/fr Ht/ht+", sex="male")
    broad = cross(mixed, fowl.genotype(str(mixed), sex="female"))
    assert "Looks are not listed: the answer would have up to" in str(broad)
    assert "Caution: Ap/_" in broad._repr_html_()
    plain = fowl.genotype("+")
    assert str(cross(plain, plain)) == "+ x +\nwild type  1  100 %"


def test_keeping_narrows_step_by_step() -> None:
    rose = COMBS.given(shows={"comb": ["rose", "walnut"]})
    only = rose.given(shows={"comb": ["rose", "single"]}).given(sex="female").given("R/_").given("R/_")
    assert rose.phenotypes("comb").ratio() == "3 : 1"
    assert only.genotypes("R").ratio() == "1 : 2"
    assert only.fraction(sex="female") == 1
    assert only.fraction(sex="male") == 0
    assert only.mating == "R/r+ P/p+ x R/r+ P/p+, kept: female, R/_, comb: rose"
    assert only.phenotypes().ratio() == "1"


def test_the_sex_is_a_look_too() -> None:
    assert SEXED.given(shows={"sex": "male"}).genotypes("S")["S/s+"] == 1
    assert SEXED.given(sex="female").phenotypes("silver")["gold"] == 1
    assert {str(look) for look in SEXED.given(sex="male").phenotypes()} == {"rose", "single"}


@pytest.mark.parametrize(
    ("question", "kept"),
    [
        ({"genotype": "lav/lav"}, "lav/lav"),
        ({"shows": {"lavender": "lavender"}}, "lavender: lavender"),
        ({"genotype": "R/R", "shows": {"comb": "pea"}}, "R/R, comb: pea"),
        ({"shows": {"sex": "male"}, "sex": "female"}, "of neither sex"),
        ({"shows": {"comb": []}}, "comb: "),
    ],
)
def test_a_class_that_no_chick_falls_in_cannot_be_kept(question: dict[str, Any], kept: str) -> None:
    with pytest.raises(ImpossibleError) as caught:
        COMBS.given(**question)
    assert str(caught.value) == f"no chick to keep: R/r+ P/p+ x R/r+ P/p+ gives none that is {kept}"
    assert caught.value.kept == kept


def test_a_look_of_incomplete_penetrance_once_seen_is_certain() -> None:
    """One F2 chick in four lacks Po; of the four-toed ones, 1/4 : 3/40 are clear of it."""
    chicks = cross(of.genotype("Po/po+"), of.genotype("Po/po+"))
    four = chicks.given(shows={"toes": "four"})
    assert four.phenotypes("toes")["four"] == 1
    assert four.fraction("po+/po+") == sympy.Rational(1, 4) / (sympy.Rational(1, 4) + sympy.Rational(3, 40))
    assert cross(four, four).fraction("Po/_") == 1 - (1 - four.fraction("Po/po+") / 2 - four.fraction("Po/Po")) ** 2


def test_selection_on_an_epistatic_look_ties_loci_in_the_next_hatch() -> None:
    """Walnut F2 birds bred together: (8/9) squared walnut, known from 1 - (1/9) for each of the two loci."""
    walnut = COMBS.given(shows={"comb": "walnut"})
    assert cross(walnut, walnut).phenotypes("comb").ratio() == "64 : 8 : 8 : 1"
    not_walnut = COMBS.given(shows={"comb": ["rose", "pea", "single"]})
    rates = cross(not_walnut, not_walnut).phenotypes("comb")
    assert rates["walnut"] == sympy.Rational(2, 7) * sympy.Rational(2, 7) * 2


# ---- chromosomes -----------------------------------------------------------------------------------------------------


def test_what_lies_on_w_goes_from_dam_to_daughters_and_mitochondria_from_dam_to_all() -> None:
    kind = Species(
        "fowl",
        loci=[
            Locus("Wm", "w mark", ("Wm", "wm+"), chromosome="W"),
            Locus("mt", "mitotype", ("mt1", "mt2+"), chromosome="mitochondrion"),
        ],
    )
    chicks = cross(kind.genotype("mt2+/-", sex="male"), kind.genotype("Wm/- mt1/-"))
    assert chicks.phenotypes("w mark", "sex").to_dict() == {"w mark, female": "1/2", "no copy of Wm, male": "1/2"}
    assert chicks.phenotypes("mitotype")["mitotype"] == 1
    assert chicks.genotypes("mt")["mt1/-"] == 1
    assert chicks.sexing() == {"w mark": 1, "mitotype": 0}
    assert cross(kind.genotype("mt1/-", sex="male"), kind.genotype("+", sex="female")).fraction("mt1/-") == 0


def test_in_an_xy_species_daughters_get_their_fathers_x() -> None:
    kind = Species(
        "xy bird",
        "XY",
        [Locus("K", "slow", ("K", "k+"), chromosome="X"), Locus("Ym", "y mark", ("Ym", "ym+"), chromosome="Y")],
    )
    chicks = cross(kind.genotype("K/- Ym/-"), kind.genotype("k+/k+"))
    assert chicks.phenotypes("slow", "y mark", "sex").to_dict() == {
        "slow, no copy of Ym, female": "1/2",
        "not slow, y mark, male": "1/2",
    }


def test_traits_limited_to_a_sex_are_told_by_sex() -> None:
    kind = Species(
        "fowl",
        loci=[LAVENDER, BARRING],
        traits=[
            Trait(
                "spurs",
                [("lav/lav", "spurred", "male"), ("", {"spurred": "0.05", "clean": "0.95"}, "female"), ("", "clean")],
            )
        ],
    )
    chicks = cross(kind.genotype("Lav+/lav"), kind.genotype("Lav+/lav"))
    assert chicks.fraction(shows={"spurs": "spurred"}, sex="male") == sympy.Rational(1, 8)
    assert chicks.fraction(shows={"spurs": "spurred"}) == sympy.Rational(1, 8) + sympy.Rational(1, 40)
    assert chicks.given(shows={"spurs": "spurred"}).fraction(sex="male") == sympy.Rational(5, 6)
    assert chicks.phenotypes("spurs").ratio() == "3 : 17"


def test_a_look_of_three_traits_is_answered_with_the_label_that_is_unknown() -> None:
    looks = cross(of.genotype("R/r+ P/p+"), of.genotype("S/- Po/po+")).phenotypes("comb", "silver", "toes")
    for text, symbol, nearest in (("rosse, gold, four", "rosse", "rose"), ("rose, golt, four", "golt", "gold")):
        with pytest.raises(UnknownSymbolError, match=f"'{symbol}'.*did you mean '{nearest}'") as caught:
            looks[text]
        assert caught.value.symbol == symbol
