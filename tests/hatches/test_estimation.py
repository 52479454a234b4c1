"""What the counts say about a recombination fraction, a penetrance or a frequency."""

from __future__ import annotations

import json
import math

import pytest
import scipy.optimize
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st
from sympy import Rational

from pinfeather.crosses import Offspring, cross
from pinfeather.errors import ArgumentError, ImpossibleError, NotationError, UnknownSymbolError
from pinfeather.exact.distribution import Distribution
from pinfeather.hatches import Estimate, estimate, lod
from pinfeather.heredity import Linkage, Locus, Species, Trait

r, s, f = sympy.symbols("r s f")

# An invented duck: two linked loci with an unknown recombination fraction, and a toe that does not always show.
DUCK = Species(
    "Marsh duck",
    loci=[
        Locus("Tu", "tuft", ("Tu", "tu+")),
        Locus("Bd", "band", ("Bd", "bd+")),
        Locus("Xt", "extra toe", ("Xt", "xt+")),
    ],
    linkage=[Linkage(("Tu", "Bd"), (r,))],
    traits=[
        Trait("head", [("Tu/_", "tufted"), ("", "smooth")]),
        Trait("wing", [("Bd/_", "banded"), ("", "plain")]),
        Trait("foot", [("Xt/_", {"five toes": f, "four toes": 1 - f}), ("", "four toes")]),
    ],
)
LOOKS = ("tufted, banded", "tufted, plain", "smooth, banded", "smooth, plain")


def pair(sire: str, dam: str) -> Offspring:
    return cross(DUCK.genotype(sire, sex="male"), DUCK.genotype(dam, sex="female"))


COUPLING = pair("Tu Bd/tu+ bd+", "Tu Bd/tu+ bd+")
REPULSION = pair("Tu bd+/tu+ Bd", "Tu bd+/tu+ Bd")
BACKCROSS = pair("Tu Bd/tu+ bd+", "tu+ bd+/tu+ bd+")


# ---- designs -------------------------------------------------------------------------------------------------------


def test_an_intercross_in_coupling_and_in_repulsion_gives_the_root_of_the_classical_one() -> None:
    """Both are the classical four classes with t = (1 - r)**2 and t = r**2."""
    counts = dict(zip(LOOKS, (125, 18, 20, 34), strict=True))
    t = (15 + sympy.sqrt(53809)) / 394
    for chicks, expected in ((COUPLING, 1 - sympy.sqrt(t)), (REPULSION, sympy.sqrt(t))):
        found = estimate(counts, chicks, r)
        assert sympy.simplify(found.exact - expected) == 0
        assert found.value == pytest.approx(float(expected), rel=1e-15)


def test_a_backcross_counts_recombinants() -> None:
    found = estimate(dict(zip(LOOKS, (39, 6, 7, 41), strict=True)), BACKCROSS, "r")
    assert found.exact == Rational(13, 93)
    assert found.standard_error == pytest.approx(math.sqrt(13 / 93 * 80 / 93 / 93), rel=1e-12)
    assert found.expected_standard_error == pytest.approx(found.standard_error, rel=1e-12)


def test_the_penetrance_of_selfed_heterozygotes_is_four_thirds_of_those_that_show() -> None:
    found = estimate({"five toes": 60, "four toes": 40}, pair("Xt/xt+", "Xt/xt+"), f)
    assert found.exact == Rational(4, 5)
    assert found.expected == {"five toes": pytest.approx(60), "four toes": pytest.approx(40)}


def test_hatches_of_different_designs_share_a_parameter() -> None:
    together = estimate(
        [dict(zip(LOOKS, (39, 6, 7, 41), strict=True)), dict(zip(LOOKS, (125, 18, 20, 34), strict=True))],
        [BACKCROSS, COUPLING],
        r,
    )
    apart = [
        estimate(dict(zip(LOOKS, (39, 6, 7, 41), strict=True)), BACKCROSS, r),
        estimate(dict(zip(LOOKS, (125, 18, 20, 34), strict=True)), COUPLING, r),
    ]
    assert apart[0].value < together.value < apart[1].value
    assert together.standard_error < min(one.standard_error for one in apart)
    assert together.expected_standard_error == pytest.approx(
        sum(one.expected_standard_error**-2 for one in apart) ** -0.5,
        rel=0.2,
    )
    assert next(iter(together.observed)) == "hatch 1: tufted, banded"
    with pytest.raises(ArgumentError, match="several designs"):
        together.fit()


@settings(max_examples=20)
@given(st.lists(st.integers(1, 150), min_size=4, max_size=4), st.booleans())
def test_the_estimate_is_where_a_numerical_search_ends(counts: list[int], coupling: bool) -> None:
    chicks = COUPLING if coupling else REPULSION
    chances = chicks.phenotypes("head", "wing")
    fractions = [sympy.lambdify(r, chances[look]) for look in LOOKS]

    def minus(x: float) -> float:
        return -sum(n * math.log(fraction(x)) for n, fraction in zip(counts, fractions, strict=True))

    grid = min((minus(x / 400), x / 400) for x in range(1, 400))[1]
    search = scipy.optimize.minimize_scalar(
        minus, bounds=(max(grid - 0.01, 1e-9), min(grid + 0.01, 1 - 1e-9)), method="bounded", options={"xatol": 1e-10}
    )
    found = estimate(dict(zip(LOOKS, counts, strict=True)), chicks, r)
    assert found.log_likelihood >= -search.fun - 1e-9
    assert any(float(value) == pytest.approx(search.x, abs=2e-5) for value in (found.exact, *found.equally_good))


@settings(max_examples=20)
@given(st.lists(st.integers(1, 400), min_size=4, max_size=4))
def test_the_slope_is_zero_at_the_exact_value(counts: list[int]) -> None:
    found = estimate(dict(zip(LOOKS, counts, strict=True)), COUPLING, r)
    chances = COUPLING.phenotypes("head", "wing")
    log = sum(n * sympy.log(chances[look]) for look, n in zip(LOOKS, counts, strict=True))
    if found.standard_error is not None:
        assert abs(sympy.diff(log, r).subs(r, found.exact).evalf(30)) < 1e-20 * sum(counts)


# ---- the border, ties and the range --------------------------------------------------------------------------------


def test_no_recombinant_at_all_leaves_the_maximum_on_the_border() -> None:
    found = estimate({"parental": 10, "recombinant": 0}, {"parental": 1 - r, "recombinant": r}, r)
    assert (found.exact, found.standard_error, found.expected_standard_error) == (0, None, None)
    low, high = found.support_interval
    assert low == 0
    assert high == pytest.approx(1 - math.exp(-0.2), rel=1e-12)
    assert "none, at the border" in str(found)


def test_the_range_may_be_narrowed() -> None:
    counts, chances = {"parental": 3, "recombinant": 7}, {"parental": 1 - r, "recombinant": r}
    assert estimate(counts, chances, r).exact == Rational(7, 10)
    assert estimate(counts, chances, r, between=(0, "1/2")).exact == Rational(1, 2)
    assert estimate(counts, chances, r, between=("80%", 1)).exact == Rational(4, 5)


def test_values_that_the_counts_cannot_tell_apart_are_all_named() -> None:
    """One locus in coupling and one in repulsion: the classes depend on r (1 - r) only."""
    mixed = pair("Tu Bd/tu+ bd+", "Tu bd+/tu+ Bd")
    found = estimate(dict(zip(LOOKS, (110, 42, 40, 8), strict=True)), mixed, r)
    assert len(found.equally_good) == 1
    assert found.value + float(found.equally_good[0]) == pytest.approx(1)
    assert found.value < 0.5
    assert "Equally good" in str(found)
    narrowed = estimate(dict(zip(LOOKS, (110, 42, 40, 8), strict=True)), mixed, r, between=(0, "1/2"))
    assert narrowed.equally_good == ()


def test_the_support_interval_is_as_deep_as_asked() -> None:
    counts, chances = {"parental": 27, "recombinant": 6}, {"parental": 1 - r, "recombinant": r}
    wide, narrow = (estimate(counts, chances, r, support=units) for units in (2, "0.5"))
    assert wide.support_interval[0] < narrow.support_interval[0] < narrow.value
    assert narrow.value < narrow.support_interval[1] < wide.support_interval[1]
    for end in wide.support_interval:
        assert lod(counts, chances, r, at=wide.exact, against=sympy.Float(end)) == pytest.approx(
            2 / math.log(10), rel=1e-9
        )


def test_conditioned_chances_are_rational_functions_and_are_estimated_too() -> None:
    """With those left out that hide the toe, the chances are 3 f / (3 f + 1) and 1 / (3 f + 1)."""
    shares = Distribution.of({"shows": 3 * f / 4, "hides": 3 * (1 - f) / 4, "clear": "1/4"}).given(
        lambda outcome: outcome != "hides"
    )
    found = estimate({"shows": 60, "clear": 25}, shares, f)
    assert found.exact == Rational(4, 5)


# ---- what else the result tells ------------------------------------------------------------------------------------


def test_the_fit_at_the_estimate_costs_a_degree_of_freedom() -> None:
    found = estimate(dict(zip(LOOKS, (125, 18, 20, 34), strict=True)), COUPLING, r)
    fit = found.fit()
    assert fit.degrees_of_freedom == 2
    theirs = sum((n - found.expected[look]) ** 2 / found.expected[look] for look, n in found.observed.items())
    assert fit.statistic == pytest.approx(theirs, rel=1e-12)
    assert found.fit("likelihood-ratio").degrees_of_freedom == 2


def test_an_estimate_reads_as_a_short_table() -> None:
    found = estimate({"parental": 27, "recombinant": 6}, {"parental": 1 - r, "recombinant": r}, r)
    lines = [line.rsplit(maxsplit=1) for line in str(found).splitlines()]
    assert [words for words, _ in lines] == [
        "r", "exactly", "standard error", "lowest well supported", "highest well supported", "chicks counted"
    ]  # fmt: skip
    assert [number for _, number in lines][:3] == ["0.1818", "2/11", "0.0671"]
    assert len({len(line) for line in str(found).splitlines()}) == 1
    assert ">2/11</" in found._repr_html_()


def test_an_estimate_is_ready_for_json() -> None:
    found = estimate(dict(zip(LOOKS, (125, 18, 20, 34), strict=True)), COUPLING, r)
    plain = json.loads(json.dumps(found.to_dict(), allow_nan=False))
    assert plain["parameter"] == "r"
    assert plain["between"] == ["0", "1"]
    assert "sqrt" in plain["exact"]
    assert isinstance(found, Estimate)
    assert found.chicks == 197


# ---- LOD -----------------------------------------------------------------------------------------------------------


@given(st.integers(0, 30), st.integers(0, 30), st.fractions(0, 1))
def test_a_lod_score_is_the_logarithm_of_the_ratio_of_likelihoods(k: int, n: int, value: object) -> None:
    if not k + n or (k and not value) or (n and value == 1):
        return
    chances = {"recombinant": r, "parental": 1 - r}
    likelihood = value**k * (1 - value) ** n
    expected = math.log10(likelihood) + (k + n) * math.log10(2) if likelihood > 1e-300 else None
    found = lod({"recombinant": k, "parental": n}, chances, r, at=value)
    assert expected is None or found == pytest.approx(expected, abs=1e-9)


def test_what_one_value_forbids_speaks_infinitely_against_it() -> None:
    chances = {"recombinant": r, "parental": 1 - r}
    counts = {"recombinant": 2, "parental": 8}
    assert lod(counts, chances, r, at=0) == -math.inf
    assert lod(counts, chances, r, at="1/5", against=0) == math.inf
    with pytest.raises(ImpossibleError, match="neither"):
        lod(counts, chances, r, at=0, against=1)


# ---- bad calls -----------------------------------------------------------------------------------------------------

TWO = {"recombinant": r, "parental": 1 - r}
SEEN = {"recombinant": 2, "parental": 8}
BAD = {
    "a parameter that is not there": (lambda: estimate(SEEN, TWO, "q"), UnknownSymbolError, "'q' in the expectation"),
    "a name that is near": (
        lambda: estimate({"a": 1, "b": 2}, {"a": sympy.Symbol("rec"), "b": 1 - sympy.Symbol("rec")}, "recc"),
        UnknownSymbolError,
        "did you mean 'rec'",
    ),
    "several parameters": (
        lambda: estimate({"a": 1, "b": 2, "c": 1}, {"a": r / 2, "b": s / 2, "c": 1 - r / 2 - s / 2}, r),
        ArgumentError,
        "depends on s besides r",
    ),
    "no parameter at all": (lambda: estimate([3, 1], "3:1", r), UnknownSymbolError, "none at all"),
    "counts that say nothing": (
        lambda: estimate({"a": 5, "b": 0}, {"a": "1/2", "b": r / 2, "c": (1 - r) / 2}, r),
        ArgumentError,
        "say nothing about r",
    ),
    "a class of chance zero": (
        lambda: estimate({"a": 5, "z": 1}, {"a": r, "b": 1 - r, "z": 0}, r),
        ImpossibleError,
        "'z' was counted",
    ),
    "chances that no value allows": (
        lambda: estimate({"a": 1, "b": 1}, {"a": r, "b": 1 - r}, r, between=(1, 2)),
        ArgumentError,
        "no distribution at r=1.5",
    ),
    "chances below zero": (
        lambda: estimate({"a": 1, "b": 1}, {"a": 2 * r - 1, "b": 2 - 2 * r}, r),
        ArgumentError,
        "negative there.*between=",
    ),
    "what is no rational function": (
        lambda: estimate({"a": 1, "b": 1}, {"a": sympy.sqrt(r), "b": 1 - sympy.sqrt(r)}, r),
        ArgumentError,
        "no rational function of r",
    ),
    "chances that do not sum to one": (
        lambda: estimate({"a": 1, "b": 1}, {"a": r, "b": r}, r),
        ValueError,
        "sum to 2\\*r",
    ),
    "a range the wrong way round": (lambda: estimate(SEEN, TWO, r, between=(1, 0)), ArgumentError, "the smaller first"),
    "a range of one": (lambda: estimate(SEEN, TWO, r, between="1/2"), ArgumentError, "pair of numbers"),
    "support in words": (lambda: estimate(SEEN, TWO, r, support="two"), NotationError, "support='two'"),
    "an end of the range in words": (
        lambda: estimate(SEEN, TWO, r, between=(0, "half")),
        NotationError,
        "between='half'",
    ),
    "a value in words": (lambda: lod(SEEN, TWO, r, at="half"), NotationError, "at='half'"),
    "no support": (lambda: estimate(SEEN, TWO, r, support=0), ArgumentError, "above 0"),
    "several hatches, one expectation": (lambda: estimate([SEEN, SEEN], TWO, r), ArgumentError, "as many expectations"),
    "a symbol to be tested": (lambda: lod(SEEN, TWO, r, at=s), ArgumentError, "must be a number"),
    "a value out of range": (lambda: lod(SEEN, TWO, r, at="3/2"), ArgumentError, "no distribution at r=3/2"),
    "a LOD of another parameter": (lambda: lod(SEEN, TWO, "theta", at="1/4"), UnknownSymbolError, "'theta'"),
    "fitting by a test that knows no estimate": (
        lambda: estimate(SEEN, TWO, r).fit("exact"),
        ArgumentError,
        "method='exact'",
    ),
    "a position of chance zero": (lambda: estimate([2, 3, 4], [r, 0, 1 - r], r), ImpossibleError, "class 2"),
    "no degree of freedom left": (lambda: estimate(SEEN, TWO, r).fit(), ArgumentError, "no degree of freedom"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_calls_are_answered(name: str) -> None:
    call, error, words = BAD[name]
    with pytest.raises(error, match=words) as caught:
        call()
    assert "None" not in str(caught.value)
    assert caught.value.fields.get("value", ...) is not None
