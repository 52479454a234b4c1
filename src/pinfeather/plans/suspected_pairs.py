"""A suspect and one mate of the same flock, known together: as a carrier, and as a clean bird."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import attrs

from pinfeather.crosses.joint import offspring_of_couples
from pinfeather.errors import ArgumentError
from pinfeather.exact.distribution import Distribution
from pinfeather.exact.numbers import exact
from pinfeather.heredity.sexes import OTHER_SEX, Sex
from pinfeather.pedigree.couples import Joint, whole_genotype
from pinfeather.pedigree.probabilities import GenotypeProbabilities
from pinfeather.plans import telling
from pinfeather.plans.silence import Silence
from pinfeather.plans.telling import Signs, Told

if TYPE_CHECKING:
    from sympy import Expr

    from pinfeather.crosses.offspring import Offspring


@attrs.frozen(eq=False)
class Couples:
    """What a suspect and one mate may be together: as a carrier and as a clean bird."""

    suspect: str
    mate: str
    sex: Sex
    birds: tuple[tuple[Any, Any], ...]
    states: tuple[tuple[int, int], ...]
    weights: tuple[int, ...]
    carries: tuple[bool, ...]
    place: int
    allele: str

    @classmethod
    def of(
        cls,
        probabilities: GenotypeProbabilities,
        suspect: str,
        mate: str,
        sex: Sex,
        joint: Joint,
        place: int,
        number: int,
    ) -> Couples:
        """The possible couples of genotypes."""
        setting = probabilities.setting
        space = setting.space
        states, weights = joint
        if not all(isinstance(weight, int) for weight in weights):
            message = "mates cannot be ranked while the chances of genotypes are symbolic; put numbers in"
            raise ArgumentError(message, argument="probabilities", value=probabilities)
        birds = tuple(
            (whole_genotype(setting, sex, one), whole_genotype(setting, OTHER_SEX[sex], other)) for one, other in states
        )
        carries = tuple(number in space.pairs_at(space.states[sex][one])[place] for one, _ in states)
        allele = space.species.loci[place].symbols[number]
        return cls(suspect, mate, sex, birds, tuple(states), tuple(weights), carries, place, allele)

    def chicks(self, *, carrier: bool) -> Offspring:
        """The chicks of the pair if the suspect is a carrier, or if it is clean."""
        chosen = [at for at, carries in enumerate(self.carries) if carries == carrier]
        pairs = [self.birds[at] if self.sex == "male" else self.birds[at][::-1] for at in chosen]
        chances = Distribution.from_weights(range(len(chosen)), [self.weights[at] for at in chosen])
        return offspring_of_couples(pairs, chances, f"{self.suspect} x {self.mate}")

    def told(self, signs: Signs) -> list[Told]:
        """What the eggs of each couple of genotypes come to."""
        return [telling.told_by(telling.couple_of(one, other, self.sex), signs) for one, other in self.birds]

    @property
    def prior(self) -> Expr:
        """The chance that the suspect is a carrier."""
        return exact(Fraction(self._carrying, sum(self.weights)))

    @property
    def _carrying(self) -> int:
        return sum(weight for weight, carries in zip(self.weights, self.carries, strict=True) if carries)

    def silence(self, silent: Sequence[Expr]) -> Silence:
        """How long the suspect hides if it is a carrier, where each couple's chicks are silent with a chance."""
        total = self._carrying
        mates = tuple(
            (exact(Fraction(weight, total)), one)
            for weight, carries, one in zip(self.weights, self.carries, silent, strict=True)
            if carries
        )
        return Silence(((exact(1), mates),))
