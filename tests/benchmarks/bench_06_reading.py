"""Reading a flock book."""

from __future__ import annotations

import csv
from pathlib import Path

from pinfeather import read_pedigree
from tests.benchmarks.flocks import NO_LOCI, generations
from tests.benchmarks.measuring import Beside


def written(path: Path, birds: int) -> Path:
    """A flock book of so many birds."""
    pedigree = generations(birds, 25, 10, 40)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["id", "sex", "sire", "dam", "hatched", "notes"])
        for place, bird in enumerate(pedigree.individuals):
            day = f"{2000 + pedigree.generation(bird.id)}-04-{1 + place % 28:02d}"
            writer.writerow([bird.id, bird.sex, bird.sire or "", bird.dam or "", day, "ring" if place % 3 else ""])
    return path


def plainly(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def bench_reading(beside: Beside, tmp_path: Path) -> None:
    path = written(tmp_path / "flock.csv", 100_000)
    told: list[int] = []
    plain = plainly(path)
    slow, _ = beside.once(lambda: plainly(path))
    pedigree = read_pedigree(path, NO_LOCI, on_progress=lambda done, _: told.append(done))
    assert list(pedigree.ids) == [line["id"] for line in plain]
    assert [bird.sire or "" for bird in pedigree.individuals] == [line["sire"] for line in plain]
    assert told[-1] == len(pedigree)
    del plain
    what = "reading 100,000 birds from CSV, checked, with progress"
    taken = beside.alone(what, lambda: read_pedigree(path, NO_LOCI, on_progress=lambda *_: None), rounds=2, under=6)
    row = beside.rows.pop()
    found = f"{taken / slow:.1f} times as long"
    beside.add(type(row)(row.what, taken, "csv.DictReader, which checks nothing", found, row.goal, row.reached))
