"""Linkage in the catalogue: published figures, and figures that nobody published."""

from __future__ import annotations

import itertools

import pytest
from sympy import Rational

from pinfeather import DefinitionError, Linkage, cross, gametes, load_fowl

FOWL = load_fowl()


@pytest.mark.parametrize(
    ("first", "second", "sex", "fraction"),
    [
        ("R", "Cp", "male", "0.0013"),  # Landauer 1932, Journal of Genetics: cocks 0.13 %, hens 0.57 %
        ("R", "Cp", "female", "0.0057"),
        ("Cr", "I", "male", "0.125"),  # Warren & Hutt 1936, American Naturalist 70:379
        ("I", "F", "female", "0.171"),
        ("pop", "S", "male", "0.178"),  # Bitgood 1999, Poultry Science 78:1100
        ("S", "K", "male", "0.024"),
        ("S", "B", "male", "0.369"),  # Haldane & Crew 1925, Nature 115:641, second breeding year
        ("Ml", "Pg", "male", "0.122"),  # Campo & Alvarez 1991, Poultry Science 70:1
        ("P", "Db", "male", "0.32"),  # Carefoot 1987, map quoted at second hand
        ("Db", "Ml", "male", "0.12"),
        ("O", "P", "female", "0.04"),  # Bruckner & Hutt 1939, Science 90:88: 3 to 5 %, quoted
        ("D", "M", "male", "0.27"),  # Hutt 1941; Hutt & Mueller 1943; Warren 1949, quoted
        ("M", "Po", "male", "0.33"),
        ("Na", "h", "male", "0.43"),  # Warren 1949, Genetics 34:333, quoted
        ("h", "Fl", "male", "0.11"),
        ("dw", "S", "male", "0.07"),  # Hutt 1959, from memory
        ("dw", "K", "male", "0.066"),
        ("Cp", "Cl", "male", "0.5"),  # Landauer 1935: independent
    ],
)
def test_published_figures(first: str, second: str, sex: str, fraction: str) -> None:
    assert FOWL.recombination(first, second, sex) == Rational(fraction)


@pytest.mark.parametrize(
    "together",
    [
        ("lav", "R", "Cp"),
        ("C", "t", "adw", "P"),
        ("mo", "sc"),
        ("v", "Pti-x"),
        ("Pti-1", "Et"),
        ("Rp", "D"),
        ("Rp", "Po"),
        ("choc", "ro", "B"),
        ("choc", "S"),
        ("B", "Id", "y"),
    ],
)
def test_loci_of_one_chromosome_without_a_figure_are_not_taken_to_be_independent(together: tuple[str, ...]) -> None:
    pairs = [pair for pair in itertools.combinations(together, 2) if set(pair) != {"R", "Cp"}]
    assert [FOWL.recombination(first, second, "male") for first, second in pairs] == [None] * len(pairs)


def test_every_sex_linked_locus_is_in_the_group_of_the_z() -> None:
    on_z = {locus.symbol for locus in FOWL.loci if locus.chromosome == "Z"}
    assert any(set(group.loci) == on_z for group in FOWL.linkage)


def test_a_question_that_needs_an_unknown_figure_is_refused_with_the_way_round_it() -> None:
    cock = FOWL.genotype("S choc/s+ Choc+")
    hen = FOWL.genotype("+", sex="female")
    chicks = cross(cock, hen)
    with pytest.raises(DefinitionError, match=r"choc.*extended"):
        chicks.genotypes("S", "choc")
    assert chicks.fraction("choc/-") == Rational(1, 4)
    helped = FOWL.extended(linkage=Linkage(("S", "choc"), "0.3"))
    cock, hen = helped.genotype("S choc/s+ Choc+"), helped.genotype("+", sex="female")
    assert cross(cock, hen).fraction("S/- choc/-") == Rational(7, 40)


def test_crest_white_and_frizzle_without_interference() -> None:
    """Cr-I 12.5 % and I-F 17.1 % give Cr-F 25.33 % where crossing over in one interval does not disturb the other;
    Warren & Hutt 1936 saw 29.4 %, and no double crossover among 284, which is interference."""
    assert FOWL.recombination("Cr", "F", "male") == Rational("0.125") + Rational("0.171") - 2 * Rational(
        "0.125"
    ) * Rational("0.171")
    doubles = gametes(FOWL.genotype("Cr I F/cr+ i+ f+", sex="male"))
    expected = 284 * sum(doubles[text] for text in ("Cr i+ F", "cr+ I f+"))
    assert round(float(expected), 1) == 6.1


def test_pop_eye_silver_and_slow_feathering_in_the_published_order() -> None:
    """Bitgood 1999: pop-S-K; without interference pop-K is 19.35 %, observed 19.0 % of 169."""
    assert round(float(FOWL.recombination("pop", "K", "male") or 0), 4) == 0.1935


def test_sex_linked_loci_do_not_recombine_in_hens() -> None:
    """Goodale 1917: crossing over between sex-linked loci in cocks, none in hens."""
    hen = FOWL.genotype("S/- B/-")
    eggs = {str(egg) for egg in gametes(hen)}
    assert not any("s+" in egg or "b+" in egg for egg in eggs)


def test_barring_and_silver_recombine_in_cocks() -> None:
    """Haldane & Crew 1925: 36.9 % in the second breeding year, coupling."""
    cock = FOWL.genotype("S B/s+ b+")
    chicks = cross(cock, FOWL.genotype("s+/- b+/-"))
    crossed = chicks.fraction("S/- b+/-") + chicks.fraction("s+/- B/-")
    assert crossed / chicks.fraction(sex="female") == Rational("0.369")
