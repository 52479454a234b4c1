"""Males and females may recombine differently: each parent's own fraction is used, however a question is answered.

The figures are powers of the fractions, worked out by hand; the loci are invented.
"""

from __future__ import annotations

import pytest
import sympy
from sympy import Rational

from pinfeather import Linkage, Locus, Species, cross, gametes
from tests.hand_made import fowl

LOCI = "abcd"
MALE, FEMALE = Rational(1, 10), Rational(3, 10)
MARSH = Species(
    "marsh fowl",
    loci=[Locus(one, f"look {one}", (f"{one.upper()}+", one)) for one in LOCI],
    linkage=[Linkage(tuple(LOCI), [("0.1", "0.3")] * 3)],
)
COUPLING = "A+ B+ C+ D+/a b c d"
COCK, HEN = MARSH.genotype(COUPLING, sex="male"), MARSH.genotype(COUPLING, sex="female")
RECESSIVE = "a/a b/b c/c d/d"


def whole(fraction: sympy.Expr) -> sympy.Expr:
    """The gametes in which none of three stretches recombines, of one kind."""
    return (1 - fraction) ** 3 / 2


def test_each_sex_hands_on_by_its_own_fraction() -> None:
    assert gametes(COCK)["a b c d"] == whole(MALE)
    assert gametes(HEN)["a b c d"] == whole(FEMALE)
    assert gametes(HEN)["A+ b c d"] == FEMALE * (1 - FEMALE) ** 2 / 2


@pytest.mark.parametrize(
    ("sire", "dam", "share"),
    [
        (COUPLING, COUPLING, whole(MALE) * whole(FEMALE)),
        (COUPLING, "a b c d/a b c d", whole(MALE)),
        ("a b c d/a b c d", COUPLING, whole(FEMALE)),
        ("A+ b C+ d/a B+ c D+", COUPLING, MALE**3 / 2 * whole(FEMALE)),
        (COUPLING, "A+ b C+ d/a B+ c D+", FEMALE**3 / 2 * whole(MALE)),
    ],
)
def test_a_fraction_is_the_same_read_along_the_chain_or_off_the_table(sire: str, dam: str, share: sympy.Expr) -> None:
    chicks = cross(MARSH.genotype(sire, sex="male"), MARSH.genotype(dam, sex="female"))
    assert chicks.fraction(RECESSIVE) == share
    assert chicks.genotypes().fraction(MARSH.genotype(RECESSIVE)) == share
    assert chicks.fraction(RECESSIVE, sex="female") == share / 2


def test_the_working_names_the_fraction_of_each_parent() -> None:
    chicks = cross(COCK.restricted_to("a", "b"), HEN.restricted_to("a", "b"))
    text = " ".join(chicks.working().split())
    assert "In the sire a and b part in 1/10 of gametes." in text
    assert "In the dam a and b part in 3/10 of gametes." in text
    assert "are each handed on whole in (1 - 3/10) / 2 = 7/20" in text


def test_daughters_kept_by_one_sex_linked_locus_are_told_at_its_neighbour() -> None:
    """Silver and barring part in 35 % of a cock's gametes (hand-made figure), and his daughters have one copy."""
    chicks = cross(fowl().genotype("S B/s+ b+"), fowl().genotype("s+/- b+/-"))
    kept = chicks.given("B/_")
    daughters = kept.given(sex="female").genotypes("S")
    assert {str(bird): share for bird, share in daughters.items()} == {"S/-": Rational(13, 20), "s+/-": Rational(7, 20)}
    sons = kept.given(sex="male").genotypes("S")
    assert {str(bird): share for bird, share in sons.items()} == {"S/s+": Rational(13, 20), "s+/s+": Rational(7, 20)}
    assert kept.given(sex="female").fraction(shows={"silver": "gold"}) == Rational(7, 20)
    either = chicks.given(shows={"barring": ["wide bars", "no bars"]}, sex="female").genotypes("S")
    assert {str(bird): share for bird, share in either.items()} == {"S/-": Rational(1, 2), "s+/-": Rational(1, 2)}
