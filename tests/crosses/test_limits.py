"""Questions that cannot be answered: a recombination that is not known, an answer that would not fit."""

from __future__ import annotations

from typing import Any

import pytest
import sympy

from pinfeather import (
    DefinitionError,
    Distribution,
    TooLargeError,
    cross,
    gametes,
)
from pinfeather.crosses import meiosis
from pinfeather.crosses.joint import offspring_of_couples
from pinfeather.crosses.telling import most_looks
from pinfeather.heredity import Linkage, Locus, Species, Trait
from tests.hand_made import fowl

of = fowl()


# ---- recombination that is not known ---------------------------------------------------------------------------------


def test_unknown_recombination_is_refused_just_where_it_is_needed() -> None:
    unknown = of.extended(linkage=[Linkage(("P", "O"), None), Linkage(("S", "B"), None)])
    both = unknown.genotype("P O/p+ o+")
    chicks = cross(both, both)
    words = "P and O are linked, but how often they part is not known, and a male .* at both breeds here"
    for ask in (
        lambda: chicks.genotypes("P", "O"),
        lambda: chicks.phenotypes("comb", "blue egg"),
        lambda: chicks.fraction("P/_ O/_"),
        lambda: chicks.fraction("P/_", shows={"blue egg": "blue egg"}),
    ):
        with pytest.raises(DefinitionError, match=words) as caught:
            ask()
        assert caught.value.loci == ("P", "O")
    assert chicks.genotypes("P").ratio() == chicks.genotypes("O").ratio() == "1 : 2 : 1"
    assert chicks.fraction("P/_", sex="male") == sympy.Rational(3, 8)
    assert cross(unknown.genotype("P O/P o+"), unknown.genotype("+")).genotypes("P", "O").ratio() == "1 : 1"
    hen = unknown.genotype("S B/-")
    assert cross(unknown.genotype("+"), hen).genotypes("S", "B").ratio() == "1 : 1"
    with pytest.raises(DefinitionError, match=r"S and B are linked.* a male .* at both"):
        cross(unknown.genotype("S B/s+ b+"), hen).genotypes("S", "B")


def test_unknown_recombination_in_a_long_group_is_refused_too() -> None:
    loci = [Locus(f"L{n}", f"look {n}", (f"L{n}", f"l{n}+")) for n in range(5)]
    group = Linkage([locus.symbol for locus in loci], ["0.1", None, "0.1", "0.1"])
    kind = Species("fowl", loci=loci, linkage=group)
    bird = kind.genotype("L0 L1 L2 L3 L4/l0+ l1+ l2+ l3+ l4+")
    chicks = cross(bird, bird)
    with pytest.raises(DefinitionError, match="L1 and L2 are linked, but how often they part is not known"):
        chicks.fraction("L0/_ L1/_ L2/_ L3/_ L4/_")
    assert chicks.fraction("L2/L2 L3/L3 L4/L4") == (sympy.Rational(1, 2) * sympy.Rational(9, 10) ** 2) ** 2


# ---- size ------------------------------------------------------------------------------------------------------------

HUNDRED = Species("fowl", loci=[Locus(f"L{n}", f"look {n}", (f"L{n}", f"l{n}+")) for n in range(100)])
SPLIT = HUNDRED.genotype(" ".join(f"L{n}/l{n}+" for n in range(100)))
MANY = cross(SPLIT, SPLIT)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (
            MANY.genotypes,
            r"the answer would have up to about 10\^47 genotypes, more than 1,000,000; ask about fewer loci",
        ),
        (MANY.phenotypes, r"the answer would have up to about 10\^30 looks, more than 1,000,000"),
        (lambda: MANY.genotypes(*(f"L{n}" for n in range(13))), "the answer would have up to 1,594,323 genotypes"),
    ],
)
def test_an_answer_that_would_not_fit_is_refused_before_it_is_worked_out(ask: Any, words: str) -> None:
    with pytest.raises(TooLargeError, match=words) as caught:
        ask()
    assert caught.value.size > caught.value.limit


def test_a_hundred_loci_are_no_obstacle_to_a_question_that_factorises() -> None:
    assert MANY.genotypes("L3", "L50", "L99").ratio() == " : ".join(
        str(2 ** f"{n:03}".count("1"))
        for n in (int(f"{a}{b}{c}") for a in range(3) for b in range(3) for c in range(3))
    )
    assert MANY.fraction(shows={f"look {n}": f"look {n}" for n in range(100)}) == sympy.Rational(3, 4) ** 100
    assert MANY.fraction(" ".join(f"L{n}/_" for n in range(100))) == sympy.Rational(3, 4) ** 100
    assert len(MANY.genotypes(*(f"L{n}" for n in range(9)))) == 3**9


def test_what_is_kept_by_a_pattern_of_many_loci_breeds_on_without_being_multiplied_out() -> None:
    pattern = " ".join(f"L{n}/_" for n in range(40))
    kept = MANY.given(pattern)
    assert kept.fraction("L0/L0") == sympy.Rational(1, 3)
    assert cross(kept, kept).fraction(pattern) == sympy.Rational(8, 9) ** 40


def test_a_look_that_is_sure_is_told_however_many_traits_are_asked() -> None:
    names = [f"look {n}" for n in range(30)]
    kept = MANY.given(shows={name: name for name in names})
    assert kept.phenotypes(*names).ratio() == "1"


def test_twelve_linked_loci_written_out_are_too_many() -> None:
    names = [f"L{n}" for n in range(12)]
    linked = HUNDRED.extended(linkage=Linkage(names, ["0.1"] * 11))
    bird = linked.genotype(" ".join(names) + "/" + " ".join(f"l{n}+" for n in range(12)))
    chicks = cross(bird, bird)
    with pytest.raises(TooLargeError, match="loci that depend on each other give 16,777,216 combinations of gametes"):
        chicks.genotypes(*names)
    assert (
        chicks.fraction(" ".join(f"L{n}/L{n}" for n in range(12)))
        == (sympy.Rational(1, 2) * sympy.Rational(9, 10) ** 11) ** 2
    )
    all_linked = HUNDRED.extended(linkage=Linkage([locus.symbol for locus in HUNDRED.loci], ["0.1"] * 99))
    text = " ".join(f"L{n}" for n in range(100)) + "/" + " ".join(f"l{n}+" for n in range(100))
    chicks = cross(all_linked.genotype(text), all_linked.genotype("+"))
    with pytest.raises(TooLargeError, match="kinds of gametes of one linkage group"):
        chicks.genotypes()


def test_outcomes_that_kept_looks_tie_together_are_counted_as_they_grow(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pinfeather.crosses.observing.LARGEST_ANSWER", 200)
    names = [f"L{n}" for n in range(6)]
    tied = HUNDRED.extended(traits=Trait("all", [(" ".join(f"{name}/_" for name in names), "full"), ("", "not full")]))
    chicks = cross(tied.genotype(str(SPLIT)), tied.genotype(str(SPLIT))).given(shows={"all": "not full"})
    assert len(chicks.genotypes(*names[:3])) == 27
    with pytest.raises(TooLargeError, match="the answer passed 200 different outcomes; ask about fewer loci or traits"):
        chicks.genotypes(*names)


@pytest.mark.parametrize("chromosome", ["autosome", "Z"])
@pytest.mark.parametrize("dam", ["none", "all"])
def test_a_long_group_meets_a_dam_that_is_pure_or_has_single_copies(chromosome: str, dam: str) -> None:
    loci = [Locus(f"L{n}", f"look {n}", (f"L{n}", f"l{n}+"), chromosome=chromosome) for n in range(6)]
    names = [locus.symbol for locus in loci]
    kind = Species("fowl", loci=loci, linkage=Linkage(names, ["0.1"] * 5))
    cock = kind.genotype(" ".join(names) + "/" + " ".join(f"l{n}+" for n in range(6)))
    other = "-" if chromosome == "Z" else "{}"
    hen = "+" if dam == "none" else " ".join(f"{name}/{other.format(name)}" for name in names)
    chicks = cross(cock, kind.genotype(hen, sex="female"))
    full = {f"look {n}": f"look {n}" for n in range(6)}
    one, from_sire = sympy.Rational(1, 1), sympy.Rational(1, 2) * sympy.Rational(9, 10) ** 5
    assert (
        chicks.fraction(shows=full, sex="female")
        == (from_sire if (chromosome, dam) != ("autosome", "all") else one) / 2
    )
    assert chicks.fraction(shows=full, sex="male") == (from_sire if dam == "none" else one) / 2


def test_a_doubtful_parent_mixed_at_many_loci_is_too_much_to_ask_about_them_all() -> None:
    """Its loci are tied by the doubt which bird it is, so a question about all of them would multiply them out."""
    doubtful = Distribution.of({SPLIT: 1, HUNDRED.genotype("+"): 1})
    chicks = cross(doubtful, HUNDRED.genotype("+"))
    with pytest.raises(TooLargeError, match=r"the answer would have up to about 10\^18 kinds of gametes together"):
        chicks.fraction(" ".join(f"L{n}/_" for n in range(60)))
    assert chicks.fraction("L3/_ L50/_ L99/_") == sympy.Rational(1, 16)


def test_couples_that_differ_at_many_loci_are_too_much_to_ask_about_them_all() -> None:
    couples = [(text.with_sex("male"), text.with_sex("female")) for text in (SPLIT, HUNDRED.genotype("+"))]
    chicks = offspring_of_couples(couples, Distribution.of({0: 1, 1: 1}), "Rook x Jay")
    with pytest.raises(TooLargeError, match="combinations of gametes of a couple"):
        chicks.fraction(" ".join(f"L{n}/_" for n in range(60)))
    assert chicks.fraction("L3/_ L99/_") == sympy.Rational(9, 32)


def test_gametes_are_counted_twice_since_chicks_of_either_sex_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(meiosis, "LARGEST_ANSWER", 8)
    assert len(gametes(HUNDRED.genotype("L0/l0+ L1/l1+"))) == 4
    with pytest.raises(TooLargeError, match="up to 16 kinds of gametes, more than 8") as caught:
        gametes(HUNDRED.genotype("L0/l0+ L1/l1+ L2/l2+"))
    assert (caught.value.size, caught.value.limit) == (16, 8)


def test_looks_are_bounded_by_the_genotypes_behind_them() -> None:
    """Three pairs of two alleles, six of three; and each sex may look different."""
    three = Locus("k", "keel", ("K+", "k", "kk"), shows={"K+/_": "keeled", "k/_": "flat", "kk/kk": "bent"})
    pair = Locus("v", "web", ("V+", "v"))
    stock = Species(
        "marsh fowl",
        loci=[three, pair],
        traits=[Trait("gait", [("k/k v/v", "waddles"), ("k/_", "trots"), ("", "walks")])],
    )
    chicks = cross(stock.genotype("K+/k V+/v"), stock.genotype("K+/kk V+/v"))
    assert most_looks(chicks, ["web"]) == 2 * 2
    assert most_looks(chicks, ["keel"]) == 2 * 3
    assert most_looks(chicks, ["web", "keel"]) == 2 * 6
    assert most_looks(chicks, ["web", "keel", "gait"]) == 2 * 18 == 2 * 3 * 6
    assert most_looks(chicks.given(shows={"keel": "flat"}), ["keel"]) == 2
