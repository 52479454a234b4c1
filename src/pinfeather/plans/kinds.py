"""Kinds: classes of birds that a breeder can tell apart and keep.

What is known of a kind is, block by block, a set of genotypes that its birds lie in.  A kind whose looks hide what is
wanted is *unproven*: a share of its birds is right, and several are kept.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TypeAlias, TypeVar

import attrs

from pinfeather.plans.blocks import Mask

T = TypeVar("T")

Looks: TypeAlias = tuple[Mask, ...]
"""The looks to keep, block by block."""

Demand: TypeAlias = "tuple[int, Looks]"
"""(number of the kind, the looks to keep for it)."""


@attrs.frozen(cache_hash=True)
class Doubt:
    """What is not proven of a kind in one block: what is wanted there, and the share of its birds that have it."""

    block: int
    wanted: Mask
    share: Fraction


@attrs.frozen(cache_hash=True)
class Kind:
    """A class of birds: sex (0 male, 1 female), what is known of each block, and the share of a breed's background.

    Where looks hide what is wanted there are doubts, in different blocks and independent of each other, and several
    birds are kept.
    """

    sex: int
    known: tuple[Mask, ...]
    doubts: tuple[Doubt, ...] = ()
    birds: int = 1
    background: Fraction | None = None

    @property
    def proven(self) -> bool:
        """Whether every bird is what is wanted."""
        return not self.doubts

    @property
    def share(self) -> Fraction:
        """The share of the birds that are right in every block."""
        return math.prod((doubt.share for doubt in self.doubts), start=Fraction(1))

    @property
    def right(self) -> tuple[Mask, ...]:
        """What is known of the birds that are right."""
        known = list(self.known)
        for doubt in self.doubts:
            known[doubt.block] &= doubt.wanted
        return tuple(known)

    def settled(self) -> Kind:
        """The kind of one bird that turned out to be right."""
        return Kind(self.sex, self.right, background=self.background)

    def serves_as(self, other: Kind) -> bool:
        """Whether birds of this kind can stand in for those of another."""
        if self.sex != other.sex or any(own & ~wanted for own, wanted in zip(self.known, other.known, strict=True)):
            return False
        if self.background is not None and other.background is not None and self.background < other.background:
            return False
        if self.doubts and other.doubts and self.birds < other.birds:
            return False
        own = {doubt.block: doubt for doubt in self.doubts}
        for doubt in other.doubts:
            mine = own.get(doubt.block)
            settled = self.known[doubt.block] if mine is None else mine.wanted & self.known[doubt.block]
            if settled & ~doubt.wanted or (mine is not None and mine.share < doubt.share):
                return False
        # What is doubtful here and not there is asked of no bird there.
        return not other.doubts or not set(own) - {doubt.block for doubt in other.doubts}


def couple(sex: int, bird: T, mate: T) -> tuple[T, T]:
    """Sire and dam: a bird of one sex (0 male, 1 female), and its mate."""
    return (bird, mate) if sex == 0 else (mate, bird)
