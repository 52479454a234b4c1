"""Pedigrees, coefficients and effective sizes that others have published.  Sources stand beside each check."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from pinfeather.heredity import Species
from pinfeather.pedigree import (
    Individual,
    Pedigree,
    allele_missed,
    effective_size,
    founder_contributions,
    heterozygosity_kept,
    inbreeding,
    inbreeding_paths,
    kinship,
    kinship_matrix,
)

BIRD = Species("toy fowl")
MAMMAL = Species("toy cattle", sex_system="XY")


def flock(lines: str, species: Species = BIRD) -> Pedigree:
    """A pedigree of lines ``chick = sire x dam``; parents that no line explains are founders."""
    birds = []
    for line in lines.strip().splitlines():
        name, _, parents = line.partition(" = ")
        sire, dam = (None if parent.strip() == "-" else parent.strip() for parent in parents.split(" x "))
        birds.append(Individual(name.strip(), None, sire, dam))
    return Pedigree(species, birds)


def texts(matrix: object, ids: list[str], factor: int = 2) -> list[list[str]]:
    """The matrix of additive relationships, which is twice that of kinships."""
    return [[str(factor * matrix[a, b]) for b in ids] for a in ids]  # type: ignore[index]


RELATIVES = """
sib1 = grandsire x granddam
sib2 = grandsire x granddam
half = grandsire x other
chick = sib1 x mate1
cousin = mate2 x sib2h
sib2h = grandsire x granddam
second1 = chick x mate3
second2 = mate4 x cousinh
cousinh = mate2 x sib2h
double1 = a1 x c1
double2 = a2 x c2
a1 = a x b
a2 = a x b
c1 = c x e
c2 = c x e
"""


@pytest.mark.parametrize(
    ("pair", "value"),
    [
        (("grandsire", "sib1"), "1/4"),  # parent and offspring
        (("grandsire", "chick"), "1/8"),  # grandparent and grandchild
        (("grandsire", "second1"), "1/16"),  # great-grandparent and great-grandchild
        (("sib1", "half"), "1/8"),  # half sibs
        (("sib1", "sib2"), "1/4"),  # full sibs
        (("sib2", "chick"), "1/8"),  # uncle and nephew
        (("chick", "cousin"), "1/16"),  # first cousins
        (("double1", "double2"), "1/8"),  # double first cousins
        (("second1", "second2"), "1/64"),  # second cousins
        (("sib1", "sib1"), "1/2"),  # a bird with itself, as monozygotic twins
    ],
)
def test_kinship_of_common_relatives(pair: tuple[str, str], value: str) -> None:
    """M. Lynch & B. Walsh 1998, Genetics and Analysis of Quantitative Traits, Table 7.1 p. 158."""
    assert str(kinship(flock(RELATIVES), *pair)) == value


ROAN_GAUNTLET = """
ChampionOfEngland = LordRaglan x damCE
Q = LordRaglan x mateLR
Carmine = mateQ x Q
GrandDuke = ChampionOfEngland x damGD
Mimulus = ChampionOfEngland x damMimulus
RoyalDuke = GrandDuke x Mimulus
PrincessRoyal = ChampionOfEngland x Carmine
RoanGauntlet = RoyalDuke x PrincessRoyal
"""


def test_roan_gauntlet() -> None:
    """S. Wright's Shorthorn bull, in Lynch & Walsh 1998, Example 7.1 p. 154-155: F = 0.141, by two paths of four
    animals through Champion of England and two of seven through Lord Raglan; the X-linked coancestry of his parents
    is 1/4.

    The figure was not seen: one unnamed ancestor Q makes the longer path as long as the text says.
    """
    cattle = flock(ROAN_GAUNTLET, MAMMAL)
    coefficients = inbreeding(cattle)
    assert str(coefficients["RoanGauntlet"]) == "9/64"
    assert round(float(coefficients["RoanGauntlet"]), 3) == 0.141
    assert str(coefficients["RoyalDuke"]) == "1/8"
    paths = inbreeding_paths(cattle, "RoanGauntlet")
    assert [(path.ancestor, len(path.path)) for path in paths] == [
        ("ChampionOfEngland", 4),
        ("ChampionOfEngland", 4),
        ("LordRaglan", 7),
        ("LordRaglan", 7),
    ]
    assert sum(path.contribution for path in paths) == coefficients["RoanGauntlet"]
    assert str(kinship(cattle, "RoyalDuke", "PrincessRoyal", chromosome="X")) == "1/4"


def test_relationship_matrix_with_inbreeding_and_an_unknown_parent() -> None:
    """Lynch & Walsh 1998, Example 26.8 p. 775-776.  The line ``1 + 1/8 = 1.25`` is a slip; its matrix has 9/8."""
    animals = flock("3 = 1 x -\n4 = 1 x 2\n5 = 4 x 3", MAMMAL).restricted_to("5")
    assert texts(kinship_matrix(animals), ["1", "2", "3", "4", "5"]) == [
        ["1", "0", "1/2", "1/2", "1/2"],
        ["0", "1", "0", "1/2", "1/4"],
        ["1/2", "0", "1", "1/4", "5/8"],
        ["1/2", "1/2", "1/4", "1", "5/8"],
        ["1/2", "1/4", "5/8", "5/8", "9/8"],
    ]
    assert str(inbreeding(animals)["5"]) == "1/8"


def test_relationship_matrix_without_inbreeding() -> None:
    """Lynch & Walsh 1998, Examples 26.6 and 26.9; rows 4 and 5 of its matrix T are shares of the founders."""
    animals = flock("4 = 1 x 2\n5 = 3 x 2", MAMMAL)
    assert texts(kinship_matrix(animals), ["1", "2", "3", "4", "5"]) == [
        ["1", "0", "0", "1/2", "0"],
        ["0", "1", "0", "1/2", "1/2"],
        ["0", "0", "1", "0", "1/2"],
        ["1/2", "1/2", "0", "1", "1/4"],
        ["0", "1/2", "1/2", "1/4", "1"],
    ]
    assert {k: str(v) for k, v in founder_contributions(animals, ["4"]).items()} == {"1": "1/2", "2": "1/2"}
    assert {k: str(v) for k, v in founder_contributions(animals, ["5"]).items()} == {"2": "1/2", "3": "1/2"}


FULL_SIBS = ["1/4", "3/8", "1/2", "19/32", "43/64", "47/64"]
BACKCROSSES = ["1/4", "3/8", "7/16", "15/32", "31/64", "63/128"]


def sib_line(generations: int) -> Pedigree:
    return flock(
        "\n".join(f"{sex}{g + 1} = m{g} x f{g}" for g in range(generations) for sex in "mf") + "\n"
        f"last = m{generations} x f{generations}"
    )


def test_full_sib_mating() -> None:
    """S. Wright 1921; D. S. Falconer & T. Mackay, Introduction to Quantitative Genetics, Table 5.1:
    .250 .375 .500 .594 .672 .734 (table from memory; the recurrence gives the fractions)."""
    found = inbreeding(sib_line(6))
    series = [found[f"m{generation}"] for generation in range(2, 7)] + [found["last"]]
    assert [str(value) for value in series] == FULL_SIBS
    assert [f"{float(value):.3f}" for value in series] == ["0.250", "0.375", "0.500", "0.594", "0.672", "0.734"]


def test_repeated_backcross_to_one_cock() -> None:
    """Falconer & Mackay, Table 5.1 (from memory): offspring mated to one parent that is not inbred itself."""
    found = inbreeding(flock("\n".join(f"f{generation + 1} = cock x f{generation}" for generation in range(7))))
    assert [str(found[f"f{generation}"]) for generation in range(2, 8)] == BACKCROSSES


def test_mating_to_the_younger_parent_is_full_sib_mating_one_generation_later() -> None:
    """S. Wright 1921 (from memory): the two systems share one recurrence."""
    birds = [Individual("p0", "male"), Individual("p1", "female"), Individual("p2", "male", "p0", "p1")]
    for n in range(3, 9):
        sire, dam = (f"p{n - 1}", f"p{n - 2}") if n % 2 else (f"p{n - 2}", f"p{n - 1}")
        birds.append(Individual(f"p{n}", "male" if n % 2 == 0 else "female", sire, dam))
    found = inbreeding(Pedigree(BIRD, birds))
    assert [str(found[f"p{n}"]) for n in range(3, 9)] == FULL_SIBS


def test_full_sib_recurrence_far_beyond_machine_words() -> None:
    """F'' = (1 + 2 F' + F)/4 (S. Wright 1921), carried to 60 generations in fractions."""
    found = inbreeding(sib_line(60))
    series = [Fraction(0), Fraction(0)]
    for _ in range(59):
        series.append((1 + 2 * series[-1] + series[-2]) / 4)
    assert [str(found[f"m{generation}"]) for generation in range(1, 61)] == [str(value) for value in series[1:]]


HABSBURG = """
MaxI = FredIII x EleanorPort
KunigundeA = FredIII x EleanorPort
PhilipI = MaxI x MaryB
Joanna = FerdinandAr x IsabellaCas
MariaAragon = FerdinandAr x IsabellaCas
ManuelI = FerdViseu x BeatriceP
CharlesV = PhilipI x Joanna
FerdI = PhilipI x Joanna
IsabellaA = PhilipI x Joanna
IsabellaPort = ManuelI x MariaAragon
AnnaBoh = Vladislaus x AnneFoix
ChristianII = HansDenmark x ChristinaSax
ChristinaDK = ChristianII x IsabellaA
FrancisLor = AntoineLor x ReneeBourbon
RenataLor = FrancisLor x ChristinaDK
WilliamIVBav = AlbertIVBav x KunigundeA
MariaJacBaden = PhilipIBaden x ElisPalat
AlbertV = WilliamIVBav x MariaJacBaden
AnnaAus1528 = FerdI x AnnaBoh
WilliamV = AlbertV x AnnaAus1528
MariaAnnaBav1551 = AlbertV x AnnaAus1528
CharlesStyria = FerdI x AnnaBoh
MaxII = FerdI x AnnaBoh
MariaSpain = CharlesV x IsabellaPort
PhilipII = CharlesV x IsabellaPort
AnnaAus1549 = MaxII x MariaSpain
PhilipIII = PhilipII x AnnaAus1549
FerdII = CharlesStyria x MariaAnnaBav1551
MargaretAus = CharlesStyria x MariaAnnaBav1551
MariaAnnaBav1574 = WilliamV x RenataLor
FerdIII = FerdII x MariaAnnaBav1574
PhilipIV = PhilipIII x MargaretAus
MariaAnnaSp = PhilipIII x MargaretAus
Mariana = FerdIII x MariaAnnaSp
CharlesII = PhilipIV x Mariana
"""


def test_charles_the_second_of_spain() -> None:
    """G. Alvarez, F. C. Ceballos & C. Quinteiro 2009, PLoS ONE 4:e5174: F = 0.254 from 16 generations.

    The pedigree here has 51 persons, from general history (from memory), so that its F must be smaller; the
    exact value was worked out apart from this library.
    """
    people = flock(HABSBURG, MAMMAL)
    found = inbreeding(people)
    assert len(people) == 51
    assert str(found["CharlesII"]) == "3905/16384"
    assert 0.2 < float(found["CharlesII"]) < 0.254
    assert str(found["Mariana"]) == "1161/8192"
    assert str(found["PhilipIV"]) == "95/1024"
    assert str(found["PhilipIII"]) == "23/128"
    assert str(found["PhilipII"]) == "1/16"
    assert sum(path.contribution for path in inbreeding_paths(people, "CharlesII")) == found["CharlesII"]


@pytest.mark.parametrize(
    ("parent", "chick", "in_mammals", "in_birds"),
    [
        ("dam", "daughter", "1/4", "0"),
        ("dam", "son", "1/2", "1/2"),
        ("sire", "daughter", "1/2", "1/2"),
        ("sire", "son", "0", "1/4"),
    ],
)
def test_sex_linked_kinship_of_parent_and_offspring(parent: str, chick: str, in_mammals: str, in_birds: str) -> None:
    """Rules: Lynch & Walsh 1998 p. 154, and M. Grossman & E. J. Eisen 1989, J. Heredity (abstract) for poultry; the
    single gene of a hemizygous animal is drawn for certain."""
    birds = [Individual("son", "male", "sire", "dam"), Individual("daughter", "female", "sire", "dam")]
    assert str(kinship(Pedigree(MAMMAL, birds), parent, chick, chromosome="X")) == in_mammals
    assert str(kinship(Pedigree(BIRD, birds), parent, chick, chromosome="Z")) == in_birds


def test_a_sex_linked_gene_swings_between_the_sexes() -> None:
    """J. H. Gillespie, Population Genetics: A Concise Guide, problem 1.7: a gene that only the sex with two copies has
    at first has the frequencies 1, .5, .75, .625, .6875, .65625, .671875 in that sex, and those of the generation
    before in the other.  The share of a founding cock in the Z chromosomes of his line goes the same way."""
    line = sib_line(6)

    def share(name: str) -> str:
        return str(founder_contributions(line, [name], chromosome="Z").get("m0", 0))

    cocks = [share(f"m{generation}") for generation in range(7)]
    assert cocks == ["1", "1/2", "3/4", "5/8", "11/16", "21/32", "43/64"]
    assert [share(f"f{generation}") for generation in range(7)] == ["0", *cocks[:-1]]


def test_effective_size_with_unequal_sexes() -> None:
    """Table 1 of a paper on numbers of parents (the journal is not named in the copy read): 50 males, 50 to 500
    females.
    The formula is S. Wright's, 1931, Genetics 16:97-159 (from memory)."""
    sizes = [effective_size(50, females) for females in range(50, 501, 50)]
    printed = ["100.0", "133.3", "150.0", "160.0", "166.7", "171.4", "175.0", "177.8", "180.0", "181.8"]
    assert [f"{float(size):.1f}" for size in sizes] == printed
    assert str(sizes[1]) == "400/3"


def test_loss_of_a_rare_allele_among_founders() -> None:
    """(1 - p)^2N: R. Frankham, J. D. Ballou & D. A. Briscoe; F. W. Allendorf & G. Luikart (both from memory)."""
    assert str(allele_missed("0.05", 1, 1)) == "130321/160000"
    assert str(allele_missed("0.05", 2, 3)) == "6131066257801/10240000000000"
    assert str(allele_missed("0.10", 5, 5)) == "12157665459056928801/100000000000000000000"
    assert round(float(allele_missed("0.10", 20, 30)), 10) == 2.65614e-05


def test_decay_of_heterozygosity() -> None:
    """(1 - 1/2N)^t with N = 10, t = 10 (same textbooks, from memory)."""
    assert str(heterozygosity_kept(10, 10)) == "6131066257801/10240000000000"


def test_an_autosomal_chick_of_pooled_parents_grows_inbred_as_effective_size_foretells() -> None:
    """With every bird a possible parent of every chick, expected kinship follows the ideal flock of S. Wright 1931:
    what is left of 1 - F falls by 1/(2 N) a generation, nearly (from memory)."""
    for cocks, hens in ((2, 4), (1, 6), (3, 3)):
        birds = [Individual(f"m0.{n}", "male") for n in range(cocks)]
        birds += [Individual(f"f0.{n}", "female") for n in range(hens)]
        for generation in range(1, 16):
            sires = {f"m{generation - 1}.{n}": f"1/{cocks}" for n in range(cocks)}
            dams = {f"f{generation - 1}.{n}": f"1/{hens}" for n in range(hens)}
            birds += [Individual(f"m{generation}.{n}", "male", sires, dams) for n in range(cocks)]
            birds += [Individual(f"f{generation}.{n}", "female", sires, dams) for n in range(hens)]
        found = inbreeding(Pedigree(BIRD, birds))
        left = [1 - float(found[f"m{generation}.0"]) for generation in range(10, 16)]
        falls = [1 - after / before for before, after in pairwise(left)]
        size = float(effective_size(cocks, hens))
        # The ideal flock's rate is 1/(2 N + 1) to first order where no bird can mate with itself.
        assert falls[-1] == pytest.approx(1 / (2 * size + 1), rel=0.02)
