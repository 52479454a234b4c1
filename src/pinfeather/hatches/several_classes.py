"""How many chicks bring enough of each of several classes at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import islice
from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.exact import counting
from pinfeather.exact.symbolic import RATIONAL, WeightRing
from pinfeather.hatches.wants import certainty_of, check_length, check_steps, classes_wanted, no_symbol, possible

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.crosses.offspring import Offspring


def chance_of_each(
    fractions: Offspring | Mapping[Any, Any],
    wanted: Mapping[Any, int],
    chicks: int,
    *,
    traits: str | Sequence[str] = (),
    loci: str | Sequence[str] = (),
) -> Expr:
    """The chance that one hatch brings enough chicks of each of several classes.

    Parameters
    ----------
    fractions : mapping of class to number, Distribution, or Offspring
        Fractions of classes that exclude each other; they sum to at most 1, and what is left is every other chick.
        An Offspring is asked by the traits or loci named, or by those whose labels the classes wanted are.
    wanted : mapping of class to int
        How many are wanted of each class, at least.
    chicks : int
        How many chicks hatch.
    traits, loci : str or sequence of str
        By what the chicks of an Offspring are told apart; ``"sex"`` counts as a trait.

    Returns
    -------
    sympy.Rational or sympy.Expr
        Exact; a polynomial in the parameters where fractions are symbolic.

    Raises
    ------
    ArgumentError
        If the fractions sum to more than 1, or a number is negative or not whole.
    UnknownSymbolError
        If a class is wanted that has no fraction; the nearest is suggested.
    TooLargeError
        If the sum would take too many steps.

    Notes
    -----
    A sum over the chicks, one after the other, and over the sets of classes that are complete: see
    ``enough_of_each`` in ``exact/counting.py``.  It takes the same work however many are wanted.

    Examples
    --------
    >>> from pinfeather import chance_of_each
    >>> each = {"lavender pullet": "1/4", "lavender cockerel": "1/4"}
    >>> chance_of_each(each, {"lavender pullet": 1, "lavender cockerel": 1}, chicks=2)
    1/8
    """
    chicks = _checks.whole_number(chicks, "chicks")
    values, counts, rest = classes_wanted(fractions, wanted, traits, loci)
    ring = WeightRing.of([*values, rest])
    weights, total = ring.whole([*values, rest])
    check_length(total, chicks)
    check_steps(weights[:-1], counts, chicks, total)
    stream = counting.enough_of_each(weights[:-1], counts, weights[-1])
    return ring.quotient(next(islice(stream, chicks, None)), total**chicks)


def chicks_needed_for_each(
    fractions: Offspring | Mapping[Any, Any],
    wanted: Mapping[Any, int],
    certainty: Any = "95%",
    *,
    traits: str | Sequence[str] = (),
    loci: str | Sequence[str] = (),
) -> int:
    """The least number of chicks that brings enough of each of several classes, with the certainty asked of all.

    Parameters
    ----------
    fractions, wanted, traits, loci
        As for :func:`chance_of_each`.
    certainty : number
        That all wants are met in the same hatch: above 0 and below 1.

    Returns
    -------
    int

    Raises
    ------
    ArgumentError
        If an argument is out of range, or a fraction is symbolic.
    ImpossibleError
        If a class that is wanted has the fraction 0, or no number of chicks gives the certainty.
    TooLargeError
        If the sum would take too many steps.

    Examples
    --------
    >>> from pinfeather import chicks_needed, chicks_needed_for_each
    >>> chicks_needed_for_each({"cockerel": "1/8", "pullet": "1/8"}, {"cockerel": 1, "pullet": 2})
    38
    >>> chicks_needed("1/8", 1), chicks_needed("1/8", 2)
    (23, 37)
    """
    values, counts, rest = classes_wanted(fractions, wanted, traits, loci)
    values = [no_symbol(value) for value in values]
    if not values:
        return 0
    sure = certainty_of(certainty, values)
    for value in values:
        possible(value, "fractions")
    if not all(value.is_Rational for value in (*values, rest)):
        _checks.refuse("fractions", fractions, "several classes at once need rational fractions; round them, as 9/100")
    weights, total = RATIONAL.whole([*values, rest])
    return _needed_for_each(weights[:-1], counts, weights[-1], total, sure)


def _needed_for_each(parts: Sequence[int], counts: Sequence[int], rest: int, total: int, sure: tuple[int, int]) -> int:
    """Look at one chick more at a time, between two numbers that are easily known.

    No number will do that is too small for one class alone; and any number will do that makes each class fail with no
    more than its share of the risk.
    """
    top, bottom = sure
    shared = (bottom * len(parts) - (bottom - top), bottom * len(parts))
    wants = list(zip(parts, counts, strict=True))
    least = max(counting.trials_for(part, total - part, count, sure) for part, count in wants)
    most = max(counting.trials_for(part, total - part, count, shared) for part, count in wants)
    check_steps(parts, counts, most, total)
    everything = total**least
    for chicks, weight in enumerate(counting.enough_of_each(parts, counts, rest)):
        if chicks >= least:
            if weight * bottom >= top * everything:
                return chicks
            everything *= total
    raise AssertionError  # the stream never ends
