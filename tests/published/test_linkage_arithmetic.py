"""Published arithmetic of linkage: gametes, F2 classes, map functions, three loci in a row.

Each check names author, year and work, and says how the printed figure stands against the exact one: OK; ROUNDED
(right up to rounding); WRONG (a slip of the print, with the reason).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
import sympy

from pinfeather import (
    Linkage,
    Locus,
    Species,
    cross,
    gametes,
    haldane,
    inverse_haldane,
    inverse_kosambi,
    kosambi,
)

R = sympy.Symbol("r", positive=True)


def two_loci(recombination: Any) -> Species:
    """Two linked loci, each with a dominant wild type."""
    loci = [Locus("a", "first", ("A+", "a")), Locus("b", "second", ("B+", "b"))]
    return Species("plant", sex_system="XY", loci=loci, linkage=[Linkage(("a", "b"), recombination)])


def classes(species: Species, sire: str, dam: str) -> list[Any]:
    """The fractions of the looks A B, A b, a B, a b among the chicks of two birds."""
    chicks = cross(species.genotype(sire), species.genotype(dam))
    patterns = ("A+/_ B+/_", "A+/_ b/b", "a/a B+/_", "a/a b/b")
    return [chicks.fraction(pattern) for pattern in patterns]


COUPLED, REPULSED, TESTER = "A+ B+/a b", "A+ b/a B+", "a b/a b"


# -- gametes and their F2 ----------------------------------------------------------------------------------------------

SERIES = {
    # n: gametes AB, Ab, aB, ab; F2 classes AB, Ab, aB, ab; F2 as printed
    4: ([3, 1, 1, 3], [41, 7, 7, 9], [49, 7, 7, 9]),
    8: ([7, 1, 1, 7], [177, 15, 15, 49], [177, 15, 15, 49]),
    16: ([15, 1, 1, 15], [737, 31, 31, 225], [737, 31, 31, 225]),
    32: ([31, 1, 1, 31], [3009, 63, 63, 961], [3009, 63, 63, 961]),
    64: ([63, 1, 1, 63], [12161, 127, 127, 3969], [12161, 127, 127, 3969]),
}


@pytest.mark.parametrize("n", SERIES)
def test_coupled_gametes_n_less_one_to_one_give_the_f2_classes_of_punnett(n: int) -> None:
    """R. C. Punnett 1911, Mendelism, 3rd edition, pp. 97-98: OK but for 3 : 1 : 1 : 3, where the print is WRONG.

    It says 49 : 7 : 7 : 9, which adds to 72 and not to the 64 of the four-by-four square; the first class is 41.
    """
    series, exact, printed = SERIES[n]
    species = two_loci(Fraction(1, n))
    for sex in ("male", "female"):
        sorts = gametes(species.genotype(COUPLED), sex)
        assert [2 * n * sorts[text] for text in ("A+ B+", "A+ b", "a B+", "a b")] == series
    total = 4 * n * n
    found = [total * share for share in classes(species, COUPLED, COUPLED)]
    assert found == exact
    assert sum(exact) == total
    assert (found == printed) is (sum(printed) == total)
    assert (n == 4) is (found != printed)


def test_gametes_of_either_phase_are_mirror_images_and_free_at_one_half() -> None:
    """The definition of a recombination fraction: new combinations r/2 each, old ones (1 - r)/2 each."""
    species = two_loci(R)
    coupled, repulsed = (gametes(species.genotype(text), "male") for text in (COUPLED, REPULSED))
    for text, mirrored in (("A+ B+", "A+ b"), ("A+ b", "A+ B+"), ("a b", "a B+"), ("a B+", "a b")):
        new = text in ("A+ b", "a B+")
        assert coupled[text] == repulsed[mirrored] == sympy.expand((R if new else 1 - R) / 2)
        assert coupled[text].subs(R, sympy.Rational(1, 2)) == sympy.Rational(1, 4)


def test_a_test_cross_shows_the_gametes_themselves() -> None:
    """A bird of the double recessive adds nothing of its own, so the looks are the gametes (Mendel 1866)."""
    species = two_loci(R)
    sorts = gametes(species.genotype(COUPLED), "female")
    assert classes(species, TESTER, COUPLED) == [sorts[text] for text in ("A+ B+", "A+ b", "a B+", "a b")]


# -- four classes with a symbol for the recombination fraction -------------------------------------------------------


def four_cells(theta: Any) -> list[Any]:
    """The classes of an F2 by theta, the square of the fraction of ab gametes doubled (Fisher)."""
    return [sympy.expand(cell / 4) for cell in (2 + theta, 1 - theta, 1 - theta, theta)]


def test_a_coupled_f2_has_the_four_cells_of_rao_and_dempster() -> None:
    """A. P. Dempster, N. M. Laird and D. B. Rubin 1977, J. Royal Statistical Society B 39:1-38, section 1 (after Rao).

    Cells (2 + t)/4, (1 - t)/4, (1 - t)/4, t/4 with t = (1 - r)^2 in coupling, r^2 in repulsion.
    """
    species = two_loci(R)
    assert classes(species, COUPLED, COUPLED) == four_cells((1 - R) ** 2)
    assert classes(species, REPULSED, REPULSED) == four_cells(R**2)
    assert classes(species, COUPLED, REPULSED) == four_cells(R * (1 - R))


def score(cells: list[Any], counts: list[int]) -> Any:
    """The derivative by r of the log-likelihood of some counts."""
    return sum(n * sympy.diff(cell, R) / cell for n, cell in zip(counts, cells, strict=True))


LIKELIEST = {
    # counts; phase; theta where the likelihood is greatest; r there; theta as printed
    "Dempster, Laird and Rubin 1977": (
        [125, 18, 20, 34],
        COUPLED,
        (15 + sympy.sqrt(53809)) / 394,
        "0.20827940669",
        ("0.6268214980", "5e-10"),
    ),
    "R. A. Fisher, Statistical Methods for Research Workers, chapter 9": (
        [1997, 906, 904, 32],
        REPULSED,
        (-1655 + sympy.sqrt(3721809)) / 7678,
        "0.188976988654",
        ("0.0357", "5e-5"),
    ),
}


@pytest.mark.parametrize("work", LIKELIEST)
def test_the_published_estimates_make_the_likelihood_of_our_cells_stationary(work: str) -> None:
    """Theta is printed 0.6268214980 (the last digits are ...4979: one unit high) and 0.0357: both ROUNDED.

    Fisher's counts are maize, starchy or sugary by green or white; a much copied root 0.03570979 stopped too early.
    """
    counts, phase, theta, fraction, (printed, tolerance) = LIKELIEST[work]
    root = 1 - sympy.sqrt(theta) if phase == COUPLED else sympy.sqrt(theta)
    cells = classes(two_loci(R), phase, phase)
    assert abs(sympy.N(score(cells, counts).subs(R, root), 30)) < sympy.Rational(1, 10**20)
    assert abs(sympy.N(root - sympy.Rational(fraction), 30)) < sympy.Rational(1, 10**11)
    assert abs(sympy.N(theta - sympy.Rational(printed), 30)) <= sympy.Rational(tolerance)
    if phase == REPULSED:
        early = sympy.sqrt(sympy.Rational("0.03570979"))
        assert abs(sympy.N(score(cells, counts).subs(R, early), 30)) > sympy.Rational(1, 100)


def test_fishers_maize_departs_from_nine_three_three_one_by_chi_square_288() -> None:
    """R. A. Fisher, Statistical Methods for Research Workers, chapter 9, on unlinked loci (r = 1/2): 9940807/34551."""
    counts = [1997, 906, 904, 32]
    cells = classes(two_loci("1/2"), REPULSED, REPULSED)
    assert cells == [sympy.Rational(n, 16) for n in (9, 3, 3, 1)]
    total = sum(counts)
    square = sum((n - total * cell) ** 2 / (total * cell) for n, cell in zip(counts, cells, strict=True))
    assert square == sympy.Rational(9940807, 34551)


# -- map functions -----------------------------------------------------------------------------------------------------

MAP = {
    # centimorgans: recombination fraction by Haldane, by Kosambi
    1: ("0.00990066334662", "0.00999866687997"),
    5: ("0.047581290982", "0.0498339973125"),
    10: ("0.090634623461", "0.0986876601125"),
    20: ("0.164839976982", "0.189974481128"),
    30: ("0.225594181953", "0.268524783499"),
    50: ("0.316060279414", "0.380797077978"),
    100: ("0.432332358382", "0.482013790038"),
}


@pytest.mark.parametrize("distance", MAP)
def test_map_functions_agree_with_their_closed_forms(distance: int) -> None:
    """J. B. S. Haldane 1919, J. Genetics 8:299, (1 - exp(-2d))/2; D. D. Kosambi 1944, Ann. Eugenics 12:172, tanh(2d)/2.

    The formulas were read; the values were computed from them apart from this library.
    """
    for function, value in zip((haldane, kosambi), MAP[distance], strict=True):
        assert abs(sympy.N(function(distance), 30) - sympy.Rational(value)) < sympy.Rational(1, 10**10)


@pytest.mark.parametrize("distance", MAP)
def test_map_functions_and_their_inverses_cancel(distance: int) -> None:
    """Centimorgans into a fraction and back again."""
    assert abs(sympy.N(inverse_haldane(haldane(distance)) - distance, 30)) < sympy.Rational(1, 10**20)
    assert abs(sympy.N(inverse_kosambi(kosambi(distance)) - distance, 30)) < sympy.Rational(1, 10**20)


def test_haldanes_distances_add_where_crossing_over_does_not_interfere() -> None:
    """Haldane 1919: no interference and additive distance are the same; our chain of intervals keeps to it exactly."""
    species = Species(
        "fly",
        sex_system="XY",
        loci=[Locus(s, f"look {s}", (f"{s}+", s)) for s in ("a", "b", "c")],
        linkage=[Linkage(("a", "b", "c"), (haldane(10), haldane(20)))],
    )
    outer = gametes(species.genotype("a+ c+/a c"), "female")
    assert sympy.simplify(outer["a+ c"] + outer["a c+"] - haldane(30)) == 0


# -- three loci in a row -----------------------------------------------------------------------------------------------

WILD = {"Cr": "cr+", "I": "i+", "F": "f+", "pop": "Pop+", "S": "s+", "K": "k+"}


def three_loci(names: tuple[str, str, str], fractions: tuple[Any, Any], chromosome: str = "autosome") -> Species:
    """Three linked loci of the fowl, by the symbols of their mutants; dominance makes no difference here."""
    loci = [Locus(s, f"look {s}", sorted((s, WILD[s])), chromosome=chromosome) for s in names]
    return Species("fowl", loci=loci, linkage=[Linkage(names, fractions)])


def crossings(species: Species, names: tuple[str, str, str], sex: str) -> dict[tuple[bool, bool], Any]:
    """The fraction of gametes with a crossing in the first interval, in the second, in both, in neither."""
    bird = species.genotype(f"{' '.join(names)}/{' '.join(WILD[s] for s in names)}")
    made: dict[tuple[bool, bool], Any] = {}
    for gamete, share in gametes(bird, sex).items():
        mutant = [gamete.alleles(s) == (s,) for s in names]
        where = (mutant[0] != mutant[1], mutant[1] != mutant[2])
        made[where] = made.get(where, 0) + share
    return made


THREE = {
    # loci: (intervals, chromosome, outer fraction without, by Kosambi, with complete interference; observed)
    ("Cr", "I", "F"): (("0.125", "0.171"), "autosome", "0.2533", "0.2727", "0.296", "0.294"),
    ("pop", "S", "K"): (("0.178", "0.024"), "Z", "0.1935", "0.1986", "0.202", "0.190"),
}


@pytest.mark.parametrize("names", THREE)
def test_the_outer_fraction_follows_from_the_two_intervals(names: tuple[str, str, str]) -> None:
    """Warren and Hutt 1936, American Naturalist 70:379 (Cr I F); Bitgood 1999, Poultry Science 78:1100 (pop S K).

    Abstracts read.  Without interference, as this library takes it, the outer fraction comes out below the observed
    0.294 for Cr and F (no double crossover was seen in 284 gametes), and a little above the observed 0.190 for pop
    and K; Kosambi's function and complete interference lie beyond.  The last two columns are arithmetic.
    """
    (one, two), chromosome, free, middle, complete, observed = THREE[names]
    species = three_loci(names, (one, two), chromosome)
    outer = sum(share for (a, b), share in crossings(species, names, "male").items() if a != b)
    assert outer == Linkage(names, (one, two)).fraction(names[0], names[2], "male")
    assert abs(outer - sympy.Rational(free)) <= sympy.Rational(1, 20000)
    added = kosambi(inverse_kosambi(one) + inverse_kosambi(two))
    assert abs(sympy.N(added, 20) - sympy.Rational(middle)) <= sympy.Rational(1, 20000)
    assert sympy.Rational(one) + sympy.Rational(two) == sympy.Rational(complete)
    assert outer < sympy.N(added, 20) < sympy.Rational(complete)
    assert bool(outer < sympy.Rational(observed)) is (names[0] == "Cr")


def test_crest_white_and_frizzle_let_six_double_crossovers_be_expected() -> None:
    """Warren and Hutt 1936: of 284 gametes none was a double crossover; without interference 6.1 would be: ROUNDED."""
    species = three_loci(("Cr", "I", "F"), ("0.125", "0.171"))
    for sex in ("male", "female"):
        doubles = 284 * crossings(species, ("Cr", "I", "F"), sex)[True, True]
        assert doubles == 284 * sympy.Rational(125, 1000) * sympy.Rational(171, 1000)
        assert abs(doubles - sympy.Rational("6.1")) <= sympy.Rational(1, 20)


def test_the_three_loci_agree_with_each_pair_asked_by_itself() -> None:
    """Arithmetic: leaving out the middle locus, or an outer one, must not change the fractions of the others."""
    names = ("Cr", "I", "F")
    species = three_loci(names, ("0.125", "0.171"))
    whole = gametes(species.genotype("Cr I F/cr+ i+ f+"), "male")
    for left, right in (("Cr", "I"), ("I", "F"), ("Cr", "F")):
        pair = gametes(species.genotype(f"{left} {right}/{WILD[left]} {WILD[right]}"), "male")

        def has_both(gamete: Any, left: str = left, right: str = right) -> bool:
            return bool(gamete.alleles(left) == (left,) and gamete.alleles(right) == (right,))

        assert whole.fraction(has_both) == pair[f"{left} {right}"]


def test_hens_hand_on_their_z_unbroken() -> None:
    """Bitgood 1999, Poultry Science 78:1100 (abstract read): on the Z only cocks recombine; hens show no crossing."""
    names = ("pop", "S", "K")
    species = three_loci(names, ("0.178", "0.024"), "Z")
    hen = species.genotype("pop/- S/- K/-")
    assert {str(gamete): share for gamete, share in gametes(hen).items()} == {
        "pop S K": sympy.Rational(1, 2),
        "- - -": sympy.Rational(1, 2),
    }
    cock = gametes(species.genotype("pop S K/Pop+ s+ k+"))
    assert len(cock) == 8


def test_creeper_and_rose_comb_part_by_the_parents_own_fraction() -> None:
    """W. Landauer 1932, J. Genetics, Studies on the Creeper fowl V (abstract read): 0.57 % in hens, 0.13 % in cocks.

    Of 6,627 backcross chicks his 0.36 % are about 24 (the count itself was not seen).
    """
    loci = [Locus("Cp", "creeper", ("Cp", "cp+")), Locus("R", "rose comb", ("R", "r+"))]
    species = Species("fowl", loci=loci, linkage=[Linkage(("Cp", "R"), [("0.0013", "0.0057")])])
    mixed, plain = species.genotype("Cp R/cp+ r+"), species.genotype("cp+/cp+ r+/r+")
    apart = ("Cp/cp+ r+/r+", "cp+/cp+ R/r+")
    assert sum(cross(mixed, plain).fraction(text) for text in apart) == sympy.Rational("0.0013")
    assert sum(cross(plain, mixed).fraction(text) for text in apart) == sympy.Rational("0.0057")
    both = species.extended(linkage=[Linkage(("Cp", "R"), "0.0036")])
    share = sum(cross(both.genotype("Cp R/cp+ r+"), both.genotype("+")).fraction(text) for text in apart)
    assert round(6627 * share) == 24


# -- a three-point test cross ------------------------------------------------------------------------------------------


def test_the_three_point_test_cross_of_vermilion_cut_crossveinless() -> None:
    """A. J. F. Griffiths and others, An Introduction to Genetic Analysis: 1448 flies; 13.2, 6.4 and 18.5 %: ROUNDED.

    18.5 % counts a double crossover as none; the map distance counts it twice and is 19.6.  Interference is printed as
    33 % from a rounded expectation of 12 doubles (from memory); exactly 12.27 are expected without interference, 8 were
    seen, and interference is 0.348.  The split of the parental classes is from memory; nothing here hangs on it.
    """
    first, second, doubles, flies = 89 + 94, 45 + 40, 3 + 5, 1448
    intervals = (Fraction(first + doubles, flies), Fraction(second + doubles, flies))
    assert intervals == (Fraction(191, 1448), Fraction(93, 1448))
    names = ("v", "ct", "cv")
    species = Species(
        "fruit fly",
        sex_system="XY",
        loci=[Locus(s, f"look {s}", (f"{s}+", s), chromosome="X") for s in names],
        linkage=[Linkage(names, intervals)],
    )
    mother, father = species.genotype("v ct cv/v+ ct+ cv+"), species.genotype("v/- ct/- cv/-")
    chicks = cross(father, mother)
    kinds = chicks.phenotypes(*(f"look {s}" for s in names))
    assert len(kinds) == 8
    both = [label for label in kinds if label_differs(label, names)]
    expected = flies * sum(kinds[label] for label in both)
    assert expected == sympy.Rational(191 * 93, 1448)
    assert sympy.Rational(doubles) / expected == sympy.Rational(11584, 17763)
    assert abs(1 - doubles / expected - sympy.Rational("0.3479")) < sympy.Rational(1, 20000)
    for seen, printed in ((intervals[0], "0.132"), (intervals[1], "0.064"), (Fraction(67, 362), "0.185")):
        assert abs(seen - Fraction(printed)) <= Fraction(1, 2000)
    assert Fraction(first + second, flies) == Fraction(67, 362)
    assert Fraction(first + second + 2 * doubles, flies) == sum(intervals) == Fraction(71, 362)


def label_differs(look: Any, names: tuple[str, str, str]) -> bool:
    """Whether the middle locus shows the other form than both its neighbours: a double crossover."""
    shown = [look[f"look {name}"] for name in names]
    mutant = [label == f"look {name}" for name, label in zip(names, shown, strict=True)]
    return bool(mutant[0] == mutant[2] != mutant[1])
