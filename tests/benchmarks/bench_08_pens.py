"""Pairing tables and pens, for one yard of 2,100 birds."""

from __future__ import annotations

import functools
import random
from typing import Any, NamedTuple

import pytest

from pinfeather import assign_pens, genotype_probabilities, pairing_table
from tests.benchmarks.flocks import yard_to_pair
from tests.benchmarks.measuring import Beside, Row
from tests.benchmarks.yardsticks.enumeration import best_pens

EVERY = "every assignment of the hens"
TARGET = "lav/lav"


class Yard(NamedTuple):
    known: Any
    cocks: list[str]
    hens: list[str]


@functools.cache
def yard() -> Yard:
    pedigree, males, females = yard_to_pair(400)
    return Yard(genotype_probabilities(pedigree, "lav"), males[:40], females[:200])


@functools.cache
def whole_table() -> Any:
    known, cocks, hens = yard()
    return pairing_table(known, cocks, hens, TARGET)


def bench_what_every_bird_carries(beside: Beside) -> None:
    pedigree, _, _ = yard_to_pair(400)
    beside.alone("what every bird carries", lambda: genotype_probabilities(pedigree, "lav"), rounds=3, under=1)


def bench_the_table(beside: Beside) -> None:
    """Beside the same pair by pair, measured on twenty pairs and reckoned up."""
    known, cocks, hens = yard()
    table = whole_table()
    sample = random.Random(1).sample(list(table), 20)
    singly, answers = beside.once(lambda: [known.offspring(row.sire, row.dam).fraction(TARGET) for row in sample])
    assert answers == [row.wanted for row in sample]
    times = beside.take_turns(lambda: pairing_table(known, cocks, hens, TARGET), {}, rounds=3)
    beside.ratio(
        f"table of {len(table):,} pairings",
        times["pinfeather"],
        f"pair by pair, from {len(sample)} pairs",
        [singly / len(sample) * len(table)],
    )


@pytest.mark.parametrize(("words", "bounds"), [("1 to 10 hens", (1, 10)), ("3 to 10 hens or none", (3, 10))])
def bench_the_pens(beside: Beside, words: str, bounds: tuple[int, int]) -> None:
    table = whole_table()
    found: list[Any] = []
    (taken,) = beside.take_turns(lambda: found.append(assign_pens(table, bounds)), {}, rounds=1)["pinfeather"]
    (plan,) = found
    assert all(bounds[0] <= len(pen.hens) <= bounds[1] for pen in plan.pens)
    assert {hen for pen in plan.pens for hen in pen.hens} | set(plan.left_out) >= set(table.females)
    beside.add(Row(f"40 cocks, 200 hens, pens of {words}", taken, "", f"{len(plan.pens)} pens"))


@pytest.mark.parametrize("hens", [3, 4, 5, 6, 7])
def bench_growth_of_pens(beside: Beside, hens: int) -> None:
    known, cocks, females = yard()
    table = pairing_table(known, cocks[:3], females[:hens], TARGET)
    others = {EVERY: lambda: best_pens(table, (1, 3))}
    beside.point(
        "pens",
        hens,
        lambda: assign_pens(table, (1, 3)),
        others,
        rounds=1,
        same=lambda plan, best: plan.wanted == best,
    )
