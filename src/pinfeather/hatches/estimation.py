"""What the counts say about a number: a recombination fraction, a penetrance, a frequency."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown, exact_text
from pinfeather._tables import Table
from pinfeather.errors import ArgumentError, ImpossibleError
from pinfeather.exact import tails
from pinfeather.exact.likelihood import Likelihood, ratio_of_polynomials
from pinfeather.exact.numbers import exact
from pinfeather.hatches.expectations import Comparison, compare
from pinfeather.hatches.fitting import FitResult, compared
from pinfeather.hatches.layout import decimal_text

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.hatches.expectations import Expected, Observed

_LONGEST_SHOWN = 40


@attrs.frozen
class Estimate(Shown):
    """What the counts of a hatch say about one number; made by :func:`estimate`.

    Attributes
    ----------
    parameter : str
        The name of the number.
    value : float
        Where the likelihood is largest.
    exact : sympy.Expr
        The same exactly: a rational number, radicals where they are short, or a root of a polynomial.
    standard_error : float or None
        From the observed information; None where the largest likelihood lies on the border of the range.
    expected_standard_error : float or None
        From the information that as many chicks hold on average.
    support_interval : tuple of float
        The values whose log likelihood is within ``support`` units of the largest.
    support : sympy.Rational
        Those units; 2 leaves about as much out as a 95 % confidence interval does.
    log_likelihood : float
        The largest natural log likelihood, without the number of arrangements of the chicks.
    equally_good : tuple of sympy.Expr
        Other values at which the likelihood is as large.
    observed : dict of str to int
        Chicks counted, by class.
    expected : dict of str to float
        Chicks expected at the best value, by class.
    between : tuple of sympy.Rational
        The range that was searched.

    Examples
    --------
    >>> import sympy
    >>> from pinfeather import estimate
    >>> r = sympy.Symbol("r")
    >>> found = estimate({"parental": 27, "recombinant": 6}, {"parental": 1 - r, "recombinant": r}, r)
    >>> print(found)
    r                       0.1818
    exactly                   2/11
    standard error          0.0671
    lowest well supported   0.0750
    highest well supported  0.3380
    chicks counted              33
    """

    parameter: str
    value: float
    exact: Any
    standard_error: float | None
    expected_standard_error: float | None
    support_interval: tuple[float, float]
    support: Any
    log_likelihood: float
    equally_good: tuple[Any, ...]
    observed: dict[str, int] = attrs.field(hash=False)
    expected: dict[str, float] = attrs.field(hash=False)
    between: tuple[Any, Any]
    _comparisons: tuple[Comparison, ...] = attrs.field(repr=False)

    @property
    def chicks(self) -> int:
        """All chicks that were counted."""
        return sum(self.observed.values())

    def fit(self, method: str = "chi-square") -> FitResult:
        """How well the counts fit at the estimated value, with a degree of freedom less.

        Parameters
        ----------
        method : {"chi-square", "likelihood-ratio"}

        Returns
        -------
        FitResult

        Raises
        ------
        ArgumentError
            If the counts come from several designs, or leave no degree of freedom.

        Examples
        --------
        >>> import sympy
        >>> from pinfeather import estimate
        >>> q = sympy.Symbol("q")
        >>> birds = {"black": 342, "blue": 500, "splash": 187}
        >>> found = estimate(birds, {"black": (1 - q)**2, "blue": 2*q*(1 - q), "splash": q**2}, q)
        >>> found.exact, found.fit().degrees_of_freedom, round(found.fit().p_value, 3)
        (437/1029, 1, 0.857)
        """
        _checks.choice(method, "method", ("chi-square", "likelihood-ratio"))
        if len(self._comparisons) > 1:
            message = "the counts come from several designs; test each with goodness_of_fit(..., estimated=...)"
            raise ArgumentError(message, argument="observed", value=tuple(self.observed))
        comparison = self._comparisons[0]
        symbols = {symbol for chance in comparison.chances for symbol in chance.free_symbols}
        swaps = dict.fromkeys(symbols, self.exact)
        chances = tuple(chance.subs(swaps).expand() for chance in comparison.chances)
        return compared(attrs.evolve(comparison, chances=chances), method, estimated=1)

    def _facts(self) -> Record:
        names = [field.name for field in attrs.fields(Estimate) if not field.name.startswith("_")]
        return {name: getattr(self, name) for name in names}

    def _records(self) -> list[Record]:
        low, high = self.support_interval
        return [
            {
                "parameter": self.parameter,
                "value": self.value,
                "exact": self.exact,
                "standard_error": self.standard_error,
                "lowest_supported": low,
                "highest_supported": high,
                "log_likelihood": self.log_likelihood,
                "chicks": self.chicks,
            }
        ]

    def _table(self) -> Table:
        return Table(("what the counts say", ""), self._rows(), below=self._remarks(), headed=False)

    def _rows(self) -> list[tuple[str, str]]:
        low, high = self.support_interval
        error = "none, at the border" if self.standard_error is None else f"{self.standard_error:.4f}"
        exactly = exact_text(self.exact)
        return [
            (self.parameter, f"{self.value:.4f}"),
            *([("exactly", exactly)] if len(exactly) <= _LONGEST_SHOWN else []),
            ("standard error", error),
            ("lowest well supported", f"{low:.4f}"),
            ("highest well supported", f"{high:.4f}"),
            ("chicks counted", str(self.chicks)),
        ]

    def _remarks(self) -> list[str]:
        if not self.equally_good:
            return []
        others = ", ".join(decimal_text(float(value), 4) for value in self.equally_good)
        return [f"Equally good: {others}.  The counts cannot tell these apart."]


def estimate(
    observed: Observed | Sequence[Observed],
    expected: Expected | Sequence[Expected],
    parameter: Expr | str,
    *,
    between: Sequence[Any] = (0, 1),
    support: Any = 2,
    traits: str | Sequence[str] = (),
    loci: str | Sequence[str] = (),
) -> Estimate:
    """Find the value of a parameter that makes the counts most likely, exactly.

    Parameters
    ----------
    observed : mapping of class to count, or sequence of counts
        As for :func:`goodness_of_fit`; or a list of such, with a list of expectations, for hatches of different
        designs that share the parameter.
    expected : Offspring, Distribution, or mapping of class to chance
        Chances are rational functions of the parameter, as they come out of a cross of a species built with a symbol.
    parameter : sympy.Symbol or str
        The parameter, or its name.  The expectation must hold no other.
    between : pair of numbers
        The range of the parameter, ends included: from 0 to 1 unless said otherwise.  A recombination fraction is known
        to lie between 0 and 1/2, but nothing in the expectation says that it is one: say ``between=(0, "1/2")`` if a
        larger value should not be found.
    support : number
        How many units of log likelihood the support interval goes down.
    traits, loci : str or sequence of str
        As for :func:`goodness_of_fit`.

    Returns
    -------
    Estimate

    Raises
    ------
    UnknownSymbolError
        If the parameter is not in the expectation.
    ArgumentError
        If the expectation holds other parameters too, is no rational function, is no distribution everywhere in the
        range, or if the counts say nothing about the parameter.
    ImpossibleError
        If the counts cannot come out whatever the parameter is.

    Notes
    -----
    The slope of the log likelihood vanishes at the roots of one polynomial, whose degree does not grow with the counts.
    Its real roots are isolated exactly and compared with the ends of the range.

    References
    ----------
    R. A. Fisher 1922, Philosophical Transactions A 222:309-368; A. W. F. Edwards 1972, Likelihood (support);
    C. R. Rao 1965, Linear Statistical Inference (the example).

    Examples
    --------
    >>> import sympy
    >>> from pinfeather import estimate
    >>> t = sympy.Symbol("t")
    >>> chances = {"AB": (2 + t) / 4, "Ab": (1 - t) / 4, "aB": (1 - t) / 4, "ab": t / 4}
    >>> estimate({"AB": 125, "Ab": 18, "aB": 20, "ab": 34}, chances, "t").exact
    15/394 + sqrt(53809)/394
    """
    comparisons = _comparisons(observed, expected, traits, loci)
    symbol = _parameter(comparisons, parameter)
    likelihood = _likelihood(comparisons, symbol, _range(between))
    units = exact(support, "support")
    if not units.is_Rational or units <= 0:
        _checks.refuse("support", support, "must be a number above 0")
    if likelihood.is_flat:
        message = f"these counts say nothing about {symbol}: they are equally likely whatever it is"
        raise ArgumentError(message, argument="parameter", value=parameter)
    return _estimate(comparisons, likelihood, str(symbol), units)


def _estimate(comparisons: tuple[Comparison, ...], likelihood: Likelihood, name: str, units: Expr) -> Estimate:
    best = likelihood.best()
    x = tails.digits_of(best[0])
    inside = best[0] in likelihood.stationary
    low, high = likelihood.within(x, tails.digits_of(units))
    classes = _class_names(comparisons)
    means = [float(n * chance) for n, chance in zip(likelihood.sizes, likelihood.chances_at(x), strict=True)]
    return Estimate(
        parameter=name,
        value=float(x),
        exact=best[0],
        standard_error=_error(likelihood.information(x)) if inside else None,
        expected_standard_error=_error(likelihood.expected_information(x)) if inside else None,
        support_interval=(float(low), float(high)),
        support=units,
        log_likelihood=float(likelihood.log_at(x)),
        equally_good=tuple(best[1:]),
        observed=dict(zip(classes, likelihood.counts, strict=True)),
        expected=dict(zip(classes, means, strict=True)),
        between=(likelihood.low, likelihood.high),
        comparisons=comparisons,
    )


def _error(information: Any) -> float | None:
    return float(information ** (-0.5)) if information > 0 else None


def lod(
    observed: Observed | Sequence[Observed],
    expected: Expected | Sequence[Expected],
    parameter: Expr | str,
    at: Any,
    against: Any = "1/2",
    *,
    traits: str | Sequence[str] = (),
    loci: str | Sequence[str] = (),
) -> float:
    """The LOD score: how many powers of ten likelier the counts are at one value of a parameter than at another.

    Parameters
    ----------
    observed, expected, parameter, traits, loci
        As for :func:`estimate`.
    at : number
        The value that is proposed; an exact root is welcome too.
    against : number
        The value it is held against: free recombination, unless said otherwise.

    Returns
    -------
    float
        The decimal logarithm of the ratio of likelihoods; minus infinity where the counts cannot come out at the value
        proposed, plus infinity where they cannot come out at the other.

    Raises
    ------
    UnknownSymbolError, ArgumentError
        As for :func:`estimate`.
    ImpossibleError
        If the counts can come out at neither value.

    References
    ----------
    N. E. Morton 1955, American Journal of Human Genetics 7:277-318: 3 is taken as proof of linkage, -2 as disproof.

    Examples
    --------
    >>> import sympy
    >>> from pinfeather import lod
    >>> r = sympy.Symbol("r")
    >>> round(lod({"recombinant": 1, "parental": 5}, {"recombinant": r, "parental": 1 - r}, r, at="0.2"), 3)
    0.623
    """
    comparisons = _comparisons(observed, expected, traits, loci)
    symbol = _parameter(comparisons, parameter)
    heights = []
    for value, argument in ((at, "at"), (against, "against")):
        number = exact(value, argument)
        if number.free_symbols:
            _checks.refuse(argument, value, "must be a number")
        heights.append(_height(comparisons, symbol, number, argument))
    if heights[0] == heights[1] == -math.inf:
        message = f"the counts can come out neither at {symbol}={at} nor at {symbol}={against}"
        raise ImpossibleError(message, parameter=str(symbol))
    return float((heights[0] - heights[1]) / tails.context().ln(10))


def _height(comparisons: tuple[Comparison, ...], symbol: Expr, number: Expr, argument: str) -> Any:
    likelihood = _likelihood(comparisons, symbol, (exact(0), exact(1)), everywhere=False)
    x = tails.digits_of(number)
    if any(chance < 0 or chance > 1 for chance in likelihood.chances_at(x)):
        _checks.refuse(argument, number, f"the expectation is no distribution at {symbol}={number}")
    return likelihood.log_at(x)


# ---- reading the arguments -----------------------------------------------------------------------------------------


def _comparisons(observed: Any, expected: Any, traits: Any, loci: Any) -> tuple[Comparison, ...]:
    """One comparison, or one for each of several designs."""
    several = isinstance(observed, Sequence) and bool(observed) and not hasattr(observed[0], "__index__")
    if not several:
        return (compare(observed, expected, traits, loci),)
    if isinstance(expected, str) or not isinstance(expected, Sequence) or len(expected) != len(observed):
        message = f"{len(observed)} hatches need a list of as many expectations"
        raise ArgumentError(message, argument="expected", value=expected)
    return tuple(compare(seen, chances, traits, loci) for seen, chances in zip(observed, expected, strict=True))


def _class_names(comparisons: tuple[Comparison, ...]) -> list[str]:
    if len(comparisons) == 1:
        return list(comparisons[0].classes)
    return [f"hatch {number}: {name}" for number, one in enumerate(comparisons, 1) for name in one.classes]


def _parameter(comparisons: tuple[Comparison, ...], parameter: Any) -> Expr:
    """The symbol of the expectation that is meant, which must be the only one."""
    chances = [chance for one in comparisons for chance in one.chances]
    symbols = {str(symbol): symbol for chance in chances for symbol in chance.free_symbols}
    name = str(parameter)
    if name not in symbols:
        _checks.unknown("parameter", name, sorted(symbols), "the expectation")
    others = sorted(set(symbols) - {name})
    if others:
        message = (
            f"the expectation depends on {', '.join(others)} besides {name}; put numbers in for all but one parameter "
            "with .substituted({...}) first"
        )
        raise ArgumentError(message, argument="expected", value=tuple(symbols))
    symbol: Expr = symbols[name]
    return symbol


def _range(between: Any) -> tuple[Expr, Expr]:
    if isinstance(between, str) or not isinstance(between, Sequence) or len(between) != 2:
        _checks.refuse("between", between, 'must be a pair of numbers, such as (0, "1/2")')
    low, high = exact(between[0], "between"), exact(between[1], "between")
    if not (low.is_Rational and high.is_Rational) or low >= high:
        _checks.refuse("between", between, "must be two rational numbers, the smaller first")
    return low, high


def _likelihood(
    comparisons: tuple[Comparison, ...], symbol: Expr, ends: tuple[Expr, Expr], *, everywhere: bool = True
) -> Likelihood:
    chances = []
    for one in comparisons:
        if one.impossible:
            message = f"{one.impossible[0]!r} was counted, but cannot come out whatever {symbol} is"
            raise ImpossibleError(message, classes=one.impossible)
        for name, chance in zip(one.classes, one.chances, strict=True):
            ratio = ratio_of_polynomials(chance, symbol)
            if ratio is None:
                message = f"the chance of {name}, {chance}, is no rational function of {symbol}"
                raise ArgumentError(message, argument="expected", value=chance)
            chances.append(ratio)
    counts = tuple(count for one in comparisons for count in one.counts)
    chicks = tuple(one.chicks for one in comparisons for _ in one.counts)
    likelihood = Likelihood(counts, chicks, tuple(chances), *ends)
    bad = likelihood.impossible_at() if everywhere else None
    if bad is not None:
        message = (
            f"the expectation is no distribution at {symbol}={float(bad):.4g}: a chance is negative there; say in what "
            f"range {symbol} lies, as between=(low, high)"
        )
        raise ArgumentError(message, argument="between", value=ends)
    return likelihood
