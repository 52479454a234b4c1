"""Published segregation ratios and counts, each through a real cross of a species defined for it.

Beside each check stand author, year and work, the figure as it was printed, and a verdict on the printed figure:
OK; ROUNDED (right up to rounding); WRONG (a slip of the print, with the reason).  Counts are those of the source; the
counts that were not seen in the source itself say "from memory".

The two works met most often, in full: G. Mendel 1866, Versuche über Pflanzen-Hybriden, Verhandlungen des
naturforschenden Vereines in Brünn 4:3-47; C. B. Davenport 1909, Inheritance of Characteristics in Domestic Fowl,
Carnegie Institution of Washington, Publication 121.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import pytest

from pinfeather import Locus, Offspring, Species, Trait, Viability, cross, gametes


def simple(name: str, *symbols: str) -> Species:
    """A species with loci of a dominant wild type and a recessive form each: A+ over a."""
    return Species(name, loci=[Locus(s, f"look of {s}", (f"{s.upper()}+", s)) for s in symbols])


def looks(chicks: Offspring, *traits: str) -> dict[str, Fraction]:
    """The fraction of each look, as plain fractions by the text the look prints as."""
    return {str(look): plain(value) for look, value in chicks.phenotypes(*traits).items()}


def plain(value: Any) -> Fraction:
    """An exact probability as a plain fraction; anything but a rational number fails."""
    assert value.is_Rational
    return Fraction(int(value.p), int(value.q))


def expected(fractions: Mapping[str, Fraction], counts: Mapping[str, int]) -> dict[str, Fraction]:
    """The counts to be expected in as large a hatch."""
    total = sum(counts.values())
    return {look: total * share for look, share in fractions.items()}


def chi_square(fractions: Mapping[str, Fraction], counts: Mapping[str, int]) -> Fraction:
    """Pearson's sum, in plain fractions: it pins down both the counts and the fractions they are held against."""
    return sum(((counts.get(look, 0) - e) ** 2 / e for look, e in expected(fractions, counts).items()), Fraction(0))


# -- Mendel's peas -----------------------------------------------------------------------------------------------------
# A pea has no sexes to tell apart; here the pollen parent stands as sire and the seed parent as dam.

SEVEN = {
    # trait: (symbol, dominant form, recessive form, dominant count, recessive count, expected, ratio as printed)
    "seed shape": ("a", "round", "wrinkled", 5474, 1850, ("5493", "1831"), "2.96"),
    "seed colour": ("b", "yellow", "green", 6022, 2001, ("24069/4", "8023/4"), "3.01"),
    "seed-coat colour": ("c", "grey-brown", "white", 705, 224, ("2787/4", "929/4"), "3.15"),
    "pod shape": ("d", "inflated", "constricted", 882, 299, ("3543/4", "1181/4"), "2.95"),
    "pod colour": ("e", "green", "yellow", 428, 152, ("435", "145"), "2.82"),
    "flower position": ("f", "axial", "terminal", 651, 207, ("1287/2", "429/2"), "3.14"),
    "stem length": ("g", "long", "short", 787, 277, ("798", "266"), "2.84"),
}
PEA = Species(
    "garden pea",
    sex_system="XY",
    loci=[
        Locus(
            symbol,
            trait,
            (f"{symbol.upper()}+", symbol),
            shows={f"{symbol.upper()}+/_": dominant, f"{symbol}/{symbol}": recessive},
        )
        for trait, (symbol, dominant, recessive, *_) in SEVEN.items()
    ],
)


@pytest.mark.parametrize("trait", SEVEN)
def test_each_of_mendels_seven_hybrids_gives_three_dominants_to_one_recessive(trait: str) -> None:
    """Mendel 1866, experiments 1 to 7; ratios as printed to two decimals: OK."""
    symbol, dominant, recessive, many, few, counts, printed = SEVEN[trait]
    hybrid = PEA.genotype(f"{symbol.upper()}+/{symbol}")
    seeds = looks(cross(hybrid, hybrid), trait)
    assert seeds == {dominant: Fraction(3, 4), recessive: Fraction(1, 4)}
    found = expected(seeds, {dominant: many, recessive: few})
    assert found == {dominant: Fraction(counts[0]), recessive: Fraction(counts[1])}
    assert abs(Fraction(many, few) - Fraction(printed)) <= Fraction(1, 200)


def test_the_seven_hybrids_together_come_to_2_98_to_1() -> None:
    """Mendel 1866, where the mean of all experiments is printed as 2.98 : 1: OK (14949 : 5010)."""
    many, few = (sum(row[at] for row in SEVEN.values()) for at in (3, 4))  # type: ignore[misc]
    assert (many, few) == (14949, 5010)
    assert Fraction(many, few) == Fraction(4983, 1670)
    assert abs(Fraction(many, few) - Fraction("2.98")) <= Fraction(1, 200)
    hybrids = [PEA.genotype(f"{row[0].upper()}+/{row[0]}") for row in SEVEN.values()]
    shares = [cross(h, h).fraction(f"{row[0]}/{row[0]}") for h, row in zip(hybrids, SEVEN.values(), strict=True)]
    assert {plain(share) for share in shares} == {Fraction(1, 4)}


def test_mendels_hybrid_of_two_differences_gives_nine_three_three_one() -> None:
    """Mendel 1866, 556 seeds of 15 plants; 9 : 3 : 3 : 1 as printed: OK.

    A later reprint of the counts (Morgan 1903) swaps the two middle classes; the fractions don't mind.
    """
    hybrid = PEA.genotype("A+/a B+/b")
    seeds = cross(hybrid, hybrid).phenotypes("seed shape", "seed colour")
    assert seeds.ratio() == "9 : 3 : 3 : 1"
    counts = {"round, yellow": 315, "round, green": 108, "wrinkled, yellow": 101, "wrinkled, green": 32}
    fractions = {str(look): plain(share) for look, share in seeds.items()}
    assert expected(fractions, counts) == {
        "round, yellow": Fraction(1251, 4),
        "round, green": Fraction(417, 4),
        "wrinkled, yellow": Fraction(417, 4),
        "wrinkled, green": Fraction(139, 4),
    }
    assert chi_square(fractions, counts) == Fraction(196, 417)


FAMILIES = {
    # (pollen parent, seed parent): offspring by genotype, in the order in which the four kinds are printed
    ("A+/a B+/b", "A+/A+ B+/B+"): {"A+/A+ B+/B+": 20, "A+/A+ B+/b": 23, "A+/a B+/B+": 25, "A+/a B+/b": 22},
    ("A+/A+ B+/B+", "A+/a B+/b"): {"A+/A+ B+/B+": 25, "A+/A+ B+/b": 19, "A+/a B+/B+": 22, "A+/a B+/b": 21},
    ("A+/a B+/b", "a/a b/b"): {"A+/a B+/b": 31, "A+/a b/b": 26, "a/a B+/b": 27, "a/a b/b": 26},
    ("a/a b/b", "A+/a B+/b"): {"A+/a B+/b": 24, "A+/a b/b": 25, "a/a B+/b": 22, "a/a b/b": 27},
    # flower colour and stem length
    ("C+/c g/g", "c/c G+/g"): {"C+/c G+/g": 47, "c/c G+/g": 40, "C+/c g/g": 38, "c/c g/g": 41},
}
FAMILY_EXPECTATION = ["45/2", "87/4", "55/2", "49/2", "83/2"]


@pytest.mark.parametrize(("parents", "each"), list(zip(FAMILIES, FAMILY_EXPECTATION, strict=True)))
def test_mendels_test_crosses_give_four_kinds_in_equal_numbers(parents: tuple[str, str], each: str) -> None:
    """Mendel 1866, the gametes of the hybrids tested both ways round; equal numbers expected, as printed: OK."""
    counts = FAMILIES[parents]
    sire, dam = (PEA.genotype(text) for text in parents)
    kinds = cross(sire, dam).genotypes()
    assert len(kinds) == 4
    assert {kind: plain(kinds[kind]) for kind in counts} == dict.fromkeys(counts, Fraction(1, 4))
    assert sum(counts.values()) * plain(kinds[next(iter(counts))]) == Fraction(each)


def test_mendels_five_families_together_fit_with_chi_square_3_6730() -> None:
    """Mendel's counts of 1866; R. A. Fisher 1936, Annals of Science 1:115, prints 3.6730 (from memory): ROUNDED."""
    total = sum(
        (
            chi_square({kind: plain(cross(*map(PEA.genotype, parents)).fraction(kind)) for kind in counts}, counts)
            for parents, counts in FAMILIES.items()
        ),
        Fraction(0),
    )
    assert total == Fraction(214435021, 58381785)
    assert abs(total - Fraction("3.6730")) < Fraction(1, 20000)


def test_a_cross_to_the_double_dominant_looks_dominant_throughout() -> None:
    """Mendel 1866: the first-year seeds, 98 and 94, were all round and yellow: OK."""
    hybrid, dominant = PEA.genotype("A+/a B+/b"), PEA.genotype("A+/A+ B+/B+")
    for chicks in (cross(hybrid, dominant), cross(dominant, hybrid)):
        assert looks(chicks, "seed shape", "seed colour") == {"round, yellow": Fraction(1)}


@pytest.mark.parametrize("n", [1, 2, 3, 4, 7])
def test_n_differences_give_mendels_powers_of_two_three_and_four(n: int) -> None:
    """Mendel 1866: 3^n kinds by genotype, 4^n in the full series, 2^n that breed true.

    He prints 81, 256 and 16 for n = 4, and 128 forms for n = 7: OK.
    """
    symbols = "abcdefg"[:n]
    species = simple("pea", *symbols)
    hybrid = species.genotype(" ".join(f"{s.upper()}+/{s}" for s in symbols))
    chicks = cross(hybrid, hybrid)
    kinds = chicks.genotypes()
    whole = [int(part) for part in kinds.ratio().split(" : ")]
    true_breeding = [kind for kind in kinds if not any(kind.is_heterozygous(s) for s in symbols)]
    assert len(gametes(hybrid, "male")) == len(gametes(hybrid, "female")) == 2**n
    assert len(kinds) == 3**n
    assert sum(whole) == 4**n
    assert len(true_breeding) == 2**n
    assert len(chicks.phenotypes()) == 2**n
    assert {plain(kinds[kind]) for kind in true_breeding} == {Fraction(1, 4**n)}
    printed = {4: (81, 256, 16), 7: (None, None, 128)}
    for told, found in zip(printed.get(n, ()), (len(kinds), sum(whole), len(true_breeding)), strict=False):
        assert told in (None, found)


# -- white, black and game in Davenport's fowl -----------------------------------------------------------------------

SILKIE_MINORCA = Species(
    "fowl, Silkie x Minorca",
    loci=[Locus("C", "colour", ("C+", "c")), Locus("N", "black", ("N", "n+"))],
    traits=[Trait("plumage", [("c/c", "white"), ("N/_", "black"), ("", "game")])],
)


def test_silkie_by_minorca_gives_nine_black_four_white_three_game() -> None:
    """Davenport 1909, tables 57 and 58 (362 chicks); the expectation is printed 205 : 90 : 67: WRONG.

    Exactly it is 203.625 : 90.5 : 67.875.  The printed 205 blacks are 116 and 89, the two pens each rounded up.
    """
    f1 = cross(SILKIE_MINORCA.genotype("c/c"), SILKIE_MINORCA.genotype("N/N"))
    assert looks(f1, "plumage") == {"black": Fraction(1)}
    bird = SILKIE_MINORCA.genotype("C+/c N/n+")
    fractions = looks(cross(bird, bird), "plumage")
    assert fractions == {"white": Fraction(4, 16), "black": Fraction(9, 16), "game": Fraction(3, 16)}
    counts = {"black": 210, "white": 95, "game": 57}
    exact = expected(fractions, counts)
    assert exact == {"black": Fraction(1629, 8), "white": Fraction(181, 2), "game": Fraction(543, 8)}
    assert chi_square(fractions, counts) == Fraction(392, 181)
    printed = {"black": 205, "white": 90, "game": 67}
    assert exact["black"] < printed["black"] - 1
    assert all(abs(exact[look] - printed[look]) < 1 for look in ("white", "game"))


def test_the_f2_blacks_and_whites_of_that_cross_go_on_as_they_must() -> None:
    """Arithmetic on the same scheme (Davenport 1909, p. 74): blacks of C/C N/n give 3 : 1, whites breed true."""
    bird = SILKIE_MINORCA.genotype("C+/C+ N/n+")
    assert looks(cross(bird, bird), "plumage") == {"black": Fraction(3, 4), "game": Fraction(1, 4)}
    white = cross(SILKIE_MINORCA.genotype("C+/c N/n+"), SILKIE_MINORCA.genotype("C+/c N/n+"))
    whites = white.given(shows={"plumage": "white"})
    assert looks(cross(whites, whites), "plumage") == {"white": Fraction(1)}


SILKIE_LEGHORN = Species(
    "fowl, Silkie x White Leghorn",
    loci=[
        Locus("C", "colour", ("C+", "c")),
        Locus("N", "black", ("N", "n+")),
        Locus("W", "dominant white", ("W", "w+")),
    ],
    traits=[
        Trait("plumage", [("c/c", "white"), ("W/_", "white"), ("N/N", "black"), ("", "game")]),
        Trait(
            "red in white",
            [
                ("c/c", "white"),
                ("W/W", "white"),
                ("W/w+ N/N", "white"),
                ("W/w+", "white and red"),
                ("N/N", "black"),
                ("", "game"),
            ],
        ),
    ],
)


def test_silkie_by_white_leghorn_gives_fifty_two_white_nine_game_three_black() -> None:
    """Davenport 1909, tables 59 and 60 (85 chicks); expectation printed 69 : 12 : 4, split 34 : 18 : 9 : 3: ROUNDED.

    His own map from genotype to look: here a bird with one black factor is game, in tables 57 and 58 it is black.
    """
    bird = SILKIE_LEGHORN.genotype("C+/c N/n+ W/w+")
    chicks = cross(bird, bird)
    fractions = looks(chicks, "plumage")
    assert fractions == {"white": Fraction(52, 64), "black": Fraction(3, 64), "game": Fraction(9, 64)}
    split = looks(chicks, "red in white")
    assert {look: 64 * share for look, share in split.items()} == {
        "white": 34,
        "white and red": 18,
        "game": 9,
        "black": 3,
    }
    counts = {"white": 68, "game": 16, "black": 1}
    exact = expected(fractions, counts)
    assert exact == {"white": Fraction(1105, 16), "game": Fraction(765, 64), "black": Fraction(255, 64)}
    assert {look: round(value) for look, value in exact.items()} == {"white": 69, "black": 4, "game": 12}
    assert chi_square(fractions, counts) == Fraction(36019, 9945)


def test_dominant_white_gives_three_white_to_one_black() -> None:
    """Davenport 1909, p. 77, White Leghorn by Black Minorca (154 chicks); printed 115.5 : 38.5: OK."""
    species = Species("fowl", loci=[Locus("W", "white", ("W", "w+"), shows={"W/_": "white", "w+/w+": "black"})])
    bird = species.genotype("W/w+")
    fractions = looks(cross(bird, bird), "white")
    assert fractions == {"white": Fraction(3, 4), "black": Fraction(1, 4)}
    counts = {"white": 116, "black": 38}
    assert expected(fractions, counts) == {"white": Fraction("115.5"), "black": Fraction("38.5")}
    assert chi_square(fractions, counts) == Fraction(2, 231)
    # The same F1 to the White Leghorn gave 41 white (one of them flecked) and no black.
    assert looks(cross(bird, species.genotype("W/W")), "white") == {"white": Fraction(1)}


def test_dominant_white_by_recessive_white_gives_thirteen_white_to_three_coloured() -> None:
    """R. C. Punnett 1911, Mendelism, 3rd edition, figure 13 and pp. 73-74; 12 + 1 whites to 3 as printed: OK."""
    species = Species(
        "fowl",
        loci=[Locus("C", "colour", ("C+", "c")), Locus("I", "inhibitor", ("I", "i+"))],
        traits=[Trait("plumage", [("I/_", "white"), ("c/c", "white"), ("", "coloured")])],
    )
    f1 = cross(species.genotype("I/I"), species.genotype("c/c"))
    assert looks(f1, "plumage") == {"white": Fraction(1)}
    f2 = cross(f1, f1)
    assert looks(f2, "plumage") == {"white": Fraction(13, 16), "coloured": Fraction(3, 16)}
    cells = [16 * plain(f2.fraction(pattern)) for pattern in ("I/_", "C+/_ i+/i+", "c/c i+/i+")]
    assert cells == [12, 3, 1]


# -- sweet peas, cattle, mice, creepers ------------------------------------------------------------------------------


def test_two_complementary_whites_give_nine_coloured_to_seven() -> None:
    """W. Bateson 1909, Mendel's Principles of Heredity, p. 149, sweet peas; 9 : 7 and 27 : 9 : 28 as printed: OK.

    The counts 382 : 269 of 651 (Bateson and Punnett) are from memory.
    """
    species = Species(
        "sweet pea",
        sex_system="XY",
        loci=[Locus(s, f"factor {s}", (f"{s.upper()}+", s)) for s in ("c", "r", "b")],
        traits=[
            Trait("pigment", [("C+/_ R+/_", "coloured"), ("", "white")]),
            Trait("flower", [("C+/_ R+/_ B+/_", "purple"), ("C+/_ R+/_", "red"), ("", "white")]),
        ],
    )
    f1 = cross(species.genotype("c/c"), species.genotype("r/r b/b"))
    assert looks(f1, "flower") == {"purple": Fraction(1)}
    f2 = cross(f1, f1)
    fractions = looks(f2, "pigment")
    assert fractions == {"coloured": Fraction(9, 16), "white": Fraction(7, 16)}
    assert looks(f2, "flower") == {
        "purple": Fraction(27, 64),
        "red": Fraction(9, 64),
        "white": Fraction(28, 64),
    }
    counts = {"coloured": 382, "white": 269}
    assert expected(fractions, counts) == {"coloured": Fraction(5859, 16), "white": Fraction(4557, 16)}
    assert chi_square(fractions, counts) == Fraction(64009, 41013)


SHORTHORN = Species(
    "Shorthorn cattle",
    sex_system="XY",
    loci=[
        Locus(
            "R",
            "coat",
            ("R+", "r"),
            dominance="codominant",
            shows={"R+/R+": "red", "R+/r": "roan", "r/r": "white"},
        )
    ],
)
COATS = {"red": "R+/R+", "roan": "R+/r", "white": "r/r"}
SHORTHORN_MATINGS: dict[tuple[str, str], tuple[tuple[int | str, ...], tuple[int, ...]]] = {
    # (sire, dam): fractions of red, roan, white; counts of red, roan, white in the herd book
    ("red", "red"): ((1, 0, 0), (413, 25, 0)),
    ("white", "white"): ((0, 0, 1), (0, 0, 3)),
    ("red", "white"): ((0, 1, 0), (3, 68, 0)),
    ("roan", "roan"): (("1/4", "1/2", "1/4"), (152, 278, 84)),
    ("roan", "red"): (("1/2", "1/2", 0), (226, 230, 0)),
    ("roan", "white"): ((0, "1/2", "1/2"), (0, 14, 9)),
}


def coats(sire: str, dam: str) -> dict[str, Fraction]:
    calves = looks(cross(SHORTHORN.genotype(COATS[sire]), SHORTHORN.genotype(COATS[dam])), "coat")
    return {coat: calves.get(coat, Fraction(0)) for coat in COATS}


@pytest.mark.parametrize("mating", SHORTHORN_MATINGS)
def test_the_six_shorthorn_matings_give_red_roan_and_white_without_dominance(mating: tuple[str, str]) -> None:
    """James Wilson 1908, Mendelian characters among Shorthorn cattle (year from memory; counts from a reprint)."""
    fractions, _ = SHORTHORN_MATINGS[mating]
    assert list(coats(*mating).values()) == [Fraction(share) for share in fractions]
    assert coats(*mating) == coats(*reversed(mating))


def test_the_shorthorn_herd_book_holds_records_that_no_mating_can_give() -> None:
    """Wilson 1908: 25 roans of two reds and 3 reds of red by white; roan by roan departs from 1 : 2 : 1.

    So the herd book errs: real records hold birds and calves that were written down wrong.
    """
    impossible = {}
    for mating, (_, counts) in SHORTHORN_MATINGS.items():
        bad = sum(n for n, share in zip(counts, coats(*mating).values(), strict=True) if share == 0)
        if bad:
            impossible[mating] = bad
    assert impossible == {("red", "red"): 25, ("red", "white"): 3}
    roans = dict(zip(COATS, SHORTHORN_MATINGS["roan", "roan"][1], strict=True))
    assert chi_square(coats("roan", "roan"), roans) == Fraction(5506, 257)
    halves = {"red": 226, "roan": 230}
    shares = {coat: share for coat, share in coats("roan", "red").items() if share}
    assert chi_square(shares, halves) == Fraction(2, 57)


YELLOW_MOUSE = Species(
    "house mouse",
    sex_system="XY",
    loci=[Locus("A", "coat", ("Ay", "a+"), shows={"Ay/_": "yellow", "a+/a+": "other"})],
    viability=[Viability("Ay/Ay", 0, "embryo", "dies soon after the egg settles")],
)
CREEPER_FOWL = Species(
    "fowl",
    loci=[Locus("Cp", "legs", ("Cp", "cp+"), shows={"Cp/_": "creeper", "cp+/cp+": "normal"})],
    viability=[Viability("Cp/Cp", 0, "embryo", "dies about day 4 of incubation")],
)
TWO_TO_ONE = {
    # who counted: (species, heterozygote, counts, chi-square against 2 : 1, against 3 : 1)
    "L. Cuénot 1905": (YELLOW_MOUSE, "Ay/a+", (263, 100), "1323/242", "1369/1089"),
    "Castle and Little 1910, Science 32:868": (YELLOW_MOUSE, "Ay/a+", (800, 435), "490/247", "51005/741"),
    "Landauer and Dunn 1930, Journal of Genetics 23:397": (
        CREEPER_FOWL,
        "Cp/cp+",
        (775, 388),
        "1/2326",
        "151321/3489",
    ),
}


@pytest.mark.parametrize("counted", TWO_TO_ONE)
def test_a_dominant_that_kills_the_homozygote_gives_two_to_one(counted: str) -> None:
    """The ratio 2 : 1 and the early death were read in an abstract (Dunn and Landauer 1926, on the Creeper fowl).

    The counts are from memory and unchecked: they test the arithmetic here, not the history.
    """
    species, bird, (many, few), against_two, against_three = TWO_TO_ONE[counted]
    chicks = cross(species.genotype(bird), species.genotype(bird))
    trait = species.loci[0].name
    hatched, conceived = looks(chicks, trait), looks(chicks.at_fertilisation, trait)
    carrier, other = species.labels_of(trait)
    assert hatched == {carrier: Fraction(2, 3), other: Fraction(1, 3)}
    assert conceived == {carrier: Fraction(3, 4), other: Fraction(1, 4)}
    assert plain(chicks.lost) == Fraction(1, 4)
    counts = {carrier: many, other: few}
    assert chi_square(hatched, counts) == Fraction(against_two)
    assert chi_square(conceived, counts) == Fraction(against_three)


def test_creeper_by_normal_gives_one_to_one_and_loses_nothing() -> None:
    """Ratio 1 : 1 in the abstract of Dunn and Landauer 1926, The lethal nature of the Creeper variation: OK."""
    chicks = cross(CREEPER_FOWL.genotype("Cp/cp+"), CREEPER_FOWL.genotype("cp+/cp+"))
    assert looks(chicks, "legs") == {"creeper": Fraction(1, 2), "normal": Fraction(1, 2)}
    assert plain(chicks.lost) == 0
    assert chicks.cautions == ()


def test_creeper_by_creeper_warns_of_the_chicks_that_die() -> None:
    """The same abstract: the homozygote dies; a breeder is told before setting the eggs."""
    bird = CREEPER_FOWL.genotype("Cp/cp+")
    (caution,) = cross(bird, bird).cautions
    assert "all die before hatch" in str(caution)
    assert "veterinarian" in str(caution)


# -- barring on the Z --------------------------------------------------------------------------------------------------

BARRED = Species(
    "fowl",
    loci=[
        Locus("B", "barring", ("B", "b+"), chromosome="Z", shows={"B/_": "barred", "b+/_": "black"}),
        Locus("lav", "lavender", ("Lav+", "lav")),
    ],
)


def by_sex(chicks: Offspring) -> dict[str, dict[str, Fraction]]:
    """The fraction of each look within each sex."""
    return {sex: looks(chicks.given(sex=sex), "barring") for sex in ("male", "female")}


ONLY_BARRED, ONLY_BLACK = {"barred": Fraction(1)}, {"black": Fraction(1)}
HALF = {"barred": Fraction(1, 2), "black": Fraction(1, 2)}
BARRING = {
    # (cock, hen): F1 sons and daughters, F2 sons and daughters
    "barred hen by black cock": (("b+/b+", "B/-"), (ONLY_BARRED, ONLY_BLACK), (HALF, HALF)),
    "black hen by barred cock": (("B/B", "b+/-"), (ONLY_BARRED, ONLY_BARRED), (ONLY_BARRED, HALF)),
}


@pytest.mark.parametrize("name", BARRING)
def test_barring_runs_criss_cross_through_two_generations(name: str) -> None:
    """The textbook account of barring; F2 in T. H. Morgan 1919, Carnegie Institution Publication 285: OK."""
    (cock, hen), (sons, daughters), (grandsons, granddaughters) = BARRING[name]
    f1 = cross(BARRED.genotype(cock), BARRED.genotype(hen))
    assert by_sex(f1) == {"male": sons, "female": daughters}
    f2 = cross(f1, f1)
    assert by_sex(f2) == {"male": grandsons, "female": granddaughters}
    assert plain(f1.sexing()["barring"]) == (1 if sons != daughters else 0)


def test_barring_keeps_its_ratio_whatever_else_segregates() -> None:
    """A hen heterozygous at another, unlinked locus changes nothing: Mendel's independent assortment."""
    cock, hen = BARRED.genotype("b+/b+ Lav+/lav"), BARRED.genotype("B/- Lav+/lav")
    assert by_sex(cross(cock, hen)) == {"male": ONLY_BARRED, "female": ONLY_BLACK}


def test_sex_itself_comes_out_even() -> None:
    """F. A. Hays 1945, American Naturalist: 432 males and 438 females of 870 chicks; 1 : 1 is what a cross gives."""
    chicks = cross(BARRED.genotype("B/b+"), BARRED.genotype("B/-"))
    shares = looks(chicks, "sex")
    assert shares == {"male": Fraction(1, 2), "female": Fraction(1, 2)}
    assert chi_square(shares, {"male": 432, "female": 438}) == Fraction(36, 870)
