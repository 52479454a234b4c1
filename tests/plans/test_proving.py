"""Test matings: the chance that so many chicks say nothing, weighed over all that suspect and mate may be."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from pinfeather import (
    ArgumentError,
    Distribution,
    ImpossibleError,
    Locus,
    NotationError,
    Species,
    TooLargeError,
    Trait,
    UnknownSymbolError,
    Viability,
    cross,
    load_fowl,
)
from pinfeather.exact.numbers import exact
from pinfeather.plans import ProvingPlan, plan_test_mating
from pinfeather.plans.silence import Silence

FOWL = load_fowl()
LOCI = [Locus(s, f"colour {s}", (f"{s.upper()}+", s)) for s in "abcdefghi"]
PLAIN = Species("toy fowl", loci=LOCI)
shares = st.fractions(0, 1, max_denominator=6)


def test_the_pair_rule_of_mendel_exposes_a_carrier_on_a_recessive_mate() -> None:
    plan = plan_test_mating(FOWL, "Lav+/lav", "lav/lav")
    assert plan.chance_per_chick == exact("1/2")
    assert [row.chance for row in list(plan.table.values())[:4]] == [0, exact("1/2"), exact("3/4"), exact("7/8")]
    assert (plan.counted, plan.never_below, plan.expected_chicks) == ("chicks", 0, exact("31/16"))


@given(
    st.lists(st.tuples(st.integers(1, 5), shares), min_size=1, max_size=3),
    st.integers(0, 7),
    st.sampled_from([None, 1, 2, 3]),
)
def test_silence_is_the_mean_over_mates_of_powers(
    mates: list[tuple[int, Fraction]], chicks: int, per_mate: int | None
) -> None:
    total = sum(weight for weight, _ in mates)
    silence = Silence(((exact(1), tuple((exact(Fraction(w, total)), exact(s)) for w, s in mates)),), per_mate)

    def one_mate(number: int) -> Fraction:
        return sum((Fraction(w, total) * s**number for w, s in mates), Fraction(0))

    left, expected = chicks, Fraction(1)
    while left:
        here = min(left, per_mate or left)
        expected *= one_mate(here)
        left -= here
    assert silence.of(chicks) == exact(expected)


@given(st.lists(st.tuples(st.integers(1, 5), shares), min_size=1, max_size=3), st.fractions("1/50", "49/50"))
def test_the_number_of_chicks_is_the_first_that_is_silent_seldom_enough(
    mates: list[tuple[int, Fraction]], allowed: Fraction
) -> None:
    total = sum(weight for weight, _ in mates)
    silence = Silence(((exact(1), tuple((exact(Fraction(w, total)), exact(s)) for w, s in mates)),))
    number = silence.chicks_for(exact(allowed))
    if number is None:
        assert all(silence.of(chicks) > exact(allowed) for chicks in (10, 100))
        assert silence.never_below >= exact(allowed)
    else:
        assert silence.of(number) <= exact(allowed)
        assert number == 0 or silence.of(number - 1) > exact(allowed)


def test_one_uncertain_mate_may_hide_a_carrier_for_ever_but_a_class_of_mates_does_not() -> None:
    maybe = Distribution.of({FOWL.genotype("Lav+/lav"): "1/2", FOWL.genotype("Lav+/Lav+"): "1/2"})
    one = plan_test_mating(FOWL, "Lav+/lav", maybe)
    assert (one.chicks, one.eggs, one.never_below) == (None, None, exact("1/2"))
    assert one.row(3).hidden == exact("1/2") + exact("1/2") * exact("3/4") ** 3
    assert "Use several mates" in str(one)
    several = plan_test_mating(FOWL, "Lav+/lav", maybe, chicks_per_mate=1)
    assert several.row(3).hidden == exact("7/8") ** 3
    with pytest.raises(ArgumentError, match="no end to count to"):
        _ = one.expected_chicks


def test_chicks_kept_from_a_hatch_serve_as_mates_one_chick_each_or_several() -> None:
    carrier, clean = FOWL.genotype("Lav+/lav"), FOWL.genotype("+")
    kept = cross(carrier, clean).given(sex="female")
    assert plan_test_mating(FOWL, carrier, kept).row(2).hidden == exact("7/8") ** 2
    two_each = plan_test_mating(FOWL, carrier, kept, chicks_per_mate=2)
    assert two_each.row(4).hidden == (exact("1/2") + exact("1/2") * exact("9/16")) ** 2
    assert two_each.eggs is None


def test_own_sons_serve_a_hen_and_own_daughters_do_not() -> None:
    plan = plan_test_mating(FOWL, "Lav+/lav", "own sons")
    assert "own sons by" in plan.mate
    with pytest.raises(ArgumentError, match="the suspect is female"):
        plan_test_mating(FOWL, "Lav+/lav", "own daughters", sex="female")


def test_own_daughters_by_a_carrier_dam_tell_sooner() -> None:
    """Daughters: 1/4 lavender, 1/2 carriers, 1/4 clean; so 1/4 x 1/2 + 1/2 x 3/4 + 1/4 of the chicks are silent."""
    plan = plan_test_mating(FOWL, "Lav+/lav", "own daughters", by="Lav+/lav")
    assert plan.row(1).hidden == exact("3/4")


def test_a_cock_suspected_on_the_z_is_judged_by_his_daughters() -> None:
    plan = plan_test_mating(FOWL, "B/b+", "B/-")
    assert (plan.counted, plan.chicks, plan.eggs) == ("daughters", 5, 11)
    assert plan.chance_per_chick == exact("1/2")
    on_recessive = plan_test_mating(FOWL, "B/b+", "b+/-")
    assert (on_recessive.counted, on_recessive.eggs) == ("chicks", 5)


def test_a_hen_hides_nothing_on_her_only_z() -> None:
    with pytest.raises(ImpossibleError, match="what she has, she shows"):
        plan_test_mating(FOWL, "B/-", "b+/b+")


def test_a_lethal_recessive_is_tested_on_a_carrier_and_tells_in_the_egg() -> None:
    plan = plan_test_mating(FOWL, "Ta-2+/ta-2", "Ta-2+/ta-2")
    assert (plan.counted, plan.chance_per_chick, plan.chicks) == ("fertile eggs", exact("1/4"), 11)
    assert [caution.pattern for caution in plan.cautions] == ["ta-2/ta-2"]
    assert "veterinarian" in str(plan)
    with pytest.raises(ImpossibleError, match="tells nothing"):
        plan_test_mating(FOWL, "Ta-2+/ta-2", "Ta-2+/ta-2", open_eggs=False)


def test_half_lethal_embryos_and_the_survivors_look_both_tell() -> None:
    """Of the fertile eggs a quarter are fs/fs: half of these die in the egg and half shake after hatch."""
    plan = plan_test_mating(FOWL, "Fs+/fs", "Fs+/fs")
    assert (plan.counted, plan.chance_per_chick) == ("fertile eggs", exact("1/4"))


def test_other_deaths_in_the_egg_say_nothing_and_are_not_counted() -> None:
    """Both parents are creepers: a quarter of the embryos die of that, clean suspect or not."""
    plan = plan_test_mating(FOWL, "Cp/cp+ Mo+/mo", "Cp/cp+ mo/mo", if_clean="Cp/cp+")
    assert (plan.counted, plan.chance_per_chick) == ("chicks", exact("1/2"))
    assert [caution.pattern for caution in plan.cautions] == ["Cp/Cp"]


def test_two_lethal_causes_kill_independently() -> None:
    species = Species(
        "toy fowl",
        loci=LOCI[:2],
        viability=[Viability("a/a", "1/2", "embryo"), Viability("b/b", 0, "embryo")],
    )
    plan = plan_test_mating(species, "A+/a B+/b", "A+/a B+/b", shows=None)
    both = plan._every[frozenset("ab")].of(1)
    # Silent are eggs that are neither a/a nor b/b: those at a/a that live show it.
    assert both == exact("9/16")


def test_fertility_and_hatch_make_eggs_of_chicks() -> None:
    plan = plan_test_mating(FOWL, "Lav+/lav", "lav/lav", fertility="4/5", hatch_of_fertile="3/4", survival="5/6")
    silent = Fraction(3, 4)
    assert plan.eggs == next(n for n in range(50) if silent**n <= Fraction(1, 20))
    assert plan.chicks == 5


def test_several_suspects_side_by_side_ask_for_more_chicks_of_each() -> None:
    plan = plan_test_mating(FOWL, "Lav+/lav", "lav/lav", birds=3)
    enough = next(n for n in range(50) if (1 - Fraction(1, 2**n)) ** 3 >= Fraction(19, 20))
    assert plan.chicks == enough == 6
    assert plan.row(6).posterior == exact(Fraction(64, 65) ** 3)
    mixed = plan_test_mating(FOWL, "Lav+/lav", "lav/lav", birds=2, prior=["1/2", "2/3"])
    assert mixed.row(1).posterior == exact("2/3") * exact("1/2")


def test_several_loci_on_one_mate_are_judged_each_and_all_together() -> None:
    plan = plan_test_mating(PLAIN, "A+/a B+/b", "a/a B+/b", prior={"a": "1/2", "b": "1/3"})
    assert plan.loci == ("a", "b")
    assert (plan.at("a").chicks, plan.at("b").chicks, plan.chicks) == (5, 11, 11)
    silent = {(): Fraction(1), ("a",): Fraction(1, 2), ("b",): Fraction(3, 4), ("a", "b"): Fraction(3, 8)}
    prior = {(): Fraction(1, 3), ("a",): Fraction(1, 3), ("b",): Fraction(1, 6), ("a", "b"): Fraction(1, 6)}
    total = sum(prior[held] * silent[held] ** 4 for held in prior)
    assert plan.row(4).posterior == exact(prior[()] / total)
    with pytest.raises(UnknownSymbolError, match="no locus 'c'"):
        plan.at("c")


def test_a_mate_that_tells_of_one_locus_only_is_refused_with_the_other_named() -> None:
    with pytest.raises(ImpossibleError, match="at b"):
        plan_test_mating(PLAIN, "A+/a B+/b", "a/a")


def test_odds_of_the_suspect_are_its_prior() -> None:
    odds = Distribution.of({PLAIN.genotype("A+/a"): "2/3", PLAIN.genotype("A+/A+"): "1/3"})
    assert plan_test_mating(PLAIN, odds, "a/a").row(2).posterior == exact("2/3")
    with pytest.raises(ArgumentError, match="say it already"):
        plan_test_mating(PLAIN, odds, "a/a", prior="1/3")
    with pytest.raises(ArgumentError, match="both the clean bird"):
        plan_test_mating(PLAIN, Distribution.of({PLAIN.genotype("A+/a"): 1}), "a/a")


def test_the_phases_of_a_linked_carrier_are_weighed() -> None:
    """In coupling or repulsion, the first recessive chick is as likely; the two phases count half each."""
    phases = FOWL.genotype("P/p+ O/o+", phase="unknown")
    plan = plan_test_mating(FOWL, phases, "p+/p+ o+/o+", if_clean="P/P O/O")
    assert plan.suspect.count(" or ") == 1
    coupling = plan_test_mating(FOWL, "P O/p+ o+", "p+/p+ o+/o+", if_clean="P/P O/O")
    repulsion = plan_test_mating(FOWL, "P o+/p+ O", "p+/p+ o+/o+", if_clean="P/P O/O")
    mean = (coupling.row(3).hidden + repulsion.row(3).hidden) / 2
    assert plan.row(3).hidden == mean


def test_the_sequential_reading_says_where_one_stands() -> None:
    plan = plan_test_mating(FOWL, "Lav+/lav", "lav/lav", prior="2/3", certainty="99%", after=6)
    standing = plan.standing
    assert (standing.chance, standing.posterior) == (exact("63/64"), exact("32/33"))
    assert (standing.chicks_more, standing.chicks_more_for_posterior) == (1, 2)
    assert "After 6 clean" in str(plan)
    assert "which is what is asked" in str(plan.after(8))


def test_symbols_go_through_to_the_table() -> None:
    q, p = sympy.symbols("q p")
    coat = Trait("coat", [("a/a", {"pale": q, "dark": 1 - q}), ("", "dark")])
    species = Species("toy fowl", loci=LOCI[:1], traits=[coat])
    plan = plan_test_mating(species, "A+/a", "a/a", prior=p)
    assert sympy.expand(plan.row(2).chance - (1 - (1 - q / 2) ** 2)) == 0
    expected = (1 - p) / (1 - p + p * (1 - q / 2))
    assert sympy.simplify(plan.row(1).posterior - expected) == 0
    assert "q/2" in str(plan)
    with pytest.raises(ArgumentError, match="depends on"):
        _ = plan.chicks
    with pytest.raises(ArgumentError, match="depends on"):
        _ = plan.chicks_for_posterior


def test_the_look_that_tells_can_be_named() -> None:
    plan = plan_test_mating(FOWL, "Lav+/lav", "lav/lav", shows={"lavender": "lavender"})
    assert plan.tells == "lavender: lavender"
    assert plan.chicks == 5


def test_a_white_mate_hides_what_she_is_to_show_only_in_white_chicks() -> None:
    """Of a carrier of lavender mated to a white lavender hen, no chick is white, so half are lavender."""
    assert plan_test_mating(FOWL, "Lav+/lav", "c/c lav/lav").chance_per_chick == exact("1/2")
    # Mated to a carrier of white too, a quarter of the chicks are white and say nothing of lavender.
    plan = plan_test_mating(FOWL, "C+/c Lav+/lav", "C+/c lav/lav", if_clean="C+/c")
    assert plan.chance_per_chick == exact("3/8")


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        ({"prior": 0}, ArgumentError, "known to be clean"),
        ({"prior": 1}, ArgumentError, "known to be a carrier"),
        ({"prior": "3/2"}, ArgumentError, "between 0 and 1"),
        ({"prior": {"b": "1/2"}}, UnknownSymbolError, "no locus 'b'"),
        ({"prior": ["1/2", "1/3"]}, ArgumentError, "one prior for each"),
        ({"certainty": "100%"}, ArgumentError, "cannot be had"),
        ({"mate": "+"}, ImpossibleError, "Take a mate that shows, or is known to carry"),
        ({"mate": 3}, ArgumentError, "must be a Genotype"),
        ({"if_carrier": "a/a"}, ArgumentError, "hides nothing"),
        ({"if_carrier": "A+/x"}, UnknownSymbolError, "no allele 'x'"),
        ({"if_carrier": ""}, NotationError, "empty"),
        ({"if_carrier": " ".join(f"{s.upper()}+/{s}" for s in "abcdefghi")}, TooLargeError, "9 loci"),
        ({"shows": {"colour a": "A"}}, (UnknownSymbolError, ArgumentError), "A"),
        ({"shows": {}}, ArgumentError, "must name a look"),
        ({"shows": {"sex": "male"}}, ArgumentError, "a sex tells nothing"),
        ({"by": "A+/a"}, ArgumentError, "other parent of own chicks"),
        ({"birds": 0}, ArgumentError, "at least 1"),
        ({"after": -1}, ArgumentError, "at least 0"),
        ({"chicks_per_mate": 0}, ArgumentError, "at least 1"),
        ({"fertility": 0}, ArgumentError, "hatches nothing"),
    ],
)
def test_what_cannot_be_planned_is_refused(arguments: Mapping[str, object], error: type[Exception], words: str) -> None:
    asked: dict[str, object] = {"if_carrier": "A+/a", "mate": "a/a", **arguments}
    with pytest.raises(error, match=words):
        plan_test_mating(PLAIN, **asked)  # type: ignore[arg-type]


def test_a_look_that_clean_chicks_show_too_is_refused() -> None:
    with pytest.raises(ArgumentError, match="proves nothing"):
        plan_test_mating(FOWL, "Lav+/lav", "lav/lav", shows={"lavender": "not lavender"})


def test_two_birds_of_one_sex_are_refused() -> None:
    hen = FOWL.genotype("lav/lav", sex="female")
    with pytest.raises(ArgumentError, match="and so is the suspect"):
        plan_test_mating(FOWL, FOWL.genotype("Lav+/lav", sex="female"), hen)
    assert plan_test_mating(FOWL, "Lav+/lav", hen).chicks == 5


def test_the_mates_notation_may_tell_which_of_the_two_is_the_cock() -> None:
    plan = plan_test_mating(FOWL, "Lav+/lav", "lav/lav S/s+")
    assert (plan.chicks, plan.counted) == (5, "chicks")


def test_the_plan_is_shown_as_text_html_and_plain_records() -> None:
    plan: ProvingPlan = plan_test_mating(FOWL, "Lav+/lav", "lav/lav")
    assert "To expose a carrier with a chance of 95 %: 5 chicks, all clean." in str(plan)
    assert ">carrier exposed</" in plan._repr_html_()
    assert plan.to_records()[1] == {"chicks": 1, "chance": "1/2", "posterior": "2/3"}
