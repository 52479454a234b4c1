"""Putting a species together: what its loci and linkage groups must hold, and how loci fall into blocks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

from pinfeather import _checks
from pinfeather.errors import DefinitionError
from pinfeather.heredity.genotypes import BlockPair, Layout
from pinfeather.heredity.linkage import Linkage
from pinfeather.heredity.loci import Locus
from pinfeather.heredity.matching import Machine, Rule, survey
from pinfeather.heredity.notation import AlleleIndex, read_items
from pinfeather.heredity.sexes import SEX_SYSTEMS, SEXES, Sex, copies
from pinfeather.heredity.traits import Trait
from pinfeather.heredity.viability import Caution, Viability

if TYPE_CHECKING:
    from pinfeather.heredity.species import Species

T = TypeVar("T")


def _several(value: Any, name: str, kind: type[T]) -> tuple[T, ...]:
    items = (value,) if isinstance(value, kind) else value
    if isinstance(items, str) or not isinstance(items, Iterable):
        _checks.refuse(name, value, f"must be a sequence of {kind.__name__}")
    return tuple(_checks.instance(item, name, kind) for item in items)


def read_loci(value: Any) -> tuple[Locus, ...]:
    """Several loci, or one."""
    return _several(value, "loci", Locus)


def read_linkage(value: Any) -> tuple[Linkage, ...]:
    """Several linkage groups, or one."""
    return _several(value, "linkage", Linkage)


def read_traits(value: Any) -> tuple[Trait, ...]:
    """Several traits, or one."""
    return _several(value, "traits", Trait)


def read_viability(value: Any) -> tuple[Viability, ...]:
    """Several viability rules, or one."""
    return _several(value, "viability", Viability)


def read_cautions(value: Any) -> tuple[Caution, ...]:
    """Several cautions, or one."""
    return _several(value, "cautions", Caution)


def check_loci(species: Species) -> None:
    """Refuse symbols that stand twice, chromosomes that the species has not, and groups that cannot be linked."""
    _checks.unique((locus.symbol for locus in species.loci), f"locus of {species.name}")
    owner: dict[str, str] = {}
    allowed = ("autosome", "mitochondrion", *SEX_SYSTEMS[species.sex_system])
    for locus in species.loci:
        if locus.chromosome not in allowed:
            message = f"locus {locus.symbol} lies on {locus.chromosome}, but a {species.sex_system} species has none"
            raise DefinitionError(message, locus=locus.symbol)
        for symbol in locus.symbols:
            if symbol in owner:
                message = f"the allele symbol {symbol!r} stands in the loci {owner[symbol]} and {locus.symbol}"
                raise DefinitionError(message, symbol=symbol)
            owner[symbol] = locus.symbol
        _check_shows(locus)


def _check_shows(locus: Locus) -> None:
    """Refuse labels of a locus whose patterns name another one or are never reached."""
    if not locus.shows:
        return
    alone = AlleleIndex.of(f"locus {locus.symbol}", (locus,), {})
    rules = [Rule(read_items(pattern, alone, holes=True)) for pattern in locus.shows]
    system = "XY" if locus.chromosome in ("X", "Y") else "ZW"
    found = survey(Machine.of(rules, (locus,)), (locus,), system)
    for number, pattern in enumerate(locus.shows):
        if number not in found.reached:
            message = f"the label for {pattern!r} of locus {locus.symbol} is never reached"
            raise DefinitionError(message, locus=locus.symbol, pattern=pattern)


def places_of(loci: Sequence[Locus]) -> dict[str, int]:
    """The positions of loci by symbol, and by name."""
    places = {locus.symbol: place for place, locus in enumerate(loci)}
    for place, locus in enumerate(loci):
        if places.setdefault(locus.name, place) != place:
            message = f"the name {locus.name!r} of locus {locus.symbol} is also a name or symbol of another locus"
            raise DefinitionError(message, locus=locus.symbol)
    return places


def blocks_of(species: Species, places: Mapping[str, int]) -> Layout:
    """The loci, linked ones together, in the order of the species."""
    group_of: dict[str, Linkage] = {}
    for group in species.linkage:
        chromosomes = set()
        for symbol in group.loci:
            place = places.get(symbol)
            if place is None or species.loci[place].symbol != symbol:
                _checks.unknown("locus", symbol, (locus.symbol for locus in species.loci), "a linkage group")
            if symbol in group_of:
                message = f"locus {symbol} stands in two linkage groups"
                raise DefinitionError(message, locus=symbol)
            group_of[symbol] = group
            chromosomes.add(species.loci[place].chromosome)
        if len(chromosomes) > 1 or chromosomes & {"W", "Y", "mitochondrion"}:
            found = ", ".join(sorted(chromosomes))
            message = f"the loci {' '.join(group.loci)} cannot be linked: they lie on {found}" + (
                "" if len(chromosomes) > 1 else ", which is handed on whole"
            )
            raise DefinitionError(message, loci=group.loci)
    blocks: list[tuple[int, ...]] = []
    placed: set[int] = set()
    for place, locus in enumerate(species.loci):
        if place not in placed:
            linked = group_of.get(locus.symbol)
            block = (place,) if linked is None else tuple(places[s] for s in linked.loci)
            blocks.append(block)
            placed.update(block)
    return tuple(blocks)


def single_letters(species: Species) -> dict[str, frozenset[int]]:
    """W (or Y) read as the missing homologue, where no allele has that symbol."""
    paired, single = SEX_SYSTEMS[species.sex_system]
    taken = any(single in locus.symbols or single in locus.aliases for locus in species.loci)
    if taken:
        return {}
    return {single: frozenset(p for p, locus in enumerate(species.loci) if locus.chromosome == paired)}


def layout_of(species: Species, places: frozenset[int]) -> Layout:
    """Some loci, block by block and in map order."""
    touched = sorted({species.block_of[place][0] for place in places})
    layout = tuple(tuple(place for place in species.layout[number] if place in places) for number in touched)
    # One and the same object where it is the whole, so that "tells everything" is a quick question.
    return species.layout if layout == species.layout else layout


def wild_allele(locus: Locus) -> int:
    """The position of the wild type among the alleles of a locus."""
    for position, allele in enumerate(locus.alleles):
        if allele.is_wild:
            return position
    message = f"locus {locus.symbol} has no wild type (no symbol that ends in +), so every genotype must mention it"
    raise DefinitionError(message, locus=locus.symbol)


def wild_pair(species: Species, block: Sequence[int], sex: Sex | None) -> BlockPair | None:
    """Two wild-type homologues of a block, or one, or none; None where that depends on a sex not known."""
    chromosome = species.loci[block[0]].chromosome
    numbers = {copies(chromosome, s, species.sex_system) for s in (SEXES if sex is None else (sex,))}
    if max(numbers) == 0:
        return None, None
    wild = tuple(species.wild_allele(place) for place in block)
    if len(numbers) > 1:
        return None
    number = numbers.pop()
    return (wild if number > 0 else None), (wild if number > 1 else None)
