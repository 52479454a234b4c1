"""The likelihood of counts whose probabilities are rational functions of one parameter, and its exact maximum.

The likelihood is a product of powers of a few irreducible polynomials.  The exponents grow with the counts, but the
condition for a maximum does not: after division by the likelihood it is one polynomial equation whose degree is less
than the sum of the degrees of those few, whatever the counts.  Its real roots are isolated exactly.

References
----------
R. A. Fisher 1922, Philosophical Transactions A 222:309-368 (maximum likelihood, information); A. W. F. Edwards 1972,
Likelihood (support, and the interval within so many units of it).
"""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather.exact.roots import real_roots
from pinfeather.exact.tails import context, digits_of

if TYPE_CHECKING:
    from sympy import Expr

_SAME = 10**-35
_BISECTIONS = 64


def ratio_of_polynomials(chance: Expr, symbol: Expr) -> tuple[Any, Any] | None:
    """A chance as numerator and denominator over the rational numbers; None where it is no such thing."""
    from sympy import QQ, Poly, PolynomialError, cancel, fraction
    from sympy.polys.polyerrors import CoercionFailed

    above, below = fraction(cancel(chance))
    try:
        return Poly(above, symbol, domain=QQ), Poly(below, symbol, domain=QQ)
    except (PolynomialError, CoercionFailed):
        return None


@attrs.frozen(eq=False)
class Likelihood:
    """Counts, and the ratio of polynomials behind each; the range of the parameter is rational, ends included.

    ``sizes`` gives for each count the size of the sample that it belongs to, which need not be the same for all.
    """

    counts: tuple[int, ...]
    sizes: tuple[int, ...]
    chances: tuple[tuple[Any, Any], ...]
    low: Expr
    high: Expr

    @cached_property
    def factors(self) -> list[tuple[Any, int]]:
        """The irreducible polynomials, and the power of each in the likelihood."""
        powers: dict[Any, int] = {}
        for count, (above, below) in zip(self.counts, self.chances, strict=True):
            for polynomial, sign in ((above, 1), (below, -1)) if count else ():
                for factor, times in polynomial.factor_list()[1]:
                    powers[factor] = powers.get(factor, 0) + sign * times * count
        return [(factor, power) for factor, power in powers.items() if power]

    @cached_property
    def stationary(self) -> list[Expr]:
        """Where the slope of the likelihood is zero (and the likelihood is not), in order."""
        slope: Any = 0
        for index, (factor, power) in enumerate(self.factors):
            term = power * factor.diff()
            for other, (polynomial, _) in enumerate(self.factors):
                if other != index:
                    term = term * polynomial
            slope = term + slope
        return real_roots(slope, self.low, self.high) if slope and slope.degree() > 0 else []

    @property
    def is_flat(self) -> bool:
        """Whether the likelihood is the same for every value of the parameter."""
        return not self.factors

    def impossible_at(self) -> Any | None:
        """A value in the range at which some chance is negative, or None if there is none."""
        ends = {digits_of(self.low), digits_of(self.high)}
        for pair in self.chances:
            for polynomial in pair:
                if polynomial.degree() > 0:
                    ends.update(map(digits_of, real_roots(polynomial, self.low, self.high)))
        places = sorted(ends)
        middles = [(a + b) / 2 for a, b in pairwise(places)]
        return next((x for x in middles if any(chance < 0 for chance in self.chances_at(x))), None)

    def chances_at(self, x: Any) -> list[Any]:
        """The probability of every class, to fifty digits; infinite where a denominator is zero."""
        values = []
        for above, below in self._coefficients:
            divisor = _at(below, x)
            values.append(_at(above, x) / divisor if divisor else context().inf)
        return values

    @cached_property
    def _coefficients(self) -> list[tuple[list[Any], list[Any]]]:
        return [(_numbers(above), _numbers(below)) for above, below in self.chances]

    def log_at(self, x: Any) -> Any:
        """The natural logarithm of the likelihood, without the number of arrangements; minus infinity for zero."""
        mp = context()
        seen = [(n, chance) for n, chance in zip(self.counts, self.chances_at(x), strict=True) if n]
        if any(chance <= 0 or mp.isinf(chance) for _, chance in seen):
            return -mp.inf
        return mp.fsum(n * mp.log(chance) for n, chance in seen)

    def best(self) -> list[Expr]:
        """Where the likelihood is largest, exactly: one value, or several that are equally good; none if it is zero."""
        mp = context()
        candidates = sorted({self.low, self.high, *self.stationary}, key=digits_of)
        heights = [self.log_at(digits_of(candidate)) for candidate in candidates]
        top = max(heights)
        if mp.isinf(top):
            return []
        return [c for c, height in zip(candidates, heights, strict=True) if top - height <= _SAME * (1 + abs(top))]

    def information(self, x: Any) -> Any:
        """The observed information: minus the second derivative of the log likelihood."""
        mp = context()
        parts = []
        for factor, power in self.factors:
            value, first, second = (_value(p, x) for p in (factor, factor.diff(), factor.diff().diff()))
            parts.append(power * ((first / value) ** 2 - second / value))
        return mp.fsum(parts)

    def expected_information(self, x: Any) -> Any:
        """The information that so many counts hold on average."""
        mp = context()
        parts = []
        for size, (above, below), chance in zip(self.sizes, self.chances, self.chances_at(x), strict=True):
            if chance > 0:
                bottom = _value(below, x)
                slope = (_value(above.diff(), x) * bottom - _value(above, x) * _value(below.diff(), x)) / bottom**2
                parts.append(size * slope**2 / chance)
        return mp.fsum(parts)

    def within(self, best: Any, units: Any) -> tuple[Any, Any]:
        """The interval round a maximum in which the log likelihood falls by no more than so many units."""
        threshold = self.log_at(best) - units
        turns = [*map(digits_of, self.stationary), *self._zeros()]
        below = sorted((x for x in (*turns, digits_of(self.low)) if x < best), reverse=True)
        above = sorted(x for x in (*turns, digits_of(self.high)) if x > best)
        return self._crossing(best, below, threshold), self._crossing(best, above, threshold)

    def _zeros(self) -> list[Any]:
        zeros: list[Any] = []
        for factor, power in self.factors:
            if power > 0 and factor.degree() > 0:
                zeros += map(digits_of, real_roots(factor, self.low, self.high))
        return zeros

    def _crossing(self, best: Any, turns: list[Any], threshold: Any) -> Any:
        """Where the log likelihood first falls to a threshold; between two turning points it only rises or falls."""
        inside = best
        for turn in turns:
            if self.log_at(turn) < threshold:
                outside = turn
                for _ in range(_BISECTIONS):
                    middle = (inside + outside) / 2
                    if self.log_at(middle) < threshold:
                        outside = middle
                    else:
                        inside = middle
                return inside
            inside = turn
        return inside


def _numbers(polynomial: Any) -> list[Any]:
    """The coefficients of a polynomial over the rational numbers, to fifty digits."""
    return [digits_of(coefficient) for coefficient in polynomial.all_coeffs()]


def _at(coefficients: list[Any], x: Any) -> Any:
    """A polynomial at a number, by its coefficients from the highest down."""
    value = coefficients[0]
    for coefficient in coefficients[1:]:
        value = value * x + coefficient
    return value


def _value(polynomial: Any, x: Any) -> Any:
    """A polynomial over the rational numbers at a number of :func:`pinfeather.exact.tails.context`."""
    return _at(_numbers(polynomial), x)
