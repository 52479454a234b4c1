"""What the founders left: shares, numbers they amount to, and losses."""

from __future__ import annotations

import pytest

from pinfeather.errors import ArgumentError, TooLargeError, UnknownSymbolError
from pinfeather.heredity import Species
from pinfeather.pedigree import (
    Individual,
    Pedigree,
    effective_founders,
    founder_allele_loss,
    founder_contributions,
    founder_genomes,
)


def test_equal_founders_count_in_full_and_unequal_ones_do_not(toy: Species) -> None:
    """R. C. Lacy 1989 (from memory): with equal shares the effective number is the number of founders."""
    flock = Pedigree(
        toy,
        [
            Individual("x", "male", "a", "b"),
            Individual("y", "female", "c", "d"),
            Individual("z", "female", "x", "y"),
            Individual("w", "male", "a", "y"),
        ],
    )
    assert str(effective_founders(flock, ["z"])) == "4"
    assert {k: str(v) for k, v in founder_contributions(flock, ["w", "z"]).items()} == {
        "a": "3/8",
        "b": "1/8",
        "c": "1/4",
        "d": "1/4",
    }
    assert str(effective_founders(flock, ["w", "z"])) == "32/9"
    assert founder_genomes(flock, ["w", "z"]) <= effective_founders(flock, ["w", "z"])
    assert str(founder_genomes(flock, ["a", "b", "c", "d"])) == "4"


def test_a_missing_parent_counts_as_a_founder_of_its_own(toy: Species) -> None:
    flock = Pedigree(toy, [Individual("x", "male", "a"), Individual("y", "female", "x", "b")])
    assert {k: str(v) for k, v in founder_contributions(flock, ["y"]).items()} == {
        "a": "1/4",
        "b": "1/2",
        "unknown dam of x": "1/4",
    }
    named = flock.adding(Individual("unknown dam of x"))
    assert "unknown dam of x'" in founder_contributions(named, ["y"])


def test_on_the_z_every_copy_counts_once(toy: Species) -> None:
    flock = Pedigree(toy, [Individual("son", "male", "a", "b"), Individual("daughter", "female", "a", "b")])
    shares = founder_contributions(flock, ["son", "daughter"], chromosome="Z")
    assert {k: str(v) for k, v in shares.items()} == {"a": "2/3", "b": "1/3"}
    assert {k: str(v) for k, v in founder_contributions(flock, ["daughter"], "Z").items()} == {"a": "1"}


def test_a_founder_without_heirs_is_lost_and_a_living_one_is_not(toy: Species) -> None:
    flock = Pedigree(toy, [Individual("x", "male", "a", "b"), Individual("y", "female", "a", "b"), Individual("c")])
    assert {k: str(v) for k, v in founder_allele_loss(flock, ["x", "y"]).items()} == {"a": "1/4", "b": "1/4", "c": "1"}
    assert str(founder_allele_loss(flock, ["a", "x"])["a"]) == "0"
    birds = flock.restricted_to("x", "y")  # c has no sex, and the Z needs one
    assert {k: str(v) for k, v in founder_allele_loss(birds, ["y"], "Z").items()} == {"a": "1/2", "b": "1"}


def test_losses_that_would_need_too_many_states_are_refused_before_work(toy: Species) -> None:
    birds = [Individual(f"s{n}", "male" if n % 2 else "female", "a", "b") for n in range(30)]
    birds += [Individual(f"t{n}", "male", f"s{2 * n + 1}", f"s{2 * n}") for n in range(15)]
    flock = Pedigree(toy, birds)
    with pytest.raises(TooLargeError, match=r"following the genes of a may need .* states at a time") as refusal:
        founder_allele_loss(flock, [f"t{n}" for n in range(15)])
    assert refusal.value.size > refusal.value.limit == 2**22
    assert str(founder_allele_loss(flock, ["t0"])["a"]) == "9/16"


def test_unknown_birds_and_empty_questions_are_refused(toy: Species) -> None:
    flock = Pedigree(toy, [Individual("Wren")])
    for question in (founder_contributions, effective_founders, founder_genomes, founder_allele_loss):
        with pytest.raises(UnknownSymbolError, match="did you mean 'Wren'"):
            question(flock, ["Wern"])
        with pytest.raises(ArgumentError, match="must name at least one bird"):
            question(flock, [])
        with pytest.raises(ArgumentError, match="must be a sequence of texts"):
            question(flock, "Wren")
