"""Random small flocks with records, for checking inference against the brute force of ``inference_oracle``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from typing import Any

from hypothesis import strategies as st

from pinfeather.heredity import Linkage, Locus, Species, Trait, Viability
from pinfeather.pedigree import Hatch, Individual, Pedigree
from tests.pedigree.inference_oracle import Alleles, FlockOracle

LAVENDER = Locus("lav", "lavender", ("Lav+", "lav"))
BLUE = Locus("Bl", "blue", ("Bl", "bl+"), dominance="incomplete")
WHITE = Locus("C", "white", ("C+", "c", "ca"))
CREEPER = Locus("Cp", "creeper", ("Cp", "cp+"))
TOES = Locus("Po", "extra toes", ("Po", "po+"))
PEA = Locus("P", "pea comb", ("P", "p+"))
EGG = Locus("O", "blue egg", ("O", "o+"))
SILVER = Locus("S", "silver", ("S", "s+"), chromosome="Z")
BARRING = Locus("B", "barring", ("B", "b+"), dominance="incomplete", chromosome="Z")
NAKED = Locus("n", "naked", ("N+", "n"), chromosome="Z")
FEATHERS = Locus("Hf", "hen feathering", ("Hf", "hf+"))
CLAY = Locus("Wc", "clay", ("Wc", "wc+"), chromosome="W")
CELL = Locus("Mt", "cell", ("Mt1+", "Mt2"), chromosome="mitochondrion")
EYES = Locus("ro", "red eyes", ("Ro+", "ro"), chromosome="X")

COAT = Trait("coat", [("c/c", "white"), ("lav/lav", {"lavender": "0.9", "black": "0.1"}), ("", "black")])
TOE_COUNT = Trait("toes", [("Po/Po", "five"), ("Po/_", {"five": "8/11", "four": "3/11"}), ("", "four")])
TAIL = Trait("tail", [("", "hen-like", "female"), ("Hf/_", "hen-like"), ("", "cock-like")])
COMB = Trait("comb", [("P/_ Cp/_", "odd"), ("P/_", "pea"), ("", "single")])


@dataclass(frozen=True)
class World:
    """A species, the loci to ask about, how many birds the brute force can bear, and what the flock is pure for."""

    species: Species
    loci: tuple[str, ...]
    most: int
    background: Mapping[str, str] = field(default_factory=dict)


def _world(loci: Sequence[Locus], asked: str, most: int, **more: Any) -> World:
    background = more.pop("background", {})
    system = more.pop("sex_system", "ZW")
    return World(Species("invented fowl", system, loci, **more), tuple(asked.split()), most, background)


WORLDS: dict[str, World] = {
    "one locus": _world([LAVENDER], "lav", 8),
    "one incomplete": _world([BLUE], "Bl", 8),
    "three alleles": _world([WHITE], "C", 6),
    "Z-linked": _world([SILVER], "S", 8),
    "embryo lethal": _world([CREEPER], "Cp", 8, viability=[Viability("Cp/Cp", 0, "embryo")]),
    "weak at every age": _world(
        [CREEPER],
        "Cp",
        7,
        viability=[
            Viability("Cp/Cp", "1/3", "embryo"),
            Viability("Cp/cp+", "3/4", "chick"),
            Viability("Cp/Cp", 0, "adult"),
        ],
    ),
    "heterozygotes die": _world([CREEPER], "Cp", 7, viability=[Viability("Cp/cp+", 0, "embryo")]),
    "lethal with the background": _world(
        [LAVENDER, CREEPER],
        "lav",
        7,
        viability=[Viability("lav/lav cp+/cp+", "1/4", "embryo"), Viability("Lav+/_ Cp/_", 0, "adult")],
    ),
    "Z-linked lethal": _world(
        [NAKED], "n", 8, viability=[Viability("n/-", "1/2", "embryo"), Viability("n/n", 0, "adult")]
    ),
    "penetrance": _world([TOES], "Po", 8, traits=[TOE_COUNT]),
    "sex-limited": _world([FEATHERS], "Hf", 8, traits=[TAIL]),
    "epistasis": _world([WHITE, LAVENDER], "C lav", 3, traits=[COAT]),
    "hidden by the background": _world([WHITE, LAVENDER], "lav", 7, traits=[COAT], background={"C": "C+"}),
    "linked": _world([PEA, EGG], "P O", 4, linkage=[Linkage(("P", "O"), "0.04")]),
    "linked, sexes differ": _world([PEA, EGG], "P O", 4, linkage=[Linkage(("P", "O"), [("1/10", "1/3")])]),
    "linked on the Z": _world([SILVER, BARRING], "S B", 4, linkage=[Linkage(("S", "B"), "0.35")]),
    "ends of a chain": _world([PEA, EGG, LAVENDER], "P lav", 4, linkage=[Linkage(("P", "O", "lav"), ("0.1", "1/4"))]),
    "unlinked": _world([LAVENDER, SILVER], "lav S", 4),
    "lethal and look together": _world(
        [PEA, CREEPER],
        "P Cp",
        4,
        traits=[COMB],
        viability=[Viability("Cp/Cp", 0, "embryo"), Viability("P/P Cp/_", "1/2")],
    ),
    "W and cell": _world([CLAY, CELL], "Wc Mt", 6),
    "XY": _world([EYES], "ro", 8, sex_system="XY"),
}
SHARES = {2: (("1/2", "1/2"), ("2/3", "1/3"), ("1/10", "9/10")), 3: (("1/2", "1/3", "1/6"),)}
FREQUENCIES = (Fraction(1, 2), Fraction(1, 10), Fraction(2, 3), Fraction(1))


@dataclass(frozen=True)
class Case:
    """A flock, a question about it, and the brute force's view of both."""

    pedigree: Pedigree
    loci: tuple[str, ...]
    frequencies: Alleles
    special: Mapping[str, Alleles]
    background: Mapping[str, str]
    test_error: Fraction

    def asked(self) -> dict[str, Any]:
        """The question as arguments of the library."""
        told: dict[Any, Any] = dict(self.frequencies)
        told.update(self.special)
        pure = " ".join(f"{allele}/{allele}" for allele in self.background.values())
        return {
            "loci": self.loci,
            "allele_frequencies": told or None,
            "background": pure or None,
            "test_error": self.test_error,
        }

    def oracle(self) -> FlockOracle:
        return FlockOracle(self.pedigree, self.loci, self.frequencies, self.special, self.background, self.test_error)


@cache
def names_of(species: Species, asked: tuple[str, ...]) -> tuple[str, ...]:
    """The traits that bear on the loci asked about."""
    return species.traits_shown_by([species.place_of(symbol) for symbol in asked])


@st.composite
def frequencies(draw: st.DrawFn, world: World) -> Alleles:
    """Frequencies of the first allele of some loci; the others share the rest."""
    made = {}
    for symbol in world.loci:
        if draw(st.booleans()):
            first = world.species.locus(symbol).symbols[0]
            made[symbol] = {first: draw(st.sampled_from(FREQUENCIES[:3]))}
    return made


@st.composite
def parents(draw: st.DrawFn, birds: Sequence[Individual], sex: str) -> Any:
    """Nobody, one bird, or several birds that may be the parent."""
    known = [bird.id for bird in birds if bird.sex == sex]
    kind = draw(st.integers(0, 6)) if known else 0
    if kind == 0:
        return None
    if kind == 1 and len(known) > 1:
        number = draw(st.integers(2, min(3, len(known))))
        chosen = draw(st.permutations(known))[:number]
        return dict(zip(chosen, draw(st.sampled_from(SHARES[number])), strict=True))
    return draw(st.sampled_from(known))


@st.composite
def skeletons(draw: st.DrawFn, most: int) -> list[Individual]:
    """Birds and parents without any record; a bird of open sex is nobody's parent."""
    birds: list[Individual] = []
    for number in range(draw(st.integers(1, most))):
        sex = draw(st.sampled_from(("male", "female", "male", "female", None)))
        birds.append(Individual(f"b{number}", sex, draw(parents(birds, "male")), draw(parents(birds, "female"))))
    return birds


@st.composite
def looks(draw: st.DrawFn, flock: FlockOracle, traits: Sequence[str], genotype: Any) -> dict[str, str]:
    """What a bird of some genotype may show, of some traits."""
    shown = {}
    for trait in traits:
        if draw(st.booleans()):
            possible = flock.oracle.labels(trait, flock.members[genotype])
            shown[trait] = draw(st.sampled_from(sorted(label for label, chance in possible.items() if chance)))
    return shown


@st.composite
def pattern_of(draw: st.DrawFn, flock: FlockOracle, genotype: Any) -> str:
    """A pattern that a genotype fits, with or without a hole."""
    bird = flock.members[genotype]
    # A cock has no copy on the W to speak of.
    place = draw(st.sampled_from([place for place in flock.places if bird.left[place] or bird.right[place]]))
    alleles = [side[place] for side in (bird.left, bird.right)]
    present = [allele for allele in alleles if allele is not None]
    first = draw(st.sampled_from(present))
    rest = [a for n, a in enumerate(alleles) if n != alleles.index(first)]
    other = "_" if draw(st.booleans()) else rest[0] or "-"
    return f"{first}/{other}"


@st.composite
def recorded(draw: st.DrawFn, flock: FlockOracle, traits: Sequence[str], bird: Individual, genotype: Any) -> Individual:
    """A bird with what may be on record of it if it has some genotype."""
    told: dict[str, Any] = {"shows": draw(looks(flock, traits, genotype))}
    for name in ("genotype", "tested"):
        if draw(st.integers(0, 5)) == 0:
            told[name] = draw(pattern_of(flock, genotype))
    fields = {"sex": bird.sex, "sire": bird.sire, "dam": bird.dam}
    return Individual(bird.id, **fields, **told)


@st.composite
def hatches(
    draw: st.DrawFn, flock: FlockOracle, traits: Sequence[str], birds: Sequence[Individual], held: Mapping[str, Any]
) -> list[Hatch]:
    """Counted chicks that parents of the genotypes held may have."""
    made = []
    for number in range(draw(st.sampled_from((0, 0, 0, 1, 1, 2)))):
        sire, dam = draw(parents(birds, "male")), draw(parents(birds, "female"))
        counts = []
        for _ in range(draw(st.integers(1, 3))):
            one, other = (draw(st.sampled_from(sorted(p, key=str))) if isinstance(p, dict) else p for p in (sire, dam))
            row = sorted(flock.chicks(held.get(one), held.get(other), None, "hatched"), key=str)
            if row:
                genotype = draw(st.sampled_from(row))
                shown = draw(looks(flock, traits, genotype))
                if draw(st.booleans()):
                    shown["sex"] = genotype[0]
                counts.append((shown, draw(st.integers(0, 3))))
        made.append(Hatch(f"h{number}", sire, dam, counts))
    return made


@st.composite
def truths(draw: st.DrawFn, flock: FlockOracle, birds: Sequence[Individual]) -> dict[str, Any]:
    """A genotype for every bird that it may have by its parents; fewer where a pair cannot have living chicks."""
    held: dict[str, Any] = {}
    parents_of_some = {name for bird in birds for name in (*bird.sires, *bird.dams)}
    for bird in birds:
        stage = "breeding" if bird.id in parents_of_some else "hatched"
        if bird.sire is None and bird.dam is None:
            row = flock.founders(bird.id, bird.sex, stage)
        else:
            sire, dam = (next(iter(ids), None) for ids in (bird.sires, bird.dams))
            row = flock.chicks(held.get(sire), held.get(dam), bird.sex, stage)
        usual = sorted(row or flock.founders(None, bird.sex, stage), key=str)
        held[bird.id] = draw(st.sampled_from(usual))
    return held


@st.composite
def cases(draw: st.DrawFn, worlds: Sequence[str] = tuple(WORLDS), slips: int = 1) -> Case:
    """A flock with records that were made from true genotypes, but for some slips in ten, listed in any order."""
    world = WORLDS[draw(st.sampled_from(worlds))]
    return draw(cases_in(world, slips))


@st.composite
def cases_in(draw: st.DrawFn, world: World, slips: int = 1) -> Case:
    """As :func:`cases`, in one world."""
    birds = draw(skeletons(world.most))
    general = draw(frequencies(world))
    founders = [bird.id for bird in birds if bird.sire is None and bird.dam is None]
    special = {founders[0]: draw(frequencies(world))} if founders and draw(st.integers(0, 3)) == 0 else {}
    error = draw(st.sampled_from((Fraction(0), Fraction(0), Fraction(1, 20))))
    # Frequencies of its own at one locus leave a founder the general ones at the others.
    special = {name: {**general, **own} for name, own in special.items() if own}
    flock = FlockOracle(Pedigree(world.species, birds), world.loci, general, special, world.background, error)
    held = draw(truths(flock, birds))
    traits = names_of(world.species, world.loci)
    told = [draw(recorded(flock, traits, bird, held[bird.id])) for bird in birds]
    counted = draw(hatches(flock, traits, birds, held))
    if draw(st.integers(0, 9)) < slips:
        slip = draw(st.integers(0, len(told) - 1))
        told[slip] = draw(recorded(flock, traits, told[slip], draw(st.sampled_from(_of_sex(flock, told[slip].sex)))))
    order = draw(st.permutations(told)) if draw(st.integers(0, 3)) == 0 else told
    return Case(Pedigree(world.species, order, counted), world.loci, general, special, world.background, error)


def _of_sex(flock: FlockOracle, sex: str | None) -> list[Any]:
    return sorted((genotype for genotype in flock.members if sex in (None, genotype[0])), key=str)
