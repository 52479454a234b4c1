"""The page that examples/plan_the_season.py prints for its invented yard says what a breeder could check by hand."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).parents[2] / "examples" / "plan_the_season.py"


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, str(SCRIPT), *arguments], capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def page() -> str:
    return re.sub(r"\s+", " ", run().stdout)


def test_the_slip_is_found_and_the_likeliest_mother_named(page: str) -> None:
    """A hen tested clean cannot be the mother of a lavender; a lavender hen is twice as likely as a carrier."""
    assert "Hazel was tested Lav+/Lav+; Mist's dam is Hazel; Mist shows lavender" in page
    assert "Fern (25%), Ivy (2%), Mallow (25%) and Teal (49%)" in page


def test_parents_of_lavender_chicks_carry_it_for_certain(page: str) -> None:
    assert "carry it for certain: Juniper, Heron and Tern." in page
    assert "free of it: Brook." in page


def test_the_test_mating_is_with_a_lavender_hen_and_takes_five_chicks(page: str) -> None:
    assert "Put him to Teal or Mist or Swift." in page
    assert "If 5 chicks hatch and all are black" in page


def test_no_pen_is_closer_than_half_sibs_and_every_pen_has_its_eggs(page: str) -> None:
    assert "Pen 1: Kestrel with" in page
    assert "Harm at other loci is not seen here." in page
    assert re.search(r"by Kestrel \d+ eggs", page)


def test_a_book_that_cannot_be_read_is_answered_with_its_line(tmp_path: Path) -> None:
    book = tmp_path / "birds.csv"
    book.write_text("id,sex,sire,dam\nWren,hen,Rook,Dove\nRook,hen,,\n", encoding="utf-8")
    result = run(str(book))
    assert result.returncode != 0
    assert "Rook" in result.stderr
