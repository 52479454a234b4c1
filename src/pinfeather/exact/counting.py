"""Sums over counts: how often something happens in so many independent trials.

Everything is done in whole numbers over one common denominator.  A part that happens with probability ``wins / (wins +
losses)`` has that pair of weights, and a result is a weight over ``(wins + losses) ** trials``.  Most functions work
on polynomial weights too (see :mod:`pinfeather.exact.symbolic`); those that put weights in order need whole numbers.

References
----------
W. Feller 1968, An Introduction to Probability Theory and Its Applications, vol. 1, 3rd ed., chapter VI (binomial,
multinomial and negative binomial distributions).
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, deque
from collections.abc import Callable, Iterator, Sequence
from itertools import accumulate, product
from math import comb, factorial, prod

from pinfeather.exact import brackets
from pinfeather.exact.symbolic import Weight, added

# ---- one part ------------------------------------------------------------------------------------------------------


def between(wins: Weight, losses: Weight, trials: int, low: int, high: int) -> Weight:
    """The weight of ``low`` to ``high`` wins, over ``(wins + losses) ** trials``.

    The shorter of the range and its complement is summed.
    """
    low, high = max(low, 0), min(high, trials)
    if low > high:
        return 0
    if 2 * (high - low + 1) <= trials + 1:
        return _summed(wins, losses, trials, low, high)
    everything = (wins + losses) ** trials
    return everything - _summed(wins, losses, trials, 0, low - 1) - _summed(wins, losses, trials, high + 1, trials)


def _summed(wins: Weight, losses: Weight, trials: int, low: int, high: int) -> Weight:
    """The terms of the binomial expansion from ``low`` to ``high`` wins, added up."""
    if low > high:
        return 0
    if not (isinstance(wins, int) and isinstance(losses, int)):
        return added(comb(trials, k) * wins**k * losses ** (trials - k) for k in range(low, high + 1))
    return sum(_terms_upward(wins, losses, trials, low, high))


def _terms_upward(wins: int, losses: int, trials: int, low: int, high: int) -> Iterator[int]:
    """The terms one by one, each from the one before: the divisions come out even."""
    if losses == 0:
        yield from (wins**trials if k == trials else 0 for k in range(low, high + 1))
        return
    term = comb(trials, low) * wins**low * losses ** (trials - low)
    yield term
    for k in range(low, high):
        term = term * ((trials - k) * wins) // ((k + 1) * losses)
        yield term


def likeliest(wins: int, losses: int, trials: int, enough: Callable[[int], bool]) -> tuple[int, int, int]:
    """The shortest range of counts that holds enough weight, and the weight it holds.

    Counts are taken in the order of their probability until ``enough(weight)``; counts of equal probability go in
    together, so that the range treats both ends alike.
    """
    for low, high, weight, _ in _outward(wins, losses, trials):
        if enough(weight):
            return low, high, weight
    raise AssertionError  # the last range holds everything


def _outward(wins: int, losses: int, trials: int) -> Iterator[tuple[int, int, int, int]]:
    """Growing ranges round the likeliest count, from an empty one; each with its weight and the next term outside.

    The terms rise to one peak and fall again, so that the likeliest counts are always neighbours.
    """
    if wins == 0 or losses == 0:
        count = trials if losses == 0 else 0
        everything = (wins + losses) ** trials
        yield count + 1, count, 0, everything
        yield count, count, everything, 0
        return
    # Of two peaks of equal height, the left one: the right one is then found beside it, at the same level.
    left = ((trials + 1) * wins - 1) // (wins + losses)
    right = left + 1
    left_term = comb(trials, left) * wins**left * losses ** (trials - left)
    right_term = left_term * ((trials - left) * wins) // (right * losses)
    weight = 0
    while level := max(left_term, right_term):
        yield left + 1, right - 1, weight, level
        if left_term == level:
            weight += left_term
            left_term = left_term * (left * losses) // ((trials - left + 1) * wins)
            left -= 1
        if right_term == level:
            weight += right_term
            right_term = right_term * ((trials - right) * wins) // ((right + 1) * losses)
            right += 1
    yield left + 1, right - 1, weight, 0


# ---- how many trials -----------------------------------------------------------------------------------------------


def trials_for(wins: int, losses: int, wanted: int, certainty: tuple[int, int]) -> int:
    """The least number of trials that bring ``wanted`` wins with the certainty asked (a numerator and denominator).

    The chance rises with every trial, so the number is first doubled and then bisected.  ``wins`` must be above zero,
    and the certainty below one unless ``losses`` is zero.
    """
    if losses == 0:
        return wanted
    return smallest(lambda trials: _suffice(wins, losses, wanted, certainty, trials), wanted)


def smallest(suffices: Callable[[int], bool], start: int) -> int:
    """The least number from ``start`` up that suffices, by doubling and bisection; beyond it all must suffice."""
    low, high = start - 1, max(start, 1)
    while not suffices(high):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        if suffices(middle):
            high = middle
        else:
            low = middle
    return high


def _suffice(wins: int, losses: int, wanted: int, certainty: tuple[int, int], trials: int) -> bool:
    """Whether so many trials bring ``wanted`` wins with the certainty: fewer wins must be rare enough."""
    numerator, denominator = certainty
    bits = 128
    while True:
        too_few = brackets.scaled(_fewer(wins, losses, wanted, trials, bits), denominator, 1, bits)
        allowed = brackets.scaled(brackets.power(wins + losses, trials, bits), denominator - numerator, 1, bits)
        order = brackets.compared(too_few, allowed)
        if order is not None:
            return order <= 0
        bits *= 4


def _fewer(wins: int, losses: int, wanted: int, trials: int, bits: int) -> brackets.Bracket:
    """The weight of fewer than ``wanted`` wins: a sum of positive terms, so that the bracket stays narrow."""
    term = brackets.power(losses, trials, bits)
    weight = term
    for k in range(min(wanted - 1, trials)):
        term = brackets.scaled(term, (trials - k) * wins, (k + 1) * losses, bits)
        weight = brackets.total(weight, term, bits)
    return weight


# ---- several parts -------------------------------------------------------------------------------------------------


def enough_of_each(parts: Sequence[Weight], wanted: Sequence[int], rest: Weight) -> Iterator[Weight]:
    """For 0, 1, 2, … trials: the weight of every part having come at least as often as it is wanted.

    Parameters
    ----------
    parts : sequence of weights
        The parts, each of which is wanted; they exclude each other.
    wanted : sequence of int
        How many are wanted of each, at least one.
    rest : weight
        The weight of everything else, so that the total is ``sum(parts) + rest``.

    Yields
    ------
    weight
        Over ``total ** trials``; the stream never ends.

    Notes
    -----
    Let F(S, m) be the number of ways in which m trials bring only parts of the set S or the rest, and enough of each
    part of S.  Look at the last trial: either all was complete before it, and it may be anything, or it completes one
    part i, of which exactly ``wanted - 1`` came before, in C(m - 1, wanted - 1) places, while the other trials were
    enough for S without i.  So ::

        F(S, m + 1) = total(S) F(S, m) + sum over i in S of C(m, w_i - 1) a_i**w_i F(S - {i}, m - w_i + 1)

    which has only positive terms and takes as many steps as there are sets, whatever is wanted.  Parts of the same
    weight, wanted equally often, are counted rather than told apart.
    """
    kinds = Counter(zip(parts, wanted, strict=True))
    groups = [_Group(part, want) for part, want in kinds]
    states = list(product(*(range(count + 1) for count in kinds.values())))
    totals = [added([rest, *(n * group.part for n, group in zip(state, groups, strict=True))]) for state in states]
    before = [_without_one(state, states) for state in states]
    # The weight of each state after each of the last few trials; before the first, only the empty set is complete.
    longest = max((group.want for group in groups), default=1)
    past: list[deque[Weight]] = [deque([0], longest) for _ in states]
    past[0][0] = 1
    while True:
        yield past[-1][-1]
        last = [group.chance_to_complete() for group in groups]
        fresh = [
            added(
                [
                    totals[index] * past[index][-1],
                    *(n * last[g] * past[source][-groups[g].want] for g, n, source in before[index] if last[g]),
                ]
            )
            for index in range(len(states))
        ]
        for weights, weight in zip(past, fresh, strict=True):
            weights.append(weight)
        for group in groups:
            group.advance()


class _Group:
    """Parts of one weight that are wanted equally often, and in how many places all but the last may have come."""

    def __init__(self, part: Weight, want: int) -> None:
        self.part, self.want = part, want
        self._power = part**want
        self._trials = 0
        self._places = 1 if want == 1 else 0

    def chance_to_complete(self) -> Weight:
        """C(trials, want - 1) part**want, or nothing while there were too few trials."""
        return self._places * self._power if self._places else 0

    def advance(self) -> None:
        """One trial more."""
        self._trials += 1
        if self._places:
            self._places = self._places * self._trials // (self._trials - self.want + 1)
        elif self._trials == self.want - 1:
            self._places = 1


def _without_one(state: tuple[int, ...], states: Sequence[tuple[int, ...]]) -> list[tuple[int, int, int]]:
    """(group, how many of it may be completed last, where the state without one of them stands)."""
    return [
        (group, count, states.index((*state[:group], count - 1, *state[group + 1 :])))
        for group, count in enumerate(state)
        if count
    ]


def states_of_enough(parts: Sequence[Weight], wanted: Sequence[int]) -> int:
    """How many sets of parts :func:`enough_of_each` keeps, which is the number of its steps for each trial."""
    return prod(count + 1 for count in Counter(zip(parts, wanted, strict=True)).values())


# ---- whole tables --------------------------------------------------------------------------------------------------


def table_weight(parts: Sequence[int], counts: Sequence[int]) -> int:
    """The multinomial weight of one table of counts, over ``sum(parts) ** sum(counts)``."""
    ways: int = factorial(sum(counts)) // prod(map(factorial, counts))
    weight: int = ways * prod(part**count for part, count in zip(parts, counts, strict=True))
    return weight


def steps_of_as_unlikely(parts: int, trials: int) -> int:
    """How many steps :func:`as_unlikely` takes: the tables of either half of the parts."""
    if parts <= 2:
        return trials + 1
    return comb(trials + parts // 2, trials) + comb(trials + parts - parts // 2, trials)


def as_unlikely(parts: Sequence[int], counts: Sequence[int]) -> int:
    """The weight of all tables of counts that are at most as likely as the one given.

    Parameters
    ----------
    parts : sequence of int
        Positive weights.
    counts : sequence of int
        The table that was observed.

    Notes
    -----
    Tables are enumerated by halves: for every way to share the trials between one half of the parts and the other, the
    tables of the second half are put in order of their weights, which are summed up once.  Each table of the first half
    then finds by bisection how much of the second goes with it.  Every comparison is of whole numbers, so that equally
    likely tables count as equally likely.
    """
    trials, threshold = sum(counts), table_weight(parts, counts)
    if len(parts) == 1:
        return threshold
    if len(parts) == 2:
        return _as_unlikely_of_two(parts[0], parts[1], trials, threshold)
    first, second = parts[: len(parts) // 2], parts[len(parts) // 2 :]
    weight = 0
    for together in range(trials + 1):
        ways = comb(trials, together)
        ordered = sorted(_table_weights(second, trials - together))
        sums = [0, *accumulate(ordered)]
        for outer in _table_weights(first, together):
            factor = ways * outer
            weight += factor * sums[bisect_right(ordered, threshold // factor)]
    return weight


def _as_unlikely_of_two(first: int, second: int, trials: int, threshold: int) -> int:
    """Everything, less the counts round the peak that are likelier than the threshold."""
    likelier = next(weight for _, _, weight, term in _outward(first, second, trials) if term <= threshold)
    everything: int = (first + second) ** trials
    return everything - likelier


def _table_weights(parts: Sequence[int], trials: int) -> Iterator[int]:
    """The weights of all tables of so many trials, over the parts given."""
    if len(parts) == 1:
        yield parts[0] ** trials
        return
    if len(parts) == 2:
        yield from _terms_upward(parts[0], parts[1], trials, 0, trials)
        return
    for count in range(trials + 1):
        here = comb(trials, count) * parts[0] ** count
        for rest in _table_weights(parts[1:], trials - count):
            yield here * rest
