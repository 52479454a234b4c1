"""Rules of the trade: one recessive gene in its six pairings, as breeders teach them to one another.

Source of every rule in this file: common practice, no source.  (Behind them stands Mendel 1866.)  A *split* is a bird
that carries the recessive unseen; a *pure* one does not carry it.  Lavender stands for any recessive that does no harm.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from pinfeather import Locus, Offspring, Species, cross

FOWL = Species(
    "fowl",
    loci=[
        Locus("lav", "lavender", ("Lav+", "lav"), shows={"Lav+/_": "black", "lav/lav": "lavender"}),
        Locus("choc", "chocolate", ("Choc+", "choc"), chromosome="Z"),
    ],
)
PURE, SPLIT, LAVENDER = "Lav+/Lav+", "Lav+/lav", "lav/lav"
ALL, HALF, QUARTER = Fraction(1), Fraction(1, 2), Fraction(1, 4)

SIX_PAIRINGS = {
    # common practice, no source.  rule: (one parent, the other, chicks by genotype, chicks by look)
    "pure to pure, all pure": (PURE, PURE, {PURE: ALL}, {"black": ALL}),
    "recessive to recessive, all recessive": (LAVENDER, LAVENDER, {LAVENDER: ALL}, {"lavender": ALL}),
    "pure to recessive, all split": (PURE, LAVENDER, {SPLIT: ALL}, {"black": ALL}),
    "pure to split, half split and none seen": (PURE, SPLIT, {PURE: HALF, SPLIT: HALF}, {"black": ALL}),
    "split to recessive, half and half, seen": (
        SPLIT,
        LAVENDER,
        {SPLIT: HALF, LAVENDER: HALF},
        {"black": HALF, "lavender": HALF},
    ),
    "split to split, one two one, seen as three to one": (
        SPLIT,
        SPLIT,
        {PURE: QUARTER, SPLIT: HALF, LAVENDER: QUARTER},
        {"black": 3 * QUARTER, "lavender": QUARTER},
    ),
}


def mate(sire: str, dam: str) -> Offspring:
    return cross(FOWL.genotype(sire), FOWL.genotype(dam))


def fractions(found: Any) -> dict[str, Fraction]:
    """The outcomes by the text they print as, with plain fractions."""
    assert all(share.is_Rational for share in found.values())
    return {str(outcome): Fraction(int(share.p), int(share.q)) for outcome, share in found.items()}


@pytest.mark.parametrize("rule", SIX_PAIRINGS)
def test_a_recessive_follows_the_six_pairings(rule: str) -> None:
    """Common practice, no source."""
    one, other, genotypes, looks = SIX_PAIRINGS[rule]
    for chicks in (mate(one, other), mate(other, one)):
        assert fractions(chicks.genotypes("lav")) == genotypes
        assert fractions(chicks.phenotypes("lavender")) == looks


@pytest.mark.parametrize("rule", SIX_PAIRINGS)
def test_the_six_pairings_are_the_same_in_cockerels_and_pullets(rule: str) -> None:
    """Common practice, no source: a recessive of no sex chromosome comes from either side, to either sex."""
    one, other, genotypes, _ = SIX_PAIRINGS[rule]
    for sex in ("male", "female"):
        assert fractions(mate(one, other).given(sex=sex).genotypes("lav")) == genotypes


def test_the_six_pairings_are_all_there_are() -> None:
    """Three kinds of bird pair in six ways, leaving aside which of them is the cock."""
    pairings = {frozenset((one, other)) for one, other, *_ in SIX_PAIRINGS.values()}
    assert len(pairings) == len(SIX_PAIRINGS) == 6
    assert {bird for pairing in pairings for bird in pairing} == {PURE, SPLIT, LAVENDER}


def test_two_in_three_of_the_black_chicks_of_two_splits_are_split() -> None:
    """Common practice, no source: the "66 % possible split" of the sale pens."""
    blacks = mate(SPLIT, SPLIT).given(shows={"lavender": "black"})
    assert fractions(blacks.genotypes("lav")) == {PURE: Fraction(1, 3), SPLIT: Fraction(2, 3)}


def test_half_of_the_chicks_of_pure_to_split_are_split() -> None:
    """Common practice, no source: the "50 % possible split", which no look tells from the others."""
    chicks = mate(PURE, SPLIT)
    assert fractions(chicks.given(shows={"lavender": "black"}).genotypes("lav")) == {PURE: HALF, SPLIT: HALF}


def test_two_visible_splits_need_no_third_bird_to_breed_the_recessive_true() -> None:
    """Common practice, no source: a recessive once seen breeds true, whatever the parents looked like."""
    seen = mate(SPLIT, SPLIT).given(shows={"lavender": "lavender"})
    assert fractions(cross(seen, seen).phenotypes("lavender")) == {"lavender": ALL}


SEX_LINKED = {
    # common practice, no source.  rule: (cock, hen, share of chocolate sons, of split sons, of chocolate daughters)
    "recessive cock to other hen: daughters show it, sons are split": ("choc/choc", "Choc+/-", 0, 1, 1),
    "other cock to recessive hen: none shows it, sons are split": ("Choc+/Choc+", "choc/-", 0, 1, 0),
    "split cock to other hen: half of the daughters show it": ("Choc+/choc", "Choc+/-", 0, HALF, HALF),
    "split cock to recessive hen: half of both sexes show it": ("Choc+/choc", "choc/-", HALF, HALF, HALF),
    "recessive to recessive: all show it": ("choc/choc", "choc/-", 1, 0, 1),
}


@pytest.mark.parametrize("rule", SEX_LINKED)
def test_a_sex_linked_recessive_follows_the_pairings_of_the_trade(rule: str) -> None:
    """Common practice, no source: no hen is split for a sex-linked gene: she shows it or has it not."""
    cock, hen, sons, split_sons, daughters = SEX_LINKED[rule]
    chicks = mate(cock, hen)
    males, females = chicks.given(sex="male"), chicks.given(sex="female")
    assert males.fraction("choc/choc") == sons
    assert males.fraction("Choc+/choc") == split_sons
    assert females.fraction("choc/-") == females.fraction(shows={"chocolate": "chocolate"}) == daughters
    assert females.fraction("Choc+/choc") == 0
