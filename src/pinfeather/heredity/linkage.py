"""Linkage: loci that travel together, and how often they part."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather.errors import DefinitionError, ImpossibleError
from pinfeather.exact import numbers
from pinfeather.heredity.sexes import Sex

if TYPE_CHECKING:
    from sympy import Expr

UNKNOWN = "unknown"
_PAIR = 2

Fractions: TypeAlias = "tuple[Expr | None, Expr | None]"
"""A recombination fraction (in males, in females); None is "linked, fraction unknown"."""


def haldane(centimorgans: Any) -> Expr:
    """Turn a map distance into a recombination fraction by Haldane's map function (no interference).

    Parameters
    ----------
    centimorgans : number or symbol
        Map distance in centimorgans, at least 0.

    Returns
    -------
    sympy.Expr
        The recombination fraction, between 0 and 1/2, exactly.

    Raises
    ------
    ArgumentError
        If the distance is negative or no number.

    References
    ----------
    J. B. S. Haldane 1919, "The combination of linkage values", Journal of Genetics 8:299-309.

    Examples
    --------
    >>> from pinfeather import haldane
    >>> haldane(20), round(float(haldane(20)), 6)
    (1/2 - exp(-2/5)/2, 0.16484)
    """
    distance = _distance(centimorgans)
    return ((1 - numbers.exponential(-distance / 50)) / 2).expand()


def kosambi(centimorgans: Any) -> Expr:
    """Turn a map distance into a recombination fraction by Kosambi's map function (moderate interference).

    Parameters
    ----------
    centimorgans : number or symbol
        Map distance in centimorgans, at least 0.

    Returns
    -------
    sympy.Expr
        The recombination fraction, between 0 and 1/2, exactly.

    Raises
    ------
    ArgumentError
        If the distance is negative or no number.

    References
    ----------
    D. D. Kosambi 1944, "The estimation of map distances from recombination values", Annals of Eugenics 12:172-175.

    Examples
    --------
    >>> from pinfeather import kosambi
    >>> kosambi(20), round(float(kosambi(20)), 6)
    (tanh(2/5)/2, 0.189974)
    """
    return numbers.hyperbolic_tangent(_distance(centimorgans) / 50) / 2


def inverse_haldane(recombination: Any) -> Expr:
    """Turn a recombination fraction into centimorgans by Haldane's map function.

    Parameters
    ----------
    recombination : number or symbol
        A fraction from 0 to below 1/2 (1/2 is no finite distance).

    Returns
    -------
    sympy.Expr
        The distance in centimorgans, exactly.

    Raises
    ------
    ArgumentError
        If the fraction lies outside [0, 1/2].
    ImpossibleError
        If it is 1/2.

    References
    ----------
    J. B. S. Haldane 1919, Journal of Genetics 8:299-309.

    Examples
    --------
    >>> from pinfeather import haldane, inverse_haldane
    >>> inverse_haldane(haldane(20))
    20
    """
    fraction = _below_half(recombination)
    return -50 * numbers.logarithm(1 - 2 * fraction)


def inverse_kosambi(recombination: Any) -> Expr:
    """Turn a recombination fraction into centimorgans by Kosambi's map function.

    Parameters
    ----------
    recombination : number or symbol
        A fraction from 0 to below 1/2 (1/2 is no finite distance).

    Returns
    -------
    sympy.Expr
        The distance in centimorgans, exactly.

    Raises
    ------
    ArgumentError
        If the fraction lies outside [0, 1/2].
    ImpossibleError
        If it is 1/2.

    References
    ----------
    D. D. Kosambi 1944, Annals of Eugenics 12:172-175.

    Examples
    --------
    >>> from pinfeather import inverse_kosambi
    >>> round(float(inverse_kosambi("0.1")), 4)
    10.1366
    """
    return 50 * numbers.inverse_hyperbolic_tangent(2 * _below_half(recombination))


def _distance(centimorgans: Any) -> Expr:
    distance = numbers.exact(centimorgans, "centimorgans")
    if distance.is_negative:
        _checks.refuse("centimorgans", centimorgans, "a map distance cannot be negative")
    return distance


def _below_half(recombination: Any) -> Expr:
    fraction = numbers.between(recombination, "recombination", 0, "1/2")
    if fraction == numbers.exact("1/2"):
        message = "a recombination fraction of 1/2 is no finite map distance: the loci are not linked"
        raise ImpossibleError(message, recombination=fraction)
    return fraction


def joined(first: Expr | None, second: Expr | None) -> Expr | None:
    """The fraction over two neighbouring intervals, crossing over in one not disturbing the other."""
    if first is None or second is None:
        return None
    return (first + second - 2 * first * second).expand()


@attrs.frozen(init=False)
class Linkage:
    """A group of linked loci.

    Parameters
    ----------
    loci : sequence of str
        Symbols of the loci, in map order.
    recombination : number, or sequence
        One fraction for each pair of neighbours, from 0 to 1/2; where the sexes differ, a pair (in males, in females).
        ``None`` or ``"unknown"`` says "linked, fraction unknown": a question that needs it is refused.
        For two loci the single entry may stand by itself.
    pairs : mapping of (str, str) to fraction
        Fractions known for two loci of the group between which the chain has an unknown piece.
    sources, notes, flag
        Where the figures come from, remarks, and how far they were verified.

    Raises
    ------
    DefinitionError
        If a locus stands twice, the numbers do not fit the loci, or a fraction lies outside [0, 1/2].

    Notes
    -----
    Crossing over in one interval is taken not to disturb the next (no interference).  Loci on the Z recombine only in
    cocks, those on the X only in females, whatever the figure.

    Examples
    --------
    >>> from pinfeather import Linkage
    >>> group = Linkage(("Cr", "I", "F"), ("0.125", "0.171"))
    >>> group.fraction("Cr", "F", "male")
    1013/4000
    """

    loci: tuple[str, ...]
    recombination: tuple[Fractions, ...]
    pairs: Mapping[tuple[str, str], Fractions] = attrs.field(factory=dict, hash=False)
    sources: tuple[str, ...] = attrs.field(default=(), converter=_checks.sources)
    notes: str = ""
    flag: str = ""

    def __init__(
        self,
        loci: Sequence[str],
        recombination: Any,
        pairs: Mapping[Any, Any] | None = None,
        sources: Iterable[str] = (),
        notes: str = "",
        flag: str = "",
    ) -> None:
        names = _checks.unique(_checks.texts(loci, "loci"), "linked locus")
        if len(names) < _PAIR:
            message = f"a linkage group needs at least two loci, not {len(names)}"
            raise DefinitionError(message, loci=names)
        self.__attrs_init__(names, _intervals(names, recombination), {}, sources, notes, flag)
        object.__setattr__(self, "pairs", self._read_pairs(pairs or {}))

    def fraction(self, first: str, second: str, sex: Sex) -> Expr | None:
        """The recombination fraction between two loci of the group, in parents of one sex.

        Parameters
        ----------
        first, second : str
            Symbols of the loci, in either order.
        sex : {"male", "female"}
            The parent's.

        Returns
        -------
        sympy.Expr or None
            From 0 to 1/2; None is "linked, fraction unknown".

        Raises
        ------
        UnknownSymbolError
            If a locus is not in the group.

        Examples
        --------
        >>> from pinfeather import Linkage
        >>> group = Linkage(("Cr", "I", "F"), ("1/8", "unknown"))
        >>> group.fraction("I", "Cr", "male"), group.fraction("Cr", "F", "male")
        (1/8, None)
        """
        low, high = sorted((self._position(first), self._position(second)))
        which = 0 if sex == "male" else 1
        known = self.pairs.get((self.loci[low], self.loci[high]))
        if known is not None:
            return known[which]
        if low == high:
            return numbers.exact(0)
        first_interval, *others = self.recombination[low:high]
        total = first_interval[which]
        for interval in others:
            total = joined(total, interval[which])
        return total

    def _position(self, locus: str) -> int:
        if locus not in self.loci:
            _checks.unknown("locus", locus, self.loci, "this linkage group")
        return self.loci.index(locus)

    def _read_pairs(self, pairs: Mapping[Any, Any]) -> dict[tuple[str, str], Fractions]:
        read: dict[tuple[str, str], Fractions] = {}
        for pair, value in _checks.mapping(pairs, "pairs").items():
            names = _checks.texts(pair, "pairs")
            if len(names) != _PAIR or names[0] == names[1]:
                _checks.refuse("pairs", pair, "must name two different loci")
            low, high = sorted(names, key=self._position)
            if all(self.fraction(low, high, sex) is not None for sex in ("male", "female")):
                message = (
                    f"the chain of this group already gives the fraction between {low} and {high}; "
                    "change the chain, or leave the pair out"
                )
                raise DefinitionError(message, pair=(low, high))
            read[(low, high)] = _fractions(value, f"recombination of {low} and {high}")
        return read


def _intervals(loci: tuple[str, ...], given: Any) -> tuple[Fractions, ...]:
    """One entry per neighbour pair, however it was written."""
    wanted = len(loci) - 1
    entries = list(given) if isinstance(given, (tuple, list)) else [given]
    if wanted == 1 and len(entries) == _PAIR:
        entries = [tuple(entries)]
    if len(entries) != wanted:
        message = (
            f"{len(loci)} loci ({' '.join(loci)}) have {wanted} neighbour pair{'s' if wanted > 1 else ''}, but "
            f"{len(entries)} recombination fractions are given"
        )
        raise DefinitionError(message, loci=loci)
    names = [f"recombination of {a} and {b}" for a, b in itertools.pairwise(loci)]
    return tuple(_fractions(entry, name) for entry, name in zip(entries, names, strict=True))


def _fractions(value: Any, name: str) -> Fractions:
    if isinstance(value, (tuple, list)):
        if len(value) != _PAIR:
            _checks.refuse(name, value, "must be one fraction, or a pair (in males, in females)")
        return _fraction(value[0], f"{name} in males"), _fraction(value[1], f"{name} in females")
    both = _fraction(value, name)
    return both, both


def _fraction(value: Any, name: str) -> Expr | None:
    if value is None or value == UNKNOWN:
        return None
    return numbers.between(value, name, 0, "1/2")
