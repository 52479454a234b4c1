"""What is written in the checkout: one version, and nothing about how it came to be written."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pinfeather

WRITTEN = {".c", ".cfg", ".css", ".csv", ".ini", ".json", ".md", ".py", ".svg", ".toml", ".txt", ""}
PLACES = (".ci", "docs", "examples", "src", "tests")

# Put together here, so that this file does not contain what it looks for.
FORBIDDEN = [
    "seed" + " document",
    "tran" + "script",
    "coding" + " session",
    "practitioner" + r".s video",
    "/wo" + "rk/",
    "/fa" + "rm/",
    r"\bsha" + "red/",
    "/tmp/" + "brief",
    "DESIGN" + r"\.md",
    "METHODS" + r"\.md",
    "CHECKS" + r"\.md",
    "checks" + r"\.json",
    "FOWL" + r"\.md",
    "STYLE" + r"\.md",
    r"\bsub" + r"agents?\b",
    r"\bL" + r"LMs?\b",
]


def texts(root: Path) -> Iterator[tuple[Path, str]]:
    tops = [path for path in root.iterdir() if path.is_file()]
    deeper = [path for place in PLACES for path in (root / place).rglob("*") if path.is_file()]
    for path in sorted(tops + deeper):
        hidden_away = {"__pycache__", "_build"} & set(path.parts)
        if path.suffix in WRITTEN and not hidden_away and not path.name.startswith(".cov"):
            yield path, path.read_text(encoding="utf-8")


def test_nothing_speaks_of_how_it_was_made(root: Path) -> None:
    search = re.compile("|".join(FORBIDDEN), re.IGNORECASE)
    seen = {str(path.relative_to(root)): text for path, text in texts(root)}
    assert len(seen) > 40
    found = [f"{path}: {hit.group(0)}" for path, text in seen.items() for hit in search.finditer(text)]
    assert found == []


def test_the_search_for_forbidden_words_bites() -> None:
    planted = "see the " + "seed" + " Document in /wo" + "rk/notes"
    assert len(re.findall("|".join(FORBIDDEN), planted, re.IGNORECASE)) == 2


def test_readme_changelog_and_package_agree_on_the_version(root: Path) -> None:
    version = pinfeather.__version__
    changelog = (root / "CHANGELOG.md").read_text(encoding="utf-8")
    headings = re.findall(r"^## \[([^\]]+)\]", changelog, re.MULTILINE)
    assert headings[0] == "Unreleased"
    if ".dev" in version:
        assert version.split(".dev")[0] not in headings, "released already: the version has to move on"
    else:
        assert headings[1] == version
    stated = re.findall(r"\bversion (\d+\.\d+\.\d+[\w.]*\w)", (root / "README.md").read_text(encoding="utf-8"))
    assert stated == [version]


def test_the_version_is_written_in_one_place(root: Path) -> None:
    settings = (root / "pyproject.toml").read_text(encoding="utf-8")
    assert 'dynamic = ["version"]' in settings
    assert not re.search(r"^version\s*=", settings, re.MULTILINE)
