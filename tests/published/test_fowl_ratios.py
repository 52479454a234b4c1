"""Crosses of the fowl whose outcome was published: the catalogue and `cross` against the literature.

Expected fractions stand as the sources print or describe them, and the counts are the sources' own.  A count that does
not fit its hypothesis is kept, and the test says so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pytest
from scipy import stats
from sympy import Rational

from pinfeather import Offspring, Trait, cross, load_fowl
from pinfeather.heredity import Phenotype

FOWL = load_fowl()


def mate(cock: str, hen: str) -> Offspring:
    """The chicks of a cock and a hen, written out."""
    return cross(FOWL.genotype(cock, sex="male"), FOWL.genotype(hen, sex="female"))


def second_generation(cock: str, hen: str) -> Offspring:
    """The chicks of the first generation mated among themselves."""
    first = mate(cock, hen)
    return cross(first.given(sex="male"), first.given(sex="female"))


def backcross(chicks: Offspring, hen: str) -> Offspring:
    """Cockerels of a mating on another hen."""
    return cross(chicks.given(sex="male"), FOWL.genotype(hen, sex="female"))


def looks(chicks: Offspring, *traits: str) -> dict[str, Rational]:
    return {str(look): chance for look, chance in chicks.phenotypes(*traits).items()}


def parts(ratio: str, *names: str) -> dict[str, Rational]:
    """A ratio such as 9:3:3:1 as fractions of its sum."""
    numbers = [int(number) for number in ratio.split(":")]
    return {name: Rational(number, sum(numbers)) for name, number in zip(names, numbers, strict=True)}


def white_black_game(chicks: Offspring) -> dict[str, Rational]:
    """Ground plumage in the three classes of the old crosses; flecked and pile birds were scored with the whites."""

    def scored(look: Phenotype) -> str:
        label = look["ground plumage"]
        return "white" if label.startswith("white") else "black" if label == "black" else "game"

    return dict(chicks.phenotypes("ground plumage").map(scored).items())


def chi_square(counts: Sequence[int], expected: Sequence[Any]) -> tuple[float, float]:
    """Pearson's statistic and its chance, by scipy."""
    total = sum(counts)
    found = stats.chisquare(counts, [float(fraction * total) for fraction in expected])
    return float(found.statistic), float(found.pvalue)


# ---- combs -----------------------------------------------------------------------------------------


def test_rose_by_pea_gives_walnut_then_nine_three_three_one() -> None:
    """R. C. Punnett 1911, Mendelism, 3rd edition, pp. 33-37."""
    assert looks(mate("R/R", "P/P"), "comb") == {"walnut": 1}
    expected = parts("9:3:3:1", "walnut", "rose", "pea", "single")
    assert looks(second_generation("R/R", "P/P"), "comb") == expected


def test_walnut_of_the_first_generation_by_single_gives_four_equal_classes() -> None:
    """Arithmetic of the same scheme, Punnett 1911, pp. 33-37."""
    expected = parts("1:1:1:1", "walnut", "rose", "pea", "single")
    assert looks(backcross(mate("R/R", "P/P"), "+"), "comb") == expected


def test_single_by_horned_comb_shows_its_heterozygotes() -> None:
    """C. B. Davenport 1909, Carnegie Publication 121, pp. 6-10: Y combs in the first generation, then 289
    single, 471 Y, 226 horned (10 without a comb left out).  1:2:1, with too many singles: he read slight
    splits of embryos as single."""
    assert looks(mate("+", "D^v/D^v"), "comb") == {"split single": 1}
    chicks = looks(second_generation("+", "D^v/D^v"), "comb")
    assert chicks == parts("1:2:1", "single", "split single", "two horns")
    order = ("single", "split single", "two horns")
    statistic, chance = chi_square([289, 471, 226], [chicks[name] for name in order])
    assert (round(statistic, 2), round(chance, 3)) == (10.01, 0.007)


@pytest.mark.parametrize(
    ("cock", "hen", "counts", "statistic"),
    [
        ("+", "D^v/d+", {"single": 95, "split single": 95}, 0.0),  # p. 9, Table 6 (4 horned left out)
        # pp. 9-10: with a median comb (Y 177 + single 5) against without (horned 172 + none 3)
        ("D^v/D^v", "D^v/d+", {"split single": 182, "two horns": 175}, 0.137),
    ],
)
def test_backcrosses_of_the_y_comb(cock: str, hen: str, counts: Mapping[str, int], statistic: float) -> None:
    """Davenport 1909, pp. 8-10."""
    chicks = looks(mate(cock, hen), "comb")
    assert chicks == {name: Rational(1, 2) for name in counts}
    found, _ = chi_square(list(counts.values()), [chicks[name] for name in counts])
    assert found == pytest.approx(statistic, abs=5e-4)


def test_pure_combs_breed_true() -> None:
    """Davenport 1909, p. 8, Table 5: 94 single and 1 slight split from singles; 367 of 387 horned from horned, that is
    about 95 per cent, the rest being misread or not penetrant, which is not put into the catalogue."""
    assert looks(mate("+", "+"), "comb") == {"single": 1}
    assert looks(mate("D^v/D^v", "D^v/D^v"), "comb") == {"two horns": 1}


def test_rose_by_breda() -> None:
    """Arithmetic on Punnett's description (1911, p. 39): the Breda is bd/bd and carries the splitting factor.
    The 64ths 27:9:9:3:16 count horned birds (pure for the splitting factor) among the split ones."""
    assert looks(mate("R/R", "bd/bd D^v/D^v"), "comb") == {"split rose": 1}
    chicks = second_generation("R/R", "bd/bd D^v/D^v")
    classes = {
        "split rose": "R/_ Bd+/_ D^v/_",
        "rose": "R/_ Bd+/_ d+/d+",
        "split single": "r+/r+ Bd+/_ D^v/_",
        "single": "r+/r+ Bd+/_ d+/d+",
        "combless": "bd/bd",
    }
    found = {name: chicks.fraction(pattern) for name, pattern in classes.items()}
    assert found == parts("27:9:9:3:16", *classes)
    shown = looks(chicks, "comb")
    split = shown["split rose"] + shown["split single"] + shown["two horns"]
    assert (split, shown["rose"], shown["single"], shown["combless"]) == (
        Rational(36, 64),
        Rational(9, 64),
        Rational(3, 64),
        Rational(16, 64),
    )


# ---- white, black and game -------------------------------------------------------------------------

WHITES = [
    # Silkie (c, game) by Black Minorca: Davenport 1909, p. 73, Table 58
    ("c/c", "E/E", {"black": "9/16", "white": "4/16", "game": "3/16"}),
    # White Leghorn (I, black beneath) by Black Minorca: Davenport 1909, p. 77
    ("I/I E/E", "E/E", {"white": "3/4", "black": "1/4"}),
    # Recessive white by coloured: arithmetic
    ("c/c E/E", "E/E", {"black": "3/4", "white": "1/4"}),
    # Dominant by recessive white, both with black beneath: Punnett 1911, Fig. 13
    ("I/I E/E", "c/c E/E", {"white": "13/16", "black": "3/16"}),
    # Silkie by White Leghorn: 52 white of 64, Davenport 1909, p. 75 (black and game by the rules of today)
    ("c/c", "I/I E/E", {"white": "52/64", "black": "9/64", "game": "3/64"}),
    # Black by game: Davenport 1909, p. 74
    ("E/E", "+", {"black": "3/4", "game": "1/4"}),
]


@pytest.mark.parametrize(("cock", "hen", "expected"), WHITES)
def test_second_generations_of_white_black_and_game(cock: str, hen: str, expected: Mapping[str, str]) -> None:
    wanted = {name: Rational(fraction) for name, fraction in expected.items()}
    assert white_black_game(second_generation(cock, hen)) == wanted
    assert white_black_game(second_generation(hen, cock)) == wanted


COUNTS = [
    # (cock, hen), counts of Davenport 1909, statistic and chance reckoned from the printed counts
    ("second", "c/c", "E/E", {"black": 210, "white": 95, "game": 57}, 2.166, 0.339),  # Table 58; 392/181
    ("second", "c/c", "E/E", {"black": 119, "white": 55, "game": 31}, 1.831, 0.400),  # pen 709
    ("second", "c/c", "E/E", {"black": 91, "white": 40, "game": 26}, 0.498, 0.780),  # pen 804
    ("mate", "E/e+", "E/e+", {"black": 64, "game": 23}, 0.096, 0.757),  # p. 74
    ("mate", "E/e+ C+/c", "E/e+ C+/c", {"black": 40, "white": 13, "game": 14}, 1.146, 0.564),  # p. 74
    ("mate", "E/e+ C+/c", "E/e+", {"black": 30, "game": 14}, 1.091, 0.296),  # p. 74
    ("second", "I/I E/E", "E/E", {"white": 116, "black": 38}, 0.009, 0.926),  # p. 77; 2/231
]


@pytest.mark.parametrize(("how", "cock", "hen", "counts", "statistic", "chance"), COUNTS)
def test_davenports_counts_of_plumage_fit(
    how: str, cock: str, hen: str, counts: Mapping[str, int], statistic: float, chance: float
) -> None:
    """C. B. Davenport 1909, pp. 73-77; the statistics are those of the printed counts against the printed
    hypotheses."""
    chicks = second_generation(cock, hen) if how == "second" else mate(cock, hen)
    fractions = white_black_game(chicks)
    assert set(fractions) == set(counts)
    found = chi_square(list(counts.values()), [fractions[name] for name in counts])
    assert (round(found[0], 3), round(found[1], 3)) == (statistic, chance)


def test_whites_of_the_silkie_and_leghorn_cross() -> None:
    """Davenport 1909, p. 75, Table 60: 68 white and 17 coloured of 85.  He counted E/e+ birds as game here and as black
    elsewhere, so white against coloured is all that the counts can say."""
    white = white_black_game(second_generation("c/c", "I/I E/E"))["white"]
    statistic, _ = chi_square([68, 17], [white, 1 - white])
    assert statistic < 0.1
    assert white == Rational(13, 16)


def test_no_coloured_chick_of_a_leghorn_backcross() -> None:
    """Davenport 1909, p. 77: 41 white, of which 1 flecked, and no black from the first generation by White Leghorn."""
    chicks = backcross(mate("E/E", "I/I E/E"), "I/I E/E")
    assert white_black_game(chicks) == {"white": 1}


# ---- blue and lavender -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cock", "hen", "expected"),
    [
        ("Bl/bl+", "Bl/bl+", {"black": "1/4", "blue": "1/2", "splash": "1/4"}),
        ("bl+/bl+", "Bl/Bl", {"blue": "1"}),
        ("Bl/bl+", "bl+/bl+", {"blue": "1/2", "black": "1/2"}),
        ("Bl/bl+", "Bl/Bl", {"blue": "1/2", "splash": "1/2"}),
    ],
)
def test_blue_andalusians(cock: str, hen: str, expected: Mapping[str, str]) -> None:
    """Punnett 1911, pp. 70-71."""
    wanted = {name: Rational(fraction) for name, fraction in expected.items()}
    assert looks(mate(f"E/E {cock}", f"E/E {hen}"), "shade of black") == wanted


def test_blue_with_lavender() -> None:
    """Arithmetic: 1:2:1 of blue (Punnett 1911) with 3:1 of lavender, a recessive of another locus (Vaez and
    others 2008). The three lavenders are hard to tell apart, which the trait lavender allows for."""
    chicks = mate("E/E Bl/bl+ Lav+/lav", "E/E Bl/bl+ Lav+/lav")
    names = ("black", "blue", "splash", "lavender", "blue-lavender", "splash-lavender")
    assert looks(chicks, "shade of black") == parts("3:6:3:1:2:1", *names)
    assert looks(chicks, "lavender") == parts("12:4", "not lavender", "lavender")


# ---- shank and skin --------------------------------------------------------------------------------


def by_sex(chicks: Offspring, trait: str) -> dict[str, dict[str, Rational]]:
    """The looks of cockerels and of pullets, each as fractions of their own sex."""
    return {sex: looks(chicks.given(sex=sex), trait) for sex in ("male", "female")}


def of(denominator: int, **numbers: int) -> dict[str, Rational]:
    return {name: Rational(number, denominator) for name, number in numbers.items()}


def test_shank_colour_by_sex_from_a_light_legged_cock() -> None:
    """F. B. Hutt 1949, Genetics of the Fowl, as quoted, for the four colours; the sixteenths are arithmetic of
    a Z-linked and an autosomal locus."""
    assert looks(mate("Id/Id", "w/w"), "shank colour") == {"white": 1}
    assert by_sex(second_generation("Id/Id", "w/w"), "shank colour") == {
        "male": of(8, white=6, yellow=2),
        "female": of(8, white=3, yellow=1, slate=3, willow=1),
    }


def test_shank_colour_by_sex_from_a_dark_legged_cock() -> None:
    """As before, the reciprocal way: white cockerels and slate pullets, then all four colours in both sexes."""
    assert by_sex(mate("+", "Id/- w/w"), "shank colour") == {"male": {"white": 1}, "female": {"slate": 1}}
    four = of(8, white=3, yellow=1, slate=3, willow=1)
    assert by_sex(second_generation("+", "Id/- w/w"), "shank colour") == {"male": four, "female": four}


SILKIE_COCK, SILKIE_HEN = "Fm/Fm", "Fm/Fm"
LEGHORN_COCK, LEGHORN_HEN = "Id/Id", "Id/-"


def test_silkie_hen_by_brown_leghorn_cock_gives_traces_only() -> None:
    """Punnett 1911, pp. 104-112."""
    assert looks(mate(LEGHORN_COCK, SILKIE_HEN), "deep skin pigment") == {"traces": 1}


def test_brown_leghorn_hen_by_silkie_cock_gives_deep_pullets() -> None:
    """Punnett 1911, pp. 104-112."""
    chicks = by_sex(mate(SILKIE_COCK, LEGHORN_HEN), "deep skin pigment")
    assert chicks == {"male": {"traces": 1}, "female": {"deep": 1}}


@pytest.mark.parametrize("first", [(LEGHORN_COCK, SILKIE_HEN), (SILKIE_COCK, LEGHORN_HEN)])
def test_one_in_eight_deep_and_always_a_pullet(first: tuple[str, str]) -> None:
    """Punnett 1911, pp. 104-112: a cock of the first generation, made either way, on a Brown Leghorn hen."""
    chicks = backcross(mate(*first), LEGHORN_HEN)
    assert chicks.fraction(shows={"deep skin pigment": "deep"}) == Rational(1, 8)
    assert chicks.fraction(shows={"deep skin pigment": "deep"}, sex="male") == 0


@pytest.mark.parametrize("first", [(LEGHORN_COCK, SILKIE_HEN), (SILKIE_COCK, LEGHORN_HEN)])
def test_no_deep_chick_from_a_brown_leghorn_cock(first: tuple[str, str]) -> None:
    """Punnett 1911, pp. 104-112: a hen of the first generation, made either way, with a Brown Leghorn cock."""
    hens = mate(*first).given(sex="female")
    chicks = cross(FOWL.genotype(LEGHORN_COCK, sex="male"), hens)
    assert chicks.fraction(shows={"deep skin pigment": "deep"}) == 0


def test_second_generation_from_a_silkie_hen_has_no_deep_cockerel() -> None:
    """Punnett 1911, pp. 104-112; the eighths are arithmetic of his two factors."""
    chicks = by_sex(second_generation(LEGHORN_COCK, SILKIE_HEN), "deep skin pigment")
    assert chicks == {"male": of(8, traces=6, clear=2), "female": of(8, deep=3, traces=3, clear=2)}


def test_second_generation_from_a_silkie_cock_has_every_kind_in_both_sexes() -> None:
    """Punnett 1911, pp. 104-112; the eighths are arithmetic of his two factors."""
    chicks = by_sex(second_generation(SILKIE_COCK, LEGHORN_HEN), "deep skin pigment")
    both = of(8, deep=3, traces=3, clear=2)
    assert chicks == {"male": both, "female": both}


def test_junglefowl_by_silkie_is_deep_in_both_sexes() -> None:
    """J. T. Cunningham 1921, Hormones and Heredity: his junglefowl lacked the inhibitor, as the wild type does."""
    assert looks(mate("+", "Fm/Fm"), "deep skin pigment") == {"deep": 1}


# ---- barring, and sex at hatch ---------------------------------------------------------------------


def barred(chicks: Offspring) -> dict[str, Rational]:
    """The share of barred birds in each sex, however wide the bars."""
    return {sex: chicks.given(sex=sex).fraction("B/_") for sex in ("male", "female")}


BARRED_COCK, BARRED_HEN, BLACK_COCK, BLACK_HEN = "E/E B/B", "E/E B/-", "E/E", "E/E"


def test_barred_cock_by_black_hen() -> None:
    """T. H. Morgan 1919, Carnegie Publication 285: all barred, then all cockerels and half the pullets."""
    assert barred(mate(BARRED_COCK, BLACK_HEN)) == {"male": 1, "female": 1}
    chicks = second_generation(BARRED_COCK, BLACK_HEN)
    assert barred(chicks) == {"male": 1, "female": Rational(1, 2)}
    assert looks(chicks.given(sex="female"), "barring") == parts("1:1", "not barred", "barred")


def test_black_cock_by_barred_hen() -> None:
    """Morgan 1919: barred cockerels and black pullets, then half of either sex."""
    assert barred(mate(BLACK_COCK, BARRED_HEN)) == {"male": 1, "female": 0}
    half = Rational(1, 2)
    assert barred(second_generation(BLACK_COCK, BARRED_HEN)) == {"male": half, "female": half}


def test_backcrosses_of_barred_birds() -> None:
    """Morgan 1919: a barred cock of the first generation on black hens 1:1:1:1; a barred hen of the first
    generation with a black cock gives barred cockerels and black pullets."""
    half = Rational(1, 2)
    first = mate(BARRED_COCK, BLACK_HEN)
    assert barred(backcross(first, BLACK_HEN)) == {"male": half, "female": half}
    hens = first.given(sex="female")
    assert barred(cross(FOWL.genotype(BLACK_COCK, sex="male"), hens)) == {"male": 1, "female": 0}


@pytest.mark.parametrize(
    ("cock", "hen", "trait", "sons", "daughters"),
    [
        # F. A. E. Crew 1934 (abstract): gold by silver
        ("s+/s+", "S/-", "down colour", "silver down", "gold down"),
        # Morgan 1919: unbarred by barred, here on black
        ("E/E", "E/E B/-", "head spot", "head spot", "no head spot"),
        # extension and industry texts: fast by slow feathering
        ("k+/k+", "K/-", "rate of feathering", "slow", "fast"),
        # any Z-linked recessive works the same way (arithmetic): chocolate by black
        ("E/E choc/choc", "E/E", "shade of black", "black", "chocolate"),
    ],
)
def test_the_recessive_cock_on_the_dominant_hen_sexes_chicks(
    cock: str, hen: str, trait: str, sons: str, daughters: str
) -> None:
    chicks = mate(cock, hen)
    assert by_sex(chicks, trait) == {"male": {sons: 1}, "female": {daughters: 1}}
    assert chicks.sexing()[trait] == 1


@pytest.mark.parametrize(
    ("cock", "hen", "trait"),
    [
        ("S/S", "s+/-", "down colour"),
        ("E/E B/B", "E/E", "head spot"),
        ("K/K", "k+/-", "rate of feathering"),
        ("E/E", "E/E choc/-", "shade of black"),
    ],
)
def test_the_reverse_cross_does_not_sex_chicks(cock: str, hen: str, trait: str) -> None:
    """Common practice, and arithmetic: the daughters get the dominant allele from their sire too."""
    assert mate(cock, hen).sexing().get(trait, 0) == 0


@pytest.mark.parametrize("hidden", ["E/E", "c/c", "I/I"])
def test_black_or_white_down_hides_gold_and_silver(hidden: str) -> None:
    """Extension texts: gold by silver needs down that is neither black nor white."""
    assert mate(f"{hidden} s+/s+", f"{hidden} S/-").sexing().get("down colour", 0) == 0


def test_shank_colour_sexes_no_day_old_chicks() -> None:
    """Dark legs on light: right at a later age, not on the first day (extension texts)."""
    chicks = mate("+", "Id/-")
    assert by_sex(chicks, "shank colour") == {"male": {"white": 1}, "female": {"slate": 1}}
    assert "shank colour" not in chicks.sexing()


def test_barred_pure_breeds_are_not_sexed_with_certainty() -> None:
    """Spots are larger in cockerels, with an accuracy of about 80 % in Barred Rocks by one extension text."""
    assert mate(BARRED_COCK, BARRED_HEN).sexing().get("head spot", 0) == 0


def test_chocolate_daughters_of_a_carrier() -> None:
    """Li and others 2019, Pigment Cell & Melanoma Research 32:381: 41 chocolate and 36 black daughters of the
    backcross."""
    daughters = looks(mate("E/E Choc+/choc", "E/E").given(sex="female"), "shade of black")
    assert daughters == parts("1:1", "chocolate", "black")
    statistic, chance = chi_square([41, 36], [daughters["chocolate"], daughters["black"]])
    assert (round(statistic, 3), round(chance, 3)) == (0.325, 0.569)


# ---- lethals ---------------------------------------------------------------------------------------


def test_creepers_give_two_to_one_and_lose_a_quarter() -> None:
    """Landauer & Dunn 1930, Journal of Genetics 23: 775 creeper to 388 normal (counts from memory, ratio from the
    abstract); Cutler 1925: pure creepers die about the fourth day."""
    chicks = mate("Cp/cp+", "Cp/cp+")
    assert looks(chicks, "creeper") == parts("2:1", "creeper", "normal legs")
    assert chicks.lost == Rational(1, 4)
    statistic, _ = chi_square([775, 388], [Rational(2, 3), Rational(1, 3)])
    assert round(statistic, 6) == 0.00043
    assert [caution.pattern for caution in chicks.cautions] == ["Cp/Cp"]


def test_creeper_by_normal_gives_one_to_one() -> None:
    """Landauer & Dunn 1930, Journal of Genetics 23: 1,676 to 1,661 (counts from memory)."""
    chicks = mate("Cp/cp+", "+")
    assert looks(chicks, "creeper") == parts("1:1", "creeper", "normal legs")
    assert (chicks.lost, chicks.cautions) == (0, ())
    assert round(chi_square([1676, 1661], [Rational(1, 2)] * 2)[0], 3) == 0.067


def test_creeper_and_rose_comb_hardly_part() -> None:
    """W. Landauer 1932, Journal of Genetics 26: 0.13 % from cocks and 0.57 % from hens."""
    hens = FOWL.genotype("R Cp/r+ cp+", sex="female")
    chicks = cross(FOWL.genotype("+", sex="male"), hens)
    assert chicks.fraction("R/_ cp+/cp+") + chicks.fraction("r+/r+ Cp/_") == Rational(57, 10000)
    cocks = FOWL.genotype("R Cp/r+ cp+", sex="male")
    chicks = cross(cocks, FOWL.genotype("+", sex="female"))
    assert chicks.fraction("R/_ cp+/cp+") + chicks.fraction("r+/r+ Cp/_") == Rational(13, 10000)


def test_tufted_by_tufted_loses_pure_birds_and_many_carriers() -> None:
    """Somes & Pabilonia 1981, Journal of Heredity 72:121: two copies die, and 41.6 % of embryos with one.  Counted with
    those deaths 2 x 0.584 tufted carriers stand against 1 normal chick, without them 2 against 1."""
    chicks = mate("Et/et+", "Et/et+")
    assert chicks.fraction("Et/et+") / chicks.fraction("et+/et+") == Rational(1168, 1000)
    fertile = chicks.at_fertilisation
    assert (fertile.fraction("Et/Et"), fertile.fraction("Et/et+")) == (Rational(1, 4), Rational(1, 2))
    assert chicks.lost == Rational(1, 4) + Rational(1, 2) * Rational(416, 1000)
    assert {caution.pattern for caution in chicks.cautions} == {"Et/Et", "Et/et+"}


# ---- toes ------------------------------------------------------------------------------------------


def test_houdans_by_four_toed_fowl() -> None:
    """Davenport 1909, pp. 18-22: 30 of 110 chicks of the first generation, and 2 of 67 pure Houdans, had four
    toes on both feet.  In the second generation a quarter of four-toed birds turns into 38.6 % by the hidden
    heterozygotes alone, and 39.4 % with the hidden pure birds; he saw 47.4 % (180 of 380), so the penetrance
    was lower there."""
    hidden = Rational(30, 110)
    first = looks(mate("Po/Po", "+"), "polydactyly")
    assert first == {"extra toes": 1 - hidden, "four toes": hidden}
    second = looks(second_generation("Po/Po", "+"), "polydactyly")["four toes"]
    from_carriers = Rational(1, 4) + hidden / 2
    assert round(float(from_carriers), 3) == 0.386
    assert second == from_carriers + Rational(1, 4) * Rational(2, 67)
    assert chi_square([180, 200], [second, 1 - second])[1] < 0.01


def test_silkies_by_four_toed_fowl() -> None:
    """Davenport 1909, pp. 18-22: 13 of 138 of the first generation and 3 of 83 pure Silkies had four toes; in
    the second generation 29.7 % are expected from carriers alone, and 66 of 208 (31.7 %) were seen."""
    hidden = Rational(13, 138)
    rules = [
        ("Po/Po", {"extra toes": Rational(80, 83), "four toes": Rational(3, 83)}),
        ("Po/_", {"extra toes": 1 - hidden, "four toes": hidden}),
        ("", "four toes"),
    ]
    silkies = FOWL.extended(traits=[Trait("polydactyly", rules)])
    first = cross(silkies.genotype("Po/Po", sex="male"), silkies.genotype("+", sex="female"))
    assert looks(first, "polydactyly")["four toes"] == hidden
    chicks = cross(first.given(sex="male"), first.given(sex="female"))
    second = looks(chicks, "polydactyly")["four toes"]
    assert round(float(Rational(1, 4) + hidden / 2), 3) == 0.297
    assert second == Rational(1, 4) + hidden / 2 + Rational(1, 4) * Rational(3, 83)
    assert chi_square([66, 142], [second, 1 - second])[1] > 0.5


def test_a_simple_quarter_of_four_toed_birds_does_not_fit() -> None:
    """Davenport 1909, Table 11: three to one fails for both stocks; the statistics are those of his printed counts."""
    quarter = [Rational(1, 4), Rational(3, 4)]
    assert looks(second_generation("Po/Po", "+"), "polydactyly")["four toes"] > Rational(1, 4)
    assert round(chi_square([180, 200], quarter)[0], 1) == 101.4
    assert round(chi_square([66, 142], quarter)[0], 2) == 5.03


# ---- feathers --------------------------------------------------------------------------------------


def test_foot_feather_of_one_locus_and_of_two() -> None:
    """Davenport 1909: clean-shanked birds of the second generation 25 of 97 in White Leghorn by Buff Cochin
    (one locus); 44 of 229, 16 of 162, 1 of 54 and 14 of 110 in Leghorn by Dark Brahma, 34 of 316 in Minorca by
    Dark Brahma (between the quarter of one locus and the sixteenth of two)."""
    one = looks(second_generation("Pti-1L/Pti-1L", "+"), "foot feather")["clean shank"]
    two = looks(second_generation("Pti-1B/Pti-1B Pti-x/Pti-x", "+"), "foot feather")["clean shank"]
    assert (one, two) == (Rational(1, 4), Rational(1, 16))
    assert chi_square([25, 72], [one, 1 - one])[1] > 0.8
    brahmas = [(44, 229), (16, 162), (1, 54), (14, 110), (34, 316)]
    clean, total = (sum(column) for column in zip(*brahmas, strict=True))
    assert two < Rational(clean, total) < one


def test_frizzles_give_one_extreme_two_frizzle_one_plain() -> None:
    """Landauer & Dunn 1930, Journal of Heredity 21: 23, 50 and 20 of 93 (counts from memory)."""
    chicks = looks(mate("F/f+", "F/f+"), "feather structure")
    assert chicks == parts("1:2:1", "extreme frizzle", "frizzle", "plain")
    found = chi_square([23, 50, 20], [chicks[name] for name in ("extreme frizzle", "frizzle", "plain")])
    assert (round(found[0], 2), round(found[1], 3)) == (0.72, 0.698)
    assert [caution.pattern for caution in mate("F/f+", "F/f+").cautions] == ["F/F"]


@pytest.mark.parametrize(
    ("cock", "recombinants", "total"),
    [
        ("I F/i+ f+", 6, 33),  # coupling: 15 white frizzle, 2 white plain, 4 coloured frizzle, 12 coloured plain
        ("I f+/i+ F", 31, 157),  # repulsion: 18 white frizzle, 63 coloured frizzle, 63 white plain, 13 coloured plain
    ],
)
def test_dominant_white_and_frizzle_in_test_matings(cock: str, recombinants: int, total: int) -> None:
    """Hutt 1933, Journal of Genetics 27 (counts from memory), against the 17.1 % of Warren & Hutt 1936."""
    chicks = mate(cock, "E/E")
    coupled = cock.startswith("I F")
    crossed = ("I/_ f+/f+", "i+/i+ F/_") if coupled else ("I/_ F/_", "i+/i+ f+/f+")
    fraction = sum((chicks.fraction(pattern) for pattern in crossed), Rational(0))
    assert fraction == Rational(171, 1000)
    assert chi_square([recombinants, total - recombinants], [fraction, 1 - fraction])[1] > 0.3


def test_hen_feathering_is_one_locus_and_morgans_counts_are_not() -> None:
    """Morgan 1919, pp. 15-19: 29 hen-feathered and 26 cock-feathered sons in the second generation of Sebright by Game
    (31 and 28 in his text) reject the three to one that one dominant locus gives.  George and others 1990, Journal of
    Heredity 81:107, and Somes 1984 settled one locus: all 98 chicks of (Sebright by Campine) by normal had the raised
    enzyme, so the two breeds have the same locus."""
    sons = second_generation("Hf/Hf", "+").given(sex="male")
    assert looks(sons, "hen feathering") == parts("3:1", "hen-feathered", "cock-feathered")
    assert looks(second_generation("Hf/Hf", "+").given(sex="female"), "hen feathering") == {"hen plumage": 1}
    statistic, chance = chi_square([29, 26], [Rational(3, 4), Rational(1, 4)])
    assert (round(statistic, 2), round(chance, 5)) == (14.55, 0.00014)
    assert backcross(mate("Hf/Hf", "Hf/Hf"), "+").fraction("Hf/hf+") == 1


def test_blue_eggs_are_a_simple_dominant_of_hens() -> None:
    """R. C. Punnett 1933, Journal of Genetics 27:465."""
    daughters = second_generation("O/O", "+").given(sex="female")
    assert looks(daughters, "blue eggshell") == parts("3:1", "blue or green shell", "no blue in the shell")


def test_rumplessness_is_not_always_seen() -> None:
    """Davenport 1909, pp. 37-39: cock 116 on tailed daughters of another rumpless bird gave 28 rumpless, 4
    small-tailed and 23 tailed, one to one; cock 117 gave 55 tailed or small-tailed chicks and no rumpless one.
     The gene is handed to half of the chicks either way, and the catalogue says that it may be hidden."""
    chicks = mate("Rp/rp+", "+")
    assert looks(chicks, "rump") == parts("1:1", "rumpless or nearly so (may be hidden)", "tailed")
    assert round(chi_square([28, 27], [Rational(1, 2)] * 2)[0], 3) == 0.018


def test_scaleless_is_recessive() -> None:
    """Wells and others 2012, BMC Genomics 13:257, Table 1: 38 scaleless birds homozygous, 9 carriers
    heterozygous and 40 wild-type birds free of the mutation, without exception."""
    shown = {g: looks(mate(g, g), "scaleless") for g in ("sc/sc", "Sc+/Sc+")}
    assert shown == {"sc/sc": {"scaleless": 1}, "Sc+/Sc+": {"not scaleless": 1}}
    assert looks(mate("Sc+/sc", "Sc+/sc"), "scaleless") == parts("1:3", "scaleless", "not scaleless")
