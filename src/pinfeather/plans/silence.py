"""How long a carrier can stay hidden: the chance that so many chicks of a test mating all say nothing."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from math import lcm
from typing import TYPE_CHECKING, Any, TypeAlias

import attrs

from pinfeather.errors import ArgumentError
from pinfeather.exact import counting
from pinfeather.exact.numbers import exact, fraction_of

if TYPE_CHECKING:
    from sympy import Expr

Mates: TypeAlias = "tuple[tuple[Expr, Expr], ...]"
"""Each genotype that the mate may have: its chance, and the chance that one chick then says nothing."""


@attrs.frozen(eq=False, slots=False)
class Silence:
    """The chance that chicks say nothing, where suspect and mate are each one of several genotypes.

    ``suspects`` holds the chance of each genotype of the suspect, with its mates.  So many chicks come from one mate,
    then the next ones from another drawn like it; all come from the same mate where ``per_mate`` is None.
    """

    suspects: tuple[tuple[Expr, Mates], ...]
    per_mate: int | None = None

    def of(self, chicks: int) -> Expr:
        """The chance that so many chicks all say nothing."""
        if self._whole is None:
            return self._symbolic(chicks)
        top, bottom = self.fraction(chicks)
        return exact(Fraction(top, bottom))

    @cached_property
    def never_below(self) -> Expr:
        """What the chance comes down to and never goes below, however many chicks are hatched."""
        left = exact(0)
        for chance, mates in self.suspects:
            for_ever = sum((share for share, silent in mates if silent == 1), exact(0))
            if self.per_mate is None or for_ever == 1:
                left = left + chance * for_ever
        return left.expand()

    @property
    def symbols(self) -> set[Any]:
        """The symbols that the chances hold."""
        values = [chance for chance, _ in self.suspects]
        values += [value for _, mates in self.suspects for pair in mates for value in pair]
        return {symbol for value in values for symbol in value.free_symbols}

    def chicks_for(self, allowed: Expr, birds: int = 1) -> int | None:
        """The least number of chicks that brings the chance down to what is allowed, or None where none does.

        With several ``birds`` tested side by side, what is meant is the chance that at least one of them stays hidden.
        """
        if not allowed.is_Rational or self._whole is None:
            names = ", ".join(sorted(map(str, self.symbols | allowed.free_symbols)))
            message = f"how many chicks depends on {names}; put a number in, or read the table"
            raise ArgumentError(message, argument="certainty", value=allowed)
        limit = fraction_of(allowed)

        def enough(chicks: int) -> bool:
            top, bottom = self.fraction(chicks)
            seen: int = (bottom - top) ** birds
            needed: int = (limit.denominator - limit.numerator) * bottom**birds
            return seen * limit.denominator >= needed

        return counting.smallest(enough, 0) if self._comes_below(limit, birds) else None

    def _comes_below(self, limit: Fraction, birds: int) -> bool:
        floor = self.never_below
        left = 1 - (1 - fraction_of(floor)) ** birds
        if left != limit:
            return left < limit
        # The floor itself is reached only where one chick settles all that can be settled.
        return all(silent in (0, 1) for _, mates in self.suspects for _, silent in mates)

    @cached_property
    def _whole(self) -> tuple[list[tuple[int, list[tuple[int, int]]]], int, int, int] | None:
        """Whole weights of suspects, mates and silent chicks; and what each kind is out of."""
        if self.symbols:
            return None
        out_of = lcm(*(int(chance.q) for chance, _ in self.suspects))
        mates_out_of = lcm(*(int(share.q) for _, mates in self.suspects for share, _ in mates))
        silent_out_of = lcm(*(int(silent.q) for _, mates in self.suspects for _, silent in mates))
        whole = [
            (
                _over(chance, out_of),
                [(_over(share, mates_out_of), _over(silent, silent_out_of)) for share, silent in mates],
            )
            for chance, mates in self.suspects
        ]
        return whole, out_of, mates_out_of, silent_out_of

    def fraction(self, chicks: int) -> tuple[int, int]:
        """The chance as a numerator and a denominator, not shortened."""
        assert self._whole is not None  # callers ask for whole numbers only where there are some
        whole, out_of, mates_out_of, silent_out_of = self._whole
        rounds, rest = (0, chicks) if self.per_mate is None else divmod(chicks, self.per_mate)
        most = self.per_mate or 0

        def one_mate(mates: list[tuple[int, int]], number: int) -> int:
            return sum(share * silent**number for share, silent in mates)

        top = sum(chance * one_mate(mates, most) ** rounds * one_mate(mates, rest) for chance, mates in whole)
        return top, out_of * mates_out_of ** (rounds + 1) * silent_out_of**chicks

    def _symbolic(self, chicks: int) -> Expr:
        rounds, rest = (0, chicks) if self.per_mate is None else divmod(chicks, self.per_mate)

        def one_mate(mates: Mates, number: int) -> Expr:
            return sum((share * silent**number for share, silent in mates), exact(0))

        total = sum(
            (
                chance * (one_mate(mates, self.per_mate) ** rounds if self.per_mate else 1) * one_mate(mates, rest)
                for chance, mates in self.suspects
            ),
            exact(0),
        )
        return total.expand()


def _over(value: Expr, denominator: int) -> int:
    return int(value.p) * (denominator // int(value.q))


def mean_until_told(silence: Silence, most: int) -> Expr:
    """The mean number of chicks looked at, where one stops with the first that tells, or after so many."""
    return sum((silence.of(chicks) for chicks in range(most)), exact(0))
