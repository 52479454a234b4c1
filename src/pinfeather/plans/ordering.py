"""Which genotypes of a block are at least as good as which, for the bird that is wanted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

import attrs

from pinfeather.heredity.genotypes import Haplotype
from pinfeather.plans.blocks import Groups, Mask, State, bits


@attrs.frozen(eq=False)
class Order:
    """Finds which genotypes are at least as good as which, for one block.

    A bird is at least as good as another if, its homologues taken either way round, it has the allele wanted wherever
    the other has it and is the same elsewhere.  A locus takes part only if more copies never lead out of the target
    and never hide a look that is worth keeping; otherwise its alleles must be the same.
    """

    groups: Groups
    states: Sequence[Sequence[State]]
    shown: Sequence[Sequence[tuple[tuple[int, Fraction], ...]]]
    target: tuple[Mask, Mask]
    choices: Mapping[int, Sequence[int]]
    """The loci that may take part, with the alleles that may be the one wanted."""

    def better(self) -> tuple[tuple[Mask, ...], tuple[Mask, ...]]:
        """By sex and genotype: the genotypes at least as good."""
        wanted: dict[int, int] = {}
        found = self._masks(wanted)
        for group in self.groups:
            for place in group:
                for allele in self.choices.get(place, ()):
                    masks = self._masks({**wanted, place: allele})
                    if self._holds(masks):
                        wanted[place], found = allele, masks
                        break
        return found

    def _masks(self, wanted: Mapping[int, int]) -> tuple[tuple[Mask, ...], tuple[Mask, ...]]:
        made = []
        for sex in (0, 1):
            states = self.states[sex]
            made.append(
                tuple(
                    sum(1 << at for at, high in enumerate(states) if self._at_least(low, high, wanted))
                    for low in states
                )
            )
        return made[0], made[1]

    def _at_least(self, low: State, high: State, wanted: Mapping[int, int]) -> bool:
        for group, (one, other), (left, right) in zip(self.groups, low, high, strict=True):
            straight = _above(group, one, left, wanted) and _above(group, other, right, wanted)
            if not straight and not (_above(group, one, right, wanted) and _above(group, other, left, wanted)):
                return False
        return True

    def _holds(self, better: tuple[tuple[Mask, ...], tuple[Mask, ...]]) -> bool:
        return all(self._keeps_target(better[sex], sex) and self._keeps_looks(better[sex], sex) for sex in (0, 1))

    def _keeps_target(self, better: Sequence[Mask], sex: int) -> bool:
        return all(not self.target[sex] >> at & 1 or not mask & ~self.target[sex] for at, mask in enumerate(better))

    def _keeps_looks(self, better: Sequence[Mask], sex: int) -> bool:
        """Whether a better bird's look vouches for all that the look of the lesser one vouches for."""
        by_look: dict[int, list[int]] = {}
        for at, chances in enumerate(self.shown[sex]):
            for look, _ in chances:
                by_look.setdefault(look, []).append(at)
        above: dict[int, Mask] = {}
        for look, members in by_look.items():
            above[look] = 0
            for at in members:
                above[look] |= better[at]
        vouches = {
            (one, other): all(above[one] >> member & 1 for member in by_look[other])
            for one in by_look
            for other in by_look
        }
        return all(
            vouches[one, other]
            for low, mask in enumerate(better)
            for high in bits(mask)
            for one, _ in self.shown[sex][low]
            for other, _ in self.shown[sex][high]
        )


def _above(group: Sequence[int], low: Haplotype, high: Haplotype, wanted: Mapping[int, int]) -> bool:
    if low is None or high is None:
        return low is high
    return all(a == b or wanted.get(place) == b for place, a, b in zip(group, low, high, strict=True))
