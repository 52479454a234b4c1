"""What a pedigree refuses: every problem at once, each with bird, field and remedy."""

from __future__ import annotations

import pickle

import pytest

from pinfeather.errors import ArgumentError, PedigreeError
from pinfeather.heredity import Species
from pinfeather.pedigree import Hatch, Individual, Pedigree

BIRD = Individual

# What is given, then (id, field, what the message says) of each problem expected.
CASES: dict[str, tuple[list[Individual], list[Hatch], list[tuple[str, str, str]]]] = {
    "id twice": ([BIRD("A"), BIRD("A")], [], [("A", "id", "stands already as number 1 of 2; give each its own id")]),
    "hatch twice": ([], [Hatch("H"), Hatch("H")], [("H", "id", "stands already as number 1 of 2")]),
    "own sire": ([BIRD("A", sire="A")], [], [("A", "sire", "A cannot be its own sire")]),
    "female sire": (
        [BIRD("A", sire="B"), BIRD("B", "female")],
        [],
        [("A", "sire", "B is female and cannot be a sire")],
    ),
    "male dam of a hatch": (
        [BIRD("B", "male")],
        [Hatch("H", dam="B")],
        [("H", "dam", "B is male and cannot be a dam")],
    ),
    "sire and dam": (
        [BIRD("A", sire="C"), BIRD("B", dam="C")],
        [],
        [("B", "dam", "C is the sire of A and cannot be a dam too; one is mistaken")],
    ),
    "sire and dam of one chick": ([BIRD("A", sire="C", dam="C")], [], [("A", "dam", "C is the sire of A")]),
    "sire of a bird and dam of a hatch": (
        [BIRD("A", sire="C")],
        [Hatch("H", dam="C")],
        [("H", "dam", "C is the sire of A and cannot be a dam too")],
    ),
    "circle of two": (
        [BIRD("A", sire="B"), BIRD("B", sire="A")],
        [],
        [("A", "sire", "A would be its own ancestor: its sire is B, whose parent is A; one of these parents")],
    ),
    "circle through a possible parent": (
        [BIRD("A", dam={"B": "1/2", "C": "1/2"}), BIRD("B", sire="D"), BIRD("D", dam="A")],
        [],
        [
            ("A", "dam", "A would be its own ancestor: its dam is B, whose parent is D, whose parent is A"),
        ],
    ),
    "two circles": (
        [BIRD("A", sire="B"), BIRD("B", sire="A"), BIRD("C", dam="D"), BIRD("D", dam="C")],
        [],
        [("A", "sire", "A would be its own ancestor"), ("C", "dam", "C would be its own ancestor")],
    ),
    "parent of the same day": (
        [BIRD("A", sire="B", hatched="2025-04-01"), BIRD("B", hatched="2025-04-01")],
        [],
        [("A", "sire", "B hatched 2025-04-01, not before A (2025-04-01); correct a date or the sire")],
    ),
    "parent of a later year": (
        [BIRD("A", dam="B", hatched="2025-12-31"), BIRD("B", hatched="2026")],
        [],
        [("A", "dam", "B hatched 2026, not before A (2025-12-31)")],
    ),
    "parent younger than a hatch": (
        [BIRD("B", hatched="2026-05")],
        [Hatch("H", sire="B", date="2026-04-30")],
        [("H", "sire", "B hatched 2026-05, not before the hatch (2026-04-30)")],
    ),
    "trait unknown": (
        [BIRD("A", shows={"lavendr": "x"})],
        [],
        [("A", "shows lavendr", "no trait 'lavendr' in toy fowl; did you mean 'lavender'?")],
    ),
    "look unknown": (
        [BIRD("A", shows={"lavender": "lavendr"})],
        [],
        [("A", "shows lavender", "no look 'lavendr' in trait 'lavender'; did you mean 'lavender'?")],
    ),
    "sex among the looks": ([BIRD("A", shows={"sex": "male"})], [], [("A", "shows sex", "write it in the field sex")]),
    "look of a hatch": (
        [],
        [Hatch("H", counts=[({"sex": "male", "silver": "gold"}, 2)])],
        [("H", "counts silver", "no look 'gold' in trait 'silver'")],
    ),
    "genotype unreadable": ([BIRD("A", genotype="lva/lav")], [], [("A", "genotype", "did you mean 'lav'?")]),
    "test unreadable": ([BIRD("A", tested="lav")], [], [("A", "tested", "'lav' has no partner")]),
    "hen with two Z": (
        [BIRD("A", "female", genotype="S/s+")],
        [],
        [("A", "genotype", "a female has 1 copies of locus S (chromosome Z); write one allele and -, such as S/-")],
    ),
    "cock with one Z": (
        [BIRD("A", "male", tested="S/-")],
        [],
        [("A", "tested", "a male has 2 copies of locus S (chromosome Z); write two alleles, or one and _")],
    ),
    "one copy of an autosomal locus": ([BIRD("A", genotype="lav/-")], [], [("A", "genotype", "a bird has 2 copies")]),
}


@pytest.mark.parametrize("case", CASES)
def test_a_problem_is_told_with_bird_field_and_remedy(case: str, toy: Species) -> None:
    individuals, hatches, expected = CASES[case]
    with pytest.raises(PedigreeError) as refusal:
        Pedigree(toy, individuals, hatches)
    problems = refusal.value.problems
    assert [(problem.id, problem.field) for problem in problems] == [(name, field) for name, field, _ in expected]
    for problem, (_, _, words) in zip(problems, expected, strict=True):
        assert words in problem.message
        assert str(problem) in str(refusal.value)


def test_all_problems_are_told_together(toy: Species) -> None:
    cases = ["female sire", "trait unknown", "parent of a later year", "hatch twice"]
    individuals = [
        BIRD("A", sire="B", shows={"lavendr": "x"}, hatched="2025-12-31", dam="C"),
        BIRD("B", "female"),
        BIRD("C", hatched="2026"),
    ]
    with pytest.raises(PedigreeError) as refusal:
        Pedigree(toy, individuals, [Hatch("H"), Hatch("H")])
    assert len(refusal.value.problems) == len(cases)
    assert str(refusal.value).startswith("4 problems in the pedigree:\n- A, sire: B is female")
    assert pickle.loads(pickle.dumps(refusal.value)).problems == refusal.value.problems


def test_a_long_list_is_cut_in_the_message_and_whole_in_the_field(toy: Species) -> None:
    with pytest.raises(PedigreeError, match=r"and 5 more; all are in the error's field 'problems'") as refusal:
        Pedigree(toy, [BIRD(f"b{n}", sire=f"b{n}") for n in range(25)])
    assert len(refusal.value.problems) == 25


def test_what_may_be_is_not_refused(toy: Species) -> None:
    """A bird of unknown sex may have one Z or two; a parent of the same year may be older."""
    flock = Pedigree(
        toy,
        [
            BIRD("A", genotype="S/-"),
            BIRD("B", genotype="S/s+"),
            BIRD("C", "female", genotype="S/_ lav/_"),
            BIRD("D", sire="E", hatched="2026-06-01"),
            BIRD("E", hatched="2026"),
        ],
    )
    assert len(flock) == 5


def test_what_is_no_bird_is_refused(toy: Species) -> None:
    with pytest.raises(ArgumentError, match="must be an Individual, not str"):
        Pedigree(toy, ["Wren"])  # type: ignore[list-item]
    with pytest.raises(ArgumentError, match="must be a sequence of Individual"):
        Pedigree(toy, BIRD("Wren"))  # type: ignore[arg-type]
