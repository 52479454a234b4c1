"""The chance that one step of a programme succeeds, exactly and as a float, and what it costs at a price of risk.

Every kind of step knows its chance as a function of one number that the breeder chooses: the eggs to set, or the eggs
for each bird on test.  The search compares floats; what is reported, and every comparison that decides, is exact.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from fractions import Fraction
from functools import cached_property
from typing import TypeAlias

Atoms: TypeAlias = tuple[tuple[int, Fraction], ...]
"""The parts into which a hatch falls: (which demands a chick of the part meets, as bits; its chance), none is 0."""

MOST_EGGS = 50_000
"""The most eggs of one step, or from one bird on test, that a programme is planned with."""


class Chance:
    """What all chances have in common: how many units are needed, and what they cost at a price of risk."""

    unit: int = 1
    """Eggs for each unit of the number that is chosen."""
    concave: bool = False
    """Whether the logarithm of the chance is known to be concave in the number."""

    def __init__(self) -> None:
        self._logs: dict[int, float] = {}
        self._costs: dict[float, tuple[float, int]] = {}

    def failing(self, number: int) -> float:
        """The chance that the step fails, as a float."""
        raise NotImplementedError

    def exact(self, number: int) -> Fraction:
        """The chance that the step succeeds, exactly."""
        raise NotImplementedError

    @property
    def highest(self) -> Fraction:
        """The chance that no number of eggs exceeds."""
        return Fraction(1)

    @cached_property
    def ceiling(self) -> float:
        """The same as a float."""
        return float(self.highest)

    def log(self, number: int) -> float:
        """The natural logarithm of the chance; minus infinity where it is zero."""
        found = self._logs.get(number)
        if found is None:
            fails = self.failing(number)
            found = math.log1p(-fails) if fails < 1 - 1e-15 else -math.inf
            self._logs[number] = found
        return found

    def least(self, certainty: Fraction) -> int | None:
        """The least number that by itself reaches the certainty; None where none does.

        A hair's breadth below it counts as reached: what is reported is checked exactly when the risk is shared out.
        """
        key = ("least", certainty)
        known: dict[object, int | None] = self.__dict__.setdefault("_least", {})
        if key not in known:
            known[key] = self._least_number(certainty)
        return known[key]

    def enough_for(self, chance: float) -> int:
        """The least number whose chance is about so high, or a little lower; more than is ever set where none is."""
        known: dict[object, int] = self.__dict__.setdefault("_enough", {})
        if chance not in known:
            low, high = 0, 1
            while 1 - self.failing(high) < chance - 1e-9:
                low, high = high, 2 * high
                if high > MOST_EGGS:
                    break
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (middle, high) if 1 - self.failing(middle) < chance - 1e-9 else (low, middle)
            known[chance] = high
        return known[chance]

    def cost(self, price: float, certainty: Fraction) -> tuple[float, int]:
        """The least of eggs - price x log(chance), and the number that gives it."""
        found = self._costs.get(price)
        if found is None:
            found = self._costs[price] = self._cheapest(price, certainty)
        return found

    def value(self, number: int, price: float) -> float:
        """Eggs - price x log(chance)."""
        return self.unit * number - price * self.log(number)

    def _least_number(self, certainty: Fraction) -> int | None:
        wanted = math.log(certainty) if certainty < 1 else 0.0
        highest = self.highest
        if highest <= certainty and self.exact(1) < certainty:
            return None  # it may come as near as one likes, and never there
        high = 1
        while self.log(high) < wanted - 1e-12:
            high *= 2
            if high > 2 * MOST_EGGS:
                return None
        low = high // 2
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if self.log(middle) < wanted - 1e-12 else (low, middle)
        return high if high <= MOST_EGGS else None

    def _cheapest(self, price: float, certainty: Fraction) -> tuple[float, int]:
        start = self.least(certainty)
        if start is None:
            return math.inf, 0
        if self.concave:
            return self._bottom(price, start)
        best, at = self.value(start, price), start
        number = start + 1
        at_most = -price * math.log(self.ceiling)
        while self.unit * number + at_most < best:
            value = self.value(number, price)
            if value < best:
                best, at = value, number
            number += 1
        return best, at

    def _bottom(self, price: float, start: int) -> tuple[float, int]:
        """The bottom of a convex function, by doubling and bisection on its slope."""

        def rises(number: int) -> bool:
            return self.value(number + 1, price) >= self.value(number, price)

        low, high, step = start - 1, start, 1
        while not rises(high):
            low, high, step = high, high + step, 2 * step
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if rises(middle) else (middle, high)
        return self.value(high, price), high


class HatchChance(Chance):
    """Enough chicks of every class wanted, from one hatch.

    Parameters
    ----------
    cases : tuple of Atoms
        For each thing that the parents may be, how a hatch falls into parts; the least favourable case counts.
    counts : tuple of int
        How many are wanted of each class.

    Notes
    -----
    Where one chick of each class is wanted: inclusion and exclusion.  Otherwise chick by chick, over the numbers still
    wanted.  A binomial convolution of log-concave sequences is log-concave (D. W. Walkup 1976, Journal of Applied
    Probability 13:76-85), so that with classes that exclude each other the chance is log-concave in the eggs.
    """

    def __init__(self, cases: tuple[Atoms, ...], counts: tuple[int, ...]) -> None:
        super().__init__()
        self.cases = cases
        self.counts = counts
        self.concave = len(cases) == 1 and all(mask.bit_count() == 1 for mask, _ in cases[0])
        self._single = all(count == 1 for count in counts)
        self._fails: dict[int, float] = {}
        self._runs = [_ways(case, counts) for case in cases] if not self._single else []

    def failing(self, number: int) -> float:
        """The chance that the step fails, as a float."""
        found = self._fails.get(number)
        if found is None:
            if self._single:
                found = max(sum(sign * base**number for sign, base in terms) for terms in self._float_terms)
            else:
                found = max(run.failing(number) for run in self._runs)
            self._fails[number] = found
        return found

    def exact(self, number: int) -> Fraction:
        """The chance that the step succeeds, exactly."""
        if not self._single:
            return min(run.exact(number) for run in self._runs)
        return min(1 - sum((sign * base**number for sign, base in terms), Fraction(0)) for terms in self._terms)

    @cached_property
    def _terms(self) -> list[list[tuple[int, Fraction]]]:
        """(sign, base) such that the chance to fail is the sum of sign x base ** number."""
        made = []
        for case in self.cases:
            terms: dict[Fraction, int] = {}
            for chosen in range(1, 1 << len(self.counts)):
                base = 1 - sum((chance for mask, chance in case if mask & chosen), Fraction(0))
                terms[base] = terms.get(base, 0) + (1 if chosen.bit_count() % 2 else -1)
            made.append([(sign, base) for base, sign in terms.items() if sign])
        return made

    @cached_property
    def _float_terms(self) -> list[list[tuple[int, float]]]:
        return [[(sign, float(base)) for sign, base in terms] for terms in self._terms]

    @cached_property
    def first(self) -> int:
        """The least number of eggs that can be enough."""
        number = 1
        while not self.exact(number):
            number += 1
        return number

    def mean(self) -> Fraction:
        """The mean number of eggs, set one by one, until all that is wanted has come."""
        if self._single:
            return max(sum((sign / (1 - base) for sign, base in terms), Fraction(0)) for terms in self._terms)
        return max(run.mean() for run in self._runs)


def _ways(atoms: Atoms, counts: tuple[int, ...]) -> _Tails | _Run:
    """The quicker way to work a hatch out: classes that exclude each other, and leave something over, have tails."""
    apart = all(mask.bit_count() == 1 for mask, _ in atoms)
    return _Tails(atoms, counts) if apart and sum(chance for _, chance in atoms) < 1 else _Run(atoms, counts)


class _Tails:
    """Classes that exclude each other: the chance that some class comes too rarely, by inclusion and exclusion.

    That every class of a set comes too rarely is ``base ** n`` times a polynomial in n.
    """

    def __init__(self, atoms: Atoms, counts: tuple[int, ...]) -> None:
        self.run = _Run(atoms, counts)
        self.terms: list[tuple[int, Fraction, list[Fraction]]] = []
        parts = [(chance, counts[mask.bit_length() - 1]) for mask, chance in atoms]
        for size in range(1, len(parts) + 1):
            for chosen in itertools.combinations(parts, size):
                base = 1 - sum((chance for chance, _ in chosen), Fraction(0))
                weights = [Fraction(1)]
                for chance, count in chosen:
                    own = [(chance / base) ** n / math.factorial(n) for n in range(count)]
                    weights = _multiplied(weights, own)
                self.terms.append((1 if size % 2 else -1, base, weights))
        self._floats = [
            (sign, math.log(base), [float(weight) for weight in weights]) for sign, base, weights in self.terms
        ]

    def failing(self, number: int) -> float:
        """The chance that some class comes too rarely, as a float."""
        total = 0.0
        for sign, log, weights in self._floats:
            falling, inner = 1.0, 0.0
            for rank, weight in enumerate(weights):
                inner += falling * weight
                falling *= number - rank
                if not falling:
                    break
            total += sign * math.exp(number * log) * inner
        return total

    def exact(self, number: int) -> Fraction:
        """The chance that every class comes often enough."""
        total = Fraction(1)
        for sign, base, weights in self.terms:
            inner = sum((math.perm(number, rank) * weight for rank, weight in enumerate(weights)), Fraction(0))
            total -= sign * base**number * inner
        return total

    def mean(self) -> Fraction:
        """The mean number of chicks until nothing is wanted any more."""
        return self.run.mean()


def _multiplied(one: list[Fraction], other: list[Fraction]) -> list[Fraction]:
    made = [Fraction(0)] * (len(one) + len(other) - 1)
    for at, weight in enumerate(one):
        for rank, part in enumerate(other):
            made[at + rank] += weight * part
    return made


class _Run:
    """A hatch chick by chick: the chance of each set of numbers still wanted."""

    def __init__(self, atoms: Atoms, counts: tuple[int, ...]) -> None:
        self.counts = counts
        self.states = list(itertools.product(*(range(count + 1) for count in counts)))
        self.done = self.states.index((0,) * len(counts))
        self.atoms = [*atoms, (0, 1 - sum((chance for _, chance in atoms), Fraction(0)))]
        self.total = math.lcm(*(chance.denominator for _, chance in self.atoms))
        where = {state: at for at, state in enumerate(self.states)}
        self.moves = [
            [
                (where[_after(state, mask)], int(chance * self.total), float(chance))
                for mask, chance in self.atoms
                if chance
            ]
            for state in self.states
        ]
        self._floats = [[1.0 if state == counts else 0.0 for state in self.states]]
        self._whole = (0, [1 if state == counts else 0 for state in self.states])

    def failing(self, number: int) -> float:
        """The chance that the step fails, as a float."""
        while len(self._floats) <= number:
            now = [0.0] * len(self.states)
            for at, weight in enumerate(self._floats[-1]):
                if weight:
                    for to, _, chance in self.moves[at]:
                        now[to] += weight * chance
            self._floats.append(now)
        return sum(weight for at, weight in enumerate(self._floats[number]) if at != self.done)

    def exact(self, number: int) -> Fraction:
        """The chance that the step succeeds, exactly."""
        eggs, weights = self._whole
        if eggs > number:
            eggs, weights = 0, [1 if state == self.counts else 0 for state in self.states]
        for _ in range(number - eggs):
            now = [0] * len(self.states)
            for at, weight in enumerate(weights):
                if weight:
                    for to, part, _ in self.moves[at]:
                        now[to] += weight * part
            weights = now
        self._whole = (number, weights)
        return Fraction(weights[self.done], self.total**number)

    def mean(self) -> Fraction:
        """The mean number of chicks until nothing is wanted any more."""
        means: dict[int, Fraction] = {self.done: Fraction(0)}
        # States stand in rising order of what is still wanted, so that all moves lead to means already known.
        for at in range(len(self.states)):
            if at == self.done:
                continue
            stay = sum(part for to, part, _ in self.moves[at] if to == at)
            rest = sum((part * means[to] for to, part, _ in self.moves[at] if to != at), Fraction(0))
            means[at] = (self.total + rest) / (self.total - stay)
        return means[len(self.states) - 1]


def _after(state: tuple[int, ...], mask: int) -> tuple[int, ...]:
    return tuple(max(0, want - 1) if mask >> at & 1 else want for at, want in enumerate(state))


class Chances:
    """Chances by what they depend on, so that equal steps are worked out once."""

    def __init__(self) -> None:
        self._known: dict[object, Chance] = {}

    def get(self, key: object, make: Callable[[], Chance]) -> Chance:
        """The chance of a key, made once."""
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = make()
        return found
