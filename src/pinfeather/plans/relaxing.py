"""Why no assignment of pens fits: which limit to relax, and by how much."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, NoReturn

import attrs

from pinfeather.errors import NoPlanError
from pinfeather.exact.numbers import exact
from pinfeather.plans.assigning import cheapest

if TYPE_CHECKING:
    from pinfeather.plans.pens import Limits, Season


def refuse_pens(season: Season, limits: Limits) -> NoReturn:
    """Raise the error that says what stands in the way."""
    found = dict(_relaxations(season, limits))
    words = "; or ".join(text for _, text in found.values())
    subject = _who(season)
    if words:
        message = f"no pens fit these limits{subject}.  Any one of these would do: {words}"
    else:
        message = (
            f"no pens fit these limits{subject}, and relaxing any one of them is not enough: relax several, name more "
            "birds, or ask fewer of them to be used"
        )
    raise NoPlanError(message, limits={name: value for name, (value, _) in found.items()})


def _who(season: Season) -> str:
    must = [*season.cocks, *season.hens]
    if not must:
        return ""
    shown = ", ".join(sorted(must)[:6]) + (", ..." if len(must) > 6 else "")
    return f" with {shown} to be used"


def _fits(season: Season, limits: Limits) -> bool:
    """Whether anything at all fits; where no bird must be used, at least one pen has to come of it."""
    demand = season.demand(limits)
    feasible = attrs.evolve(demand, costs=dict.fromkeys(demand.costs, -1), left_out=dict.fromkeys(demand.left_out, 0))
    return bool(cheapest(feasible))


def _relaxations(season: Season, limits: Limits) -> Sequence[tuple[str, tuple[Any, str]]]:
    found: list[tuple[str, tuple[Any, str]]] = []
    rows = list(season.table)
    close = sorted({row.inbreeding for row in rows if row.inbreeding > limits.max_inbreeding})
    value = _least(close, lambda one: _fits(season, attrs.evolve(limits, max_inbreeding=one)))
    if value is not None:
        found.append(("max_inbreeding", (value, f"max_inbreeding={value} instead of {limits.max_inbreeding}")))
    harms = sorted(
        {r.chance for row in rows for r in row.refused_for(limits.accepted, limits.harm_at_most)} - {exact(0)}
    )
    value = _least(harms, lambda one: _fits(season, attrs.evolve(limits, harm_at_most=one)))
    if value is not None:
        patterns = sorted(
            {r.caution.pattern for row in rows for r in row.refused_for(limits.accepted, limits.harm_at_most)}
        )
        text = f"harm_at_most={value}, which bears with {' or '.join(patterns)} in that share of fertile eggs"
        found.append(("harm_at_most", (value, text)))
    if limits.forbidden and _fits(season, attrs.evolve(limits, forbidden=frozenset())):
        pairs = ", ".join(f"{cock} x {hen}" for cock, hen in sorted(limits.forbidden)[:4])
        found.append(("forbidden", ((), f"not forbidding {pairs}{', ...' if len(limits.forbidden) > 4 else ''}")))
    found.extend(_by_size(season, limits))
    return found


def _by_size(season: Season, limits: Limits) -> Sequence[tuple[str, tuple[Any, str]]]:
    """Larger pens, smaller pens, or more pens."""
    found: list[tuple[str, tuple[Any, str]]] = []
    hens = len(season.table.females)
    lows = {low for low, _ in limits.bounds.values()}
    highs = {high for _, high in limits.bounds.values()}

    def with_bounds(change: Callable[[tuple[int, int]], tuple[int, int]]) -> Limits:
        return attrs.evolve(limits, bounds={cock: change(pair) for cock, pair in limits.bounds.items()})

    more = _least(
        range(min(highs) + 1, hens + 1),
        lambda most: _fits(season, with_bounds(lambda pair: (pair[0], max(pair[1], most)))),
    )
    if more is not None:
        found.append(("hens_per_cock most", (more, f"up to {more} hens to a cock")))
    fewer = _least(
        [-low for low in range(max(lows) - 1, 0, -1)],
        lambda least: _fits(season, with_bounds(lambda pair: (min(pair[0], -least), pair[1]))),
    )
    if fewer is not None:
        found.append(("hens_per_cock least", (-fewer, f"pens from {-fewer} hen{'s' if fewer < -1 else ''} up")))
    if limits.pens is not None:
        pens = _least(
            range(limits.pens + 1, len(season.table.males) + 1),
            lambda number: _fits(season, attrs.evolve(limits, pens=number)),
        )
        if pens is not None:
            found.append(("pens", (pens, f"{pens} pens")))
    return found


def _least(values: Sequence[Any], fits: Callable[[Any], bool]) -> Any:
    """The first of some values, each looser than the one before, that fits; None where the last does not."""
    if not values or not fits(values[-1]):
        return None
    low, high = -1, len(values) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if fits(values[middle]):
            high = middle
        else:
            low = middle
    return values[high]
