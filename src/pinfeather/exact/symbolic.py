"""Weights: whole numbers, or polynomials with whole-number coefficients in named parameters.

A calculation chooses one :class:`WeightRing` at its beginning and keeps to it.  Where no parameter is symbolic the
weights are plain Python integers; otherwise they are elements of one of sympy's sparse polynomial rings over the
whole numbers.  Both know ``+`` and ``*``, so the code that uses them is the same, and no expression tree is ever
built in a loop.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import gcd, lcm, prod
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

if TYPE_CHECKING:
    from sympy import Expr

Weight: TypeAlias = Any
"""An ``int`` or a ``sympy.polys.rings.PolyElement`` over the whole numbers."""


@attrs.frozen
class WeightRing:
    """The numbers that one calculation is done in.

    ``generators`` are the symbolic parts of the calculation's parameters, in a fixed order; there are none where all
    parameters are rational.
    """

    generators: tuple[Expr, ...] = ()
    _ring: Any = attrs.field(init=False, eq=False, repr=False)
    _known: dict[tuple[Expr, ...], tuple[list[Weight], int]] = attrs.field(
        init=False, eq=False, repr=False, factory=dict
    )

    def __attrs_post_init__(self) -> None:
        ring = None
        if self.generators:
            from sympy import ZZ
            from sympy.polys.rings import PolyRing

            ring = PolyRing(self.generators, ZZ)
        object.__setattr__(self, "_ring", ring)

    @classmethod
    def of(cls, values: Iterable[Expr]) -> WeightRing:
        """The smallest ring that holds all the values."""
        symbolic = [value for value in values if not value.is_Rational]
        if not symbolic:
            return RATIONAL
        from sympy.polys.polyutils import parallel_dict_from_expr

        _, generators = parallel_dict_from_expr(symbolic)
        return cls(tuple(generators))

    def whole(self, values: Sequence[Expr]) -> tuple[list[Weight], int]:
        """Write values as weights over one common denominator: ``value = weight / denominator``."""
        if self._ring is None or all(value.is_Rational for value in values):
            denominator = lcm(*(int(value.q) for value in values)) if values else 1
            return [int(value.p) * (denominator // int(value.q)) for value in values], denominator
        key = tuple(values)
        if key not in self._known:
            elements = [self._element(value) for value in values]
            denominator = lcm(*(int(c.denominator) for element in elements for c in element.values()))
            self._known[key] = [self._scaled(element, denominator) for element in elements], denominator
        weights, denominator = self._known[key]
        return list(weights), denominator

    def quotient(self, weight: Weight, total: Weight) -> Expr:
        """The probability ``weight / total`` as it leaves the library: a Rational, or an expanded expression."""
        from sympy import Rational

        if isinstance(weight, int) and isinstance(total, int):
            return Rational(weight, total)
        return _expression_quotient(weight, total)

    def _element(self, value: Expr) -> dict[Any, Any]:
        from sympy import QQ, Poly

        return dict(Poly(value, *self.generators, domain=QQ).rep.to_dict())

    def _scaled(self, element: dict[Any, Any], denominator: int) -> Weight:
        from sympy import ZZ

        return self._ring.from_dict({k: ZZ(int(c * denominator)) for k, c in element.items()})


RATIONAL = WeightRing()
"""The ring of plain whole numbers."""


def ring_of(weights: Iterable[Weight]) -> WeightRing:
    """The ring that some weights were made in."""
    kept = list(weights)
    if set(map(type, kept)) <= {int}:
        return RATIONAL
    for weight in kept:
        if not isinstance(weight, int):
            return WeightRing(tuple(weight.ring.symbols))
    return RATIONAL


def reduced(weights: Sequence[Weight]) -> list[Weight]:
    """Divide weights by the whole number that divides them all."""
    factor = 0
    for weight in weights:
        parts = (weight,) if isinstance(weight, int) else tuple(weight.coeffs())
        factor = gcd(factor, *(int(part) for part in parts))
        if factor == 1:
            return list(weights)
    if factor == 0:
        return list(weights)
    return [w // factor if isinstance(w, int) else w.quo_ground(factor) for w in weights]


def added(weights: Iterable[Weight]) -> Weight:
    """The sum of weights; 0 where there is none."""
    return sum(weights)


def cofactors(totals: Sequence[Weight]) -> list[Weight]:
    """For each total the product of all others: the factors that put weights over several totals on one scale."""
    return [prod(total for at, total in enumerate(totals) if at != own) for own in range(len(totals))]


def common_multiple(weights: Iterable[Weight]) -> Weight:
    """A weight that all of these divide evenly."""
    distinct: list[Weight] = []
    whole = 1
    for weight in weights:
        if isinstance(weight, int):
            whole = lcm(whole, weight)
        elif weight not in distinct:
            distinct.append(weight)
    multiple: Weight = whole
    for weight in distinct:
        multiple = multiple * weight
    return multiple


def even_quotient(total: Weight, divisor: Weight) -> Weight:
    """``total / divisor`` where that comes out even."""
    if isinstance(divisor, int):
        return total // divisor if isinstance(total, int) else total.quo_ground(divisor)
    if isinstance(total, int):
        total = divisor.ring.ground_new(total)
    return total.exquo(divisor)


def _over(weight: Weight, divisor: int) -> Expr:
    """A polynomial over a whole number as an expanded expression: divided in the ring, where that is quick."""
    from sympy import QQ

    ring = weight.ring.clone(domain=QQ)
    return ring.from_dict({monomial: QQ(int(c), divisor) for monomial, c in weight.items()}).as_expr()


def _expression_quotient(weight: Weight, total: Weight) -> Expr:
    """The quotient of two weights, at least one of them a polynomial."""
    from sympy import Integer, Rational, cancel, denom, expand, numer

    ring = (total if isinstance(weight, int) else weight).ring
    plain = all(generator.is_Symbol for generator in ring.symbols)
    top = Integer(weight) if isinstance(weight, int) else None
    if isinstance(total, int) or total.is_ground:
        divisor = total if isinstance(total, int) else int(total.LC)
        if top is not None:
            return top * Rational(1, divisor)
        divided = _over(weight, divisor)
        return divided if plain else expand(divided)
    if plain:
        above, below = ring.ground_new(weight).cancel(total) if top is not None else weight.cancel(total)
        expression, divisor_expression = above.as_expr(), below.as_expr()
        if below.is_ground:
            return expand(expression / divisor_expression)
        return expand(expression) / expand(divisor_expression)
    expression = cancel((top if top is not None else weight.as_expr()) / total.as_expr())
    return expand(numer(expression)) / expand(denom(expression))
