"""The mates of a suspect: one bird, one of several, or a class of birds such as its own daughters."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.crosses.offspring import Offspring
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import exact
from pinfeather.heredity.genotypes import Genotype
from pinfeather.heredity.sexes import OTHER_SEX, Sex
from pinfeather.plans.suspicion import OWN_CHICKS, Suspicion, genotype_of
from pinfeather.plans.telling import Signs, couple_of

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species


@attrs.frozen(eq=False)
class Matings:
    """The mates of a suspect: as a class, and one by one with their chances."""

    name: str
    sex: Sex
    """The suspect's."""
    mates_of: Callable[[Genotype | Distribution[Genotype]], Any]
    per_mate: int | None

    def chicks_of(self, suspect: Genotype | Distribution[Genotype]) -> Offspring:
        """The chicks of the suspect and the mates as a class."""
        return couple_of(suspect, self.mates_of(suspect), self.sex)

    def couples(self, suspect: Genotype, signs: Signs) -> Iterator[tuple[Expr, Offspring]]:
        """The chance of each genotype of the mate, with the chicks."""
        mates = self.mates_of(suspect)
        if self.per_mate == 1 or isinstance(mates, Genotype):
            yield exact(1), couple_of(suspect, mates, self.sex)
        elif isinstance(mates, Distribution):
            birds = mates.given(lambda bird: bird.sex in (None, OTHER_SEX[self.sex]))
            for bird, chance in zip(birds, birds.values(), strict=True):
                yield chance, couple_of(suspect, bird, self.sex)
        else:
            grown = mates.for_breeding(OTHER_SEX[self.sex], "mate")
            loci = self._mattering(grown, signs)
            found = grown.genotypes(*loci) if loci else Distribution.of({None: 1})
            for bird, chance in zip(found, found.values(), strict=True):
                kept = grown if bird is None else grown.given(bird)
                yield chance, couple_of(suspect, kept, self.sex)

    def _mattering(self, mates: Offspring, signs: Signs) -> list[str]:
        """The loci of the mates that vary and bear on what tells."""
        species = mates.species
        places = {place for trait in signs.telling for place in species.reading(trait).machine.loci}
        places |= {place for pattern, _ in species.viable_patterns for place in pattern.machine.loci}
        return [
            species.loci[place].symbol
            for place in sorted(places)
            if mates.tells(place) and len(mates.possible(place)) > 1
        ]


def read_mates(species: Species, suspicion: Suspicion, mate: Any, by: Any, chicks_per_mate: Any) -> Matings:
    """The mates that a caller gave: a bird, the odds of one, a class, or the suspect's own chicks."""
    other = OTHER_SEX[suspicion.sex]
    if isinstance(mate, str) and mate in OWN_CHICKS:
        if {"own daughters": "male", "own sons": "female"}.get(mate, suspicion.sex) != suspicion.sex:
            _checks.refuse("mate", mate, f"the suspect is {suspicion.sex}, and its mate must be {other}")
        parent = suspicion.clean if by is None else by
        if not isinstance(parent, Distribution):
            parent = genotype_of(species, parent, "by", None if by is None else other)
        if isinstance(parent, Genotype) and parent.sex == suspicion.sex:
            if by is not None:
                _checks.refuse("by", str(parent), f"must be {other}")
            parent = _of_other_sex(parent, other)
        name = f"{'own daughters' if other == 'female' else 'own sons'} by {parent}"

        def own(suspect: Any) -> Offspring:
            return couple_of(suspect, parent, suspicion.sex).given(sex=other)

        return Matings(name, suspicion.sex, own, _per_mate(chicks_per_mate, 1))
    if by is not None:
        _checks.refuse("by", by, "is the other parent of own chicks; the mate is " + repr(mate))
    if isinstance(mate, (Offspring, Distribution)):
        usual = 1 if isinstance(mate, Offspring) else None
        return Matings(
            f"one of ({mate})" if isinstance(mate, Offspring) else "one of " + ", ".join(map(str, mate)),
            suspicion.sex,
            lambda _: mate,
            _per_mate(chicks_per_mate, usual),
        )
    bird = genotype_of(species, mate, "mate", other)
    if bird.sex not in (None, other):
        _checks.refuse("mate", str(bird), f"is {bird.sex}, and so is the suspect")
    return Matings(str(bird), suspicion.sex, lambda _: bird, _per_mate(chicks_per_mate, None))


def _of_other_sex(bird: Genotype, sex: Sex) -> Genotype:
    """A bird with the same alleles in the other sex; a single copy of what lies on the Z."""
    species = bird.species
    pairs = []
    for block, pair in zip(bird.layout, bird.pairs, strict=True):
        copies = species.wild_pair(block, sex)
        if pair is None or copies is None or (copies[1] is None) == (pair[1] is None):
            pairs.append(pair)
        else:
            pairs.append((pair[0], None if copies[1] is None else pair[0]) if copies[0] is not None else copies)
    return Genotype(species, bird.layout, tuple(pairs), sex)


def _per_mate(value: Any, usual: int | None) -> int | None:
    if value is None:
        return usual
    if value == "all":
        return None
    return _checks.whole_number(value, "chicks_per_mate", 1)
