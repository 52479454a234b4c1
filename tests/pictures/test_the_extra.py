"""Without matplotlib every picture says which extra brings it; with it, all take and return Axes."""

from __future__ import annotations

import inspect
import subprocess
import sys

import pytest

import pinfeather.pictures

CALLS = {
    "draw_chances": "Distribution.of({'a': 1})",
    "draw_chicks_needed": "'1/4'",
    "draw_eggs_to_set": "'1/4'",
    "draw_kinship": "kinship_matrix(flock)",
    "draw_likely_range": "'1/4', 20",
    "draw_pedigree": "flock",
    "draw_probabilities": "genotype_probabilities(flock, 'lav')",
    "draw_programme": "plan_programme({'one': 'lav/lav'}, 'lav/lav', species=fowl).best",
    "draw_square": "cross(fowl.genotype('lav/lav'), fowl.genotype('+')).square()",
}
FLOCK = """
from pinfeather import *
fowl = load_fowl()
flock = Pedigree(fowl, [Individual('Wren', 'hen', 'Rook', 'Dove')])
"""


def test_every_picture_is_called_below() -> None:
    assert sorted(CALLS) == pinfeather.pictures.__all__


def test_without_matplotlib_the_error_names_the_extra() -> None:
    tries = "".join(
        f"\ntry:\n    {name}({given})\nexcept ImportError as error:\n    print({name!r}, error)"
        for name, given in CALLS.items()
    )
    code = f"import sys; sys.modules['matplotlib'] = None{FLOCK}{tries}"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    told = dict(line.split(" ", 1) for line in run.stdout.splitlines())
    assert sorted(told) == sorted(CALLS)
    assert {words for words in told.values() if "pip install 'pinfeather[pictures]'" not in words} == set()


@pytest.mark.parametrize("name", sorted(CALLS))
def test_every_picture_takes_axes_and_gives_them_back(name: str) -> None:
    signature = inspect.signature(getattr(pinfeather.pictures, name))
    assert signature.parameters["ax"].default is None
    assert signature.return_annotation == "Axes"


def test_drawing_gives_no_warning() -> None:
    calls = "".join(f"\n{name}({given}).figure.savefig(io.BytesIO())" for name, given in CALLS.items())
    code = f"import io, matplotlib; matplotlib.use('agg'){FLOCK}{calls}"
    run = subprocess.run([sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
