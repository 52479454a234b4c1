"""Public values stay as they are made, equal values hash alike, and no public function changes what it is given."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from pathlib import Path
from typing import Any

import attrs
import pytest

import pinfeather
from tests.house.specimens import CALLS, VALUES

# Results that are looked at and not compared: each is equal to itself alone.
COMPARED_BY_IDENTITY = {
    "Lesson",
    "MateRanking",
    "Offspring",
    "Pairing",
    "PairingTable",
    "Pen",
    "PenPlan",
    "Programme",
    "ProgrammeSet",
    "ProvingPlan",
    "PunnettSquare",
    "RankedMate",
}
# Equal by what they hold, which is too much to hash.
NOT_HASHABLE = {"ByName", "GenotypeProbabilities", "KinshipMatrix", "Sources"}
# Tuples, and a dict, that show themselves as tables.
LISTINGS = {"BirdsToType", "Conflicts", "InbreedingPaths", "LikelyRange"}
DICTS = {"ByName"}
# Read-only by their methods rather than by attrs.
READ_ONLY_MAPPINGS = {"Distribution", "GenotypeProbabilities", "PossibleParents"}


def public_classes() -> set[str]:
    rooms = [room.name for room in pkgutil.iter_modules(pinfeather.__path__, "pinfeather.") if room.ispkg]
    faces = [importlib.import_module(room) for room in rooms]
    return {name for face in faces for name in face.__all__ if inspect.isclass(getattr(face, name))}


def public_functions() -> set[str]:
    return {name for name in pinfeather.__all__ if not inspect.isclass(getattr(pinfeather, name))}


def test_there_is_a_specimen_of_every_public_class_and_a_call_of_every_public_function() -> None:
    assert public_classes() == set(VALUES)
    assert public_functions() == set(CALLS)


@pytest.mark.parametrize("name", sorted(VALUES))
def test_a_specimen_is_of_the_class_that_it_stands_for(name: str) -> None:
    assert type(VALUES[name]()).__name__ == name


@pytest.mark.parametrize(
    "name", sorted(VALUES.keys() - {"Distribution", "KinshipMatrix", "PossibleParents"} - LISTINGS - DICTS)
)
def test_a_value_is_frozen(name: str) -> None:
    value = VALUES[name]()
    fields = attrs.fields(type(value))
    assert fields
    for field in fields:
        with pytest.raises(attrs.exceptions.FrozenInstanceError):
            setattr(value, field.name, None)
    with pytest.raises(attrs.exceptions.FrozenInstanceError):
        value.something_new = 1


@pytest.mark.parametrize("name", sorted(READ_ONLY_MAPPINGS))
def test_a_mapping_takes_no_new_entry_and_loses_none(name: str) -> None:
    value = VALUES[name]()
    before = dict(value)
    with pytest.raises(TypeError):
        value["something new"] = 1
    with pytest.raises(TypeError):
        del value[next(iter(value))]
    assert dict(value) == before


@pytest.mark.parametrize("name", sorted(LISTINGS))
def test_a_listing_is_a_tuple_and_takes_nothing_new(name: str) -> None:
    value = VALUES[name]()
    assert isinstance(value, tuple)
    with pytest.raises(AttributeError):
        value.something_new = 1


def test_a_likely_range_is_a_plain_tuple() -> None:
    value = VALUES["LikelyRange"]()
    with pytest.raises(AttributeError):
        value.low = 0


@pytest.mark.parametrize("name", sorted(VALUES.keys() - COMPARED_BY_IDENTITY))
def test_values_that_are_alike_are_equal_and_hash_alike(name: str) -> None:
    one, twin = VALUES[name](), VALUES[name]()
    assert one == twin
    assert one != "something else"
    if name in NOT_HASHABLE:
        with pytest.raises(TypeError, match="unhashable"):
            hash(one)
    else:
        assert hash(one) == hash(twin)
        assert len({one, twin}) == 1


@pytest.mark.parametrize("name", sorted(COMPARED_BY_IDENTITY))
def test_a_result_that_is_not_compared_equals_itself(name: str) -> None:
    one = VALUES[name]()
    assert one in [one]
    assert one != VALUES[name]()


@pytest.mark.parametrize("name", sorted(CALLS))
def test_a_public_function_leaves_its_arguments_as_they_were(name: str, tmp_path: Path) -> None:
    """What was given is compared with the same made anew, so that nothing rests on a copy."""
    if name.startswith("draw_"):
        pytest.importorskip("matplotlib").use("svg")
    args, kwargs = CALLS[name](tmp_path)
    getattr(pinfeather, name)(*args, **kwargs)
    fresh_args, fresh_kwargs = CALLS[name](tmp_path)
    assert [plain(value) for value in args] == [plain(value) for value in fresh_args]
    assert {key: plain(value) for key, value in kwargs.items()} == {
        key: plain(value) for key, value in fresh_kwargs.items()
    }


def plain(value: Any) -> Any:
    """A value that can be compared: results that are equal to themselves alone are compared by what they show."""
    if type(value).__name__ in COMPARED_BY_IDENTITY:
        shown = f"{value!r} {value}"
        assert " at 0x" not in shown
        return shown
    if isinstance(value, tuple | list) and type(value) in (tuple, list):
        return type(value).__name__, [plain(one) for one in value]
    return value


@pytest.mark.parametrize(
    "name", sorted(n for n, given in CALLS.items() if not n.startswith(("read_", "write_", "draw_", "fowl", "load")))
)
def test_the_same_call_twice_gives_the_same_answer(name: str, tmp_path: Path) -> None:
    args, kwargs = CALLS[name](tmp_path)
    call = getattr(pinfeather, name)
    assert plain(call(*args, **kwargs)) == plain(call(*args, **kwargs))


@pytest.mark.parametrize(
    ("make", "change"),
    [
        (lambda looks: pinfeather.Individual("Rook", "male", shows=looks), {"comb": "rose"}),
        (lambda sires: pinfeather.Individual("Wren", "female", sires), {"Rook": 1, "Jay": 1}),
        (lambda chances: pinfeather.Distribution.of(chances), {"plain": 3, "crested": 1}),
    ],
)
def test_a_value_does_not_follow_the_dictionary_that_it_was_made_of(make: Any, change: dict[str, Any]) -> None:
    given = dict(change)
    value = make(given)
    before = repr(value)
    given["Crow"] = 5
    given.pop(next(iter(change)))
    assert repr(value) == before
    assert value == make(change)
