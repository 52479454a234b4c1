"""Is this hatch what I expected?  Goodness of fit."""

from __future__ import annotations

import math
import warnings
from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown
from pinfeather._tables import Table
from pinfeather.errors import ArgumentError, SmallExpectationWarning, TooLargeError
from pinfeather.exact import counting, tails
from pinfeather.exact.numbers import exact, fraction_of
from pinfeather.hatches.expectations import Comparison, compare
from pinfeather.hatches.layout import (
    brief,
    decimal_text,
    how_often,
    percent_text,
    short_p,
    statistic_text,
)

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.hatches.expectations import Expected, Observed

METHODS = ("exact", "chi-square", "likelihood-ratio")
_LEAST_EXPECTED = 5
_LARGEST_ENUMERATION = 2_000_000
METHOD_NAMES = {"exact": "exact test", "chi-square": "chi-square", "likelihood-ratio": "likelihood ratio"}


@attrs.frozen
class FitResult(Shown):
    """How well the counts of a hatch fit what was expected; made by :func:`goodness_of_fit`.

    Attributes
    ----------
    method : str
        ``"exact"``, ``"chi-square"`` or ``"likelihood-ratio"``.
    observed : dict of str to int
        Chicks counted, by class.
    expected : dict of str to sympy.Rational
        Chicks expected among as many, by class (floats where the expectation is irrational).
    statistic : sympy.Rational or float
        For the exact test, the probability of exactly these counts; for chi-square, the exact value of Pearson's
        statistic; for the likelihood ratio, a float.  Infinite where a class was seen that cannot come out.
    degrees_of_freedom : int
        Classes that can come out, less one, less the parameters that were estimated.
    p_value : sympy.Rational or float
        The chance of counts at least as far off if the expectation is right: exact for the exact test, a float from
        the chi-square distribution otherwise.
    impossible : tuple of str
        Classes that were seen though they cannot come out.
    warning : str
        What speaks against the test; empty if nothing does.

    Examples
    --------
    >>> from pinfeather import goodness_of_fit
    >>> fit = goodness_of_fit({"black": 64, "game": 23}, "3:1")
    >>> print(fit)
    class  counted  expected
    black       64     65.25
    game        23     21.75
    total       87        87
    exact test: p = 0.804
    These counts fit: by chance alone 80.4 % of such hatches come out as far off, or further.
    """

    method: str
    observed: dict[str, int] = attrs.field(hash=False)
    expected: dict[str, Any] = attrs.field(hash=False)
    statistic: Any = attrs.field(repr=brief)
    degrees_of_freedom: int
    p_value: Any = attrs.field(repr=brief)
    impossible: tuple[str, ...] = ()
    warning: str = ""

    @property
    def chicks(self) -> int:
        """All chicks that were counted."""
        return sum(self.observed.values())

    def _facts(self) -> Record:
        return attrs.asdict(self, recurse=False)

    def _records(self) -> list[Record]:
        return [
            {
                "class": name,
                "counted": counted,
                "expected": self.expected[name],
                "impossible": name in self.impossible,
            }
            for name, counted in self.observed.items()
        ]

    def _table(self) -> Table:
        rows = [(name, str(n), decimal_text(self.expected[name])) for name, n in self.observed.items()]
        rows.append(("total", str(self.chicks), str(self.chicks)))
        return Table(("class", "counted", "expected"), rows, below=self._remarks())

    def _remarks(self) -> list[str]:
        if self.impossible:
            seen = ", ".join(f"{self.observed[name]} {name!r}" for name in self.impossible)
            return [
                f"Impossible, not merely unlikely: {seen}.",
                "Look for a wrong parent, a misread chick, a wrong genotype on record, or a label put on twice.",
            ]
        return [self._figures(), *([self.warning] if self.warning else []), self._verdict()]

    def _figures(self) -> str:
        p = f"p = {short_p(self.p_value)}"
        if self.method == "exact":
            return f"{METHOD_NAMES[self.method]}: {p}"
        freedom = f"{self.degrees_of_freedom} degree{'s' * (self.degrees_of_freedom != 1)} of freedom"
        return f"{METHOD_NAMES[self.method]}: {statistic_text(self.statistic)} with {freedom}, {p}"

    def _verdict(self) -> str:
        if self.p_value >= Fraction(1, 20):
            share = percent_text(self.p_value)
            return f"These counts fit: by chance alone {share} of such hatches come out as far off, or further."
        doubt = "do not fit" if self.p_value < Fraction(1, 100) else "fit badly"
        return f"These counts {doubt}: by chance alone only {how_often(self.p_value)} comes out so far off."


def goodness_of_fit(
    observed: Observed,
    expected: Expected,
    method: str = "exact",
    *,
    traits: str | Sequence[str] = (),
    loci: str | Sequence[str] = (),
    estimated: int = 0,
    largest_enumeration: int = _LARGEST_ENUMERATION,
) -> FitResult:
    """Compare the counts of a hatch with what was expected.

    Parameters
    ----------
    observed : mapping of class to count, or sequence of counts
        Whole numbers.  Classes are named as they print; a plain sequence goes with a ratio.
    expected : Offspring, Distribution, mapping of class to chance, or ratio
        An Offspring is asked by the traits or loci named, or by those whose labels the classes are.  Chances sum to
        one, or are whole numbers in a ratio.  A ratio such as ``"9:3:3:1"`` is matched to the classes in their order.
    method : {"exact", "chi-square", "likelihood-ratio"}
        The exact multinomial test adds the probabilities of all counts that are at most as likely as those observed.
        The other two are large-sample tests.
    traits, loci : str or sequence of str
        By what the chicks of an Offspring were counted; ``"sex"`` counts as a trait.
    estimated : int
        Parameters of the expectation that were estimated from the same chicks; each costs a degree of freedom.
    largest_enumeration : int
        Steps that the exact test may take before it is refused.

    Returns
    -------
    FitResult

    Raises
    ------
    ArgumentError
        If a count is negative or not whole, the expectation holds an unknown parameter, or arguments contradict.
    DefinitionError
        If the expected chances do not sum to one.
    UnknownSymbolError
        If a class that was counted is unknown to the expectation; the nearest is suggested.
    TooLargeError
        If the exact test would take too many steps; chi-square is then the way.

    Warns
    -----
    SmallExpectationWarning
        If a large-sample test is asked of a class with fewer than five chicks expected.

    Notes
    -----
    A fit proves nothing: a small hatch fits many expectations.  A class of chance zero that was seen makes the
    expectation impossible, and the p-value zero.

    References
    ----------
    K. Pearson 1900, Philosophical Magazine 50:157-175; R. A. Fisher 1936, Annals of Science 1:115-137, for what such
    tests made of Mendel's counts.  That fewer than five expected are too few is common practice, no source.

    Examples
    --------
    >>> from pinfeather import goodness_of_fit
    >>> peas = goodness_of_fit([315, 108, 101, 32], "9:3:3:1", method="chi-square")
    >>> peas.statistic, round(peas.p_value, 4)
    (196/417, 0.9254)
    """
    _checks.choice(method, "method", METHODS)
    _checks.whole_number(estimated, "estimated")
    _checks.whole_number(largest_enumeration, "largest_enumeration", 1)
    comparison = compare(observed, expected, traits, loci)
    without_parameters(comparison)
    if estimated and method == "exact":
        message = 'the exact test knows no estimated parameters; use method="chi-square" or "likelihood-ratio"'
        raise ArgumentError(message, argument="estimated", value=estimated)
    result = compared(comparison, method, estimated, largest_enumeration)
    if result.warning:
        warnings.warn(result.warning, SmallExpectationWarning, stacklevel=2)
    return result


def without_parameters(comparison: Comparison) -> None:
    """Refuse an expectation that holds an unknown number."""
    names = sorted({str(symbol) for chance in comparison.chances for symbol in chance.free_symbols})
    if names:
        message = (
            f"the expectation depends on {', '.join(names)}; put a number in with .substituted({{...}}), or let "
            "estimate(...) find it from the counts"
        )
        raise ArgumentError(message, argument="expected", value=names)


def compared(comparison: Comparison, method: str, estimated: int = 0, largest: int = 0) -> FitResult:
    """The fit of counts and chances that have been put side by side."""
    possible = [n for n, chance in enumerate(comparison.chances) if chance != 0]
    means = _means(comparison)
    freedom = len(possible) - 1 - estimated
    if estimated and freedom < 1:
        message = (
            f"no degree of freedom is left: with {estimated} estimated, {len(possible)} classes fit whatever the counts"
        )
        raise ArgumentError(message, argument="estimated", value=estimated)
    statistic, p_value, warning = _impossible(method)
    if not comparison.impossible:
        counts = [comparison.counts[n] for n in possible]
        if method == "exact":
            chances = [comparison.chances[n] for n in possible]
            statistic, p_value = _exact_test(counts, chances, largest)
        else:
            statistic, p_value = _large_sample_test(counts, [means[n] for n in possible], method, freedom)
            warning = _small([comparison.classes[n] for n in possible], [means[n] for n in possible])
    return FitResult(
        method=method,
        observed=dict(zip(comparison.classes, comparison.counts, strict=True)),
        expected=dict(zip(comparison.classes, map(_as_result, means), strict=True)),
        statistic=statistic,
        degrees_of_freedom=freedom,
        p_value=p_value,
        impossible=comparison.impossible,
        warning=warning,
    )


def _impossible(method: str) -> tuple[Any, Any, str]:
    return (exact(0), exact(0), "") if method == "exact" else (math.inf, 0.0, "")


def _means(comparison: Comparison) -> list[Any]:
    """The expected counts: Fractions, or to fifty digits where a chance is irrational."""
    rational = all(chance.is_Rational for chance in comparison.chances)
    read = fraction_of if rational else tails.digits_of
    return [read(chance) * comparison.chicks for chance in comparison.chances]


def _as_result(value: Any) -> Any:
    return exact(value) if isinstance(value, Fraction) else float(value)


def _exact_test(counts: Sequence[int], chances: Sequence[Expr], largest: int) -> tuple[Expr, Expr]:
    if not all(chance.is_Rational for chance in chances):
        message = (
            'the exact test needs rational chances, and these are irrational; use method="chi-square", or give the '
            "recombination fraction as a number such as 9/100"
        )
        raise ArgumentError(message, argument="expected", value=list(chances))
    parts, denominator = _over_one_denominator([fraction_of(chance) for chance in chances])
    chicks = sum(counts)
    # Two classes take few steps, but of numbers that grow with the hatch: their length counts too.
    steps = max(counting.steps_of_as_unlikely(len(counts), chicks), chicks * denominator.bit_length())
    if steps > largest:
        message = (
            f"the exact test of {chicks} chicks in {len(counts)} classes would take {steps:,} steps, more than "
            f'{largest:,}; use method="chi-square", put classes together, or raise largest_enumeration'
        )
        raise TooLargeError(message, size=steps, limit=largest)
    total = exact(denominator) ** chicks
    return exact(counting.table_weight(parts, counts)) / total, exact(counting.as_unlikely(parts, counts)) / total


def _over_one_denominator(chances: Sequence[Fraction]) -> tuple[list[int], int]:
    denominator = math.lcm(*(chance.denominator for chance in chances))
    return [chance.numerator * (denominator // chance.denominator) for chance in chances], denominator


def _large_sample_test(counts: Sequence[int], means: Sequence[Any], method: str, freedom: int) -> tuple[Any, float]:
    statistic = (tails.chi_square if method == "chi-square" else tails.likelihood_ratio)(counts, means)
    return _as_result(statistic), float(tails.upper_tail(statistic, freedom))


def _small(classes: Sequence[str], means: Sequence[Any]) -> str:
    small = [f"{decimal_text(m)} {name!r}" for name, m in zip(classes, means, strict=True) if m < _LEAST_EXPECTED]
    if not small or len(classes) < 2:
        return ""
    return f"Too few expected for a large-sample test: {', '.join(small)}; the exact test has no such limit."
