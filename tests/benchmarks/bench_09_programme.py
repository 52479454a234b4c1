"""How long a programme takes to find and prove, against the number of genes and lines."""

from __future__ import annotations

from typing import Any

import pytest

from pinfeather import Linkage, Locus, Species, Viability, plan_programme
from tests.benchmarks.measuring import Beside, Row, number
from tests.benchmarks.yardsticks.statistics import best_split

LETTERS = "abcdef"
TOY = Species(
    "toy fowl",
    loci=[
        *(Locus(letter, f"gene {letter}", (f"{letter.upper()}+", letter)) for letter in LETTERS),
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
    return {f"line {place}": pure(own) for place, own in enumerate(genes)}


def pure(genes: str) -> str:
    return " ".join(f"{gene}/{gene}" for gene in genes)


Case = tuple[str, Species, dict[str, str], str, dict[str, Any]]
THREE = {"1": "a/a", "2": "Cr/Cr", "3": "z/z"}
CASES: list[Case] = [
    ("2 recessives, 2 lines, 2 seasons", TOY, lines("a", "b"), pure("ab"), {"max_seasons": 2}),
    ("the same, 4 seasons", TOY, lines("a", "b"), pure("ab"), {"max_seasons": 4}),
    ("the same, with test matings", TOY, lines("a", "b"), pure("ab"), {"max_seasons": 4, "test_matings": True}),
    ("a recessive and a lethal kept mixed", TOY, {"one": "a/a", "two": "Cp/cp+"}, "a/a Cp/cp+", {"max_seasons": 3}),
    ("3 genes, one on the Z, 3 lines, 5 seasons", TOY, THREE, "a/a Cr/_ z/z", {}),
    ("3 genes, one on the Z, 3 lines, with test matings", TOY, THREE, "a/a Cr/_ z/z", {"test_matings": True}),
    ("3 recessives, 2 lines, 5 seasons", TOY, lines("ab", "c"), pure("abc"), {}),
    ("3 recessives, 3 lines, 5 seasons", TOY, lines("a", "b", "c"), pure("abc"), {}),
    ("4 recessives, 2 lines, 3 seasons", TOY, lines("ab", "cd"), pure("abcd"), {"max_seasons": 3}),
    ("4 recessives, 2 lines, 4 seasons", TOY, lines("ab", "cd"), pure("abcd"), {"max_seasons": 4}),
    ("4 recessives, 2 lines, 5 seasons", TOY, lines("ab", "cd"), pure("abcd"), {}),
    ("4 recessives, 4 lines, 5 seasons", TOY, lines("a", "b", "c", "d"), pure("abcd"), {}),
    ("5 recessives, 2 lines, 4 seasons", TOY, lines("abc", "de"), pure("abcde"), {"max_seasons": 4}),
    (
        "blue egg without pea comb, 4 % recombination, 5 seasons, test matings",
        COMB,
        {"blue": "P O/P O", "white": "p+ o+/p+ o+"},
        "O/O p+/p+",
        {"test_matings": True},
    ),
]


def planned(case: Case) -> Any:
    _, species, stock, target, options = case
    settings = {"test_matings": False, "time_limit": LIMIT, "max_seasons": 5, **options}
    return lambda: plan_programme(stock, target, species=species, **settings)


def bench_beside_all_splits(beside: Beside) -> None:
    """Two recessives from two lines: a script knows the two steps beforehand and tries all splits of the eggs."""
    beside.compare(
        CASES[0][0],
        planned(CASES[0]),
        "all splits of the eggs between two steps known beforehand, numpy",
        lambda: best_split([1 / 2, 1 / 32], 0.95, 2000),
        rounds=5,
        same=lambda found, eggs: tuple(step.eggs for step in found.best.steps) == eggs == (10, 118),
    )


@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def bench_growth(beside: Beside, case: Case) -> None:
    """Each search is from scratch; "open" is one that the time limit cut short."""
    front: list[Any] = []

    def search() -> None:
        front[:] = [planned(case)()]

    times = beside.take_turns(search, {"the first": planned(CASES[0])}, rounds=1)
    (found,) = front
    assert found.best.chance >= 0.95
    told = ", ".join(f"{plan.eggs:,} in {plan.seasons}" for plan in found) + ("" if found.optimal else " (open)")
    (taken,), (first,) = times["pinfeather"], times["the first"]
    beside.add(Row(case[0], taken, "the first problem", f"{number(taken / first)} times as long; eggs {told}"))
