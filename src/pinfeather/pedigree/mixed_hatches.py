"""Counted chicks with several possible parents: each chick has its own, by the same chances."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from pinfeather.errors import TooLargeError
from pinfeather.exact.factors import Factor, summed_together
from pinfeather.exact.numbers import exact
from pinfeather.exact.symbolic import Weight, common_multiple, even_quotient

if TYPE_CHECKING:
    from pinfeather.pedigree.network import Setting

_LARGEST = 2**21


def mixed_factor(
    shares: Sequence[tuple[int | None, int | None, Any]],
    domains: Sequence[Sequence[int]],
    seen: Callable[[Any, Any], tuple[list[Weight], Weight]],
    setting: Setting,
) -> tuple[Factor, Weight]:
    """The chance of one such chick for all states of all birds that may be its parents; and what it is out of."""
    birds = tuple(sorted({bird for sire, dam, _ in shares for bird in (sire, dam) if bird is not None}))
    size = 1
    for bird in birds:
        size *= len(domains[bird])
    if size > _LARGEST:
        names = ", ".join(setting.pedigree.individuals[bird].id for bird in birds)
        message = (
            f"a hatch that may have any of {len(birds)} parents ({names}) ties them into a table of {size:,} entries, "
            f"more than {_LARGEST:,}; a DNA test of some of them, or fewer candidates, would cut it"
        )
        raise TooLargeError(message, size=size, limit=_LARGEST)
    chances, denominator = setting.space.ring.whole([exact(share) for _, _, share in shares])
    parts = []
    for (sire, dam, _), chance in zip(shares, chances, strict=True):
        ends = tuple(None if p is None else tuple(domains[p]) for p in (sire, dam))
        weights, total = seen(*ends)
        variables = tuple(p for p in (sire, dam) if p is not None)
        parts.append((variables, [len(domains[p]) for p in variables], weights, total, chance))
    multiple = common_multiple(total for _, _, _, total, _ in parts)
    factors = []
    for variables, shape, weights, total, chance in parts:
        share = even_quotient(multiple, total) * chance
        factors.append(Factor.of(variables, shape, [weight * share for weight in weights]))
    return summed_together(factors, birds), multiple * denominator
