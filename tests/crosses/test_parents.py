"""Parents: which birds can be paired, and what is told to those that cannot."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
import sympy
from hypothesis import assume, given
from hypothesis import strategies as st

from pinfeather import ArgumentError, Distribution, ImpossibleError, UnknownSymbolError, cross
from pinfeather.crosses.joint import offspring_of_couples
from pinfeather.heredity import Linkage, Species, Viability
from tests.hand_made import PEA, ROSE, fowl
from tests.oracles import Hatch, Oracle, as_fraction
from tests.strategies import bird_texts, keeps, species

of = fowl()
COCK, HEN, EITHER = of.genotype("R/r+ S/s+"), of.genotype("R/r+ S/-"), of.genotype("R/r+")
QUAIL = fowl(name="quail")
HALF = sympy.Rational(1, 2)


@pytest.mark.parametrize(
    ("sire", "dam", "kind", "words"),
    [
        (HEN, HEN, ImpossibleError, r"the sire R/r\+ S/- is female; a sire must be male"),
        (COCK, COCK, ImpossibleError, r"the dam R/r\+ S/s\+ is male; a dam must be female"),
        (HEN, COCK, ImpossibleError, "the sire .* is female"),
        (Distribution.of({HEN: 1}), HEN, ImpossibleError, "the sire .* is female; a sire must be male"),
        (
            cross(COCK, HEN).given(sex="female"),
            HEN,
            ImpossibleError,
            "the sire must be male, but only female chicks were kept",
        ),
        (
            COCK,
            cross(COCK, HEN).given(sex="male"),
            ImpossibleError,
            "the dam must be female, but only male chicks were kept",
        ),
        (COCK, QUAIL.genotype("S/-"), ArgumentError, "the birds are of different species: fowl and quail"),
        (
            Distribution.of({EITHER: 1, QUAIL.genotype("R/R"): 1}),
            HEN,
            ArgumentError,
            "different species: fowl and quail",
        ),
        (
            "R/r+",
            HEN,
            ArgumentError,
            r"sire='R/r\+': must be a Genotype \(species.genotype\(\.\.\.\)\), a Distribution of genotypes",
        ),
        (COCK, None, ArgumentError, "dam=None: must be a Genotype"),
        (Distribution.of({"R/r+": 1}), HEN, ArgumentError, r"an outcome of sire='R/r\+': must be a Genotype, not str"),
    ],
)
def test_parents_that_cannot_be_paired_are_refused(sire: Any, dam: Any, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        cross(sire, dam)


def test_of_a_distribution_over_both_sexes_only_the_right_one_breeds() -> None:
    chicks = cross(COCK, HEN).genotypes("R", "S")
    assert {bird.sex for bird in chicks} == {"male", "female"}
    following = cross(chicks, chicks)
    assert following.fraction("S/S") == sympy.Rational(3, 16)


@pytest.mark.parametrize("note", ["dies about day 4", ""])
@pytest.mark.parametrize("doubtful", [False, True])
def test_a_bird_that_cannot_live_is_no_parent(note: str, doubtful: bool) -> None:
    deadly = of.extended(viability=Viability("Cp/Cp", 0, "embryo", note))
    bird, other = deadly.genotype("Cp/Cp"), deadly.genotype("+")
    ended = rf" is lethal \({note}\)$" if note else " is lethal$"
    with pytest.raises(ImpossibleError, match=f"the sire Cp/Cp cannot be a living bird: Cp/Cp{ended}") as caught:
        cross(Distribution.of({bird: 1, other: 3}) if doubtful else bird, other)
    assert (caught.value.role, caught.value.pattern) == ("sire", "Cp/Cp")


@pytest.mark.parametrize("stage", ["chick", "adult"])
def test_a_class_of_which_none_lives_to_breed_is_no_parent(stage: str) -> None:
    late = Species("fowl", loci=[ROSE], viability=Viability("R/R", 0, stage))
    chicks = cross(late.genotype("R/r+"), late.genotype("R/r+"))
    doubled = chicks.given("R/R")
    assert (chicks.fraction("R/R"), doubled.fraction("R/_")) == (sympy.Rational(1, 4), 1)
    with pytest.raises(ImpossibleError, match="no female chick of this hatch lives to be a dam"):
        cross(chicks, doubled)
    assert cross(chicks, chicks).fraction("R/_") == 1 - sympy.Rational(4, 9)


def test_a_parent_that_tells_some_loci_answers_for_those() -> None:
    part = EITHER.restricted_to("R")
    chicks = cross(part, part)
    assert chicks.genotypes().ratio() == chicks.genotypes("R").ratio() == "1 : 2 : 1"
    assert chicks.phenotypes().ratio() == "3 : 1"
    for ask in (lambda: chicks.genotypes("P"), lambda: chicks.phenotypes("comb"), lambda: chicks.fraction("lav/lav")):
        with pytest.raises(UnknownSymbolError, match="in what the sire's genotype tells; known are 'R'"):
            ask()
    with pytest.raises(UnknownSymbolError, match="in what the dam's genotype tells"):
        cross(EITHER, part).genotypes("P")


def test_a_distribution_of_one_bird_is_that_bird() -> None:
    assert cross(Distribution.of({COCK: 1}), HEN).genotypes() == cross(COCK, HEN).genotypes()
    assert cross(Distribution.of({COCK: 1}), HEN).mating == cross(COCK, HEN).mating == "R/r+ S/s+ x R/r+ S/-"


def test_a_mating_says_in_words_who_the_parents_are() -> None:
    doubtful = Distribution.of({of.genotype("R/R"): "2/3", of.genotype("R/r+"): "1/3"})
    kept = cross(doubtful, HEN).given("R/_", shows={"comb": ["rose", "walnut"], "silver": "silver"}, sex="male")
    assert kept.mating == (
        "one of R/R (2/3), R/r+ (1/3) x R/r+ S/-, kept: male, R/_, comb: rose or walnut, silver: silver"
    )
    assert repr(cross(kept, HEN)) == f"Offspring(a male of ({kept.mating}) x R/r+ S/-)"


def test_an_unknown_phase_is_a_bird_that_is_one_of_two() -> None:
    """Coupling and repulsion average to independent assortment in one backcross."""
    either = of.genotype("P/p+ O/o+", phase="unknown")
    assert cross(either, of.genotype("+")).genotypes("P", "O").ratio() == "1 : 1 : 1 : 1"
    kept = cross(either, of.genotype("+")).given("P/p+ O/o+")
    assert kept.genotypes("P", "O").ratio() == "1"


# ---- parents that are known together ---------------------------------------------------------------------------------


@given(st.data(), species(3))
def test_couples_known_together_give_the_mixture_of_their_hatches(data: st.DataObject, kind: Species) -> None:
    oracle = Oracle(kind)
    couples, eggs = [], {}
    weights = data.draw(st.lists(st.integers(1, 3), min_size=1, max_size=3))
    for weight in weights:
        texts = [data.draw(bird_texts(kind, sex)) for sex in ("male", "female")]
        couples.append(tuple(kind.genotype(text, sex=sex) for text, sex in zip(texts, ("male", "female"), strict=True)))
        cock, hen = (oracle.bird(text, sex) for text, sex in zip(texts, ("male", "female"), strict=True))
        for bird, chance in oracle.hatch({cock: Fraction(1)}, {hen: Fraction(1)}).eggs.items():
            eggs[bird] = eggs.get(bird, Fraction(0)) + chance * Fraction(weight, sum(weights))
    hatch = Hatch(oracle, eggs)
    assume(hatch.weight() > 0)
    chances = Distribution.of(dict(enumerate(weights)))
    chicks = offspring_of_couples(couples, chances, "Rook x Jay")  # type: ignore[arg-type]
    for name in kind.trait_names:
        looks = {look.labels: as_fraction(chance) for look, chance in chicks.phenotypes(name, "sex").items()}
        assert looks == hatch.looks((name, "sex"))
    question = data.draw(keeps(kind))
    assert as_fraction(chicks.fraction(**question.asked())) == hatch.fraction(question)
    assert as_fraction(chicks.lost) == hatch.lost()
    assert chicks.mating == "Rook x Jay"


def test_couples_known_together_keep_symbolic_chances() -> None:
    q = sympy.Symbol("q")
    plain = of.genotype("+")
    carriers = (of.genotype("Lav+/lav", "male"), of.genotype("Lav+/lav", "female"))
    clear = (plain.with_sex("male"), plain.with_sex("female"))
    chicks = offspring_of_couples([carriers, clear], Distribution.of({0: q, 1: 1 - q}), "brother x sister")
    assert chicks.fraction("lav/lav") == q / 4


def test_full_sibs_of_an_uncertain_mating_differ_from_birds_drawn_independently() -> None:
    """Two birds both carriers or both clear give twice the affected chicks of two that carry independently."""
    carrier, clear = (of.genotype(text, "male") for text in ("Lav+/lav", "+"))
    dams = [of.genotype(text, "female") for text in ("Lav+/lav", "+")]
    together = offspring_of_couples([(carrier, dams[0]), (clear, dams[1])], Distribution.of({0: 1, 1: 1}), "sibs")
    apart = cross(Distribution.of({carrier: 1, clear: 1}), Distribution.of({dams[0]: 1, dams[1]: 1}))
    assert (together.fraction("lav/lav"), apart.fraction("lav/lav")) == (sympy.Rational(1, 8), sympy.Rational(1, 16))


def test_unlinked_blocks_of_a_doubtful_parent_are_kept_together() -> None:
    """A cock that is either R/R P/P or wild throughout gives rose and pea combs together or not at all."""
    kind = Species("fowl", loci=[ROSE, PEA], linkage=Linkage(("R", "P"), "1/2"))
    doubtful = Distribution.of({kind.genotype("R/R P/P"): 1, kind.genotype("+"): 1})
    assert cross(doubtful, kind.genotype("+")).genotypes("R", "P").ratio() == "1 : 1"


def test_a_bird_that_is_certain_is_crossed_as_itself() -> None:
    for sure in (Distribution.of({EITHER: 1}), Distribution.of({EITHER: 3, COCK: 0})):
        chicks = cross(sure, HEN)
        assert chicks.genotypes() == cross(EITHER, HEN).genotypes()
        assert chicks.working() == cross(EITHER, HEN).working()
        assert chicks.square().to_dict() == cross(EITHER, HEN).square().to_dict()
