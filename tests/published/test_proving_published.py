"""Numbers of chicks for test matings, and a herd's equilibrium, that others have published.  Sources stand beside."""

from __future__ import annotations

from fractions import Fraction

import pytest
import sympy

from pinfeather import Distribution, Locus, Species, Trait, cross, load_fowl
from pinfeather.exact.numbers import exact
from pinfeather.plans import plan_test_mating

FOWL = load_fowl()
LEVELS = ("95%", "99%", "99.9%")


@pytest.mark.parametrize(
    ("mate", "numbers"),
    [
        # J. F. Lasley, Genetics of Livestock Improvement (from memory), prints 5 and 7; the third is arithmetic.
        ("lav/lav", [5, 7, 10]),
        # There 11 and 16; but (3/4)**16 = 0.01002 is above 1 %, so that 17 are needed (recomputed).
        ("Lav+/lav", [11, 17, 25]),
        # R. M. Bourdon, Understanding Animal Breeding, and Lasley print 23 and 35 (from memory).
        ("own daughters", [23, 35, 52]),
    ],
)
def test_chicks_of_a_test_mating_for_three_levels(mate: str, numbers: list[int]) -> None:
    assert [plan_test_mating(FOWL, "Lav+/lav", mate, certainty=level).chicks for level in LEVELS] == numbers


def test_ten_and_sixteen_chicks_of_a_known_carrier_are_one_too_few() -> None:
    """(3/4)**10 = 0.0563 and (3/4)**16 = 0.01002: printed as enough in some lecture notes, and not so."""
    plan = plan_test_mating(FOWL, "Lav+/lav", "Lav+/lav", certainty="99%")
    assert plan.row(10).hidden == exact("59049/1048576")
    assert plan.row(16).hidden == exact("43046721/4294967296")
    assert plan.row(17).hidden == exact("129140163/17179869184")


def test_the_table_of_a_recessive_mate_is_the_power_of_a_half() -> None:
    """The values of four to seven chicks as in lecture notes on animal breeding that give n = 5 and 7."""
    plan = plan_test_mating(FOWL, "Lav+/lav", "lav/lav")
    assert [plan.row(n).hidden for n in (4, 5, 6, 7)] == [exact(s) for s in ("1/16", "1/32", "1/64", "1/128")]


def test_daughters_of_clean_dams_with_one_chick_each_hide_by_powers_of_seven_eighths() -> None:
    plan = plan_test_mating(FOWL, "Lav+/lav", "own daughters")
    for chicks in (22, 23, 34, 35):
        assert plan.row(chicks).hidden == exact(Fraction(7, 8) ** chicks)


def test_chicks_of_one_such_daughter_never_come_below_a_half() -> None:
    plan = plan_test_mating(FOWL, "Lav+/lav", "own daughters", chicks_per_mate="all")
    for chicks in (1, 5, 50):
        assert plan.row(chicks).hidden == exact("1/2") + exact(Fraction(3, 4) ** chicks / 2)
    assert plan.never_below == exact("1/2")
    assert plan.chicks is None


def test_daughters_alone_are_counted_of_a_cock_suspected_on_the_z() -> None:
    plans = [plan_test_mating(FOWL, "B/b+", "B/-", certainty=level) for level in LEVELS]
    assert [(plan.counted, plan.chicks) for plan in plans] == [("daughters", n) for n in (5, 7, 10)]


@pytest.mark.parametrize(("penetrance", "numbers"), [("0.86", [6, 9]), ("0.727", [7, 11])])
def test_a_penetrance_below_one_asks_for_more_chicks(penetrance: str, numbers: list[int]) -> None:
    """A chick is silent with 1 - p/2 in place of 1/2 (arithmetic)."""
    rest = 1 - sympy.Rational(penetrance)
    coat = Trait("coat", [("lav/lav", {"pale": penetrance, "dark": rest}), ("", "dark")])
    species = Species("toy fowl", loci=[Locus("lav", "lavender", ("Lav+", "lav"))], traits=[coat])
    plans = [plan_test_mating(species, "Lav+/lav", "lav/lav", certainty=level) for level in ("95%", "99%")]
    assert [plan.chicks for plan in plans] == numbers


def test_a_sib_of_an_affected_bird_is_cleared_by_bayes_rule() -> None:
    """Carrier with 2/3 beforehand, and 2/(2 + 2**n) after n clean chicks of a recessive mate (standard)."""
    plan = plan_test_mating(FOWL, "Lav+/lav", "lav/lav", prior="2/3")
    assert [1 - plan.row(n).posterior for n in range(8)] == [Fraction(2, 2 + 2**n) for n in range(8)]


@pytest.mark.parametrize(
    ("loci", "numbers"),
    [(1, [5, 7]), (2, [11, 17]), (4, [47, 72]), (6, [191, 293])],
)
def test_one_of_a_rare_class_is_seen_after_as_many_as_tables_say(loci: int, numbers: list[int]) -> None:
    """J. R. Sedcole 1977, Crop Science 17:667-668, for frequencies 1/2, 1/4, 1/16 and 1/64 (table from memory)."""
    symbols = "abcdef"[:loci]
    species = Species(
        "toy fowl",
        loci=[Locus(s, f"gene {s}", (f"{s.upper()}+", s)) for s in symbols],
        traits=[Trait("look", [(" ".join(f"{s}/{s}" for s in symbols), "all"), ("", "other")])],
    )
    carrier = " ".join(f"{s.upper()}+/{s}" for s in symbols)
    mate = " ".join(f"{s}/{s}" for s in symbols)
    clean = " ".join(f"{s.upper()}+/{s.upper()}+" for s in symbols)
    plans = [
        plan_test_mating(species, carrier, mate, certainty=level, if_clean=clean, shows={"look": "all"})
        for level in ("95%", "99%")
    ]
    assert [plan.chicks for plan in plans] == numbers


def test_culling_single_combs_settles_at_the_published_frequency() -> None:
    """(2 - sqrt 2)/4 = 0.1464 of chicks are single, if only R/r+ cocks breed well (Can J Genet Cytol 1965; 7:651)."""
    cock = FOWL.genotype("R/r+", sex="male").restricted_to("R")
    hens = Distribution.of({FOWL.genotype("R/R", sex="female").restricted_to("R"): 1})
    single = []
    for _ in range(12):
        chicks = cross(cock, hens)
        single.append(chicks.fraction("r+/r+"))
        hens = chicks.given("R/_").genotypes("R")
    settled = (2 - sympy.sqrt(2)) / 4
    assert abs(single[-1] - settled) < sympy.Rational(1, 10**7)
    assert round(float(single[-1]), 4) == 0.1464
    # The same by the fixed point: of the hens x = 2 - sqrt 2 carry single.
    x = 2 - sympy.sqrt(2)
    mixed = Distribution.of(
        {FOWL.genotype(g, sex="female").restricted_to("R"): c for g, c in (("R/R", 1 - x), ("R/r+", x))}
    )
    next_hens = cross(cock, mixed).given("R/_")
    assert sympy.simplify(next_hens.fraction("R/r+") - x) == 0
