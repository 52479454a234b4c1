"""The first example as a reader runs it, its figures held against what is known without it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.examples.scripts import run

EXAMPLES = Path(__file__).parents[2] / "examples"
SCRIPT = EXAMPLES / "first_hatch.py"
BIRDS = EXAMPLES / "data" / "first_hatch_birds.csv"
PAIRINGS = EXAMPLES / "data" / "first_hatch_pairings.csv"


@pytest.fixture(scope="module")
def output() -> str:
    done = run(SCRIPT)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def parts(output: str) -> dict[str, str]:
    """Pairing -> its part of the output, blanks squeezed."""
    pieces = re.split(r"^\d+\. (\w+ x \w+)$", output, flags=re.MULTILINE)
    squeezed = [re.sub(r"\s+", " ", piece) for piece in pieces]
    return {"start": squeezed[0], **dict(zip(squeezed[1::2], squeezed[2::2], strict=True))}


def test_it_says_that_the_flock_is_invented(parts: dict[str, str]) -> None:
    assert "The flock is invented" in parts["start"]
    for path in (BIRDS, PAIRINGS):
        assert "invented" in path.read_text(encoding="utf-8").splitlines()[0]


def test_two_carriers_give_a_quarter_lavender_and_two_thirds_of_the_blacks_carry_it(
    parts: dict[str, str],
) -> None:
    """Common practice, no source: split x split is 1 : 2 : 1, and 3 : 1 by look."""
    told = parts["Slate x Dove"]
    assert "lavender 1/8 1/8 1/4 25 %" in told
    assert "black 3/8 3/8 3/4 75 %" in told
    assert "black: Lav+/Lav+ 1/3, Lav+/lav 2/3; 2/3 of them carry lav." in told


def test_blue_does_not_breed_true(parts: dict[str, str]) -> None:
    """W. Bateson and E. R. Saunders 1902, the Andalusian: 1 : 2 : 1, every look one genotype."""
    told = parts["Harbour x Pebble"]
    assert "splash 1/8 1/8 1/4" in told
    assert "blue 1/4 1/4 1/2" in told
    assert "Ratio, from the top down: 1 : 2 : 1" in told
    assert "The eye tells all" in told


def test_two_walnuts_give_the_classical_combs(parts: dict[str, str]) -> None:
    """W. Bateson and E. R. Saunders 1902: 9 : 3 : 3 : 1."""
    told = parts["Conker x Acorn"]
    assert "Ratio, from the top down: 9 : 3 : 3 : 1" in told
    assert "walnut: P/P R/R 1/9, P/P R/r+ 2/9, P/p+ R/R 2/9, P/p+ R/r+ 4/9" in told
    assert "CAUTION R/R" in told


def test_gold_on_silver_sexes_the_chicks(parts: dict[str, str]) -> None:
    """F. A. E. Crew 1934 (abstract): gold cock x silver hen gives silver cockerels and gold pullets."""
    told = parts["Ember x Frost"]
    assert "silver down 1/2 0 1/2" in told
    assert "gold down 0 1/2 1/2" in told
    assert "down colour tells the sex of every chick: cockerels silver down, pullets gold down." in told


def test_black_on_barred_sexes_the_chicks_by_the_head_spot(parts: dict[str, str]) -> None:
    """T. H. Morgan 1919: black cock x barred hen, cocks barred and hens black."""
    told = parts["Coal x Magpie"]
    assert "head spot, barred 1/2 0 1/2" in told
    assert "head spot tells the sex of every chick: cockerels head spot, pullets no head spot." in told


def test_creepers_lose_a_quarter_and_are_cautioned(parts: dict[str, str]) -> None:
    """L. C. Dunn and W. Landauer 1926 (abstract): the pure creeper dies as an embryo, 2 : 1 hatch."""
    told = parts["Trundle x Shuffle"]
    assert "LOST 1/4 of the fertilised eggs (25 %)" in told
    assert "Ratio, from the top down: 2 : 1" in told
    assert told.index("CAUTION") < told.index("Of the chicks hatched")
    assert "animal-welfare law and ask a veterinarian" in told


def test_a_pea_comb_tells_blue_layers_in_twenty_four_of_twenty_five(parts: dict[str, str]) -> None:
    """Recombination 4 %, the middle of 3 to 5 % (Bruckner and Hutt 1939, figure at second hand): 48 : 2 : 2 : 48."""
    told = parts["Reed x Linnet"]
    assert "O and P lie on one chromosome, and part in 1/25 of a cock's gametes." in told
    assert "pea, blue or green shell 0 6/25 6/25 24 %" in told
    assert "pea, no blue in the shell 0 1/100 1/100 1 %" in told
    assert "pea, lays no eggs: O P/o+ p+ 24/25, o+/o+ P/p+ 1/25; 24/25 of them carry O." in told


def test_the_lines_fit_a_terminal(output: str) -> None:
    assert max(map(len, output.splitlines())) <= 100


@pytest.mark.parametrize(
    ("old", "new", "answer"),
    [
        ("Lav+/lav", "Lav+/lva", "birds.csv, line 3: Slate: no allele 'lva' in domestic fowl; did you mean 'lav'?"),
        ("Slate,cock", "Slate,rooster", "birds.csv, line 3: the sex of Slate must be cock or hen, not 'rooster'"),
        ("Dove,hen", "Slate,hen", "birds.csv, line 4: Slate stands twice"),
        ("S/-,silver duckwing", "S/-", "birds.csv, line 10: 4 cells are needed, but 3 stand there"),
        ("bird,sex", "name,sex", "birds.csv: the first line must name the columns bird,sex,genotype,remark"),
        ("Slate,", "Slade,", "pairings.csv, line 3: the sire 'Slate' is not among the birds of birds.csv"),
        ("Slate,cock", "Slate,hen", "pairings.csv, line 3: the sire E/E Lav+/lav is female"),
    ],
)
def test_a_slip_in_the_files_is_answered_with_its_place(tmp_path: Path, old: str, new: str, answer: str) -> None:
    birds, pairings = tmp_path / "birds.csv", tmp_path / "pairings.csv"
    birds.write_text(BIRDS.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    pairings.write_text(PAIRINGS.read_text(encoding="utf-8"), encoding="utf-8")
    done = run(SCRIPT, birds, pairings)
    assert done.returncode == 1
    assert done.stderr.startswith(answer)
    assert "Traceback" not in done.stderr


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    done = run(SCRIPT, tmp_path / "nowhere.csv", PAIRINGS)
    assert done.returncode == 1
    assert done.stderr.startswith("nowhere.csv cannot be read")
