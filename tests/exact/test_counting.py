"""Binomial, multinomial and negative-binomial sums against plain enumeration and against scipy."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from fractions import Fraction

import numpy
import pytest
import scipy.stats
import sympy
from hypothesis import example, given
from hypothesis import strategies as st

from pinfeather.exact import brackets, counting
from pinfeather.exact.symbolic import WeightRing

weights = st.integers(1, 30)
small = st.integers(1, 6)


def brute_between(wins: int, losses: int, trials: int, low: int, high: int) -> int:
    return sum(math.comb(trials, k) * wins**k * losses ** (trials - k) for k in range(trials + 1) if low <= k <= high)


def brute_enough(parts: Sequence[int], wanted: Sequence[int], rest: int, trials: int) -> int:
    everything = [*parts, rest]
    return sum(
        math.prod(everything[face] for face in throw)
        for throw in itertools.product(range(len(everything)), repeat=trials)
        if all(throw.count(face) >= want for face, want in enumerate(wanted))
    )


def all_tables(parts: int, trials: int) -> list[tuple[int, ...]]:
    return [t for t in itertools.product(range(trials + 1), repeat=parts) if sum(t) == trials]


# ---- one part ------------------------------------------------------------------------------------------------------


@given(st.integers(0, 9), st.integers(0, 9), st.integers(0, 14), st.integers(0, 15), st.integers(0, 15))
@example(0, 3, 5, 0, 0)
@example(3, 0, 5, 5, 5)
@example(3, 0, 5, 1, 4)
@example(2, 3, 5, 1, 5)
@example(2, 3, 5, 0, 4)
@example(2, 3, 5, 1, 4)
@example(2, 3, 4, 3, 9)
def test_a_range_of_counts_weighs_what_its_terms_weigh(
    wins: int, losses: int, trials: int, low: int, high: int
) -> None:
    assert counting.between(wins, losses, trials, low, high) == brute_between(wins, losses, trials, low, high)


@given(weights, weights, st.integers(0, 400), st.integers(0, 400))
def test_binomial_tails_agree_with_scipy(wins: int, losses: int, trials: int, low: int) -> None:
    weight = counting.between(wins, losses, trials, low, trials)
    ours = float(Fraction(weight, (wins + losses) ** trials))
    theirs = scipy.stats.binom.sf(low - 1, trials, wins / (wins + losses))
    assert ours == pytest.approx(theirs, abs=1e-12)


def test_polynomial_weights_are_summed_like_numbers() -> None:
    p = sympy.Symbol("p")
    ring = WeightRing.of([p])
    (wins,), total = ring.whole([p])
    weight = counting.between(wins, total - wins, 5, 2, 4)
    for value in (0, 1, sympy.Rational(1, 3)):
        expected = sum(math.comb(5, k) * value**k * (1 - value) ** (5 - k) for k in (2, 3, 4))
        assert ring.quotient(weight, total**5).subs(p, value) == expected


@given(small, small, st.integers(0, 12), st.integers(1, 99))
def test_the_likeliest_counts_are_those_the_exact_test_does_not_reject(
    wins: int, losses: int, trials: int, percent: int
) -> None:
    """A count is in the range exactly if the counts at most as likely weigh more than what may be left out."""
    everything = (wins + losses) ** trials
    low, high, weight = counting.likeliest(wins, losses, trials, lambda w: 100 * w >= percent * everything)
    kept = [
        k
        for k in range(trials + 1)
        if 100 * counting.as_unlikely((wins, losses), (k, trials - k)) > (100 - percent) * everything
    ]
    assert kept == list(range(low, high + 1))
    assert weight == brute_between(wins, losses, trials, low, high)


def test_counts_that_are_certain_have_a_range_of_one() -> None:
    assert counting.likeliest(0, 3, 5, lambda weight: weight > 0) == (0, 0, 3**5)
    assert counting.likeliest(2, 0, 5, lambda weight: weight > 0) == (5, 5, 2**5)


@pytest.mark.parametrize(("wins", "losses"), [(0, 3), (2, 0), (2, 3), (1, 1)])
def test_the_range_that_need_hold_nothing_is_empty(wins: int, losses: int) -> None:
    low, high, weight = counting.likeliest(wins, losses, 5, lambda weight: weight >= 0)
    assert (low, weight) == (high + 1, 0)


# ---- how many trials -----------------------------------------------------------------------------------------------


@given(small, small, st.integers(1, 5), st.integers(1, 99))
def test_the_number_of_trials_suffices_and_one_fewer_does_not(
    wins: int, losses: int, wanted: int, percent: int
) -> None:
    def suffices(trials: int) -> bool:
        weight = brute_between(wins, losses, trials, wanted, trials)
        return 100 * weight >= percent * (wins + losses) ** trials

    found = counting.trials_for(wins, losses, wanted, (percent, 100))
    assert suffices(found)
    assert not suffices(found - 1)


@given(weights, weights, st.integers(1, 40), st.integers(1, 999))
def test_the_number_of_trials_agrees_with_the_negative_binomial_of_scipy(
    wins: int, losses: int, wanted: int, permille: int
) -> None:
    """scipy works in floats, so its answer is only asked where it is not within a hair of the threshold."""
    found = counting.trials_for(wins, losses, wanted, (permille, 1000))
    failures = scipy.stats.nbinom(wanted, wins / (wins + losses))
    assert failures.cdf(found - wanted) >= permille / 1000 - 1e-12
    assert failures.cdf(found - wanted - 1) < permille / 1000 + 1e-12


def test_a_threshold_that_is_met_exactly_counts_as_met() -> None:
    """After 5 tosses the chance of at least one head is 31/32, and after 11 draws at 1/4 it is 1 - (3/4)**11."""
    assert counting.trials_for(1, 1, 1, (31, 32)) == 5
    exactly = Fraction(4**11 - 3**11, 4**11)
    assert counting.trials_for(1, 3, 1, (exactly.numerator, exactly.denominator)) == 11
    above = exactly + Fraction(1, 10**400)
    assert counting.trials_for(1, 3, 1, (above.numerator, above.denominator)) == 12


def test_a_threshold_that_long_powers_meet_exactly_is_refined_until_it_is_seen() -> None:
    exactly = 1 - Fraction(4095, 4096) ** 300
    assert counting.trials_for(1, 4095, 1, (exactly.numerator, exactly.denominator)) == 300


def test_rare_parts_and_large_wants_are_no_obstacle() -> None:
    assert counting.trials_for(1, 4**10 - 1, 1, (19, 20)) == math.ceil(math.log(0.05) / math.log1p(-(4**-10)))
    assert counting.trials_for(1, 1, 2000, (1, 2)) == 3999


# ---- brackets ------------------------------------------------------------------------------------------------------


@given(st.integers(1, 10**6), st.integers(0, 200), st.integers(8, 64))
def test_a_bracket_holds_the_power_it_stands_for(base: int, exponent: int, bits: int) -> None:
    low, high, shift = brackets.power(base, exponent, bits)
    assert low << shift <= base**exponent <= high << shift
    assert high.bit_length() <= bits + 1


@given(st.lists(st.tuples(st.integers(1, 50), st.integers(0, 60)), min_size=1, max_size=6), st.integers(1, 40))
def test_a_bracket_holds_sums_and_quotients(terms: list[tuple[int, int]], over: int) -> None:
    bits = 16
    number, exact = brackets.bracket(0), Fraction(0)
    for base, exponent in terms:
        number = brackets.total(number, brackets.power(base, exponent, bits), bits)
        exact += base**exponent
    low, high, shift = brackets.scaled(number, 3, over, bits)
    assert low * 2**shift <= exact * 3 / over <= high * 2**shift


def test_brackets_say_when_they_cannot_tell() -> None:
    assert brackets.compared((5, 7, 0), (6, 6, 0)) is None
    assert brackets.compared((5, 5, 1), (10, 10, 0)) == 0
    assert brackets.compared((5, 7, 3), (6, 6, 0)) == 1
    assert brackets.compared((5, 7, 0), (6, 6, 3)) == -1


def test_an_irrational_number_lies_between_its_neighbours() -> None:
    below, above = brackets.neighbours(sympy.sqrt(2) / 2)
    assert below**2 < Fraction(1, 2) < above**2
    assert brackets.neighbours(sympy.Rational(3, 4)) == (Fraction(3, 4), Fraction(3, 4))


# ---- several parts -------------------------------------------------------------------------------------------------


@given(st.lists(st.tuples(small, st.integers(1, 3)), min_size=1, max_size=3), st.integers(0, 4))
@example([(1, 1), (1, 1), (1, 1)], 0)
@example([(2, 2), (2, 2), (3, 1)], 1)
def test_enough_of_each_agrees_with_every_throw_written_out(wants: list[tuple[int, int]], rest: int) -> None:
    parts, wanted = [part for part, _ in wants], [want for _, want in wants]
    stream = counting.enough_of_each(parts, wanted, rest)
    for trials, weight in enumerate(itertools.islice(stream, 7)):
        assert weight == brute_enough(parts, wanted, rest, trials)


@given(st.lists(st.tuples(weights, st.integers(1, 6)), min_size=2, max_size=3), st.integers(0, 30), st.integers(0, 25))
def test_enough_of_each_agrees_with_the_multinomial_of_scipy(
    wants: list[tuple[int, int]], rest: int, trials: int
) -> None:
    parts, wanted = [part for part, _ in wants], [want for _, want in wants]
    total = sum(parts) + rest
    weight = next(itertools.islice(counting.enough_of_each(parts, wanted, rest), trials, None))
    chances = numpy.array([*parts, rest]) / total
    ranges = [range(want, trials + 1) for want in wanted]
    tables = [(*t, trials - sum(t)) for t in itertools.product(*ranges) if sum(t) <= trials]
    theirs = scipy.stats.multinomial.pmf(tables, trials, chances).sum() if tables else 0
    assert float(Fraction(weight, total**trials)) == pytest.approx(theirs, abs=1e-12)


def test_equal_wants_share_their_states() -> None:
    assert counting.states_of_enough([1, 1, 1], [2, 2, 2]) == 4
    assert counting.states_of_enough([1, 1, 2], [2, 1, 2]) == 8
    assert counting.states_of_enough([], []) == 1


def test_nothing_wanted_is_always_there() -> None:
    assert list(itertools.islice(counting.enough_of_each([], [], 3), 4)) == [1, 3, 9, 27]


# ---- whole tables --------------------------------------------------------------------------------------------------


@given(st.lists(small, min_size=1, max_size=5), st.integers(0, 6), st.data())
def test_tables_as_unlikely_agree_with_every_table_written_out(
    parts: list[int], trials: int, data: st.DataObject
) -> None:
    tables = all_tables(len(parts), trials)
    counts = data.draw(st.sampled_from(tables))
    threshold = counting.table_weight(parts, counts)
    expected = sum(w for t in tables if (w := counting.table_weight(parts, t)) <= threshold)
    assert counting.as_unlikely(parts, counts) == expected


@pytest.mark.parametrize("counts", [(2, 7, 7, 21), (3, 5, 9, 20), (1, 8, 13, 15)])
def test_tables_of_weights_beyond_a_float_are_put_in_order_exactly(counts: tuple[int, ...]) -> None:
    """1 : 3 : 3 : 9 and 37 chicks: 9,880 tables, whose weights run to 148 bits; many weigh exactly the same."""
    parts, chicks = (1, 3, 3, 9), sum(counts)
    threshold = counting.table_weight(parts, counts)
    tables = (
        (a, b, c, chicks - a - b - c)
        for a in range(chicks + 1)
        for b in range(chicks + 1 - a)
        for c in range(chicks + 1 - a - b)
    )
    expected = sum(w for table in tables if (w := counting.table_weight(parts, table)) <= threshold)
    assert counting.as_unlikely(parts, counts) == expected


@given(weights, weights, st.integers(1, 300), st.data())
def test_two_parts_agree_with_the_binomial_test_of_scipy(
    wins: int, losses: int, trials: int, data: st.DataObject
) -> None:
    seen = data.draw(st.integers(0, trials))
    ours = Fraction(counting.as_unlikely((wins, losses), (seen, trials - seen)), (wins + losses) ** trials)
    theirs = scipy.stats.binomtest(seen, trials, wins / (wins + losses)).pvalue
    assert float(ours) == pytest.approx(theirs, abs=1e-12)


@given(st.lists(st.tuples(weights, st.integers(0, 20)), min_size=2, max_size=5))
def test_one_table_agrees_with_the_multinomial_of_scipy(cells: list[tuple[int, int]]) -> None:
    parts, counts = [part for part, _ in cells], [count for _, count in cells]
    ours = Fraction(counting.table_weight(parts, counts), sum(parts) ** sum(counts))
    theirs = scipy.stats.multinomial.pmf(counts, sum(counts), numpy.array(parts) / sum(parts))
    assert float(ours) == pytest.approx(theirs, abs=1e-12)


def test_the_steps_are_known_before_they_are_taken() -> None:
    assert counting.steps_of_as_unlikely(2, 100) == 101
    assert counting.steps_of_as_unlikely(4, 60) == 2 * math.comb(62, 2)
