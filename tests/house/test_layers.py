"""The arrows between the rooms point one way, and the check that says so really bites."""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

LINT = """
import sys
sys.path.insert(0, {folder!r})
from importlinter.cli import lint_imports
sys.exit(lint_imports(no_cache=True, no_logo=True))
"""
FLOORS = "A room imports only from the floors below it"


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Run the import contracts of pyproject.toml over the package in ``folder``."""
    command = [sys.executable, "-c", LINT.format(folder=str(folder))]
    return subprocess.run(command, capture_output=True, text=True, check=False, cwd=folder)


@pytest.fixture(scope="module")
def copied(tmp_path_factory: pytest.TempPathFactory, root: Path) -> Path:
    folder = tmp_path_factory.mktemp("house")
    junk = shutil.ignore_patterns("__pycache__")
    shutil.copytree(root / "src" / "pinfeather", folder / "pinfeather", ignore=junk)
    shutil.copy(root / "pyproject.toml", folder)
    return folder


def test_every_import_keeps_to_the_contracts(copied: Path) -> None:
    result = lint(copied)
    assert result.returncode == 0, result.stdout + result.stderr
    assert "0 broken" in result.stdout


@pytest.mark.parametrize(
    ("room", "line", "contract"),
    [
        ("heredity", "from pinfeather.crosses import cross", FLOORS),
        ("exact", "def late():\n    import pinfeather.heredity", FLOORS),
        ("hatches", "import pinfeather.pedigree", FLOORS),
        ("records", "import pinfeather.fowl", FLOORS),
        ("crosses", "def late():\n    import sympy", "sympy enters through exact only"),
        ("pedigree", "import numpy", "numpy enters through exact and the kinship matrix only"),
        ("heredity", "import networkx", "networkx enters through the pedigree and the plans only"),
        ("records", "import matplotlib.pyplot", "matplotlib enters through the pictures only"),
    ],
)
def test_a_wrong_arrow_is_caught(copied: Path, room: str, line: str, contract: str) -> None:
    planted = copied / "pinfeather" / room / "planted.py"
    planted.write_text(line + "\n", encoding="utf-8")
    try:
        result = lint(copied)
    finally:
        planted.unlink()
    assert result.returncode == 1
    assert f"{contract} BROKEN" in result.stdout


def test_no_room_goes_through_the_front_door(trees: dict[Path, ast.Module], package: Path) -> None:
    """A room takes what it needs from another room: the top face would hide the arrow."""
    rooms = {path.stem for path in package.iterdir()}
    through = [
        f"{path.relative_to(package)}:{node.lineno}"
        for path, tree in trees.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom)
        and node.module == "pinfeather"
        and {alias.name for alias in node.names} - rooms
    ]
    assert through == []
