"""How long a programme takes to find and prove, against the number of genes and lines, printed as a Markdown table.

Run by hand, with pinfeather installed::

    python tests/benchmarks/bench_programme.py

Times are in processor seconds, each of one search from scratch with nothing remembered; beside each stands its ratio to
the first row of the same run, which does not depend on the machine.  "open" is a search that the time limit cut short.
"""

from __future__ import annotations

import gc
import time
from typing import Any

from pinfeather import Linkage, Locus, Species, Viability
from pinfeather.plans import plan_programme

RECESSIVES = [Locus(letter, f"gene {letter}", (f"{letter.upper()}+", letter)) for letter in "abcdef"]
TOY = Species(
    "toy fowl",
    loci=[
        *RECESSIVES,
        Locus("Cr", "crest", ("Cr", "cr+")),
        Locus("Cp", "creeper", ("Cp", "cp+")),
        Locus("z", "zed", ("Z+", "z"), chromosome="Z"),
    ],
    viability=[Viability("Cp/Cp", 0, "embryo", "dies early")],
)
COMB = Species(
    "combed fowl",
    loci=[Locus("P", "pea comb", ("P", "p+")), Locus("O", "blue egg", ("O", "o+"), seen_at="laying")],
    linkage=[Linkage(("P", "O"), "0.04")],
)
LIMIT = 120.0


def lines(*genes: str) -> dict[str, str]:
    return {f"line {number}": " ".join(f"{gene}/{gene}" for gene in own) for number, own in enumerate(genes)}


Case = tuple[str, Species, dict[str, str], str, dict[str, Any]]
CASES: list[Case] = [
    ("2 recessives, 2 lines, 2 seasons", TOY, lines("a", "b"), "a/a b/b", {"max_seasons": 2}),
    ("the same, 4 seasons", TOY, lines("a", "b"), "a/a b/b", {"max_seasons": 4}),
    ("the same, with test matings", TOY, lines("a", "b"), "a/a b/b", {"max_seasons": 4, "test_matings": True}),
    ("a recessive and a lethal kept mixed", TOY, {"one": "a/a", "two": "Cp/cp+"}, "a/a Cp/cp+", {"max_seasons": 3}),
    ("3 genes, one on the Z, 3 lines, 5 seasons", TOY, {"1": "a/a", "2": "Cr/Cr", "3": "z/z"}, "a/a Cr/_ z/z", {}),
    ("the same, tests too", TOY, {"1": "a/a", "2": "Cr/Cr", "3": "z/z"}, "a/a Cr/_ z/z", {"test_matings": True}),
    ("3 recessives, 2 lines, 5 seasons", TOY, lines("ab", "c"), "a/a b/b c/c", {}),
    ("3 recessives, 3 lines, 5 seasons", TOY, lines("a", "b", "c"), "a/a b/b c/c", {}),
    ("4 recessives, 2 lines, 3 seasons", TOY, lines("ab", "cd"), "a/a b/b c/c d/d", {"max_seasons": 3}),
    ("4 recessives, 2 lines, 4 seasons", TOY, lines("ab", "cd"), "a/a b/b c/c d/d", {"max_seasons": 4}),
    ("4 recessives, 2 lines, 5 seasons", TOY, lines("ab", "cd"), "a/a b/b c/c d/d", {}),
    ("4 recessives, 4 lines, 5 seasons", TOY, lines("a", "b", "c", "d"), "a/a b/b c/c d/d", {}),
    ("5 recessives, 2 lines, 4 seasons", TOY, lines("abc", "de"), "a/a b/b c/c d/d e/e", {"max_seasons": 4}),
    (
        "blue egg without pea comb, 4 % recombination, 5 seasons, tests",
        COMB,
        {"blue": "P O/P O", "white": "p+ o+/p+ o+"},
        "O/O p+/p+",
        {"test_matings": True},
    ),
]


def measured(case: Case) -> tuple[float, str]:
    _, species, stock, target, options = case
    gc.collect()
    start = time.process_time()
    found = plan_programme(
        stock, target, species=species, **{"test_matings": False, "time_limit": LIMIT, "max_seasons": 5, **options}
    )
    taken = time.process_time() - start
    front = ", ".join(f"{p.seasons}: {p.eggs}" for p in found)
    return taken, front + ("" if found.optimal else " (open)")


def main() -> None:
    measured(CASES[0])  # what is imported late is imported now
    first = 0.0
    print("| problem | seconds | ratio | seasons: eggs |")
    print("| --- | ---: | ---: | --- |")
    for case in CASES:
        taken, front = measured(case)
        first = first or taken
        print(f"| {case[0]} | {taken:.3f} | {taken / first:.0f} | {front} |", flush=True)


if __name__ == "__main__":
    main()
