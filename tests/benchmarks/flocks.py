"""Invented flocks for the benchmarks of inference: bred at random, their alleles dropped from founders to chicks.

Since the looks on record come from genotypes that were really handed down, they contradict nothing.  Kinds:

- ``tree``: every mate is a new founder;
- ``line``: one cock for four seasons on his daughters and granddaughters, then a son of his;
- ``closed``: ten seasons, one cock to four hens, parents kept for one season only;
- ``overlap``: as closed, but hens breed for three seasons and cocks for two.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import NamedTuple

from pinfeather import Individual, Locus, Pedigree, Species

AUTOSOMAL = Species("toy fowl", loci=[Locus("lav", "lavender", ("Lav+", "lav"))])
Z_LINKED = Species("toy fowl", loci=[Locus("choc", "chocolate", ("Choc+", "choc"), chromosome="Z")])
SEASONS = 10
HENS_PER_COCK = 4


class Bird(NamedTuple):
    name: str
    sex: str
    sire: str | None
    dam: str | None


class Yard:
    """A flock that grows chick by chick."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(seed)
        self.birds: list[Bird] = []

    def add(self, sire: Bird | None = None, dam: Bird | None = None, sex: str | None = None) -> Bird:
        number = len(self.birds)
        own = sex or ("male" if number % 2 else "female")
        bird = Bird(f"b{number}", own, sire and sire.name, dam and dam.name)
        self.birds.append(bird)
        return bird

    def keep(self, chicks: list[Bird], sex: str, number: int) -> list[Bird]:
        """Some of the chicks of one sex, taken at random."""
        of_sex = [bird for bird in chicks if bird.sex == sex]
        return self.draw.sample(of_sex, min(number, len(of_sex)))

    def season(self, cocks: list[Bird], hens: list[Bird], chicks: int) -> list[Bird]:
        """The chicks of a season: each hen stands in the pen of one cock."""
        pens = {hen: cocks[number % len(cocks)] for number, hen in enumerate(self.draw.sample(hens, len(hens)))}
        born = []
        for _ in range(chicks):
            dam = self.draw.choice(hens)
            born.append(self.add(pens[dam], dam))
        return born


def tree(yard: Yard, size: int) -> None:
    young = [yard.add()]
    while len(yard.birds) < size:
        parent = yard.draw.choice(young)
        mate = yard.add(sex="female" if parent.sex == "male" else "male")
        pair = (parent, mate) if parent.sex == "male" else (mate, parent)
        young += [yard.add(*pair) for _ in range(min(4, size - len(yard.birds)))]


def line(yard: Yard, size: int) -> None:
    cock, hens = yard.add(sex="male"), [yard.add(sex="female") for _ in range(4)]
    per_season = max(6, size // SEASONS)
    season = 0
    while len(yard.birds) < size:
        chicks = yard.season([cock], hens, min(per_season, size - len(yard.birds)))
        hens = [*hens[-4:], *yard.keep(chicks, "female", 4)]
        season += 1
        if season % 4 == 0:
            cock = (yard.keep(chicks, "male", 1) or [cock])[0]


def closed(yard: Yard, size: int, stay: tuple[int, int] = (1, 1)) -> None:
    """``stay``: for how many seasons cocks and hens breed."""
    per_season = max(1, size // SEASONS)
    cocks = max(1, round(per_season / 20))
    kept = {"male": [yard.add(sex="male") for _ in range(cocks)]}
    kept["female"] = [yard.add(sex="female") for _ in range(HENS_PER_COCK * cocks)]
    places = {sex: len(birds) for sex, birds in kept.items()}
    while len(yard.birds) < size:
        chicks = yard.season(kept["male"], kept["female"], min(per_season, size - len(yard.birds)))
        for sex, seasons in zip(("male", "female"), stay, strict=True):
            leaving = -(-places[sex] // seasons)
            kept[sex] = [*kept[sex][leaving:], *yard.keep(chicks, sex, leaving)] or kept[sex]


KINDS: dict[str, Callable[[Yard, int], None]] = {
    "tree": tree,
    "line": line,
    "closed": closed,
    "overlap": lambda yard, size: closed(yard, size, (2, 3)),
}


def flock(kind: str, size: int, seen: float, *, frequency: float = 0.3, seed: int = 1, on_z: bool = False) -> Pedigree:
    """A flock with the looks of a share of its birds on record."""
    yard = Yard(seed)
    KINDS[kind](yard, size)
    species = Z_LINKED if on_z else AUTOSOMAL
    (locus,) = species.loci
    mutant = f"{locus.name}", f"not {locus.name}"
    drawn = random.Random(seed + 1)
    alleles: dict[str, tuple[int, ...]] = {}
    told = []
    for bird in yard.birds:
        from_sire = drawn.choice(alleles[bird.sire]) if bird.sire else int(drawn.random() < frequency)
        from_dam = drawn.choice(alleles[bird.dam]) if bird.dam else int(drawn.random() < frequency)
        alleles[bird.name] = (from_sire,) if on_z and bird.sex == "female" else (from_sire, from_dam)
        look = mutant[0] if all(alleles[bird.name]) else mutant[1]
        shows = {locus.name: look} if drawn.random() < seen else {}
        told.append(Individual(bird.name, bird.sex, bird.sire, bird.dam, shows=shows))
    return Pedigree(species, told)
