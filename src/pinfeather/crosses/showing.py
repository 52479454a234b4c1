"""How looks follow from genotypes, in words: the rules of a trait, with the fraction that each of them takes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import attrs

from pinfeather.crosses.offspring import Offspring
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import exact
from pinfeather.heredity.genotypes import Genotype
from pinfeather.heredity.sexes import SEXES, Sex
from pinfeather.heredity.traits import Phenotype, Reading

if TYPE_CHECKING:
    from sympy import Expr

_MOST_GENOTYPES = 2000
_MOST_NAMED = 4
_AGES = {"hatch": "at hatch", "adult": "in grown birds", "laying": "in laying hens"}

Shares = list[tuple[Genotype, "Expr"]]
Taken = dict[int, Shares]


def in_one_line(looks: Distribution[Phenotype]) -> str:
    """One look, or several with their chances."""
    if len(looks) == 1:
        return str(looks.most_likely())
    return (" or " if len(looks) == 2 else ", ").join(f"{look} ({share})" for look, share in looks.items())


def explained(eggs: Offspring, trait: str, units: Sequence[Sequence[int]]) -> list[str]:
    """The rules of a trait that chicks of a mating reach, each with what fits it and the fraction it takes.

    Parameters
    ----------
    eggs : Offspring
        The whole mating, at fertilisation.
    trait : str
        A trait whose loci both parents tell.
    units : sequence of sequences of int
        Loci that are reckoned together; different units are independent.
    """
    species = eggs.species
    reading = species.reading(trait)
    age = _AGES.get(reading.trait.seen_at, f"at {reading.trait.seen_at}")
    heading = f"{trait} (seen {age}):"
    symbols = [species.loci[place].symbol for place in reading.machine.loci]
    most = 1
    for symbol in symbols:
        most *= len(eggs.genotypes(symbol))
    if most > _MOST_GENOTYPES:
        return [heading, *(f"|{line}" for line in str(eggs.phenotypes(trait)).splitlines())]
    birds = list(eggs.genotypes(*symbols).items())
    inside = [[p for p in unit if p in reading.machine.loci] for unit in units]
    loci = [[species.loci[place].symbol for place in unit] for unit in inside if unit]
    by_sex = {sex: _Rules(reading, sex, _of_sex(birds, sex), loci) for sex in SEXES}
    male, female = by_sex["male"].lines(), by_sex["female"].lines()
    if [line.replace(" (male)", "") for line in male] == [line.replace(" (female)", "") for line in female]:
        return [heading, *male, *by_sex["male"].sums()]
    texts = [heading]
    for sex in SEXES:
        texts += [f"Of the {sex}s:", *by_sex[sex].lines(), *by_sex[sex].sums()]
    return texts


def _of_sex(birds: Shares, sex: Sex) -> Shares:
    """The genotypes of one sex, with their shares of that sex."""
    if any(bird.sex is not None for bird, _ in birds):
        return [(bird, (2 * share).expand()) for bird, share in birds if bird.sex == sex]
    return [(bird.with_sex(sex), share) for bird, share in birds]


@attrs.frozen(eq=False)
class _Rules:
    """The rules of a trait read in chicks of one sex."""

    reading: Reading
    sex: Sex
    birds: Shares
    units: Sequence[Sequence[str]]

    def taken(self) -> Taken:
        """For each rule that is reached, the genotypes that it decides."""
        found: Taken = {}
        for bird, share in self.birds:
            pairs = {place: bird._at(place) for place in self.reading.machine.loci}
            rule = self.reading.machine.read(self.sex, pairs)
            assert rule is not None  # a species refuses a trait whose rules miss a genotype
            found.setdefault(rule, []).append((bird, share))
        return dict(sorted(found.items()))

    def lines(self) -> list[str]:
        """One line for each rule that is reached."""
        texts = []
        for number, birds in self.taken().items():
            rule = self.reading.trait.rules[number]
            share = _sum(birds)
            labels = [(self.reading.labels[label], chance) for label, chance in self.reading.shows[number]]
            name = rule.pattern or "whatever is left"
            text = f"{name} -> {' or '.join(label for label, _ in labels)}: {self._worked(birds, share)}"
            texts.append(f"|{text}")
            if len(labels) > 1:
                texts += [f"|  {label}: {share} x {chance} = {(share * chance).expand()}" for label, chance in labels]
        return texts

    def sums(self) -> list[str]:
        """The labels that several rules give, added up."""
        totals: dict[str, list[Expr]] = {}
        for number, birds in self.taken().items():
            for label, chance in self.reading.shows[number]:
                totals.setdefault(self.reading.labels[label], []).append((_sum(birds) * chance).expand())
        return [
            f"|{label} in all: {' + '.join(map(str, parts))} = {sum(parts[1:], parts[0]).expand()}"
            for label, parts in totals.items()
            if len(parts) > 1
        ]

    def _worked(self, birds: Shares, share: Expr) -> str:
        """What fits a rule: by loci multiplied, where it is a product of them; otherwise by genotype."""
        if share == 1:
            return "all of them, 1"
        parts = [self._part(unit, birds) for unit in self.units]
        told = [(names, part) for names, part in parts if part != 1]
        if len(told) == 1 and told[0][1] == share:
            return f"{told[0][0]}, {share}"
        product = exact(1)
        for _, part in told:
            product = (product * part).expand()
        if told and product == share and self._is_product(birds):
            named = " with ".join(f"{names} ({part})" for names, part in told)
            return f"{named}, {' x '.join(str(part) for _, part in told)} = {share}"
        return f"{len(birds)} genotypes, together {share}"

    def _part(self, unit: Sequence[str], birds: Shares) -> tuple[str, Expr]:
        """The genotypes of one unit among some birds, and how common these are among all."""
        wanted = list(dict.fromkeys(bird.restricted_to(*unit) for bird, _ in birds))
        share = _sum([(bird, part) for bird, part in self.birds if bird.restricted_to(*unit) in set(wanted)])
        names = " or ".join(map(str, wanted)) if len(wanted) <= _MOST_NAMED else f"{len(wanted)} genotypes"
        return names, share

    def _is_product(self, birds: Shares) -> bool:
        size = 1
        for unit in self.units:
            size *= len({bird.restricted_to(*unit) for bird, _ in birds})
        return size == len(birds)


def _sum(birds: Shares) -> Expr:
    total = exact(0)
    for _, share in birds:
        total = total + share
    return total.expand()
