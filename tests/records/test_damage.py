"""Damaged files: whatever has happened to them, the reader refuses with an error of ours that tells the place."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pinfeather.errors import PinfeatherError, RecordError
from pinfeather.heredity import Species
from pinfeather.pedigree import Pedigree, kinship_matrix
from pinfeather.records import (
    from_json,
    read_document,
    read_pedigree,
    read_species,
    to_json,
    write_pedigree,
    write_species,
)

FUZZ = settings(
    max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow], deadline=None
)


@st.composite
def damaged(draw: st.DrawFn, content: bytes) -> bytes:
    """A file after a few cuts, doublings and strokes."""
    data = bytearray(content)
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        end = draw(st.integers(start, min(len(data), start + 20)))
        piece = draw(
            st.one_of(
                st.just(b""),
                st.binary(max_size=4),
                st.sampled_from([b",", b'"', b"\n", b"\r", b";", b"=", b"[", b"]", b"{", b"}", b"\xff", b"\0", b"1/0"]),
                st.just(bytes(data[start:end]) * 2),
            )
        )
        data[start:end] = piece
    return bytes(data)


def refusal(read: Callable[[], object]) -> PinfeatherError | None:
    """What a reader says, if it refuses; any other error goes through."""
    try:
        read()
    except PinfeatherError as error:
        return error
    return None


def tells_place(error: PinfeatherError | None, path: Path | str) -> bool:
    return error is None or str(path) in str(error)


@given(data=st.data())
@FUZZ
def test_a_damaged_flock_book_is_read_or_refused_with_a_place(
    tmp_path: Path, flock: Pedigree, data: st.DataObject
) -> None:
    birds, hatches = tmp_path / "b.csv", tmp_path / "h.csv"
    write_pedigree(flock, birds, hatches=hatches)
    path = data.draw(st.sampled_from([birds, hatches]))
    path.write_bytes(data.draw(damaged(path.read_bytes())))
    error = refusal(lambda: read_pedigree(birds, flock.species, hatches=hatches))
    assert tells_place(error, tmp_path)
    if error is not None:
        assert isinstance(error, RecordError)
        assert all(problem.line >= 1 and problem.file for problem in error.problems)


@given(content=st.binary(max_size=80))
@FUZZ
def test_any_bytes_at_all_are_read_or_refused_as_a_flock_book(tmp_path: Path, toy: Species, content: bytes) -> None:
    path = tmp_path / "b.csv"
    path.write_bytes(content)
    assert tells_place(refusal(lambda: read_pedigree(path, toy)), path)


NODES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-3, 3),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=3),
    st.just([]),
    st.just({}),
    st.sampled_from(["tuple", "mapping", "Species", "Genotype", "number", "expression", "Pedigree"]),
    st.builds(
        lambda kind: {"kind": kind}, st.sampled_from(["tuple", "mapping", "Genotype", "Pedigree", "set", "date"])
    ),
)


def places(node: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [at]
    children = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, child in children:
        found += places(child, (*at, key))
    return found


@given(data=st.data())
@FUZZ
def test_a_document_with_other_nodes_is_read_or_refused_with_a_place(flock: Pedigree, data: st.DataObject) -> None:
    value = [flock, kinship_matrix(flock), flock.species.genotype("Lav+/lav"), {"a": (1, 2)}]
    tree = json.loads(to_json(value))
    for _ in range(data.draw(st.integers(1, 2))):
        place = data.draw(st.sampled_from(places(tree)[1:] or [()]))
        node = tree
        for key in place[:-1]:
            node = node[key]
        if place and data.draw(st.booleans()):
            node[place[-1]] = data.draw(NODES)
        elif place:
            del node[place[-1]]
    assert tells_place(refusal(lambda: from_json(json.dumps(tree), "doc.json")), "doc.json")


@given(data=st.data())
@FUZZ
def test_a_damaged_document_is_read_or_refused_with_a_place(
    tmp_path: Path, flock: Pedigree, data: st.DataObject
) -> None:
    path = tmp_path / "doc.json"
    path.write_bytes(data.draw(damaged(to_json(flock).encode())))
    assert tells_place(refusal(lambda: read_document(path)), path)


@given(data=st.data())
@FUZZ
def test_a_damaged_species_file_is_read_or_refused_with_a_place(
    tmp_path: Path, toy: Species, data: st.DataObject
) -> None:
    path = tmp_path / "toy.toml"
    write_species(toy, path)
    path.write_bytes(data.draw(damaged(path.read_bytes())))
    assert tells_place(refusal(lambda: read_species(path)), path)


def test_no_text_of_a_file_is_run(tmp_path: Path, toy: Species) -> None:
    """A text that would leave a mark, were it handed to an evaluator or an unpickler, leaves none."""
    mark = tmp_path / "mark"
    spell = f"__import__('pathlib').Path({str(mark)!r}).touch()"
    for node in (
        {"kind": "number", "value": spell},
        {"kind": "expression", "tree": ["symbol", spell, {}]},
        {"kind": "expression", "tree": ["number", spell]},
        {"kind": spell},
        {"kind": "Individual", "fields": {"id": "a", "sire": {"kind": "mapping", "items": [["b", spell], ["c", "1"]]}}},
    ):
        document = {"format": "pinfeather document", "version": 1, "species": [], "value": node}
        text = json.dumps(document)
        assert refusal(partial(from_json, text)) or node["kind"] == "expression"
    path = tmp_path / "b.csv"
    path.write_text(f'id,sire,genotype\nA,"b {spell}; c 1/2","{spell}"\n')
    assert refusal(lambda: read_pedigree(path, toy))
    assert not mark.exists()
