"""Maxima of likelihoods: exact, in range, and the same as a numerical search finds."""

from __future__ import annotations

import math

import pytest
import scipy.optimize
import sympy
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.exact.likelihood import Likelihood, ratio_of_polynomials
from pinfeather.exact.roots import real_roots
from pinfeather.exact.tails import chi_square, context, digits_of, likelihood_ratio, upper_tail

t = sympy.Symbol("t")
LINKED = [(2 + t) / 4, (1 - t) / 4, (1 - t) / 4, t / 4]
CONDITIONED = [(1 - t) / (1 + t), 2 * t / (1 + t)]
counted = st.lists(st.integers(0, 200), min_size=4, max_size=4)


def likelihood(counts: list[int], chances: list[sympy.Expr], low: object = 0, high: object = 1) -> Likelihood:
    ratios = [ratio_of_polynomials(chance, t) for chance in chances]
    assert None not in ratios
    sizes = (sum(counts),) * len(counts)
    return Likelihood(tuple(counts), sizes, tuple(ratios), sympy.Rational(low), sympy.Rational(high))


@given(counted.filter(lambda counts: counts[1] + counts[2] and counts[3]))
def test_the_exact_maximum_is_where_a_numerical_search_ends(counts: list[int]) -> None:
    found = likelihood(counts, LINKED)
    (best,) = found.best()

    def minus(x: float) -> float:
        return -sum(n * math.log(float(chance.subs(t, x))) for n, chance in zip(counts, LINKED, strict=True) if n)

    search = scipy.optimize.minimize_scalar(
        minus, bounds=(1e-12, 1 - 1e-12), method="bounded", options={"xatol": 1e-10}
    )
    assert float(best) == pytest.approx(search.x, abs=1e-5)
    assert float(found.log_at(digits_of(best))) >= -search.fun - 1e-9


@given(st.integers(1, 500), st.integers(1, 500))
def test_a_ratio_of_polynomials_is_maximised_too(first: int, second: int) -> None:
    """(1 - t) / (1 + t) against 2 t / (1 + t) is a share s = 2 t / (1 + t), so t = s / (2 - s)."""
    share = sympy.Rational(second, first + second)
    assert likelihood([first, second], CONDITIONED).best() == [share / (2 - share)]


def test_the_ends_of_the_range_are_candidates() -> None:
    assert likelihood([10, 0], [1 - t, t]).best() == [0]
    assert likelihood([0, 10], [1 - t, t]).best() == [1]
    assert likelihood([3, 7], [1 - t, t], 0, "1/2").best() == [sympy.Rational(1, 2)]


def test_values_that_are_equally_good_are_all_found() -> None:
    """Nothing tells t from 1 - t when only t (1 - t) matters."""
    found = likelihood([10, 90], [2 * t * (1 - t), 1 - 2 * t * (1 - t)]).best()
    assert len(found) == 2
    assert sympy.simplify(sum(found)) == 1


def test_counts_that_no_value_allows_have_no_maximum() -> None:
    assert likelihood([1, 1], [sympy.Integer(0) * t, sympy.Integer(1) + 0 * t]).best() == []


def test_a_chance_below_zero_is_found_between_its_roots() -> None:
    assert likelihood([1, 1], [2 * t - 1, 2 - 2 * t]).impossible_at() == pytest.approx(0.25)
    assert likelihood([1, 1], [2 * t - 1, 2 - 2 * t], "1/2", 1).impossible_at() is None


def test_what_is_no_ratio_of_polynomials_is_seen() -> None:
    assert ratio_of_polynomials(sympy.sqrt(t), t) is None
    assert ratio_of_polynomials(sympy.sqrt(2) * t, t) is None


def test_the_support_interval_ends_where_the_likelihood_has_fallen_far_enough() -> None:
    found = likelihood([125, 18, 20, 34], LINKED)
    best = digits_of(found.best()[0])
    low, high = found.within(best, 2)
    for end in (low, high):
        assert float(found.log_at(best) - found.log_at(end)) == pytest.approx(2, abs=1e-15)


def test_the_support_interval_stops_at_the_range_and_at_the_first_fall() -> None:
    zero = likelihood([0, 6], [t, 1 - t])
    assert zero.within(digits_of(sympy.Integer(0)), 2)[0] == 0
    # Two hills, at about 0.11 and 0.89, and a deep valley between them.
    hills = likelihood([20, 80], [2 * t * (1 - t), 1 - 2 * t * (1 - t)])
    first = digits_of(hills.best()[0])
    assert hills.within(first, 2)[1] < 0.5


HILLS = [2 * t * (1 - t), 1 - 2 * t * (1 - t)]


@pytest.mark.parametrize(
    ("counts", "chances"), [([125, 18, 20, 34], LINKED), ([30, 70], HILLS), ([30, 70], CONDITIONED)]
)
def test_the_information_is_minus_the_second_derivative(counts: list[int], chances: list[sympy.Expr]) -> None:
    found = likelihood(counts, chances)
    x = sympy.Rational(3, 5)
    log = sum(n * sympy.log(chance) for n, chance in zip(counts, chances, strict=True))
    second = -sympy.diff(log, t, 2).subs(t, x)
    assert float(found.information(digits_of(x))) == pytest.approx(float(second), rel=1e-14)


@pytest.mark.parametrize(
    ("counts", "chances"), [([125, 18, 20, 34], LINKED), ([30, 70], HILLS), ([30, 70], CONDITIONED)]
)
def test_the_expected_information_is_the_size_times_that_of_one(counts: list[int], chances: list[sympy.Expr]) -> None:
    """For one observation it is the sum of p'**2 / p over the classes (R. A. Fisher 1925, Theory of statistical
    estimation, Proceedings of the Cambridge Philosophical Society 22:700-725; from memory).
    """
    x = sympy.Rational(3, 5)
    one = sum((sympy.diff(chance, t) ** 2 / chance).subs(t, x) for chance in chances)
    found = likelihood(counts, chances).expected_information(digits_of(x))
    assert float(found) == pytest.approx(sum(counts) * float(one), rel=1e-14)


def test_a_class_that_cannot_come_out_holds_no_information() -> None:
    found = likelihood([10, 90, 0], [t, 1 - t, 0 * t])
    assert float(found.expected_information(digits_of(sympy.Rational(1, 10)))) == pytest.approx(100 / 0.09)


def test_short_radicals_are_written_out_and_long_ones_are_left_as_roots() -> None:
    def only(polynomial: sympy.Expr) -> sympy.Expr:
        (root,) = real_roots(sympy.Poly(polynomial, t, domain=sympy.QQ), sympy.Integer(0), sympy.Integer(1))
        return root

    assert only(3 * t - 1) == sympy.Rational(1, 3)
    assert only(2 * t**2 - 1) == sympy.sqrt(2) / 2
    assert only(197 * (1 - t) ** 4 - 15 * (1 - t) ** 2 - 68).has(sympy.sqrt(53809))
    assert isinstance(only(t**3 + 5 * t - 1), sympy.CRootOf)
    assert isinstance(only(t**5 + 5 * t - 1), sympy.CRootOf)


def test_roots_are_found_in_the_whole_range_and_put_in_order() -> None:
    """x**4 - 10 x**2 + 1 is the minimal polynomial of sqrt(2) + sqrt(3) and of its conjugates."""
    quartic = sympy.Poly(t**4 - 10 * t**2 + 1, t, domain=sympy.QQ)
    found = real_roots(quartic, sympy.Integer(-4), sympy.Integer(4))
    two, three = sympy.sqrt(2), sympy.sqrt(3)
    assert [root.evalf(30) for root in found] == [
        root.evalf(30) for root in (-two - three, two - three, three - two, two + three)
    ]
    assert not any(root.has(sympy.CRootOf) for root in found)
    several = sympy.Poly((2 * t - 3) * (t**2 - 2) * (t + 5), t, domain=sympy.QQ)
    assert real_roots(several, sympy.Integer(0), sympy.Rational(3, 2)) == [two, sympy.Rational(3, 2)]


def test_where_a_denominator_is_nothing_the_counts_cannot_come_out() -> None:
    found = likelihood([3, 5], [(2 * t - 1) / (2 * t), 1 / (2 * t)])
    assert found.chances_at(digits_of(sympy.Integer(0))) == [context().inf, context().inf]
    assert found.log_at(digits_of(sympy.Integer(0))) == -context().inf
    assert found.best() == [sympy.Rational(4, 5)]


@given(st.floats(0.01, 300), st.integers(1, 60))
def test_the_chi_square_tail_agrees_with_scipy(statistic: float, degrees_of_freedom: int) -> None:
    ours = float(upper_tail(statistic, degrees_of_freedom))
    theirs = float(scipy.stats.chi2.sf(statistic, degrees_of_freedom))
    assert ours == pytest.approx(theirs, rel=1e-11, abs=1e-12)


@pytest.mark.parametrize(("statistic", "freedom"), [(1000.0, 1), (1400.0, 3), (800.0, 12)])
def test_the_chi_square_tail_is_right_far_out(statistic: float, freedom: int) -> None:
    theirs = float(scipy.stats.chi2.sf(statistic, freedom))
    assert 0 < theirs < 1e-150
    assert float(upper_tail(statistic, freedom)) == pytest.approx(theirs, rel=1e-11)


@given(st.lists(st.tuples(st.integers(0, 300), st.integers(1, 20)), min_size=2, max_size=6))
def test_both_statistics_agree_with_scipy(cells: list[tuple[int, int]]) -> None:
    counts, parts = [count for count, _ in cells], [part for _, part in cells]
    if not sum(counts):
        counts[0] = 1
    means = [sympy.Rational(part * sum(counts), sum(parts)) for part in parts]
    floats = [float(mean) for mean in means]
    pearson = scipy.stats.chisquare(counts, floats)
    ratio = scipy.stats.power_divergence(counts, floats, lambda_="log-likelihood")
    ours = chi_square(counts, means)
    assert float(ours) == pytest.approx(pearson.statistic, rel=1e-12, abs=1e-12)
    assert float(upper_tail(digits_of(ours), len(counts) - 1)) == pytest.approx(pearson.pvalue, abs=1e-12)
    assert float(likelihood_ratio(counts, map(digits_of, means))) == pytest.approx(
        ratio.statistic, rel=1e-12, abs=1e-11
    )


def test_our_precision_is_our_own() -> None:
    import mpmath

    before = mpmath.mp.dps
    assert context().dps == 50
    upper_tail(3, 2)
    assert mpmath.mp.dps == before
