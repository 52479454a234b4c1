"""The projects that examples/years_ahead.py prints, their figures worked out again by hand-made sums."""

from __future__ import annotations

import itertools
import math
import re
from pathlib import Path

import pytest
import scipy.stats

from tests.examples.scripts import run

SCRIPT = Path(__file__).parents[2] / "examples" / "years_ahead.py"


@pytest.fixture(scope="module")
def parts() -> dict[str, str]:
    """Heading -> its part of the output."""
    done = run(SCRIPT)
    assert done.returncode == 0, done.stderr
    pieces = re.split(r"^([A-Z].*)\n=+\n", done.stdout, flags=re.MULTILINE)
    return dict(zip(pieces[1::2], pieces[2::2], strict=True))


@pytest.fixture(scope="module")
def three_lines(parts: dict[str, str]) -> str:
    return parts["Lavender, beard and chocolate from three lines into one"]


@pytest.fixture(scope="module")
def into_a_breed(parts: dict[str, str]) -> str:
    return parts["A naked neck into the Thornbury breed"]


def eggs_of_steps(told: str) -> list[int]:
    return [int(eggs) for eggs in re.findall(r"^Step \d+\..* Set (\d+) eggs\.", told, re.MULTILINE)]


def one(share: float, eggs: int) -> float:
    """At least one wanted chick."""
    return 1 - (1 - share) ** eggs


def both(share: float, eggs: int) -> float:
    """At least one of each sex, each sex having this share of the eggs."""
    return 1 - 2 * (1 - share) ** eggs + (1 - 2 * share) ** eggs


def test_the_lines_are_said_to_be_invented(three_lines: str) -> None:
    assert "The Thornbury lines are invented" in three_lines


def test_the_chance_of_the_first_project_is_the_product_of_its_steps(three_lines: str) -> None:
    """Shares by single-locus ratios: any pullet, twice; a bearded son; and so on to the double recessive."""
    eggs = eggs_of_steps(three_lines)
    assert len(eggs) == 6
    shares = ((one, 1 / 2), (one, 1 / 2), (one, 1 / 4), (one, 1 / 8), (both, 1 / 8), (both, 1 / 16))
    chance = math.prod(way(share, number) for (way, share), number in zip(shares, eggs, strict=True))
    stated = re.search(r"Everything succeeds with ~ ([\d.]+) %", three_lines)
    assert stated
    assert float(stated[1]) == pytest.approx(100 * chance, abs=0.005)
    assert chance >= 0.95


def test_no_other_split_of_the_backcrosses_takes_fewer_eggs(into_a_breed: str) -> None:
    """Four eggs in five hatch; the first cross gives carriers only, each backcross halves them."""
    eggs = eggs_of_steps(into_a_breed)
    assert sum(eggs) == 70
    chances = (
        [one(0.4, n) for n in range(71)],
        [one(0.2, n) for n in range(71)],
        [both(0.2, n) for n in range(71)],
    )
    assert math.prod([chances[0][eggs[0]], chances[1][eggs[1]], chances[1][eggs[2]], chances[2][eggs[3]]]) >= 0.95
    fewer = (
        (a, b, c, 69 - a - b - c)
        for a, b, c in itertools.product(range(1, 69), repeat=3)
        if b <= c and a + b + c < 69 and chances[0][a] > 0.95
    )
    assert max(chances[0][a] * chances[1][b] * chances[1][c] * chances[2][d] for a, b, c, d in fewer) < 0.95


def test_three_backcrosses_bring_fifteen_sixteenths_back(into_a_breed: str) -> None:
    """1 - (1/2)**(t + 1): University of Nebraska, Plant and Soil Sciences eLibrary, lesson on backcrossing."""
    backcrosses = re.findall(r"Mate Thornbury x hen", into_a_breed)
    assert 1 - (1 / 2) ** (len(backcrosses) + 1) == 15 / 16
    assert "Expected share of the breed's background in the end: 15/16." in into_a_breed


def test_the_simulated_projects_succeed_as_often_as_was_said(parts: dict[str, str]) -> None:
    for told in parts.values():
        found = re.search(r"(\d+) of 500 simulated programmes succeeded .* exact chance is ~ ([\d.]+) %", told)
        assert found
        low, high = scipy.stats.binom.interval(0.9999, 500, float(found[2]) / 100)
        assert low <= int(found[1]) <= high


def test_an_earlier_start_takes_fewer_eggs(three_lines: str) -> None:
    before, _, after = three_lines.partition("A season later")
    rows = r"^ +(\d) +(\d+) +~ +[\d.]+ % +[\d.]+ +proven$"
    planned = {int(n): int(eggs) for n, eggs in re.findall(rows, before, re.MULTILINE)}
    again = {int(n): int(eggs) for n, eggs in re.findall(rows, after, re.MULTILINE)}
    assert again[3] < planned[4] < planned[3]
