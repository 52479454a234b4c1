"""Two parents and the chicks that are asked about: what the questions need, and what came of them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather.crosses.meiosis import kinds
from pinfeather.crosses.observing import Chain, Found, Observer, Segment, Table, observe
from pinfeather.crosses.parents import Parent, Piece, PointBlock, multiplied_out
from pinfeather.errors import TooLargeError
from pinfeather.exact.symbolic import Weight, WeightRing
from pinfeather.exact.ties import Ties
from pinfeather.heredity.genotypes import BlockPair, Genotype, Haplotype, Layout, check_same_species, in_order
from pinfeather.heredity.notation import ANY
from pinfeather.heredity.patterns import Pattern
from pinfeather.heredity.sexes import SEXES, Sex, copies, hands_on, read_sex
from pinfeather.heredity.traits import SEX
from pinfeather.heredity.viability import Caution, Viability

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species

Alive: TypeAlias = Literal["fertilised", "hatched", "breeding"]
_STAGES: Mapping[str, tuple[str, ...]] = {
    "fertilised": (),
    "hatched": ("embryo",),
    "breeding": ("embryo", "chick", "adult"),
}
_CHAIN_FROM = 64
_LARGEST_TABLE = 4_000_000


@attrs.frozen
class Question:
    """What is asked of chicks: genotypes at some loci, labels of some traits, and whether the sexes are kept apart."""

    genotypes: frozenset[int] = frozenset()
    shown: tuple[str, ...] = ()
    by_sex: bool = False


@attrs.frozen
class Kept:
    """Which chicks are meant: of which sexes, fitting which patterns, showing which looks."""

    sexes: tuple[Sex, ...] = SEXES
    patterns: tuple[Pattern, ...] = ()
    looks: tuple[tuple[str, frozenset[str]], ...] = ()

    @property
    def is_everything(self) -> bool:
        """Whether no chick is left out."""
        return self == Kept()

    def narrowed(
        self, species: Species, genotype: str | Pattern | Genotype | None, shows: Any, sex: str | None
    ) -> Kept:
        """These chicks, as far as they also fit a genotype, a look and a sex."""
        sexes, patterns, looks = self.sexes, self.patterns, dict(self.looks)
        if genotype is not None:
            pattern = species.pattern(genotype)
            check_same_species(species, pattern.species)
            patterns = patterns if pattern in patterns else (*patterns, pattern)
        wish = {} if shows is None else _checks.mapping(shows, "shows", "{'comb': 'rose'}")
        for trait, label in wish.items():
            name = species.trait_name(trait)
            wanted = _labels(species, name, label)
            if name == SEX:
                sexes = tuple(one for one in sexes if one in wanted)
            else:
                looks[name] = looks.get(name, wanted) & wanted
        if sex is not None:
            only = read_sex(sex)
            sexes = tuple(one for one in sexes if one == only)
        return Kept(sexes, patterns, tuple(looks.items()))

    def parameters(self, species: Species) -> tuple[Expr, ...]:
        """The symbolic penetrances of the looks."""
        return tuple(value for name, _ in self.looks for value in species.reading(name).trait.parameters)

    def words(self) -> str:
        """What was kept, in words; empty where all were."""
        parts = [] if self.sexes == SEXES else [" and ".join(self.sexes) or "of neither sex"]
        parts += [str(pattern) for pattern in self.patterns]
        parts += [f"{name}: {' or '.join(sorted(labels))}" for name, labels in self.looks]
        return ", ".join(parts)


def _labels(species: Species, trait: str, label: Any) -> frozenset[str]:
    """One label, or several, of a trait."""
    if isinstance(label, str):
        labels: tuple[str, ...] = (label,)
    else:
        labels = _checks.texts(label, f"shows[{trait!r}]")
    known = species.labels_of(trait)
    for one in labels:
        if one not in known:
            _checks.unknown("label", one, known, f"trait {trait!r}")
    return frozenset(labels)


@attrs.frozen(eq=False, slots=False)
class Couple:
    """A sire and a dam, drawn independently."""

    sire: Parent
    dam: Parent

    @property
    def species(self) -> Species:
        """The species of both."""
        return self.sire.species

    def __str__(self) -> str:
        return f"{self.sire} x {self.dam}"

    @cached_property
    def parameters(self) -> tuple[Expr, ...]:
        """The symbolic numbers that the chicks' chances hold."""
        linked = [
            fraction
            for group in self.species.linkage
            if self._mixed_at_several(group.loci)
            for interval in (*group.recombination, *group.pairs.values())
            for fraction in interval
            if fraction is not None and not fraction.is_Rational
        ]
        survivals = [e.survival for _, e in self._harmful("breeding") if not e.survival.is_Rational]
        return (*linked, *survivals, *self.sire.parameters, *self.dam.parameters)

    def _mixed_at_several(self, symbols: Iterable[str]) -> bool:
        """Whether recombination between these loci can matter."""
        places = [self.species.place_of(symbol) for symbol in symbols]
        return sum(self.tells(place) and len(self.possible(place)) > 1 for place in places) > 1

    def tells(self, place: int) -> bool:
        """Whether both parents tell a locus."""
        return self.sire.tells(place) and self.dam.tells(place)

    def check_told(self, places: Iterable[int]) -> None:
        """Refuse a question about a locus that a parent does not tell."""
        for place in places:
            for role, parent in (("sire", self.sire), ("dam", self.dam)):
                if not parent.tells(place):
                    symbol = self.species.loci[place].symbol
                    known = [locus.symbol for at, locus in enumerate(self.species.loci) if self.tells(at)]
                    _checks.unknown("locus", symbol, known, f"what the {role}'s genotype tells")

    def possible(self, place: int) -> frozenset[int]:
        """The alleles that a chick may have at a locus."""
        known = self._possible
        if place not in known:
            known[place] = self.sire.possible(place) | self.dam.possible(place)
        return known[place]

    @cached_property
    def _possible(self) -> dict[int, frozenset[int]]:
        return {}

    def may_give(self, pattern: Pattern) -> bool:
        """Whether a pattern's alleles are there at all; when not, no chick can fit it."""
        return all(
            self.tells(place) and all(slot in (ANY, None) or slot in self.possible(place) for slot in (left, right))
            for item in pattern.items
            for place, left, right in zip(item.loci, item.left, item.right, strict=True)
        )

    def _harmful(self, alive: str) -> list[tuple[Pattern, Viability]]:
        """The viability rules of the stages lived through that this mating may meet."""
        return [(pattern, entry) for pattern, entry in self._possible_harm if entry.stage in _STAGES[alive]]

    @cached_property
    def _possible_harm(self) -> list[tuple[Pattern, Viability]]:
        return [(p, e) for p, e in self.species.viable_patterns if e.survival != 1 and self.may_give(p)]

    # -- asking ------------------------------------------------------------------------------------------------------

    def found(self, question: Question, kept: Kept, alive: str, sex: Sex, ring: WeightRing) -> list[Found]:
        """What is found in the chicks of one sex that are kept and alive, in independent parts.

        The observers of ``question.shown`` come first, so a part's ``shows`` counts them in that order.
        """
        observers = self._observers(question, kept, alive, ring)
        shown = [number < len(question.shown) for number in range(len(observers))]
        places = {place for observer in observers for place in observer.machine.loci} | question.genotypes
        self.check_told(sorted(places))
        segments = self.segments(places, question.genotypes, sex, ring)
        return observe(segments, observers, shown, question.genotypes, sex, ring)

    def weight(self, kept: Kept, alive: str, ring: WeightRing) -> tuple[Weight, Weight]:
        """The weight of the chicks kept and alive, and what it is out of: all fertilised eggs."""
        question = Question()
        if kept.sexes == SEXES and self.sexes_alike(question, kept, alive):
            return self._weight_in(kept, alive, "male", ring)
        weight: Weight = 0
        total: Weight = 1
        for sex in kept.sexes:
            own, own_total = self._weight_in(kept, alive, sex, ring)
            weight, total = weight * own_total + own * total, total * own_total
        return weight, 2 * total

    def _weight_in(self, kept: Kept, alive: str, sex: Sex, ring: WeightRing) -> tuple[Weight, Weight]:
        weight: Weight = 1
        total: Weight = 1
        for part in self.found(Question(), kept, alive, sex, ring):
            weight, total = weight * part.weight, total * part.total
        return weight, total

    def sexes_alike(self, question: Question, kept: Kept, alive: str) -> bool:
        """Whether chicks of both sexes answer the question alike, so that one sex is enough."""
        machines = [self.species.reading(name).machine for name in question.shown]
        machines += [pattern.machine for pattern in kept.patterns]
        machines += [self.species.reading(name).machine for name, _ in kept.looks]
        machines += [pattern.machine for pattern, _ in self._harmful(alive)]
        if any(machine.start["male"] != machine.start["female"] for machine in machines):
            return False
        places = question.genotypes.union(*(machine.loci for machine in machines))
        return not is_sexed(self.species, places)

    def _observers(self, question: Question, kept: Kept, alive: str, ring: WeightRing) -> list[Observer]:
        looks = dict(kept.looks)
        names = (*question.shown, *(name for name in looks if name not in question.shown))
        observers = [_label_observer(self.species, name, looks.get(name), ring) for name in names]
        observers += [Observer(part.machine, (((None, 1),), ())) for p in kept.patterns for part in p.parts]
        for pattern, entry in self._harmful(alive):
            (survive,), total = ring.whole([entry.survival])
            some = ((None, survive),) if survive else ()
            observers.append(Observer(pattern.machine, (some, ((None, total),)), total))
        return observers

    # -- segments ------------------------------------------------------------------------------------------------------

    def segments(
        self, places: Collection[int], written_out: Collection[int], sex: Sex, ring: WeightRing
    ) -> list[Segment]:
        """The chicks of one sex at some loci, as independent segments."""
        from_sire = self.sire.pieces(places, sex, ring)
        from_dam = self.dam.pieces(places, sex, ring)
        segments: list[Segment] = []
        for blocks, sire_pieces, dam_pieces in _together(self.species.layout_of(places), from_sire, from_dam):
            chain = self._chain(blocks, sire_pieces, dam_pieces, sex)
            if chain is not None and not set(chain.block) & set(written_out):
                segments.append(chain)
            else:
                sire_table, sire_total = multiplied_out(sire_pieces, blocks, self.species, "male", sex, ring)
                dam_table, dam_total = multiplied_out(dam_pieces, blocks, self.species, "female", sex, ring)
                segments.append(_table(blocks, sire_table, dam_table, sire_total * dam_total))
        return segments

    def _chain(
        self, blocks: Layout, sire_pieces: Sequence[Piece], dam_pieces: Sequence[Piece], sex: Sex
    ) -> Chain | None:
        """A chain, where both parents' homologues of a block are known and writing them out would be long."""
        if len(blocks) > 1 or len(sire_pieces) != 1 or len(dam_pieces) != 1:
            return None
        sire, dam = sire_pieces[0], dam_pieces[0]
        if not isinstance(sire, PointBlock) or not isinstance(dam, PointBlock):
            return None
        pairs = []
        for parent, piece in (("male", sire), ("female", dam)):
            chromosome = self.species.loci[piece.block[0]].chromosome
            given = hands_on(chromosome, "male" if parent == "male" else "female", sex, self.species.sex_system)
            pairs.append(piece.pair if given else (None, None))
        if kinds(pairs[0]) * kinds(pairs[1]) < _CHAIN_FROM:
            return None
        return Chain(self.species, blocks[0], pairs[0], pairs[1])


def _label_observer(species: Species, name: str, allowed: frozenset[str] | None, ring: WeightRing) -> Observer:
    """The observer of a trait's label, with chicks of other labels than the allowed ones dropped."""
    reading = species.reading(name)
    weights, total = ring.whole(reading.chances)
    position = 0
    ends = []
    for shown in reading.shows:
        own = weights[position : position + len(shown)]
        position += len(shown)
        ends.append(
            tuple(
                (label, weight)
                for (label, _), weight in zip(shown, own, strict=True)
                if allowed is None or reading.labels[label] in allowed
            )
        )
    return Observer(reading.machine, (*ends, ()), total)


def _together(
    layout: Layout, from_sire: Sequence[Piece], from_dam: Sequence[Piece]
) -> Iterator[tuple[Layout, list[Piece], list[Piece]]]:
    """Blocks that depend on each other through either parent, with what both parents give of them."""
    ties: Ties[tuple[int, ...]] = Ties()
    for piece in (*from_sire, *from_dam):
        ties.tie(_blocks_of(piece))
    groups: dict[tuple[int, ...], tuple[list[tuple[int, ...]], list[Piece], list[Piece]]] = {}
    for block in layout:
        groups.setdefault(ties.leader(block), ([], [], []))[0].append(block)
    for which, pieces in ((1, from_sire), (2, from_dam)):
        for piece in pieces:
            group: Any = groups[ties.leader(_blocks_of(piece)[0])]
            group[which].append(piece)
    for blocks_together, sire_pieces, dam_pieces in groups.values():
        yield tuple(blocks_together), sire_pieces, dam_pieces


def _blocks_of(piece: Piece) -> Layout:
    return (piece.block,) if isinstance(piece, PointBlock) else piece.layout


def _table(
    blocks: Layout,
    sire: Mapping[tuple[Haplotype, ...], Weight],
    dam: Mapping[tuple[Haplotype, ...], Weight],
    total: Weight,
) -> Table:
    size = len(sire) * len(dam)
    if size > _LARGEST_TABLE:
        message = (
            f"loci that depend on each other give {size:,} combinations of gametes, more than {_LARGEST_TABLE:,}; ask "
            "about fewer loci at a time, or keep chicks by fewer traits"
        )
        raise TooLargeError(message, size=size, limit=_LARGEST_TABLE)
    rows: dict[tuple[BlockPair, ...], Weight] = {}
    for from_sire, weight in sire.items():
        for from_dam, factor in dam.items():
            key = tuple(map(in_order, zip(from_sire, from_dam, strict=True)))
            rows[key] = rows.get(key, 0) + weight * factor
    return Table(blocks, tuple(rows.items()), total)


def is_sexed(species: Species, places: Iterable[int]) -> bool:
    """Whether the sexes differ in what they have at some of these loci."""
    numbers = {
        tuple(copies(species.loci[place].chromosome, sex, species.sex_system) for sex in SEXES) for place in places
    }
    return any(male != female for male, female in numbers)


def all_cautions(species: Species) -> Iterator[tuple[Pattern, Caution]]:
    """The cautions of a species, and one for each harmful genotype that none of them names."""
    spoken = {caution.pattern for caution in species.cautions}
    yield from species.cautioned_patterns
    for pattern, entry in species.viable_patterns:
        if entry.pattern not in spoken and entry.survival != 1:
            spoken.add(entry.pattern)
            yield pattern, Caution(entry.pattern, f"{entry.in_words()}.", entry.sources)
