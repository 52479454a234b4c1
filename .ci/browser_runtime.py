"""See that the wheel answers in a browser's Python as it does in this one: Pyodide, under Node.

    python .ci/browser_runtime.py SOURCE

lays what is needed by the very commands of `docs/how-to/run_in_a_browser.md`, asks the questions of
`browser_questions.py` there and here, and compares the answers.  SOURCE is a copy of the repository to do it in.
Where there is no Node, or no registry to have Pyodide from, it says loudly that nothing was checked, and that is no
failure; anything else that goes wrong is one.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any, TypeAlias

GUIDE = "docs/how-to/run_in_a_browser.md"
LEAST_NODE = 18
SECONDS = 600

Answers: TypeAlias = dict[str, dict[str, Any]]
"""Group of questions -> question -> answer."""


class NotRunError(Exception):
    """The machine lacks what the check needs; the text says what."""


def laying(guide: str) -> list[str]:
    """The commands of the guide's first block for the shell: Pyodide from the npm registry first, then the rest."""
    _, _, rest = guide.partition("```sh\n")
    block, _, _ = rest.partition("```")
    commands = block.replace("\\\n", " ").strip().splitlines()
    if len(commands) < 2 or not commands[0].startswith("npm install "):
        message = f"{GUIDE} must have a block of commands for the shell that begins with npm install"
        raise ValueError(message)
    return commands


def need_node() -> None:
    """Raise NotRunError unless Node and npm are there and new enough."""
    for tool in ("node", "npm"):
        if shutil.which(tool) is None:
            message = f"there is no {tool} on this machine"
            raise NotRunError(message)
    version = subprocess.run(["node", "--version"], capture_output=True, text=True, check=True).stdout.strip()
    if int(version.lstrip("v").split(".")[0]) < LEAST_NODE:
        message = f"Node {version} is too old; {LEAST_NODE} is needed"
        raise NotRunError(message)


def shell(command: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """One line of the guide, as a reader would run it in a copy of the source."""
    print(f"+ {command}", flush=True)
    call = ["bash", "-euo", "pipefail", "-c", command]
    # A registry that does not answer is asked twice and not for long.
    patience = {"npm_config_fetch_retries": "1", "npm_config_fetch_timeout": "60000"}
    return subprocess.run(
        call,
        cwd=folder,
        env={**os.environ, **patience},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=SECONDS,
        check=False,
    )


def lay(source: Path) -> None:
    """Run the guide's commands in a copy of the source."""
    first, *others = laying((source / GUIDE).read_text(encoding="utf-8"))
    done = shell(first, source)
    if done.returncode:
        why = (done.stderr or done.stdout).strip().splitlines()
        message = f"Pyodide could not be had from the npm registry: {why[0] if why else 'npm did not say why'}"
        raise NotRunError(message)
    for command in others:
        done = shell(command, source)
        if done.returncode:
            message = f"{command}\n{done.stderr[-2000:]}"
            raise RuntimeError(message)
    # The last command asks a question, and this is the answer.
    print(done.stdout, end="", flush=True)


def asked(command: list[str], folder: Path) -> Answers:
    """The answers that a Python gives to the questions."""
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=SECONDS, check=False)
    if done.returncode:
        message = f"{' '.join(command)}\n{done.stderr[-4000:]}"
        raise RuntimeError(message)
    answers: Answers = json.loads(done.stdout.splitlines()[-1])
    return answers


def compared(here: Answers, there: Answers) -> tuple[list[str], list[str], list[str]]:
    """The questions that were answered alike, those that lacked numpy there, and what is wrong, in words."""
    alike, lacking, wrong = [], [], []
    places = [(group, question) for group, questions in here.items() for question in questions]
    for group, question in places:
        answer, other = here[group][question], there.get(group, {}).get(question)
        if isinstance(answer, dict) and "missing" in answer:
            wrong.append(f"{question}: this Python lacks {answer['missing']}")
        elif other == answer:
            alike.append(question)
        elif group == "tables" and other == {"missing": "numpy"}:
            lacking.append(question)
        else:
            wrong.append(f"{question}: {answer!r} here, {other!r} there")
    if not alike:
        wrong.append("nothing was answered alike")
    return alike, lacking, wrong


def main(source: Path) -> int:
    questions = source / ".ci" / "browser_questions.py"
    try:
        need_node()
        lay(source)
    except NotRunError as reason:
        print(f"\n*** NOT RUN: nothing was asked in a browser's Python, since {reason}.\n")
        return 0
    browser = source / "browser"
    alike, lacking, wrong = compared(
        asked([sys.executable, str(questions)], source), asked(["node", "ask.mjs", str(questions)], browser)
    )
    print(f"Answered alike in Pyodide: {', '.join(alike)}.")
    if lacking:
        print(f"*** NOT RUN in Pyodide, for want of numpy there: {', '.join(lacking)}.")
    print("\n".join(wrong), file=sys.stderr)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]).resolve()))
