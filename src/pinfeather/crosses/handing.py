"""What a parent hands on, as the gametes that a Punnett square and the working show."""

from __future__ import annotations

from collections.abc import Sequence
from math import prod

import attrs

from pinfeather.crosses.breeding import is_sexed
from pinfeather.crosses.meiosis import Gamete, kinds
from pinfeather.crosses.parents import OneBird, OneOfSeveral, Parent, block_pair, multiplied_out
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.symbolic import Weight, WeightRing, cofactors
from pinfeather.heredity.genotypes import Genotype, Layout, in_catalogue_order
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
        most = _kinds(parent.genotype, layout)
    elif isinstance(parent, OneOfSeveral):
        most = min(most, sum(_kinds(bird, layout) for bird in parent.birds))
    return most * (2 if sexed else 1)


def _kinds(bird: Genotype, layout: Layout) -> int:
    return prod(kinds(block_pair(bird, block)) for block in layout)


def handed_on(parent: Parent, places: Sequence[int], ring: WeightRing) -> HandedOn:
    """What a parent hands on at some loci; to chicks of either sex where its gametes decide the sex."""
    layout = parent.species.layout_of(places)
    sexed = decides_sex(parent) and is_sexed(parent.species, places)
    chicks = SEXES if sexed else SEXES[:1]
    tables = [
        multiplied_out(parent.pieces(places, chick, ring), layout, parent.species, parent.sex, chick, ring)
        for chick in chicks
    ]
    scales = cofactors([total for _, total in tables])
    made: list[tuple[Gamete, Weight, Sex | None]] = []
    for chick, (table, _), scale in zip(chicks, tables, scales, strict=True):
        for haplotypes in sorted(table, key=in_catalogue_order):
            gamete = Gamete(parent.species, layout, haplotypes)
            made.append((gamete, table[haplotypes] * scale, chick if sexed else None))
    kept = [(gamete, weight, sex) for gamete, weight, sex in made if weight]
    gametes = Distribution.from_weights([g for g, _, _ in kept], [weight for _, weight, _ in kept])
    return HandedOn(gametes, tuple(sex for _, _, sex in kept))
