"""The rules of descent for one kind of chromosome, and the scale on which all kinships are whole numbers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import lcm
from typing import TYPE_CHECKING

import attrs

from pinfeather import _checks
from pinfeather.errors import PedigreeError
from pinfeather.pedigree.lineage import UNKNOWN, Lineage

if TYPE_CHECKING:
    from pinfeather.pedigree.pedigree import Pedigree

AUTOSOME = "autosome"
CHROMOSOMES = (AUTOSOME, "Z", "X")
_WORD = 2**63


@attrs.frozen(eq=False)
class System:
    """The rules of descent for one kind of chromosome, and the arithmetic that keeps them exact.

    ``single`` marks the birds that carry one copy; it comes from the sire, or from the dam on an X.
    ``scale`` stands for kinship 1, and ``words`` tells whether 64 bits suffice.
    """

    lineage: Lineage
    single: list[bool]
    from_dam: bool
    scale: int
    words: bool


def system_of(pedigree: Pedigree, chromosome: str, scope: Sequence[int]) -> System:
    """The rules for one kind of chromosome in the part of a pedigree that a question touches."""
    lineage = pedigree.lineage
    single = single_copies(pedigree, chromosome, scope)
    scale = common_scale(lineage, scope)
    return System(lineage, single, chromosome == "X", scale, fits_machine_words(lineage, scale))


def single_copies(pedigree: Pedigree, chromosome: str, scope: Iterable[int]) -> list[bool]:
    """Which nodes carry a single copy of the chromosome; refuse what cannot be told for want of a sex."""
    lineage = pedigree.lineage
    single = [False] * len(lineage.level)
    if _checks.choice(chromosome, "chromosome", CHROMOSOMES) == AUTOSOME:
        return single
    system = pedigree.species.sex_system
    if chromosome not in system:
        other = "Z" if "Z" in system else "X"
        _checks.refuse(
            "chromosome", chromosome, f"the sexes of {pedigree.species.name} are {system}; ask for {other!r}"
        )
    birds = [pedigree[name] for name in lineage.ids]
    unknown = [birds[node].id for node in scope if node < len(birds) and birds[node].sex is None]
    if unknown:
        shown = ", ".join(unknown[:5]) + (f" and {len(unknown) - 5} more" if len(unknown) > 5 else "")
        message = (
            f"{chromosome}-linked descent depends on sex, which is not recorded for {shown}; fill it in, or "
            "leave them out with restricted_to(...)"
        )
        raise PedigreeError(message, problems=tuple(unknown))
    hemizygous = "female" if chromosome == "Z" else "male"
    single[: len(birds)] = [bird.sex == hemizygous for bird in birds]
    return single


def common_scale(lineage: Lineage, nodes: Iterable[int]) -> int:
    """A whole number that makes every kinship among the nodes whole, and every step on the way to it.

    Give a founder q = 1, a chick twice the least common multiple of its parents' q, and a set of possible
    parents the least common multiple of its members' q times that of the chances' denominators.  Then
    kinship(i, j) times 2 q(i) q(j) is whole: by induction along the recursion, since a chick's row is half
    the sum of its parents' rows and its own cell is 1/2 + kinship(sire, dam)/2.  Twice the square of the
    largest common q serves for all pairs.
    """
    if not lineage.mixtures:
        deepest: int = max((lineage.depth[node] for node in nodes), default=0)
        return 2 << 2 * deepest
    birds = len(lineage.ids)
    steps: dict[int, int] = {UNKNOWN: 1}

    def step(node: int) -> int:
        if node not in steps:
            members = lineage.mixtures[node - birds]
            steps[node] = lcm(*(steps[member] for member, _ in members)) * share_denominator(lineage, node)
        return steps[node]

    for bird, (sire, dam) in enumerate(zip(lineage.sires, lineage.dams, strict=True)):
        founder = sire == UNKNOWN and dam == UNKNOWN
        steps[bird] = 1 if founder else 2 * lcm(step(sire), step(dam))
    return 2 * lcm(1, *(step(node) for node in nodes)) ** 2


def share_denominator(lineage: Lineage, mixture: int) -> int:
    """The least common denominator of the chances of a set of possible parents."""
    return lcm(*(chance.denominator for _, chance in lineage.mixtures[mixture - len(lineage.ids)]))


def fits_machine_words(lineage: Lineage, scale: int) -> bool:
    """Whether all cells, and the sums on the way to them, fit whole numbers of 64 bits."""
    birds = len(lineage.ids)
    shares = (share_denominator(lineage, birds + number) for number in range(len(lineage.mixtures)))
    return scale * max(2, *shares, 2) < _WORD
