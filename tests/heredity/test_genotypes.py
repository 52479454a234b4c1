"""Genotypes: what is asked of one bird, by locus, by sex and by look."""

from __future__ import annotations

import pickle

import pytest
import sympy

from pinfeather import ArgumentError, ImpossibleError, UnknownSymbolError
from pinfeather.heredity import Linkage, Locus, Phenotype, Species
from tests.hand_made import fowl

COCK = fowl().genotype("P O/p+ o+ Lav+/lav S/s+ Po/po+")
HEN = fowl().genotype("R/r+ S/-")
OPEN = fowl().genotype("R/r+")


@pytest.mark.parametrize(
    ("bird", "locus", "alleles", "split"),
    [
        (COCK, "lav", ("Lav+", "lav"), True),
        (COCK, "lavender", ("Lav+", "lav"), True),
        (COCK, "R", ("r+", "r+"), False),
        (COCK, "S", ("S", "s+"), True),
        (HEN, "S", ("S",), False),
        (HEN, "B", ("b+",), False),
        (OPEN, "R", ("R", "r+"), True),
    ],
)
def test_alleles_are_told_by_locus(bird: object, locus: str, alleles: tuple[str, ...], split: bool) -> None:
    assert bird.alleles(locus) == alleles  # type: ignore[attr-defined]
    assert bird.is_heterozygous(locus) == split  # type: ignore[attr-defined]


def test_an_unknown_locus_is_refused_with_the_nearest() -> None:
    with pytest.raises(UnknownSymbolError, match="no locus 'Lav' in fowl; did you mean 'lav'"):
        COCK.alleles("Lav")


def test_copies_that_depend_on_an_open_sex_are_refused() -> None:
    for ask in (OPEN.alleles, OPEN.is_heterozygous):
        with pytest.raises(
            ImpossibleError, match="how many copies of S the bird has depends on its sex, which is not known"
        ):
            ask("S")


# ---- sex -------------------------------------------------------------------------------------------------------------


def test_a_sex_fills_in_the_wild_type_of_sex_linked_loci() -> None:
    assert OPEN.with_sex("male").alleles("S") == ("s+", "s+")
    assert OPEN.with_sex("female").alleles("S") == ("s+",)
    assert HEN.with_sex("female") is HEN
    assert OPEN.with_sex("female") == fowl().genotype("R/r+", sex="female") != OPEN


def test_a_bird_does_not_change_sex() -> None:
    with pytest.raises(ImpossibleError, match=r"R/r\+ S/- is female, not male") as caught:
        HEN.with_sex("male")
    assert (caught.value.genotype, caught.value.sex) == ("R/r+ S/-", "female")
    with pytest.raises(ArgumentError, match="sex='rooster': must be one of"):
        OPEN.with_sex("rooster")


# ---- some loci only --------------------------------------------------------------------------------------------------


def test_a_genotype_may_tell_some_loci_only() -> None:
    part = COCK.restricted_to("lav", "P")
    assert part.loci == ("P", "lav")
    assert (part.sex, OPEN.restricted_to("R").sex) == ("male", None)
    assert str(part) == "P/p+ Lav+/lav"
    assert part == fowl().genotype("P/p+ Lav+/lav R/R S/S", sex="male").restricted_to("P", "lavender")
    assert part != COCK
    with pytest.raises(UnknownSymbolError, match="no locus 'R' in what this genotype tells; known are 'P', 'lav'"):
        part.alleles("R")
    with pytest.raises(UnknownSymbolError, match="what this genotype tells"):
        part.phenotypes("comb")
    with pytest.raises(UnknownSymbolError, match="no locus 'O' in what this genotype tells"):
        part.restricted_to("P", "O")
    with pytest.raises(UnknownSymbolError, match="no locus 'R' in what this genotype tells"):
        part.restricted_to("R")


def test_phase_is_kept_when_loci_between_are_left_out() -> None:
    assert str(COCK.restricted_to("P", "O", "S")) == "P O/p+ o+ S/s+"
    assert str(OPEN.restricted_to("R", "S")) == "R/r+"
    assert OPEN.restricted_to("R", "S").with_sex("female").alleles("S") == ("s+",)


# ---- looks -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "sex", "traits", "look"),
    [
        ("R/r+ P/p+", None, ("comb",), "walnut"),
        ("R/r+", None, ("comb", "lavender"), "rose, not lavender"),
        ("+", None, ("comb",), "single"),
        ("Bl/bl+", None, ("Bl",), "blue"),
        ("S B/-", None, ("silver", "barring", "sex"), "silver, wide bars, female"),
        ("S B/S B", None, ("barring", "sex"), "narrow bars, male"),
        ("+", "male", ("sex feathers", "sex"), "cock-feathered, male"),
        ("+", "female", ("sex feathers",), "hen-feathered"),
        ("+", None, ("silver",), "gold"),
    ],
)
def test_a_bird_shows_one_look_of_traits_that_are_certain(
    text: str, sex: str | None, traits: tuple[str, ...], look: str
) -> None:
    shown = fowl().genotype(text, sex=sex).phenotypes(*traits)
    assert len(shown) == 1
    assert shown[look] == 1
    assert str(shown.most_likely()) == look


def test_a_bird_whose_label_is_less_than_certain_shows_several_looks() -> None:
    shown = COCK.phenotypes("toes", "comb")
    assert dict(shown.items()) == {
        Phenotype(("toes", "comb"), ("five", "pea")): sympy.Rational(9, 10),
        Phenotype(("toes", "comb"), ("four", "pea")): sympy.Rational(1, 10),
    }


@pytest.mark.parametrize(
    ("text", "sex", "names"),
    [
        ("R/r+", None, {("comb",)}),
        ("lav/lav Bl/bl+", None, {("lavender", "blue")}),
        ("S/-", None, {("silver",)}),
        ("O/o+ R/R", None, {("comb", "blue egg")}),
        ("P O/p+ o+ Po/po+", None, {("comb", "toes", "blue egg")}),
    ],
)
def test_by_default_the_traits_that_its_mutants_bear_on_are_shown(
    text: str, sex: str | None, names: set[tuple[str, ...]]
) -> None:
    """A locus's own trait is left out where a trait of several loci speaks of it."""
    assert {look.traits for look in fowl().genotype(text, sex=sex).phenotypes()} == names


@pytest.mark.parametrize("trait", ["sex", "sex feathers"])
def test_a_look_that_depends_on_an_open_sex_is_refused(trait: str) -> None:
    with pytest.raises(
        ImpossibleError, match=r"what R/r\+ shows depends on its sex; say which with sex='male' or sex='female'"
    ):
        OPEN.phenotypes(trait)


def test_an_unknown_trait_is_refused_with_the_nearest() -> None:
    with pytest.raises(UnknownSymbolError, match="no trait 'comp' in fowl; did you mean 'comb'"):
        COCK.phenotypes("comp")
    with pytest.raises(UnknownSymbolError, match="no trait 'gait' in this look; known are 'comb'"):
        OPEN.phenotypes("comb").most_likely()["gait"]


# ---- values ----------------------------------------------------------------------------------------------------------


def test_genotypes_are_values() -> None:
    twin = fowl().genotype("S/s+ P O/p+ o+ Po/po+ lav/Lav+")
    assert twin == COCK
    assert len({twin, COCK}) == 1
    assert twin != "P O/p+ o+ Lav+/lav S/s+ Po/po+"
    assert fowl().genotype("P o+/p+ O") != fowl().genotype("P O/p+ o+")
    assert repr(HEN) == "Genotype('R/r+ S/-', sex='female')"
    assert repr(OPEN) == "Genotype('R/r+')"
    assert pickle.loads(pickle.dumps(COCK)) == COCK
    assert pickle.loads(pickle.dumps(fowl())).genotype("S/-") == fowl().genotype("S/-")


def test_what_is_doubled_between_linked_loci_in_phase_stands_by_itself() -> None:
    loci = [Locus(one, f"look {one}", (f"{one.upper()}+", one)) for one in "abc"]
    of = Species("marsh fowl", loci=loci, linkage=Linkage(("a", "b", "c"), ("0.1", "0.2")))
    bird = of.genotype("A+ b C+/a b c")
    assert str(bird) == "A+ C+/a c b/b"
    assert of.genotype(str(bird)) == bird
    assert str(bird.restricted_to("a", "b", "c")) == "A+ C+/a c b/b"
