"""Tables over named variables: multiply, sum out, condition.

A variable is a whole number with a fixed count of values; a :class:`Factor` holds a weight for each combination of
values of some variables.  Weights are Python integers (or polynomials) in numpy arrays of objects, so that nothing is
ever rounded; the same code runs on 64-bit floats, or on truth values, where a caller asks for that by name.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import attrs

from pinfeather.exact.symbolic import even_quotient

if TYPE_CHECKING:
    import numpy as np

    Array: TypeAlias = "np.ndarray[Any, Any]"

Arithmetic: TypeAlias = Literal["exact", "float", "possible"]
"""Whole numbers (or polynomials), 64-bit floats, or only whether something is possible at all."""


@attrs.frozen(eq=False)
class Factor:
    """A weight for each combination of values of some variables, which stand in ascending order."""

    variables: tuple[int, ...]
    table: Array

    @classmethod
    def of(cls, variables: Sequence[int], shape: Sequence[int], weights: Iterable[Any]) -> Factor:
        """Make a factor from weights listed with the last variable running fastest; variables come in any order."""
        import numpy as np

        flat = np.empty(_product(shape), dtype=object)
        flat[:] = list(weights)
        return cls.arranged(tuple(variables), flat.reshape(tuple(shape)))

    @classmethod
    def arranged(cls, variables: tuple[int, ...], table: Array) -> Factor:
        """Put the variables of a table into ascending order."""
        order = sorted(range(len(variables)), key=lambda at: variables[at])
        return cls(tuple(variables[at] for at in order), table.transpose(order))

    def power(self, exponent: int) -> Factor:
        """Every weight to a power: the same evidence seen several times."""
        return self if exponent == 1 else Factor(self.variables, _as_table(self.table**exponent))

    def times(self, other: Factor) -> Factor:
        """The product with a factor over the same variables."""
        return Factor(self.variables, _as_table(self.table * other.table))

    def chosen(self, values: Mapping[int, Sequence[int]]) -> Factor:
        """The factor with only some values of some variables left; a variable left with one value is dropped."""
        import numpy as np

        picks = [list(values.get(v, range(self.table.shape[at]))) for at, v in enumerate(self.variables)]
        table = self.table[np.ix_(*picks)] if picks else self.table
        kept = [at for at, pick in enumerate(picks) if len(pick) != 1]
        return Factor(tuple(self.variables[at] for at in kept), table.reshape([len(picks[at]) for at in kept]))

    def summed_over(self, away: Iterable[int]) -> Factor:
        """The factor with some variables summed out."""
        gone = set(away)
        axes = tuple(at for at, v in enumerate(self.variables) if v in gone)
        kept = tuple(v for v in self.variables if v not in gone)
        return Factor(kept, _summed(self.table, axes)) if axes else self

    def weights(self) -> list[Any]:
        """All weights, the last variable running fastest."""
        made: list[Any] = self.table.ravel().tolist()
        return made

    def in_arithmetic(self, arithmetic: Arithmetic) -> Factor:
        """The factor on floats or truth values; floats are scaled so that the largest is one."""
        import numpy as np

        if arithmetic == "exact":
            return self
        if arithmetic == "possible":
            return Factor(self.variables, self.table.astype(bool))
        largest = max(self.table.ravel().tolist(), default=0)
        scaled = [float(_ratio(weight, largest)) if largest else 0.0 for weight in self.table.ravel().tolist()]
        return Factor(self.variables, np.array(scaled, dtype=float).reshape(self.table.shape))

    def nothing(self) -> bool:
        """Whether every weight is zero."""
        return not any(self.table.ravel().tolist())


def product(factors: Sequence[Factor], variables: tuple[int, ...], sizes: Mapping[int, int], like: Arithmetic) -> Array:
    """Multiply factors into one table over the given variables, in ascending order."""
    import numpy as np

    shape = tuple(sizes[v] for v in variables)
    table = np.ones(shape, dtype={"exact": object, "float": float, "possible": bool}[like])
    if like == "exact":
        table.fill(1)
    for factor in sorted(factors, key=lambda one: len(one.variables)):
        table = table * _spread(factor, variables)
    return table


def summed_together(factors: Sequence[Factor], variables: tuple[int, ...]) -> Factor:
    """Add factors up, each spread over the given variables, in ascending order."""
    table: Any = 0
    for factor in factors:
        table = table + _spread(factor, variables)
    return Factor(variables, table)


def reduced_table(table: Array) -> tuple[Array, int]:
    """Divide whole numbers by the factor that they all share, which keeps them short; polynomials are left alone."""
    import math

    import numpy as np

    flat = table.ravel().tolist()
    if set(map(type, flat)) != {int}:
        return table, 1
    shared = math.gcd(*flat)
    if shared <= 1:
        return table, 1
    return np.asarray(table // shared, dtype=object), shared


def rescaled(table: Array) -> Array:
    """Floats divided by the largest, so that they never run out; truth values are left alone."""
    largest = table.max() if table.dtype == float and table.size else 0
    return table / largest if largest else table


def divided(above: Array, below: Array) -> Array:
    """Divide tables entry by entry, where the division is known to come out even; nothing over nothing is nothing."""
    import numpy as np

    if above.dtype == bool:
        return above & below
    if above.dtype == float:
        return np.divide(above, below, out=np.zeros_like(above), where=below != 0)
    if set(map(type, below.ravel().tolist())) <= {int} and set(map(type, above.ravel().tolist())) <= {int}:
        return np.asarray(above // np.where(below == 0, 1, below), dtype=object)
    divide = np.frompyfunc(lambda one, other: even_quotient(one, other) if other else 0, 2, 1)
    made: Array = divide(above, below)
    return made if isinstance(made, np.ndarray) else np.array(made, dtype=object)


def _as_table(value: Any) -> Array:
    """What numpy made of a table; of one without axes it makes a bare number."""
    import numpy as np

    if isinstance(value, np.ndarray):
        return value
    made = np.empty((), dtype=object)
    made[()] = value
    return made


def _spread(factor: Factor, variables: tuple[int, ...]) -> Array:
    """A factor's table with an axis of length one for every variable it does not have."""
    shape = [1] * len(variables)
    for at, variable in enumerate(factor.variables):
        shape[variables.index(variable)] = factor.table.shape[at]
    return factor.table.reshape(shape)


def _summed(table: Array, axes: tuple[int, ...]) -> Array:
    import numpy as np

    if table.dtype == bool:
        return np.asarray(table.any(axis=axes))
    total = table.sum(axis=axes)
    if isinstance(total, np.ndarray):
        return total
    made = np.empty((), dtype=table.dtype)
    made[()] = total
    return made


def _ratio(above: int, below: int) -> Any:
    from fractions import Fraction

    return Fraction(above, below)


def _product(shape: Iterable[int]) -> int:
    size = 1
    for length in shape:
        size *= length
    return size
