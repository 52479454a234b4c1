"""JSON documents and TOML species files: values come back equal, and what cannot be read is told with its place."""

from __future__ import annotations

import json
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import attrs
import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.crosses import cross, gametes
from pinfeather.errors import DefinitionError, RecordError
from pinfeather.exact import Distribution
from pinfeather.fowl import load_fowl
from pinfeather.hatches import estimate, goodness_of_fit, heterogeneity, likely_range
from pinfeather.heredity import Linkage, Species
from pinfeather.pedigree import (
    Individual,
    Pedigree,
    contradictions,
    founder_contributions,
    generations,
    genotype_probabilities,
    inbreeding,
    inbreeding_paths,
    kinship_matrix,
)
from pinfeather.plans import (
    assign_pens,
    pairing_table,
    plan_programme,
    plan_test_mating,
    rank_test_mates,
    rotate_clans,
    simulate,
)
from pinfeather.records import (
    from_json,
    read_document,
    read_species,
    to_json,
    write_document,
    write_species,
)

R, Q = sympy.Symbol("r"), sympy.Symbol("q", positive=True)


def values(flock: Pedigree) -> dict[str, Any]:
    fowl = load_fowl().restricted_to("lav", "S", "R", "P", "B", "Id")
    cock, hen = fowl.genotype("Lav+/lav S/s+"), fowl.genotype("Lav+/lav S/- P/p+")
    chicks = cross(cock, hen)
    return {
        "species": fowl,
        "species with a symbol": fowl.extended(linkage=Linkage(("S", "B"), R)),
        "pedigree": flock,
        "genotype": cock,
        "genotype of some loci": cock.restricted_to("lav", "S"),
        "genotype without a sex": fowl.genotype("lav/lav"),
        "pattern": fowl.pattern("R/_ lav/lav"),
        "genotypes of a cross": chicks.genotypes("lav", "S"),
        "looks of a cross": chicks.phenotypes("comb"),
        "look": hen.phenotypes("comb").most_likely(),
        "symbolic distribution": Distribution.of({"recombinant": R, "parental": 1 - R}),
        "inbreeding": inbreeding(flock),
        "kinship matrix": kinship_matrix(flock),
        "shares": founder_contributions(flock, ["Wren, the"]),
        "generations": generations(flock),
        "fit": goodness_of_fit({"black": 64, "game": 23}, "3:1"),
        "heterogeneity": heterogeneity({"a": {"x": 30, "y": 12}, "b": {"x": 50, "y": 24}}, "3:1"),
        "estimate": estimate({"a": 12, "b": 5}, {"a": 1 - R, "b": R}, R),
        "range": likely_range("1/4", 20),
        "plain": [None, True, "Été", 1, -2.5, float("inf"), 2**80, (1, 2), {3: {4}}, frozenset()],
        "expressions": [sympy.Rational(1, 7) ** 900, R * Q / 2 + Q**2, sympy.sqrt(2), sympy.exp(-2 * R), sympy.E],
        "root": sympy.CRootOf(sympy.Symbol("x") ** 5 - sympy.Symbol("x") - 1, 0),
        "half a letter": "\ud800",
    }


def test_every_kind_of_value_comes_back_equal(flock: Pedigree, tmp_path: Path) -> None:
    for kind, value in values(flock).items():
        text = to_json(value)
        again = from_json(text)
        assert again == value, kind
        assert type(again) is type(value), kind
        assert to_json(again) == text, kind
        write_document(value, tmp_path / "value.json")
        assert read_document(tmp_path / "value.json") == value, kind


def test_loops_of_inbreeding_come_back_equal(flock: Pedigree) -> None:
    closer = flock.adding(Individual("Tit", "male", "Rook", "Wren, the"))
    paths = inbreeding_paths(closer, "Tit")
    assert len(paths) == 1
    assert from_json(to_json(paths)) == paths
    assert str(from_json(to_json(paths))) == str(paths)


def test_numbers_by_name_come_back_with_their_headings(flock: Pedigree) -> None:
    numbers = inbreeding(flock)
    again = from_json(to_json(numbers))
    assert again == numbers
    assert again.to_records() == numbers.to_records()


def test_no_records_at_all_come_back_as_none(flock: Pedigree) -> None:
    nothing = contradictions(flock, "lav")
    assert nothing == ()
    assert str(from_json(to_json(nothing))) == str(nothing) == "set  of  record\nThese records can all be true."


def test_a_mating_comes_back_and_answers_alike() -> None:
    fowl = load_fowl().restricted_to("lav", "S", "P", "O")
    cock, hen = fowl.genotype("Lav+/lav S/s+"), fowl.genotype("Lav+/lav S/-")
    plain = cross(cock, hen).given(shows={"lavender": "not lavender"})
    one_of_two = fowl.genotype("P/p+ O/o+", sex="male", phase="unknown")
    matings = [cross(cock, hen), plain, plain.given("S/_", sex="male"), cross(plain, plain), cross(one_of_two, plain)]
    for chicks in (*matings, matings[0].at_fertilisation):
        again = from_json(to_json(chicks))
        assert str(again) == str(chicks)
        assert (again.genotypes(), again.lost, again.alive) == (chicks.genotypes(), chicks.lost, chicks.alive)
    square = matings[0].square("lav")
    assert str(from_json(to_json(square))) == str(square)
    assert from_json(to_json(square.cells)) == square.cells
    assert from_json(to_json(gametes(cock))) == gametes(cock)


def plans() -> dict[str, Any]:
    """Real answers to small questions, of every kind of plan."""
    fowl = load_fowl().restricted_to("lav", "Cr")
    black, lavender = {"lavender": "not lavender"}, {"lavender": "lavender"}
    birds = [Individual("Rook", "cock", shows=black), Individual("Dove", "hen", shows=black)]
    birds += [
        Individual(name, "hen", "Rook", "Dove", shows=look) for name, look in (("Wren", black), ("Pip", lavender))
    ]
    birds.append(Individual("Kid", "cock", "Rook", "Dove", shows=black))
    found = genotype_probabilities(Pedigree(fowl, birds), "lav")
    table = pairing_table(found, wanted="lav/lav")
    test = plan_test_mating(fowl, "Lav+/lav Cr/cr+", "lav/lav", prior="2/3")
    programme = plan_programme({"a": fowl.genotype("lav/lav"), "b": fowl.genotype("Cr/Cr")}, "lav/lav Cr/_").best
    return {
        "test mating": test,
        "symbolic test mating": plan_test_mating(fowl, "Lav+/lav", "lav/lav", prior=Q),
        "row of a test mating": test.row(3),
        "standing of a test mating": test.after(2),
        "pairing table": table,
        "pens": assign_pens(table, (1, 1), max_inbreeding=1),
        "ranking of mates": rank_test_mates(found, "Wren", "lav"),
        "clans": rotate_clans(3, seasons=4, hens=2),
        "steps of a programme": programme.steps,
        "simulation": simulate(programme, 20, seed=1),
    }


def laid_open(value: Any) -> Any:
    """A value with all its fields, hidden ones too, and the class of every part."""
    if attrs.has(type(value)):
        return type(value), [laid_open(getattr(value, field.name)) for field in attrs.fields(type(value))]
    if isinstance(value, Mapping):
        return [(key, laid_open(part)) for key, part in value.items()]
    if isinstance(value, (tuple, list)):
        return type(value), [laid_open(part) for part in value]
    return type(value), value


def test_plans_come_back_equal_in_every_field() -> None:
    for kind, value in plans().items():
        text = to_json(value)
        again = from_json(text)
        assert laid_open(again) == laid_open(value), kind
        assert (str(again), to_json(again)) == (str(value), text), kind


def test_plans_that_were_read_again_answer_alike() -> None:
    made = plans()
    again = from_json(to_json(made))
    test, table, ranking = again["test mating"], again["pairing table"], again["ranking of mates"]
    for name in ("chicks", "chicks_for_posterior", "eggs", "expected_chicks", "table", "chance_per_chick"):
        assert getattr(test, name) == getattr(made["test mating"], name), name
    assert test.at("lav").row(4) == made["test mating"].at("lav").row(4)
    assert [row.eggs for row in table] == [row.eggs for row in made["pairing table"]]
    assert table["Rook", "Dove"].cautions == made["pairing table"]["Rook", "Dove"].cautions
    assert [row.lesson and row.lesson.total for row in ranking] == [
        row.lesson and row.lesson.total for row in made["ranking of mates"]
    ]
    assert again["pens"].cock_of == made["pens"].cock_of


def test_what_keeps_its_whole_calculation_is_refused_with_what_to_write_instead(flock: Pedigree) -> None:
    fowl = load_fowl().restricted_to("lav")
    front = plan_programme({"a": fowl.genotype("lav/lav"), "b": fowl.genotype("+")}, "Lav+/lav")
    found = genotype_probabilities(flock, "lav")
    for value, words in (
        (front.best, r"a Programme cannot be written as a document: .*; write its \.steps"),
        (front, r"a ProgrammeSet cannot be written as a document: .*; write the \.steps of each"),
        (found, r"a GenotypeProbabilities cannot be written as a document: .*; write the pedigree, or dict"),
    ):
        with pytest.raises(DefinitionError, match=words):
            to_json([value])
    assert from_json(to_json(dict(found))) == dict(found)


def test_a_fraction_comes_back_as_a_fraction_and_an_exact_number_as_such() -> None:
    for value in (Fraction(1, 3), sympy.Rational(1, 3)):
        assert type(from_json(to_json(value))) is type(value)


def test_a_species_is_written_once_however_often_it_is_meant(flock: Pedigree) -> None:
    birds = [flock.species.genotype(text) for text in ("lav/lav", "Lav+/lav", "+")]
    document = json.loads(to_json([flock, *birds]))
    assert len(document["species"]) == 1


PLAIN = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(),
        st.floats(allow_nan=False),
        st.text(max_size=5),
        st.fractions(),
        st.dates(),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.tuples(inner, inner),
        st.dictionaries(st.text(max_size=3), inner, max_size=3),
    ),
    max_leaves=8,
)


@given(value=PLAIN)
def test_plain_values_come_back_equal(value: Any) -> None:
    assert from_json(to_json(value)) == value


def test_a_value_that_cannot_be_written_says_what_to_write_instead() -> None:
    with pytest.raises(DefinitionError, match=r"a \w*Path cannot be written as a document; write what you ask of it"):
        to_json({"where": [Path("flock.csv")]})
    with pytest.raises(DefinitionError, match="cannot be written"):
        to_json(sympy.Symbol("x") + sympy.sin(sympy.Symbol("x")))
    with pytest.raises(DefinitionError, match="a object cannot be written"):
        to_json([object()])


def document(**changes: Any) -> str:
    return json.dumps({"format": "pinfeather document", "version": 1, "species": [], "value": 1, **changes})


REFUSED = {
    "no JSON": ("{", "line 1: is no JSON: Expecting property name"),
    "second line": ('{\n"a": }', "line 2: is no JSON: Expecting value at column 6"),
    "not a number": ('{"a": NaN}', "NaN is no JSON number"),
    "another file": (
        '{"version": 1}',
        'is not a document of this library: it has no {"format": "pinfeather document"}',
    ),
    "a list": ("[]", "is not a document of this library"),
    "version none": (document(version="1"), "the format version '1' is none"),
    "version of a truth": (document(version=True), "the format version True is none"),
    "a newer version": (
        document(version=2),
        "the document is of format version 2, and this pinfeather reads up to version 1; install a newer pinfeather",
    ),
    "deep": ("[" * 100_000, "is nested too deeply"),
    "deep value": (document(value=json.loads("[" * 300 + "]" * 300)), "is nested too deeply"),
    "long number": ('{"a": ' + "9" * 5000 + "}", "holds a number that cannot be read"),
    "species no list": (document(species={}), "the document has no value, or its species are no list"),
    "no kind": (document(value={"a": 1}), "value has no kind"),
    "unknown kind": (document(value=[{"kind": "Pickle"}]), "value[0] is of an unknown kind 'Pickle'"),
    "species missing": (document(value={"kind": "Species", "number": 3}), "refers to species 3, which the document"),
    "bad species": (
        document(
            species=[{"species": {"name": "x"}, "locus": [{"symbol": "a"}]}], value={"kind": "Species", "number": 0}
        ),
        "species[0] cannot be made: doc.json: species[0]: [[locus]] number 1 (a): the key 'name' is missing",
    ),
    "bad number": (document(value={"kind": "number", "value": "1/0"}), "value cannot be made: '1/0' is no number"),
    "bad field": (
        document(value={"kind": "Individual", "fields": {"id": "a", "sex": "hne"}}),
        "value cannot be made: sex='hne': must be one of",
    ),
    "unknown field": (document(value={"kind": "Individual", "fields": {"id": "a", "age": 3}}), "unexpected keyword"),
    "nested field": (
        document(value={"kind": "Individual", "fields": {"id": {"kind": "what"}}}),
        "value.id is of an unknown kind 'what'",
    ),
    "a huge power": (
        document(value={"kind": "expression", "tree": ["power", ["number", "3"], ["number", "99999999999"]]}),
        "value cannot be made: '99999999999' is no number or expression of a document",
    ),
    "key twice": (
        document(value={"kind": "mapping", "items": [["a", 1], ["a", 2]]}),
        "value has a key twice",
    ),
    "matrix ragged": (
        document(
            value={
                "kind": "KinshipMatrix",
                "ids": ["a", "b"],
                "chromosome": "autosome",
                "scale": 2,
                "cells": [[1], [0]],
            }
        ),
        "must be 2 rows, one cell longer each",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_document_that_cannot_be_read_is_told_with_its_place(case: str, tmp_path: Path) -> None:
    text, words = REFUSED[case]
    with pytest.raises(RecordError) as refusal:
        from_json(text, "doc.json")
    assert words in str(refusal.value)
    assert str(refusal.value).startswith("doc.json")


def test_a_file_that_is_no_text_is_told(tmp_path: Path) -> None:
    (tmp_path / "doc.json").write_bytes(b"{\n\xff}")
    with pytest.raises(RecordError, match=r"doc.json, line 2: the byte \\xff is not UTF-8"):
        read_document(tmp_path / "doc.json")
    with pytest.raises(RecordError, match="cannot read"):
        read_document(tmp_path / "none.json")


# -- species as TOML -------------------------------------------------------------------------------------------------


def test_the_whole_catalogue_comes_back_equal(tmp_path: Path) -> None:
    fowl = load_fowl()
    write_species(fowl, tmp_path / "fowl.toml")
    assert read_species(tmp_path / "fowl.toml") == fowl


def test_odd_texts_come_back_equal(tmp_path: Path, toy: Species) -> None:
    write_species(toy, tmp_path / "toy.toml")
    assert read_species(tmp_path / "toy.toml") == toy
    odd = Species('a "b" \\ \t é \x7f \x01', sex_system="XY")
    write_species(odd, tmp_path / "odd.toml")
    assert read_species(tmp_path / "odd.toml") == odd


def test_a_symbolic_number_is_refused_in_toml_with_the_way_round(tmp_path: Path) -> None:
    fowl = load_fowl().restricted_to("S", "B").extended(linkage=Linkage(("S", "B"), R))
    with pytest.raises(DefinitionError, match=r"there is no form for r; write_document\(\) keeps symbolic numbers"):
        write_species(fowl, tmp_path / "fowl.toml")
    assert not (tmp_path / "fowl.toml").exists()


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("[species\n", RecordError, "toy.toml, line 1: is no TOML: "),
        ('[species]\nname = "x"\nname = "y"\n', RecordError, "toy.toml, line 3: is no TOML: Cannot overwrite a value"),
        ("a = " + "[" * 100_000, RecordError, "is nested too deeply"),
        ("a = " + "9" * 5000, RecordError, "holds a number that cannot be read"),
        ("[[locus]]\n", DefinitionError, "toy.toml: the table [species] with a name is missing"),
        (
            '[species]\nname = "x"\n[[locus]]\nsymbl = "a"\n',
            DefinitionError,
            "unknown key 'symbl'; did you mean 'symbol'?",
        ),
    ],
)
def test_a_species_file_that_cannot_be_read_is_told_with_its_place(
    text: str, kind: type[Exception], words: str, tmp_path: Path
) -> None:
    (tmp_path / "toy.toml").write_text(text)
    with pytest.raises(kind) as refusal:
        read_species(tmp_path / "toy.toml")
    assert words in str(refusal.value)
