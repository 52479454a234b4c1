"""What a parent hands on, as the gametes that a Punnett square and the working show."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from typing import Any

import attrs

from pinfeather.crosses.breeding import is_sexed
from pinfeather.crosses.meiosis import Gamete, GameteFactor, kinds
from pinfeather.crosses.parents import OneBird, OneOfSeveral, Parent, block_pair
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.symbolic import Weight, WeightRing
from pinfeather.heredity.genotypes import Haplotype, Layout
from pinfeather.heredity.sexes import SEXES, Sex


@attrs.frozen
class HandedOn:
    """The gametes of one parent; and for each the sex of the chick that it makes, where it decides that."""

    gametes: Distribution[Gamete]
    sexes: tuple[Sex | None, ...]


def is_class(parent: Parent) -> bool:
    """Whether a parent is anything but one bird of known genotype."""
    return not isinstance(parent, OneBird)


def decides_sex(parent: Parent) -> bool:
    """Whether a parent's gametes decide the sex of the chick: a hen's do, since she has a Z and a W."""
    return parent.sex == ("female" if parent.species.sex_system == "ZW" else "male")


def most_gametes(parent: Parent, places: Sequence[int]) -> int:
    """An upper bound on the kinds of gamete at some loci, found without making them."""
    sexed = decides_sex(parent) and is_sexed(parent.species, places)
    layout = parent.species.layout_of(places)
    most = 1
    for place in places:
        most *= max(len(parent.possible(place)), 1)
    if isinstance(parent, OneBird):
        most = _kinds([[block_pair(parent.genotype, block)] for block in layout])
    elif isinstance(parent, OneOfSeveral):
        several = sum(_kinds([[block_pair(bird, block)] for block in layout]) for bird in parent.birds)
        most = min(most, several)
    return most * (2 if sexed else 1)


def _kinds(pairs: Sequence[Sequence[Any]]) -> int:
    most = 1
    for (pair,) in pairs:
        most *= kinds(pair)
    return most


def handed_on(parent: Parent, places: Sequence[int], ring: WeightRing) -> HandedOn:
    """What a parent hands on at some loci; to chicks of either sex where its gametes decide the sex."""
    layout = parent.species.layout_of(places)
    sexed = decides_sex(parent) and is_sexed(parent.species, places)
    tables = [(sex, *_table(parent, places, layout, sex, ring)) for sex in (SEXES if sexed else SEXES[:1])]
    scales = [total for _, _, total in tables]
    made: list[tuple[Gamete, Weight, Sex | None]] = []
    for number, (sex, table, _) in enumerate(tables):
        scale: Weight = 1
        for other, total in enumerate(scales):
            if other != number:
                scale = scale * total
        for haplotypes in sorted(table, key=_in_catalogue_order):
            gamete = Gamete(parent.species, layout, haplotypes)
            made.append((gamete, table[haplotypes] * scale, sex if sexed else None))
    kept = [(gamete, weight, sex) for gamete, weight, sex in made if weight]
    gametes = Distribution.from_weights([g for g, _, _ in kept], [weight for _, weight, _ in kept])
    return HandedOn(gametes, tuple(sex for _, _, sex in kept))


def _table(
    parent: Parent, places: Sequence[int], layout: Layout, chick: Sex, ring: WeightRing
) -> tuple[Mapping[tuple[Haplotype, ...], Weight], Weight]:
    """What a parent hands to a chick of one sex, block by block in the order of the layout."""
    parts: list[tuple[Layout, Mapping[Any, Weight]]] = []
    total: Weight = 1
    for piece in parent.pieces(places, chick, ring):
        if isinstance(piece, GameteFactor):
            own = piece.total
            parts.append((piece.layout, piece.table))
        else:
            table, own = piece.table(parent.species, parent.sex, chick, ring)
            parts.append(((piece.block,), {(haplotype,): weight for haplotype, weight in table.items()}))
        total = total * own
    order = [block for blocks, _ in parts for block in blocks]
    at = [order.index(block) for block in layout]
    made: dict[tuple[Haplotype, ...], Weight] = {}
    for combination in itertools.product(*(table.items() for _, table in parts)):
        flat = [haplotype for key, _ in combination for haplotype in key]
        weight: Weight = 1
        for _, factor in combination:
            weight = weight * factor
        made[tuple(flat[position] for position in at)] = weight
    return made, total


def _in_catalogue_order(haplotypes: tuple[Haplotype, ...]) -> tuple[Any, ...]:
    return tuple((haplotype is None, haplotype or ()) for haplotype in haplotypes)
