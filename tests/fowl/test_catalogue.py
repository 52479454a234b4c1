"""The catalogue as data: what is in it, where it comes from, and what happens when a file is damaged."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

import pinfeather.fowl
from pinfeather import DefinitionError, Locus, Species, load_fowl
from pinfeather.fowl import fowl_sources
from pinfeather.fowl.catalogue import read_catalogue

FLAGS = {"verified", "secondary", "from memory", "unsettled"}
READ = {"whole text", "abstract", "entry", "opening", "title", "quoted", "not seen"}
FILES = ("loci.toml", "linkage.toml", "traits.toml", "sources.toml")
LOCI = load_fowl().loci


def flagged() -> Iterator[Any]:
    fowl = load_fowl()
    yield from (*fowl.loci, *fowl.linkage, *fowl.traits, *fowl.viability)


def entries() -> Iterator[Any]:
    yield from flagged()
    yield from load_fowl().cautions


def test_there_are_at_least_sixty_loci() -> None:
    """Sixty-seven kinds of entry; the three proposed genes for stubs make it sixty-nine loci."""
    assert len(LOCI) == 69


def test_the_face_shows_what_it_has_and_nothing_else() -> None:
    assert set(dir(pinfeather.fowl)) == {"Source", "Sources", "fowl_sources", "load_fowl"}
    with pytest.raises(AttributeError, match="load_foul"):
        pinfeather.fowl.load_foul  # noqa: B018


def test_loading_twice_gives_the_same_value() -> None:
    assert load_fowl() is load_fowl()


def test_every_entry_names_sources_that_are_listed() -> None:
    listed = fowl_sources()
    for entry in entries():
        assert entry.sources, entry
        assert set(entry.sources) <= set(listed), entry


def test_every_source_is_used() -> None:
    used = {source for entry in entries() for source in entry.sources}
    assert set(fowl_sources()) - used == set()


def test_every_source_says_how_much_of_it_was_read() -> None:
    assert {source.read for source in fowl_sources().values()} == READ
    assert all(source.work and source.key == key for key, source in fowl_sources().items())


def test_every_entry_but_a_caution_says_how_far_it_was_verified() -> None:
    assert {entry.flag for entry in flagged()} == FLAGS


def test_what_rests_on_memory_alone_is_not_called_verified() -> None:
    """An entry all of whose sources are unseen cannot have been verified."""
    unseen = {key for key, source in fowl_sources().items() if source.read == "not seen"}
    for entry in flagged():
        if set(entry.sources) <= unseen:
            assert entry.flag in ("from memory", "unsettled", "secondary"), entry


@pytest.mark.parametrize("symbol", ["cb", "br", "fr", "Ht", "sb-1", "sb-2", "ext"])
def test_loci_that_are_not_settled_say_so(symbol: str) -> None:
    assert load_fowl().locus(symbol).flag == "unsettled"


@pytest.mark.parametrize("word", ["ear-lobe", "earlobe", "brown shell", "brown egg", "protoporphyrin", "moult"])
def test_what_is_no_single_locus_is_left_out(word: str) -> None:
    """Ear-lobe colour (Warren 1928) and brown shell (Guo and others 2020) depend on many genes; a protoporphyrin
    inhibitor and a gene for tails that never moult could not be traced to anything citable."""
    assert [locus.name for locus in LOCI if word in locus.name] == []
    assert {"pr", "gt", "Pr", "Gt"} & {locus.symbol for locus in LOCI} == set()


@pytest.mark.parametrize("locus", LOCI, ids=lambda locus: locus.symbol)
def test_every_locus_gives_each_of_its_genotypes_a_label_of_its_own(locus: Locus) -> None:
    """No look is left to a label made up from symbols."""
    alone = Species("one locus", loci=[locus])
    assert set(alone.labels_of(locus.name)) == set(locus.shows.values())


@pytest.mark.parametrize("locus", LOCI, ids=lambda locus: locus.symbol)
def test_every_locus_has_a_wild_type_and_a_readable_name(locus: Locus) -> None:
    assert locus.wild_type is not None
    assert re.fullmatch(r"[A-Za-z][A-Za-z0-9 ()-]+", locus.name)
    assert locus.notes or locus.flag == "verified"


def test_no_look_holds_a_comma() -> None:
    """Looks are joined by commas when they are printed."""
    fowl = load_fowl()
    labels = [label for name in fowl.trait_names for label in fowl.labels_of(name)]
    labels += [label for locus in LOCI for label in locus.shows.values()]
    assert len(labels) > 200
    assert [label for label in labels if "," in label] == []


def test_every_trait_can_be_read_from_a_bird_of_either_sex() -> None:
    fowl = load_fowl()
    for sex in ("male", "female"):
        looks = fowl.genotype("+", sex=sex).phenotypes(*fowl.trait_names)
        assert len(looks) == 1


def test_the_wild_type_looks_like_a_junglefowl() -> None:
    """Black-breasted red cock, stippled hen, single comb, dark legs (wild-type alleles as listed by each locus)."""
    fowl = load_fowl()
    traits = ("comb", "ground plumage", "shank colour", "polydactyly", "rate of feathering", "sex")
    looks = {str(fowl.genotype("+", sex=sex).phenotypes(*traits).most_likely()) for sex in ("male", "female")}
    assert looks == {
        "single, black-breasted red, slate, four toes, fast, male",
        "single, duckwing on gold, slate, four toes, fast, female",
    }


def test_every_caution_ends_with_the_law_and_a_veterinarian() -> None:
    for caution in load_fowl().cautions:
        assert "animal-welfare law" in str(caution)
        assert "veterinarian" in str(caution)


HARMFUL = """
    Cp/Cp Et/Et Et/et+ Cl/Cl F/F Na/Na Cr/Cr c^a/c^a sc/sc fs/fs ws/- px/- ta-2/ta-2 sh/- R/R j/- n/- rd/rd ro/-
    s^al/- pk/pk Ap/_ Rp/_ rp-2/rp-2
"""


@pytest.mark.parametrize("pattern", HARMFUL.split())
def test_genotypes_that_harm_carry_a_caution(pattern: str) -> None:
    assert pattern in {caution.pattern for caution in load_fowl().cautions}


def test_every_genotype_that_dies_carries_a_caution() -> None:
    fowl = load_fowl()
    assert {entry.pattern for entry in fowl.viability} <= {caution.pattern for caution in fowl.cautions}


@pytest.mark.parametrize(
    ("alias", "written"),
    [
        ("S*S/S*N", "S/s+"),  # the official notation, Crittenden and others 1996
        ("PG*P/PG*N", "Pg/pg+"),
        ("I*D/I*N", "I^D/i+"),
        ("B1/b+", "B/b+"),
        ("B2/B2", "B^Sd/B^Sd"),
        ("Ab/pg+", "Pg/pg+"),  # autosomal barring of old papers
        ("Sp/Sp", "Ml/Ml"),  # spangling of old papers
        ("pi/pi", "mo/mo"),  # pied, Carefoot 1987
        ("Ba/mb+", "Mb/mb+"),
        ("ep/ep", "e^b/e^b"),
    ],
)
def test_old_and_official_symbols_are_read(alias: str, written: str) -> None:
    fowl = load_fowl()
    assert fowl.genotype(alias, sex="male") == fowl.genotype(written, sex="male")


# ---- damaged files ---------------------------------------------------------------------------------


def damaged(folder: Path, file: str, old: str, new: str) -> Path:
    """A copy of the catalogue in which one file reads otherwise."""
    for name in FILES:
        text = resources.files("pinfeather.fowl").joinpath(name).read_text(encoding="utf-8")
        if name == file:
            assert old in text
            text = text.replace(old, new, 1)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_an_unharmed_copy_is_the_catalogue(tmp_path: Path) -> None:
    assert read_catalogue(damaged(tmp_path, "loci.toml", "lavender", "lavender")) == load_fowl()


@pytest.mark.parametrize(
    ("file", "old", "new", "told"),
    [
        ("loci.toml", "[[locus]]\n", "[[locus\n", r"loci\.toml: not valid TOML: .*line \d+"),
        ("loci.toml", 'dominance = "incomplete"', 'dominanse = "incomplete"', r"loci\.toml.*dominanse.*'dominance'"),
        (
            "loci.toml",
            'dominance = "incomplete"',
            'dominance = "incomplet"',
            r"loci\.toml.*\(I\).*'incomplet'.*'incomplete'",
        ),
        ("loci.toml", '["Lav+", "lav"]', '["Lav+"]', r"loci\.toml: .*\(lav\).*two alleles"),
        ("loci.toml", '["Brumbaugh 1972"', '["Brumbough 1972"', r"loci\.toml: .*\(lav\).*'Brumbaugh 1972'"),
        ("linkage.toml", '"0.125"', '"1.25"', r"linkage\.toml: .*\(Cr I F Fk\).*1\.25"),
        ("linkage.toml", '["mo", "sc"]', '["mo", "S"]', r"linkage\.toml: .*\(mo S\).*cannot be linked"),
        ("traits.toml", '["bd/bd", "combless"]', '["bdd/bd", "combless"]', r"traits\.toml: .*\(comb\).*'bdd'.*'bd'"),
        ("traits.toml", '["", "single"]', '["r+/r+ P/_", "single"]', r"traits\.toml: .*\(comb\)"),
        ("traits.toml", '"65/67"', '"66/67"', r"traits\.toml: .*\(polydactyly\).*68/67"),
        ("traits.toml", 'stage = "embryo"', 'stage = "egg"', r"traits\.toml: .*\(Cp/Cp\).*'egg'"),
        ("traits.toml", "[[caution]]\n", "[[cautions]]\n", r"traits\.toml: .*'cautions'.*'caution'"),
        ("sources.toml", "work =", "werk =", r"sources\.toml: .*'werk'.*'work'"),
    ],
)
def test_a_damaged_file_is_refused_with_its_name_and_place(
    tmp_path: Path, file: str, old: str, new: str, told: str
) -> None:
    with pytest.raises(DefinitionError, match=told):
        read_catalogue(damaged(tmp_path, file, old, new))


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DefinitionError, match=r"loci\.toml: cannot be read"):
        read_catalogue(tmp_path)


def test_a_section_in_the_wrong_file_is_refused(tmp_path: Path) -> None:
    folder = damaged(tmp_path, "sources.toml", "[sources]", "[species]\nname = 'x'\n[sources]")
    with pytest.raises(DefinitionError, match=r"sources\.toml: the section 'species' belongs in loci\.toml"):
        read_catalogue(folder)
