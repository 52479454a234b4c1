"""Rotational mating of clans: a ring in which every clan's cockerels go to the next clan, year by year."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

import attrs

from pinfeather import _checks
from pinfeather._results import Record, Shown, ShownRow
from pinfeather._tables import Table
from pinfeather.errors import TooLargeError
from pinfeather.exact.numbers import exact
from pinfeather.hatches.layout import percent_text
from pinfeather.pedigree.paths import inbreeding_caution

if TYPE_CHECKING:
    from sympy import Expr

_LEAST_CLANS = 3
_MOST_SEASONS = 500


@attrs.frozen
class ClanSeason(ShownRow):
    """One season of a rotation.

    Attributes
    ----------
    season : int
        Counted from 1.
    matings : tuple of (str, str)
        The clan whose cocks are used, and the clan of the hens; the chicks belong to the hens' clan.
    inbreeding : sympy.Rational
        The expected inbreeding of the season's chicks.
    undivided : sympy.Rational
        The same if as many cocks and hens were mated at random in one flock.
    """

    season: int
    matings: tuple[tuple[str, str], ...]
    inbreeding: Expr
    undivided: Expr

    def _record(self) -> Record:
        return {"season": self.season, "inbreeding": self.inbreeding, "undivided": self.undivided}

    def _facts(self) -> Record:
        return {**self._record(), "matings": [{"cocks": one, "hens": other} for one, other in self.matings]}


@attrs.frozen(repr=False)
class ClanRotation(Shown):
    """A rotation of clans over some seasons, with the inbreeding to be expected; made by :func:`rotate_clans`.

    Attributes
    ----------
    clans : tuple of str
    cocks, hens : int
        How many of each a clan breeds from in every season.
    seasons : tuple of ClanSeason
    """

    clans: tuple[str, ...]
    cocks: int
    hens: int
    seasons: tuple[ClanSeason, ...]

    @property
    def rate(self) -> Expr:
        """The rate of inbreeding in the last season: how much of what was left of variety it took."""
        if len(self.seasons) < 2:
            return exact(0)
        last, before = self.seasons[-1].inbreeding, self.seasons[-2].inbreeding
        return 1 - (1 - last) / (1 - before)

    def _table(self) -> Table:
        rows = [(str(one.season), percent_text(one.inbreeding), percent_text(one.undivided)) for one in self.seasons]
        heads = ("season", "inbreeding of the chicks", "in one undivided flock")
        return Table(heads, rows, self._title(), self._remarks())

    def _records(self) -> list[Record]:
        return [one._record() for one in self.seasons]

    def _facts(self) -> Record:
        return {
            "clans": self.clans,
            "cocks": self.cocks,
            "hens": self.hens,
            "rate": self.rate,
            "remarks": tuple(self._remarks()),
            "seasons": self.seasons,
        }

    def __repr__(self) -> str:
        return f"<ClanRotation of {len(self.clans)} clans over {len(self.seasons)} seasons>"

    def _title(self) -> str:
        words = f"{self.cocks} cock{'s' if self.cocks > 1 else ''} and {self.hens} hen{'s' if self.hens > 1 else ''}"
        ring = ", ".join(f"{one} to {other}" for one, other in self.seasons[0].matings)
        return f"{len(self.clans)} clans of {words}.  Every season the cockerels move on: {ring}."

    def _remarks(self) -> Iterator[str]:
        yield "Chicks stay in their dam's clan; cocks are never used on their own clan."
        caution = inbreeding_caution(self.seasons[-1].inbreeding)
        if caution:
            closeness = caution.partition(" is ")[2]
            yield f"Caution: the chicks of season {len(self.seasons)} are on average {closeness}."


def rotate_clans(clans: int | Sequence[str] = 4, seasons: int = 10, cocks: int = 1, hens: int = 5) -> ClanRotation:
    """Plan a rotation of clans, and say what inbreeding to expect season by season.

    Parameters
    ----------
    clans : int or sequence of str
        How many clans there are, or their names in the order of the ring; at least 3.
    seasons : int
        How many seasons to plan: 1 to 500, each with a new generation.
    cocks, hens : int
        How many cocks and hens each clan breeds from in every season.

    Returns
    -------
    ClanRotation

    Raises
    ------
    ArgumentError
        If there are fewer than 3 clans, or a number is too small.
    TooLargeError
        If more than 500 seasons are asked for.

    Notes
    -----
    Chicks stay in their dam's clan and each season's cockerels go to the next clan in the ring (rotational or spiral
    mating; common practice, no source).  The founders are taken to be unrelated, each chick's parents to be drawn at
    random from the clan's cocks and hens, and no generations to overlap.  The expected kinship within and between clans
    then follows from one season to the next exactly (the coefficient: Malécot 1948).

    Examples
    --------
    >>> from pinfeather.plans import rotate_clans
    >>> plan = rotate_clans(3, seasons=4, cocks=1, hens=2)
    >>> [season.inbreeding for season in plan.seasons]
    [0, 0, 3/64, 45/512]
    >>> plan.seasons[0].matings
    (('A', 'B'), ('B', 'C'), ('C', 'A'))
    """
    names = _names(clans)
    years = _checks.whole_number(seasons, "seasons", 1)
    if years > _MOST_SEASONS:
        message = f"{years:,} seasons are more than {_MOST_SEASONS}; ask for fewer"
        raise TooLargeError(message, size=years, limit=_MOST_SEASONS)
    males, females = _checks.whole_number(cocks, "cocks", 1), _checks.whole_number(hens, "hens", 1)
    ring = tuple(zip(names, (*names[1:], names[0]), strict=True))
    divided = _in_clans(len(names), males, females)
    together = _in_one_flock(males * len(names), females * len(names))
    made = tuple(
        ClanSeason(season, ring, exact(next(divided)), exact(next(together))) for season in range(1, years + 1)
    )
    return ClanRotation(names, males, females, made)


def _names(clans: int | Sequence[str]) -> tuple[str, ...]:
    if isinstance(clans, int) and not isinstance(clans, bool):
        number = _checks.whole_number(clans, "clans", _LEAST_CLANS)
        return tuple(chr(ord("A") + at) if number <= 26 else f"clan {at + 1}" for at in range(number))
    names = _checks.unique(_checks.texts(clans, "clans"), "clan")
    if len(names) < _LEAST_CLANS:
        _checks.refuse("clans", list(names), "at least 3 clans make a ring in which no cock meets his own clan at once")
    return names


def _in_clans(clans: int, cocks: int, hens: int) -> Iterator[Fraction]:
    """The inbreeding of each season's chicks.

    ``between[d]`` is the kinship of two birds whose clans lie ``d`` places apart in the ring; 0 is one clan.
    """
    between = [Fraction(0)] * clans
    inbreeding = Fraction(0)
    while True:
        chicks = between[1]  # a cock of the clan before, a hen of this one
        yield chicks
        itself = (1 + inbreeding) / 2
        one_cock, one_hen = Fraction(1, cocks), Fraction(1, hens)
        own = (
            one_cock * itself
            + (1 - one_cock) * between[0]
            + 2 * between[1]
            + one_hen * itself
            + (1 - one_hen) * between[0]
        ) / 4
        apart = [(2 * between[d] + between[(d + 1) % clans] + between[d - 1]) / 4 for d in range(1, clans)]
        between, inbreeding = [own, *apart], chicks


def _in_one_flock(cocks: int, hens: int) -> Iterator[Fraction]:
    """The same where all cocks and hens are mated at random."""
    kinship = inbreeding = Fraction(0)
    while True:
        yield kinship
        same = (Fraction(1, cocks) + Fraction(1, hens)) / 4
        kinship, inbreeding = (same * (1 + inbreeding) / 2 + (1 - same) * kinship, kinship)
