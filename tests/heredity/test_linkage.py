"""Linkage groups and map distances: fractions by interval and sex, known, symbolic and unknown."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from pinfeather import ArgumentError, DefinitionError, ImpossibleError, NotationError, UnknownSymbolError
from pinfeather.heredity import (
    Linkage,
    Locus,
    Species,
    haldane,
    inverse_haldane,
    inverse_kosambi,
    kosambi,
)
from tests.hand_made import fowl

r, s = sympy.symbols("r s")
HALF = sympy.Rational(1, 2)

# ---- map functions ---------------------------------------------------------------------------------------------------


def test_map_functions_begin_at_nought_and_stay_below_a_half() -> None:
    assert haldane(0) == kosambi(0) == inverse_haldane(0) == inverse_kosambi(0) == 0
    assert all(0.49 < float(function(200)) < 0.5 for function in (haldane, kosambi))
    assert Linkage(("P", "O"), haldane(10_000)).fraction("P", "O", "male") <= HALF


@pytest.mark.parametrize(("there", "back"), [(haldane, inverse_haldane), (kosambi, inverse_kosambi)])
@given(distance=st.integers(1, 150))
def test_map_functions_and_their_inverses_undo_each_other(there: Any, back: Any, distance: int) -> None:
    assert abs(float(back(there(distance))) - distance) < 1e-9
    fraction = sympy.Rational(distance, 400)
    assert abs(float(there(back(fraction))) - float(fraction)) < 1e-12


@given(st.integers(1, 150))
def test_interference_makes_recombination_more_likely_at_the_same_distance(distance: int) -> None:
    """Kosambi's function lies between Haldane's and the straight line."""
    assert float(haldane(distance)) < float(kosambi(distance)) < distance / 100


def test_map_functions_take_symbols() -> None:
    d = sympy.Symbol("d")
    assert haldane(d).subs(d, 20) == haldane(20)
    assert kosambi(d).subs(d, 20) == kosambi(20)
    assert sympy.simplify(inverse_haldane(r).subs(r, sympy.Rational(1, 4)) - 50 * sympy.log(2)) == 0


@given(st.integers(1, 60), st.integers(1, 60))
def test_haldane_distances_add_up_without_interference(first: int, second: int) -> None:
    """The fraction over two neighbouring intervals is that of the distances added: Haldane 1919."""
    group = Linkage(("R", "Cp", "U"), (haldane(first), haldane(second)))
    assert abs(float(group.fraction("R", "U", "male") - haldane(first + second))) < 1e-12


@pytest.mark.parametrize("function", [haldane, kosambi])
@pytest.mark.parametrize(
    ("value", "kind", "words"),
    [
        (-1, ArgumentError, "a map distance cannot be negative"),
        ("far", NotationError, "centimorgans='far' is not a number"),
    ],
)
def test_a_map_distance_that_cannot_be_is_refused(function: Any, value: Any, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        function(value)


@pytest.mark.parametrize("function", [inverse_haldane, inverse_kosambi])
@pytest.mark.parametrize(
    ("value", "kind", "words"),
    [
        ("0.6", ArgumentError, "recombination='0.6': must lie between 0 and 1/2"),
        (-0.1, ArgumentError, "must lie between 0 and 1/2"),
        ("1/2", ImpossibleError, "1/2 is no finite map distance: the loci are not linked"),
    ],
)
def test_a_fraction_without_a_distance_is_refused(function: Any, value: Any, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        function(value)


# ---- groups ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given_figures", "read"),
    [
        ("0.1", [("1/10", "1/10")]),
        (["0.1"], [("1/10", "1/10")]),
        (("0.1", "0.2"), [("1/10", "1/5")]),
        ([("0.1", "0.2")], [("1/10", "1/5")]),
    ],
)
def test_two_loci_take_one_figure_or_one_for_each_sex(given_figures: Any, read: list[tuple[str, str]]) -> None:
    group = Linkage(("P", "O"), given_figures)
    assert [tuple(map(str, interval)) for interval in group.recombination] == read
    assert group.fraction("O", "P", "female") == sympy.Rational(read[0][1])


def test_three_loci_take_a_figure_for_each_neighbour_pair() -> None:
    group = Linkage(("Cr", "I", "F"), ("0.125", ("0.171", "0.2")))
    assert group.fraction("Cr", "I", "male") == sympy.Rational(1, 8)
    assert group.fraction("I", "F", "female") == sympy.Rational(1, 5)
    assert group.fraction("Cr", "F", "male") == sympy.Rational("0.125") + sympy.Rational("0.171") - 2 * sympy.Rational(
        "0.125"
    ) * sympy.Rational("0.171")
    assert group.fraction("Cr", "Cr", "male") == 0


def test_symbolic_fractions_are_joined_as_polynomials() -> None:
    group = Linkage(("Cr", "I", "F"), (r, s))
    assert group.fraction("Cr", "F", "male") == r + s - 2 * r * s


@pytest.mark.parametrize("nothing", [None, "unknown"])
def test_linked_but_unknown_is_not_a_half(nothing: Any) -> None:
    group = Linkage(("Cr", "I", "F"), ("0.1", nothing))
    assert group.fraction("Cr", "I", "male") == sympy.Rational(1, 10)
    assert group.fraction("I", "F", "male") is None
    assert group.fraction("Cr", "F", "female") is None


def test_an_unknown_piece_may_be_spanned_by_a_known_pair() -> None:
    group = Linkage(("Cr", "I", "F"), (None, None), pairs={("F", "Cr"): ("0.3", "0.4")})
    assert group.fraction("Cr", "F", "male") == sympy.Rational(3, 10)
    assert group.fraction("F", "Cr", "female") == sympy.Rational(2, 5)
    assert group.fraction("Cr", "I", "male") is None


def test_sources_of_a_linkage_are_texts_and_not_the_letters_of_one() -> None:
    assert Linkage(("P", "O"), "0.1", sources=["Ash 1900"]).sources == ("Ash 1900",)
    bare = Linkage(("P", "O"), "0.1")
    assert (bare.sources, bare.notes, bare.flag) == ((), "", "")
    with pytest.raises(ArgumentError, match="sources='Ash 1900': must be a sequence of texts"):
        Linkage(("P", "O"), "0.1", sources="Ash 1900")


@pytest.mark.parametrize(
    ("loci", "figures", "pairs", "kind", "words"),
    [
        (("P",), (), None, DefinitionError, "a linkage group needs at least two loci, not 1"),
        ("PO", "0.1", None, ArgumentError, "loci='PO': must be a sequence of texts"),
        (("P", "O", "P"), ("0.1", "0.1"), None, ArgumentError, "linked locus='P': stands twice"),
        (("P", ""), "0.1", None, ArgumentError, "must not be empty"),
        (
            ("P", "O", "R"),
            "0.1",
            None,
            DefinitionError,
            "have 2 neighbour pairs, but 1 recombination fractions are given",
        ),
        (("P", "O"), ("0.1", "0.1", "0.1"), None, DefinitionError, r"2 loci \(P O\) have 1 neighbour pair, but 3"),
        (("P", "O"), "0.6", None, ArgumentError, "recombination of P and O='0.6': must lie between 0 and 1/2"),
        (("P", "O"), (0.1, -0.1), None, ArgumentError, "recombination of P and O in females=-0.1: must lie between"),
        (("P", "O"), "often", None, NotationError, "recombination of P and O='often' is not a number"),
        (("P", "O"), [("0.1",)], None, ArgumentError, r"must be one fraction, or a pair \(in males, in females\)"),
        (("P", "O"), sympy.nan, None, ArgumentError, "recombination of P and O=nan: must be a finite real number"),
        (
            ("P", "O"),
            "0.1",
            {("P", "O"): "0.2"},
            DefinitionError,
            "the chain of this group already gives the fraction between",
        ),
        (("P", "O"), None, {("P", "P"): "0.2"}, ArgumentError, "must name two different loci"),
        (("P", "O"), None, {("P", "O", "R"): "0.2"}, ArgumentError, "must name two different loci"),
        (("P", "O"), None, {("P", "R"): "0.2"}, UnknownSymbolError, "no locus 'R' in this linkage group"),
        (("P", "O"), None, [("P", "O")], ArgumentError, "pairs=.*must be a mapping"),
    ],
)
def test_a_group_that_cannot_hold_is_refused(
    loci: Any, figures: Any, pairs: Any, kind: type[Exception], words: str
) -> None:
    with pytest.raises(kind, match=words):
        Linkage(loci, figures, pairs)


def test_a_group_does_not_answer_for_loci_outside() -> None:
    with pytest.raises(UnknownSymbolError, match="no locus 'R' in this linkage group; known are 'P', 'O'"):
        Linkage(("P", "O"), "0.1").fraction("P", "R", "male")


# ---- groups in a species ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("groups", "kind", "words"),
    [
        ([Linkage(("P", "S"), "0.1")], DefinitionError, "the loci P S cannot be linked: they lie on Z, autosome"),
        (
            [Linkage(("P", "O"), "0.1"), Linkage(("R", "O"), "0.1")],
            DefinitionError,
            "locus O stands in two linkage groups",
        ),
        ([Linkage(("P", "Oo"), "0.1")], UnknownSymbolError, "no locus 'Oo' in a linkage group; did you mean 'O'"),
        ([Linkage(("P", "blue egg"), "0.1")], UnknownSymbolError, "no locus 'blue egg' in a linkage group"),
    ],
)
def test_a_species_refuses_groups_that_cross_chromosomes_or_each_other(
    groups: list[Linkage], kind: type[Exception], words: str
) -> None:
    with pytest.raises(kind, match=words):
        fowl(linkage=tuple(groups))


@pytest.mark.parametrize("chromosome", ["W", "mitochondrion"])
def test_loci_that_are_handed_on_whole_cannot_be_linked(chromosome: str) -> None:
    loci = [Locus(s, s, (s.upper(), s + "+"), chromosome=chromosome) for s in ("ma", "mb")]
    with pytest.raises(DefinitionError, match=f"they lie on {chromosome}, which is handed on whole"):
        Species("fowl", loci=loci, linkage=Linkage(("ma", "mb"), "0.1"))


@pytest.mark.parametrize(
    ("first", "second", "sex", "fraction"),
    [
        ("P", "O", "male", "1/25"),
        ("O", "pea comb", "female", "1/25"),
        ("R", "P", "male", "1/2"),
        ("S", "B", "male", "7/20"),
    ],
)
def test_a_species_tells_the_fraction_between_any_two_loci(first: str, second: str, sex: str, fraction: str) -> None:
    assert fowl().recombination(first, second, sex) == sympy.Rational(fraction)


@given(st.lists(st.fractions(0, Fraction(1, 2), max_denominator=20), min_size=1, max_size=5))
def test_the_fraction_over_a_chain_is_the_chance_of_an_odd_number_of_crossovers(steps: list[Fraction]) -> None:
    """Listing every combination of crossing over or not, interval by interval."""
    group = Linkage([f"L{n}" for n in range(len(steps) + 1)], steps[0] if len(steps) == 1 else steps)
    odd = Fraction(0)
    for pattern in range(1 << len(steps)):
        if pattern.bit_count() % 2:
            chance = Fraction(1)
            for n, step in enumerate(steps):
                chance *= step if pattern >> n & 1 else 1 - step
            odd += chance
    assert group.fraction("L0", f"L{len(steps)}", "male") == sympy.Rational(odd.numerator, odd.denominator)
