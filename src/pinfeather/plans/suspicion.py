"""Who is suspected of what: a bird as it would be if it is a carrier, and as it would be if it is clean."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather import _checks
from pinfeather.crosses.offspring import Offspring
from pinfeather.errors import ArgumentError, ImpossibleError, TooLargeError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import exact
from pinfeather.heredity.genotypes import Genotype, check_same_species
from pinfeather.heredity.sexes import OTHER_SEX, Sex, read_sex
from pinfeather.plans import telling

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.heredity.species import Species

OWN_CHICKS = ("own daughters", "own sons", "own chicks")
_MOST_LOCI = 8


@attrs.frozen(eq=False)
class Suspicion:
    """What a bird may be: clean, or a carrier at one or several loci."""

    clean: Genotype
    carrier: Genotype | Distribution[Genotype]
    sex: Sex
    places: tuple[int, ...]
    loci: tuple[str, ...]
    odds: Expr | None = None
    """The chance of being a carrier, where the odds of every genotype were given."""

    def carrying(self, loci: frozenset[str]) -> list[tuple[Expr, Genotype]]:
        """What it may be if it carries at these loci and at no other, with chances."""
        if isinstance(self.carrier, Distribution):
            return list(zip(self.carrier.values(), self.carrier, strict=True))
        species = self.clean.species
        others = [place for place in self.places if species.loci[place].symbol not in loci]
        if others == []:
            return [(exact(1), self.carrier)]
        return [(exact(1), telling.cleaned(self.carrier, others))]

    def __str__(self) -> str:
        if isinstance(self.carrier, Genotype):
            return str(self.carrier)
        return " or ".join(str(bird) for bird in self.carrier)


def read_suspect(species: Species, if_carrier: Any, if_clean: Any, sex: str | None, mate: Any) -> Suspicion:
    """What a bird is suspected of, from what a caller gave."""
    own = None if sex is None else read_sex(sex)
    if own is None:
        own = _sex_of(if_carrier) or _told_by(species, if_carrier) or _opposite(species, mate)
    if isinstance(if_carrier, Distribution):
        return _suspect_of_odds(species, if_carrier, if_clean, own)
    bird = genotype_of(species, if_carrier, "if_carrier", own)
    own = own or bird.sex or "male"
    bird = bird.with_sex(own)
    if if_clean is not None:
        clean = genotype_of(species, if_clean, "if_clean", own).with_sex(own)
        places = _differing(bird, clean)
    else:
        places = telling.hidden_places(bird)
        clean = telling.cleaned(bird, places)
    if not places:
        _nothing_to_hide(species, bird, if_carrier)
    if len(places) > _MOST_LOCI:
        message = (
            f"{len(places)} loci under suspicion at once are more than {_MOST_LOCI}; test for some of them at a time"
        )
        raise TooLargeError(message, size=len(places), limit=_MOST_LOCI)
    loci = tuple(species.loci[place].symbol for place in places)
    if if_clean is not None and len(places) > 1:
        # What it is at one locus alone cannot be read off two whole genotypes: take them as one suspicion.
        return Suspicion(clean, Distribution.of({bird: 1}), own, places, (" ".join(loci),))
    return Suspicion(clean, bird, own, places, loci)


def _suspect_of_odds(species: Species, odds: Distribution[Any], if_clean: Any, sex: Sex | None) -> Suspicion:
    birds = [_checks.instance(bird, "an outcome of if_carrier", Genotype) for bird in odds]
    own: Sex = sex or next((bird.sex for bird in birds if bird.sex), None) or "male"
    birds = [bird.with_sex(own) for bird in birds]
    chances = dict(zip(birds, odds.values(), strict=True))
    if if_clean is not None:
        clean = genotype_of(species, if_clean, "if_clean", own).with_sex(own)
        clean = clean.restricted_to(*birds[0].loci)
    else:
        clean = next((bird for bird in birds if _is_clean(bird, birds)), birds[0])
    places = tuple(sorted({place for bird in birds for place in _differing(bird, clean)}))
    carriers = {bird: chance for bird, chance in chances.items() if bird != clean}
    name = " ".join(species.loci[place].symbol for place in places)
    if if_clean is not None and clean not in chances:  # the odds are those of a carrier, such as of its phases
        return Suspicion(clean, Distribution.of(chances), own, places, (name,))
    if (if_clean is None and not _is_clean(clean, birds)) or not carriers:
        message = "the odds must hold both the clean bird and what it is if it is a carrier; or say if_clean="
        raise ArgumentError(message, argument="if_carrier", value=odds)
    prior = sum(carriers.values(), exact(0))
    return Suspicion(clean, Distribution.of({b: c / prior for b, c in carriers.items()}), own, places, (name,), prior)


def _is_clean(bird: Genotype, birds: Sequence[Genotype]) -> bool:
    """Whether a bird has, at every locus, two copies of the most dominant allele that any of the birds has."""
    for symbol in bird.loci:
        order = bird.species.locus(symbol).symbols
        best = min((order.index(a) for other in birds for a in other.alleles(symbol)), default=0)
        if any(order.index(allele) != best for allele in bird.alleles(symbol)):
            return False
    return True


def _differing(bird: Genotype, clean: Genotype) -> tuple[int, ...]:
    check_same_species(bird.species, clean.species)
    species = bird.species
    return tuple(
        place
        for place in map(species.place_of, bird.loci)
        if sorted(bird._at(place), key=str) != sorted(clean._at(place), key=str)
    )


def _nothing_to_hide(species: Species, bird: Genotype, given: Any) -> None:
    single = [
        species.loci[place].symbol
        for place in bird.mutant_loci()
        if sum(allele is not None for allele in bird._at(place)) == 1
    ]
    if bird.sex == "female" and single and species.sex_system == "ZW":
        message = f"a hen has one Z and cannot hide what is on it ({', '.join(single)}): what she has, she shows"
        raise ImpossibleError(message, genotype=str(bird))
    _checks.refuse("if_carrier", str(given), "has no two different alleles at any locus, so it hides nothing")


def genotype_of(species: Species, value: Any, argument: str, sex: Sex | None = None) -> Genotype:
    """A genotype from itself or from its notation."""
    if isinstance(value, Genotype):
        check_same_species(species, value.species)
        return value
    if isinstance(value, str):
        return species.genotype(value, sex)
    _checks.refuse(argument, value, "must be a Genotype, its notation, or a Distribution of genotypes")


def _sex_of(value: Any) -> Sex | None:
    """The sex of a bird, or of all birds, as far as it is told."""
    if isinstance(value, Genotype):
        return value.sex
    if isinstance(value, Distribution):
        sexes = {bird.sex for bird in value if isinstance(bird, Genotype)}
        return sexes.pop() if len(sexes) == 1 else None
    if isinstance(value, Offspring) and len(value.kept.sexes) == 1:
        return value.kept.sexes[0]
    return None


def _told_by(species: Species, value: Any) -> Sex | None:
    """The sex that a written genotype implies."""
    return species.genotype(value).sex if isinstance(value, str) and value not in OWN_CHICKS else None


def _opposite(species: Species, mate: Any) -> Sex | None:
    if isinstance(mate, str) and mate in OWN_CHICKS:
        return {"own daughters": "male", "own sons": "female"}.get(mate)  # type: ignore[return-value]
    sex = _sex_of(mate) or _told_by(species, mate)
    return None if sex is None else OTHER_SEX[sex]
