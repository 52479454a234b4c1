"""Distribution: an immutable mapping from outcomes to exact probabilities."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Hashable, ItemsView, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from math import gcd
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from pinfeather import _checks
from pinfeather._results import Record, Shown, beside, exact_text
from pinfeather._tables import Table
from pinfeather.errors import ArgumentError, DefinitionError, ImpossibleError
from pinfeather.exact.numbers import as_percent, exact
from pinfeather.exact.products import Product
from pinfeather.exact.symbolic import RATIONAL, Weight, WeightRing, added, reduced, ring_of

if TYPE_CHECKING:
    from sympy import Expr

K = TypeVar("K", bound=Hashable)
L = TypeVar("L", bound=Hashable)

_ROWS_SHOWN = 60


class Distribution(Shown, Mapping[K, Any], Generic[K]):
    """What may come out, and with what exact probability each.

    A distribution is a read-only mapping from outcomes to probabilities that sum to one, in a stable order.  Inside it
    keeps whole-number weights over one total (polynomials where a parameter is symbolic); a probability is made into a
    ``sympy.Rational``, or an expanded sympy expression, when it is asked for.  Two distributions are equal when they
    give every outcome the same probability, whatever the scale of their weights.  Outcomes of probability zero are not
    listed, but may be asked for.

    Make one with :meth:`of`.

    Examples
    --------
    >>> from pinfeather import Distribution
    >>> combs = Distribution.of({"walnut": 9, "rose": 3, "pea": 3, "single": 1})
    >>> combs["walnut"], combs.ratio()
    (9/16, '9 : 3 : 3 : 1')
    >>> combs.fraction(lambda comb: comb != "single")
    15/16
    >>> print(combs.given(lambda comb: comb != "walnut"))
    rose    3/7  ~ 42.86 %
    pea     3/7  ~ 42.86 %
    single  1/7  ~ 14.29 %
    """

    def __init__(
        self,
        outcomes: Sequence[K] | Product[K],
        weights: Sequence[Weight],
        reader: Callable[[str], K] | None = None,
    ) -> None:
        """Take outcomes and weights that are already checked; use :meth:`of` to make a distribution by hand."""
        self._outcomes = outcomes
        self._weights = weights
        self._reader = reader

    @classmethod
    def of(cls, chances: Mapping[K, Any]) -> Distribution[K]:
        """Make a distribution from a mapping.

        Parameters
        ----------
        chances : mapping
            Outcome -> probability.  Whole numbers that do not sum to one are read as a ratio, such as 9 : 3 : 3 : 1;
            anything else must sum to exactly one.

        Returns
        -------
        Distribution

        Raises
        ------
        DefinitionError
            If a chance is negative, all are zero, or they do not sum to one.

        Examples
        --------
        >>> from pinfeather import Distribution
        >>> Distribution.of({"lavender": "25%", "black": "75%"})["black"]
        3/4
        """
        entries = {k: exact(v, f"the chance of {k}") for k, v in _checks.mapping(chances, "chances").items()}
        for outcome, chance in entries.items():
            if chance.is_negative:
                message = f"the chance of {outcome} is {chance}; a chance cannot be negative"
                raise DefinitionError(message, outcome=outcome, chance=chance)
        ring = WeightRing.of(entries.values())
        weights, denominator = ring.whole(list(entries.values()))
        total = added(weights)
        if not total:
            message = "a distribution needs at least one outcome with a chance above zero"
            raise DefinitionError(message, outcomes=tuple(entries))
        if total - denominator != 0 and not all(value.is_Integer for value in entries.values()):
            message = (
                f"the chances sum to {ring.quotient(total, denominator)}, not to 1; give probabilities that sum to "
                "exactly 1, or whole numbers as a ratio"
            )
            raise DefinitionError(message, total=ring.quotient(total, denominator))
        return cls.from_weights(list(entries), weights)

    @classmethod
    def from_weights(
        cls, outcomes: Iterable[K], weights: Iterable[Weight], reader: Callable[[str], K] | None = None
    ) -> Distribution[K]:
        """Make a distribution from weights over their own sum; zero weights are left out."""
        pairs = [(outcome, weight) for outcome, weight in zip(outcomes, weights, strict=True) if weight]
        return cls(tuple(o for o, _ in pairs), tuple(reduced([w for _, w in pairs])), reader)

    # -- asking ------------------------------------------------------------------------------------------------------

    def fraction(self, event: Any) -> Expr:
        """The exact probability of an event.

        Parameters
        ----------
        event : outcome, str or predicate
            An outcome, the text that it prints as, or a function from outcome to true or false.

        Returns
        -------
        sympy.Rational or sympy.Expr
            Zero for an outcome that cannot come out.

        Raises
        ------
        UnknownSymbolError
            If a text names nothing known here.

        Examples
        --------
        >>> from pinfeather import Distribution
        >>> Distribution.of({1: "1/4", 2: "3/4"}).fraction(lambda number: number > 1)
        3/4
        """
        if callable(event) and not self._is_outcome(event):
            return self._ring.quotient(
                added(w for o, w in zip(self._outcomes, self._weights, strict=True) if event(o)), self._total
            )
        return self._ring.quotient(self._weight(event), self._total)

    def __getitem__(self, key: Any) -> Any:
        return self.fraction(key)

    def __contains__(self, key: object) -> bool:
        return self._is_outcome(key)

    def __iter__(self) -> Iterator[K]:
        return iter(self._outcomes)

    def __len__(self) -> int:
        return len(self._outcomes)

    def items(self) -> Any:
        """Pairs of outcome and probability, in order."""
        return _Items(self)

    def values(self) -> Any:
        """The probabilities, in the order of the outcomes."""
        made = {weight: self._ring.quotient(weight, self._total) for weight in set(self._weights)}
        return list(map(made.__getitem__, self._weights))

    def ratio(self) -> str:
        """The probabilities as a ratio of whole numbers, such as ``"9 : 3 : 3 : 1"``.

        Examples
        --------
        >>> from pinfeather import Distribution
        >>> Distribution.of({"black": "1/4", "blue": "1/2", "splash": "1/4"}).ratio()
        '1 : 2 : 1'
        """
        if self._ring == RATIONAL:
            return " : ".join(str(weight) for weight in self._lowest)
        return " : ".join(str(value) for value in self.values())

    def most_likely(self) -> K:
        """The outcome with the largest probability; of several, the first.

        Raises
        ------
        ArgumentError
            If the probabilities hold a symbolic parameter, so that they cannot be put in order.

        Examples
        --------
        >>> from pinfeather import Distribution
        >>> Distribution.of({"black": 1, "blue": 2, "splash": 1}).most_likely()
        'blue'
        """
        if self._ring != RATIONAL:
            names = ", ".join(str(g) for g in self._ring.generators)
            message = f"which outcome is likeliest depends on {names}; put numbers in with .substituted({{...}}) first"
            raise ArgumentError(message, argument="parameters", value=self._ring.generators)
        best = max(range(len(self._weights)), key=lambda position: (self._weights[position], -position))
        return self._outcomes[best]

    # -- making others -------------------------------------------------------------------------------------------------

    def map(self, function: Callable[[K], L]) -> Distribution[L]:
        """The distribution of ``function(outcome)``; outcomes that become the same are added together.

        Parameters
        ----------
        function : callable
            From an outcome to a new one, which must be hashable.

        Returns
        -------
        Distribution

        Examples
        --------
        >>> from pinfeather import Distribution
        >>> Distribution.of({1: 1, 2: 2, 3: 1}).map(lambda number: number % 2 == 0).ratio()
        '1 : 1'
        """
        gathered: dict[L, Weight] = {}
        for outcome, weight in zip(self._outcomes, self._weights, strict=True):
            image = function(outcome)
            gathered[image] = gathered.get(image, 0) + weight
        return Distribution.from_weights(gathered, gathered.values())

    def given(self, event: Any) -> Distribution[K]:
        """The distribution once it is known that an event has happened.

        Parameters
        ----------
        event : outcome, str or predicate
            As for :meth:`fraction`.

        Returns
        -------
        Distribution
            Of the outcomes that fit the event, whose probabilities sum to one again.

        Raises
        ------
        ImpossibleError
            If the event cannot happen.

        Examples
        --------
        >>> from pinfeather import Distribution
        >>> seen = Distribution.of({"Lav+/Lav+": 1, "Lav+/lav": 2, "lav/lav": 1}).given(lambda g: g != "lav/lav")
        >>> seen["Lav+/lav"]
        2/3
        """
        if callable(event) and not self._is_outcome(event):
            pairs = [(o, w) for o, w in zip(self._outcomes, self._weights, strict=True) if event(o)]
        else:
            position = self._find(event)
            pairs = [] if position is None else [(self._outcomes[position], self._weights[position])]
        if not pairs:
            message = "no outcome of this distribution fits what is said to have happened"
            raise ImpossibleError(message, event=event)
        return Distribution.from_weights([o for o, _ in pairs], [w for _, w in pairs], self._reader)

    def substituted(self, values: Mapping[Any, Any]) -> Distribution[K]:
        """The distribution with numbers put in for symbolic parameters.

        Parameters
        ----------
        values : mapping
            Symbol (or its name) -> number; symbols that are left out stay.

        Returns
        -------
        Distribution

        Raises
        ------
        UnknownSymbolError
            If the distribution holds no such symbol.
        DefinitionError
            If a chance is then negative.

        Examples
        --------
        >>> import sympy
        >>> from pinfeather import Distribution
        >>> q = sympy.Symbol("q")
        >>> Distribution.of({"carrier": q, "clear": 1 - q}).substituted({"q": "1/10"})["clear"]
        9/10
        """
        swaps = {str(name): exact(value, str(name)) for name, value in values.items()}
        present = {str(s): s for generator in self._ring.generators for s in generator.free_symbols}
        for name in swaps:
            if name not in present:
                _checks.unknown("parameter", name, present)
        pairs = {present[name]: value for name, value in swaps.items()}
        made = {o: v.subs(pairs, simultaneous=True) for o, v in zip(self._outcomes, self.values(), strict=True)}
        fresh = Distribution.of(made)
        fresh._reader = self._reader
        return fresh

    # -- showing -------------------------------------------------------------------------------------------------------

    def floats(self) -> dict[K, float]:
        """The probabilities as floating-point numbers, for drawing.

        Examples
        --------
        >>> from pinfeather import Distribution
        >>> Distribution.of({"pullet": 1, "cockerel": 1}).floats()
        {'pullet': 0.5, 'cockerel': 0.5}
        """
        return {o: float(v) for o, v in zip(self._outcomes, self.values(), strict=True)}

    def to_dict(self) -> dict[str, str]:
        """The distribution as plain texts, exactly, ready for JSON.

        Examples
        --------
        >>> from pinfeather import Distribution
        >>> Distribution.of({"pullet": 1, "cockerel": 1}).to_dict()
        {'pullet': '1/2', 'cockerel': '1/2'}
        """
        return {str(o): exact_text(v) for o, v in zip(self._outcomes, self.values(), strict=True)}

    def _table(self) -> Table:
        rows = [(str(o), exact_text(v), as_percent(v)) for o, v in self._first_rows()]
        hidden = len(self) - len(rows)
        below = f"... and {hidden} more" if hidden else ()
        return Table(("outcome", "fraction", ""), rows, below=below, headed=False)

    def _records(self) -> list[Record]:
        outcomes = [_as_columns(outcome) for outcome in self]
        if len({tuple(columns) for columns in outcomes}) > 1:
            outcomes = [{"outcome": str(outcome)} for outcome in self]
        return [beside(columns, fraction=v) for columns, v in zip(outcomes, self.values(), strict=True)]

    def __repr__(self) -> str:
        shown = ", ".join(f"{str(o)!r}: {v}" for o, v in self._first_rows(6))
        more = ", ..." if len(self) > 6 else ""
        return f"Distribution({{{shown}{more}}})"

    # -- comparing -----------------------------------------------------------------------------------------------------

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Distribution):
            if isinstance(other, Mapping):
                return dict(self.items()) == {k: v for k, v in other.items() if v != 0}
            return NotImplemented
        if len(self) != len(other):
            return False
        return all(
            o in other._index and other.fraction(o) == v for o, v in zip(self._outcomes, self.values(), strict=True)
        )

    def __hash__(self) -> int:
        return hash(frozenset(self._outcomes))

    def __reduce__(self) -> tuple[Any, ...]:
        # Rings of polynomials do not pickle, so symbolic chances travel as expressions; a reader stays behind.
        symbolic = self._ring != RATIONAL
        return _restored, (tuple(self._outcomes), self.values() if symbolic else list(self._weights), symbolic)

    # -- inside --------------------------------------------------------------------------------------------------------

    @cached_property
    def _ring(self) -> WeightRing:
        return ring_of(self._weights)

    @cached_property
    def _total(self) -> Weight:
        return added(self._weights)

    @cached_property
    def _lowest(self) -> list[int]:
        factor = gcd(*self._weights)
        return [weight // factor for weight in self._weights]

    @cached_property
    def _index(self) -> dict[K, int]:
        return {outcome: position for position, outcome in enumerate(self._outcomes)}

    @cached_property
    def _printed(self) -> dict[str, int]:
        return {str(outcome): position for position, outcome in enumerate(self._outcomes)}

    def _is_outcome(self, key: object) -> bool:
        try:
            return key in self._index
        except TypeError:  # an unhashable key is no outcome
            return False

    def _find(self, key: Any) -> int | None:
        """The position of an outcome, or None for one that cannot come out."""
        if self._is_outcome(key):
            return self._index[key]
        if not isinstance(key, str):
            return None
        if key in self._printed:
            return self._printed[key]
        if self._reader is None:
            _checks.unknown("outcome", key, self._printed)
        return self._index.get(self._reader(key))

    def _weight(self, key: Any) -> Weight:
        position = self._find(key)
        return 0 if position is None else self._weights[position]

    def _first_rows(self, most: int = _ROWS_SHOWN) -> list[tuple[K, Any]]:
        count = min(len(self), most)
        return [
            (o, self._ring.quotient(w, self._total))
            for o, w in itertools.islice(zip(self._outcomes, self._weights, strict=True), count)
        ]


def _as_columns(outcome: Any) -> Record:
    """An outcome as the columns of a record: those that it names itself, or one."""
    if hasattr(outcome, "_as_columns"):
        columns: Record = outcome._as_columns()
        return columns
    return {"outcome": outcome if isinstance(outcome, (int, float)) else str(outcome)}


def _restored(outcomes: tuple[Any, ...], weights: list[Any], symbolic: bool) -> Distribution[Any]:
    if not symbolic:
        return Distribution(outcomes, weights)
    return Distribution.from_weights(outcomes, WeightRing.of(weights).whole(weights)[0])


class _Items(ItemsView[Any, Any]):
    """The pairs of a distribution, made from both columns at once and not by one look-up each."""

    _mapping: Distribution[Any]

    def __iter__(self) -> Iterator[tuple[Any, Any]]:
        return zip(self._mapping, self._mapping.values(), strict=True)
