"""Saving: the old file or the new one, whole, whatever happens."""

from __future__ import annotations

import os
import random
import signal
import time
from pathlib import Path

import pytest

from pinfeather.errors import RecordError
from pinfeather.records.saving import load, save


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks")
@pytest.mark.filterwarnings("ignore:This process .* is multi-threaded:DeprecationWarning")
def test_a_save_that_is_killed_leaves_the_old_file_or_the_new_one(tmp_path: Path) -> None:
    """200 processes that save again and again, each killed at a moment drawn at random."""
    path = tmp_path / "flock.csv"
    wholes = [bytes([letter]) * 500_000 for letter in b"abcdefgh"]
    save(path, wholes[0])
    draw = random.Random(7)
    cut_short = 0
    for _ in range(200):
        ready, started = os.pipe()
        child = os.fork()
        if child == 0:  # pragma: no cover - the child is killed
            os.write(started, b"!")
            while True:
                for whole in wholes:
                    save(path, whole)
        os.read(ready, 1)
        time.sleep(draw.uniform(0, 0.01))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(ready)
        os.close(started)
        assert load(path) in wholes
        begun = list(tmp_path.glob(".flock.csv.*.part"))
        cut_short += len(begun)
        for part in begun:
            part.unlink()
    # Most were killed with a new file begun; otherwise this test would show nothing.
    assert cut_short > 50


def test_a_save_that_fails_leaves_the_old_file_and_nothing_beside_it(tmp_path: Path, monkeypatch: object) -> None:
    path = tmp_path / "flock.csv"
    save(path, b"old")

    def no_space(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", no_space)  # type: ignore[attr-defined]
    with pytest.raises(
        RecordError, match=r"cannot write .*: No space left on device; what was there before is untouched"
    ):
        save(path, b"new")
    assert path.read_bytes() == b"old"
    assert [left.name for left in tmp_path.iterdir()] == ["flock.csv"]


def test_a_file_keeps_its_permissions_and_a_link_stays_a_link(tmp_path: Path) -> None:
    path, link = tmp_path / "flock.csv", tmp_path / "link.csv"
    save(path, b"old")
    assert path.stat().st_mode & 0o777 == 0o666 & ~_umask()
    path.chmod(0o600)
    link.symlink_to(path)
    save(link, b"new")
    assert link.is_symlink()
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o600


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match=r"cannot write .*: No such file or directory"):
        save(tmp_path / "none" / "flock.csv", b"new")
    with pytest.raises(RecordError, match="cannot read"):
        load(tmp_path)
