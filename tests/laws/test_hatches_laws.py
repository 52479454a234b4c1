"""Laws that tie the questions about chicks counted to each other, and to the crosses that the chicks come from."""

from __future__ import annotations

import contextlib
import math
from fractions import Fraction

import pytest
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st
from sympy import Rational

from pinfeather.crosses import Offspring, cross
from pinfeather.errors import SmallExpectationWarning
from pinfeather.hatches import (
    chance,
    chance_of_each,
    chicks_needed,
    chicks_needed_for_each,
    eggs_to_set,
    estimate,
    goodness_of_fit,
    heterogeneity,
    likely_range,
    lod,
)
from pinfeather.heredity import Linkage, Locus, Species

r = sympy.Symbol("r")

fractions = st.fractions(Fraction(1, 40), Fraction(39, 40), max_denominator=40)
certainties = st.integers(1, 99).map(lambda percent: f"{percent}%")
hatch = st.lists(st.integers(0, 12), min_size=2, max_size=4).filter(any)
ratio = st.lists(st.integers(1, 9), min_size=4, max_size=4)


def three_classes(draw: st.DrawFn) -> dict[str, Fraction]:
    parts = draw(st.lists(st.integers(1, 9), min_size=4, max_size=4))
    return {name: Fraction(part, sum(parts)) for name, part in zip("abc", parts, strict=False)}


classes = st.composite(three_classes)()
wants = st.fixed_dictionaries({name: st.integers(0, 4) for name in "abc"})


# ---- how many ------------------------------------------------------------------------------------------------------


@given(fractions, st.integers(0, 30), st.integers(0, 31))
def test_enough_or_too_few_is_certain(fraction: Fraction, chicks: int, wanted: int) -> None:
    too_few = chance(fraction, chicks, at_least=0, at_most=wanted - 1) if wanted else 0
    assert chance(fraction, chicks, at_least=wanted) + too_few == 1


@given(fractions, st.integers(0, 20))
def test_the_numbers_of_chicks_average_to_the_expectation(fraction: Fraction, chicks: int) -> None:
    mean = sum(n * chance(fraction, chicks, at_least=n, at_most=n) for n in range(chicks + 1))
    assert mean == Rational(fraction.numerator, fraction.denominator) * chicks


@given(fractions, st.integers(1, 6), certainties)
def test_the_chicks_needed_are_where_the_chance_crosses_the_certainty(
    fraction: Fraction, wanted: int, certainty: str
) -> None:
    needed = chicks_needed(fraction, wanted, certainty)
    threshold = Rational(certainty.rstrip("%")) / 100
    assert chance(fraction, needed, at_least=wanted) >= threshold > chance(fraction, needed - 1, at_least=wanted)


@given(fractions, fractions, st.integers(1, 6), certainties)
def test_a_rarer_class_needs_more_chicks(one: Fraction, other: Fraction, wanted: int, certainty: str) -> None:
    rarer, commoner = sorted((one, other))
    assert chicks_needed(rarer, wanted, certainty) >= chicks_needed(commoner, wanted, certainty)
    assert chicks_needed(rarer, wanted + 1, certainty) > chicks_needed(rarer, wanted, certainty)


@given(fractions, st.integers(1, 4), fractions, fractions)
def test_eggs_that_fail_are_like_chicks_of_a_rarer_class(
    fraction: Fraction, wanted: int, fertility: Fraction, survival: Fraction
) -> None:
    assert eggs_to_set(fraction, wanted, fertility=fertility, survival=survival) == chicks_needed(
        fraction * fertility * survival, wanted
    )


@given(fractions, st.integers(0, 25), st.integers(1, 99))
def test_a_number_is_likely_exactly_if_the_exact_test_does_not_reject_it(
    fraction: Fraction, chicks: int, percent: int
) -> None:
    low, high, coverage = likely_range(fraction, chicks, f"{percent}%")
    assert coverage == chance(fraction, chicks, low, high) >= Rational(percent, 100)
    for number in range(chicks + 1) if chicks else ():
        p_value = goodness_of_fit([number, chicks - number], [fraction, 1 - fraction]).p_value
        assert (low <= number <= high) == (p_value > 1 - Rational(percent, 100))


@given(fractions, st.integers(0, 25), st.integers(1, 99))
def test_no_other_range_with_the_coverage_is_narrower(fraction: Fraction, chicks: int, percent: int) -> None:
    """But for the two ends of equal chance, of which one might do."""
    low, high, _ = likely_range(fraction, chicks, f"{percent}%")
    width = high - low
    for start in range(chicks - width + 2 if width > 1 else 0):
        assert chance(fraction, chicks, start, start + width - 2) < Rational(percent, 100)


# ---- several classes -----------------------------------------------------------------------------------------------


@given(classes, wants, st.integers(0, 14))
def test_all_wants_are_never_likelier_than_one_of_them(
    parts: dict[str, Fraction], wanted: dict[str, int], chicks: int
) -> None:
    together = chance_of_each(parts, wanted, chicks)
    alone = [chance(parts[name], chicks, at_least=count) for name, count in wanted.items()]
    assert 0 <= together <= min(alone)
    assert 1 - together <= sum(1 - single for single in alone)


@given(classes, wants, st.integers(0, 14))
def test_classes_put_together_are_at_least_as_likely(
    parts: dict[str, Fraction], wanted: dict[str, int], chicks: int
) -> None:
    merged = {"ab": parts["a"] + parts["b"], "c": parts["c"]}
    both = {"ab": wanted["a"] + wanted["b"], "c": wanted["c"]}
    assert chance_of_each(merged, both, chicks) >= chance_of_each(parts, wanted, chicks)


@given(classes, wants, st.integers(0, 12), st.permutations("abc"))
def test_the_names_and_their_order_do_not_matter(
    parts: dict[str, Fraction], wanted: dict[str, int], chicks: int, order: list[str]
) -> None:
    renamed = {f"{name}!": parts[name] for name in order}
    again = {f"{name}!": wanted[name] for name in reversed(order)}
    assert chance_of_each(renamed, again, chicks) == chance_of_each(parts, wanted, chicks)


@given(classes, wants.filter(lambda wanted: any(wanted.values())), certainties)
def test_the_chicks_needed_for_each_are_where_the_joint_chance_crosses(
    parts: dict[str, Fraction], wanted: dict[str, int], certainty: str
) -> None:
    needed = chicks_needed_for_each(parts, wanted, certainty)
    threshold = Rational(certainty.rstrip("%")) / 100
    assert chance_of_each(parts, wanted, needed) >= threshold > chance_of_each(parts, wanted, needed - 1)
    assert needed >= max(chicks_needed(parts[name], count, certainty) for name, count in wanted.items() if count)


# ---- goodness of fit -----------------------------------------------------------------------------------------------


@given(hatch, ratio, st.permutations(range(4)))
def test_the_order_of_the_classes_does_not_matter(counts: list[int], parts: list[int], order: list[int]) -> None:
    kept = [place for place in order if place < len(counts)]
    fit = goodness_of_fit(counts, parts[: len(counts)])
    shuffled = goodness_of_fit([counts[n] for n in kept], [parts[n] for n in kept])
    assert (fit.statistic, fit.p_value) == (shuffled.statistic, shuffled.p_value)


@given(hatch, ratio, st.integers(2, 50))
def test_the_scale_of_a_ratio_does_not_matter(counts: list[int], parts: list[int], scale: int) -> None:
    scaled = [scale * part for part in parts[: len(counts)]]
    assert goodness_of_fit(counts, scaled) == goodness_of_fit(counts, parts[: len(counts)])


@given(hatch, ratio)
def test_a_p_value_is_a_chance_and_at_least_that_of_the_counts_themselves(counts: list[int], parts: list[int]) -> None:
    fit = goodness_of_fit(counts, parts[: len(counts)])
    assert 0 < fit.statistic <= fit.p_value <= 1
    assert sum(fit.expected.values()) == fit.chicks


@given(st.lists(st.integers(1, 9), min_size=2, max_size=4), st.integers(1, 4))
def test_counts_that_are_the_expectation_fit_perfectly(parts: list[int], times: int) -> None:
    counts = [part * times for part in parts]
    with pytest.warns(SmallExpectationWarning) if min(counts) < 5 else contextlib.nullcontext():
        large = goodness_of_fit(counts, parts, method="chi-square")
    assert (large.statistic, large.p_value) == (0, 1)


@given(st.lists(st.lists(st.integers(25, 80), min_size=2, max_size=2), min_size=2, max_size=5))
def test_what_differs_between_hatches_is_never_negative(hatches: list[list[int]]) -> None:
    found = heterogeneity(hatches, "1:1")
    assert found.statistic >= 0
    assert found.total_statistic == found.pooled.statistic + found.statistic
    assert found.total_degrees_of_freedom == found.pooled.degrees_of_freedom + found.degrees_of_freedom


@given(st.lists(st.integers(10, 40), min_size=3, max_size=3), st.integers(2, 4))
def test_hatches_in_the_same_proportions_do_not_differ(counts: list[int], times: int) -> None:
    assert heterogeneity([counts, [times * count for count in counts]], "1:1:1").statistic == 0


# ---- estimation ----------------------------------------------------------------------------------------------------

# An invented goose of two linked loci.
GOOSE = Species(
    "Fen goose",
    loci=[Locus("Kn", "knob", ("Kn", "kn+")), Locus("Sv", "saddle", ("Sv", "sv+"))],
    linkage=[Linkage(("Kn", "Sv"), (r,))],
)
HETEROZYGOTES = {"coupling": "Kn Sv/kn+ sv+", "repulsion": "Kn sv+/kn+ Sv"}


def geese(phase: str, other: str) -> Offspring:
    dam = HETEROZYGOTES.get(other, "kn+ sv+/kn+ sv+")
    return cross(GOOSE.genotype(HETEROZYGOTES[phase], sex="male"), GOOSE.genotype(dam, sex="female"))


MATINGS = {
    f"{phase} x {other}": geese(phase, other)
    for phase, other in (
        ("coupling", "coupling"),
        ("repulsion", "repulsion"),
        ("coupling", "tester"),
        ("repulsion", "tester"),
    )
}


@settings(max_examples=15)
@given(st.sampled_from(sorted(MATINGS)), st.fractions(Fraction(1, 20), Fraction(1, 2), max_denominator=20))
def test_counts_that_are_exactly_as_expected_give_the_number_back(mating: str, value: Fraction) -> None:
    """Looks and genotypes alike."""
    chicks = MATINGS[mating]
    true = Rational(value.numerator, value.denominator)
    for expected in (chicks.phenotypes("knob", "saddle"), chicks.genotypes("Kn", "Sv")):
        chances = {name: chance.subs(r, true) for name, chance in expected.items()}
        size = math.lcm(*(int(chance.q) for chance in chances.values()))
        found = estimate({name: int(chance * size) for name, chance in chances.items()}, expected, r)
        assert true in (found.exact, *found.equally_good)
        assert found.fit("likelihood-ratio").statistic == pytest.approx(0, abs=1e-30)


@settings(max_examples=15)
@given(st.lists(st.integers(1, 60), min_size=4, max_size=4))
def test_repulsion_is_coupling_with_the_parental_and_recombinant_looks_swapped(counts: list[int]) -> None:
    looks = list(MATINGS["coupling x tester"].phenotypes("knob", "saddle"))
    seen = dict(zip(looks, counts, strict=True))
    coupling, repulsion = (estimate(seen, MATINGS[f"{phase} x tester"], r) for phase in HETEROZYGOTES)
    assert coupling.exact == 1 - repulsion.exact
    assert coupling.log_likelihood == pytest.approx(repulsion.log_likelihood, abs=1e-12)
    assert coupling.support_interval[0] == pytest.approx(1 - repulsion.support_interval[1], abs=1e-12)


@settings(max_examples=15)
@given(
    st.lists(st.integers(1, 60), min_size=4, max_size=4),
    st.sampled_from(sorted(MATINGS)),
    st.fractions(Fraction(1, 50), Fraction(49, 50), max_denominator=50),
)
def test_no_value_beats_the_estimate(counts: list[int], mating: str, value: Fraction) -> None:
    chicks = MATINGS[mating]
    seen = dict(zip(chicks.phenotypes("knob", "saddle"), counts, strict=True))
    best = estimate(seen, chicks, r)
    assert lod(seen, chicks, r, at=best.exact, against=value) >= -1e-12
    inside = best.support_interval[0] <= value <= best.support_interval[1]
    if inside:
        assert lod(seen, chicks, r, at=best.exact, against=value) <= 2 / math.log(10) + 1e-9


@settings(max_examples=15)
@given(st.lists(st.integers(1, 40), min_size=4, max_size=4), st.integers(2, 5))
def test_more_chicks_of_the_same_proportions_say_the_same_more_firmly(counts: list[int], times: int) -> None:
    chicks = MATINGS["coupling x tester"]
    looks = list(chicks.phenotypes("knob", "saddle"))
    once = estimate(dict(zip(looks, counts, strict=True)), chicks, r)
    often = estimate({look: times * count for look, count in zip(looks, counts, strict=True)}, chicks, r)
    assert once.exact == often.exact
    assert often.standard_error == pytest.approx(once.standard_error / math.sqrt(times), rel=1e-12)
    assert (
        once.support_interval[0] <= often.support_interval[0] <= often.support_interval[1] <= once.support_interval[1]
    )
