"""Crosses and flocks in the plain way: every gamete pair, every assignment of genotypes, in Python's fractions."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction
from typing import Any

from pinfeather import Pedigree

GENOTYPES = ((0, 0), (0, 1), (1, 1))
FOUNDER = (Fraction(1, 4), Fraction(1, 2), Fraction(1, 4))
Pair = tuple[int, int]


# -- one mating ----------------------------------------------------------------------------------------------


def gamete_pairs(count: int) -> dict[tuple[Pair, ...], Fraction]:
    """All genotypes of two heterozygotes at independent loci, gamete pair by gamete pair."""
    half = Fraction(1, 2)
    gametes = dict.fromkeys(itertools.product((0, 1), repeat=count), half**count)
    found: dict[tuple[Pair, ...], Fraction] = {}
    for one, chance in gametes.items():
        for other, factor in gametes.items():
            key = tuple([(a, b) if a <= b else (b, a) for a, b in zip(one, other, strict=True)])
            found[key] = found.get(key, 0) + chance * factor
    return found


def walked(fractions: list[Fraction], asked: tuple[int, ...]) -> dict[tuple[int, ...], Fraction]:
    """The gametes of a coupled heterozygote at some places of a chromosome, walking from locus to locus."""
    states: dict[tuple[int, tuple[int, ...]], Fraction] = {}
    for side in (0, 1):
        states[side, (side,) if 0 in asked else ()] = Fraction(1, 2)
    for place, r in enumerate(fractions, start=1):
        moved: dict[tuple[int, tuple[int, ...]], Fraction] = {}
        for (side, kept), chance in states.items():
            for to in (0, 1):
                key = to, (*kept, to) if place in asked else kept
                moved[key] = moved.get(key, Fraction(0)) + chance * (1 - r if to == side else r)
        states = moved
    found: dict[tuple[int, ...], Fraction] = {}
    for (_, kept), chance in states.items():
        found[kept] = found.get(kept, Fraction(0)) + chance
    return found


# -- a flock -------------------------------------------------------------------------------------------------


def chance_table(dtype: type) -> list[list[Any]]:
    """The chance of each genotype of a chick, for the nine pairs of parents' genotypes, dam's running fastest."""
    table = [[dtype(0)] * 9 for _ in range(3)]
    for column, (sire, dam) in enumerate(itertools.product(GENOTYPES, repeat=2)):
        for gametes in itertools.product(sire, dam):
            table[sum(gametes)][column] += dtype(1) / 4
    return table


def looks(pedigree: Pedigree) -> list[bool | None]:
    """Whether each bird shows the mutant look of the only locus; None where nothing is on record."""
    (locus,) = pedigree.species.loci
    seen = (bird.shows.get(locus.name) for bird in pedigree.individuals)
    return [None if look is None else look == locus.name for look in seen]


def steps_of(pedigree: Pedigree) -> list[tuple[Any, Any, tuple[int, ...]]]:
    """For each bird the numbers of its parents, and the genotypes that fit its look."""
    at = {name: number for number, name in enumerate(pedigree.ids)}
    fits = {None: (0, 1, 2), True: (2,), False: (0, 1)}
    return [
        (at.get(bird.sire), at.get(bird.dam), fits[look])
        for bird, look in zip(pedigree.individuals, looks(pedigree), strict=True)
    ]


def every_assignment(pedigree: Pedigree) -> dict[str, Fraction]:
    """The carriers, from all assignments of genotypes that fit the looks, one after the other."""
    by_pair = list(zip(*chance_table(Fraction), strict=True))
    steps = steps_of(pedigree)
    carrying = [Fraction(0)] * len(steps)
    whole = Fraction(0)
    for held in itertools.product(*(fits for _, _, fits in steps)):
        weight = Fraction(1)
        for genotype, (sire, dam, _) in zip(held, steps, strict=True):
            weight *= (FOUNDER if sire is None else by_pair[3 * held[sire] + held[dam]])[genotype]
        if weight:
            whole += weight
            for place, genotype in enumerate(held):
                if genotype:
                    carrying[place] += weight
    return {name: share / whole for name, share in zip(pedigree.ids, carrying, strict=True)}


def every_branch(pedigree: Pedigree) -> dict[str, Fraction]:
    """The same, bird by bird: what the first birds cannot be together is not followed any further."""
    by_pair = list(zip(*chance_table(Fraction), strict=True))
    steps = steps_of(pedigree)
    held = [0] * len(steps)
    carrying = [Fraction(0)] * len(steps)

    def walk(place: int, weight: Fraction) -> Fraction:
        if place == len(steps):
            return weight
        sire, dam, fits = steps[place]
        own = FOUNDER if sire is None else by_pair[3 * held[sire] + held[dam]]
        total = Fraction(0)
        for genotype in fits:
            if own[genotype]:
                held[place] = genotype
                below = walk(place + 1, weight * own[genotype])
                total += below
                if genotype:
                    carrying[place] += below
        return total

    whole = walk(0, Fraction(1))
    return {name: share / whole for name, share in zip(pedigree.ids, carrying, strict=True)}


# -- the pens of a season ------------------------------------------------------------------------------------


def best_pens(table: Any, bounds: tuple[int, int]) -> Any:
    """The most wanted chicks over every assignment of hens to cocks or to none."""
    best: Any = None
    for choice in itertools.product((None, *table.males), repeat=len(table.females)):
        sizes = [choice.count(cock) for cock in table.males if cock in choice]
        if all(bounds[0] <= size <= bounds[1] for size in sizes):
            pairs = [(c, h) for c, h in zip(choice, table.females, strict=True) if c is not None]
            if all(table[pair].inbreeding * 8 <= 1 for pair in pairs):
                wanted = sum(table[pair].per_egg for pair in pairs)
                best = wanted if best is None or wanted > best else best
    return best


# -- tables of counts ----------------------------------------------------------------------------------------


def every_table(counts: tuple[int, ...], parts: tuple[int, ...]) -> Fraction:
    """The exact test of goodness of fit by writing out every table of counts."""
    chicks, total = sum(counts), sum(parts)
    factorials = [math.factorial(n) for n in range(chicks + 1)]

    def weight(table: tuple[int, ...]) -> int:
        ways = factorials[chicks]
        for n, part in zip(table, parts, strict=True):
            ways = ways // factorials[n] * part**n
        return ways

    threshold = weight(counts)
    summed = 0
    for bars in itertools.combinations(range(chicks + len(parts) - 1), len(parts) - 1):
        edges = (-1, *bars, chicks + len(parts) - 1)
        found = weight(tuple(b - a - 1 for a, b in itertools.pairwise(edges)))
        if found <= threshold:
            summed += found
    return Fraction(summed, total**chicks)
