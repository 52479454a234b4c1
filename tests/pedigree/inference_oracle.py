"""What the birds of a small flock carry, found by going through every assignment of genotypes to birds.

Slow and simple on purpose, to check the library against: fractions throughout, no pruning but of chances that are
nothing, and none of the library's inference or crosses.  A bird's genotype is one of the classes of
:class:`tests.oracles.Oracle` that do not tell which homologue came from which parent.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import prod
from typing import Any

from tests.oracles import HALF, SEXES, Bird, Hatch, Oracle, as_fraction, words

ONE = Fraction(1)
Shares = dict[Any, Fraction]
Alleles = Mapping[str, Mapping[str, Fraction]]
"""Locus -> allele -> frequency."""


@dataclass(frozen=True)
class Answer:
    """What the records say: of each bird, of the parents of each bird that may have several, and of all together."""

    probability: Fraction
    birds: Mapping[str, Shares]
    sires: Mapping[str, Shares]
    dams: Mapping[str, Shares]
    couples: Mapping[tuple[str, str], Shares]


@dataclass
class FlockOracle:
    """A flock and a question about it."""

    pedigree: Any
    loci: Sequence[str]
    frequencies: Alleles = field(default_factory=dict)
    special: Mapping[str, Alleles] = field(default_factory=dict)
    background: Mapping[str, str] = field(default_factory=dict)
    test_error: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        self.oracle = Oracle(self.pedigree.species)
        self.places = sorted(self.oracle.places[symbol] for symbol in self.loci)
        self.members: dict[Any, Bird] = {}
        for bird in self.oracle.every_bird(self.places):
            self.members.setdefault(self.key(bird), self.with_background(bird))
        self.remembered: dict[Any, Any] = {}

    def once(self, key: Any, work: Callable[[], Any]) -> Any:
        """What some work gives, done once and remembered."""
        if key not in self.remembered:
            self.remembered[key] = work()
        return self.remembered[key]

    # -- genotypes -----------------------------------------------------------------------------------------------------

    def key(self, bird: Bird) -> Any:
        return self.oracle.key(bird, self.places, sexed=True)

    def with_background(self, bird: Bird) -> Bird:
        left, right = list(bird.left), list(bird.right)
        for place, known in enumerate(self.oracle.symbols):
            if place not in self.places:
                wild = next((symbol for symbol in known if symbol.endswith("+")), None)
                allele = self.background.get(self.oracle.species.loci[place].symbol, wild)
                number = self.oracle.copies(place, bird.sex)
                left[place] = allele if number > 0 else None
                right[place] = allele if number > 1 else None
        return Bird(bird.sex, tuple(left), tuple(right))

    def founders(self, name: str | None, sex: str | None, stage: str) -> Shares:
        """Founders alive at a stage, by random union of gametes; a bird of open sex is either, half and half."""
        given = self.special.get(name, self.frequencies) if name is not None else self.frequencies
        key = ("founders", name if name in self.special else None, sex, stage)
        return self.once(key, lambda: self._founders(given, sex, stage))

    def _founders(self, given: Alleles, sex: str | None, stage: str) -> Shares:
        made: Shares = defaultdict(Fraction)
        for bird in self.oracle.every_bird(self.places):
            if sex in (None, bird.sex):
                own = self.key(bird)
                alive = self.oracle.survival(self.members[own], stage)
                made[own] += alive * prod((self.frequency(given, *entry) for entry in self.alleles(bird)), start=ONE)
        return normalised(made)

    def alleles(self, bird: Bird) -> Iterator[tuple[int, str]]:
        for side in (bird.left, bird.right):
            yield from ((place, side[place]) for place in self.places if side[place] is not None)  # type: ignore[misc]

    def frequency(self, given: Alleles, place: int, allele: str) -> Fraction:
        symbols = self.oracle.symbols[place]
        own = given.get(self.oracle.species.loci[place].symbol, {})
        if allele in own:
            return own[allele]
        return (1 - sum(own.values(), Fraction(0))) / (len(symbols) - len(own))

    def chicks(self, sire: Any, dam: Any, sex: str | None, stage: str) -> Shares:
        """The chicks of two parents that are alive at a stage; empty if there are none.

        A parent that is None is a founder that nobody knows and that lived to breed: another one for every chick.
        """
        return self.once(("chicks", sire, dam, sex, stage), lambda: self._chicks(sire, dam, sex, stage))

    def _chicks(self, sire: Any, dam: Any, sex: str | None, stage: str) -> Shares:
        if sire is None or dam is None:
            sires = {sire: ONE} if sire is not None else self.founders(None, "male", "breeding")
            dams = {dam: ONE} if dam is not None else self.founders(None, "female", "breeding")
            return mixed(
                (one * other, self.chicks(s, d, sex, stage))
                for (s, one), (d, other) in itertools.product(sires.items(), dams.items())
            )
        made: Shares = defaultdict(Fraction)
        for chick in SEXES if sex is None else (sex,):
            lefts = self.oracle.gametes(self.members[sire], chick)
            rights = self.oracle.gametes(self.members[dam], chick)
            for left, right in itertools.product(lefts, rights):
                bird = Bird(chick, left, right)
                alive = self.oracle.survival(bird, stage)
                made[self.key(bird)] += HALF * lefts[left] * rights[right] * alive
        return normalised(made)

    # -- records -------------------------------------------------------------------------------------------------------

    def names(self, pattern: str) -> set[int]:
        return {self.oracle.place(pair) for group in words(pattern) for pair in group}

    def bears_on(self, trait: str) -> bool:
        """Whether a trait speaks of a locus asked about; a look that does not is passed over."""
        for given in self.oracle.species.traits:
            if given.name == trait:
                return any(self.names(rule.pattern) & set(self.places) for rule in given.rules)
        return any(locus.name == trait and n in self.places for n, locus in enumerate(self.oracle.species.loci))

    def look(self, trait: str, label: str, genotype: Any) -> Fraction:
        if trait != "sex" and not self.bears_on(trait):
            return ONE
        return self.oracle.labels(trait, self.members[genotype]).get(label, Fraction(0))

    def fits(self, pattern: str, genotype: Any) -> bool:
        """Whether what a pattern says of the loci asked about fits."""
        groups = ([pair for pair in group if self.oracle.place(pair) in self.places] for group in words(pattern))
        return all(self.oracle.fits_group(group, self.members[genotype]) for group in groups if group)

    def evidence(self, bird: Any, genotype: Any) -> Fraction:
        return self.once(("evidence", bird.id, genotype), lambda: self._evidence(bird, genotype))

    def _evidence(self, bird: Any, genotype: Any) -> Fraction:
        chance = prod((self.look(trait, label, genotype) for trait, label in bird.shows.items()), start=ONE)
        if bird.genotype is not None:
            chance *= int(self.fits(bird.genotype, genotype))
        if bird.tested is not None and self.names(bird.tested) & set(self.places):
            chance *= 1 - self.test_error if self.fits(bird.tested, genotype) else self.test_error
        return chance

    def counted(self, hatch: Any, held: Mapping[str, Any]) -> Fraction:
        """The chance of all counted chicks, each with parents of its own, when the birds are what ``held`` says."""
        key = (hatch.id, *(held[name] for name in (*hatch.sires, *hatch.dams)))
        return self.once(("counted", *key), lambda: self._counted(hatch, held))

    def _counted(self, hatch: Any, held: Mapping[str, Any]) -> Fraction:
        sires, dams = options(hatch.sire), options(hatch.dam)
        chance = ONE
        for looks, number in hatch.counts:
            one = Fraction(0)
            for (sire, first), (dam, second) in itertools.product(sires.items(), dams.items()):
                for genotype, share in self.chicks(held.get(sire), held.get(dam), None, "hatched").items():
                    seen = prod((self.look(trait, label, genotype) for trait, label in looks.items()), start=ONE)
                    one += first * second * share * seen
            chance *= one**number
        return chance

    def next_hatch(self, sire: str, dam: str) -> Hatch:
        """The eggs that two birds will give, whatever they are."""
        eggs: dict[Bird, Fraction] = defaultdict(Fraction)
        for (one, other), share in self.answer([(sire, dam)]).couples[sire, dam].items():
            for bird, chance in self.oracle.hatch({self.members[one]: ONE}, {self.members[other]: ONE}).eggs.items():
                eggs[bird] += share * chance
        return Hatch(self.oracle, eggs)

    # -- every assignment ----------------------------------------------------------------------------------------------

    def answer(self, couples: Iterable[tuple[str, str]] = ()) -> Answer:
        """Everything, the birds of the couples asked about being alive to be mated."""
        return _Enumeration(self, tuple(couples)).answer()


def options(parent: Any) -> dict[str | None, Fraction]:
    """The birds that may be a parent, with their chances; None is a bird that nobody knows."""
    if parent is None or isinstance(parent, str):
        return {parent: ONE}
    return {name: as_fraction(chance) for name, chance in parent.items()}


def normalised(weights: Mapping[Any, Fraction]) -> Shares:
    total = sum(weights.values(), Fraction(0))
    return {key: weight / total for key, weight in weights.items() if weight}


def mixed(parts: Iterable[tuple[Fraction, Mapping[Any, Fraction]]]) -> Shares:
    made: Shares = defaultdict(Fraction)
    for share, weights in parts:
        for key, weight in weights.items():
            made[key] += share * weight
    return dict(made)


class _Enumeration:
    """A walk through all genotypes (and choices of parents) of one bird after the other, parents first."""

    def __init__(self, flock: FlockOracle, couples: tuple[tuple[str, str], ...]) -> None:
        self.flock = flock
        self.pedigree = flock.pedigree
        records = (*self.pedigree.individuals, *self.pedigree.hatches)
        self.parents = {name for record in records for name in (*record.sires, *record.dams)}
        self.parents.update(name for pair in couples for name in pair)
        self.order = list(parents_first(self.pedigree.individuals))
        self.held: dict[str, Any] = {}
        self.chosen: dict[tuple[str, str], str | None] = {}
        self.found: dict[Any, Shares] = defaultdict(lambda: defaultdict(Fraction))
        self.couples = couples
        at = {bird.id: number for number, bird in enumerate(self.order)}
        self.due: dict[int, list[Any]] = defaultdict(list)
        for hatch in self.pedigree.hatches:
            self.due[max((at[name] for name in (*hatch.sires, *hatch.dams)), default=-1)].append(hatch)

    def answer(self) -> Answer:
        start = prod((self.flock.counted(hatch, {}) for hatch in self.due[-1]), start=ONE)
        total = self.walk(0, start) if start else Fraction(0)
        shares = {key: normalised(weights) for key, weights in self.found.items()}
        return Answer(
            total,
            {name: shares.get(("bird", name), {}) for name in self.pedigree.ids},
            {key[1]: value for key, value in shares.items() if key[0] == "sire"},
            {key[1]: value for key, value in shares.items() if key[0] == "dam"},
            {pair: shares.get(("couple", pair), {}) for pair in self.couples},
        )

    def walk(self, number: int, weight: Fraction) -> Fraction:
        """The chance of everything that comes with the first birds being as they are held."""
        if number == len(self.order):
            for pair in self.couples:
                self.found["couple", pair][tuple(self.held[name] for name in pair)] += weight
            return weight
        bird = self.order[number]
        total = Fraction(0)
        for sire, dam, genotype, share in self.possibilities(bird):
            self.held[bird.id] = genotype
            here = weight * share * self.flock.evidence(bird, genotype)
            if here:
                here *= prod((self.flock.counted(hatch, self.held) for hatch in self.due[number]), start=ONE)
            below = self.walk(number + 1, here) if here else here
            self.found["bird", bird.id][genotype] += below
            self.found["sire", bird.id][sire] += below
            self.found["dam", bird.id][dam] += below
            total += below
        return total

    def possibilities(self, bird: Any) -> Iterator[tuple[Any, Any, Any, Fraction]]:
        """Every sire, dam and genotype that a bird may have, given the birds held."""
        stage = "breeding" if bird.id in self.parents else "hatched"
        if bird.sire is None and bird.dam is None:
            founders = self.flock.founders(bird.id, bird.sex, stage)
            yield from ((None, None, genotype, share) for genotype, share in founders.items())
            return
        for (sire, first), (dam, second) in itertools.product(options(bird.sire).items(), options(bird.dam).items()):
            row = self.flock.chicks(self.held.get(sire), self.held.get(dam), bird.sex, stage)
            yield from ((sire, dam, genotype, first * second * share) for genotype, share in row.items())


def parents_first(individuals: Sequence[Any]) -> Iterator[Any]:
    """The birds with parents before chicks."""
    waiting, placed = list(individuals), set()
    while waiting:
        bird = next(one for one in waiting if placed.issuperset((*one.sires, *one.dams)))
        waiting.remove(bird)
        placed.add(bird.id)
        yield bird
