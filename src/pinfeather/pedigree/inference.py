"""What each bird carries, exactly, from everything on record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NoReturn

from pinfeather import _checks
from pinfeather.errors import ContradictionError, TooLargeError
from pinfeather.exact.elimination import Order, Swept, elimination_order, sweep
from pinfeather.exact.factors import Arithmetic, Factor
from pinfeather.pedigree import evidence
from pinfeather.pedigree.descent import Descent
from pinfeather.pedigree.evidence import Record
from pinfeather.pedigree.genotype_space import GenotypeSpace, parameters
from pinfeather.pedigree.network import Network, Setting, connected
from pinfeather.pedigree.preparing import prepared
from pinfeather.pedigree.probabilities import GenotypeProbabilities, Progress

if TYPE_CHECKING:
    from pinfeather.pedigree.pedigree import Pedigree


LARGEST_SYMBOLIC = 2**13
"""The most polynomials that a table may hold."""


def setting_of(
    pedigree: Pedigree, loci: Any, allele_frequencies: Any, background: str | None, test_error: Any
) -> Setting:
    """Read everything that a question about the flock is asked with."""
    from pinfeather.pedigree.pedigree import Pedigree

    species = _checks.instance(pedigree, "pedigree", Pedigree).species
    names = (loci,) if isinstance(loci, str) else _checks.texts(loci, "loci")
    if not names:
        _checks.refuse("loci", loci, "must name at least one locus")
    _checks.unique((species.locus(name).symbol for name in names), "loci")
    places = tuple(sorted(species.place_of(name) for name in names))
    general, special = evidence.read_frequencies(pedigree, places, allele_frequencies)
    error = evidence.read_test_error(test_error)
    values = [v for one in (general, *special.values()) for shares in one.values() for v in shares]
    traits = {t for bird in pedigree.individuals for t in bird.shows}
    traits |= {t for hatch in pedigree.hatches for looks, _ in hatch.counts for t in looks if t != "sex"}
    ring = evidence.ring_for(parameters(species, places), species, [*values, error], traits)
    space = GenotypeSpace(species, places, ring)
    reader = evidence.Reader(space, evidence.read_background(species, background, places), error)
    return Setting(pedigree, space, reader, Descent(space, reader, general), special)


def genotype_probabilities(
    pedigree: Pedigree,
    loci: str | Sequence[str],
    *,
    allele_frequencies: Mapping[Any, Any] | None = None,
    background: str | None = None,
    test_error: Any = 0,
    arithmetic: str = "exact",
    largest_table: int = 2**21,
    on_progress: Progress | None = None,
) -> GenotypeProbabilities:
    """Work out what every bird carries, from all that is on record.

    Parameters
    ----------
    pedigree : Pedigree
        Birds, parents, looks, known genotypes, DNA results and counted hatches.
    loci : str or sequence of str
        The locus, or the loci together (linked ones with their phase).
    allele_frequencies : mapping, optional
        Of the founders: locus -> {allele: frequency}, alleles left out sharing the rest; and, for some founders, bird
        (or a tuple of birds, a line) -> {locus: {allele: frequency}}.  A frequency may be symbolic.  Equal frequencies
        where nothing is said.
    background : str, optional
        A genotype, pure at every locus, that the whole flock has at loci not asked about but that looks depend on;
        wild type where nothing is said.
    test_error : number or symbol
        The chance that a DNA result is wrong, at least 0 and below 1/2.
    arithmetic : {"exact", "float"}
        ``"float"`` does the same sums on 64-bit floats; results are then plain floats and say so.
    largest_table : int
        The most entries that a table may have; with symbolic numbers, 8,192 at most.
    on_progress : callable, optional
        Called with (entries done, entries in all) as the work goes on.

    Returns
    -------
    GenotypeProbabilities

    Raises
    ------
    ContradictionError
        If the records cannot all be true; a smallest set that cannot is named.
    TooLargeError
        If the flock is too entangled; says which birds tangle it and which to type.
    ArgumentError, UnknownSymbolError
        If an argument cannot be read.

    Notes
    -----
    Founders are unrelated draws from the allele frequencies.  Chicks are drawn from those that hatch; birds that were
    bred lived to breed.  Looks of birds, and counts of chicks, are taken to be independent of which birds were banded.
    The method is exact for any pedigree, loops and all: genotypes ruled out are struck off, childless birds summed out,
    and the rest goes through a tree of cliques (Lauritzen & Spiegelhalter 1988, Journal of the Royal Statistical
    Society B 50:157-224).

    Examples
    --------
    >>> from pinfeather import load_fowl
    >>> from pinfeather.pedigree import Individual, Pedigree, genotype_probabilities
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Rook", "male", genotype="Lav+/lav"), Individual("Dove", "female", genotype="Lav+/lav"),
    ...     Individual("Wren", "female", "Rook", "Dove", shows={"lavender": "not lavender"}),
    ... ])
    >>> genotype_probabilities(flock, "lav").carriers("lav")["Wren"]
    2/3
    """
    _checks.choice(arithmetic, "arithmetic", ("exact", "float"))
    setting = setting_of(pedigree, loci, allele_frequencies, background, test_error)
    kind: Arithmetic = "float" if arithmetic == "float" else "exact"
    if kind == "float" and setting.space.ring.generators:
        _checks.refuse("arithmetic", arithmetic, "cannot be used with symbolic numbers")
    return solved(setting, kind, _checks.whole_number(largest_table, "largest_table", 1), on_progress)


def solved(
    setting: Setting,
    kind: Arithmetic,
    largest: int,
    on_progress: Progress | None = None,
    dropped: Sequence[Record] = (),
) -> GenotypeProbabilities:
    """The answer for a flock, with some records left out."""
    network = prepared(setting, dropped=dropped)
    if network.impossible is not None or not network.above:
        _contradict(setting)
    parts = _parts(network, largest)
    swept = _swept(network, parts, kind, on_progress)
    if any(not one.total for one in swept):
        _contradict(setting)
    return GenotypeProbabilities(setting, network, tuple(order for order, _ in parts), tuple(swept), kind, largest)


def _parts(network: Network, largest: int) -> list[tuple[Order, list[Factor]]]:
    """The factors of birds that are connected, with an order for each; refuse tables that are too large."""
    parts = []
    for factors in connected(network.factors):
        order = elimination_order([factor.variables for factor in factors], network.sizes)
        if order.largest > largest:
            _refuse_size(network, order, largest)
        if network.setting.space.ring.generators and order.largest > LARGEST_SYMBOLIC:
            _refuse_symbols(network, order)
        parts.append((order, factors))
    return parts


def _refuse_symbols(network: Network, order: Order) -> NoReturn:
    names = ", ".join(str(generator) for generator in network.setting.space.ring.generators)
    message = (
        f"a table of {order.largest:,} polynomials in {names} is more than {LARGEST_SYMBOLIC:,}: polynomials grow with "
        "every bird; put numbers in for the symbols, or ask about a part of the flock with restricted_to(...)"
    )
    raise TooLargeError(message, size=order.largest, limit=LARGEST_SYMBOLIC)


def _refuse_size(network: Network, order: Order, largest: int) -> NoReturn:
    from pinfeather.pedigree.typing_order import typed_first

    ids = network.setting.pedigree.ids
    at = max(range(len(order.cliques)), key=lambda n: len(order.cliques[n]))
    tangle = [ids[v] for v in (order.variables[at], *order.cliques[at]) if v < len(ids)]
    advice = typed_first(network, 1)
    shown = ", ".join(tangle[:8]) + (", ..." if len(tangle) > 8 else "")
    help_from = f"; a DNA test of {', '.join(name for name, _ in advice)} would cut it most" if advice else ""
    message = (
        f"the flock is too entangled for exact sums: a table of {order.largest:,} entries, more than {largest:,} "
        f"(width {order.width}). The birds that tangle it: {shown}{help_from}. See birds_to_type(); fewer loci at a "
        'time, or arithmetic="float" with a larger largest_table, also help'
    )
    raise TooLargeError(
        message, size=order.largest, limit=largest, birds=tuple(tangle), advice=tuple(n for n, _ in advice)
    )


def _swept(
    network: Network, parts: Sequence[tuple[Order, list[Factor]]], kind: Arithmetic, on_progress: Progress | None
) -> list[Swept]:
    total = sum(order.cost for order, _ in parts)
    done = 0

    def clique(size: int) -> None:
        nonlocal done
        done += size
        if on_progress is not None:
            on_progress(done, total)

    return [
        sweep([f.in_arithmetic(kind) for f in factors], network.sizes, order, kind, on_clique=clique)
        for order, factors in parts
    ]


def _contradict(setting: Setting) -> NoReturn:
    from pinfeather.pedigree.conflicts import conflicts_in

    found = conflicts_in(setting, most=1)
    words = "; ".join(str(record) for record in found[0].records) if found else "no single reason could be singled out"
    message = f"these records cannot all be true: {words}"
    raise ContradictionError(message, conflicts=tuple(found))
