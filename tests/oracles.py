"""What a mating gives, found by listing everything: slow and simple on purpose, to check the library against.

Nothing here uses the library's reading of notation, its rules or its crosses; of a species only the public attributes
are read.  A bird is its sex and, for every locus of the species in order, the allele on the homologue from its sire and
the one from its dam (None for a copy that it has not).
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from math import prod
from typing import Any

Allele = str | None
Haplotype = tuple[Allele, ...]

HALF = Fraction(1, 2)
SEXES = ("male", "female")
STAGES = {"fertilised": (), "hatched": ("embryo",), "breeding": ("embryo", "chick", "adult")}

# How many copies a bird has, by sex.  In a ZW species the hen is the odd one, in an XY species the male.
COPIES = {
    ("autosome", "male"): 2,
    ("autosome", "female"): 2,
    ("mitochondrion", "male"): 1,
    ("mitochondrion", "female"): 1,
    ("Z", "male"): 2,
    ("Z", "female"): 1,
    ("W", "male"): 0,
    ("W", "female"): 1,
    ("X", "male"): 1,
    ("X", "female"): 2,
    ("Y", "male"): 1,
    ("Y", "female"): 0,
}

# Which parent gives the chromosome to which chicks.
GIVES = {
    ("Z", "male"): ("male", "female"),
    ("Z", "female"): ("male",),
    ("W", "female"): ("female",),
    ("X", "female"): ("male", "female"),
    ("X", "male"): ("female",),
    ("Y", "male"): ("male",),
    ("autosome", "male"): ("male", "female"),
    ("autosome", "female"): ("male", "female"),
    ("mitochondrion", "female"): ("male", "female"),
}


@dataclass(frozen=True)
class Bird:
    sex: str
    left: Haplotype
    right: Haplotype


def as_fraction(number: Any) -> Fraction:
    """A rational sympy number as a Fraction."""
    assert number.is_Rational, number
    return Fraction(int(number.p), int(number.q))


@cache
def words(text: str) -> list[list[tuple[str, str]]]:
    """The groups of a text in our notation, each as its pairs of words."""
    groups = []
    tokens = text.replace(",", " ").replace(";", " ").replace("/", " / ").split()
    while tokens:
        count = tokens.index("/")
        groups.append(list(zip(tokens[:count], tokens[count + 1 : 2 * count + 1], strict=True)))
        tokens = tokens[2 * count + 1 :]
    return groups


def fits_word(word: str, allele: Allele) -> bool:
    return word == "_" or (allele is None if word == "-" else word == allele)


@dataclass(frozen=True)
class Oracle:
    """One species, read anew."""

    species: Any
    symbols: list[tuple[str, ...]] = field(init=False)
    chromosomes: list[str] = field(init=False)
    places: dict[str, int] = field(init=False)

    def __post_init__(self) -> None:
        loci = self.species.loci
        object.__setattr__(self, "symbols", [tuple(a.symbol for a in locus.alleles) for locus in loci])
        object.__setattr__(self, "chromosomes", [locus.chromosome for locus in loci])
        object.__setattr__(self, "places", {locus.symbol: n for n, locus in enumerate(loci)})

    # -- reading -----------------------------------------------------------------------------------------------------

    def place(self, pair: tuple[str, str]) -> int:
        return next(n for n, known in enumerate(self.symbols) if pair[0] in known or pair[1] in known)

    def copies(self, place: int, sex: str) -> int:
        return COPIES[self.chromosomes[place], sex]

    def bird(self, text: str, sex: str, *, told: Iterable[int] | None = None) -> Bird:
        """Read a text; what it does not mention is wild type, and None where only some loci are told."""
        left: list[Allele] = []
        right: list[Allele] = []
        for place, known in enumerate(self.symbols):
            wild = next((s for s in known if s.endswith("+")), None)
            number = self.copies(place, sex) if told is None or place in told else 0
            left.append(wild if number > 0 else None)
            right.append(wild if number > 1 else None)
        for group in words("" if text == "+" else text):
            for one, other in group:
                place = self.place((one, other))
                left[place] = None if one == "-" else one
                right[place] = None if other == "-" else other
        return Bird(sex, tuple(left), tuple(right))

    def every_bird(self, places: Sequence[int]) -> Iterator[Bird]:
        """Every bird that differs at some loci, each homologue told apart; the other loci are left empty."""
        for sex in SEXES:
            choices = []
            for place, known in enumerate(self.symbols):
                number = self.copies(place, sex) if place in places else 0
                choices.append(
                    [(None, None)]
                    if number == 0
                    else [(a, None) for a in known]
                    if number == 1
                    else list(itertools.product(known, repeat=2))
                )
            for pairs in itertools.product(*choices):
                yield Bird(sex, tuple(p[0] for p in pairs), tuple(p[1] for p in pairs))

    def groups(self) -> list[list[int]]:
        """Loci that travel together, in map order."""
        linked = [[self.places[symbol] for symbol in group.loci] for group in self.species.linkage]
        alone = [[n] for n in range(len(self.symbols)) if not any(n in group for group in linked)]
        return sorted(linked + alone)

    def key(self, bird: Bird, places: Iterable[int], *, sexed: bool) -> tuple[Any, ...]:
        """A genotype at some loci as a value that does not care which homologue came from which parent."""
        wanted = set(places)
        told = []
        for group in self.groups():
            inside = [place for place in group if place in wanted]
            if inside:
                homologues = [tuple(side[place] for place in inside) for side in (bird.left, bird.right)]
                told.append(tuple(sorted(homologues, key=str)))
        return (bird.sex if sexed else None, *told)

    # -- what shows --------------------------------------------------------------------------------------------------

    def fits(self, pattern: str, bird: Bird) -> bool:
        return all(self.fits_group(group, bird) for group in words(pattern))

    def fits_group(self, group: list[tuple[str, str]], bird: Bird) -> bool:
        def one_way(first: Haplotype, second: Haplotype) -> bool:
            return all(
                fits_word(one, first[self.place((one, other))]) and fits_word(other, second[self.place((one, other))])
                for one, other in group
            )

        return one_way(bird.left, bird.right) or one_way(bird.right, bird.left)

    def rule_for(self, rules: Sequence[Any], bird: Bird) -> int | None:
        """The first of some rules (pattern, label, sex) that fits."""
        for number, (pattern, _, sex) in enumerate(rules):
            if sex in (None, bird.sex) and self.fits(pattern, bird):
                return number
        return None

    def labels(self, trait: str, bird: Bird) -> dict[str, Fraction]:
        """What a bird shows of a trait, with the chance of each label."""
        if trait == "sex":
            return {bird.sex: Fraction(1)}
        for given in self.species.traits:
            if given.name == trait:
                rules = [(rule.pattern, rule.shows, rule.sex) for rule in given.rules]
                found = self.rule_for(rules, bird)
                assert found is not None
                shown = dict.fromkeys((label for label, _ in rules[found][1]), Fraction(0))
                for label, chance in rules[found][1]:
                    shown[label] += as_fraction(chance)
                return shown
        place = next(n for n, locus in enumerate(self.species.loci) if locus.name == trait)
        return {self.own_label(place, bird): Fraction(1)}

    def own_label(self, place: int, bird: Bird) -> str:
        """The label of a locus that no trait replaces, as its dominance says."""
        locus = self.species.loci[place]
        for pattern, label in locus.shows.items():
            if self.fits(pattern, bird):
                return str(label)
        present = sorted({a for a in (bird.left[place], bird.right[place]) if a}, key=self.symbols[place].index)
        if not present:
            return f"no copy of {locus.symbol}"
        if locus.dominance == "complete" or len(present) == 1:
            return self.allele_label(place, present[0])
        if locus.dominance == "codominant":
            return " and ".join(self.allele_label(place, symbol) for symbol in present)
        mutants = [symbol for symbol in present if not symbol.endswith("+")]
        if len(mutants) == 1:
            return f"{self.allele_label(place, mutants[0])}, one copy"
        return "between " + " and ".join(self.allele_label(place, symbol) for symbol in present)

    def allele_label(self, place: int, symbol: str) -> str:
        locus = self.species.loci[place]
        shown = next(allele.shows for allele in locus.alleles if allele.symbol == symbol)
        mutants = [known for known in self.symbols[place] if not known.endswith("+")]
        if shown:
            return str(shown)
        if symbol.endswith("+"):
            return f"not {locus.name}"
        return str(locus.name) if len(mutants) == 1 else f"{locus.name} {symbol}"

    def survival(self, bird: Bird, stage: str) -> Fraction:
        return prod(
            (
                as_fraction(entry.survival)
                for entry in self.species.viability
                if entry.stage in STAGES[stage] and self.fits(entry.pattern, bird)
            ),
            start=Fraction(1),
        )

    # -- handing on --------------------------------------------------------------------------------------------------

    def gametes(self, bird: Bird, chick: str) -> dict[Haplotype, Fraction]:
        """What a bird hands to a chick of one sex: every strand through its homologues, one by one."""
        parted = self.chances_of_parting(bird.sex)
        double = [COPIES[c, bird.sex] == 2 for c in self.chromosomes]
        given = [chick in GIVES.get((c, bird.sex), ()) for c in self.chromosomes]
        made: dict[Haplotype, Fraction] = defaultdict(Fraction)
        for strand in itertools.product((0, 1), repeat=len(self.symbols)):
            if any(side and not two for side, two in zip(strand, double, strict=True)):
                continue
            chance = Fraction(1)
            for place, (before, crosses) in parted.items():
                if double[place]:
                    if before is None:
                        chance *= HALF
                    else:
                        chance *= crosses if strand[place] != strand[before] else 1 - crosses
            gamete = tuple(
                None if not given[n] else (bird.right if side else bird.left)[n] or (bird.left[n] or bird.right[n])
                for n, side in enumerate(strand)
            )
            made[gamete] += chance
        return {gamete: chance for gamete, chance in made.items() if chance}

    def chances_of_parting(self, sex: str) -> dict[int, tuple[int | None, Fraction]]:
        """For every locus the one before it on its chromosome, and how often a parent of this sex parts the two."""
        which = SEXES.index(sex)
        parted: dict[int, tuple[int | None, Fraction]] = dict.fromkeys(range(len(self.symbols)), (None, HALF))
        for group in self.species.linkage:
            for number, interval in enumerate(group.recombination):
                first, second = self.places[group.loci[number]], self.places[group.loci[number + 1]]
                parted[second] = (first, as_fraction(interval[which]))
        return parted

    def hatch(self, sires: Mapping[Bird, Fraction], dams: Mapping[Bird, Fraction]) -> Hatch:
        """The eggs of a mating whose parents are drawn independently: all pairs of gametes, in either sex of chick."""
        eggs: dict[Bird, Fraction] = defaultdict(Fraction)
        for sex in SEXES:
            from_sire, from_dam = self.pool(sires, sex), self.pool(dams, sex)
            for left, right in itertools.product(from_sire, from_dam):
                eggs[Bird(sex, left, right)] += HALF * from_sire[left] * from_dam[right]
        return Hatch(self, dict(eggs))

    def pool(self, birds: Mapping[Bird, Fraction], chick: str) -> dict[Haplotype, Fraction]:
        made: dict[Haplotype, Fraction] = defaultdict(Fraction)
        for bird, chance in birds.items():
            for gamete, share in self.gametes(bird, chick).items():
                made[gamete] += chance * share
        return dict(made)


@dataclass(frozen=True)
class Keep:
    """What was kept, or is asked: a pattern, looks and a sex, each of which may be left out."""

    genotype: str | None = None
    shows: tuple[tuple[str, frozenset[str]], ...] = ()
    sex: str | None = None

    def asked(self) -> dict[str, Any]:
        """The same as arguments of the library's ``given`` and ``fraction``."""
        return {"genotype": self.genotype, "shows": dict(self.shows) or None, "sex": self.sex}


@dataclass(frozen=True)
class Hatch:
    """The eggs of a mating, and what was kept of the chicks."""

    oracle: Oracle
    eggs: Mapping[Bird, Fraction]
    keeps: tuple[Keep, ...] = ()

    def kept(self, keep: Keep) -> Hatch:
        return Hatch(self.oracle, self.eggs, (*self.keeps, keep))

    def table(self, traits: Sequence[str] = (), stage: str = "hatched") -> dict[tuple[Bird, tuple[str, ...]], Fraction]:
        """Every chick kept and alive with what it shows of some traits, and its chance out of all eggs."""
        names = list(dict.fromkeys([*traits, *(name for keep in self.keeps for name, _ in keep.shows)]))
        made: dict[tuple[Bird, tuple[str, ...]], Fraction] = defaultdict(Fraction)
        for bird, chance in self.eggs.items():
            alive = chance * self.oracle.survival(bird, stage)
            if not alive or not all(self.is_meant(keep, bird) for keep in self.keeps):
                continue
            for look in itertools.product(*(self.oracle.labels(name, bird).items() for name in names)):
                shown = {name: label for name, (label, _) in zip(names, look, strict=True)}
                if all(shown[name] in allowed for keep in self.keeps for name, allowed in keep.shows):
                    made[bird, tuple(shown[name] for name in traits)] += prod((part for _, part in look), start=alive)
        return {entry: chance for entry, chance in made.items() if chance}

    def is_meant(self, keep: Keep, bird: Bird) -> bool:
        return keep.sex in (None, bird.sex) and (keep.genotype is None or self.oracle.fits(keep.genotype, bird))

    def weight(self, stage: str = "hatched") -> Fraction:
        return sum(self.table(stage=stage).values(), Fraction(0))

    def fraction(self, keep: Keep, stage: str = "hatched") -> Fraction:
        return self.kept(keep).weight(stage) / self.weight(stage)

    def looks(self, traits: Sequence[str], stage: str = "hatched") -> dict[tuple[str, ...], Fraction]:
        whole = self.weight(stage)
        made: dict[tuple[str, ...], Fraction] = defaultdict(Fraction)
        for (_, look), chance in self.table(traits, stage).items():
            made[look] += chance / whole
        return dict(made)

    def genotypes(self, places: Sequence[int], *, sexed: bool, stage: str = "hatched") -> dict[Any, Fraction]:
        whole = self.weight(stage)
        made: dict[Any, Fraction] = defaultdict(Fraction)
        for (bird, _), chance in self.table(stage=stage).items():
            made[self.oracle.key(bird, places, sexed=sexed)] += chance / whole
        return dict(made)

    def lost(self) -> Fraction:
        return 1 - Hatch(self.oracle, self.eggs).weight()

    def parents(self, sex: str) -> dict[Bird, Fraction]:
        """The chicks kept that are of one sex and live to breed, as a bird that is one of several; empty if none is."""
        chosen: dict[Bird, Fraction] = defaultdict(Fraction)
        for (bird, _), chance in self.table(stage="breeding").items():
            if bird.sex == sex:
                chosen[bird] += chance
        whole = sum(chosen.values(), Fraction(0))
        return {bird: chance / whole for bird, chance in chosen.items()}
