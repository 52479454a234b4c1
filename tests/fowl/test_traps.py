"""Symbols and facts of the fowl that mislead, and how the catalogue meets them."""

from __future__ import annotations

import pytest

from pinfeather import NotationError, UnknownSymbolError, cross, load_fowl

FOWL = load_fowl()


def test_w_is_skin_colour_and_also_a_way_to_write_a_hens_missing_z() -> None:
    assert FOWL.locus("W").name == "skin colour"
    assert FOWL.locus("W").chromosome == "autosome"
    assert FOWL.genotype("S/W") == FOWL.genotype("S/-")
    assert str(FOWL.genotype("W+/w").phenotypes("skin colour").most_likely()) == "white skin"


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("I^D", "Id"),
        ("M", "m+"),
        ("Mh", "mh+"),
        ("D^v", "I^D"),
        ("S", "Sp"),
        ("C+", "Co"),
        ("Cr", "Cp"),
        ("Cl", "Cp"),
        ("H+", "Hf"),
        ("B^Sd", "s+"),
        ("Pg", "P"),
    ],
)
def test_symbols_that_differ_by_little_stay_apart(one: str, other: str) -> None:
    def place(symbol: str) -> tuple[str, str]:
        pair = f"{symbol}/_"
        return FOWL.pattern(pair).loci[0], str(FOWL.pattern(pair))

    assert place(one) != place(other)


def test_case_is_never_folded() -> None:
    with pytest.raises(UnknownSymbolError, match="did you mean"):
        FOWL.genotype("LAV/LAV")
    with pytest.raises(UnknownSymbolError):
        FOWL.genotype("ID/ID")


def test_dominance_is_not_read_from_the_letter() -> None:
    """Db is listed as recessive in a database and seen as incompletely dominant in breeding papers (Carefoot); the
    normal C+ is dominant, the normal i+ recessive."""
    assert FOWL.locus("Db").dominance == "incomplete"
    assert FOWL.locus("C").alleles[0].is_wild
    assert FOWL.locus("I").alleles[-1].is_wild
    wild = {locus.symbol: locus.wild_type.symbol for locus in FOWL.loci if locus.wild_type is not None}
    assert (wild["K"], wild["W"], wild["Id"], wild["E"]) == ("k+", "W+", "id+", "e+")


@pytest.mark.parametrize("old", ["e", "em"])
def test_the_old_e_of_columbian_restriction_is_not_taken_for_e_plus(old: str) -> None:
    """Dunn 1922 and Hutt 1949 wrote e (em) for the columbian restriction."""
    with pytest.raises(UnknownSymbolError):
        FOWL.genotype(f"{old}/{old}")
    assert "columbian" in FOWL.locus("E").notes


def test_ambiguous_copies_of_sex_linked_loci_are_refused() -> None:
    """A hen cannot be heterozygous at a Z-linked locus."""
    with pytest.raises(NotationError):
        FOWL.genotype("S/s+", sex="female")


def test_the_look_of_several_genes_is_told_of_each() -> None:
    """White, foot feather and rumplessness each have more than one cause; no cross takes two of them for alleles."""
    chicks = cross(FOWL.genotype("c/c E/E", sex="male"), FOWL.genotype("I/I E/E", sex="female"))
    assert chicks.fraction("C+/c I/i+") == 1
    assert {"Pti-1", "Pti-x"} <= set(FOWL.pattern("Pti-1B/_ Pti-x/_").loci)
    assert FOWL.locus("Rp").chromosome == FOWL.locus("rp-2").chromosome == "autosome"


def test_the_maternal_effect_of_riboflavinuria_kills_no_chick_for_its_own_genotype() -> None:
    """The dam's genotype counts, so rd/rd chicks of Rd+ hens hatch, and hens that are rd/rd are told by caution."""
    chicks = cross(FOWL.genotype("rd/rd", sex="male"), FOWL.genotype("Rd+/rd", sex="female"))
    assert chicks.lost == 0
    assert chicks.fraction("rd/rd") * 2 == 1
    assert any("every embryo of such a hen" in caution.text for caution in chicks.cautions)


def test_hidden_carriers_of_tufts_are_expected_at_the_larger_published_share() -> None:
    """Somes & Pabilonia 1981: 4 % and 14 % of birds with one copy showed no tuft."""
    looks = FOWL.genotype("Et/et+").phenotypes("ear tufts")
    assert looks["no tufts"] * 100 == 14


def test_subfertile_rose_combed_cocks_are_warned_of() -> None:
    """Crawford and colleagues 1963-65; Imsland and others 2012."""
    chicks = cross(FOWL.genotype("R/r+", sex="male"), FOWL.genotype("R/r+", sex="female"))
    assert any(caution.pattern == "R/R" and "subfertile" in caution.text for caution in chicks.cautions)
    clean = cross(FOWL.genotype("R/r+", sex="male"), FOWL.genotype("+", sex="female"))
    assert clean.cautions == ()
