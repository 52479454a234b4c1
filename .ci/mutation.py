"""Change the source of a room in one small way at a time, and see whether its tests notice.

    python .ci/mutation.py exact                        every mutant of a room
    python .ci/mutation.py exact --sample 300           as many of them, drawn at random with a fixed seed
    python .ci/mutation.py exact --again                those that were run before and not caught
    python .ci/mutation.py exact --only '*counting*'    those whose names fit
    python .ci/mutation.py exact --report               nothing is run; what is known is counted and shown

A run that was broken off can be reported on with the arguments that it had and ``--report``.

Needs the extra `mutation`.  Everything is written below `build/mutation`, which git ignores.
"""

from __future__ import annotations

import argparse
import ast
import fnmatch
import json
import os
import random
import re
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SANDBOXES = ROOT / "build" / "mutation"

# The tests that a room has to answer to: its own, the laws it takes part in, and its examples.
TESTS = {
    "exact": ["tests/exact"],
    "heredity": ["tests/heredity"],
    "crosses": ["tests/crosses", "tests/laws/test_cross_laws.py"],
    "hatches": ["tests/hatches", "tests/laws/test_hatches_laws.py"],
}

EXAMPLES = "test_examples_of_docstrings.py"

# Starting pytest takes longer than most tests, so that only the plugin that is needed is looked for.
OPTIONS = [
    *("-p", "_hypothesis_pytestplugin", "--hypothesis-profile=mutation"),
    *("-p", "no:cacheprovider", "-p", "no:unraisableexception", "--assert=plain"),
]

# What is loaded once, before the mutants part ways; the tests themselves are loaded anew for each.
PRELOADED = [
    *("attrs", "numpy", "networkx", "sympy", "scipy.stats", "scipy.optimize"),
    *("pytest", "hypothesis", "hypothesis.internal.conjecture.engine", "hypothesis.extra._patching"),
]

# Exit codes of a mutant's process, beside 0 for a pass and 1 for a failure: a module of tests that calls the mutant
# could not be loaded; the clock ran out; no test calls the mutant.
UNLOADED, TIMED_OUT, UNTESTED = {2, 4, 255}, {-24, -9, 24, 36, 152}, {5, 33}
CAUGHT = {"killed", "killed at once", "timed out"}


def configuration(room: str) -> str:
    """What mutmut is told: only this room changes, only its tests run."""
    return f"""
[tool.mutmut]
source_paths = ["src"]
only_mutate = ["src/pinfeather/{room}/*.py"]
do_not_mutate = ["src/pinfeather/{room}/__init__.py"]
also_copy = ["conftest.py"]
pytest_add_cli_args_test_selection = {json.dumps([*TESTS[room], f"tests/{EXAMPLES}"])}
pytest_add_cli_args = {json.dumps(OPTIONS)}
process_isolation = "forkserver"
forkserver_warmup = "import"
preload_modules_file = "preload.txt"
timeout_multiplier = 4.0
timeout_constant = 3.0
use_git_change_detection = false
on_dependency_change = "ignore"
track_dependencies = false
"""


def copy(room: str, folder: Path) -> None:
    """Copy the source and the tests to where mutmut may do with them as it likes."""
    folder.mkdir(parents=True, exist_ok=True)
    for stale in (folder / "src", folder / "tests", folder / "mutants" / "tests"):
        shutil.rmtree(stale, ignore_errors=True)
    (folder / "mutants" / "mutmut-stats.json").unlink(missing_ok=True)
    for name in ("src", "tests"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy2(ROOT / ".ci" / "mutation_conftest.py", folder / "conftest.py")
    shutil.copy2(ROOT / ".ci" / "mutation_examples.py", folder / "tests" / EXAMPLES)
    (folder / "tests" / "examples.json").write_text(json.dumps(list(examples(room))), encoding="utf-8")
    (folder / "tests" / "room.txt").write_text(room, encoding="utf-8")
    modules = sorted((ROOT / "src" / "pinfeather").rglob("*.py"))
    ours = [".".join(path.relative_to(ROOT / "src").with_suffix("").parts) for path in modules]
    ours = [name.removesuffix(".__init__") for name in ours if ".pictures" not in name and "conftest" not in name]
    (folder / "preload.txt").write_text("\n".join([*PRELOADED, *ours]), encoding="utf-8")
    settings = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    (folder / "pyproject.toml").write_text(settings + configuration(room), encoding="utf-8")


def examples(room: str) -> Iterator[tuple[str, str, str]]:
    """The docstrings of a room that hold examples: module, name of what is documented, and text."""
    for path in sorted((ROOT / "src" / "pinfeather" / room).glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, (ast.ClassDef, ast.FunctionDef)):
                text = ast.get_docstring(node)
                if text and ">>>" in text:
                    yield f"pinfeather.{room}.{path.stem}", node.name, text


def results(folder: Path) -> dict[str, int | None]:
    """The exit code of every mutant, None for one that has not been run."""
    codes: dict[str, int | None] = {}
    for path in sorted((folder / "mutants").rglob("*.py.meta")):
        codes.update(json.loads(path.read_text(encoding="utf-8"))["exit_code_by_key"])
    return codes


def in_sandbox(folder: Path, *command: str) -> None:
    """Run Python in the sandbox, on the sources that are there."""
    hidden = {"PYTHONPATH", "PYTHONDONTWRITEBYTECODE"}
    environment = {name: value for name, value in os.environ.items() if name not in hidden}
    environment["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    subprocess.run([sys.executable, *command], cwd=folder, env=environment, check=True)


def generate(folder: Path) -> None:
    """Write the mutants without running any; what is known of functions that have not changed stays."""
    complete = folder / "mutants" / "complete"
    if not complete.exists():  # the last time was broken off, perhaps in the middle of a file
        shutil.rmtree(folder / "mutants", ignore_errors=True)
    complete.unlink(missing_ok=True)
    (folder / "mutants").mkdir(exist_ok=True)
    call = "import mutmut.__main__ as m; m.copy_src_dir(); m.copy_also_copy_files(); m.create_mutants(2)"
    in_sandbox(folder, "-c", call)
    complete.touch()


RUN = """
import json, mutmut.__main__ as m, mutmut.workers.isolation as i
# The run that finds which test calls which function fails if any test does: that is rehearsal enough.
i.ForkServerRunner.run_clean_tests = lambda self, tests: 0
i.ForkServerRunner.run_forced_fail = lambda self: 1
names = json.load(open("names.json"))
# In the order in which they were drawn: a sample that is broken off is a smaller sample.
m.estimated_worst_case_time = {{name: at for at, name in enumerate(names)}}.__getitem__
m._run(names, {children})
"""


def run(folder: Path, names: list[str], children: int) -> None:
    """Run the tests on each of the mutants."""
    (folder / "names.json").write_text(json.dumps(names), encoding="utf-8")
    in_sandbox(folder, "-c", RUN.format(children=children))


def status(code: int | None) -> str:
    """What became of a mutant."""
    if code is None:
        return "not run"
    if code == 0:
        return "survived"
    if code in UNTESTED:
        return "untested"
    if code in TIMED_OUT:
        return "timed out"
    return {1: "killed", 3: "killed", **dict.fromkeys(UNLOADED, "killed at once")}.get(code, f"exit code {code}")


def interval(part: int, whole: int) -> tuple[float, float]:
    """The exact 95 per cent interval of a share (Clopper and Pearson 1934)."""
    from scipy.stats import beta

    low = float(beta.ppf(0.025, part, whole - part + 1)) if part else 0.0
    high = float(beta.ppf(0.975, part + 1, whole - part)) if part < whole else 1.0
    return low, high


def differences(folder: Path, names: list[str]) -> list[str]:
    """What each of some mutants changes, as a difference in the usual form."""
    (folder / "names.json").write_text(json.dumps(names), encoding="utf-8")
    call = "import json, mutmut.__main__ as m; n = json.load(open('names.json'))"
    in_sandbox(folder, "-c", f"{call}; json.dump(list(map(m.get_diff_for_mutant, n)), open('differences.json', 'w'))")
    found: list[str] = json.loads((folder / "differences.json").read_text(encoding="utf-8"))
    return found


def only_strictness(difference: str) -> bool:
    """Whether a mutant only no longer asks of `zip` that lengths agree, which they do: nothing can come of that."""
    lines = [line for line in difference.splitlines() if re.match(r"[+-](?![+-]{2})", line)]
    taken = {re.sub(r",\s*(?:strict=\w+)?\)", ")", line[1:]) for line in lines}
    return len(taken) == 1


def report(folder: Path, known: dict[str, int | None]) -> None:
    """Print what was not caught, as differences, and then the figures."""
    left = [name for name, code in known.items() if code is not None and status(code) not in CAUGHT]
    found = differences(folder, left)
    for name, difference in zip(left, found, strict=True):
        print(f"# {name}\n{difference}")
    counts = Counter(status(code) for code in known.values() if code is not None)
    caught, tried = sum(counts[word] for word in CAUGHT), counts.total()
    low, high = interval(caught, tried)
    print(f"{tried} of {len(known)} mutants run: " + ", ".join(f"{n} {word}" for word, n in counts.most_common()))
    print(f"{caught / tried:.1%} caught; in a random sample, 95 % sure to lie between {low:.1%} and {high:.1%}")
    print(f"{sum(map(only_strictness, found))} of those not caught differ only in the strictness of a zip")


def chosen(known: dict[str, int | None], arguments: argparse.Namespace) -> list[str]:
    """The mutants to run: all that fit, or those that were run and not caught, or a sample."""
    names = sorted(fnmatch.filter(known, arguments.only))
    if arguments.again:
        names = [name for name in names if known[name] is not None and status(known[name]) not in CAUGHT]
    if arguments.sample is not None and arguments.sample < len(names):
        names = random.Random(arguments.seed).sample(names, arguments.sample)
    return names


def main() -> None:
    """Read the command line and do what it asks."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("room", choices=sorted(TESTS))
    parser.add_argument("--only", default="*", metavar="PATTERN")
    parser.add_argument("--sample", type=int, metavar="SIZE")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--again", action="store_true")
    parser.add_argument("--report", action="store_true")
    parser.add_argument("--children", type=int, default=2)
    arguments = parser.parse_args()
    folder = SANDBOXES / arguments.room
    if not arguments.report:
        copy(arguments.room, folder)
        generate(folder)
    names = chosen(results(folder), arguments)
    if not arguments.report:
        print(f"{len(names)} of {len(results(folder))} mutants of {arguments.room}", flush=True)
        run(folder, names, arguments.children)
    known = results(folder)
    report(folder, {name: known[name] for name in names})


if __name__ == "__main__":
    main()
