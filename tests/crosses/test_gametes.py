"""Gametes: what one bird hands on."""

from __future__ import annotations

from typing import Any

import pytest
import sympy

from pinfeather import ArgumentError, DefinitionError, ImpossibleError, TooLargeError, UnknownSymbolError, gametes
from pinfeather.heredity import Linkage, Locus, Species
from tests.hand_made import PEA, ROSE, fowl

r, s = sympy.symbols("r s")


def shares(distribution: Any) -> dict[str, Any]:
    return {str(gamete): chance for gamete, chance in distribution.items()}


@pytest.mark.parametrize(
    ("text", "sex", "expected"),
    [
        ("R/r+", None, {"R": "1/2", "r+": "1/2"}),
        ("R/R", None, {"R": "1"}),
        ("+", None, {"+": "1"}),
        ("R/r+ P/p+", None, {"R P": "1/4", "R p+": "1/4", "r+ P": "1/4", "r+ p+": "1/4"}),
        ("P O/p+ o+", None, {"P O": "12/25", "P o+": "1/50", "p+ O": "1/50", "p+ o+": "12/25"}),
        ("P O/p+ O", None, {"P O": "1/2", "p+ O": "1/2"}),
        ("S/s+", None, {"S": "1/2", "s+": "1/2"}),
        ("S/-", None, {"S": "1/2", "-": "1/2"}),
        ("S B/- -", None, {"S B": "1/2", "- -": "1/2"}),
        ("S B/s+ b+", None, {"S B": "13/40", "S b+": "7/40", "s+ B": "7/40", "s+ b+": "13/40"}),
        ("S/- R/r+", None, {"R S": "1/4", "r+ S": "1/4", "R -": "1/4", "r+ -": "1/4"}),
    ],
)
def test_a_bird_hands_on_half_of_what_it_has(text: str, sex: Any, expected: dict[str, str]) -> None:
    found = shares(gametes(fowl().genotype(text), sex))
    assert found == {name: sympy.Rational(chance) for name, chance in expected.items()}


def test_the_loci_to_list_may_be_named() -> None:
    bird = fowl().genotype("R/r+ Lav+/lav", sex="male")
    assert shares(gametes(bird, loci=["lavender"])) == {"Lav+": sympy.Rational(1, 2), "lav": sympy.Rational(1, 2)}
    assert shares(gametes(bird, loci=["S", "R"])) == {"R s+": sympy.Rational(1, 2), "r+ s+": sympy.Rational(1, 2)}
    assert shares(gametes(fowl().genotype("R/r+"), "female", loci=["S"])) == {
        "s+": sympy.Rational(1, 2),
        "-": sympy.Rational(1, 2),
    }


def test_a_gamete_tells_its_alleles() -> None:
    with_z, without = gametes(fowl().genotype("S/- R/R"))
    assert (with_z.alleles("S"), with_z.alleles("rose comb"), without.alleles("S")) == (("S",), ("R",), ())
    assert repr(with_z) == "Gamete('R S')"
    with pytest.raises(UnknownSymbolError, match="no locus 'P' in what this gamete tells; known are 'R', 'S'"):
        with_z.alleles("P")
    with pytest.raises(UnknownSymbolError, match="no locus 'X' in fowl"):
        with_z.alleles("X")


def test_recombination_may_be_a_symbol_and_differ_by_sex() -> None:
    of = Species(
        "fowl", loci=[ROSE, PEA, Locus("U", "uropygial", ("U", "u+"))], linkage=Linkage(("R", "P", "U"), ((r, s), 0))
    )
    bird = of.genotype("R U/r+ u+")
    assert shares(gametes(bird, "male"))["R U"] == sympy.Rational(1, 2) - r / 2
    assert shares(gametes(bird, "female"))["R u+"] == s / 2
    with pytest.raises(
        ArgumentError, match=r"the gametes of R U/r\+ u\+ depend on its sex; say which with sex='male'"
    ) as caught:
        gametes(bird)
    assert caught.value.argument == "sex"
    assert len(gametes(of.genotype("R/r+"))) == 2


def test_complete_linkage_never_parts() -> None:
    of = Species("fowl", loci=[ROSE, PEA], linkage=Linkage(("R", "P"), 0))
    assert set(shares(gametes(of.genotype("R p+/r+ P")))) == {"R p+", "r+ P"}


@pytest.mark.parametrize(
    ("ask", "kind", "words"),
    [
        (lambda: gametes("R/r+"), ArgumentError, "genotype='R/r\\+': must be a Genotype, not str"),  # type: ignore[arg-type]
        (lambda: gametes(fowl().genotype("R/r+"), "hen"), ArgumentError, "sex='hen': must be one of"),
        (lambda: gametes(fowl().genotype("S/-"), "male"), ImpossibleError, "S/- is female, not male"),
        (lambda: gametes(fowl().genotype("R/r+"), loci=["Q"]), UnknownSymbolError, "no locus 'Q' in fowl"),
        (
            lambda: gametes(fowl().genotype("Lav+/lav"), loci="lav"),
            ArgumentError,
            "loci='lav': must be a sequence of texts",
        ),
        (
            lambda: gametes(fowl().genotype("S/-").restricted_to("S"), loci=["R"]),
            UnknownSymbolError,
            "what this genotype tells",
        ),
        (lambda: gametes(fowl().genotype("R/r+"), loci=["S"]), ArgumentError, "depend on its sex"),
    ],
)
def test_a_question_that_cannot_be_answered_is_refused(ask: Any, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        ask()


def test_unknown_recombination_is_refused_just_where_it_is_needed() -> None:
    of = fowl().extended(linkage=Linkage(("P", "O"), "unknown"))
    bird = of.genotype("P O/p+ o+")
    with pytest.raises(DefinitionError, match="P and O are linked, but how often they part is not known") as caught:
        gametes(bird)
    assert 'species.extended(linkage=Linkage(("P", "O"), r))' in str(caught.value)
    assert caught.value.loci == ("P", "O")
    assert shares(gametes(bird, loci=["P"])) == {"P": sympy.Rational(1, 2), "p+": sympy.Rational(1, 2)}
    assert len(gametes(of.genotype("P O/P o+"))) == 2


def test_a_known_pair_spans_an_unknown_piece_of_the_map() -> None:
    of = fowl().extended(linkage=Linkage(("R", "P", "O"), (None, None), {("R", "O"): "0.3"}))
    bird = of.genotype("R O/r+ o+ P/P", sex="male")
    assert gametes(bird, loci=["R", "O"]).ratio() == "7 : 3 : 3 : 7"
    with pytest.raises(DefinitionError, match="R and P are linked, but how often they part is not known"):
        gametes(of.genotype("R P O/r+ p+ o+"))


@pytest.mark.parametrize("linked", [False, True])
def test_more_than_a_million_kinds_are_refused_before_they_are_made(linked: bool) -> None:
    loci = [Locus(f"L{n}", f"look {n}", (f"L{n}", f"l{n}+")) for n in range(100)]
    group = Linkage([locus.symbol for locus in loci], ["0.1"] * 99)
    of = Species("fowl", loci=loci, linkage=group if linked else ())
    slots = [locus.symbols for locus in loci]
    bird = of.genotype(" ".join(a for a, _ in slots) + "/" + " ".join(b for _, b in slots))
    with pytest.raises(
        TooLargeError, match=r"the answer would have up to about 10\^30 kinds of gametes, more than 1,000,000"
    ) as caught:
        gametes(bird)
    assert caught.value.size > caught.value.limit == 1_000_000
    assert len(gametes(bird, loci=["L3", "L50", "L99"])) == 8
