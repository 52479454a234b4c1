"""The relations that examples/flock_relations.py prints, worked out again from its file by the textbook's recursion."""

from __future__ import annotations

import csv
import functools
import re
from fractions import Fraction
from pathlib import Path

import pytest

from tests.examples.scripts import run

EXAMPLES = Path(__file__).parents[2] / "examples"
SCRIPT = EXAMPLES / "flock_relations.py"
BOOK = EXAMPLES / "data" / "flock_birds.csv"
Parents = dict[str, Fraction]


@pytest.fixture(scope="module")
def output() -> str:
    done = run(SCRIPT)
    assert done.returncode == 0, done.stderr
    return done.stdout


@functools.cache
def birds() -> dict[str, tuple[Parents, Parents, str, str]]:
    """Name -> possible sires and dams with their chances, sex, season; read without the library."""
    lines = [line for line in BOOK.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return {
        row["id"]: (possible(row["sire"]), possible(row["dam"]), row["sex"], row["hatched"][:4])
        for row in csv.DictReader(lines)
    }


def possible(cell: str) -> Parents:
    """``Sorrel 1/2; Alder 1/2`` -> each with its chance."""
    found = {}
    for part in filter(None, cell.split("; ")):
        name, _, chance = part.partition(" ")
        found[name] = Fraction(chance or "1")
    return found


@functools.cache
def kinship(one: str, other: str) -> Fraction:
    """The recursion of the textbooks over the younger of two birds (the file lists parents first)."""
    order = list(birds())
    if order.index(one) > order.index(other):
        return kinship(other, one)
    sires, dams, *_ = birds()[other]
    if one == other:
        return (1 + inbreeding(one)) / 2
    return sum((chance * kinship(one, p) for side in (sires, dams) for p, chance in side.items()), Fraction(0)) / 2


def inbreeding(name: str) -> Fraction:
    sires, dams, *_ = birds()[name]
    pairs = ((s, d, p * q) for s, p in sires.items() for d, q in dams.items())
    return sum((chance * kinship(sire, dam) for sire, dam, chance in pairs), Fraction(0))


@functools.cache
def share(name: str, founder: str) -> Fraction:
    """The expected share of a bird's genes that come from a founder."""
    sires, dams, *_ = birds()[name]
    if not sires and not dams:
        return Fraction(name == founder)
    return sum((chance * share(p, founder) for side in (sires, dams) for p, chance in side.items()), Fraction(0)) / 2


def of_2026(sex: str) -> list[str]:
    return [name for name, bird in birds().items() if bird[3] == "2026" and bird[2] == sex]


def test_it_says_that_the_flock_is_invented(output: str) -> None:
    assert output.startswith("This flock is invented")


def test_every_inbreeding_named_is_that_of_the_recursion(output: str) -> None:
    named = re.findall(r"^  (\w+)(?: and (\w+))?: inbreeding ([\d/]+), by", output, re.MULTILINE)
    assert len(named) == 4
    for one, other, value in named:
        assert inbreeding(one) == Fraction(value)
        assert not other or inbreeding(other) == Fraction(value)
    assert Fraction(named[0][2]) == max(inbreeding(name) for name in birds())


def test_the_means_of_the_seasons_are_those_of_the_recursion(output: str) -> None:
    rows = re.findall(r"^  (20\d\d) +(\d+) +[\d.]+ +([\d.]+)$", output, re.MULTILINE)
    assert [row[0] for row in rows] == ["2021", "2022", "2023", "2024", "2025", "2026"]
    for season, count, mean in rows:
        values = [inbreeding(name) for name, bird in birds().items() if bird[3] == season]
        assert len(values) == int(count)
        assert float(mean) == pytest.approx(float(sum(values)) / len(values), abs=0.0005)


def test_every_pairing_in_the_table_is_that_of_the_recursion(output: str) -> None:
    cocks = of_2026("cock")
    assert re.search(r"^ +" + " +".join(cocks) + "$", output, re.MULTILINE)
    rows = re.findall(r"^  (\w+) +(\d+/\d+) +(\d+/\d+) +(\d+/\d+)$", output, re.MULTILINE)
    assert sorted(row[0] for row in rows) == sorted(of_2026("hen"))
    for hen, *values in rows:
        assert [Fraction(value) for value in values] == [kinship(cock, hen) for cock in cocks]


def test_close_pairings_are_counted_and_cautioned(output: str) -> None:
    close = sum(kinship(cock, hen) >= Fraction(1, 8) for cock in of_2026("cock") for hen in of_2026("hen"))
    assert f"{close} of 27 pairings" in output
    assert "veterinarian" in output


def test_the_founders_shares_are_those_of_the_recursion(output: str) -> None:
    young = of_2026("cock") + of_2026("hen")
    rows = re.findall(r"^  (\w+) +(\d+(?:/\d+)?) +[\d.]+ % +([\d.]+) %$", output, re.MULTILINE)
    assert len(rows) == 10
    for founder, value, lost in rows:
        assert Fraction(value) == sum(share(name, founder) for name in young) / len(young)
        assert (float(lost) == 100.0) is (Fraction(value) == 0)
    assert sum(Fraction(value) for _, value, _ in rows) == 1


def test_the_effective_sizes_are_wrights(output: str) -> None:
    """S. Wright 1931, Genetics 16:97-159: 4MF/(M + F); sex-linked 9MF/(4M + 2F), the sexes exchanged for birds."""
    told = re.sub(r"\s+", " ", output)
    assert "3 cocks and 6 hens: an effective size of 8.0 birds, 5.4 for genes on the Z" in told
    assert (Fraction(4 * 3 * 6, 3 + 6), Fraction(9 * 3 * 6, 4 * 6 + 2 * 3)) == (8, Fraction("5.4"))
