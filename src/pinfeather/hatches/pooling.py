"""Do several hatches agree?  Heterogeneity: what each says, what they say together, and whether they differ."""

from __future__ import annotations

import warnings
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown
from pinfeather._tables import Table
from pinfeather.errors import ArgumentError, ImpossibleError, SmallExpectationWarning
from pinfeather.exact import tails
from pinfeather.exact.numbers import fraction_of
from pinfeather.hatches.expectations import Comparison, compare
from pinfeather.hatches.fitting import METHOD_NAMES, METHODS, FitResult, compared, without_parameters
from pinfeather.hatches.layout import short_p, statistic_text

if TYPE_CHECKING:
    from pinfeather.hatches.expectations import Expected, Observed

_LARGE_SAMPLE = METHODS[1:]


@attrs.frozen
class Heterogeneity(Shown):
    """Whether several hatches agree with each other; made by :func:`heterogeneity`.

    Attributes
    ----------
    hatches : dict of str to FitResult
        The fit of each hatch.
    pooled : FitResult
        The fit of all chicks together.
    total_statistic, total_degrees_of_freedom, total_p_value
        The sum over the hatches: do they all fit?
    statistic, degrees_of_freedom, p_value
        What is left of that sum when the pooled statistic is taken out: do they differ from each other?

    Examples
    --------
    >>> from pinfeather import heterogeneity
    >>> pens = heterogeneity({"pen A": [30, 9], "pen B": [41, 17], "pen C": [26, 10]}, "3:1")
    >>> print(pens)
    hatch          chicks  chi-square  degrees of freedom      p
    pen A              39       0.077                   1  0.782
    pen B              58       0.575                   1  0.448
    pen C              36       0.148                   1  0.700
    sum                         0.800                   3  0.850
    pooled            133       0.303                   1  0.582
    heterogeneity               0.497                   2  0.780
    The hatches agree with each other, and together they fit.
    """

    hatches: dict[str, FitResult] = attrs.field(hash=False)
    pooled: FitResult
    total_statistic: Any
    total_degrees_of_freedom: int
    total_p_value: float
    statistic: Any
    degrees_of_freedom: int
    p_value: float

    def _facts(self) -> Record:
        names = ("hatches", "pooled", "total_statistic", "total_degrees_of_freedom", "total_p_value")
        return {name: getattr(self, name) for name in (*names, "statistic", "degrees_of_freedom", "p_value")}

    def _records(self) -> list[Record]:
        fits = [*self.hatches.items(), ("pooled", self.pooled)]
        return [
            *(_record(name, fit.chicks, fit.statistic, fit.degrees_of_freedom, fit.p_value) for name, fit in fits),
            _record("sum", None, self.total_statistic, self.total_degrees_of_freedom, self.total_p_value),
            _record("heterogeneity", None, self.statistic, self.degrees_of_freedom, self.p_value),
        ]

    def _table(self) -> Table:
        heads = ("hatch", "chicks", METHOD_NAMES[self.pooled.method], "degrees of freedom", "p")
        return Table(heads, self._rows(), below=self._verdict())

    def _rows(self) -> list[tuple[str, ...]]:
        rows = [_fit_row(name, fit) for name, fit in self.hatches.items()]
        rows.append(_row("sum", "", self.total_statistic, self.total_degrees_of_freedom, self.total_p_value))
        rows.append(_fit_row("pooled", self.pooled))
        return [*rows, _row("heterogeneity", "", self.statistic, self.degrees_of_freedom, self.p_value)]

    def _verdict(self) -> str:
        if self.p_value < 0.05:
            return "The hatches differ from each other more than chance explains; do not pool them."
        together = "fit" if self.pooled.p_value >= 0.05 else "do not fit"
        return f"The hatches agree with each other, and together they {together}."


def _record(hatch: str, chicks: int | None, statistic: Any, freedom: int, p_value: Any) -> Record:
    return {
        "hatch": hatch,
        "chicks": chicks,
        "statistic": statistic,
        "degrees_of_freedom": freedom,
        "p_value": p_value,
    }


def _fit_row(name: str, fit: FitResult) -> tuple[str, ...]:
    return _row(name, str(fit.chicks), fit.statistic, fit.degrees_of_freedom, fit.p_value)


def _row(name: str, chicks: str, statistic: Any, freedom: int, p_value: float) -> tuple[str, ...]:
    return name, chicks, statistic_text(statistic), str(freedom), short_p(p_value)


def heterogeneity(
    hatches: Mapping[Any, Observed] | Sequence[Observed],
    expected: Expected,
    method: str = "chi-square",
    *,
    traits: str | Sequence[str] = (),
    loci: str | Sequence[str] = (),
) -> Heterogeneity:
    """Test whether several hatches of the same pairing agree with each other and with the expectation.

    Parameters
    ----------
    hatches : mapping of name to counts, or sequence of counts
        Two hatches or more, each as :func:`goodness_of_fit` takes it.
    expected : Offspring, Distribution, mapping of class to chance, or ratio
        The same for all hatches.
    method : {"chi-square", "likelihood-ratio"}
        The statistic that is added up.
    traits, loci : str or sequence of str
        As for :func:`goodness_of_fit`.

    Returns
    -------
    Heterogeneity

    Raises
    ------
    ArgumentError
        If there are fewer than two hatches, or a count is no whole number.
    ImpossibleError
        If a class was seen that cannot come out: there is then nothing to add up.

    Warns
    -----
    SmallExpectationWarning
        If a class has fewer than five chicks expected in some hatch.

    References
    ----------
    R. A. Fisher 1936, Annals of Science 1:115-137 (heterogeneity of Mendel's single plants).

    Examples
    --------
    >>> from pinfeather import heterogeneity
    >>> heterogeneity([[30, 10], [10, 30]], "1:1").statistic
    20
    """
    _checks.choice(method, "method", _LARGE_SAMPLE)
    named = _named(hatches)
    comparisons = {name: compare(observed, expected, traits, loci) for name, observed in named.items()}
    fits = {}
    for name, comparison in comparisons.items():
        without_parameters(comparison)
        if comparison.impossible:
            message = f"in {name} there is a {comparison.impossible[0]!r}, which the expectation says cannot come out"
            raise ImpossibleError(message, hatch=name, classes=comparison.impossible)
        fits[name] = compared(comparison, method)
    pooled = compared(_pooled(list(comparisons.values())), method)
    small = [name for name, fit in fits.items() if fit.warning]
    if small:
        text = (
            f"too few chicks expected in some class of {', '.join(small)}: take the p-values of single hatches lightly"
        )
        warnings.warn(text, SmallExpectationWarning, stacklevel=2)
    statistics = [fit.statistic for fit in fits.values()]
    total = sum(statistics[1:], statistics[0])
    freedom = sum(fit.degrees_of_freedom for fit in fits.values())
    between = total - pooled.statistic
    if isinstance(between, float):
        between = max(between, 0.0)  # the likelihood ratio is rounded
    return Heterogeneity(
        hatches=fits,
        pooled=pooled,
        total_statistic=total,
        total_degrees_of_freedom=freedom,
        total_p_value=_tail(total, freedom),
        statistic=between,
        degrees_of_freedom=freedom - pooled.degrees_of_freedom,
        p_value=_tail(between, freedom - pooled.degrees_of_freedom),
    )


def _named(hatches: Any) -> dict[str, Any]:
    if isinstance(hatches, Mapping):
        named = {str(name): observed for name, observed in hatches.items()}
    elif isinstance(hatches, Sequence) and not isinstance(hatches, str):
        named = {f"hatch {number}": observed for number, observed in enumerate(hatches, 1)}
    else:
        _checks.refuse("hatches", hatches, "must be {name: counts} or a sequence of counts")
    if len(named) < 2:
        _checks.refuse("hatches", hatches, "it takes two hatches or more to differ")
    return named


def _pooled(comparisons: Sequence[Comparison]) -> Comparison:
    first = comparisons[0]
    if any(other.classes != first.classes for other in comparisons):
        message = "the hatches name different classes; write every class in each hatch, with 0 where there was none"
        raise ArgumentError(message, argument="hatches", value=[other.classes for other in comparisons])
    counts = tuple(map(sum, zip(*(other.counts for other in comparisons), strict=True)))
    return attrs.evolve(first, counts=counts)


def _tail(statistic: Any, freedom: int) -> float:
    number = fraction_of(statistic) if getattr(statistic, "is_Rational", False) else statistic
    return float(tails.upper_tail(number, freedom))
