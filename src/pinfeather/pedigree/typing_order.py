"""Which birds to test, so that exact sums become possible, or cheap."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather._results import Listing, Record, ShownRow
from pinfeather._tables import Table
from pinfeather.exact.elimination import Order, elimination_order
from pinfeather.pedigree.inference import setting_of
from pinfeather.pedigree.network import Network, connected
from pinfeather.pedigree.preparing import prepared

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pinfeather.pedigree.pedigree import Pedigree

_TRIED = 10


@attrs.frozen
class BirdToType(ShownRow):
    """A bird whose DNA test (or test mating) would make the sums smaller.

    ``before`` and ``after`` are the entries of the largest table without and with its genotype known, the birds named
    before it being known as well.

    Examples
    --------
    >>> from pinfeather.pedigree import BirdToType
    >>> print(BirdToType("Rook", before=19683, after=729))
    Rook: largest table 19,683 -> 729
    """

    bird: str
    before: int
    after: int

    def __str__(self) -> str:
        return f"{self.bird}: largest table {self.before:,} -> {self.after:,}"

    def _record(self) -> Record:
        return attrs.asdict(self)


class BirdsToType(Listing[BirdToType]):
    """The birds to test, the best first: a tuple of :class:`BirdToType`.

    Examples
    --------
    >>> from pinfeather.pedigree import BirdsToType, BirdToType
    >>> print(BirdsToType([BirdToType("Rook", before=19683, after=729)]))
    bird to test  largest table before  after
    Rook                        19,683    729
    """

    __slots__ = ()

    def _table(self) -> Table:
        rows = [(one.bird, f"{one.before:,}", f"{one.after:,}") for one in self]
        below = () if rows else "The flock is not entangled; no test is needed for the sums."
        return Table(("bird to test", "largest table before", "after"), rows, below=below)


def birds_to_type(
    pedigree: Pedigree,
    loci: str | Sequence[str],
    *,
    most: int = 5,
    allele_frequencies: Mapping[Any, Any] | None = None,
    background: str | None = None,
) -> BirdsToType:
    """The birds whose DNA test or test mating would best untangle the flock, the best first.

    Parameters
    ----------
    pedigree : Pedigree
    loci : str or sequence of str
        As for :func:`genotype_probabilities`.
    most : int
        How many birds to name.
    allele_frequencies, background
        As for :func:`genotype_probabilities`.

    Returns
    -------
    BirdsToType
        A tuple of :class:`BirdToType`.  Empty where the flock is not entangled at all.

    Notes
    -----
    Chosen one by one, each time the bird whose known genotype makes the sums cheapest.  Typing every cock of a
    generation nearly always cuts a flock apart, since a chick's genotype then hangs on its dam alone.

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> from pinfeather.pedigree import Individual, Pedigree, birds_to_type
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Wren", "female", "Rook", "Dove"), Individual("Jay", "male", "Rook", "Dove"),
    ...     Individual("Pip", "female", "Jay", "Wren"), Individual("Kid", "male", "Jay", "Pip"),
    ... ])
    >>> [entry.bird for entry in birds_to_type(flock, "lav", most=1)]
    ['Wren']
    """
    setting = setting_of(pedigree, loci, allele_frequencies, background, 0)
    network = prepared(setting)
    found = typed_first(network, _checks.whole_number(most, "most", 1))
    return BirdsToType(BirdToType(name, before, after) for name, (before, after) in found)


def typed_first(network: Network, most: int) -> list[tuple[str, tuple[int, int]]]:
    """The birds to type, greedily, with the size of the largest table before and after."""
    ids = network.setting.pedigree.ids
    scopes = [tuple(factor.variables) for part in connected(network.factors) for factor in part]
    found: list[tuple[str, tuple[int, int]]] = []
    order = elimination_order(scopes, network.sizes)
    while len(found) < most and order.width > 1:
        tried = {bird: elimination_order(_without(scopes, bird), network.sizes) for bird in _entangled(order, len(ids))}
        if not tried:
            break
        best = min(tried, key=lambda bird: (tried[bird].largest, tried[bird].cost, bird))
        if (tried[best].largest, tried[best].cost) >= (order.largest, order.cost):
            break
        found.append((ids[best], (order.largest, tried[best].largest)))
        scopes, order = _without(scopes, best), tried[best]
    return found


def _without(scopes: Sequence[tuple[int, ...]], bird: int) -> list[tuple[int, ...]]:
    return [tuple(v for v in scope if v != bird) for scope in scopes]


def _entangled(order: Order, birds: int) -> list[int]:
    """The birds that stand in the most of the large cliques."""
    counts: dict[int, int] = {}
    for variable, clique in zip(order.variables, order.cliques, strict=True):
        for bird in (variable, *clique):
            if bird < birds:
                counts[bird] = counts.get(bird, 0) + len(clique)
    return sorted(counts, key=lambda bird: (-counts[bird], bird))[:_TRIED]
