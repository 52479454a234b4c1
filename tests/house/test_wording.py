"""One real slip for each error: its message says what was written, where, and what to write instead."""

from __future__ import annotations

import pickle
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import pinfeather as pf
from pinfeather import errors
from tests.house.specimens import chicks, flock, rook, species, wren


def slip_in_a_file(folder: Path) -> Any:
    book = folder / "birds.csv"
    book.write_text("id,sex\nRook,cock\nDove,rooster\n", encoding="utf-8")
    return pf.read_pedigree(book, species())


def hen_for_a_sire(_: Path) -> Any:
    return pf.Pedigree(species(), [pf.Individual("Rook", "female"), wren()])


def clean_dam(_: Path) -> Any:
    dam = pf.Individual("Dove", "female", genotype="A+/A+")
    return pf.genotype_probabilities(pf.Pedigree(species(), [rook(), dam, wren()]), "a")


# Error -> the slip, what it has to say of the slip and its place, and what it has to say of the remedy or the reason.
SLIPS: dict[str, tuple[Callable[[Path], Any], tuple[str, ...], str]] = {
    "ArgumentError": (lambda _: pf.chance("1/4", -3), ("chicks", "-3"), "0"),
    "ContradictionError": (clean_dam, ("Dove", "Wren", "crest"), "cannot all be true"),
    "DefinitionError": (
        lambda _: pf.Distribution.of({"plain": "1/2", "crested": "1/4"}),
        ("3/4",),
        "give probabilities that sum to exactly 1",
    ),
    "ImpossibleError": (lambda _: chicks().given("a/a", shows={"crest": "not crest"}), ("a/a",), "no"),
    "NoPlanError": (lambda _: pf.plan_programme({"one": "a/a"}, "b/b", species=species()), ("b",), "no"),
    "NotationError": (lambda _: species().genotype("A+/a b"), ("b",), "/"),
    "PedigreeError": (hen_for_a_sire, ("Rook", "Wren", "sire"), "female"),
    "RecordError": (slip_in_a_file, ("birds.csv", "line 3", "sex", "rooster"), "cock"),
    "TooLargeError": (
        lambda _: pf.genotype_probabilities(flock(), ["a", "b", "z"], largest_table=2),
        ("2",),
        "",
    ),
    "UnknownSymbolError": (lambda _: species().genotype("A+/s"), ("'s'", "toy fowl"), "known are"),
}


def raised(name: str, folder: Path) -> pf.PinfeatherError:
    call = SLIPS[name][0]
    with pytest.raises(getattr(errors, name)) as caught:
        call(folder)
    assert isinstance(caught.value, pf.PinfeatherError)
    return caught.value


def test_there_is_a_slip_for_every_error_that_is_raised() -> None:
    kinds = {name for name in errors.__all__ if issubclass(getattr(errors, name), pf.PinfeatherError)}
    assert kinds - {"PinfeatherError"} == set(SLIPS)


@pytest.mark.parametrize("name", sorted(SLIPS))
def test_the_message_says_what_where_and_what_instead(name: str, tmp_path: Path) -> None:
    error = raised(name, tmp_path)
    _, said, remedy = SLIPS[name]
    for part in (*said, remedy):
        assert part in str(error)
    assert type(error) is getattr(errors, name)


@pytest.mark.parametrize("name", sorted(SLIPS))
def test_the_message_is_a_sentence_for_people(name: str, tmp_path: Path) -> None:
    """No memory address, no class of Python's, no double full stop; some words, and not a novel."""
    message = str(raised(name, tmp_path))
    assert 4 <= len(message.split()) <= 120
    assert not re.search(r" at 0x[0-9a-f]+|<class |object at|\.\.\s|\bNone\b", message)


@pytest.mark.parametrize("name", sorted(SLIPS))
def test_a_real_error_survives_pickling(name: str, tmp_path: Path) -> None:
    error = raised(name, tmp_path)
    twin = pickle.loads(pickle.dumps(error))
    assert type(twin) is type(error)
    assert (str(twin), twin.fields.keys()) == (str(error), error.fields.keys())
