"""Measure everything and write the figures into the documentation: tables, curves, machine, versions and date.

From the root of the checkout, with the extra `benchmarks` installed and a C compiler at hand::

    python tests/benchmarks/speed_page.py

The pages hold marked places, ``<!-- measured: NAME -->`` to ``<!-- end of NAME -->``; what stands between is replaced,
and the words around them are written by hand.  Where anything was left out nothing is written, so that no figure is
older than the date on the page.  ``--keep FILE`` keeps the measurements, and ``--from FILE ...`` writes the pages from
what was kept.  Where time is short one may measure file by file, each with
``pytest tests/benchmarks/bench_02_crosses.py --benchmark-json=FILE``.
"""

from __future__ import annotations

import argparse
import datetime
import importlib.metadata
import json
import os
import platform
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path.insert(0, str(ROOT))

from tests.benchmarks.measuring import Point, Row, number, shown  # noqa: E402

PLACE = re.compile(r"(<!-- measured: ([\w-]+) -->\n)(.*?)(<!-- end of \2 -->\n)", re.DOTALL)
PAGES = (
    ROOT / "docs" / "explanation" / "speed.md",
    ROOT / "docs" / "explanation" / "how_carriers_are_found.md",
)
PICTURES = ROOT / "docs" / "explanation" / "speed"
OURS = "pinfeather"
LIBRARIES = (
    *("attrs", "networkx", "numpy", "sympy"),
    *("icepool", "lea", "pgmpy", "pyagrum", "scipy"),
)

# Curve -> what its sizes are, and what the picture shows, for those who cannot see it.
CURVES = {
    "crosses": ("loci", "Every genotype of a cross, by the number of loci in which both parents are mixed"),
    "questions": ("loci", "A question about 3 loci and one about all, by the number of loci"),
    "linkage": ("linked loci", "Genotypes at 3 linked loci, by the number of loci on the chromosome"),
    "symbols": ("linked loci", "One look at all linked loci with three symbols, by the number of loci"),
    "enough": ("chicks", "The chance of enough chicks of each of four classes, by the number of chicks"),
    "exact-test": ("chicks", "The exact test of four classes, by the number of chicks"),
    "inbreeding": ("birds", "Every inbreeding coefficient of a flock of ten generations, by the number of birds"),
    "paths": ("generations", "Every inbreeding coefficient of a small closed flock, by its generations"),
    "small-flocks": ("birds", "The carriers in a small flock with loops, by the number of birds"),
    "line-breeding": ("birds", "The carriers in a line-bred flock, by the number of birds"),
    "entanglement": ("entries of the largest table", "The carriers in ten flocks, by the largest table"),
    "pens": ("hens", "The best pens for three cocks, by the number of hens"),
}


@dataclass
class Measured:
    """What one run found: a table for each file of benchmarks, and the curves."""

    tables: dict[str, list[Row]] = field(default_factory=dict)
    curves: dict[str, list[Point]] = field(default_factory=dict)
    date: datetime.date = datetime.date.min
    machine: str = ""

    @classmethod
    def read(cls, paths: Iterable[Path]) -> Measured:
        """From the files that pytest-benchmark wrote; the date is the oldest of them."""
        told = [json.loads(path.read_text(encoding="utf-8")) for path in paths]
        dates = [datetime.date.fromisoformat(one["datetime"][:10]) for one in told]
        found = cls(date=min(dates), machine=machine(told[0]["machine_info"]))
        every = [one for run in told for one in run["benchmarks"]]
        for one in sorted(every, key=lambda one: file_of(one["fullname"])):
            info = one["extra_info"]
            rows = [Row(**row) for row in info["rows"]]
            found.tables.setdefault(section_of(file_of(one["fullname"])), []).extend(rows)
            for point in info["points"]:
                found.curves.setdefault(point["curve"], []).append(Point(**point))
        return found


def file_of(name: str) -> str:
    """The file of a benchmark, from its full name."""
    return Path(name.split("::")[0]).name


def section_of(file: str) -> str:
    """``bench_02_crosses.py`` -> ``crosses``."""
    return re.sub(r"^bench_\d+_", "", Path(file).stem)


def sections() -> list[str]:
    return [section_of(path.name) for path in sorted(HERE.glob("bench_*.py"))]


def machine(info: Mapping[str, Any]) -> str:
    model = info.get("cpu", {}).get("brand_raw", info["machine"])
    return f"{os.cpu_count()} processors ({model}), {info['system']}"


# -- tables ------------------------------------------------------------------------------------------------------------


def table(head: Iterable[str], lines: Iterable[Iterable[str]]) -> str:
    head = list(head)
    rows = [head, ["---"] * len(head), *lines]
    return "".join("|" + "".join(f" {cell} |" if cell else " |" for cell in cells) + "\n" for cells in rows)


def said(reached: bool | None) -> str:
    return {True: "yes", False: "**no**", None: ""}[reached]


def table_of(rows: list[Row]) -> str:
    lines = [
        (r.what, "" if r.takes is None else shown(r.takes), r.against, r.found, r.goal, said(r.reached)) for r in rows
    ]
    head = ("what", OURS, "beside", "how it compares", "goal", "reached")
    if all(row.reached is None for row in rows):
        head, lines = head[:4], [line[:4] for line in lines]
    return table(head, lines)


def curve_of(name: str, points: list[Point]) -> str:
    """The picture of a curve and the same as a table: times, and how many times as long as we take."""
    size, words = CURVES[name]
    others = list(dict.fromkeys(other for point in points for other in point.times if other != OURS))
    own = list(points[0].cells) or [size]
    lines = []
    for point in points:
        mine = point.times[OURS]
        cells = list(point.cells.values()) or [f"{point.size:,}"]
        times = [point.times.get(other) for other in others]
        beside = ["–" if t is None else f"{shown(t)} ({number(t / mine)})" for t in times]
        lines.append([*cells, shown(mine), *beside])
    picture = f"![{words}: the times of the table below as curves](speed/{name}.svg)\n\n"
    return picture + table([*own, OURS, *others], lines)


def draw(name: str, points: list[Point], folder: Path) -> None:
    """The curve as a picture with both scales logarithmic; told apart by marks and dashes, not by colour alone."""
    import matplotlib

    matplotlib.use("svg")
    from matplotlib import pyplot

    size, words = CURVES[name]
    styles = [("o", "-", "#2b2b2b"), ("s", "--", "#2f5d7c"), ("^", "-.", "#b5651d"), ("D", ":", "#6d6d6d")]
    series = list(dict.fromkeys(label for point in points for label in point.times))
    settings = {"svg.hashsalt": name, "svg.fonttype": "none", "font.family": "sans-serif", "font.size": 9}
    with pyplot.rc_context(settings):
        figure, axes = pyplot.subplots(figsize=(6.4, 3.4), layout="constrained")
        for label, (mark, dash, colour) in zip(series, styles, strict=False):
            known = sorted((point.size, point.times[label]) for point in points if label in point.times)
            line = "" if name == "entanglement" else dash
            axes.plot(
                *zip(*known, strict=True), marker=mark, linestyle=line, color=colour, label=label.replace("`", "")
            )
        axes.set(xscale="log", yscale="log", xlabel=size, ylabel="seconds")
        sizes = sorted({point.size for point in points})
        if name != "entanglement":
            axes.set_xticks(sizes, [f"{one:,}" for one in sizes])
            axes.minorticks_off()
        axes.set_title(words, fontsize=9, loc="left")
        axes.grid(visible=True, color="#dddddd", linewidth=0.6)
        axes.spines[["top", "right"]].set_visible(False)
        axes.legend(frameon=False, fontsize=8)
        figure.savefig(folder / f"{name}.svg", metadata={"Date": None, "Creator": None})
        pyplot.close(figure)


# -- pages -------------------------------------------------------------------------------------------------------------


def surroundings(found: Measured) -> str:
    there = {dist.metadata["Name"].lower(): dist.version for dist in importlib.metadata.distributions()}
    versions = ", ".join(f"{name} {there[name]}" for name in LIBRARIES if name in there)
    date = f"{found.date.day} {found.date:%B %Y}"
    return (
        f"Measured on {date} on {found.machine}; Python {platform.python_version()}, {versions}.\n"
        "Other programs were busy on the same machine: each ratio is of one run, in which both sides took turns.\n"
    )


def missed(text: str) -> str:
    """The goals of all the tables on a page, counted, and those that were missed."""
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines() if line.startswith("| ")
    ]
    reached = sum(row[-1] == "yes" for row in rows)
    short = [row for row in rows if row[-1] == "**no**"]
    told = [f"{reached} of {reached + len(short)} goals were reached, and {len(short)} were not:\n\n"]
    for what, takes, *beside, goal, _ in short:
        told.append(f"- {what}: {', '.join(filter(None, [takes, *beside]))} (goal: {goal})\n")
    return "".join(told)


def places(found: Measured) -> dict[str, str]:
    """What goes into each marked place."""
    made = {name: table_of(rows) for name, rows in found.tables.items() if rows}
    made |= {f"growth-{name}": curve_of(name, points) for name, points in found.curves.items()}
    return made | {"surroundings": surroundings(found)}


def expected() -> set[str]:
    """The marked places that the pages have to have."""
    return {*sections(), *(f"growth-{name}" for name in CURVES), "surroundings", "goals-missed"}


def filled(text: str, made: Mapping[str, str]) -> str:
    """A page with its marked places filled anew; a place for which there is nothing stays as it is."""

    def fill(place: re.Match[str]) -> str:
        return f"{place[1]}\n{made[place[2]]}\n{place[4]}" if place[2] in made else place[0]

    return PLACE.sub(fill, text)


def write(found: Measured, *, some: bool = False) -> None:
    """Fill the pages, and then the list of goals missed, which is taken from the tables as they stand."""
    made = places(found)
    left_out = expected() - made.keys() - {"goals-missed"}
    if left_out and not some:
        message = f"the run is not whole, nothing was written: {', '.join(sorted(left_out))}"
        raise SystemExit(message)
    PICTURES.mkdir(exist_ok=True)
    for name, points in found.curves.items():
        draw(name, points, PICTURES)
    for page in PAGES:
        text = filled(page.read_text(encoding="utf-8"), made)
        page.write_text(filled(text, {"goals-missed": missed(text)}), encoding="utf-8")


def measure(path: Path) -> None:
    """Run every benchmark, and have pytest-benchmark write what was found."""
    command = [sys.executable, "-m", "pytest", str(HERE), f"--benchmark-json={path}"]
    if subprocess.run(command, cwd=ROOT, check=False).returncode:
        message = "a benchmark failed, nothing was written"
        raise SystemExit(message)


def main() -> None:
    parser = argparse.ArgumentParser(description="Measure everything and write the figures into the documentation.")
    parser.add_argument("--keep", type=Path, metavar="FILE", help="keep the measurements in this file")
    words = "write the pages from measurements that were kept"
    parser.add_argument("--from", dest="sources", type=Path, nargs="+", metavar="FILE", help=words)
    words = "fill only what was measured; older tables keep the date that stands above them"
    parser.add_argument("--some", action="store_true", help=words)
    told = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = told.keep or Path(folder, "measured.json")
        if told.sources is None:
            measure(path)
        write(Measured.read(told.sources or [path]), some=told.some)


if __name__ == "__main__":
    main()
