"""The notation: what a text means, and the sentence that answers a text that means nothing."""

from __future__ import annotations

from typing import Any

import pytest

from pinfeather import ArgumentError, DefinitionError, NotationError, TooLargeError, UnknownSymbolError
from pinfeather.heredity import Genotype, Linkage, Locus, Species, phases
from tests.hand_made import PEA, ROSE, SILVER, fowl

AMBIGUOUS = Species(
    "fowl",
    loci=[
        Locus("mo", "mottled", ("Mo+", "mo"), aliases={"m": "mo", "m+": "Mo+"}),
        Locus("ml", "melanotic", ("Ml", "ml+"), aliases={"m": "Ml"}),
        Locus("Ea", "blood group", ("Ea1", "Ea2")),
    ],
)


# ---- one meaning, several ways of writing ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "sex", "same"),
    [
        ("R/r+ P/p+", None, "P/p+ R/r+"),
        ("R/r+,P/p+", None, "R/r+ P/p+"),
        ("R/r+; P/p+;", None, "R/r+ P/p+"),
        ("  R /r+   P/ p+ ", None, "R/r+ P/p+"),
        ("r+/R", None, "R/r+"),
        ("r+/r+ Lav+/Lav+", None, "+"),
        (" + ", None, "+"),
        ("P O/p+ o+", None, "O P/o+ p+"),
        ("p+ o+/P O", None, "P O/p+ o+"),
        ("P O/P O", None, "P/P O/O"),
        ("P O/P o+", None, "P/P O/o+"),
        ("P R/p+ r+", None, "P/p+ R/r+"),
        ("P r+/p+ R", None, "P/p+ R/r+"),
        ("P O R/p+ o+ r+", None, "P O/p+ o+ R/r+"),
        ("O/Oo", None, "O/O"),
        ("S/-", "female", "S/W"),
        ("-/S", "female", "S/-"),
        ("W/S", "female", "S/-"),
        ("S B/-", "female", "S/- B/-"),
        ("S B/- -", "female", "S/- B/-"),
        ("- -/S B", "female", "S/- B/-"),
        ("S B/W R/r+", "female", "R/r+ B/- S/-"),
        ("S B/s+ b+", "male", "s+ b+/S B"),
    ],
)
def test_the_same_bird_may_be_written_in_several_ways(text: str, sex: str | None, same: str) -> None:
    assert fowl().genotype(text, sex=sex) == fowl().genotype(same, sex=sex)


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("+", "+"),
        ("r+/r+", "+"),
        ("P/p+ R/r+", "R/r+ P/p+"),
        ("o+ P/O p+", "P o+/p+ O"),
        ("P O/P o+", "P/P O/o+"),
        ("lav/lav r+/R", "R/r+ lav/lav"),
        ("W/S B/-", "S/- B/-"),
        ("s+ B/S b+", "S b+/s+ B"),
    ],
)
def test_a_bird_prints_in_catalogue_order_and_in_phase(text: str, printed: str) -> None:
    assert str(fowl().genotype(text)) == printed


@pytest.mark.parametrize(
    ("text", "sex", "told"),
    [
        ("R/r+", None, None),
        ("S/-", None, "female"),
        ("S/s+", None, "male"),
        ("s+/s+", None, "male"),
        ("s+/W", None, "female"),
        ("R/r+", "female", "female"),
        ("S/- R/R", "female", "female"),
    ],
)
def test_the_copies_written_tell_the_sex(text: str, sex: str | None, told: str | None) -> None:
    assert fowl().genotype(text, sex=sex).sex == told


def test_letters_of_the_odd_chromosome_are_the_missing_homologue_unless_an_allele_has_them() -> None:
    mammal = Species("xy bird", "XY", [Locus("K", "slow", ("K", "k+"), chromosome="X")])
    assert mammal.genotype("K/Y") == mammal.genotype("K/-", sex="male")
    taken = Species("fowl", loci=[SILVER, Locus("W", "white skin", ("W", "w+"))])
    assert taken.genotype("S/- W/w+").alleles("W") == ("W", "w+")
    with pytest.raises(NotationError, match="S and W are alleles of different loci"):
        taken.genotype("S/W")
    with pytest.raises(UnknownSymbolError, match="no allele 'W' in fowl"):
        fowl().genotype("R/W")


# ---- what means nothing ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "symbol", "words"),
    [
        ("Lav+/lva", "lva", "no allele 'lva' in fowl; did you mean 'lav'?"),
        ("r/R", "r", "no allele 'r' in fowl; did you mean 'r+'?"),
        ("LAV/lav", "LAV", "no allele 'LAV' in fowl; did you mean 'lav'?"),
        ("bL/bl+", "bL", "no allele 'bL' in fowl; did you mean"),
        ("R/r+P/p+", "r+P", "no allele 'r+P' in fowl; did you mean"),
        ("zzz/R", "zzz", "no allele 'zzz' in fowl; known are 'R', 'r+', 'P', 'p+', 'O', 'o+', 'Lav+', 'lav', ..."),
        ("zzz", "zzz", "no allele 'zzz' in fowl"),
    ],
)
def test_an_unknown_symbol_is_answered_with_the_nearest_known(text: str, symbol: str, words: str) -> None:
    for read in (fowl().genotype, fowl().pattern):
        with pytest.raises(UnknownSymbolError) as caught:
            read(text)
        assert str(caught.value).startswith(words)
        assert caught.value.symbol == symbol
        assert isinstance(caught.value, KeyError)


def test_an_ambiguous_symbol_is_answered_with_the_loci_it_may_belong_to() -> None:
    with pytest.raises(NotationError, match="m/m is ambiguous: it may belong to the loci mo, ml at column 1"):
        AMBIGUOUS.genotype("m/m Ea1/Ea2")
    assert AMBIGUOUS.genotype("m/Mo+ Ea1/Ea2") == AMBIGUOUS.genotype("Mo+/mo Ea1/Ea2")
    assert AMBIGUOUS.genotype("m/ml+ Ea1/Ea2") == AMBIGUOUS.genotype("Ml/ml+ Ea1/Ea2")
    assert AMBIGUOUS.genotype("m+/m Ea1/Ea2").alleles("mo") == ("Mo+", "mo")


def test_a_symbol_goes_before_an_alias_of_another_locus() -> None:
    of = Species("fowl", loci=[PEA, Locus("Pk", "pea-like", ("Pk", "pk+"), aliases={"P": "Pk", "Q": "Pk"})])
    assert of.genotype("P/p+ Q/pk+").alleles("P") == ("P", "p+")


@pytest.mark.parametrize(
    ("text", "words", "column"),
    [
        ("", "the genotype is empty; a bird that is wild type throughout is written +", None),
        ("  ", "the genotype is empty", None),
        (",", "the genotype is empty", None),
        (" ; , ", "the genotype is empty", None),
        ("R", "'R' has no partner; write R/R, or R/- for a hen's single copy at column 1", 1),
        ("P/p+ R", "'R' has no partner", 6),
        ("R/", "1 allele stands before the slash but 0 after it; each homologue lists one allele of each locus", 2),
        ("P O/p+", "2 alleles stand before the slash but 1 after it", 4),
        ("P O/p+, o+", "2 alleles stand before the slash but 1 after it", 4),
        ("/r+", "nothing stands before the slash at column 1", 1),
        ("R//r+", "1 allele stands before the slash but 0 after it", 2),
        ("R/P", "R and P are alleles of different loci (R and P); loci are separated by blanks", 1),
        ("P O/o+ p+", "P and o+ are alleles of different loci (P and O)", 1),
        ("R/r+ R/R", "locus R stands twice", None),
        ("R R/r+ r+", "a locus stands twice in one group at column 1", 1),
        ("+/R", "a bare + is not an allele; write its symbol, such as Lav+", 1),
        ("R/r+ +", "a bare + stands only by itself, for a bird that is wild type throughout", 6),
        ("-/-", "-/- names no locus", 1),
        ("R/_", "holes (_) belong in patterns, not in a genotype", 3),
        ("_/_", "holes (_) belong in patterns", 1),
        ("R/r+/r+", "nothing stands before the slash", 5),
    ],
)
def test_a_text_that_does_not_follow_the_notation_is_told_what_and_where(
    text: str, words: str, column: int | None
) -> None:
    with pytest.raises(NotationError) as caught:
        fowl().genotype(text)
    assert words in str(caught.value)
    assert caught.value.column == column
    assert caught.value.text == text
    if column is not None:
        assert str(caught.value).endswith(f" at column {column}") or "did you mean" in str(caught.value)


def test_a_fault_of_the_whole_text_names_no_column() -> None:
    with pytest.raises(NotationError) as caught:
        fowl().genotype("R/r+ R/R")
    assert str(caught.value) == "'R/r+ R/R': locus R stands twice"


@pytest.mark.parametrize("text", [None, 5, b"R/r+", ["R/r+"], object()])
def test_what_is_no_text_is_refused(text: Any) -> None:
    with pytest.raises(ArgumentError, match=r"genotype=.*must be text, not"):
        fowl().genotype(text)
    with pytest.raises(ArgumentError, match=r"pattern=.*must be text, not"):
        fowl().pattern(text)


def test_a_text_of_absurd_length_is_refused_unread() -> None:
    with pytest.raises(NotationError, match="a text of 500000 characters is too long to be a genotype"):
        fowl().genotype("R/r+ " * 100_000)
    with pytest.raises(NotationError, match=r"'R/r\+ R/r\+.*\.\.\.': locus R stands twice"):
        fowl().genotype("R/r+ " * 100)


# ---- copies and sex --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "sex", "words"),
    [
        ("S/s+", "female", "the two copies written at S make the bird male; a hen has one Z, so write it as S/-"),
        ("S/S", "female", "make the bird male; a hen has one Z, so write it as S/-"),
        ("B/b+", "female", "the two copies written at B make the bird male; a hen has one Z, so write it as B/-"),
        ("s+/s+", "female", "a hen has one Z, so write it as s+/-"),
        ("S/-", "male", "the one copy written at S makes the bird female"),
        ("S/- B/b+", None, "the copies written at B are a male's, those at S a female's"),
        ("S b+/s+ -", None, "the copies written at S are a male's, those at B a female's"),
        ("R/-", None, "a bird has 2 copies at locus R (autosome), but 1 stands there"),
        ("R/-", "female", "a female has 2 copies at locus R (autosome), but 1 stands there"),
    ],
)
def test_copies_that_contradict_the_sex_or_the_chromosome_are_refused(text: str, sex: str | None, words: str) -> None:
    with pytest.raises(NotationError) as caught:
        fowl().genotype(text, sex=sex)
    assert words in str(caught.value)
    assert repr(text) in str(caught.value)
    assert (caught.value.text, caught.value.column) == (text, None)


SINGLES = Species(
    "fowl",
    loci=[
        ROSE,
        Locus("Wm", "w mark", ("Wm", "wm+"), chromosome="W"),
        Locus("mt", "mitotype", ("mt1", "mt2+"), chromosome="mitochondrion"),
    ],
)
XY = Species(
    "xy bird",
    "XY",
    loci=[Locus("K", "slow", ("K", "k+"), chromosome="X"), Locus("Ym", "y mark", ("Ym", "ym+"), chromosome="Y")],
)


@pytest.mark.parametrize(
    ("of", "text", "sex", "words"),
    [
        (SINGLES, "Wm/wm+", None, "a bird has 0 or 1 copies at locus Wm (W), but 2 stand there"),
        (SINGLES, "Wm/-", "male", "the one copy written at Wm makes the bird female"),
        (SINGLES, "mt1/mt2+", None, "a bird has 1 copy at locus mt (mitochondrion), but 2 stand there"),
        (XY, "K/K", "male", "the two copies written at K make the bird female"),
        (XY, "K/-", "female", "the one copy written at K makes the bird male"),
        (XY, "K/K Ym/-", None, "the copies written at Ym are a male's, those at K a female's"),
    ],
)
def test_single_chromosomes_have_one_copy_in_the_sex_that_has_them(
    of: Species, text: str, sex: Any, words: str
) -> None:
    with pytest.raises(NotationError) as caught:
        of.genotype(text, sex=sex)
    assert words in str(caught.value)


def test_a_locus_without_a_wild_type_must_be_mentioned() -> None:
    with pytest.raises(
        DefinitionError, match=r"locus Ea has no wild type \(no symbol that ends in \+\), so every genotype"
    ):
        AMBIGUOUS.genotype("Mo+/mo")
    spotless = Species("fowl", loci=[ROSE, Locus("Wm", "w mark", ("Wa", "Wb"), chromosome="W")])
    assert str(spotless.genotype("R/r+", sex="male")) == "R/r+"
    assert spotless.genotype("R/r+ Wa/-").alleles("Wm") == ("Wa",)


# ---- phase -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "ways"),
    [
        ("P/p+ O/o+", ("P O/p+ o+", "P o+/p+ O")),
        ("O/o+ R/r+ P/p+", ("R/r+ P O/p+ o+", "R/r+ P o+/p+ O")),
        ("S/s+ B/b+", ("S B/s+ b+", "S b+/s+ B")),
    ],
)
def test_a_missing_phase_is_answered_with_both_ways_of_writing_it(text: str, ways: tuple[str, str]) -> None:
    with pytest.raises(NotationError) as caught:
        fowl().genotype(text)
    assert str(caught.value) == (
        f"{text!r}: the loci are linked, so it matters which alleles lie together; "
        f"write '{ways[0]}' or '{ways[1]}', or take phase='unknown'"
    )
    assert caught.value.ways == ways
    either = fowl().genotype(text, phase="unknown")
    assert either.ratio() == "1 : 1"
    assert {str(bird) for bird in either} == set(ways)
    assert all(isinstance(bird, Genotype) for bird in either)


@pytest.mark.parametrize("text", ["P/p+ O/O", "P/P O/o+", "S/- B/-", "P O/p+ o+", "R/r+ P/p+", "+"])
def test_a_phase_that_does_not_matter_is_not_asked_for(text: str) -> None:
    bird = fowl().genotype(text)
    assert list(fowl().genotype(text, phase="unknown")) == [bird]


def test_three_linked_loci_of_unknown_phase_have_four_ways() -> None:
    of = Species("fowl", loci=[ROSE, PEA, SILVER], linkage=Linkage(("R", "P"), "0.1")).extended(
        loci=Locus("U", "uropygial", ("U", "u+")), linkage=Linkage(("R", "P", "U"), ("0.1", "0.2"))
    )
    assert of.genotype("R/r+ P/p+ U/u+", phase="unknown").ratio() == "1 : 1 : 1 : 1"
    assert of.genotype("R P/r+ p+ U/u+", phase="unknown").ratio() == "1 : 1"
    with pytest.raises(NotationError, match=r"write 'R P U/r\+ p\+ u\+' or .*, \.\.\., or take phase='unknown'"):
        of.genotype("R/r+ P/p+ U/u+")


def test_more_phases_than_can_be_listed_are_refused() -> None:
    loci = [Locus(f"L{n}", f"look {n}", (f"L{n}", f"l{n}+")) for n in range(30)]
    of = Species("fowl", loci=loci, linkage=Linkage([locus.symbol for locus in loci], ["0.1"] * 29))
    text = " ".join(f"L{n}/l{n}+" for n in range(30))
    with pytest.raises(TooLargeError, match="phases open; write the phase of some of its linked loci"):
        of.genotype(text, phase="unknown")
    with pytest.raises(NotationError, match="the loci are linked, so it matters which alleles lie together"):
        of.genotype(text)


def test_as_many_phases_as_fit_are_listed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each mixed locus after the first doubles the phases."""
    monkeypatch.setattr(phases, "_MOST_PHASES", 4)
    loci = [Locus(f"L{n}", f"look {n}", (f"L{n}", f"l{n}+")) for n in range(4)]
    of = Species("fowl", loci=loci, linkage=Linkage([locus.symbol for locus in loci], ["0.1"] * 3))
    assert len(of.genotype("L0/l0+ L1/l1+ L2/l2+", phase="unknown")) == 4
    with pytest.raises(TooLargeError, match="leaves more than 4 phases open") as caught:
        of.genotype("L0/l0+ L1/l1+ L2/l2+ L3/l3+", phase="unknown")
    assert caught.value.limit == 4


@pytest.mark.parametrize("phase", ["known", "", 5])
def test_a_phase_is_unknown_or_not_given(phase: Any) -> None:
    with pytest.raises(ArgumentError, match=r"phase=.*must be one of 'unknown'"):
        fowl().genotype("P/p+", phase=phase)


def test_an_alias_is_suggested_only_where_no_symbol_is_near() -> None:
    """A breeder who writes LAV means lav, though a database's LAV*N is spelled more like it."""
    species = Species(
        "toy", loci=[Locus("lav", "lavender", ("Lav+", "lav"), aliases={"LAV*N": "Lav+", "tawny": "lav"})]
    )
    with pytest.raises(UnknownSymbolError, match="did you mean 'lav'") as caught:
        species.genotype("LAV/lav")
    assert caught.value.known == ("Lav+", "lav", "LAV*N", "tawny")
    with pytest.raises(UnknownSymbolError, match="did you mean 'tawny'"):
        species.genotype("tauny/lav")
