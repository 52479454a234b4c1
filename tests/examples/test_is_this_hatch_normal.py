"""The hatch book as a reader runs it, its figures held against scipy and against plain arithmetic."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import scipy.stats

from tests.examples.scripts import run

EXAMPLES = Path(__file__).parents[2] / "examples"
SCRIPT = EXAMPLES / "is_this_hatch_normal.py"
BOOK = EXAMPLES / "data" / "hatch_book.csv"
HEAD = "hatch,pen,sire,dam,trait,counted,or sire,or dam,remark\n"


@pytest.fixture(scope="module")
def parts() -> dict[str, str]:
    """Heading -> its part of the output, blanks squeezed."""
    done = run(SCRIPT)
    assert done.returncode == 0, done.stderr
    pieces = re.split(r"^(\w+ pen, [^:\n]+)(?::|$)", done.stdout, flags=re.MULTILINE)
    squeezed = [re.sub(r"\s+", " ", piece) for piece in pieces]
    return {"start": squeezed[0], **dict(zip(squeezed[1::2], squeezed[2::2], strict=True))}


def test_it_says_that_the_book_is_invented(parts: dict[str, str]) -> None:
    assert "The hatch book is invented" in parts["start"]
    assert "invented" in BOOK.read_text(encoding="utf-8").splitlines()[0]


def test_an_ordinary_hatch_fits(parts: dict[str, str]) -> None:
    told = parts["Walnut pen, 1 March"]
    assert "walnut 13 12.94" in told
    assert "These counts fit" in told
    low, high = (int(scipy.stats.binom.ppf(q, 23, 9 / 16)) for q in (0.025, 0.975))
    assert f"walnut {low} to {high}" in told


def test_an_odd_hatch_does_not_and_is_not_to_be_pooled(parts: dict[str, str]) -> None:
    assert "These counts do not fit" in parts["Blue pen, 5 April"]
    together = parts["Blue pen, 2 hatches together"]
    assert "do not pool them" in together
    chi_square = scipy.stats.chisquare([1, 6, 15], [5.5, 11, 5.5])
    assert f"5 April 22 {chi_square.statistic:.3f} 2 {chi_square.pvalue:.3g}" in together


def test_hatches_that_agree_are_taken_together(parts: dict[str, str]) -> None:
    together = parts["Walnut pen, 3 hatches together"]
    assert "The hatches agree with each other, and together they fit." in together
    assert "walnut 45 42.75" in together


def test_one_chick_more_would_settle_the_test_mating(parts: dict[str, str]) -> None:
    """Five clean chicks prove a hen 19 times in 20: (1/2)**5 is below 5 %; four make it 16 to 1."""
    told = parts["Test pen, 15 March"]
    assert "These counts are 16 times as likely from the pairing suspected." in told
    assert "5 chicks in all, 1 more than so far" in told


def test_two_to_one_is_told_from_one_to_one_by_many_chicks_only(parts: dict[str, str]) -> None:
    told = parts["Low pen, 12 April"]
    odds = (1 / 2) ** 21 / ((2 / 3) ** 12 * (1 / 3) ** 9)
    assert f"{odds:.3g} times as likely from the pairing on record" in told
    assert "134 chicks in all, 113 more than so far" in told
    half, two_thirds = (scipy.stats.binom(134, share) for share in (1 / 2, 2 / 3))
    assert half.sf(78) < 0.03
    assert two_thirds.cdf(78) < 0.03


def test_what_cannot_be_is_called_impossible_and_what_can_hurt_is_warned_of(parts: dict[str, str]) -> None:
    assert "Impossible, not merely unlikely: 1 'single'" in parts["Rose pen, 22 March"]
    assert "CAUTION Cp/Cp" in parts["Low pen, 12 April"]
    assert "veterinarian" in parts["Low pen, 12 April"]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("1 May,A pen,R/r+,R/r+,comb,rose x,,,\n", "line 2: 'rose x' is not a look and a number"),
        ("1 May,A pen,R/r+,R/r+,comb,rosy 3,,,\n", "line 2: no label 'rosy'"),
        ("1 May,A pen,R/q,R/r+,comb,rose 3,,,\n", "line 2: "),
        ("1 May,A pen,R/r+\n", "line 2: 9 cells are needed, but 3 stand there"),
    ],
)
def test_a_slip_in_the_book_is_found_by_its_line(tmp_path: Path, line: str, words: str) -> None:
    path = tmp_path / "book.csv"
    path.write_text(HEAD + line, encoding="utf-8")
    done = run(SCRIPT, path)
    assert done.returncode == 1
    assert words in done.stderr


def test_hatches_with_an_impossible_chick_are_not_pooled(tmp_path: Path) -> None:
    path = tmp_path / "book.csv"
    rows = '1 May,"A pen",R/R,R/r+,comb,rose 9; single 1,,,\n2 May,A pen,R/R,R/r+,comb,rose 9,R/R,R/R,\n'
    path.write_text(HEAD + rows, encoding="utf-8")
    done = run(SCRIPT, path)
    assert done.returncode == 0, done.stderr
    assert "cannot be taken together" in done.stdout
    assert "no count by this trait can tell them apart" in done.stdout
