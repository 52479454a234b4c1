"""What the house tests look at: the checkout, its rooms and its texts."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "pinfeather"


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def package() -> Path:
    return PACKAGE


@pytest.fixture(scope="session")
def trees() -> dict[Path, ast.Module]:
    """Every source file of the package, parsed."""
    return {path: ast.parse(path.read_text(encoding="utf-8")) for path in sorted(PACKAGE.rglob("*.py"))}


@pytest.fixture(scope="session")
def behaviour_tests() -> dict[Path, str]:
    """Every test file that checks behaviour, which the house tests do not: they only look at names."""
    tests = ROOT / "tests"
    files = (path for path in sorted(tests.rglob("test_*.py")) if path.relative_to(tests).parts[0] != "house")
    return {path: path.read_text(encoding="utf-8") for path in files}
