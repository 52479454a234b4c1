"""Which loci and traits of a hatch are worth telling, and which tell the sex of a chick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import attrs

from pinfeather._results import Record, exact_text
from pinfeather._tables import Table
from pinfeather.errors import PinfeatherError
from pinfeather.exact.numbers import as_percent
from pinfeather.heredity.traits import SEX, Phenotype

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.crosses.offspring import Offspring

_MOST_COMPARED = 20_000


def mutant_places(chicks: Offspring) -> list[int]:
    """The loci at which a chick may have anything but the wild type."""
    return [
        place
        for place, locus in enumerate(chicks.species.loci)
        if chicks.tells(place) and any(not locus.alleles[a].is_wild for a in chicks.possible(place))
    ]


def telling_loci(chicks: Offspring) -> list[int]:
    """The loci that segregate; if none does, those that are not wild type throughout."""
    candidates = [p for p in range(len(chicks.species.loci)) if chicks.tells(p) and len(chicks.possible(p)) > 1]
    segregating = [place for place in candidates if segregates(chicks, place)]
    return segregating or mutant_places(chicks)


def segregates(chicks: Offspring, place: int) -> bool:
    """Whether the chicks differ in the alleles that they have at a locus."""
    seen = set()
    for bird in chicks.genotypes(chicks.species.loci[place].symbol):
        alleles = frozenset(bird.alleles(chicks.species.loci[place].symbol))
        if alleles:
            seen.add(alleles)
    return len(seen) > 1


def shown_by(chicks: Offspring) -> tuple[str, ...]:
    """The traits on which this mating bears, as far as the parents tell the loci they need."""
    told = [place for place in range(len(chicks.species.loci)) if chicks.tells(place)]
    return chicks.species.traits_shown_by(mutant_places(chicks), told)


def telling_traits(chicks: Offspring) -> tuple[str, ...]:
    """The traits that vary, each only if the ones before it leave something of it open."""
    names = list(shown_by(chicks))
    varying = [name for name in names if len(chicks.phenotypes(name)) > 1]
    shown = _without_repeats(chicks, varying) or names
    differs = any(_differs_by_sex(chicks, name) for name in shown) if len(chicks.kept.sexes) > 1 else False
    return (*shown, SEX) if differs else tuple(shown)


def _without_repeats(chicks: Offspring, names: Sequence[str]) -> list[str]:
    kept: list[str] = []
    looks = 1
    for at, name in enumerate(names):
        if most_looks(chicks, [*kept, name]) > _MOST_COMPARED:
            return [*kept, *names[at:]]
        with_it = len(chicks.phenotypes(*kept, name))
        if with_it != looks:
            kept.append(name)
            looks = with_it
    return kept


def _differs_by_sex(chicks: Offspring, name: str) -> bool:
    both = chicks.phenotypes(name, SEX)
    return any(
        both.fraction(Phenotype((name, SEX), (label, "male")))
        != both.fraction(Phenotype((name, SEX), (label, "female")))
        for label in chicks.species.labels_of(name)
    )


def sexed_by(chicks: Offspring, name: str) -> Expr:
    """The fraction of chicks whose sex a trait tells for certain."""
    both = chicks.phenotypes(name, SEX)
    sexes_of: dict[str, set[str]] = {}
    for look in both:
        sexes_of.setdefault(look[name], set()).add(look[SEX])
    return both.fraction(lambda look: len(sexes_of[look[name]]) == 1)


def most_looks(chicks: Offspring, names: Sequence[str]) -> int:
    """An upper bound on the number of looks: by the labels, and by the genotypes behind them."""
    by_label = 2
    places: set[int] = set()
    kept = dict(chicks.kept.looks)
    for name in names:
        by_label *= len(kept.get(name, chicks.species.labels_of(name)))
        places.update(chicks.species.reading(name).machine.loci)
    by_genotype = 2
    for place in places:
        alleles = len(chicks.possible(place))
        by_genotype *= alleles * (alleles + 1) // 2
    return min(by_label, by_genotype)


def looks_of(chicks: Offspring) -> list[Record]:
    """One record for each look that the chicks may have."""
    return chicks.phenotypes()._records()


def facts_of(chicks: Offspring) -> Record:
    """The mating, its losses, looks and cautions."""
    return {
        "sire": str(chicks.couple.sire),
        "dam": str(chicks.couple.dam),
        "kept": chicks.kept.words(),
        "lost": chicks.lost,
        "looks": looks_of(chicks),
        "cautions": tuple(map(str, chicks.cautions)),
    }


def table_of(chicks: Offspring) -> Table:
    """The looks of a hatch with the losses and cautions of the mating; what cannot be told says why."""
    try:
        looks = chicks.phenotypes()._table()
        if looks.rows[0][0] == "":  # no trait has anything to tell
            looks = attrs.evolve(looks, rows=[("wild type", *looks.rows[0][1:])])
    except PinfeatherError as error:
        looks = Table(("look", "fraction", ""), [], below=f"Looks are not listed: {error}", headed=False)
    try:
        told = [*_losses(chicks), *(f"Caution: {caution}" for caution in chicks.cautions)]
    except PinfeatherError as error:
        told = [f"Losses are not told: {error}"]
    return attrs.evolve(looks, above=chicks.mating, below=[*looks.below, *told])


def _losses(chicks: Offspring) -> Iterator[str]:
    lost = chicks.lost
    if lost != 0:
        share = f" ({as_percent(lost)})" if lost.is_Rational else ""
        yield f"Lost before hatch: {exact_text(lost)} of the fertilised eggs{share}."
