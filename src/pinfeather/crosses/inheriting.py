"""How loci are inherited, in words: what either parent hands on, and what meets in the chicks."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING

import attrs

from pinfeather.crosses.breeding import is_sexed
from pinfeather.crosses.handing import HandedOn, decides_sex, handed_on
from pinfeather.crosses.offspring import Offspring
from pinfeather.crosses.parents import KeptChick, OneBird, OneOfSeveral, Parent, block_pair
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.symbolic import WeightRing
from pinfeather.heredity.genotypes import Genotype, Layout, in_order

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species

KEEP = "\N{NO-BREAK SPACE}"
"""Stands between words that must not be parted at the end of a line."""

_MOST_GAMETES = 16
_MOST_MEETINGS = 32
_MOST_GENOTYPES = 10


@attrs.frozen(eq=False)
class Unit:
    """Loci that have to be reckoned together: one locus, some linked ones, or several that a class of birds ties."""

    eggs: Offspring
    layout: Layout
    sire: HandedOn
    dam: HandedOn

    @property
    def species(self) -> Species:
        """The species of the mating."""
        return self.eggs.species

    @property
    def places(self) -> tuple[int, ...]:
        """The loci of the unit."""
        return tuple(place for block in self.layout for place in block)

    @property
    def symbols(self) -> list[str]:
        """Their symbols."""
        return [self.species.loci[place].symbol for place in self.places]

    @property
    def is_sexed(self) -> bool:
        """Whether the sexes differ in what they have there."""
        return is_sexed(self.species, self.places)

    @property
    def is_large(self) -> bool:
        """Whether gametes meet in too many ways to be written out."""
        return len(self.sire.gametes) * len(self.dam.gametes) > _MOST_MEETINGS

    def genotypes(self) -> Distribution[Genotype]:
        """The fertilised eggs at these loci."""
        return self.eggs.genotypes(*self.symbols)

    def in_words(self) -> list[str]:
        """The inheritance of these loci: where they lie, what is handed on, and the sums of products."""
        couple = self.eggs.couple
        texts = [
            f"{self._heading()} {self._handing(couple.sire, 'sire', self.sire)} "
            f"{self._handing(couple.dam, 'dam', self.dam)}"
        ]
        return [*texts, *self._products()]

    def _heading(self) -> str:
        names = " and ".join(f"{self.species.loci[p].symbol} ({self.species.loci[p].name})" for p in self.places)
        chromosomes = {self.species.loci[place].chromosome for place in self.places}
        where = " and ".join(sorted(_WHERE[chromosome] for chromosome in chromosomes))
        if chromosomes == {"autosome"} and len(self.layout) > 1:
            where = "on autosomes"
        verb = "lie" if len(self.places) > 1 else "lies"
        heading = f"{names} {verb} {where}."
        for chromosome in sorted(chromosomes & set("ZWXY")):
            heading += f" {_RULES[chromosome]}"
        if len(self.layout) > 1:
            heading += " The class that a parent was taken from ties these loci, so they are reckoned together."
        return heading + self._linkage()

    def _linkage(self) -> str:
        """How linked loci part, in the parents in which that matters."""
        linked = [block for block in self.layout if len(block) > 1]
        if not linked:
            return ""
        text = " Loci on one chromosome travel together unless a crossover parts them."
        said = []
        for parent, role in ((self.eggs.couple.sire, "sire"), (self.eggs.couple.dam, "dam")):
            for block in linked:
                said += _crossovers(parent, role, block)
        if not said:
            return (
                text + " Neither parent has different alleles at two of them, so how often they part has no say here."
            )
        return f"{text} {' '.join(said)}"

    def _handing(self, parent: Parent, role: str, given: HandedOn) -> str:
        has = self._has(parent)
        gametes = list(zip(given.gametes.items(), given.sexes, strict=True))
        if all(set(gamete.haplotypes) == {None} for (gamete, _), _ in gametes):
            return f"The {role} hands on none."
        if len(gametes) == 1:
            return f"The {role} is {has} and hands on {gametes[0][0][0]} to every chick."
        if len(gametes) > _MOST_GAMETES:
            return f"The {role} is {has} and hands on {len(gametes)} kinds of gamete."
        parts = []
        for (gamete, share), sex in gametes:
            to = f" (to {sex}s)" if sex is not None else ""
            parts.append(f"{str(gamete).replace(' ', KEEP)} {share}{to}")
        return f"The {role} is {has} and hands on {', '.join(parts)}."

    def _has(self, parent: Parent) -> str:
        """What a parent has at these loci."""
        if isinstance(parent, OneBird):
            return str(parent.genotype.restricted_to(*self.symbols))
        kinds = _kinds(parent, self.symbols)
        if len(kinds) > _MOST_GENOTYPES:
            return f"one of {len(kinds)} kinds"
        if len(kinds) == 1:
            return str(next(iter(kinds)))
        return " or ".join(f"{bird} ({share})" for bird, share in kinds.items())

    def _products(self) -> list[str]:
        """For each genotype of the chicks, the products of gamete fractions that make it."""
        if self.is_large:
            meetings = len(self.sire.gametes) * len(self.dam.gametes)
            return [f"They meet in {meetings} ways; a genotype is the sum of the products of the gametes that make it."]
        terms: dict[Genotype, list[str]] = {}
        totals = self.genotypes()
        for row, (gamete, share) in zip(self.sire.sexes, self.sire.gametes.items(), strict=True):
            for column, (other, factor) in zip(self.dam.sexes, self.dam.gametes.items(), strict=True):
                pairs = tuple(map(in_order, zip(gamete.haplotypes, other.haplotypes, strict=True)))
                bird = Genotype(self.species, gamete.layout, pairs, row or column)
                terms.setdefault(bird, []).append(_product([share, factor]))
        texts = []
        for bird, total in totals.items():
            sex = f" ({bird.sex})" if bird.sex is not None else ""
            worked = " + ".join(terms[bird])
            texts.append(f"|{bird}{sex}: {total}" if worked == str(total) else f"|{bird}{sex}: {worked} = {total}")
        return texts


_WHERE = {
    "autosome": "on an autosome",
    "Z": "on the Z chromosome",
    "W": "on the W chromosome",
    "X": "on the X chromosome",
    "Y": "on the Y chromosome",
    "mitochondrion": "in the mitochondria, which only the dam hands on",
}
_RULES = {
    "Z": (
        "A male has two Z and gives one to every chick; a female has one, which she gives to her sons, and a W, which "
        "she gives to her daughters: so a daughter has her single copy from her sire."
    ),
    "W": "Only females have a W; it goes from dam to daughters.",
    "X": (
        "A female has two X and gives one to every chick; a male has one, which he gives to his daughters, and a Y, "
        "which he gives to his sons."
    ),
    "Y": "Only males have a Y; it goes from sire to sons.",
}


def units_of(eggs: Offspring, places: Sequence[int], ring: WeightRing) -> list[Unit]:
    """The units that some loci fall into, in map order.

    Raises
    ------
    DefinitionError
        If a recombination fraction is needed that is not known.
    """
    if not places:
        return []
    couple = eggs.couple
    segments = couple.segments(places, places, "male", ring)
    layouts = [segment.layout for segment in segments if hasattr(segment, "layout")]
    units = []
    for layout in layouts:
        inside = [place for block in layout for place in block]
        units.append(Unit(eggs, layout, handed_on(couple.sire, inside, ring), handed_on(couple.dam, inside, ring)))
    return units


def multiplied(eggs: Offspring, units: Sequence[Unit]) -> list[str]:
    """How independent units combine, with one product as an example."""
    if len(units) < 2:
        return []
    groups = ", ".join(" with ".join(unit.symbols) for unit in units)
    text = f"{groups}: these {len(units)} are inherited independently of each other, so any combination is a product."
    sexed = [unit for unit in units if unit.is_sexed]
    if len(sexed) > 1:
        return [text + " Where several lie on sex chromosomes, the product holds within each sex."]
    if any(unit.is_large for unit in units):
        return [text]
    number = 1
    chosen: list[tuple[Genotype, Expr]] = []
    for unit in units:
        birds = unit.genotypes()
        number *= len(birds)
        chosen.append(next(iter(birds.items())))
    total = eggs.fraction(sex=None)
    for _, share in chosen:
        total = total * share
    names = ", ".join(f"{bird}{f' ({bird.sex})' if bird.sex else ''}" for bird, _ in chosen)
    worked = " x ".join(bracketed(share) for _, share in chosen)
    example = f"a chick that has {names}, for one, comes in {worked} = {total.expand()}"
    return [f"{text} {number} genotypes are possible; {example}."]


def _crossovers(parent: Parent, role: str, block: Sequence[int]) -> list[str]:
    """How often neighbouring loci part in a parent, where it has different alleles at two of them or more."""
    species = parent.species
    mixed: dict[tuple[int, ...], dict[str, None]] = {}
    for bird in _birds(parent, block):
        left, right = block_pair(bird, block)
        if left is not None and right is not None:
            different = tuple(p for p, a, b in zip(block, left, right, strict=True) if a != b)
            if len(different) > 1:
                symbols = [species.loci[place].symbol for place in different]
                mixed.setdefault(different, {})[str(bird.restricted_to(*symbols))] = None
    said = []
    for different, homologues in mixed.items():
        for first, second in itertools.pairwise(different):
            share = species.fraction_between(first, second, parent.sex)
            one, other = species.loci[first].symbol, species.loci[second].symbol
            said.append(f"In the {role} {one} and {other} part in {share} of gametes.")
            if len(different) == 2 and share is not None:
                said += [_two_linked(text, share) for text in homologues]
        if len(different) > 2:
            said.append("A crossover in one stretch is taken not to disturb the next.")
    if not said and decides_sex(parent) and species.loci[block[0]].chromosome in ("Z", "X"):
        said.append(f"The {role} has a single copy, in which nothing can part.")
    return said


def _two_linked(text: str, share: Expr) -> str:
    """What two linked loci give, from the homologues of a bird written with one slash."""
    left, right = text.replace(" ", KEEP).split("/")
    together = ((1 - share) / 2).expand()
    apart = (share / 2).expand()
    return (
        f"Homologues {left} and {right} are each handed on whole in (1 - {share}) / 2 = {together}, and either new "
        f"combination (a recombinant) comes in {share} / 2 = {apart}."
    )


def _birds(parent: Parent, block: Sequence[int]) -> list[Genotype]:
    if isinstance(parent, OneBird):
        return [parent.genotype]
    if isinstance(parent, OneOfSeveral):
        return list(parent.birds)
    symbols = [parent.species.loci[place].symbol for place in block]
    return [bird.with_sex(parent.sex) for bird in _kinds(parent, symbols)]


def _kinds(parent: Parent, symbols: Sequence[str]) -> Distribution[Genotype]:
    """The genotypes that a parent out of a class may have at some loci, with their chances."""
    if isinstance(parent, KeptChick):
        return parent.hatch.genotypes(*symbols)
    assert isinstance(parent, OneOfSeveral)  # a bird of known genotype is seen to by the callers
    chances = dict(zip(parent.birds, parent.chances, strict=True))
    return Distribution.of(chances).map(lambda bird: bird.restricted_to(*symbols))


def _product(factors: Sequence[Expr]) -> str:
    """A product in words, without the factors that are 1."""
    told = [bracketed(factor) for factor in factors if factor != 1]
    return " x ".join(told) or "1"


def bracketed(value: Expr) -> str:
    """A value as a factor of a product: a sum stands in brackets."""
    return f"({value})" if value.is_Add else str(value)
