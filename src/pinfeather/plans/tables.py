"""What each pairing of one's birds would bring, given all that is recorded."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.crosses.breeding import all_cautions
from pinfeather.crosses.mating import cross
from pinfeather.errors import ImpossibleError
from pinfeather.exact.numbers import exact, fraction_of
from pinfeather.exact.symbolic import Weight, WeightRing
from pinfeather.hatches.wants import certainty_below_one, chicks_per_egg
from pinfeather.heredity.patterns import Pattern
from pinfeather.heredity.viability import Caution
from pinfeather.pedigree.couples import Joint, joint_weights, whole_genotype
from pinfeather.pedigree.probabilities import GenotypeProbabilities
from pinfeather.pedigree.relatedness import kinship_matrix
from pinfeather.plans.pairing import Hopes, Pairing, PairingTable, Risk

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.genotypes import Genotype
    from pinfeather.heredity.sexes import Sex


def pairing_table(
    probabilities: GenotypeProbabilities,
    males: Sequence[str] | None = None,
    females: Sequence[str] | None = None,
    wanted: str | Pattern | Genotype | None = None,
    *,
    shows: Mapping[str, Any] | None = None,
    sex: str | None = None,
    number: int = 1,
    certainty: Any = "95%",
    fertility: Any = 1,
    hatch_of_fertile: Any = 1,
    survival: Any = 1,
    forbidden: Iterable[tuple[str, str]] = (),
) -> PairingTable:
    """Work out what every pairing of some cocks and hens would bring, given everything recorded.

    Parameters
    ----------
    probabilities : GenotypeProbabilities
        What the birds carry, from :func:`~pinfeather.pedigree.genotype_probabilities`, at the loci that matter.
    males, females : sequence of str, optional
        Ids of the birds at hand; all cocks or all hens of the pedigree unless given.
    wanted : str, Pattern or Genotype, optional
        The chicks wanted, as a pattern such as ``"lav/lav"``.
    shows : mapping of trait to label, optional
        The look wanted.
    sex : {"male", "female"}, optional
        The sex wanted.
    number : int
        How many wanted chicks the eggs are to bring.
    certainty : number
        With which certainty: above 0 and below 1.
    fertility, hatch_of_fertile, survival : number
        Fertile eggs among eggs set, chicks among fertile eggs (lethal genotypes apart), and chicks alive when you
        choose: above 0, up to 1.
    forbidden : iterable of (sire, dam)
        Pairings to leave out.

    Returns
    -------
    PairingTable

    Raises
    ------
    UnknownSymbolError
        If a bird is not in the pedigree, or the wish names an unknown symbol, or a locus that was not asked about.
    ImpossibleError
        If a bird is of the wrong sex, or cannot live to breed.
    ArgumentError
        If an argument is out of range, or nothing is wanted.

    Notes
    -----
    All birds named are taken to be alive to breed, and at loci not asked about to be as the background of
    ``probabilities`` has them: looks depend on those too.  What two birds share by descent is counted, in their
    genotypes and in the expected inbreeding of the chicks, which is the kinship of the parents (Malécot 1948).

    Examples
    --------
    >>> from pinfeather import Individual, Pedigree, genotype_probabilities, load_fowl
    >>> from pinfeather.plans import pairing_table
    >>> flock = Pedigree(load_fowl(), [
    ...     Individual("Jay", "male", "Rook", "Dove"), Individual("Wren", "female", "Rook", "Dove"),
    ...     Individual("Rook", "male", genotype="Lav+/lav"), Individual("Dove", "female", genotype="Lav+/lav"),
    ... ])
    >>> row = pairing_table(genotype_probabilities(flock, "lav"), ["Jay"], ["Wren"], "lav/lav")[0]
    >>> row.wanted, row.inbreeding, row.eggs
    (1/4, 1/4, None)
    """
    probabilities = _checks.instance(probabilities, "probabilities", GenotypeProbabilities)
    cocks = birds_of(probabilities, males, "male", "males")
    hens = birds_of(probabilities, females, "female", "females")
    if wanted is None and shows is None and sex is None:
        _checks.refuse("wanted", wanted, 'say which chicks are wanted: a pattern such as "lav/lav", shows= or sex=')
    _check_asked(probabilities, wanted)
    sure = certainty_below_one(certainty)
    count = _checks.whole_number(number, "number", 1)
    alive = chicks_per_egg(fertility, hatch_of_fertile, survival)
    probabilities.need_exact("a table of pairings")
    barred = forbidden_pairs(forbidden, cocks, hens)
    wish = Wish(probabilities, wanted, shows, sex, alive)
    related = kinship_matrix(probabilities.pedigree, tuple(dict.fromkeys((*cocks, *hens))))
    rows = [
        _pairing(wish, sire, dam, weights, related[sire, dam], count, sure)
        for sire, found in joint_weights(probabilities.setting, cocks, hens, probabilities.table_limit)
        for dam, weights in found.items()
        if (sire, dam) not in barred
    ]
    notes = (_loci_note(probabilities), *unasked_cautions(probabilities, (*cocks, *hens)))
    return PairingTable(tuple(rows), cocks, hens, wish.words(), count, sure, probabilities.loci, notes)


def _check_asked(probabilities: GenotypeProbabilities, wanted: Any) -> None:
    """Refuse a wish for a genotype at loci that nothing was asked about."""
    if wanted is not None:
        for symbol in probabilities.pedigree.species.pattern(wanted).loci:
            if symbol not in probabilities.loci:
                _checks.unknown("locus", symbol, probabilities.loci, "the loci asked about")


def birds_of(
    probabilities: GenotypeProbabilities, names: Sequence[str] | None, sex: Sex, argument: str
) -> tuple[str, ...]:
    """The birds named, each in the pedigree and of the right sex; all of that sex where none is named."""
    pedigree = probabilities.pedigree
    if names is None:
        found = tuple(bird.id for bird in pedigree.individuals if bird.sex == sex)
    else:
        found = _checks.unique(_checks.texts(names, argument), "bird")
    if not found:
        _checks.refuse(argument, names, "names no bird")
    for name in found:
        if name not in pedigree:
            _checks.unknown("bird", name, pedigree.ids, "the pedigree")
        if pedigree[name].sex != sex:
            message = (
                f"{name} stands among the {argument}, but its sex on record is {pedigree[name].sex or 'not known'}"
            )
            raise ImpossibleError(message, bird=name, sex=sex)
    return found


def forbidden_pairs(
    pairs: Iterable[tuple[str, str]], cocks: Collection[str], hens: Collection[str]
) -> frozenset[tuple[str, str]]:
    """The pairings that are out of the question, each a cock and a hen of those looked at."""
    found = set()
    for pair in pairs:
        if isinstance(pair, str) or len(tuple(pair)) != 2:
            _checks.refuse("forbidden", pair, "must be a pair (cock, hen)")
        sire, dam = pair
        if sire not in cocks:
            _checks.unknown("cock", str(sire), cocks, "this table")
        if dam not in hens:
            _checks.unknown("hen", str(dam), hens, "this table")
        found.add((sire, dam))
    return frozenset(found)


# ---- what is wanted --------------------------------------------------------------------------------------------------


@attrs.frozen
class Outlook:
    """What one couple of genotypes brings, of all fertile eggs."""

    hatched: Expr
    wanted: Expr
    risks: tuple[tuple[Caution, Expr], ...]
    per_egg_set: Fraction | None
    """Wanted chicks alive when you choose, of eggs set; None where that is symbolic."""


@attrs.frozen(eq=False, slots=False)
class Wish:
    """The chicks wanted, and what every couple of genotypes brings of them."""

    probabilities: GenotypeProbabilities
    genotype: Any
    shows: Any
    sex: str | None
    alive: Expr

    def words(self) -> str:
        """What is wanted, in words."""
        parts = [] if self.genotype is None else [str(self.genotype)]
        for trait, labels in (self.shows or {}).items():
            parts.append(f"{trait}: {labels if isinstance(labels, str) else ' or '.join(labels)}")
        return ", ".join([*parts, *([self.sex] if self.sex else [])])

    @cached_property
    def _known(self) -> dict[tuple[int, int], Outlook]:
        return {}

    def of(self, states: tuple[int, int]) -> Outlook:
        """What a cock and a hen of these states bring."""
        if states not in self._known:
            setting = self.probabilities.setting
            sire, dam = whole_genotype(setting, "male", states[0]), whole_genotype(setting, "female", states[1])
            chicks = cross(sire, dam)
            hatched = 1 - chicks.lost
            share = exact(0) if hatched == 0 else chicks.fraction(self.genotype, shows=self.shows, sex=self.sex)
            eggs = chicks.at_fertilisation
            risks = [(caution, eggs.fraction(caution.pattern)) for caution in chicks.cautions]
            wanted = (share * hatched).expand()
            alive = (wanted * self.alive).expand()
            number = fraction_of(alive) if alive.is_Rational else None
            self._known[states] = Outlook(hatched, wanted, tuple(risks), number)
        return self._known[states]


def _pairing(wish: Wish, sire: str, dam: str, joint: Joint, inbreeding: Expr, number: int, certainty: Expr) -> Pairing:
    states, weights = joint
    outlooks = [wish.of(couple) for couple in states]
    ring = WeightRing.of([value for one in outlooks for value in (one.hatched, one.wanted, *(c for _, c in one.risks))])
    total: Weight = sum(weights)

    def mean(values: Sequence[Expr]) -> tuple[Weight, int]:
        whole, out_of = ring.whole(values)
        return sum(w * v for w, v in zip(weights, whole, strict=True)), out_of

    hatched, hatched_of = mean([one.hatched for one in outlooks])
    wanted, wanted_of = mean([one.wanted for one in outlooks])
    share = ring.quotient(wanted * hatched_of, hatched * wanted_of) if hatched else exact(0)
    lost = ring.quotient(total * hatched_of - hatched, total * hatched_of)
    cautions = dict.fromkeys(caution for one in outlooks for caution, _ in one.risks)
    risks = []
    for caution in cautions:
        harmed, harmed_of = mean([dict(one.risks).get(caution, exact(0)) for one in outlooks])
        risks.append(Risk(caution, ring.quotient(harmed, total * harmed_of)))
    return Pairing(sire, dam, share, inbreeding, lost, tuple(risks), _hopes(outlooks, weights, number, certainty))


def _hopes(outlooks: Sequence[Outlook], weights: Sequence[Weight], number: int, certainty: Expr) -> Hopes | None:
    rates = tuple(one.per_egg_set for one in outlooks if one.per_egg_set is not None)
    if len(rates) < len(outlooks) or not all(isinstance(weight, int) for weight in weights):
        return None
    return Hopes(tuple(weights), rates, number, fraction_of(certainty))


# ---- what the table does not see -------------------------------------------------------------------------------------


def _loci_note(probabilities: GenotypeProbabilities) -> str:
    return f"Looked at: {', '.join(probabilities.loci)}.  Harm at other loci is not seen here."


def unasked_cautions(probabilities: GenotypeProbabilities, birds: Sequence[str]) -> Iterator[str]:
    """Harmful loci that the birds' own records speak of and that were not asked about."""
    pedigree = probabilities.pedigree
    species = pedigree.species
    asked = {species.place_of(locus) for locus in probabilities.loci}
    harmful: dict[int, str] = {}
    for pattern, _ in all_cautions(species):
        for place in pattern.machine.loci:
            if place not in asked:
                harmful.setdefault(place, str(pattern))
    for place, pattern_text in harmful.items():
        locus = species.loci[place]
        named = [name for name in birds if _speaks_of(species, pedigree[name], place)]
        if named:
            shown = ", ".join(named[:4]) + (", ..." if len(named) > 4 else "")
            yield (
                f"The records of {shown} speak of {locus.symbol}, where a caution stands for {pattern_text}: ask "
                f"genotype_probabilities about {locus.symbol} as well."
            )


def _speaks_of(species: Any, bird: Any, place: int) -> bool:
    """Whether a bird's own records may tell of a mutant allele at a locus."""
    locus = species.loci[place]
    mutants = {allele.symbol for allele in locus.alleles if not allele.is_wild}
    for text in (bird.genotype, bird.tested):
        if text is not None:
            for item in species.pattern(text).items:
                for at, slots in zip(item.loci, zip(item.left, item.right, strict=True), strict=True):
                    if at == place and any(isinstance(s, int) and locus.symbols[s] in mutants for s in slots):
                        return True
    for trait, label in bird.shows.items():
        reading = species.reading(trait) if trait != "sex" else None
        if reading is not None and reading.machine.loci == (place,):
            wild = species.genotype("+", bird.sex).phenotypes(trait)
            if all(look[trait] != label for look in wild):
                return True
    return False
