"""Species written as plain tables, and read back."""

from __future__ import annotations

import json
import tomllib
from typing import Any

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from pinfeather import (
    Allele,
    Caution,
    DefinitionError,
    Linkage,
    Locus,
    PinfeatherError,
    Species,
    Trait,
    Viability,
    haldane,
    load_fowl,
)
from pinfeather.heredity.definitions import parts_from_tables, species_from_tables, tables_from_species

# An invented species with one entry of each kind.
TOY = """
[species]
name = "toy quail"

[[locus]]
symbol = "al"
name = "albino"
alleles = ["Al+", { symbol = "al", shows = "white" }]
chromosome = "Z"
seen_at = "hatch"
sources = ["Fieldbook 7"]
notes = "an invented locus"
[locus.shows]
"al/al" = "white"
"al/-" = "white"
"Al+/_" = "brown"
[locus.aliases]
"AL*N" = "Al+"

[[locus]]
symbol = "Tu"
name = "tuft"
alleles = ["Tu", "tu+"]

[[locus]]
symbol = "Bo"
name = "boots"
alleles = ["Bo", "bo+"]
dominance = "incomplete"

[[locus]]
symbol = "gr"
name = "grizzle"
alleles = ["Gr+", "gr"]

[[linkage]]
loci = ["Tu", "Bo", "gr"]
recombination = [["1/10", 0.2], "unknown"]
pairs = [{ loci = ["Tu", "gr"], recombination = "5%" }]

[[trait]]
name = "head"
seen_at = "10 days"
rules = [
    ["Tu/Tu", "tufted"],
    ["Tu/_", { "tufted" = "3/4", "plain" = 0.25 }, "male"],
    ["", "plain"],
]

[[viability]]
pattern = "Bo/Bo"
survival = 0
stage = "embryo"

[[caution]]
pattern = "Bo/Bo"
text = "boots doubled: the embryo dies."

[sources]
"Fieldbook 7" = "an invented field book, page 7"
"Fieldbook 8" = { work = "an invented field book, page 8", read = "whole text" }
"""


def toy() -> dict[str, Any]:
    return tomllib.loads(TOY)


def test_a_file_with_every_section_makes_the_species_that_the_classes_make() -> None:
    by_hand = Species(
        "toy quail",
        loci=[
            Locus(
                "al",
                "albino",
                ("Al+", Allele("al", "white")),
                chromosome="Z",
                shows={"al/al": "white", "al/-": "white", "Al+/_": "brown"},
                aliases={"AL*N": "Al+"},
                sources=("Fieldbook 7",),
                notes="an invented locus",
            ),
            Locus("Tu", "tuft", ("Tu", "tu+")),
            Locus("Bo", "boots", ("Bo", "bo+"), dominance="incomplete"),
            Locus("gr", "grizzle", ("Gr+", "gr")),
        ],
        linkage=[Linkage(("Tu", "Bo", "gr"), (("0.1", "0.2"), "unknown"), {("Tu", "gr"): "0.05"})],
        traits=[
            Trait(
                "head",
                [("Tu/Tu", "tufted"), ("Tu/_", {"tufted": "3/4", "plain": "1/4"}, "male"), ("", "plain")],
                seen_at="10 days",
            )
        ],
        viability=[Viability("Bo/Bo", 0, "embryo")],
        cautions=[Caution("Bo/Bo", "boots doubled: the embryo dies.")],
    )
    assert species_from_tables(toy()) == by_hand


def test_tables_survive_json_and_give_an_equal_species() -> None:
    quail = species_from_tables(toy())
    assert species_from_tables(json.loads(json.dumps(tables_from_species(quail)))) == quail


def test_the_whole_catalogue_survives_json() -> None:
    fowl = load_fowl()
    assert species_from_tables(json.loads(json.dumps(tables_from_species(fowl)))) == fowl


def test_the_tables_read_from_are_left_as_they_were() -> None:
    tables = toy()
    species_from_tables(tables)
    assert tables == toy()


def test_symbolic_numbers_stand_as_they_are() -> None:
    r = sympy.Symbol("r")
    loci = [Locus("a", "first", ("A+", "a")), Locus("b", "second", ("B+", "b")), Locus("c", "third", ("C+", "c"))]
    species = Species("x", loci=loci, linkage=[Linkage(("a", "b", "c"), (r, haldane(20)))])
    tables = tables_from_species(species)
    assert tables["linkage"][0]["recombination"] == [r, haldane(20)]
    assert species_from_tables(tables) == species


def test_parts_extend_another_species() -> None:
    """A file without a head gives parts, with which any species can be extended."""
    tables = {"locus": [{"symbol": "zz", "name": "invented", "alleles": ["Zz+", "zz"]}]}
    fowl = load_fowl().extended(**parts_from_tables(tables))
    assert fowl.genotype("zz/zz R/r+").alleles("invented") == ("zz", "zz")
    assert set(parts_from_tables({})) == {"loci", "linkage", "traits", "viability", "cautions"}


def test_sources_are_free_texts_where_none_are_listed() -> None:
    tables = toy()
    del tables["sources"]
    assert species_from_tables(tables).locus("al").sources == ("Fieldbook 7",)


# ---- what is refused -------------------------------------------------------------------------------


def changed(path: list[Any], value: Any) -> dict[str, Any]:
    """The toy species with one value put in, or taken out where the value is ``...``."""
    tables = toy()
    place: Any = tables
    for step in path[:-1]:
        place = place[step]
    if value is ...:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return tables


@pytest.mark.parametrize(
    ("path", "value", "told"),
    [
        (["loci"], [], r"quail\.toml: there is no section 'loci'.*did you mean 'locus'"),
        (["species"], ..., r"quail\.toml: the table \[species\] with a name is missing"),
        (["species", "name"], ..., r"\[species\]: the key 'name' is missing"),
        (["species", "name"], 7, r"\[species\]: name must be text, not int"),
        (["species", "sex_system"], "ZX", r"quail\.toml: \[species\]: sex_system='ZX'.*'ZW'"),
        (["species", "sexsystem"], "ZW", r"unknown key 'sexsystem'; did you mean 'sex_system'"),
        (["locus"], {}, r"locus must be a list of tables, \[\[locus\]\] in TOML"),
        (["locus", 1], "Tu", r"\[\[locus\]\] number 2 must be a table, not str"),
        (["locus", 1, "symbol"], ..., r"\[\[locus\]\] number 2: the key 'symbol' is missing"),
        (["caution", 0, "wxyz"], 1, r"\(Bo/Bo\): unknown key 'wxyz'; known are 'pattern', 'sources', 'text'"),
        (["locus", 1, "alleles"], ..., r"\[\[locus\]\] number 2 \(Tu\): the key 'alleles' is missing"),
        (["locus", 1, "alleels"], [], r"\[\[locus\]\] number 2 \(Tu\): unknown key 'alleels'; did you mean 'alleles'"),
        (["locus", 1, "alleles"], "Tu", r"number 2 \(Tu\): alleles='Tu'"),
        (["locus", 1, "alleles"], ["Tu", {"symbol": "tu+", "show": "x"}], r"allele: unknown key 'show'.*'shows'"),
        (["locus", 1, "name"], 3, r"number 2 \(Tu\): name must be text, not int"),
        (["locus", 1, "name"], "boots", r"\[\[locus\]\].*'boots' of locus Bo"),
        (["locus", 1, "shows"], {"Bo/_": "x"}, r"Bo"),
        (["locus", 1, "shows"], ["x"], r"number 2 \(Tu\): shows=.*mapping"),
        (["locus", 0, "sources"], ["Fieldbok 7"], r"\(al\): the source 'Fieldbok 7' is not listed.*'Fieldbook 7'"),
        (["locus", 0, "sources"], "Fieldbook 7", r"\(al\): sources='Fieldbook 7': must be a sequence"),
        (["locus", 0, "seen_at"], "soon", r"\(al\): seen_at='soon'"),
        (["linkage", 0, "recombination"], ["0.1"], r"\[\[linkage\]\] number 1 \(Tu Bo gr\): 3 loci"),
        (["linkage", 0, "recombination"], ["0.7", "0.1"], r"\(Tu Bo gr\).*0\.7"),
        (["linkage", 0, "pairs"], {"Tu gr": "0.1"}, r"\(Tu Bo gr\): pairs=.*list of tables"),
        (["linkage", 0, "pairs"], ["Tu gr"], r"\(Tu Bo gr\): pairs='Tu gr'"),
        (["linkage", 0, "pairs", 0, "loci"], ["Tu", "zz"], r"\(Tu Bo gr\).*'zz'"),
        (["linkage", 0, "pairs", 0, "locy"], [], r"pairs: unknown key 'locy'; did you mean 'loci'"),
        (["linkage", 0, "loci"], ["Tu", "Bo", "zz"], r"\[\[linkage\]\] number 1.*'zz'"),
        (["trait", 0, "rules"], ["Tu/Tu"], r"\[\[trait\]\] number 1 \(head\): rules="),
        (["trait", 0, "rules", 0], ["Tu/Tv", "x"], r"\[\[trait\]\] number 1 \(head\).*'Tv'.*'Tu'"),
        (["trait", 0, "rules"], [["Tu/Tu", "x"]], r"\[\[trait\]\] number 1 \(head\).*miss"),
        (["trait", 0, "rules", 1, 1], {"a": 0.5}, r"\(head\).*sum to 1/2"),
        (["viability", 0, "survival"], 2, r"\[\[viability\]\] number 1 \(Bo/Bo\).*2"),
        (["viability", 0, "survival"], "lots", r"\(Bo/Bo\).*'lots'"),
        (["viability", 0, "pattern"], "Bo/Bx", r"\[\[viability\]\] number 1 \(Bo/Bx\).*'Bx'"),
        (["caution", 0, "text"], ..., r"\[\[caution\]\] number 1 \(Bo/Bo\): the key 'text' is missing"),
        (["caution", 0, "pattern"], "Bo/Tu", r"\[\[caution\]\] number 1 \(Bo/Tu\)"),
        (["sources"], ["a"], r"\[sources\] must be a table"),
        (["sources", "Fieldbook 8"], {"read": "x"}, r"\[sources\] 'Fieldbook 8': the key 'work' is missing"),
        (["sources", "Fieldbook 8"], 8, r"\[sources\]: Fieldbook 8 must be text"),
    ],
)
def test_what_cannot_stand_is_refused_with_file_entry_and_key(path: list[Any], value: Any, told: str) -> None:
    with pytest.raises(DefinitionError, match=told):
        species_from_tables(changed(path, value), "quail.toml")


def test_what_does_not_fit_together_is_refused_with_the_file() -> None:
    """Two groups that share a locus each fit by themselves."""
    tables = changed(["linkage"], [{"loci": ["Tu", "Bo"], "recombination": "0.1"}] * 2)
    with pytest.raises(DefinitionError, match=r"quail\.toml: .*two linkage groups"):
        species_from_tables(tables, "quail.toml")


def test_a_pair_that_stands_twice_is_refused() -> None:
    pairs = [{"loci": ["Tu", "gr"], "recombination": "0.1"}, {"loci": ["gr", "Tu"], "recombination": "0.2"}]
    with pytest.raises(DefinitionError, match=r"\(Tu Bo gr\).*pairs=\['gr', 'Tu'\]: stands twice"):
        species_from_tables(changed(["linkage", 0, "pairs"], pairs))


def test_something_else_than_tables_is_refused() -> None:
    with pytest.raises(DefinitionError, match="mapping"):
        species_from_tables([])  # type: ignore[arg-type]


# ---- laws ------------------------------------------------------------------------------------------

FRACTIONS = st.fractions(min_value=0, max_value="1/2", max_denominator=50).map(str)


@st.composite
def species(draw: st.DrawFn) -> Species:
    """Small invented species: a few loci, perhaps linked, a trait over two of them, a lethal and a caution."""
    number = draw(st.integers(2, 5))
    loci = []
    for n in range(number):
        mutants = [f"{chr(97 + n)}{m}" for m in range(draw(st.integers(1, 3)))]
        alleles: list[Any] = [*mutants]
        alleles.insert(draw(st.integers(0, len(mutants))), f"{chr(65 + n)}+")
        if draw(st.booleans()):
            alleles[0] = Allele(alleles[0], shows=f"look {n}")
        loci.append(
            Locus(
                f"loc{n}",
                f"name {n}",
                alleles,
                dominance=draw(st.sampled_from(("complete", "incomplete", "codominant"))),
                chromosome=draw(st.sampled_from(("autosome", "Z"))),
                aliases={f"old{n}": mutants[0]} if draw(st.booleans()) else {},
                seen_at=draw(st.sampled_from(("hatch", "adult", "3 weeks"))),
                sources=draw(st.lists(st.sampled_from(("Ash 1900", "Elm 1901")), unique=True)),
                notes=draw(st.sampled_from(("", "a remark"))),
            )
        )
    together = [locus.symbol for locus in loci if locus.chromosome == "autosome"]
    linkage = []
    if len(together) > 1:
        entry = st.one_of(FRACTIONS, st.tuples(FRACTIONS, FRACTIONS), st.just("unknown"))
        linkage.append(Linkage(together, [draw(entry) for _ in together[1:]]))
    first, second = loci[0].symbols[0], loci[1].symbols[-1]
    chance = draw(st.fractions(min_value="1/9", max_value="8/9", max_denominator=9))
    shown: Any = draw(st.sampled_from(("both", {"both": str(chance), "hidden": str(1 - chance)})))
    sex = draw(st.sampled_from((None, "male", "female")))
    rules = [(f"{first}/_ {second}/_", shown, sex), (f"{first}/_", "one"), ("", "none")]
    pattern = f"{first}/_ {second}/_"
    return Species(
        "invented",
        loci=loci,
        linkage=linkage,
        traits=[Trait("look", rules, seen_at="adult", flag="unsettled")],
        viability=[Viability(pattern, str(chance), draw(st.sampled_from(("embryo", "chick", "adult"))))],
        cautions=[Caution(pattern, "an invented caution", ("Ash 1900",))] if draw(st.booleans()) else [],
    )


@given(species())
def test_writing_then_reading_gives_an_equal_species(invented: Species) -> None:
    assert species_from_tables(tables_from_species(invented)) == invented


@given(species())
def test_reading_then_writing_gives_the_same_tables(invented: Species) -> None:
    tables = tables_from_species(invented)
    assert tables_from_species(species_from_tables(json.loads(json.dumps(tables)))) == tables


@given(st.recursive(st.none() | st.integers() | st.text(max_size=5), lambda x: st.lists(x, max_size=3), max_leaves=6))
def test_nonsense_is_refused_by_an_error_of_ours(value: Any) -> None:
    """Whatever stands in place of the alleles, the answer is a species or an error that begins with the file."""
    complaint = "quail.toml: none"
    try:
        species_from_tables(changed(["locus", 1, "alleles"], value), "quail.toml")
    except PinfeatherError as error:
        complaint = str(error)
    assert complaint.startswith("quail.toml: ")
