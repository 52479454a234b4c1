"""Genotypes that harm change what hatches, and are told; looks that tell the sex at hatch."""

from __future__ import annotations

import pytest
import sympy

from pinfeather import (
    ImpossibleError,
    cross,
)
from pinfeather.heredity import Caution, Species, Viability
from tests.hand_made import ROSE, SILVER, fowl

of = fowl()


# ---- losses ----------------------------------------------------------------------------------------------------------


def test_fractions_are_of_hatched_chicks_and_losses_are_told() -> None:
    creepers = cross(of.genotype("Cp/cp+"), of.genotype("Cp/cp+"))
    assert creepers.genotypes("Cp").ratio() == "2 : 1"
    assert creepers.lost == creepers.given("Cp/cp+").lost == sympy.Rational(1, 4)
    assert creepers.at_fertilisation.genotypes("Cp").ratio() == "1 : 2 : 1"
    assert creepers.at_fertilisation.fraction("Cp/Cp") == sympy.Rational(1, 4)
    assert creepers.given("Cp/_").at_fertilisation.fraction("Cp/Cp") == sympy.Rational(1, 3)
    assert creepers.fraction("Cp/Cp") == 0
    with pytest.raises(ImpossibleError, match="gives none that is Cp/Cp"):
        creepers.given("Cp/Cp")


def test_a_mating_of_which_no_chick_hatches_says_so() -> None:
    doomed = Species("fowl", loci=[ROSE, SILVER], viability=Viability("R/r+", 0))
    chicks = cross(doomed.genotype("R/R"), doomed.genotype("r+/r+"))
    assert chicks.lost == 1
    assert chicks.at_fertilisation.fraction("R/r+") == 1
    for ask in (
        lambda: chicks.fraction("R/_"),
        chicks.genotypes,
        lambda: chicks.genotypes("S"),
        chicks.phenotypes,
        chicks.sexing,
        lambda: chicks.given("R/_"),
    ):
        with pytest.raises(ImpossibleError, match=r"R/R x \+ (hatches: all die before|gives none)"):
            ask()


def test_one_sex_may_be_lost() -> None:
    sons = Species("fowl", loci=[SILVER], viability=Viability("S/-", 0))
    chicks = cross(sons.genotype("S/S"), sons.genotype("s+/-"))
    assert chicks.lost == sympy.Rational(1, 2)
    assert chicks.fraction(sex="male") == 1
    assert list(chicks.genotypes("S")) == [sons.genotype("S/s+").restricted_to("S")]


def test_cautions_are_those_that_the_mating_can_give() -> None:
    danger = of.extended(
        viability=[Viability("R/R", "0.9", "adult"), Viability("lav/lav", 0, "chick", "weak")],
        cautions=Caution("S/S", "heavy birds."),
    )
    cock, hen = danger.genotype("Cp/cp+ R/r+ S/s+"), danger.genotype("Cp/cp+ R/r+")
    told = {caution.pattern: str(caution) for caution in cross(cock, hen).cautions}
    assert set(told) == {"Cp/cp+", "Cp/Cp", "R/R"}
    assert told["Cp/Cp"].startswith("Cp/Cp: all die before hatch (dies about day 4).")
    assert told["R/R"].startswith("R/R: 1/10 of them die before breeding.")
    carriers = cross(danger.genotype("Lav+/lav S/S"), danger.genotype("Lav+/lav S/-"))
    assert [caution.text for caution in carriers.cautions] == ["heavy birds.", "all die as chicks (weak)."]


# ---- sexing ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sire", "dam", "told"),
    [
        ("s+/s+", "S/-", {"silver": "1"}),
        ("S/S", "s+/-", {"silver": "0"}),
        ("S/s+", "s+/-", {"silver": "0"}),
        ("b+/b+", "B/-", {"barring": "1"}),
        ("B/b+", "B/-", {"barring": "1/2"}),
        ("s+/s+ R/r+", "S/-", {"comb": "0", "silver": "1"}),
        ("O/O", "+", {}),
    ],
)
def test_sexing_tells_what_share_each_look_at_hatch_sexes(sire: str, dam: str, told: dict[str, str]) -> None:
    """Egg colour is not seen at hatch, so it is not listed; a comb that both sexes share is, and sexes nobody."""
    found = cross(of.genotype(sire), of.genotype(dam)).sexing()
    assert found == {name: sympy.Rational(share) for name, share in told.items()}
