"""Errors are part of the interface: one root, a fitting built-in, picklable, and each of them tested."""

from __future__ import annotations

import ast
import builtins
import pickle
import re
from pathlib import Path

import pytest

from pinfeather import errors

ROOTS = {"PinfeatherError", "PinfeatherWarning"}
NAMES = sorted(set(errors.__all__) - ROOTS)


def is_warning(name: str) -> bool:
    return issubclass(getattr(errors, name), Warning)


def test_the_page_of_errors_lists_all_its_classes(trees: dict[Path, ast.Module], package: Path) -> None:
    classes = [node.name for node in trees[package / "errors.py"].body if isinstance(node, ast.ClassDef)]
    assert sorted(classes) == errors.__all__


def test_no_error_is_defined_elsewhere(trees: dict[Path, ast.Module], package: Path) -> None:
    strays = [
        f"{path.name}: {node.name}"
        for path, tree in trees.items()
        if path != package / "errors.py"
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef) and node.name.endswith(("Error", "Warning"))
    ]
    assert strays == []


@pytest.mark.parametrize("name", NAMES)
def test_every_error_has_our_root_and_a_fitting_built_in(name: str) -> None:
    kind = getattr(errors, name)
    root = errors.PinfeatherWarning if is_warning(name) else errors.PinfeatherError
    assert issubclass(kind, root)
    built_in = {base for base in kind.__mro__ if base.__module__ == "builtins"}
    assert built_in - {Exception, BaseException, object, getattr(builtins, "Warning", Warning)}


@pytest.mark.parametrize("name", sorted(n for n in errors.__all__ if not is_warning(n)))
def test_every_error_survives_pickling_with_its_fields(name: str) -> None:
    error = getattr(errors, name)("the cock has no ring; write one", bird="Rook", line=3)
    twin = pickle.loads(pickle.dumps(error))
    assert type(twin) is type(error)
    assert str(twin) == "the cock has no ring; write one"
    assert (twin.bird, twin.line) == ("Rook", 3)


@pytest.mark.parametrize("name", sorted(n for n in errors.__all__ if is_warning(n)))
def test_every_warning_survives_pickling(name: str) -> None:
    warning = getattr(errors, name)("the expected count is small")
    twin = pickle.loads(pickle.dumps(warning))
    assert (type(twin), str(twin)) == (type(warning), "the expected count is small")


@pytest.mark.parametrize("name", NAMES)
def test_every_error_is_expected_by_some_test(name: str, behaviour_tests: dict[Path, str]) -> None:
    way = "warns" if is_warning(name) else "raises"
    expected = re.compile(rf"pytest\.{way}\([^)]*\b{name}\b")
    assert any(expected.search(text) for text in behaviour_tests.values()), f"no test waits for {name}"
