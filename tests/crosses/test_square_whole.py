"""Whole squares, as a reader sees them; the figures were worked out by hand."""

from __future__ import annotations

from pinfeather import cross
from pinfeather.crosses.handing import most_gametes
from pinfeather.crosses.showing import in_one_line
from pinfeather.heredity import Genotype
from tests.hand_made import fowl


def cock(text: str) -> Genotype:
    return fowl().genotype(text, sex="male")


def hen(text: str) -> Genotype:
    return fowl().genotype(text, sex="female")


LETHAL_AND_SEX_LINKED = """\
sire \\ dam  | Cp S  1/4    | cp+ S  1/4   | Cp -  1/4    | cp+ -  1/4
------------+--------------+--------------+--------------+-------------
Cp s+  1/2  | Cp/Cp S/s+ † | Cp/cp+ S/s+  | Cp/Cp s+/- † | Cp/cp+ s+/-
            | male         | male         | female       | female
            | silver       | silver       | gold         | gold
------------+--------------+--------------+--------------+-------------
cp+ s+  1/2 | Cp/cp+ S/s+  | cp+/cp+ S/s+ | Cp/cp+ s+/-  | cp+/cp+ s+/-
            | male         | male         | female       | female
            | silver       | silver       | gold         | gold
Each cell is 1/8 of the fertilised eggs.
† : all die before hatch.
Cp/Cp: all die before hatch (dies about day 4).
Follow your local animal-welfare law and ask a veterinarian.
- : such an egg brings no Z, and its chick is female.
The square shows the whole mating; the chicks kept from it: female.
"""

LINKED = """\
sire \\ dam   | p+ o+  1
-------------+------------
P O  12/25   | P O/p+ o+
             | pea
             | 12/25
-------------+------------
P o+  1/50   | P/p+ o+/o+
             | pea
             | 1/50
-------------+------------
p+ O  1/50   | p+/p+ O/o+
             | single
             | 1/50
-------------+------------
p+ o+  12/25 | p+/p+ o+/o+
             | single
             | 12/25
Fractions are of all fertilised eggs.
"""

CLASSES = """\
sire \\ dam | Lav+  2/3 | lav  1/3
-----------+-----------+---------
Lav+  2/3  | Lav+/Lav+ | Lav+/lav
           | 4/9       | 2/9
-----------+-----------+---------
lav  1/3   | Lav+/lav  | lav/lav
           | 2/9       | 1/9
Fractions are of all fertilised eggs.
The sire and the dam are each one of a class of birds; the fractions beside the gametes are those of
    the class.
"""


def test_a_square_with_a_lethal_and_a_sex_linked_locus_reads_as_a_whole() -> None:
    kept = cross(cock("Cp/cp+ s+/s+"), hen("Cp/cp+ S/-")).given(sex="female")
    assert f"{kept.square().showing('silver')}\n" == LETHAL_AND_SEX_LINKED


def test_a_square_of_linked_loci_reads_as_a_whole() -> None:
    chicks = cross(cock("P O/p+ o+"), hen("Po/po+"))
    assert f"{chicks.square('P', 'O').showing('comb')}\n" == LINKED


def test_a_square_of_birds_kept_by_look_reads_as_a_whole() -> None:
    kept = cross(cock("Lav+/lav"), hen("Lav+/lav")).given(shows={"lavender": "not lavender"})
    assert f"{cross(kept, kept).square()}\n" == CLASSES
    assert cross(kept, hen("+")).square().legend[-1] == (
        "The sire is one of a class of birds; the fractions beside the gametes are those of the class."
    )
    assert cross(cock("+"), kept).square().legend[-1].startswith("The dam is one of a class")


def test_gametes_of_a_hen_are_counted_for_chicks_of_either_sex() -> None:
    chicks = cross(cock("S/s+ R/r+"), hen("s+/- R/r+"))
    places = [fowl().place_of(symbol) for symbol in ("R", "S")]
    assert most_gametes(chicks.couple.sire, places) == 4
    assert most_gametes(chicks.couple.dam, places) == 4
    assert most_gametes(chicks.couple.dam, places[:1]) == 2


def test_two_looks_are_told_as_one_or_the_other_and_three_in_a_row() -> None:
    blues = cross(cock("Bl/bl+"), hen("Bl/bl+")).phenotypes("blue")
    assert in_one_line(blues) == "splash (1/4), blue (1/2), black (1/4)"
    assert in_one_line(blues.given(lambda look: look["blue"] != "blue")) == "splash (1/2) or black (1/2)"
    assert in_one_line(blues.given("blue")) == "blue"
