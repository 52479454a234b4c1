"""Counts and figures from the literature: goodness of fit, linkage, LOD scores, test matings, and the fowl.

Where a printed figure and the exact one differ by more than rounding, the docstring says who is right.
"""

from __future__ import annotations

import math

import pytest
import sympy
from sympy import Rational

from pinfeather.crosses import cross
from pinfeather.hatches import (
    chance,
    chicks_needed,
    chicks_needed_for_each,
    estimate,
    goodness_of_fit,
    heterogeneity,
    likely_range,
    lod,
)
from pinfeather.heredity import Linkage, Locus, Species

r, t, q = sympy.symbols("r t q")

# ---- goodness of fit -----------------------------------------------------------------------------------------------

# G. Mendel 1866, Versuche über Pflanzen-Hybriden, Verh. naturf. Ver. Brünn 4:3-47, experiments 1 to 7; chi-squares and
# p-values recomputed, and equal to three decimals to a retrieved recomputation (2.139 and 0.9518 for the sum).
MENDEL = {
    "seed shape": ([5474, 1850], Rational(1444, 5493), 0.608148404522),
    "seed colour": ([6022, 2001], Rational(361, 24069), 0.902527951585),
    "seed-coat colour": ([705, 224], Rational(363, 929), 0.531909247384),
    "pod shape": ([882, 299], Rational(75, 1181), 0.801038757531),
    "pod colour": ([428, 152], Rational(196, 435), 0.50206215879),
    "flower position": ([651, 207], Rational(50, 143), 0.5543111254),
    "stem length": ([787, 277], Rational(242, 399), 0.436102511484),
}


@pytest.mark.parametrize("name", MENDEL)
def test_mendels_seven_ratios_fit_three_to_one(name: str) -> None:
    counts, statistic, p_value = MENDEL[name]
    fit = goodness_of_fit(counts, "3:1", method="chi-square")
    assert fit.statistic == statistic
    assert fit.p_value == pytest.approx(p_value, abs=1e-12)


def test_mendels_seven_ratios_fit_together() -> None:
    """R. A. Fisher 1936, Annals of Science 1:115-137, prints 2.1389 with 7 degrees of freedom, P = .95."""
    found = heterogeneity([counts for counts, _, _ in MENDEL.values()], "3:1")
    assert found.total_degrees_of_freedom == 7
    assert float(found.total_statistic) == pytest.approx(2.1389, abs=5e-5)
    assert found.total_p_value == pytest.approx(0.9517559302, abs=1e-10)


def test_mendels_dihybrid() -> None:
    """Mendel 1866, 556 seeds.  R's chisq.test prints X-squared = 0.47002, df = 3, p-value = 0.9254."""
    counts = {"round yellow": 315, "round green": 108, "wrinkled yellow": 101, "wrinkled green": 32}
    fit = goodness_of_fit(counts, "9:3:3:1", method="chi-square")
    assert fit.statistic == Rational(196, 417)
    assert float(fit.statistic) == pytest.approx(0.47002, abs=5e-6)
    assert fit.p_value == pytest.approx(0.9254, abs=5e-5)
    assert fit.expected["round yellow"] == Rational(1251, 4)
    ratio = goodness_of_fit(counts, "9:3:3:1", method="likelihood-ratio")
    assert ratio.statistic == pytest.approx(0.475445238998, abs=1e-12)


def test_the_exact_test_of_mendels_dihybrid() -> None:
    """The documentation of a general exact multinomial test prints .9382 by probability (from memory).

    All 28.9 million tables of 556 seeds were enumerated once to recompute it: 0.938222024616.
    """
    fit = goodness_of_fit([315, 108, 101, 32], "9:3:3:1")
    assert float(fit.p_value) == pytest.approx(0.9382, abs=5e-5)
    assert float(fit.p_value) == pytest.approx(0.938222024616, abs=1e-12)
    assert math.log(fit.statistic) == pytest.approx(-9.09624964934, abs=1e-11)


def test_mendels_gametes_are_equally_frequent() -> None:
    """Mendel 1866, five reciprocal matings.  Fisher 1936 prints 3.6730 and (from memory) P = .9987; exactly .99863."""
    found = heterogeneity(
        [[20, 23, 25, 22], [25, 19, 22, 21], [31, 26, 27, 26], [24, 25, 22, 27], [47, 40, 38, 41]], "1:1:1:1"
    )
    assert found.total_statistic == Rational(214435021, 58381785)
    assert found.total_degrees_of_freedom == 15
    assert found.total_p_value == pytest.approx(0.998626765249, abs=1e-12)


PLANTS = {
    "round": [[45, 12], [27, 8], [24, 7], [19, 10], [32, 11], [26, 6], [88, 24], [22, 10], [28, 6], [25, 7]],
    "yellow": [[25, 11], [32, 7], [14, 5], [70, 27], [24, 13], [20, 6], [32, 13], [44, 9], [50, 14], [44, 18]],
}


@pytest.mark.parametrize(
    ("plants", "total", "pooled", "between", "p_value"),
    [
        ("round", "13889355083/2622104310", "363/437", "269359174039/60308399130", 0.878130719506),
        ("yellow", "157082220119/21847373535", "98/717", "36828969739631/5221522274865", 0.631569876987),
    ],
)
@pytest.mark.filterwarnings("ignore::pinfeather.errors.SmallExpectationWarning")
def test_mendels_single_plants_agree(plants: str, total: str, pooled: str, between: str, p_value: float) -> None:
    """Mendel 1866, ten plants each; one has 19 peas, so that 4.75 wrinkled are expected of it."""
    found = heterogeneity(PLANTS[plants], "3:1")
    assert found.total_statistic == Rational(total)
    assert found.pooled.statistic == Rational(pooled)
    assert found.statistic == Rational(between)
    assert (found.total_degrees_of_freedom, found.degrees_of_freedom) == (10, 9)
    assert found.p_value == pytest.approx(p_value, abs=1e-12)


@pytest.mark.filterwarnings("ignore::pinfeather.errors.SmallExpectationWarning")
def test_mendels_single_plants_together() -> None:
    """Fisher 1936, illustrations of plant variation: 12.4870 (from memory, reproduced)."""
    sums = [heterogeneity(plants, "3:1").total_statistic for plants in PLANTS.values()]
    assert float(sum(sums)) == pytest.approx(12.4870, abs=5e-5)


def test_blood_groups_in_hong_kong() -> None:
    """J. A. Rice, Mathematical Statistics and Data Analysis, chapters 8 and 9: 340.6, 502.8, 185.6 and .0319.

    The printed statistic comes from the rounded expectations; exactly it is 0.0325.
    """
    found = estimate({"M": 342, "MN": 500, "N": 187}, {"M": (1 - q) ** 2, "MN": 2 * q * (1 - q), "N": q**2}, q)
    assert found.exact == Rational(437, 1029)
    assert found.standard_error == pytest.approx(0.0108959101142, abs=1e-12)
    fit = found.fit()
    assert [float(fit.expected[group]) for group in ("M", "MN", "N")] == pytest.approx([340.6, 502.8, 185.6], abs=0.05)
    assert fit.statistic == Rational(543856341, 16731939904)
    assert (fit.degrees_of_freedom, fit.p_value) == (1, pytest.approx(0.856925782038, abs=1e-12))


def test_a_practice_problem_in_the_second_generation() -> None:
    """A retrieved practice problem prints the expectations 90, 30, 30, 10."""
    fit = goodness_of_fit([80, 36, 39, 5], "9:3:3:1", method="chi-square")
    assert list(fit.expected.values()) == [90, 30, 30, 10]
    assert fit.statistic == Rational(338, 45)
    assert fit.p_value == pytest.approx(0.0572736462592, abs=1e-12)
    assert goodness_of_fit([116, 44], "3:1", method="chi-square").statistic == Rational(8, 15)


# ---- linkage -------------------------------------------------------------------------------------------------------

LINKED = [(2 + t) / 4, (1 - t) / 4, (1 - t) / 4, t / 4]


def test_the_four_class_example_of_rao() -> None:
    """A. P. Dempster, N. M. Laird and D. B. Rubin 1977, J. R. Statist. Soc. B 39:1-38, print 0.6268214980.

    The counts are those of C. R. Rao 1965, Linear Statistical Inference.  The tenth digit is 9, not 0.
    """
    found = estimate([125, 18, 20, 34], LINKED, t)
    assert sympy.simplify(found.exact - (15 + sympy.sqrt(53809)) / 394) == 0
    assert found.value == pytest.approx(0.6268214980, abs=5e-10)
    assert found.expected_standard_error == pytest.approx(0.0526120053859, abs=1e-12)


def test_fishers_maize() -> None:
    """R. A. Fisher, Statistical Methods for Research Workers, chapter 9 (Carver's maize): .0357.

    A widely copied root, 0.03570979, comes from an iteration that stopped early.
    """
    counts = [1997, 906, 904, 32]
    found = estimate(counts, LINKED, t)
    assert sympy.simplify(found.exact - (-1655 + sympy.sqrt(3721809)) / 7678) == 0
    assert found.value == pytest.approx(0.0357123022406, abs=5e-13)
    assert found.expected_standard_error == pytest.approx(0.00583842320252, abs=1e-13)
    fit = found.fit()
    assert (fit.statistic, fit.degrees_of_freedom) == (pytest.approx(2.0154358502, abs=1e-9), 2)
    assert goodness_of_fit(counts, "9:3:3:1", method="chi-square").statistic == Rational(9940807, 34551)
    in_r = estimate(counts, [(2 + r**2) / 4, (1 - r**2) / 4, (1 - r**2) / 4, r**2 / 4], r)
    assert in_r.value == pytest.approx(0.188976988654, abs=1e-12)


SWEET_PEA = Species(
    "pea",
    sex_system="XY",
    loci=[Locus("A", "first", ("A", "a+")), Locus("B", "second", ("B", "b+"))],
    linkage=[Linkage(("A", "B"), (r,))],
)


@pytest.mark.parametrize(
    ("ratio", "fraction"),
    [
        ([41, 7, 7, 9], "1/4"),
        ([177, 15, 15, 49], "1/8"),
        ([737, 31, 31, 225], "1/16"),
        ([3009, 63, 63, 961], "1/32"),
        ([12161, 127, 127, 3969], "1/64"),
    ],
)
def test_coupled_gametes_are_read_back_from_the_second_generation(ratio: list[int], fraction: str) -> None:
    """R. C. Punnett 1911, Mendelism, 3rd ed., p. 97-98.

    The first row is printed 49 : 7 : 7 : 9, which adds to 72; it must be 41 : 7 : 7 : 9 of 64.
    """
    plant = [SWEET_PEA.genotype("A B/a+ b+", sex=sex) for sex in ("male", "female")]
    seeds = cross(*plant)
    classes = [str(look) for look in seeds.phenotypes("first", "second")]
    found = estimate(dict(zip(classes, ratio, strict=True)), seeds, r)
    assert found.exact == Rational(fraction)
    assert found.fit().statistic == 0


def test_a_three_point_testcross() -> None:
    """A. J. F. Griffiths et al., Introduction to Genetic Analysis: v ct cv, 18.5 % (268) and 13.2 % (191) of 1448."""
    two_point = {"parental": 1 - r, "recombinant": r}

    def fraction(recombinant: int, total: int = 1448) -> sympy.Rational:
        return estimate({"parental": total - recombinant, "recombinant": recombinant}, two_point, r).exact

    singles, others, doubles = 89 + 94, 45 + 40, 3 + 5
    assert fraction(singles + doubles) == Rational(191, 1448)
    assert fraction(others + doubles) == Rational(93, 1448)
    assert fraction(singles + others) == Rational(67, 362)
    assert [round(float(fraction(n)), 3) for n in (268, 191, 93)] == [0.185, 0.132, 0.064]


def test_a_testcross_whose_middle_locus_is_to_be_found() -> None:
    """A retrieved problem of 1000 gametes; the answers were recomputed."""
    gametes = {"aBC": 65, "Abc": 52, "abC": 363, "ABc": 321, "abc": 95, "ABC": 89, "aBc": 7, "AbC": 8}
    parental = "abC"

    def fraction(first: int, second: int) -> sympy.Rational:
        def same(gamete: str) -> bool:
            kept = [(gamete[n] == parental[n]) for n in (first, second)]
            return kept[0] == kept[1]

        counts = {"parental": 0, "recombinant": 0}
        for gamete, count in gametes.items():
            counts["parental" if same(gamete) else "recombinant"] += count
        return estimate(counts, {"parental": 1 - r, "recombinant": r}, r).exact

    assert (fraction(0, 1), fraction(1, 2), fraction(0, 2)) == (
        Rational(33, 250),
        Rational(301, 1000),
        Rational(199, 1000),
    )


def test_lod_scores_of_six_meioses() -> None:
    """T. Strachan and A. Read, Human Molecular Genetics: .577 .623 .509 .299 (from memory, reproduced)."""
    counts, chances = {"recombinant": 1, "parental": 5}, {"recombinant": r, "parental": 1 - r}
    scores = [lod(counts, chances, r, at=value) for value in ("0.1", "0.2", "0.3", "0.4")]
    assert scores == pytest.approx([0.577, 0.623, 0.509, 0.299], abs=5e-4)
    best = estimate(counts, chances, r)
    assert best.exact == Rational(1, 6)
    assert lod(counts, chances, r, at=best.exact) == pytest.approx(0.632122493362, abs=1e-12)


def test_ten_meioses_without_a_recombinant_prove_linkage() -> None:
    """N. E. Morton 1955, Am. J. Hum. Genet. 7:277: a LOD of 3 is asked for."""
    scores = [lod({"r": 0, "p": n}, {"r": r, "p": 1 - r}, r, at=0) for n in (9, 10)]
    assert scores == pytest.approx([2.70926996098, 3.01029995664], abs=1e-11)
    assert scores[0] < 3 < scores[1]


# ---- test matings and numbers needed -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fraction", "numbers"),
    [
        # To the recessive: animal-breeding lecture notes; J. F. Lasley, Genetics of Livestock Improvement: 5 and 7.
        ("1/2", (5, 7, 10)),
        # To a known carrier: the same notes print 11 and 16, and others 10 and 16; (3/4)**16 = 0.01002 is above 1 %,
        # and (3/4)**10 = 0.0563 above 5 %, so that 17 and 11 are right.
        ("1/4", (11, 17, 25)),
        # A sire to his own daughters, one chick each: Lasley; R. Bourdon, Understanding Animal Breeding: 23 and 35
        # (from memory).
        ("1/8", (23, 35, 52)),
    ],
)
def test_the_numbers_of_test_matings(fraction: str, numbers: tuple[int, int, int]) -> None:
    for certainty, number in zip(("95%", "99%", "99.9%"), numbers, strict=True):
        assert chicks_needed(fraction, certainty=certainty) == number


def test_the_chances_of_overlooking_a_carrier() -> None:
    """The exact powers behind those numbers."""
    assert [1 - chance("1/2", n) for n in (4, 5, 6, 7)] == [Rational(1, n) for n in (16, 32, 64, 128)]
    assert 1 - chance("1/4", 16) == Rational(43046721, 4294967296)
    assert 1 - chance("1/4", 17) == Rational(129140163, 17179869184)
    assert 1 - chance("1/8", 22) == Rational(3909821048582988049, 73786976294838206464)
    assert 1 - chance("1/8", 23) == Rational(27368747340080916343, 590295810358705651712)


def test_the_numbers_of_sedcole() -> None:
    """J. R. Sedcole 1977, Crop Science 17:667-668; K. Mather, The Measurement of Linkage (table from memory)."""
    fractions = ("1/2", "1/4", "1/16", "1/64")
    assert [chicks_needed(fraction) for fraction in fractions] == [5, 11, 47, 191]
    assert [chicks_needed(fraction, certainty="99%") for fraction in fractions] == [7, 17, 72, 293]


def test_the_numbers_for_the_complete_homozygote_of_several_loci() -> None:
    """The same formula for one to five loci."""
    fractions = [Rational(1, 4**n) for n in (1, 2, 3, 4, 5)]
    assert [chicks_needed(fraction) for fraction in fractions] == [11, 47, 191, 766, 3067]
    assert [chicks_needed(fraction, certainty="99%") for fraction in fractions] == [17, 72, 293, 1177, 4714]


def test_the_carrier_who_had_only_normal_chicks() -> None:
    """Bayes' rule on the sib of an affected bird: prior 2/3, then 2 / (2 + 2**n) after n clean test chicks."""
    for n in range(8):
        clean = 1 - chance("1/2", n)
        assert Rational(2, 3) * clean / (Rational(2, 3) * clean + Rational(1, 3)) == Rational(2, 2 + 2**n)


def test_incomplete_penetrance_lengthens_the_test_mating() -> None:
    """Arithmetic: of the chicks that would show it, only 86 % or 72.7 % do."""
    assert [chicks_needed(Rational("0.86") / 2, certainty=c) for c in ("95%", "99%")] == [6, 9]
    assert [chicks_needed(Rational("0.727") / 2, certainty=c) for c in ("95%", "99%")] == [7, 11]


def test_many_chicks_from_one_daughter_do_not_prove_her_sire() -> None:
    """Arithmetic: she is clear herself half of the time, so that the doubt never falls below 1/2."""
    for chicks in (1, 10, 100):
        undetected = Rational(1, 2) + Rational(1, 2) * (1 - chance("1/4", chicks))
        assert undetected == Rational(1, 2) + Rational(1, 2) * Rational(3, 4) ** chicks > Rational(1, 2)


def test_an_allele_lost_among_founders() -> None:
    """R. Frankham, J. Ballou and D. Briscoe (from memory): (1 - p) to the 2N."""
    for frequency, sizes in {"0.05": (4, 10, 20, 100), "0.10": (4, 10, 20, 100)}.items():
        for size in sizes:
            lost = chance(frequency, size, at_least=0, at_most=0)
            assert lost == (1 - Rational(frequency)) ** size
    assert float(chance("0.05", 20, at_least=0, at_most=0)) == pytest.approx(0.358485922409, abs=1e-12)
    assert float(chance("0.10", 100, at_least=0, at_most=0)) == pytest.approx(2.65613988876e-05, abs=1e-16)


# ---- the domestic fowl ---------------------------------------------------------------------------------------------

# C. B. Davenport 1909, Inheritance of Characteristics in Domestic Fowl, Carnegie Institution Publ. 121, by page; chi-
# squares and p-values recomputed.  The columns: counts, ratio, chi-square, p.
DAVENPORT = {
    "Silkie x Minorca F2, p. 73": ([210, 95, 57], "9:4:3", 2.166, 0.339),
    "the same, pen 709": ([119, 55, 31], "9:4:3", 1.831, 0.400),
    "the same, pen 804": ([91, 40, 26], "9:4:3", 0.498, 0.780),
    "black F2 x black F2, p. 74": ([64, 23], "3:1", 0.096, 0.757),
    "F1 cock x F2 hens, p. 74": ([40, 13, 14], "9:4:3", 1.146, 0.564),
    "F1 cock x other F2 hens, p. 74": ([30, 14], "3:1", 1.091, 0.296),
    "White Leghorn x Minorca F2, p. 77": ([116, 38], "3:1", 0.009, 0.926),
    "Black x Buff Cochin F2, p. 78": ([61, 25], "3:1", 0.760, 0.383),
    "horned x Y comb, p. 9": ([182, 175], "1:1", 0.137, 0.711),
    "single x Y comb, p. 9": ([95, 95], "1:1", 0.000, 1.000),
    "rumpless x tailed, p. 39": ([27, 28], "1:1", 0.018, 0.893),
    "rumpless x rumpless, p. 39": ([21, 3], "3:1", 2.000, 0.157),
    "long crest x long crest, p. 67": ([12, 5], "3:1", 0.176, 0.674),
    "White Cochin x Tosa F2, p. 81": ([15, 25, 16], "1:2:1", 0.679, 0.712),
}
# Others: M. Li et al. 2019, the chocolate locus; F. A. Hays 1945, American Naturalist, 870 chicks of perfect hatches;
# T. H. Morgan 1919, Sebright x Game, second generation.
OTHERS = {
    "chocolate backcross daughters": ([41, 36], "1:1", 0.325, 0.569),
    "sexes of Rhode Island Red chicks": ([432, 438], "1:1", 0.041, 0.839),
    "Sebright x Game F2, two genes": ([29, 26], "9:7", 0.277, 0.599),
}
# From memory, not seen: W. Landauer and L. C. Dunn 1930, J. Genetics 23 and J. Heredity 21; W. Bateson, E. R. Saunders
# and R. C. Punnett on Andalusians and walnut combs.
FROM_MEMORY = {
    "creeper x creeper": ([775, 388], "2:1", 0.000, 0.983),
    "creeper x normal": ([1676, 1661], "1:1", 0.067, 0.795),
    "frizzle x frizzle": ([23, 50, 20], "1:2:1", 0.720, 0.698),
    "blue x blue Andalusian": ([41, 78, 39], "1:2:1", 0.076, 0.963),
    "walnut F1 x single": ([139, 142, 112, 141], "1:1:1:1", 4.652, 0.199),
}


@pytest.mark.filterwarnings("ignore::pinfeather.errors.SmallExpectationWarning")
@pytest.mark.parametrize("name", [*DAVENPORT, *OTHERS, *FROM_MEMORY])
def test_counts_of_the_fowl_fit_what_was_proposed(name: str) -> None:
    counts, ratio, statistic, p_value = {**DAVENPORT, **OTHERS, **FROM_MEMORY}[name]
    fit = goodness_of_fit(counts, ratio, method="chi-square")
    assert float(fit.statistic) == pytest.approx(statistic, abs=6e-4)
    assert fit.p_value == pytest.approx(p_value, abs=6e-4)
    assert goodness_of_fit(counts, ratio).p_value > Rational(1, 20)


@pytest.mark.parametrize(
    ("counts", "ratio", "statistic", "p_value"),
    [
        # Davenport 1909, p. 7: too many single combs, as young Y combs are misread for them.
        ([289, 471, 226], "1:2:1", 10.01, 0.007),
        # Davenport 1909, p. 21: extra toes fail to show in many heterozygotes.
        ([200, 180], "3:1", 101.4, 0),
        # Davenport 1909, tables 11 and 12, Silkie crosses: the same, less so.
        ([142, 66], "3:1", 5.03, 0.025),
        # T. H. Morgan 1919: hen-feathered and cock-feathered; 3 : 1 is rejected.
        ([29, 26], "3:1", 14.55, 0.00014),
        # Bateson and Punnett's walnut count as it is often quoted (from memory): suspiciously bad.
        ([279, 132, 99, 45], "9:3:3:1", 14.34, 0.0025),
        # J. Wilson 1908, Shorthorn cattle, roan x roan: herd-book records are not free of misreading.
        ([152, 278, 84], "1:2:1", 21.424, 2.2e-5),
    ],
)
def test_bad_data_look_bad(counts: list[int], ratio: str, statistic: float, p_value: float) -> None:
    fit = goodness_of_fit(counts, ratio, method="chi-square")
    assert float(fit.statistic) == pytest.approx(statistic, rel=1e-3)
    assert fit.p_value == pytest.approx(p_value, abs=6e-4)
    assert "fit badly" in str(fit) or "do not fit" in str(fit)
    assert goodness_of_fit(counts, ratio).p_value < Rational(1, 20)


def test_a_ratio_of_two_to_one_is_told_from_three_to_one() -> None:
    """Creeper fowl, 775 : 388 (W. Landauer and L. C. Dunn 1930, J. Genetics 23:397, from memory): the lethal ratio."""
    assert goodness_of_fit([775, 388], "2:1", method="chi-square").statistic == Rational(1, 2326)
    assert goodness_of_fit([775, 388], "3:1", method="chi-square").statistic == Rational(151321, 3489)


def test_white_to_all_white_is_a_fit_and_one_black_would_be_impossible() -> None:
    """Davenport 1909, p. 77: F1 x White Leghorn gave 41 white chicks and no black one."""
    assert goodness_of_fit({"white": 41, "black": 0}, {"white": 1, "black": 0}).p_value == 1
    assert goodness_of_fit({"white": 41, "black": 1}, {"white": 1, "black": 0}).impossible == ("black",)


def test_a_sebright_backcross_is_too_small_to_tell() -> None:
    """Morgan 1919, 2 hen-feathered and 7 cock-feathered sons of the backcross: chi-square gives p = .096 for 1 : 1."""
    with pytest.warns(UserWarning, match="Too few expected"):
        fit = goodness_of_fit([2, 7], "1:1", method="chi-square")
    assert fit.p_value == pytest.approx(0.096, abs=6e-4)
    assert goodness_of_fit([2, 7], "1:1").p_value == Rational(23, 128)


def test_ninety_eight_normal_chicks_exclude_a_second_locus() -> None:
    """F. W. George 1990, J. Heredity 81:107: 98 of 98; two loci would give a quarter without: (3/4)**98 = 6e-13."""
    assert float(1 - chance("1/4", 98)) == pytest.approx(6e-13, rel=0.1)


def test_linkage_of_dominant_white_and_frizzle() -> None:
    """F. B. Hutt 1933, J. Genetics 27 (from memory): 6 of 33 in coupling, 31 of 157 in repulsion."""
    looks = ("white frizzle", "white plain", "coloured frizzle", "coloured plain")
    coupling = dict(zip(looks, ((1 - r) / 2, r / 2, r / 2, (1 - r) / 2), strict=True))
    repulsion = dict(zip(looks, (r / 2, (1 - r) / 2, (1 - r) / 2, r / 2), strict=True))
    first = dict(zip(looks, (15, 2, 4, 12), strict=True))
    second = dict(zip(looks, (18, 63, 63, 13), strict=True))
    assert estimate(first, coupling, r).exact == Rational(6, 33)
    assert estimate(second, repulsion, r).exact == Rational(31, 157)
    both = estimate([first, second], [coupling, repulsion], r)
    assert both.exact == Rational(37, 190)
    # Warren and Hutt 1936, American Naturalist 70:379, from 1,105 gametes: 17.1 %.
    assert both.support_interval[0] < 0.171 < both.support_interval[1]
    assert lod([first, second], [coupling, repulsion], r, at=both.exact) > 3


def test_a_small_hatch_does_not_promise_the_numbers_expected() -> None:
    """Common practice, no source: ten or twenty-five chicks do not guarantee the numbers expected."""
    low, high, _ = likely_range("1/4", 25)
    assert low <= 3
    assert high >= 9
    assert chicks_needed_for_each({"cockerel": "1/8", "pullet": "1/8"}, {"cockerel": 1, "pullet": 1}) > 25
