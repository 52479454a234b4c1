"""How fast pairing tables and pens are, beside pair by pair and beside brute force: printed as Markdown tables.

Run by hand, with pinfeather installed::

    python tests/benchmarks/bench_pens.py

The flock is simulated: each season's breeding cocks are DNA-tested, three in five of the others are recorded by look.
Every comparison does the same work twice and stops if the two answers differ.  Times are of one run, in processor time.
"""

from __future__ import annotations

import itertools
import platform
import random
import time
from collections.abc import Callable
from typing import TypeVar

from pinfeather import Individual, Locus, Pedigree, Species, genotype_probabilities
from pinfeather.plans import PairingTable, assign_pens, pairing_table

T = TypeVar("T")
FOWL = Species("simulated fowl", loci=[Locus("lav", "lavender", ("Lav+", "lav"))])
WRITTEN = ("Lav+/Lav+", "Lav+/lav", "lav/lav")
SEASONS, COCKS, HENS = 5, 20, 80


def timed(work: Callable[[], T]) -> tuple[float, T]:
    start = time.process_time()
    made = work()
    return time.process_time() - start, made


def simulated(chicks: int, seed: int = 3) -> tuple[Pedigree, list[str], list[str]]:
    """A closed flock of five seasons, and the cocks and hens of the last."""
    draw = random.Random(seed)
    held: dict[str, tuple[int, int]] = {}
    birds: list[tuple[str, str, str | None, str | None]] = []
    for number in range(COCKS + HENS):
        name = f"founder {number}"
        held[name] = (int(draw.random() < 0.3), int(draw.random() < 0.3))
        birds.append((name, "male" if number < COCKS else "female", None, None))
    cocks, hens = ([b[0] for b in birds if b[1] == sex] for sex in ("male", "female"))
    typed: set[str] = set()
    males, females = cocks, hens
    for season in range(SEASONS):
        cocks, hens = draw.sample(males, COCKS), draw.sample(females, HENS)
        typed.update(cocks)
        males, females = [], []
        for number in range(chicks):
            name, sire, dam = f"{season}.{number}", draw.choice(cocks), draw.choice(hens)
            held[name] = (draw.choice(held[sire]), draw.choice(held[dam]))
            birds.append((name, "male" if number % 2 else "female", sire, dam))
            (males if number % 2 else females).append(name)
    individuals = [
        Individual(
            name,
            sex,
            sire,
            dam,
            shows={"lavender": "lavender" if sum(held[name]) == 2 else "not lavender"} if draw.random() < 0.6 else {},
            genotype=WRITTEN[sum(held[name])] if name in typed else None,
        )
        for name, sex, sire, dam in birds
    ]
    return Pedigree(FOWL, individuals), males, females


def by_brute_force(table: PairingTable, bounds: tuple[int, int]) -> object:
    """The most wanted chicks over every assignment of hens to cocks or to none."""
    best: object = None
    for choice in itertools.product((None, *table.males), repeat=len(table.females)):
        sizes = [choice.count(cock) for cock in table.males if cock in choice]
        if all(bounds[0] <= size <= bounds[1] for size in sizes):
            pairs = [(c, h) for c, h in zip(choice, table.females, strict=True) if c is not None]
            if all(table[pair].inbreeding * 8 <= 1 for pair in pairs):
                wanted = sum(table[pair].per_egg for pair in pairs)
                best = wanted if best is None or wanted > best else best
    return best


def main() -> None:
    print(f"Python {platform.python_version()}, {platform.machine()}\n")
    flock, males, females = simulated(400)
    cocks, hens = males[:40], females[:200]
    prepare, known = timed(lambda: genotype_probabilities(flock, "lav"))
    whole, table = timed(lambda: pairing_table(known, cocks, hens, "lav/lav"))
    sample = random.Random(1).sample(list(table), 20)

    def singly() -> list[object]:
        return [known.offspring(row.sire, row.dam).fraction("lav/lav") for row in sample]

    one, answers = timed(singly)
    if answers != [row.wanted for row in sample]:
        message = "the table and the single matings differ"
        raise SystemExit(message)
    print(f"| {len(flock)} birds, {len(cocks)} cocks x {len(hens)} hens | seconds |\n| --- | --- |")
    print(f"| what every bird carries | {prepare:.2f} |\n| table of {len(table)} pairings | {whole:.2f} |")
    print(f"| the same pair by pair (from {len(sample)} pairs) | {one / len(sample) * len(table):.0f} |")
    for words, bounds in (("pens of 1 to 10 hens", (1, 10)), ("pens of 3 to 10 hens or none", (3, 10))):
        taken, _ = timed(lambda bounds=bounds: assign_pens(table, bounds))  # type: ignore[misc]
        print(f"| {words} | {taken:.2f} |")
    print("\n| cocks x hens | pens | every assignment | times |\n| --- | --- | --- | --- |")
    for number in (3, 4, 5, 6, 7):
        few = pairing_table(known, cocks[:3], hens[:number], "lav/lav")
        taken, plan = timed(lambda few=few: assign_pens(few, (1, 3)))  # type: ignore[misc]
        slow, best = timed(lambda few=few: by_brute_force(few, (1, 3)))  # type: ignore[misc]
        if plan.wanted != best:
            message = "the pens are not the best there are"
            raise SystemExit(message)
        print(f"| 3 x {number} | {1000 * taken:.1f} ms | {1000 * slow:.0f} ms | {slow / taken:.0f} |")


if __name__ == "__main__":
    main()
