"""The season's pens: which hens go to which cock."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any, NoReturn

import attrs

from pinfeather import _checks
from pinfeather.errors import ArgumentError, NoPlanError
from pinfeather.exact.numbers import as_fraction, between, fraction_of
from pinfeather.plans.assigning import Demand, cheapest, scaled
from pinfeather.plans.pairing import Pairing, PairingTable
from pinfeather.plans.pen_plans import Pen, PenPlan
from pinfeather.plans.tables import forbidden_pairs

if TYPE_CHECKING:
    from sympy import Expr

_OBJECTIVES = ("wanted", "kinship")


def assign_pens(
    table: PairingTable,
    hens_per_cock: tuple[int, int] | Mapping[str, tuple[int, int]] = (1, 10),
    max_inbreeding: Any = "1/8",
    *,
    objective: str | Mapping[str, Any] = "wanted",
    must_use: Iterable[str] = (),
    every_hen: bool = False,
    forbidden: Iterable[tuple[str, str]] = (),
    accept_cautions: Iterable[str] = (),
    harm_at_most: Any = 0,
    pens: int | None = None,
) -> PenPlan:
    """Assign hens to cocks for the season, in the best way that the limits leave.

    Parameters
    ----------
    table : PairingTable
        From :func:`pairing_table`.
    hens_per_cock : (int, int), or mapping of cock to such a pair
        The least and the most hens of a pen; a cock without a single hen has no pen.  8 to 12 hens to a cock are
        common, fewer in heavy breeds (common practice, no source).
    max_inbreeding : number
        The most expected inbreeding of chicks: 1/8 is that of half sibs' chicks.
    objective : {"wanted", "kinship"} or mapping
        ``"wanted"``: the most wanted chicks expected, then the least inbreeding.  ``"kinship"``: as many hens placed as
        possible, then the least inbreeding.  A mapping such as ``{"wanted": 1, "kinship": 2}`` weighs a wanted chick
        per egg against a unit of inbreeding.
    must_use : iterable of str
        Birds that must have a pen.
    every_hen : bool
        Whether every hen must have one.
    forbidden : iterable of (cock, hen)
        Pairings that are out of the question.
    accept_cautions : iterable of str
        Harmful genotypes that may come, by the pattern of their caution, such as ``"R/R"``; no other may.
    harm_at_most : number
        The fraction of fertile eggs with a harmful genotype that is borne with; none unless given.
    pens : int, optional
        How many pens there are.

    Returns
    -------
    PenPlan
        Optimal: no other assignment within the limits is better.

    Raises
    ------
    NoPlanError
        If nothing fits; ``limits`` says which limit to relax and by how much.
    ArgumentError, UnknownSymbolError
        If an argument cannot be read, or the limits cannot hold together.

    Notes
    -----
    A min-cost flow over whole-number costs (R. K. Ahuja, T. L. Magnanti & J. B. Orlin 1993, Network Flows), solved by
    the network simplex method; pens that must hold at least two hens are settled by branching.

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl
    >>> from pinfeather.plans import assign_pens, pairing_table
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "male", genotype="Lav+/lav"), Individual("Jay", "male", genotype="lav/lav"),
    ...     Individual("Dove", "female", genotype="Lav+/lav"), Individual("Wren", "female", genotype="lav/lav"),
    ... ])
    >>> table = pairing_table(genotype_probabilities(flock, "lav"), wanted="lav/lav")
    >>> assign_pens(table, hens_per_cock=(1, 1)).cock_of
    {'Dove': 'Rook', 'Wren': 'Jay'}
    """
    table = _checks.instance(table, "table", PairingTable)
    limits = Limits(
        _bounds(table, hens_per_cock),
        between(max_inbreeding, "max_inbreeding", 0, 1),
        forbidden_pairs(forbidden, table.males, table.females),
        frozenset(_checks.texts(accept_cautions, "accept_cautions")),
        between(harm_at_most, "harm_at_most", 0, 1),
        None if pens is None else _checks.whole_number(pens, "pens", 1),
    )
    must = _must(table, must_use)
    required = frozenset(table.females) if every_hen else must & frozenset(table.females)
    season = Season(table, must & frozenset(table.males), required, _weights(table, objective))
    placed = cheapest(season.demand(limits))
    if not placed:
        _refuse(season, limits, placed)
    rows = {hen: table[cock, hen] for hen, cock in placed.items()}
    made = tuple(
        Pen(cock, tuple(rows[hen] for hen in table.females if placed.get(hen) == cock))
        for cock in table.males
        if cock in placed.values()
    )
    words = season.weights.words()
    return PenPlan(made, season.left_out(limits, placed), words, table.wanted, limits.max_inbreeding, table.notes)


# ---- reading the arguments -------------------------------------------------------------------------------------------


@attrs.frozen
class Limits:
    """What an assignment has to keep to."""

    bounds: Mapping[str, tuple[int, int]]
    max_inbreeding: Expr
    forbidden: frozenset[tuple[str, str]]
    accepted: frozenset[str]
    harm_at_most: Expr
    pens: int | None

    def allow(self, row: Pairing) -> bool:
        """Whether a pairing is within the limits."""
        return self.reason_against(row) is None

    def reason_against(self, row: Pairing) -> str | None:
        """What stands against a pairing, in words."""
        if (row.sire, row.dam) in self.forbidden:
            return "forbidden"
        if row.inbreeding > self.max_inbreeding:
            return f"inbreeding {row.inbreeding}"
        risks = row.refused_for(self.accepted, self.harm_at_most)
        return f"can give {risks[0].caution.pattern}" if risks else None


@attrs.frozen
class Weights:
    """What is made as large or as small as it can be: the weight of wanted chicks and of inbreeding, or an order."""

    wanted: Fraction
    kinship: Fraction
    order: str | None

    def words(self) -> str:
        """The objective, in words."""
        if self.order == "wanted":
            return "most wanted chicks expected"
        if self.order == "kinship":
            return "most hens placed, then least inbreeding"
        return f"most of {self.wanted} x wanted chicks per egg - {self.kinship} x inbreeding"


def _weights(table: PairingTable, objective: Any) -> Weights:
    if any(not row.wanted.is_Rational or not row.lost.is_Rational for row in table):
        message = "pens cannot be put in order while chances are symbolic; put numbers in"
        raise ArgumentError(message, argument="table", value=table)
    if isinstance(objective, Mapping):
        for name in objective:
            _checks.choice(name, "objective", _OBJECTIVES)
        wanted, kinship = (as_fraction(objective.get(name, 0), name) for name in _OBJECTIVES)
        if wanted < 0 or kinship < 0 or not (wanted or kinship):
            _checks.refuse("objective", dict(objective), "weights must not be negative, nor all be 0")
        return Weights(wanted, kinship, None)
    order = _checks.choice(objective, "objective", _OBJECTIVES)
    return Weights(Fraction(1), Fraction(1), order)


def _bounds(table: PairingTable, hens_per_cock: Any) -> dict[str, tuple[int, int]]:
    given = hens_per_cock if isinstance(hens_per_cock, Mapping) else dict.fromkeys(table.males, hens_per_cock)
    for cock in given:
        if cock not in table.males:
            _checks.unknown("cock", str(cock), table.males, "this table")
    bounds = {}
    for cock in table.males:
        pair = given.get(cock, (1, 10))
        if not isinstance(pair, (tuple, list)) or len(pair) != 2:
            _checks.refuse("hens_per_cock", pair, "must be (least, most)")
        low, high = (_checks.whole_number(number, "hens_per_cock") for number in pair)
        if low > high or high == 0:
            _checks.refuse("hens_per_cock", pair, "the least must not be above the most, and the most not be 0")
        bounds[cock] = (low, high)
    return bounds


def _must(table: PairingTable, must_use: Iterable[str]) -> frozenset[str]:
    birds = _checks.texts(must_use, "must_use")
    for bird in birds:
        if bird not in table.males and bird not in table.females:
            _checks.unknown("bird", bird, (*table.males, *table.females), "this table")
    return frozenset(birds)


# ---- the season ------------------------------------------------------------------------------------------------------


@attrs.frozen(eq=False, slots=False)
class Season:
    """The birds at hand, those that must have a pen, and what is sought."""

    table: PairingTable
    cocks: frozenset[str]
    hens: frozenset[str]
    weights: Weights

    def demand(self, limits: Limits) -> Demand:
        """The flow problem under some limits."""
        allowed = [row for row in self.table if limits.allow(row)]
        costs = self._costs(allowed)
        out = {hen: costs[hen] for hen in self.table.females if hen not in self.hens}
        pairs = {(row.sire, row.dam): costs[row.sire, row.dam] for row in allowed}
        return Demand(limits.bounds, self.table.females, pairs, out, self.cocks, limits.pens)

    def _costs(self, rows: Collection[Pairing]) -> dict[Any, int]:
        """A cost for each pairing, and for each hen that is left out."""
        gain: dict[Any, Fraction] = {(row.sire, row.dam): fraction_of(row.per_egg) for row in rows}
        close: dict[Any, Fraction] = {(row.sire, row.dam): fraction_of(row.inbreeding) for row in rows}
        hens = self.table.females
        out: dict[Any, Fraction] = {pair: Fraction(0) for pair in gain} | {hen: Fraction(1) for hen in hens}
        wanted: dict[Any, Fraction] = {pair: -value for pair, value in gain.items()} | {
            hen: Fraction(0) for hen in hens
        }
        kinship = close | {hen: Fraction(0) for hen in hens}
        if self.weights.order == "wanted":
            levels = [wanted, kinship]
        elif self.weights.order == "kinship":
            levels = [out, kinship, wanted]
        else:
            a, b = self.weights.wanted, self.weights.kinship
            levels = [{key: a * wanted[key] + b * kinship[key] for key in wanted}]
        return scaled(levels, len(hens))

    def left_out(self, limits: Limits, placed: Mapping[str, str]) -> dict[str, str]:
        """The birds without a pen, each with the reason."""
        reasons = {}
        for hen in self.table.females:
            if hen not in placed:
                reasons[hen] = self._why(limits, [row for row in self.table if row.dam == hen])
        for cock in self.table.males:
            if cock not in placed.values():
                reasons[cock] = self._why(limits, [row for row in self.table if row.sire == cock])
        return reasons

    def _why(self, limits: Limits, rows: Collection[Pairing]) -> str:
        allowed = [row for row in rows if limits.allow(row)]
        if not allowed:
            against = dict.fromkeys(limits.reason_against(row) for row in sorted(rows, key=lambda row: row.inbreeding))
            return f"no pairing is allowed ({', '.join(str(reason) for reason in list(against)[:3])})"
        if all(row.wanted == 0 for row in allowed) and self.weights.order != "kinship":
            return "no pairing that is allowed gives what is wanted"
        return "others serve better within the limits"


def _refuse(season: Season, limits: Limits, placed: Mapping[str, str] | None) -> NoReturn:
    if placed is not None:
        rows = [row for row in season.table if limits.allow(row)]
        if rows:
            message = (
                f"no pairing within the limits gives {season.table.wanted}"
                if all(row.wanted == 0 for row in rows)
                else "no pen is worth its inbreeding by the weights given"
            )
            raise NoPlanError(message, limits={})
    from pinfeather.plans.relaxing import refuse_pens

    refuse_pens(season, limits)
