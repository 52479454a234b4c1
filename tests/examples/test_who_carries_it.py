"""The carriers that examples/who_carries_it.py prints, held against rules that a breeder knows by heart."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.examples.scripts import run

EXAMPLES = Path(__file__).parents[2] / "examples"
SCRIPT = EXAMPLES / "who_carries_it.py"
BOOK = EXAMPLES / "data" / "flock_birds.csv"
HATCHES = EXAMPLES / "data" / "flock_hatches.csv"


@pytest.fixture(scope="module")
def output() -> str:
    done = run(SCRIPT)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def told(output: str) -> str:
    return re.sub(r"\s+", " ", output)


def chance_of(output: str, name: str) -> float:
    found = re.search(rf"^  {name} +([\d.]+) %", output, re.MULTILINE)
    assert found, name
    return float(found[1])


def test_it_says_that_the_flock_is_invented(told: str) -> None:
    assert told.startswith("This flock is invented")


def test_black_parents_of_lavender_chicks_carry_it_for_certain(told: str) -> None:
    """Common practice, no source: a recessive chick has it from both parents (tray 1, and Pansy)."""
    assert "Certain: Flint, Damson, Marl, Cicely." in told


@pytest.mark.parametrize("name", ["Elder", "Sage"])
def test_a_black_sib_of_lavender_without_chicks_carries_it_two_times_in_three(output: str, name: str) -> None:
    """G. Mendel 1866: of the dominants that two hybrids give, two in three are hybrids themselves."""
    assert chance_of(output, name) == 66.7


def test_a_black_sib_whose_chicks_are_all_black_carries_it_less_often(output: str) -> None:
    """Larch has had three black chicks, which speak against it a little."""
    assert 50 < chance_of(output, "Larch") < 66.7


def test_full_sibs_with_the_same_records_have_the_same_chance(output: str) -> None:
    assert chance_of(output, "Tarn") == chance_of(output, "Violet")


def test_the_bird_named_is_the_likeliest_and_the_list_goes_down(output: str) -> None:
    table = output.partition("carries it   parents")[2].partition("birds are open")[0]
    rows = re.findall(r"^  (\w+) +([\d.]+) %", table, re.MULTILINE)
    chances = [float(chance) for _, chance in rows]
    assert len(chances) == 12
    assert chances == sorted(chances, reverse=True)
    assert f"Why {rows[0][0]}?" in output


def test_the_mistake_planted_is_found_and_named_in_full(told: str) -> None:
    """Single comb breeds true (W. Bateson and E. R. Saunders 1902): no rose-combed chick of such parents."""
    assert "At R, these cannot all be true: Larch shows comb: single; Gale shows comb: single;" in told
    assert "Harebell's sire is Larch; Harebell's dam is Gale; Harebell shows comb: rose." in told


def test_kinship_makes_a_lavender_chick_likelier_than_chance_would(told: str) -> None:
    found = re.search(r"Kinship counts most in \w+ x \w+: ([\d.]+) %, where two strangers .* give ([\d.]+) %", told)
    assert found
    assert float(found[1]) > float(found[2])


def test_what_was_assumed_is_said(told: str) -> None:
    assert "allele frequencies Lav+ 9/10, lav 1/10" in told


def test_an_allele_that_nobody_knows_is_answered(tmp_path: Path) -> None:
    done = run(SCRIPT, BOOK, HATCHES, "lva")
    assert done.returncode == 1
    assert "no locus has an allele 'lva'" in done.stderr


def test_records_that_cannot_be_true_end_the_run_with_the_records(tmp_path: Path) -> None:
    book = tmp_path / "birds.csv"
    rows = ["id,sex,sire,dam,shade of black", "Rook,cock,,,lavender", "Dove,hen,,,lavender", "Wren,hen,Rook,Dove,black"]
    book.write_text("\n".join(rows) + "\n", encoding="utf-8")
    done = run(SCRIPT, book, HATCHES.with_name("none.csv"), "lav")
    assert done.returncode == 1
    assert "none.csv" in done.stderr
    done = run(SCRIPT, book)
    assert done.returncode == 1
    assert "Wren shows shade of black: black" in re.sub(r"\s+", " ", done.stdout)
    assert "Put these right first" in done.stderr
