"""Invented birds and flocks for the benchmarks, bred at random from a fixed seed.

In a ``flock`` and in a ``yard_to_pair`` the alleles are dropped from founders to chicks: since the looks on record come
from genotypes that were really handed down, they contradict nothing.  Kinds of ``flock``:

- ``tree``: every mate is a new founder;
- ``line``: one cock for four seasons on his daughters and granddaughters, then a son of his;
- ``closed``: ten seasons, one cock to four hens, parents kept for one season only;
- ``overlap``: as closed, but hens breed for three seasons and cocks for two.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any, NamedTuple

from pinfeather import Individual, Linkage, Locus, Pedigree, Species

NO_LOCI = Species("toy fowl")
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


def flock(
    kind: str,
    size: int,
    seen: float,
    *,
    frequency: float = 0.3,
    seed: int = 1,
    on_z: bool = False,
    sires_typed: bool = False,
) -> Pedigree:
    """A flock with the looks of a share of its birds on record, and the genotypes of its sires if they are typed."""
    yard = Yard(seed)
    KINDS[kind](yard, size)
    species = Z_LINKED if on_z else AUTOSOMAL
    (locus,) = species.loci
    wild, mutant = locus.symbols
    written = f"{wild}/{wild}", f"{wild}/{mutant}", f"{mutant}/{mutant}"
    sires = {bird.sire for bird in yard.birds} if sires_typed else set()
    drawn = random.Random(seed + 1)
    alleles: dict[str, tuple[int, ...]] = {}
    told = []
    for bird in yard.birds:
        from_sire = drawn.choice(alleles[bird.sire]) if bird.sire else int(drawn.random() < frequency)
        from_dam = drawn.choice(alleles[bird.dam]) if bird.dam else int(drawn.random() < frequency)
        alleles[bird.name] = (from_sire,) if on_z and bird.sex == "female" else (from_sire, from_dam)
        look = locus.name if all(alleles[bird.name]) else f"not {locus.name}"
        shows = {locus.name: look} if drawn.random() < seen else {}
        typed = written[sum(alleles[bird.name])] if bird.name in sires else None
        told.append(Individual(bird.name, bird.sex, bird.sire, bird.dam, shows=shows, genotype=typed))
    return Pedigree(species, told)


# -- flocks for kinship, where nothing is inherited but names ------------------------------------------------


def generations(birds: int, number: int, cocks: int, hens: int) -> Pedigree:
    """A closed flock in discrete generations, so many cocks and hens breeding in each."""
    draw = random.Random(birds + number)
    founders = [Individual(f"f{place}", "male" if place < cocks else "female") for place in range(cocks + hens)]
    everyone = list(founders)
    males, females = [bird.id for bird in founders[:cocks]], [bird.id for bird in founders[cocks:]]
    chicks = (birds - len(founders)) // number
    for generation in range(number):
        pens = [(draw.choice(males), hen) for hen in females]
        pairs = sorted(draw.choice(pens) for _ in range(chicks))
        kept = draw.sample(range(chicks), cocks + hens)
        cockerels = set(kept[:cocks])
        names = [f"{generation}.{place}" for place in range(chicks)]
        for place, (name, (sire, dam)) in enumerate(zip(names, pairs, strict=True)):
            everyone.append(Individual(name, "male" if place in cockerels else "female", sire, dam))
        males = [names[place] for place in kept[:cocks]]
        females = [names[place] for place in kept[cocks:]]
    return Pedigree(NO_LOCI, everyone)


# -- a yard to pair: five seasons, each season's cocks DNA-tested, three in five of the others recorded by look


def yard_to_pair(
    chicks: int, seasons: int = 5, cocks: int = 20, hens: int = 80
) -> tuple[Pedigree, list[str], list[str]]:
    """A closed flock, and the cocks and hens of its last season."""
    draw = random.Random(3)
    held: dict[str, tuple[int, int]] = {}
    birds: list[Bird] = []
    for place in range(cocks + hens):
        name = f"founder {place}"
        held[name] = (int(draw.random() < 0.3), int(draw.random() < 0.3))
        birds.append(Bird(name, "male" if place < cocks else "female", None, None))
    males, females = ([bird.name for bird in birds if bird.sex == sex] for sex in ("male", "female"))
    typed: set[str] = set()
    for season in range(seasons):
        sires, dams = draw.sample(males, cocks), draw.sample(females, hens)
        typed.update(sires)
        males, females = [], []
        for place in range(chicks):
            name, sire, dam = f"{season}.{place}", draw.choice(sires), draw.choice(dams)
            held[name] = (draw.choice(held[sire]), draw.choice(held[dam]))
            birds.append(Bird(name, "male" if place % 2 else "female", sire, dam))
            (males if place % 2 else females).append(name)
    written = ("Lav+/Lav+", "Lav+/lav", "lav/lav")
    individuals = [
        Individual(
            *bird,
            shows={"lavender": "lavender" if sum(held[bird.name]) == 2 else "not lavender"}
            if draw.random() < 0.6
            else {},
            genotype=written[sum(held[bird.name])] if bird.name in typed else None,
        )
        for bird in birds
    ]
    return Pedigree(AUTOSOMAL, individuals), males, females


# -- single birds --------------------------------------------------------------------------------------------


def heterozygote(count: int, recombinations: list[Any] | None = None) -> Any:
    """A bird heterozygous at some loci: independent ones, or one coupled group."""
    names = [f"L{place}" for place in range(count)]
    loci = [Locus(name, f"look {name}", (f"{name}+", name.lower())) for name in names]
    if recombinations is None:
        species = Species("toy fowl", loci=loci)
        return species.genotype(" ".join(f"{name}+/{name.lower()}" for name in names))
    species = Species("toy fowl", loci=loci, linkage=[Linkage(names, recombinations)])
    wild, mutant = " ".join(f"{name}+" for name in names), " ".join(name.lower() for name in names)
    return species.genotype(f"{wild}/{mutant}")


def look_of_all(bird: Any, recessive: int) -> dict[str, str]:
    """A look at every locus, recessive at one of them."""
    labels = [bird.species.labels_of(locus.name) for locus in bird.species.loci]
    return {
        locus.name: shown[1] if place == recessive else shown[0]
        for place, (locus, shown) in enumerate(zip(bird.species.loci, labels, strict=True))
    }
