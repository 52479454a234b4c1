"""linkage_drag: how much of the donor's chromosome comes along with a gene that is held through backcrosses."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pinfeather import _checks
from pinfeather.exact.numbers import exact, exponential

if TYPE_CHECKING:
    from sympy import Expr


def linkage_drag(backcrosses: int, left: Any, right: Any) -> Expr:
    """The expected length of the donor's chromosome round a gene that is held through backcrosses.

    Parameters
    ----------
    backcrosses : int
        How many times the gene's carriers were mated to the breed, the cross with the donor not counted; at least 1.
    left, right : number or symbol
        Map length of the chromosome to either side of the gene, in centimorgans.

    Returns
    -------
    sympy.Expr
        In centimorgans, exactly.

    Raises
    ------
    ArgumentError
        If a length is negative, or there is no backcross.

    Notes
    -----
    To a side of L Morgan, after t backcrosses, (1 - exp(-t L)) / t, without interference and without selection on
    anything but the gene.  The expected share of a breed that a programme recovers speaks of the genes that are not
    linked to the one held; this is what to add in mind.

    References
    ----------
    P. Stam and A. C. Zeven 1981, "The theoretical proportion of the donor genome in near-isogenic lines of
    self-fertilizers bred by backcrossing", Euphytica 30:227-238.

    Examples
    --------
    >>> from pinfeather.plans import linkage_drag
    >>> round(float(linkage_drag(6, 50, 50)), 2)
    31.67
    """
    times = _checks.whole_number(backcrosses, "backcrosses", 1)
    return _side(times, left, "left") + _side(times, right, "right")


def _side(times: int, length: Any, name: str) -> Expr:
    centimorgans = exact(length, name)
    if centimorgans.is_negative:
        _checks.refuse(name, length, "a map length cannot be negative")
    return 100 * (1 - exponential(-times * centimorgans / 100)) / times
