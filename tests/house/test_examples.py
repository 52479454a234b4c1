"""Every script in examples/ runs as a reader would run it, without a warning, and says something."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

SCRIPTS = sorted((Path(__file__).parents[2] / "examples").glob("*.py"))


def test_there_is_a_first_example() -> None:
    assert "first_hatch.py" in [path.name for path in SCRIPTS]


@pytest.mark.parametrize("path", SCRIPTS, ids=[path.stem for path in SCRIPTS])
def test_an_example_runs_from_anywhere(path: Path, tmp_path: Path) -> None:
    command = [sys.executable, "-W", "error", str(path)]
    run = subprocess.run(command, capture_output=True, text=True, check=False, cwd=tmp_path)
    assert run.returncode == 0, run.stderr
    assert len(run.stdout.split()) > 20
    assert run.stderr == ""
