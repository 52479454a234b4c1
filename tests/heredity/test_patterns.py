"""Patterns: genotypes with holes, and the birds that fit them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather import ArgumentError, ImpossibleError, NotationError, TooLargeError, UnknownSymbolError
from pinfeather.heredity import Linkage, Locus, Species, Trait
from pinfeather.heredity.matching import Machine, Rule
from tests.hand_made import COMB, fowl
from tests.oracles import Oracle
from tests.strategies import bare_species, bird_texts, patterns


@pytest.mark.parametrize(
    ("pattern", "fitting", "others"),
    [
        ("R/_", ["R/R", "R/r+", "P/p+ R/r+"], ["+", "P/P"]),
        ("_/R", ["R/R", "R/r+"], ["+"]),
        ("r+/r+", ["+", "P/p+"], ["R/r+"]),
        ("R/r+ P/_", ["R/r+ P/p+"], ["R/R P/p+", "R/r+"]),
        ("S/_", ["S/s+", "S/S", "S/-"], ["s+/-", "s+/s+"]),
        ("S/-", ["S/-"], ["S/S", "S/s+"]),
        ("S/S", ["S/S"], ["S/-", "S/s+"]),
        ("P O/p+ o+", ["P O/p+ o+", "R/r+ p+ o+/P O"], ["P o+/p+ O", "P/p+ O/O"]),
        ("P O/_ _", ["P O/p+ o+", "P O/P o+", "P/P O/O"], ["P o+/p+ O"]),
        ("P/p+ O/o+", ["P O/p+ o+", "P o+/p+ O"], ["P/P O/o+"]),
        ("P r+/p+ R", ["P R/p+ r+", "P/p+ R/r+"], ["P/P R/r+", "P/p+ R/R"]),
        ("R P O/_ _ _", ["R/r+ P O/p+ o+", "R/R P O/P o+"], ["R/r+ P o+/p+ O", "P O/p+ o+"]),
        ("S B/-", ["S/- B/-"], ["S/-", "S B/s+ b+"]),
        ("", ["+", "R/R", "S/-"], []),
    ],
)
def test_a_bird_fits_a_pattern_one_way_round_or_the_other(pattern: str, fitting: list[str], others: list[str]) -> None:
    read = fowl().pattern(pattern)
    for text in fitting:
        assert read.matches(_bird(text)), text
    for text in others:
        assert not read.matches(_bird(text)), text


def _bird(text: str) -> Any:
    bird = fowl().genotype(text)
    return bird if bird.sex else bird.with_sex("male")


def test_a_genotype_is_a_pattern_that_it_alone_fits() -> None:
    hen = fowl().genotype("R/r+ S/-")
    exact = fowl().pattern(hen)
    assert exact.matches(hen)
    assert not exact.matches(fowl().genotype("R/r+ S/- Bl/bl+"))
    assert not exact.matches(fowl().genotype("R/r+", sex="female"))
    assert not exact.matches(fowl().genotype("R/r+ S/s+"))
    part = fowl().pattern(hen.restricted_to("R"))
    assert part.loci == ("R",)
    assert part.matches(fowl().genotype("R/r+ Bl/bl+", sex="female"))


def test_a_genotype_of_open_sex_is_wild_type_at_sex_linked_loci() -> None:
    exact = fowl().pattern(fowl().genotype("R/r+"))
    assert exact.matches(fowl().genotype("R/r+", sex="female"))
    assert exact.matches(fowl().genotype("R/r+", sex="male"))
    assert not exact.matches(fowl().genotype("R/r+ S/-"))
    assert not exact.matches(fowl().genotype("R/r+ S/s+"))


def test_a_genotype_of_many_linkage_groups_is_a_pattern_too() -> None:
    loci = [Locus(f"L{n}", f"look {n}", (f"L{n}", f"l{n}+")) for n in range(40)]
    of = Species("fowl", loci=loci, linkage=[Linkage((f"L{n}", f"L{n + 1}"), "0.1") for n in range(0, 40, 2)])
    bird = of.genotype("L0 L1/l0+ l1+ L2 L3/l2+ l3+ L4/l4+", sex="male")
    assert of.pattern(bird).matches(bird)
    assert not of.pattern(bird).matches(of.genotype("L0 L1/l0+ l1+ L2 l3+/l2+ L3 L4/l4+", sex="male"))


def test_a_pattern_is_itself() -> None:
    read = fowl().pattern("R/_ P O/_ _")
    assert fowl().pattern(read) is read
    assert (str(read), repr(read), read.loci) == ("R/_ P O/_ _", "Pattern('R/_ P O/_ _')", ("R", "P", "O"))
    assert str(fowl().pattern("")) == ""


@pytest.mark.parametrize(
    ("pattern", "kind", "words"),
    [
        ("+", ArgumentError, "a pattern names its loci, such as Lav\\+/Lav\\+; the empty pattern fits every bird"),
        ("R", NotationError, "'R' has no partner; write R/R, or R/- for a hen's single copy, or R/_ for any"),
        ("_/_", NotationError, "_/_ names no locus"),
        ("_/-", NotationError, "_/- names no locus"),
        ("R/_ R/R", NotationError, "locus R stands twice"),
        ("R/lav", NotationError, "R and lav are alleles of different loci"),
        ("lva/_", UnknownSymbolError, "did you mean 'lav'"),
    ],
)
def test_a_pattern_that_cannot_be_read_is_refused(pattern: str, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        fowl().pattern(pattern)


def test_birds_of_another_species_or_that_do_not_tell_enough_are_refused() -> None:
    read = fowl().pattern("S/_")
    with pytest.raises(ArgumentError, match="the birds are of different species: fowl and quail"):
        read.matches(fowl(name="quail").genotype("S/-"))
    with pytest.raises(UnknownSymbolError, match="no locus 'S' in what this genotype tells"):
        read.matches(fowl().genotype("S/-").restricted_to("R"))
    assert not read.matches(fowl().genotype("R/r+"))
    with pytest.raises(ImpossibleError, match=r"whether R/r\+ fits s\+/s\+ depends on its sex, which is not known"):
        fowl().pattern("s+/s+").matches(fowl().genotype("R/r+"))


def test_rules_that_speak_of_phase_in_too_many_ways_are_refused() -> None:
    loci = [Locus(f"L{n}", f"look {n}", (f"L{n}", f"l{n}+")) for n in range(26)]
    of = Species("fowl", loci=loci, linkage=[Linkage((f"L{n}", f"L{n + 1}"), "0.1") for n in range(0, 26, 2)])
    text = " ".join(f"L{n} L{n + 1}/l{n}+ l{n + 1}+" for n in range(0, 26, 2))
    with pytest.raises(
        TooLargeError, match="these rules speak of phase in more than 4096 ways; split the trait"
    ) as caught:
        Machine.of([Rule(of.pattern(text).items)], of.loci)
    assert caught.value.limit == 4096


def test_rules_that_can_be_half_fulfilled_in_too_many_ways_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pinfeather.heredity.matching._MOST_STATES", 100)
    loci = [Locus(f"L{n}", f"look {n}", (f"L{n}", f"l{n}+")) for n in range(16)]
    pairs = [(f"L{n}/_ L{n + 8}/_", f"pair {n}") for n in range(8)]
    with pytest.raises(
        TooLargeError, match="the rules have over 100 different ways to be half fulfilled; split the trait"
    ):
        Species("fowl", loci=loci, traits=Trait("pairs", [*pairs, ("", "none")]))


def test_the_machine_of_a_trait_settles_as_early_as_it_can() -> None:
    machine = Machine.of([Rule(fowl().pattern(rule.pattern).items, rule.sex) for rule in COMB.rules], fowl().loci)
    assert machine.read("male", {0: (0, 1), 1: (1, 1)}) == 1
    assert machine.read("male", {0: (1, 1), 1: (1, 1)}) == 3
    settled = machine.settled_after([0, 1])
    assert settled[0] & 0b1111 == 0b1010
    assert settled[1] == ~0


@given(st.data(), bare_species())
def test_matching_agrees_with_reading_the_pattern_naively(data: st.DataObject, of: Species) -> None:
    oracle = Oracle(of)
    pattern = data.draw(patterns(of, most=3))
    sex = data.draw(st.sampled_from(("male", "female")))
    text = data.draw(bird_texts(of, sex))
    read = of.pattern(pattern)
    assert read.matches(of.genotype(text, sex=sex)) == oracle.fits(pattern, oracle.bird(text, sex))
    assert of.pattern(str(read)) == read
