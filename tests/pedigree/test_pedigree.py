"""Asking a pedigree, and making others from it."""

from __future__ import annotations

import pickle

import pytest

from pinfeather.errors import ArgumentError, PedigreeError, UnknownSymbolError
from pinfeather.heredity import Species
from pinfeather.pedigree import Hatch, Individual, Pedigree


@pytest.fixture
def flock(toy: Species) -> Pedigree:
    return Pedigree(
        toy,
        [
            Individual("Tit", "female", {"Jay": "2/3", "Rook": "1/3"}, "Wren"),
            Individual("Wren", None, "Rook", "Dove"),
            Individual("Jay", "male", "Rook", "Starling"),
        ],
        [Hatch("May", "Jay", "Wren", [({"lavender": "lavender"}, 2)])],
    )


def test_parents_that_are_named_only_become_founders_and_are_reported(flock: Pedigree) -> None:
    assert flock.ids == ("Tit", "Wren", "Jay", "Rook", "Dove", "Starling")
    assert flock.founders == ("Rook", "Dove", "Starling")
    assert [flock[name].sex for name in ("Rook", "Dove", "Wren")] == ["male", "female", "female"]
    assert flock.notes == (
        "Wren is taken to be female, as the dam of Tit",
        "Rook is named as the sire of Tit but not listed; added as a male founder",
        "Dove is named as the dam of Wren but not listed; added as a female founder",
        "Starling is named as the dam of Jay but not listed; added as a female founder",
    )


def test_relatives_are_found_through_possible_parents_too(flock: Pedigree) -> None:
    assert flock.parents("Tit") == ("Jay", "Rook", "Wren")
    assert flock.chicks("Rook") == ("Tit", "Wren", "Jay")
    assert flock.ancestors("Tit") == ("Wren", "Jay", "Rook", "Dove", "Starling")
    assert flock.ancestors("Rook") == ()
    assert flock.descendants("Starling") == ("Tit", "Jay")
    assert [flock.generation(name) for name in ("Rook", "Wren", "Tit")] == [0, 1, 2]


def test_a_pedigree_answers_like_a_mapping(flock: Pedigree) -> None:
    assert "Wren" in flock
    assert "Robin" not in flock
    assert list(flock) == list(flock.ids)
    assert len(flock) == 6
    assert repr(flock) == "<Pedigree of 6 birds, 3 of them founders>"
    with pytest.raises(UnknownSymbolError, match="no bird 'Wern' in the pedigree; did you mean 'Wren'"):
        flock["Wern"]
    for question in (flock.parents, flock.chicks, flock.ancestors, flock.descendants, flock.generation):
        with pytest.raises(UnknownSymbolError):
            question("Wern")


def test_the_graph_carries_roles_and_chances_and_is_a_copy(flock: Pedigree) -> None:
    graph = flock.graph
    assert {key: str(value) for key, value in graph.edges["Jay", "Tit"].items()} == {"role": "sire", "chance": "2/3"}
    assert str(graph.edges["Wren", "Tit"]["chance"]) == "1"
    assert graph.nodes["Wren"]["sex"] == "female"
    assert graph.nodes["Tit"]["individual"] is flock["Tit"]
    graph.remove_node("Rook")
    assert "Rook" in flock
    assert "Rook" in flock.graph


def test_a_pedigree_is_a_value(flock: Pedigree, toy: Species) -> None:
    again = Pedigree(toy, flock.individuals, flock.hatches)
    assert again == flock
    assert hash(again) == hash(flock)
    assert again.notes == ()
    flock.generation("Tit")
    assert pickle.loads(pickle.dumps(flock)) == flock
    with pytest.raises(AttributeError):
        flock.hatches = ()  # type: ignore[misc]


def test_adding_birds_fills_in_what_was_only_named(flock: Pedigree) -> None:
    larger = flock.adding(Individual("Rook", "male", "Crow", "Dove"), hatches=[Hatch("June", "Rook")])
    assert larger["Rook"].sire == "Crow"
    assert [hatch.id for hatch in larger.hatches] == ["May", "June"]
    assert flock["Rook"].sire is None
    with pytest.raises(PedigreeError, match="Wren, id: stands already"):
        flock.adding(Individual("Wren", "female"))


def test_restricting_keeps_ancestors_and_the_hatches_among_them(flock: Pedigree) -> None:
    assert flock.restricted_to("Jay").ids == ("Jay", "Rook", "Starling")
    assert flock.restricted_to("Jay").hatches == ()
    assert flock.restricted_to("Tit") == flock
    with pytest.raises(UnknownSymbolError):
        flock.restricted_to("Wern")


def test_two_books_are_merged_field_by_field(flock: Pedigree, toy: Species) -> None:
    mine = Pedigree(toy, [Individual("Wren", "female", "Rook", shows={"lavender": "lavender"})])
    theirs = Pedigree(toy, [Individual("Wren", None, None, "Dove", "2025-05-01", tested="lav/lav"), Individual("Owl")])
    both = mine.merged_with(theirs)
    assert both["Wren"] == Individual(
        "Wren", "female", "Rook", "Dove", "2025-05-01", {"lavender": "lavender"}, None, "lav/lav"
    )
    assert "Owl" in both
    assert flock.merged_with(flock) == flock
    more = Pedigree(toy, [Individual("Wren", "female", shows={"silver": "silver"})])
    assert both.merged_with(more)["Wren"].shows == {"lavender": "lavender", "silver": "silver"}


def test_books_that_contradict_each_other_are_not_merged(flock: Pedigree, toy: Species) -> None:
    other = Pedigree(
        toy,
        [Individual("Wren", "female", "Crow", shows={"lavender": "lavender"}), Individual("Jay", notes="lame")],
        [Hatch("May", "Jay", "Wren", [({"lavender": "lavender"}, 3)])],
    )
    with pytest.raises(PedigreeError) as refusal:
        flock.merged_with(other)
    told = [str(problem) for problem in refusal.value.problems]
    assert told[0] == "Wren, sire: one book has 'Rook', the other 'Crow'; make them agree first"
    assert told[1].startswith("hatch May, counts: one book has")
    assert len(told) == 2


def test_books_of_different_species_are_not_merged(flock: Pedigree) -> None:
    with pytest.raises(PedigreeError, match="different species"):
        flock.merged_with(Pedigree(Species("toy duck"), [Individual("Ann")]))


def test_birds_added_in_a_list_are_refused_with_what_to_write(flock: Pedigree) -> None:
    with pytest.raises(ArgumentError, match=r"one by one, as in adding\(wren, jay\) or adding\(\*birds\)"):
        flock.adding([Individual("Owl", "hen")])  # type: ignore[arg-type]
