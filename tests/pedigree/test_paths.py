"""The loops that make a bird inbred, and the caution that goes with close mating."""

from __future__ import annotations

import pytest

from pinfeather.errors import ArgumentError, TooLargeError, UnknownSymbolError
from pinfeather.heredity import Species
from pinfeather.pedigree import Individual, Pedigree, inbreeding, inbreeding_caution, inbreeding_paths


def test_a_loop_names_its_birds_and_what_it_adds(toy: Species) -> None:
    """S. Wright 1922: sire mated to his daughter, whose dam is his own dam's daughter."""
    flock = Pedigree(
        toy,
        [
            Individual("sire", "male", "old cock", "old hen"),
            Individual("dam", "female", "sire", "aunt"),
            Individual("aunt", "female", "old cock", "old hen"),
            Individual("chick", "male", "sire", "dam"),
        ],
    )
    assert [str(path) for path in inbreeding_paths(flock, "chick")] == [
        "(sire) - dam: 1/4",
        "sire - (old cock) - aunt - dam: 1/16",
        "sire - (old hen) - aunt - dam: 1/16",
    ]
    assert str(inbreeding(flock)["chick"]) == "3/8"
    first = inbreeding_paths(flock, "chick")[0]
    assert (first.ancestor, first.path, str(first.ancestor_inbreeding)) == ("sire", ("sire", "dam"), "0")
    assert inbreeding_paths(flock, "sire") == ()


def test_an_inbred_common_ancestor_adds_more(toy: Species) -> None:
    """The factor (1 + F of the ancestor) of Wright's formula."""
    flock = Pedigree(
        toy,
        [
            Individual("b", "male", "a", "h"),
            Individual("c", "female", "a", "h"),
            Individual("A", "male", "b", "c"),
            Individual("x", "male", "A", "h1"),
            Individual("y", "female", "A", "h2"),
            Individual("z", "male", "x", "y"),
        ],
    )
    (path,) = inbreeding_paths(flock, "z")
    assert str(path.ancestor_inbreeding) == "1/4"
    assert str(path.contribution) == "5/32"


def test_a_loop_through_possible_parents_tells_its_chance(toy: Species) -> None:
    flock = Pedigree(
        toy,
        [
            Individual("x", "male", {"Rook": "2/3", "Jay": "1/3"}, "h1"),
            Individual("y", "female", "Rook", "h2"),
            Individual("z", "male", "x", "y"),
        ],
    )
    (path,) = inbreeding_paths(flock, "z")
    assert (path.ancestor, str(path.chance), str(path.contribution)) == ("Rook", "2/3", "1/12")


def test_no_z_passes_from_a_hen_to_her_daughter(toy: Species) -> None:
    flock = Pedigree(
        toy,
        [
            Individual("x", "male", "a", "h"),
            Individual("y", "female", "b", "h"),
            Individual("z", "male", "x", "y"),
            Individual("w", "female", "x", "y"),
        ],
    )
    assert len(inbreeding_paths(flock, "z")) == 1
    assert inbreeding_paths(flock, "z", chromosome="Z") == ()
    assert inbreeding_paths(flock, "w", chromosome="Z") == ()


def test_too_many_lines_are_counted_before_they_are_walked(toy: Species) -> None:
    birds = [
        Individual(f"{sex}{g + 1}", "male" if sex == "m" else "female", f"m{g}", f"f{g}")
        for g in range(12)
        for sex in "mf"
    ]
    flock = Pedigree(toy, birds)
    with pytest.raises(TooLargeError, match=r"m12 has .* pairs of lines back to common ancestors") as refusal:
        inbreeding_paths(flock, "m12")
    assert refusal.value.size > refusal.value.limit
    few = inbreeding_paths(flock, "m6")
    assert sum(path.contribution for path in few) == inbreeding(flock)["m6"]
    with pytest.raises(UnknownSymbolError):
        inbreeding_paths(flock, "m99")


@pytest.mark.parametrize(
    ("coefficient", "words"),
    [
        ("1/8", "as close as half brother to half sister"),
        ("3/16", "closer than half sibs"),
        ("1/4", "as close as brother to sister or parent to child"),
        ("3/8", "closer than brother to sister or parent to child"),
    ],
)
def test_close_inbreeding_comes_with_a_caution(coefficient: str, words: str) -> None:
    caution = inbreeding_caution(coefficient)
    assert caution is not None
    assert words in caution
    assert "animal-welfare law" in caution
    assert "veterinarian" in caution


def test_there_is_no_caution_below_the_threshold() -> None:
    assert inbreeding_caution("1/16") is None
    assert "above the threshold set" in str(inbreeding_caution("1/16", threshold="1/16"))
    with pytest.raises(ArgumentError, match="must lie between 0 and 1"):
        inbreeding_caution(2)
