"""Counting chicks with scipy and floats."""

from __future__ import annotations

import numpy
import scipy.stats


def enough_of_each(shares: list[float], wanted: list[int], chicks: int) -> float:
    """The chance of enough of every class, class after class: a sum over all tables would be long."""
    left = numpy.zeros(chicks + 1)
    left[chicks] = 1.0
    remaining = 1.0
    for share, want in zip(shares, wanted, strict=True):
        after = numpy.zeros(chicks + 1)
        for many in range(want, chicks + 1):
            if left[many]:
                counts = numpy.arange(want, many + 1)
                after[many - counts] += left[many] * scipy.stats.binom.pmf(counts, many, share / remaining)
        left, remaining = after, remaining - share
    return float(left.sum())


def needed(share: float, certainty: float = 0.95) -> int:
    """The chicks to hatch for one of a class."""
    return int(scipy.stats.nbinom.ppf(certainty, 1, share)) + 1


def at_least(chicks: int, least: int, share: float) -> float:
    return float(scipy.stats.binom.sf(least - 1, chicks, share))


def by_bisection(counts: tuple[int, int, int, int]) -> float:
    """The most likely share of the four-class example, from the slope of its likelihood."""
    a, b, c, d = counts
    low, high = 1e-9, 1 - 1e-9
    for _ in range(60):
        t = (low + high) / 2
        if a / (2 + t) - (b + c) / (1 - t) + d / t > 0:
            low = t
        else:
            high = t
    return low


def best_split(shares: list[float], certainty: float, most: int) -> tuple[int, int]:
    """The fewest eggs for two steps that both have to succeed, each giving a chick of both sexes; by trying all splits.

    The share is that of the wanted chick of one sex; both sexes are wanted of each step.
    """
    eggs = numpy.arange(1, most + 1)
    one, other = (1 - 2 * (1 - share) ** eggs + (1 - 2 * share) ** eggs for share in shares)
    chance = one[:, None] * other[None, :]
    total = numpy.where(chance >= certainty, eggs[:, None] + eggs[None, :], 2 * most + 1)
    # Of the splits with the fewest eggs, the one that succeeds most often.
    first, second = numpy.unravel_index((total - chance).argmin(), total.shape)
    return int(eggs[first]), int(eggs[second])
