"""Files and functions stay small enough to read, and are named for what they answer."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

LONGEST_FILE = 450
LONGEST_FUNCTION = 60
NAMES_THAT_SAY_NOTHING = {
    "base",
    "common",
    "core",
    "helpers",
    "misc",
    "new",
    "old",
    "temp",
    "tools",
    "util",
    "utils",
}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions(tree: ast.Module) -> Iterator[Function]:
    return (node for node in ast.walk(tree) if isinstance(node, Function))


def lines_of(function: Function) -> int:
    """The lines of a function without its docstring."""
    total = int(function.end_lineno or 0) - function.lineno + 1
    first = function.body[0]
    if ast.get_docstring(function) is not None:
        total -= int(first.end_lineno or 0) - first.lineno + 1
    return total


def test_no_file_outgrows_the_limit(trees: dict[Path, ast.Module]) -> None:
    sizes = {path.name: len(path.read_text(encoding="utf-8").splitlines()) for path in trees}
    assert {name: size for name, size in sizes.items() if size > LONGEST_FILE} == {}


def test_no_function_outgrows_the_limit(trees: dict[Path, ast.Module]) -> None:
    sizes = {f"{path.name}:{f.name}": lines_of(f) for path, tree in trees.items() for f in functions(tree)}
    assert {name: size for name, size in sizes.items() if size > LONGEST_FUNCTION} == {}


def test_every_file_is_named_for_what_it_answers(package: Path) -> None:
    names = {path.stem for path in package.rglob("*")}
    assert names & NAMES_THAT_SAY_NOTHING == set()


def test_no_file_of_the_package_looks_like_a_test(package: Path) -> None:
    assert [path.name for path in package.rglob("test_*")] == []
