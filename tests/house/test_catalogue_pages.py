"""The pages of the catalogue hold everything that the catalogue holds, and what harms stands in a box."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from types import ModuleType

import pytest

from pinfeather import Caution, Linkage, Locus, Source, Trait, Viability, fowl_sources, load_fowl

FOWL = load_fowl()


@pytest.fixture(scope="module")
def extension(root: Path) -> ModuleType:
    path = root / "docs" / "_extensions" / "fowl_catalogue.py"
    spec = importlib.util.spec_from_file_location("fowl_catalogue", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def pages(root: Path, extension: ModuleType) -> dict[str, str]:
    """The pages as the documentation is built from them."""
    found = (root / "docs" / "catalogue").glob("*.md")
    return {page.stem: extension.filled(page.read_text(encoding="utf-8")) for page in found}


def section(page: str, target: str) -> str:
    """What stands from one target to the next."""
    return page.split(f"({target})=\n", 1)[1].split("\n(", 1)[0]


def test_every_part_is_asked_for_and_no_place_is_left(pages: dict[str, str]) -> None:
    assert len(pages) == 6
    assert [name for name, page in pages.items() if "<!-- catalogue" in page] == []


@pytest.mark.parametrize("locus", FOWL.loci, ids=lambda locus: locus.symbol)
def test_every_locus_is_told_in_full(locus: Locus, pages: dict[str, str], extension: ModuleType) -> None:
    text = section(pages["loci"], extension.anchor("locus", locus.name))
    assert all(f"`{symbol}`" in text for symbol in (locus.symbol, *locus.symbols, *locus.aliases))
    assert all(f"| `{pattern}` | {extension.words(look)} |" in text for pattern, look in locus.shows.items())
    assert all(f"(#{extension.anchor('source', key)})" in text for key in locus.sources)
    assert f"{locus.flag}, {extension.FLAGS[locus.flag]}" in text
    assert extension.words(locus.notes) in text
    assert extension.age(locus.seen_at) in text


@pytest.mark.parametrize("trait", FOWL.traits, ids=lambda trait: trait.name)
def test_every_trait_is_told_in_full(trait: Trait, pages: dict[str, str], extension: ModuleType) -> None:
    text = section(pages["traits"], extension.anchor("trait", trait.name))
    assert all(f"`{rule.pattern}`" in text for rule in trait.rules if rule.pattern)
    assert all(extension.words(label) in text for label in trait.labels)
    assert all(f"(#{extension.anchor('source', key)})" in text for key in trait.sources)
    assert extension.words(trait.notes) in text


@pytest.mark.parametrize("group", FOWL.linkage, ids=lambda group: "-".join(group.loci))
def test_every_linkage_is_told_with_its_figures(group: Linkage, pages: dict[str, str], extension: ModuleType) -> None:
    catalogue = extension.Catalogue(FOWL, fowl_sources())
    text = section(pages["linkage"], catalogue.linkage_anchor(group))
    figures = [share for shares in (*group.recombination, *group.pairs.values()) for share in shares]
    assert all(f"`{symbol}`" in text for symbol in group.loci)
    assert all(str(share) in text for share in figures if share is not None)
    assert all(f"(#{extension.anchor('source', key)})" in text for key in group.sources)
    assert extension.words(group.notes) in text


@pytest.mark.parametrize("source", fowl_sources().values(), ids=lambda source: source.key)
def test_every_source_is_in_the_bibliography_with_what_rests_on_it(
    source: Source, pages: dict[str, str], extension: ModuleType
) -> None:
    text = section(pages["bibliography"], extension.anchor("source", source.key))
    assert extension.words(source.work) in text
    assert extension.READ[source.read].capitalize() in text
    assert re.search(r"For (\[|`)", text)


@pytest.mark.parametrize(
    "entry",
    [*FOWL.viability, *FOWL.cautions],
    ids=lambda entry: f"{type(entry).__name__} {entry.pattern} {getattr(entry, 'stage', '')}",
)
def test_what_harms_stands_on_its_page_and_in_a_box_at_its_locus(
    entry: Viability | Caution, pages: dict[str, str], extension: ModuleType
) -> None:
    said = extension.words(getattr(entry, "note", "") or getattr(entry, "text", ""))
    assert any(f"`{entry.pattern}`" in line and said in line for line in pages["harm"].splitlines())
    for symbol in FOWL.pattern(entry.pattern).loci:
        text = section(pages["loci"], extension.anchor("locus", FOWL.locus(symbol).name))
        box = text.split("````{danger}", 1)[1].split("````", 1)[0]
        assert f"`{entry.pattern}`" in box
        assert said in box
        assert "animal-welfare law" in box
        assert "veterinarian" in box


def test_no_two_entries_share_an_anchor(pages: dict[str, str]) -> None:
    targets = [target for page in pages.values() for target in re.findall(r"^\(([\w-]+)\)=$", page, re.MULTILINE)]
    assert len(targets) == len(set(targets))
    assert len(targets) == len(FOWL.loci) + len(FOWL.traits) + len(FOWL.linkage) + len(fowl_sources())
    links = {link for page in pages.values() for link in re.findall(r"\]\(#([\w-]+)\)", page)}
    assert links - set(targets) == set()
