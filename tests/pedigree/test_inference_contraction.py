"""Middle-sized flocks against a general-purpose library: numpy contracts the same network of tables, in floats."""

from __future__ import annotations

import itertools
import random
from collections.abc import Sequence
from math import prod
from typing import Any

import numpy as np
import pytest

from pinfeather import Individual, Locus, Pedigree, Species
from pinfeather.pedigree import genotype_probabilities

TOY = Species("toy fowl", loci=[Locus("lav", "lavender", ("Lav+", "lav"))])
ON_Z = Species("toy fowl", loci=[Locus("choc", "chocolate", ("Choc+", "choc"), chromosome="Z")])
PAIRS = ((0, 0), (0, 1), (1, 1))
FREQUENCY = 0.3


def chicks(sex: str, on_z: bool) -> Any:
    """The chance of each number of mutant alleles in a chick, by those of its sire and its dam."""
    table = np.zeros((3, 3, 3))
    for sire, dam in itertools.product(range(3), repeat=2):
        for one, other in itertools.product(PAIRS[sire], PAIRS[dam]):
            if not on_z:
                table[sire, dam, one + other] += 0.25
            elif dam < 2:
                # A hen has one Z, and her state is 0 or 1.
                table[sire, dam, one + dam if sex == "male" else one] += 0.25
    return table


def founders(sex: str, on_z: bool) -> Any:
    q = FREQUENCY
    return np.array([1 - q, q, 0] if on_z and sex == "female" else [(1 - q) ** 2, 2 * q * (1 - q), q * q])


def look(shown: str | None, sex: str, on_z: bool) -> Any:
    mutant = np.array([0, 1, 0] if on_z and sex == "female" else [0, 0, 1])
    return np.ones(3) if shown is None else mutant if not shown.startswith("not ") else 1 - mutant


def bred(seed: int, size: int, species: Species, seen: float) -> Pedigree:
    """A closed flock whose alleles were dropped from founders to chicks, so that its looks can all be true."""
    draw = random.Random(seed)
    on_z = species is ON_Z
    (locus,) = species.loci
    held: dict[str, tuple[int, ...]] = {}
    birds: list[Individual] = []
    for number in range(size):
        sex = "male" if number % 2 else "female"
        parents: list[str | None] = [None, None]
        if number >= 6:
            recent = birds[-8:]
            parents = [draw.choice([b.id for b in recent if b.sex == own]) for own in ("male", "female")]
        sire, dam = (held[p] if p else tuple(int(draw.random() < FREQUENCY) for _ in range(2)) for p in parents)
        own = (draw.choice(sire),) if on_z and sex == "female" else (draw.choice(sire), draw.choice(dam))
        name = f"b{number}"
        held[name] = own
        label = locus.name if all(own) else f"not {locus.name}"
        birds.append(Individual(name, sex, *parents, shows={locus.name: label} if draw.random() < seen else {}))
    return Pedigree(species, birds)


def contracted(flock: Pedigree, asked: Sequence[str]) -> dict[str, list[float]]:
    """The share of each number of mutant alleles in some birds, by one contraction for every bird."""
    on_z = flock.species is ON_Z
    at = {name: number for number, name in enumerate(flock.ids)}
    operands: list[tuple[Any, list[int]]] = []
    for bird in flock.individuals:
        sex = bird.sex or ""
        seen = look(bird.shows.get(flock.species.loci[0].name), sex, on_z)
        if bird.sire is None:
            operands.append((founders(sex, on_z) * seen, [at[bird.id]]))
        else:
            operands.append((chicks(sex, on_z) * seen, [at[str(bird.sire)], at[str(bird.dam)], at[bird.id]]))
    found = {}
    for name in asked:
        weights = summed(operands, keep=at[name])
        found[name] = (weights / weights.sum()).tolist()
    return found


def summed(operands: list[tuple[Any, list[int]]], keep: int) -> Any:
    """Sum out every bird but one, the youngest first: its tables are contracted and what is left goes to the older."""
    left = list(operands)
    for bird in sorted({b for _, scope in operands for b in scope} - {keep}, reverse=True):
        own = [entry for entry in left if bird in entry[1]]
        scope = sorted({b for _, birds in own for b in birds} - {bird})
        local = {b: number for number, b in enumerate([*scope, bird])}
        given = [part for table, birds in own for part in (table, [local[b] for b in birds])]
        left = [entry for entry in left if bird not in entry[1]]
        left.append((np.einsum(*given, [local[b] for b in scope]), scope))
    return prod(table for table, _ in left)


@pytest.mark.parametrize("seen", [0.2, 0.7])
@pytest.mark.parametrize("species", [TOY, ON_Z], ids=["autosomal", "Z-linked"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_flock_of_thirty_is_what_contracting_its_network_says(seed: int, species: Species, seen: float) -> None:
    """The youngest bird is summed out first, by numpy.einsum; nothing is struck off, merged or reordered before."""
    flock = bred(seed, 30, species, seen)
    (locus,) = species.loci
    found = genotype_probabilities(
        flock, locus.symbol, allele_frequencies={locus.symbol: {locus.symbols[1]: FREQUENCY}}
    )
    for name, shares in contracted(flock, flock.ids[seed::8]).items():
        ours = [0.0, 0.0, 0.0]
        for genotype, chance in found[name].items():
            ours[genotype.alleles(locus.symbol).count(locus.symbols[1])] += float(chance)
        assert ours == pytest.approx(shares, abs=1e-9)
