"""Mates from one's own flock: judged by what suspect and mate may be together, and by what the hatch would teach."""

from __future__ import annotations

from fractions import Fraction
from math import comb

import pytest

from pinfeather import (
    ArgumentError,
    Hatch,
    ImpossibleError,
    Individual,
    Locus,
    Pedigree,
    Species,
    UnknownSymbolError,
    genotype_probabilities,
    load_fowl,
)
from pinfeather.exact.numbers import exact
from pinfeather.plans import plan_test_mating, rank_test_mates

TOY = Species("toy fowl", loci=[Locus("lav", "lavender", ("Lav+", "lav"))])
CLEAN = {"lavender": "not lavender"}


def flock() -> Pedigree:
    birds = [
        Individual("Rook", "male", shows=CLEAN),
        Individual("Dove", "female", shows=CLEAN),
        Individual("Merle", "female", genotype="Lav+/Lav+"),
        Individual("Finch", "female", shows={"lavender": "lavender"}),
        Individual("Jay", "male", "Rook", "Dove", shows=CLEAN),
        Individual("Wren", "female", "Rook", "Dove", shows=CLEAN),
        Individual("Tit", "female", "Jay", "Merle", shows=CLEAN),
        Individual("Siskin", "female", "Rook", "Finch", shows=CLEAN),
    ]
    return Pedigree(TOY, birds, [Hatch("first", "Rook", "Dove", [(CLEAN, 3)])])


def as_fraction(value: object) -> Fraction:
    return Fraction(str(value))


def impurity(pedigree: Pedigree) -> Fraction:
    shares = [as_fraction(p) for p in genotype_probabilities(pedigree, "lav").carriers("lav").values()]
    return sum((2 * p * (1 - p) for p in shares), Fraction(0))


@pytest.mark.parametrize("mate", ["Dove", "Finch", "Wren", "Siskin", "Tit"])
def test_a_lesson_is_what_recording_every_possible_hatch_would_teach_on_average(mate: str) -> None:
    """The other way round: write each outcome into the records, and look how uncertain the flock then is."""
    chicks = 3
    before = genotype_probabilities(flock(), "lav")
    row = rank_test_mates(before, "Jay", "lav", chicks=chicks)[mate]
    after = Fraction(0)
    certain = Fraction(0)
    for lavender in range(chicks + 1):
        counts = [({"lavender": "lavender"}, lavender), (CLEAN, chicks - lavender)]
        recorded = flock().adding(hatches=[Hatch("test", "Jay", mate, counts)])
        share = as_fraction(
            genotype_probabilities(recorded, "lav").probability_of_records / before.probability_of_records
        )
        chance = comb(chicks, lavender) * share
        certain += chance
        after += chance * impurity(recorded)
    assert certain == 1
    assert as_fraction(row.teaches) == impurity(flock()) - after
    assert row.teaches == sum(row.lesson.of(bird) for bird in flock().ids)


def test_a_mate_is_judged_as_if_the_hatch_had_been_recorded() -> None:
    """The chance that a carrier is still hidden after clean chicks, from the records with those chicks added."""
    ranking = rank_test_mates(genotype_probabilities(flock(), "lav"), "Jay", "lav", teach=False)
    for mate in ("Dove", "Wren", "Siskin"):
        recorded = flock().adding(hatches=[Hatch("test", "Jay", mate, [(CLEAN, 4)])])
        still = genotype_probabilities(recorded, "lav").carriers("lav")["Jay"]
        assert ranking[mate].plan.row(4).posterior == 1 - still


def test_an_own_daughter_by_a_clean_dam_hides_half_of_all_carriers() -> None:
    """One daughter of a cock and a clean hen: 1/2 + 1/2 (3/4)**k, never below a half."""
    ranking = rank_test_mates(genotype_probabilities(flock(), "lav"), "Jay", "lav", ["Tit", "Finch"])
    assert [row.mate for row in ranking] == ["Finch", "Tit"]
    assert (ranking["Tit"].never_below, ranking["Tit"].chicks) == (exact("1/2"), None)
    by_rule = plan_test_mating(TOY, "Lav+/lav", "own daughters", chicks_per_mate="all")
    assert ranking["Tit"].plan.row(5).hidden == by_rule.row(5).hidden


def test_the_order_is_by_clean_chicks_then_by_how_seldom_a_carrier_hides() -> None:
    ranking = rank_test_mates(genotype_probabilities(flock(), "lav"), "Jay", "lav")
    assert ranking.best.mate == "Finch"
    assert ranking.best.chicks == 5
    assert ranking[1].mate == "Siskin"
    assert ranking[1].chicks == 11
    hiding = [row.never_below for row in ranking[2:] if row.plan is not None]
    assert hiding == sorted(hiding)
    assert ranking[-1].mate == "Merle"
    assert ranking[-1].plan is None
    assert "no chick of hers could look otherwise" in ranking["Merle"].reason
    assert ranking.most_instructive.teaches == max(row.teaches for row in ranking)


def test_a_cock_suspected_on_the_z_is_ranked_by_daughters() -> None:
    fowl = load_fowl()
    birds = [Individual("Coal", "male", genotype="B/_"), Individual("Magpie", "female", genotype="B/-")]
    row = rank_test_mates(genotype_probabilities(Pedigree(fowl, birds), "B"), "Coal", "b+").best
    assert row.plan is not None
    assert (row.plan.counted, row.chicks, row.eggs) == ("daughters", 5, 11)


def test_the_ranking_is_shown_as_text_html_and_plain_records() -> None:
    ranking = rank_test_mates(genotype_probabilities(flock(), "lav"), "Jay", "lav", fertility="4/5")
    assert "Does Jay carry lav?" in str(ranking)
    assert "Gini" in str(ranking)
    assert ">Finch</" in ranking._repr_html_()
    assert ranking.to_records()[0]["chicks"] == 5
    assert ranking.best.eggs == next(n for n in range(99) if Fraction(3, 5) ** n <= Fraction(1, 20))


def test_progress_is_reported_mate_by_mate() -> None:
    seen: list[tuple[int, int]] = []
    rank_test_mates(
        genotype_probabilities(flock(), "lav"),
        "Jay",
        "lav",
        ["Finch", "Wren"],
        on_progress=lambda done, total: seen.append((done, total)),
    )
    assert seen == [(1, 2), (2, 2)]


@pytest.mark.parametrize(
    ("suspect", "allele", "mates", "error", "words"),
    [
        ("Robin", "lav", None, UnknownSymbolError, "no bird 'Robin'"),
        ("Jay", "b", None, UnknownSymbolError, "no allele 'b'"),
        ("Jay", "lav", ["Rook"], ImpossibleError, "Rook stands among the mates"),
        ("Jay", "lav", ["Robin"], UnknownSymbolError, "no bird 'Robin'"),
        ("Jay", "lav", ["Merle"], ImpossibleError, "can tell anything of Jay"),
        ("Finch", "lav", None, ImpossibleError, "Finch carries lav"),
        ("Merle", "lav", None, ImpossibleError, "does not carry"),
    ],
)
def test_what_cannot_be_ranked_is_refused(
    suspect: str, allele: str, mates: list[str] | None, error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        rank_test_mates(genotype_probabilities(flock(), "lav"), suspect, allele, mates)


def test_float_arithmetic_is_refused() -> None:
    known = genotype_probabilities(flock(), "lav", arithmetic="float")
    with pytest.raises(ArgumentError, match="exact"):
        rank_test_mates(known, "Jay", "lav")
