"""The benchmarks stay apart from the tests, and the page of speed holds what they measured and nothing else."""

from __future__ import annotations

import ast
import datetime
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.benchmarks import speed_page
from tests.benchmarks.measuring import Point, Row, number, shown

FILES = sorted((Path(__file__).parents[1] / "benchmarks").glob("bench_*.py"))
PAGES = {page.name: page.read_text(encoding="utf-8") for page in speed_page.PAGES}


def calls(tree: ast.AST) -> set[str]:
    return {ast.unparse(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)}


def test_the_files_are_numbered_without_a_gap() -> None:
    numbers = [int(path.name.split("_")[1]) for path in FILES]
    assert numbers == list(range(1, len(FILES) + 1))
    assert len(FILES) == 9


def test_the_test_suite_does_not_go_there(root: Path) -> None:
    """Nothing of the benchmarks is collected, neither from the top nor by the name of the folder above."""
    command = [
        sys.executable,
        "-m",
        "pytest",
        "--collect-only",
        "-q",
        "-p",
        "no:cacheprovider",
        "tests/house",
        "tests/benchmarks",
    ]
    told = subprocess.run(command, capture_output=True, text=True, check=False, cwd=root).stdout
    assert "tests/house/test_benchmarks.py" in told
    assert [line for line in told.splitlines() if line.startswith("tests/benchmarks")] == []


@pytest.mark.parametrize("path", FILES, ids=[path.stem for path in FILES])
def test_no_benchmark_asserts_a_time(path: Path) -> None:
    """Whether a goal was reached is written down; only answers are asserted."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    asserted = " ".join(ast.unparse(node.test) for node in ast.walk(tree) if isinstance(node, ast.Assert))
    assert not re.search(r"\b(taken|times|median|seconds|ratio|reached|slow|whole)\b", asserted)
    assert not any("time.perf_counter" in call for call in calls(tree))


def test_every_place_on_the_pages_is_filled_and_every_measurement_has_a_place() -> None:
    found = [place for text in PAGES.values() for place in speed_page.PLACE.findall(text)]
    names = [name for _, name, _, _ in found]
    assert len(names) == len(set(names))
    assert set(names) == speed_page.expected()
    assert [name for _, name, inside, _ in found if len(inside.split()) < 10] == []


def test_the_page_says_when_where_and_with_what_it_was_measured() -> None:
    text = PAGES["speed.md"]
    told = re.search(r"Measured on (\d+ \w+ \d{4}) on \d+ processors \(.+\), \w+; Python 3\.\d+\.\d+, ", text)
    assert told
    assert datetime.datetime.strptime(told[1], "%d %B %Y").year >= 2026
    assert all(re.search(rf"\b{name} \d", text) for name in speed_page.LIBRARIES)


def test_a_goal_that_is_missed_stays_on_the_page_and_is_listed() -> None:
    text = PAGES["speed.md"]
    counted = re.search(r"(\d+) of (\d+) goals were reached, and (\d+) were not", text)
    assert counted
    reached, goals, missed = map(int, counted.groups())
    assert reached + missed == goals
    assert text.count("| yes |") == reached
    assert text.count("| **no** |") == missed
    assert goals > 30


def test_every_curve_on_a_page_has_its_picture_and_no_picture_is_left_over() -> None:
    shown_there = {name for text in PAGES.values() for name in re.findall(r"\]\(speed/([\w-]+)\.svg\)", text)}
    pictures = {path.stem: path.read_text(encoding="utf-8") for path in speed_page.PICTURES.glob("*.svg")}
    assert set(pictures) == shown_there
    assert shown_there <= set(speed_page.CURVES)
    assert all("pinfeather" in text and "seconds" in text for text in pictures.values())


# -- the writer of the page, on figures made up ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0.0000042, "4 µs"), (0.00123, "1.23 ms"), (0.0123, "12.3 ms"), (0.5, "500 ms"), (1.25, "1.2 s"), (12, "12 s")],
)
def test_a_time_is_shown_to_two_or_three_figures(seconds: float, words: str) -> None:
    assert shown(seconds) == words


@pytest.mark.parametrize(("ratio", "words"), [(0.034, "0.03"), (1.5, "1.50"), (3.14, "3.1"), (12345.6, "12,346")])
def test_a_ratio_is_shown_to_two_or_three_figures(ratio: float, words: str) -> None:
    assert number(ratio) == words


def test_rows_with_and_without_goals_become_a_table() -> None:
    rows = [Row("a cross", 0.002, "the plain way", "3.0 times as fast", "at least 5", reached=False)]
    rows += [Row("a hatch", None, "", "2 MB", "", None)]
    told = speed_page.table_of(rows)
    assert "| a cross | 2.00 ms | the plain way | 3.0 times as fast | at least 5 | **no** |" in told
    assert "| a hatch | | | 2 MB | | |" in told
    assert "goal" not in speed_page.table_of(rows[1:])


def test_a_curve_becomes_a_picture_and_a_table(tmp_path: Path) -> None:
    points = [Point("pens", 3, {"pinfeather": 0.002, "plain": 0.004}, {}), Point("pens", 6, {"pinfeather": 0.002}, {})]
    told = speed_page.curve_of("pens", points)
    assert "| 3 | 2.00 ms | 4.00 ms (2.0) |" in told
    assert "| 6 | 2.00 ms | – |" in told
    pytest.importorskip("matplotlib")
    speed_page.draw("pens", points, tmp_path)
    assert "plain" in (tmp_path / "pens.svg").read_text(encoding="utf-8")


def test_only_what_stands_in_marked_places_is_replaced() -> None:
    page = "before\n<!-- measured: pens -->\nold\n<!-- end of pens -->\nafter\n"
    once = speed_page.filled(page, {"pens": "new\n"})
    assert once == "before\n<!-- measured: pens -->\n\nnew\n\n<!-- end of pens -->\nafter\n"
    assert speed_page.filled(once, {"pens": "new\n"}) == once


def test_the_list_of_goals_is_taken_from_the_tables() -> None:
    rows = [
        Row("a cross", 0.002, "the plain way", "3.0 times as fast", "at least 5", reached=False),
        Row("a hatch", 0.002, "", "", "under 5.00 ms", reached=True),
    ]
    told = speed_page.missed(speed_page.table_of(rows))
    assert told.startswith("1 of 2 goals were reached, and 1 were not:")
    assert "- a cross: 2.00 ms, the plain way, 3.0 times as fast (goal: at least 5)" in told


def test_a_run_that_left_something_out_writes_nothing() -> None:
    part = speed_page.Measured(tables={"pens": [Row("a pen", 1.0, "", "")]}, date=datetime.date(2026, 1, 1))
    with pytest.raises(SystemExit, match="not whole"):
        speed_page.write(part)
