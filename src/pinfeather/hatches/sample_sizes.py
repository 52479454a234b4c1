"""How many chicks, how many eggs, and what a hatch of a given size is likely to bring."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from pinfeather import _checks
from pinfeather._results import Record, ShownRow
from pinfeather._tables import Table
from pinfeather.errors import ArgumentError
from pinfeather.exact import brackets, counting
from pinfeather.exact.numbers import fraction_of
from pinfeather.exact.symbolic import WeightRing
from pinfeather.hatches.expectations import is_offspring
from pinfeather.hatches.layout import brief, percent_text
from pinfeather.hatches.several_classes import chicks_needed_for_each
from pinfeather.hatches.wants import (
    certainty_of,
    check_length,
    chicks_per_egg,
    fraction_meant,
    fractions_of,
    no_symbol,
    open_unit,
    possible,
    too_close,
)

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.crosses.offspring import Looks, Offspring
    from pinfeather.heredity.genotypes import Genotype
    from pinfeather.heredity.patterns import Pattern


class _Range(NamedTuple):
    """The three values that a likely range unpacks to."""

    low: int
    high: int
    coverage: Any


class LikelyRange(ShownRow, _Range):
    """The numbers of chicks that a hatch is likely to bring; made by :func:`likely_range`.

    Attributes
    ----------
    low, high : int
        The range; both ends belong to it.
    coverage : sympy.Rational
        The exact chance of a number in the range.

    Examples
    --------
    >>> from pinfeather import likely_range
    >>> low, high, coverage = likely_range("1/4", 20)
    >>> low, high, round(float(coverage), 4)
    (2, 9, 0.9618)
    """

    __slots__ = ()

    def _record(self) -> Record:
        return self._asdict()

    def __repr__(self) -> str:
        return f"LikelyRange(low={self.low}, high={self.high}, coverage={brief(self.coverage)})"

    def _table(self) -> Table:
        rows = [
            ("likely number of chicks", f"{self.low} to {self.high}"),
            ("chance of that", percent_text(self.coverage)),
        ]
        return Table(("what is likely", ""), rows, headed=False)


# ---- one class of chicks -------------------------------------------------------------------------------------------


def chance(
    fraction: Offspring | Any,
    chicks: int,
    at_least: int = 1,
    at_most: int | None = None,
    *,
    genotype: str | Pattern | Genotype | None = None,
    shows: Looks | None = None,
    sex: str | None = None,
) -> Expr:
    """The chance that a hatch brings a number of chicks of one class.

    Parameters
    ----------
    fraction : number or Offspring
        The fraction of such chicks, from 0 to 1, exact or symbolic; or an Offspring, with ``genotype``, ``shows`` and
        ``sex`` saying which of its chicks are meant.
    chicks : int
        How many chicks hatch.
    at_least : int
        The least number of such chicks; 1 unless said otherwise, also where ``at_most`` is given.
    at_most : int, optional
        The largest number; all the chicks unless said otherwise.
    genotype, shows, sex
        As for :meth:`~pinfeather.Offspring.fraction`.

    Returns
    -------
    sympy.Rational or sympy.Expr
        Exact; a polynomial in the parameters where the fraction is symbolic.

    Raises
    ------
    ArgumentError
        If the fraction lies outside [0, 1], a number is negative or not whole, or the two bounds contradict.
    TooLargeError
        If the exact fraction would have more than two million binary digits.

    References
    ----------
    The binomial distribution: J. Bernoulli 1713, Ars Conjectandi.

    Examples
    --------
    >>> from pinfeather import chance
    >>> chance("1/4", 10)
    989527/1048576
    >>> chance("1/2", 10, at_least=0, at_most=2)
    7/128
    >>> import sympy
    >>> chance(sympy.Symbol("p"), 2)
    -p**2 + 2*p
    """
    value = fraction_meant(fraction, genotype, shows, sex)
    chicks = _checks.whole_number(chicks, "chicks")
    low = _checks.whole_number(at_least, "at_least")
    high = chicks if at_most is None else _checks.whole_number(at_most, "at_most")
    if at_most is not None and low > high:
        message = f"at_least={low} and at_most={high} contradict each other"
        raise ArgumentError(message, argument="at_most", value=at_most)
    ring = WeightRing.of([value])
    (wins,), total = ring.whole([value])
    check_length(total, chicks)
    return ring.quotient(counting.between(wins, total - wins, chicks, low, high), total**chicks)


def chicks_needed(
    fraction: Offspring | Any,
    wanted: int = 1,
    certainty: Any = "95%",
    *,
    genotype: str | Pattern | Genotype | None = None,
    shows: Looks | None = None,
    sex: str | None = None,
) -> int:
    """The least number of chicks that brings as many of one class as wanted, with the certainty asked.

    Parameters
    ----------
    fraction : number or Offspring
        As for :func:`chance`.
    wanted : int
        How many such chicks are wanted; at least 1.
    certainty : number
        Above 0 and below 1, such as ``"95%"``; 1 only where every chick is of the class.
    genotype, shows, sex
        As for :meth:`~pinfeather.Offspring.fraction`.

    Returns
    -------
    int

    Raises
    ------
    ArgumentError
        If an argument is out of range, or the fraction is symbolic.
    ImpossibleError
        If the fraction is 0, or no number of chicks gives the certainty.

    Notes
    -----
    The number is exact: it is found by doubling and bisection with bounds that are rounded down and up, and refined
    until they decide.

    References
    ----------
    J. R. Sedcole 1977, Crop Science 17:667-668.  Of the numbers often printed for the test mating to a known carrier,
    16 for 99 % is one too few: (3/4)**16 is just above 1 %.

    Examples
    --------
    >>> from pinfeather import chicks_needed
    >>> [chicks_needed("1/2", certainty=c) for c in ("95%", "99%", "99.9%")]
    [5, 7, 10]
    >>> chicks_needed("1/4", certainty="99%"), chicks_needed("1/4", wanted=3)
    (17, 23)
    """
    value = no_symbol(fraction_meant(fraction, genotype, shows, sex))
    wanted = _checks.whole_number(wanted, "wanted", 1)
    sure = certainty_of(certainty, [value])
    possible(value, "fraction")
    found = {_needed(bound, wanted, sure) for bound in brackets.neighbours(value)}
    if len(found) > 1:
        too_close(value)
    return found.pop()


def _needed(bound: Any, wanted: int, sure: tuple[int, int]) -> int:
    wins = min(bound.numerator, bound.denominator)
    return counting.trials_for(wins, bound.denominator - wins, wanted, sure)


def eggs_to_set(
    fraction: Offspring | Any,
    wanted: int | Mapping[str, int] = 1,
    certainty: Any = "95%",
    fertility: Any = 1,
    hatch_of_fertile: Any = 1,
    survival: Any = 1,
    *,
    genotype: str | Pattern | Genotype | None = None,
    shows: Looks | None = None,
    sex: str | None = None,
) -> int:
    """The least number of eggs to set for as many chicks of one class as wanted, with the certainty asked.

    Parameters
    ----------
    fraction : number, Offspring, or mapping of class to number
        As for :func:`chance`: a fraction of the chicks hatched.  Of an Offspring, the eggs that a lethal genotype costs
        are counted too.  With a mapping, ``wanted`` is a mapping as well, as for :func:`chicks_needed_for_each`.
    wanted : int or mapping of class to int
        How many are wanted, alive at the age up to which ``survival`` counts.
    certainty : number
        Above 0 and below 1.
    fertility : number
        Fertile eggs among eggs set: above 0, up to 1.  85 to 95 % is good natural mating (common practice, no source).
    hatch_of_fertile : number
        Chicks among fertile eggs, apart from lethal genotypes: above 0, up to 1.  80 to 90 % is usual (common practice,
        no source).
    survival : number
        Chicks alive when you choose, among chicks hatched: above 0, up to 1.
    genotype, shows, sex
        As for :meth:`~pinfeather.Offspring.fraction`.

    Returns
    -------
    int

    Raises
    ------
    ArgumentError
        If a rate is 0 or outside (0, 1], or an argument is out of range.
    ImpossibleError
        If no number of eggs gives such a chick.

    Notes
    -----
    Every egg is taken to fare by itself.  A whole clutch that is clear, or a broody that leaves, is not in the sum.

    Examples
    --------
    >>> from pinfeather import eggs_to_set
    >>> eggs_to_set("1/4"), eggs_to_set("1/4", fertility="90%", hatch_of_fertile="85%", survival="95%")
    (11, 15)
    """
    if isinstance(fraction, Mapping):
        alive = _alive(fraction, fertility, hatch_of_fertile, survival)
        if genotype is not None or shows is not None or sex is not None:
            _checks.refuse("fraction", fraction, "genotype=, shows= and sex= choose among the chicks of an Offspring")
        each = {name: alive * part for name, part in fractions_of(fraction, (), (), None).items()}
        return chicks_needed_for_each(each, _checks.mapping(wanted, "wanted"), certainty)
    if isinstance(wanted, Mapping):
        _checks.refuse("wanted", wanted, "several classes need several fractions: {class: fraction}")
    share = share_of_eggs(fraction, fertility, hatch_of_fertile, survival, genotype=genotype, shows=shows, sex=sex)
    return chicks_needed(share, wanted, certainty)


def share_of_eggs(
    fraction: Offspring | Any,
    fertility: Any = 1,
    hatch_of_fertile: Any = 1,
    survival: Any = 1,
    *,
    genotype: str | Pattern | Genotype | None = None,
    shows: Looks | None = None,
    sex: str | None = None,
) -> Expr:
    """The share of the eggs set that bring a chick of the class, as :func:`eggs_to_set` counts them."""
    alive = _alive(fraction, fertility, hatch_of_fertile, survival)
    return alive * fraction_meant(fraction, genotype, shows, sex)


def _alive(fraction: Any, fertility: Any, hatch_of_fertile: Any, survival: Any) -> Expr:
    """The share of the eggs set whose chicks are there in the end."""
    alive = chicks_per_egg(fertility, hatch_of_fertile, survival)
    return alive * (1 - _lost(fraction)) if is_offspring(fraction) else alive


def _lost(offspring: Offspring) -> Expr:
    """The fertilised eggs that a mating loses; chicks that were picked out have left their eggs behind."""
    if not offspring.kept.is_everything or offspring.alive != "hatched":
        message = (
            f"eggs are counted for a whole mating, not for a selection ({offspring.mating}); hand over what cross(...) "
            "gave, and say which of its chicks you want"
        )
        raise ArgumentError(message, argument="fraction", value=offspring)
    return offspring.lost


def likely_range(
    fraction: Offspring | Any,
    chicks: int,
    coverage: Any = "95%",
    *,
    genotype: str | Pattern | Genotype | None = None,
    shows: Looks | None = None,
    sex: str | None = None,
) -> LikelyRange:
    """The numbers of chicks of one class that a hatch is likely to bring.

    Parameters
    ----------
    fraction : number or Offspring
        As for :func:`chance`.
    chicks : int
        How many chicks hatch.
    coverage : number
        The chance that the range must have at least: above 0 and below 1.
    genotype, shows, sex
        As for :meth:`~pinfeather.Offspring.fraction`.

    Returns
    -------
    LikelyRange
        ``(low, high, coverage)``: both ends belong to the range, and its chance is exact.

    Raises
    ------
    ArgumentError
        If an argument is out of range, or the fraction is symbolic.

    Notes
    -----
    The range is the narrowest with the coverage asked: numbers are taken in the order of their chance.  Two that are
    equally likely go in together, so that a 1 : 1 range is symmetrical.  It holds exactly the numbers whose p-value in
    the exact test of :func:`goodness_of_fit` is above one less the coverage.

    Examples
    --------
    >>> from pinfeather import likely_range
    >>> likely_range("1/2", 10)
    LikelyRange(low=2, high=8, coverage=501/512)
    """
    value = no_symbol(fraction_meant(fraction, genotype, shows, sex))
    chicks = _checks.whole_number(chicks, "chicks")
    asked = fraction_of(no_symbol(open_unit(coverage, "coverage")))
    ranges = set()
    for bound in brackets.neighbours(value):
        check_length(bound.denominator, chicks)
        least = asked.numerator * bound.denominator**chicks

        def enough(weight: int, least: int = least) -> bool:
            return weight * asked.denominator >= least

        wins = max(0, min(bound.numerator, bound.denominator))
        ranges.add(counting.likeliest(wins, bound.denominator - wins, chicks, enough)[:2])
    if len(ranges) > 1:
        too_close(value)
    low, high = ranges.pop()
    return LikelyRange(low, high, chance(value, chicks, low, high))
