"""What is on record of a bird, as a weight for each genotype that it may have."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather._results import Record as PlainRecord
from pinfeather._results import ShownRow
from pinfeather.errors import ArgumentError
from pinfeather.exact.numbers import between, exact, probability
from pinfeather.exact.symbolic import Weight, WeightRing
from pinfeather.heredity.matching import Machine, Pair, Rule
from pinfeather.heredity.notation import Item
from pinfeather.heredity.patterns import Pattern
from pinfeather.heredity.sexes import Sex, copies
from pinfeather.pedigree.genotype_space import GenotypeSpace, Kind

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species
    from pinfeather.pedigree.individuals import Individual
    from pinfeather.pedigree.pedigree import Pedigree

Frequencies: TypeAlias = "dict[int, tuple[Expr, ...]]"
Vector: TypeAlias = "tuple[tuple[Weight, ...], int]"
"""A weight for each state of some kind of bird, and what they are out of."""


@attrs.frozen
class Record(ShownRow):
    """One thing that is on record: of which bird or hatch, in which field, and what.

    ``part`` is the trait of a look, ``"sire"`` or ``"dam"``, or the number of a hatch's count.

    Examples
    --------
    >>> from pinfeather.pedigree import Record
    >>> record = Record("Wren", "shows", "lavender", "Wren shows lavender: lavender")
    >>> print(record)
    Wren shows lavender: lavender
    >>> record.subject, record.field
    ('Wren', 'shows')
    """

    subject: str
    field: str
    part: str
    text: str

    def __str__(self) -> str:
        return self.text

    def _record(self) -> PlainRecord:
        return {"subject": self.subject, "field": self.field, "part": self.part, "record": self.text}


@attrs.frozen(eq=False)
class Reader:
    """Turns records into weights, at the loci asked about, everything else being the background."""

    space: GenotypeSpace
    background: Mapping[int, int]
    test_error: Expr
    _known: dict[Any, Vector | None] = attrs.field(factory=dict)

    def look(self, trait: str, labels: Collection[str], kind: Kind) -> Vector | None:
        """The weights of a look; None where it says nothing about these loci."""
        species = self.space.species
        name = species.trait_name(trait)
        key = ("look", name, tuple(sorted(labels)), kind)
        if key not in self._known:
            machine = species.reading(name).machine
            says = not set(machine.loci).isdisjoint(self.space.places)
            self._known[key] = self._look(name, labels, kind) if says else None
        return self._known[key]

    def pattern(self, text: str, kind: Kind) -> Vector | None:
        """The weights of a genotype known for certain; None where it says nothing about these loci."""
        key = ("pattern", text, kind)
        if key not in self._known:
            items = projected(self.space.species.pattern(text), self.space.places)
            self._known[key] = self._fits(items, kind) if items else None
        return self._known[key]

    def test(self, text: str, kind: Kind) -> Vector | None:
        """The weights of a DNA result, which is true with probability 1 - error."""
        sure = self.pattern(text, kind)
        if sure is None or self.test_error == 0:
            return sure
        (wrong, right), total = self.space.ring.whole([self.test_error, 1 - self.test_error])
        return tuple(right if weight else wrong for weight in sure[0]), total

    def survival(self, stages: Collection[str], kind: Kind) -> Vector | None:
        """The share of each genotype that lives through some stages; None where all do."""
        key = ("survival", tuple(stages), kind)
        if key not in self._known:
            self._known[key] = self._survival(stages, kind)
        return self._known[key]

    def bird(self, bird: Individual, kind: Kind, dropped: Collection[Record]) -> list[Vector]:
        """Everything on record of one bird, but for the records dropped."""
        gone = {(record.field, record.part) for record in dropped if record.subject == bird.id}
        found = [self.look(t, (label,), kind) for t, label in bird.shows.items() if ("shows", t) not in gone]
        if bird.genotype is not None and ("genotype", "") not in gone:
            found.append(self.pattern(bird.genotype, kind))
        if bird.tested is not None and ("tested", "") not in gone:
            found.append(self.test(bird.tested, kind))
        return [vector for vector in found if vector is not None]

    # -- inside ------------------------------------------------------------------------------------------------------

    def pairs(self, state: Any, loci: Sequence[int]) -> dict[int, Pair]:
        """The alleles at some loci in a bird of one state: asked about, or background."""
        pairs = self.space.pairs_at(state)
        for place in loci:
            if place not in pairs:
                pairs[place] = self._background_pair(place, state[0])
        return pairs

    def _background_pair(self, place: int, sex: Sex) -> Pair:
        species = self.space.species
        allele = self.background.get(place)
        wild = species.wild_allele(place) if allele is None else allele
        number = copies(species.loci[place].chromosome, sex, species.sex_system)
        return (wild if number > 0 else None, wild if number > 1 else None)

    def _look(self, name: str, labels: Collection[str], kind: Kind) -> Vector:
        species = self.space.species
        reading = species.reading(name)
        wanted = {reading.labels.index(label) for label in labels}
        weights, total = self.space.ring.whole(reading.chances)
        at = iter(weights)
        by_rule = [
            sum((w for (label, _), w in [(shown, next(at)) for shown in shows] if label in wanted), 0)
            for shows in reading.shows
        ]
        made = []
        for state in self.space.states[kind]:
            rule = reading.machine.read(state[0], self.pairs(state, reading.machine.loci))
            made.append(by_rule[rule] if rule is not None else 0)
        if not any(made):
            self._refuse_background(name, labels, reading.machine.loci)
        return tuple(made), total

    def _refuse_background(self, name: str, labels: Collection[str], loci: Sequence[int]) -> None:
        species = self.space.species
        other = [species.loci[place].symbol for place in loci if place not in self.space.places]
        if not other:
            return
        asked = " ".join(species.loci[place].symbol for place in self.space.places)
        message = (
            f"{name} {' or '.join(sorted(labels))} cannot be shown by any genotype at {asked} while {' '.join(other)} "
            "stay as the background has them; ask for those loci too, or say with background= what the flock has there"
        )
        raise ArgumentError(message, argument="background", value=None)

    def _fits(self, items: tuple[Item, ...], kind: Kind, sex: Sex | None = None) -> Vector:
        machine = Machine.of((Rule(items, sex),), self.space.species.loci)
        fits = (
            machine.read(state[0], self.pairs(state, machine.loci)) is not None for state in self.space.states[kind]
        )
        return tuple(int(fit) for fit in fits), 1

    def _survival(self, stages: Collection[str], kind: Kind) -> Vector | None:
        species = self.space.species
        asked = set(self.space.places)
        vector: list[Weight] = [1] * len(self.space.states[kind])
        total = 1
        for pattern, entry in species.viable_patterns:
            if entry.stage in stages and entry.survival != 1 and not asked.isdisjoint(pattern.machine.loci):
                (survive,), own = self.space.ring.whole([entry.survival])
                fits = self._fits(pattern.items, kind, pattern.sex)[0]
                vector = [w * (survive if fit else own) for w, fit in zip(vector, fits, strict=True)]
                total *= own
        return None if all(weight == total for weight in vector) else (tuple(vector), total)


def projected(pattern: Pattern, places: Sequence[int]) -> tuple[Item, ...]:
    """What a pattern says of some loci."""
    made = []
    for item in pattern.items:
        inside = [at for at, place in enumerate(item.loci) if place in places]
        if inside:
            left, right = (tuple(side[at] for at in inside) for side in (item.left, item.right))
            made.append(Item(tuple(item.loci[at] for at in inside), left, right))
    return tuple(made)


def read_background(species: Species, text: str | None, places: Sequence[int]) -> dict[int, int]:
    """The alleles that the whole flock is taken to be pure for, at loci not asked about."""
    if text is None:
        return {}
    found: dict[int, int] = {}
    for item in species.pattern(text).items:
        for place, left, right in zip(item.loci, item.left, item.right, strict=True):
            symbol = species.loci[place].symbol
            if left is None or left < 0 or right not in (left, None):
                _checks.refuse("background", text, f"must be pure at {symbol}, such as Lav+/Lav+")
            if place in places:
                _checks.refuse("background", text, f"{symbol} is one of the loci asked about")
            found[place] = left
    return found


def read_frequencies(
    pedigree: Pedigree, places: Sequence[int], given: Any
) -> tuple[Frequencies, dict[str, Frequencies]]:
    """Allele frequencies of founders in general, and of some by name."""
    species = pedigree.species
    equal = {p: (exact(1) / len(species.loci[p].alleles),) * len(species.loci[p].alleles) for p in places}
    general: Frequencies = dict(equal)
    named: list[tuple[tuple[str, ...], Any]] = []
    loci = [name for locus in species.loci for name in (locus.symbol, locus.name)]
    for key, value in _checks.mapping({} if given is None else given, "allele_frequencies").items():
        if isinstance(key, str) and key not in pedigree:
            if key not in loci:
                _checks.unknown("locus or bird", key, [*loci, *pedigree.ids], "allele_frequencies")
            general.update(_locus_frequencies(species, key, value, places))
        else:
            names = (key,) if isinstance(key, str) else _checks.texts(key, "allele_frequencies")
            named.append((names, value))
    special: dict[str, Frequencies] = {}
    for names, value in named:
        for name in names:
            if name not in pedigree:
                _checks.unknown("bird", name, pedigree.ids, "allele_frequencies")
            own = dict(special.get(name, general))
            for locus, frequencies in _checks.mapping(value, f"allele_frequencies[{name!r}]").items():
                own.update(_locus_frequencies(species, locus, frequencies, places))
            special[name] = own
    return general, special


def _locus_frequencies(species: Species, locus: str, given: Any, places: Sequence[int]) -> Frequencies:
    """The frequencies of one locus's alleles; those not named share what is left equally."""
    place = species.place_of(locus)
    symbols = species.loci[place].symbols
    read: dict[str, Expr] = {}
    for symbol, value in _checks.mapping(given, f"allele_frequencies[{locus!r}]").items():
        if symbol not in symbols:
            _checks.unknown("allele", str(symbol), symbols, f"locus {species.loci[place].symbol}")
        read[symbol] = probability(value, f"frequency of {symbol}")
    rest = (1 - sum(read.values(), exact(0))).expand()
    missing = [symbol for symbol in symbols if symbol not in read]
    if rest.is_negative or (not missing and rest != 0):
        message = f"the allele frequencies at {species.loci[place].symbol} sum to {1 - rest}, not to 1"
        raise ArgumentError(message, argument="allele_frequencies", value=str(given))
    if place not in places:
        return {}
    return {place: tuple(read[s] if s in read else rest / len(missing) for s in symbols)}


def read_test_error(value: Any) -> Expr:
    """The chance that a DNA result is wrong: at least 0, below 1/2."""
    error = between(value, "test_error", 0, "1/2")
    if error == exact("1/2"):
        _checks.refuse("test_error", value, "a test that is wrong half the time says nothing; give less than 1/2")
    return error


def ring_for(
    space_parameters: Sequence[Expr], species: Species, reader_values: Sequence[Expr], traits: Collection[str]
) -> WeightRing:
    """The ring of all numbers that a calculation needs."""
    shown = [value for name in traits for value in species.reading(name).trait.parameters]
    survivals = [entry.survival for _, entry in species.viable_patterns]
    return WeightRing.of([*space_parameters, *reader_values, *shown, *(s for s in survivals if not s.is_Rational)])
