"""The script that guards the house: it runs the README's own commands and sees what it should see."""

from __future__ import annotations

import argparse
import importlib.util
import os
import subprocess
import sys
import types
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest


def script(root: Path, name: str) -> types.ModuleType:
    spec = importlib.util.spec_from_file_location(name, root / ".ci" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_readme_gives_two_commands_for_the_job_and_for_the_tests(root: Path) -> None:
    job, tests = script(root, "readme_commands").commands((root / "README.md").read_text(encoding="utf-8"))
    assert job.endswith("examples/plan_the_season.py")
    assert tests.endswith(".venv/bin/pytest -n auto --dist loadfile")


def test_the_commands_are_printed_one_a_line_for_the_shell(root: Path) -> None:
    call = [sys.executable, str(root / ".ci" / "readme_commands.py"), str(root / "README.md")]
    printed = subprocess.run(call, capture_output=True, text=True, check=True).stdout.splitlines()
    assert len(printed) == 2
    assert all(line.startswith("python3 -m venv .venv && ") for line in printed)


@pytest.mark.parametrize("count", [0, 1, 3])
def test_a_readme_with_any_other_number_of_commands_is_refused(root: Path, count: int) -> None:
    text = "python3 -m venv .venv && true\n" * count + "  python3 -m venv .venv && indented\n"
    with pytest.raises(ValueError, match=f"it has {count}"):
        script(root, "readme_commands").commands(text)


def test_the_ci_script_can_be_run_and_takes_its_commands_from_the_readme(root: Path) -> None:
    text = (root / ".ci" / "run").read_text(encoding="utf-8")
    assert os.access(root / ".ci" / "run", os.X_OK)
    assert text.startswith("#!/usr/bin/env bash\n")
    assert "set -euo pipefail" in text
    assert ".ci/readme_commands.py" in text
    assert "plan_the_season" not in text


@pytest.fixture
def small_package(tmp_path: Path) -> Path:
    source = tmp_path / "src" / "pinfeather"
    (source / "fowl").mkdir(parents=True)
    for name in ("__init__.py", "py.typed", "fowl/loci.toml"):
        (source / name).touch()
    return source


def wheel(folder: Path, names: list[str], tag: str = "py3-none-any") -> Path:
    path = folder / f"pinfeather-1-{tag}.whl"
    with zipfile.ZipFile(path, "w") as archive:
        for name in [*names, "pinfeather-1.dist-info/METADATA"]:
            archive.writestr(name, "")
    return path


WHOLE = ["pinfeather/__init__.py", "pinfeather/py.typed", "pinfeather/fowl/loci.toml"]


@pytest.mark.parametrize(
    ("names", "tag", "fault"),
    [
        (WHOLE, "py3-none-any", None),
        (WHOLE[:2], "py3-none-any", "missing from the wheel: pinfeather/fowl/loci.toml"),
        ([WHOLE[0], WHOLE[2]], "py3-none-any", "py.typed is missing"),
        ([*WHOLE, "tests/test_face.py"], "py3-none-any", "does not belong in the wheel: tests/test_face.py"),
        (WHOLE, "cp311-cp311-linux_x86_64", "not a wheel of pure Python"),
    ],
)
def test_a_wheel_holds_the_package_and_nothing_else(
    root: Path, tmp_path: Path, small_package: Path, names: list[str], tag: str, fault: str | None
) -> None:
    found = script(root, "wheel_contents").faults(wheel(tmp_path, names, tag), small_package)
    if fault is None:
        assert found == []
    else:
        assert any(fault in line for line in found)


@pytest.mark.parametrize(
    ("page", "caught"),
    [
        ('<script src="https://example.org/maths.js"></script>', True),
        ('<link rel="stylesheet" href="//example.org/a.css">', True),
        ('<link href="https://example.org/a.css" rel="stylesheet">', True),
        ("<style>@import url('https://example.org/a.css')</style>", True),
        ("<style>@font-face {src: url(https://example.org/a.woff2)}</style>", True),
        ('<img alt="hen" src="https://example.org/hen.png">', True),
        ('<a href="https://example.org">a link to follow</a>', False),
        ('<script src="_static/here.js"></script><img src="hen.png">', False),
        ('<svg xmlns="http://www.w3.org/2000/svg"></svg>', False),
    ],
)
def test_pages_that_load_from_elsewhere_are_found(root: Path, tmp_path: Path, page: str, caught: bool) -> None:
    (tmp_path / "index.html").write_text(page, encoding="utf-8")
    assert bool(script(root, "built_pages").outside_loads(tmp_path)) is caught


def test_names_without_an_entry_in_the_built_pages_are_found(root: Path, tmp_path: Path) -> None:
    inventory = tmp_path / "objects.inv"
    entries = "pinfeather.cross py:function 1 crosses.html#$ -\ncrest std:label -1 x.html -\n"
    header = b"# Sphinx inventory version 2\n# Project: p\n# Version: 1\n# The rest is compressed using zlib.\n"
    inventory.write_bytes(header + zlib.compress(entries.encode()))
    missing = script(root, "built_pages").missing_names(inventory)
    assert "cross" not in missing
    assert "gametes" in missing


# ---- the browser's Python --------------------------------------------------------------------------------------------

ANSWERS = {"plain": {"first": "1/4", "many": ["a", "b"]}, "tables": {"related": "1/8"}}


def test_the_page_about_browsers_gives_the_commands_that_ci_runs(root: Path) -> None:
    page = (root / "docs" / "how-to" / "run_in_a_browser.md").read_text(encoding="utf-8")
    commands = script(root, "browser_runtime").laying(page)
    assert commands[0].startswith("npm install --prefix browser pyodide@")
    assert commands[-1] == "node browser/ask.mjs browser/pairing.py"


@pytest.mark.parametrize("page", ["no block", "```sh\npip download attrs\nls\n```", "```sh\nnpm install pyodide\n```"])
def test_a_page_without_the_commands_is_refused(root: Path, page: str) -> None:
    with pytest.raises(ValueError, match="block of commands"):
        script(root, "browser_runtime").laying(page)


def test_the_page_about_browsers_prints_what_its_script_prints(root: Path) -> None:
    page = (root / "docs" / "how-to" / "run_in_a_browser.md").read_text(encoding="utf-8")
    call = [sys.executable, str(root / "examples" / "browser" / "pairing.py")]
    printed = subprocess.run(call, capture_output=True, text=True, check=True).stdout
    assert f"```text\n{printed}```" in page


@pytest.mark.parametrize(
    ("there", "alike", "lacking", "wrong"),
    [
        (ANSWERS, ["first", "many", "related"], [], []),
        ({**ANSWERS, "tables": {"related": {"missing": "numpy"}}}, ["first", "many"], ["related"], []),
        ({**ANSWERS, "tables": {"related": {"missing": "sympy"}}}, ["first", "many"], [], ["related"]),
        ({**ANSWERS, "plain": {"first": "1/4", "many": {"missing": "numpy"}}}, ["first", "related"], [], ["many"]),
        ({**ANSWERS, "plain": {"first": "1/4", "many": ["a"]}}, ["first", "related"], [], ["many"]),
        ({}, [], [], ["first", "many", "related", "nothing"]),
    ],
)
def test_answers_of_two_pythons_are_compared(
    root: Path, there: dict[str, dict[str, object]], alike: list[str], lacking: list[str], wrong: list[str]
) -> None:
    same, without, faults = script(root, "browser_runtime").compared(ANSWERS, there)
    assert (same, without) == (alike, lacking)
    assert [fault.split(":")[0].split()[0] for fault in faults] == wrong


def test_a_python_here_without_numpy_proves_nothing(root: Path) -> None:
    lacking = {"tables": {"related": {"missing": "numpy"}}}
    assert script(root, "browser_runtime").compared(lacking, lacking)[2] != []


def test_a_machine_without_node_is_told_that_nothing_was_asked(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert script(root, "browser_runtime").main(tmp_path) == 0
    assert "*** NOT RUN: nothing was asked in a browser's Python, since there is no node" in capsys.readouterr().out


def test_the_page_for_browsers_answers_a_pairing_and_shows_a_slip_escaped(root: Path) -> None:
    page = (root / "examples" / "browser" / "index.html").read_text(encoding="utf-8")
    block = page.partition('<script type="text/python">')[2].partition("</script>")[0]
    names: dict[str, Callable[[str, str], str]] = {}
    exec(block.replace("\n  ", "\n"), names)  # as the page itself does
    assert ">1/2</td>" in names["answer"]("Lav+/lav", "lav/lav")
    assert "animal-welfare law" in names["answer"]("Cp/cp+", "Cp/cp+")
    assert names["answer"]("<b>", "+").startswith("<p>")
    assert "<b>" not in names["answer"]("<b>", "+")


# ---- mutants ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("part", "whole", "low", "high"),
    [(0, 10, 0, 0.3085), (10, 10, 0.6915, 1), (5, 10, 0.1871, 0.8129), (95, 100, 0.8872, 0.9836)],
)
def test_a_sample_of_mutants_is_reported_with_the_interval_of_the_tables(
    root: Path, part: int, whole: int, low: float, high: float
) -> None:
    """C. J. Clopper and E. S. Pearson 1934, Biometrika 26:404-413; the figures for 10 are those of their method in any
    table of exact binomial limits (from memory).
    """
    assert script(root, "mutation").interval(part, whole) == pytest.approx((low, high), abs=1e-4)


def test_mutants_are_chosen_by_name_by_what_became_of_them_and_by_a_seeded_draw(root: Path) -> None:
    mutation = script(root, "mutation")
    known = {f"exact.counting.{n}": 1 for n in range(40)} | {
        "exact.roots.1": 0,
        "exact.roots.2": 33,
        "exact.tails": None,
    }

    def chosen(only: str = "*", again: bool = False, sample: int | None = None, seed: int = 1) -> list[str]:
        asked = argparse.Namespace(only=only, again=again, sample=sample, seed=seed)
        return list(mutation.chosen(known, asked))

    assert chosen() == sorted(known)
    assert chosen("*roots*") == ["exact.roots.1", "exact.roots.2"]
    assert chosen(again=True) == ["exact.roots.1", "exact.roots.2"]
    assert len(chosen(sample=10)) == 10
    assert chosen(sample=10) == chosen(sample=10) != chosen(sample=10, seed=2)


@pytest.mark.parametrize(
    ("code", "status"),
    [(None, "not run"), (0, "survived"), (1, "killed"), (255, "killed at once"), (-24, "timed out"), (33, "untested")],
)
def test_what_became_of_a_mutant_is_read_off_its_exit_code(root: Path, code: int | None, status: str) -> None:
    assert script(root, "mutation").status(code) == status


@pytest.mark.parametrize(
    ("before", "after", "idle"),
    [
        ("zip(a, b, strict=True)", "zip(a, b, strict=None)", True),
        ("zip(a, b, strict=True)", "zip(a, b, )", True),
        ("zip(a, b, strict=True)", "zip(a, None, strict=True)", False),
        ("zip(a, b, strict=True)", "zip(a, strict=True)", False),
        ("f(a, b)", "f(a, )", False),
    ],
)
def test_a_mutant_that_only_asks_less_of_zip_is_known_as_such(root: Path, before: str, after: str, idle: bool) -> None:
    difference = f"--- a.py\n+++ a.py\n@@ -1 +1 @@\n x = 1\n-y = {before}\n+y = {after}\n"
    assert script(root, "mutation").only_strictness(difference) is idle
