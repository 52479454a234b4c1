"""The chances of steps with look-alikes: bred from unproved, or put to the test."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from pinfeather.plans.chances import Atoms, Chance, HatchChance


class PenChance(Chance):
    """Several look-alikes bred from at once: a share q of them can give the chicks wanted, which give themselves away.

    Where cocks and hens are look-alikes they are bred in pairs, and q is the share of pairs with both right.

    Each bird's eggs succeed in a demand with the hatch chance of so many eggs; a bird of the wrong sort never does.
    Demands may be met by different birds: inclusion and exclusion over whole families.
    """

    def __init__(self, birds: int, share: Fraction, atoms: Atoms, demands: int) -> None:
        super().__init__()
        self.birds, self.share, self.atoms, self.demands = birds, share, atoms, demands
        self.unit = birds
        self._bases = [
            (1 if chosen.bit_count() % 2 else -1, 1 - sum((c for mask, c in atoms if mask & chosen), Fraction(0)))
            for chosen in range(1, 1 << demands)
        ]
        self._float_bases = [(sign, float(base)) for sign, base in self._bases]

    @property
    def highest(self) -> Fraction:
        """The chance that no number of eggs exceeds: that one of the birds is what is wanted."""
        return 1 - (1 - self.share) ** self.birds

    def failing(self, number: int) -> float:
        """The chance that the step fails, as a float."""
        share = float(self.share)
        return sum(sign * (1 - share + share * base**number) ** self.birds for sign, base in self._float_bases)

    def exact(self, number: int) -> Fraction:
        """The chance that the step succeeds, exactly."""
        share = self.share
        return 1 - sum(
            (sign * (1 - share + share * base**number) ** self.birds for sign, base in self._bases), Fraction(0)
        )


class TrialChance(Chance):
    """Look-alikes on test, each with one or two mates; the first that passes is kept, and has to be right.

    Parameters
    ----------
    birds : int
        The look-alikes on test.
    share : Fraction
        Of which are right.
    rights : sequence of HatchChance or None
        For each mating, what the eggs of a bird that is right must bring: chicks that tell for it, or chicks that are
        wanted of it; None where nothing must come.
    wrongs : sequence of (Fraction, sequence of Fraction)
        For each way of being wrong in which a bird may pass: the share of such birds, and for each mating the share of
        their eggs that tell against them.

    Notes
    -----
    With a for the share of birds that are right and pass, b for those that are wrong and pass, and s = a + b, the first
    of k that passes is right with ``(a / s) (1 - (1 - s)^k)``: that it may be wrong is inside the chance.  Where no
    wrong bird passes this is ``1 - (1 - a)^k``.  It grows with a and falls with b, so that bounds on both hold it.
    With two mates the eggs of a bird are shared out between them as is best.
    """

    def __init__(
        self,
        birds: int,
        share: Fraction,
        rights: Sequence[HatchChance | None],
        wrongs: Sequence[tuple[Fraction, Sequence[Fraction]]],
    ) -> None:
        super().__init__()
        self.birds, self.share, self.unit = birds, share, birds
        self.rights, self.wrongs = tuple(rights), tuple(wrongs)
        self._float_wrongs = [(float(share), [float(1 - rate) for rate in rates]) for share, rates in self.wrongs]
        self._float_share = float(share)
        self._fewest = tuple(1 if right is None else right.first for right in self.rights)
        self._shared: dict[int, tuple[int, ...] | None] = {}

    @property
    def highest(self) -> Fraction:
        """The chance that no number of eggs exceeds: that one of the birds is what is wanted."""
        return 1 - (1 - self.share) ** self.birds

    def shared_out(self, number: int) -> tuple[int, ...] | None:
        """The eggs from each bird by mate, for a number of eggs from each; None where they are too few."""
        if number not in self._shared:
            self._shared[number] = self._best_sharing(number)
        return self._shared[number]

    def _best_sharing(self, number: int) -> tuple[int, ...] | None:
        low, high = self._fewest[0], number - sum(self._fewest[1:])
        if low > high:
            return None
        if len(self.rights) == 1:
            return (number,)
        # The chance rises and then falls as eggs pass from one mate to the other, and the best sharing for one egg
        # fewer is never far.
        near = self._shared.get(number - 1)
        at = (low + high) // 2 if near is None else min(max(near[0], low), high)
        step = max(1, (high - low) // 4) if near is None else 1
        own = self._fails((at, number - at))
        while step:
            for other in (at + step, at - step):
                if low <= other <= high:
                    fails = self._fails((other, number - other))
                    if fails < own:
                        at, own = other, fails
                        break
            else:
                step //= 2
        return at, number - at

    def _fails(self, eggs: tuple[int, ...]) -> float:
        right = self._float_share
        for part, own in zip(self.rights, eggs, strict=True):
            if part is not None:
                right *= 1 - part.failing(own)
        if right <= 0:
            return 1.0
        wrong = 0.0
        for share, silent in self._float_wrongs:
            passes = share
            for rate, own in zip(silent, eggs, strict=True):
                passes *= rate**own
            wrong += passes
        every = right + wrong
        return (wrong + right * (1 - every) ** self.birds) / every

    def failing(self, number: int) -> float:
        """The chance that the step fails, as a float."""
        eggs = self.shared_out(number)
        return 1.0 if eggs is None else self._fails(eggs)

    def exact(self, number: int) -> Fraction:
        """The chance that the step succeeds, exactly."""
        eggs = self.shared_out(number)
        if eggs is None:
            return Fraction(0)
        right = self.share
        for part, own in zip(self.rights, eggs, strict=True):
            right *= 1 if part is None else part.exact(own)
        if not right:
            return Fraction(0)
        wrong = Fraction(0)
        for share, rates in self.wrongs:
            passes = share
            for rate, own in zip(rates, eggs, strict=True):
                passes *= (1 - rate) ** own
            wrong += passes
        every = right + wrong
        return right / every * (1 - (1 - every) ** self.birds)
