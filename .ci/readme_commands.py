"""Print the two commands that the README gives its readers, one a line.

They are read from README.md and from nowhere else, so what CI runs is what readers are told to run.
"""

from __future__ import annotations

import sys
from pathlib import Path

START = "python3 -m venv .venv &&"
EXPECTED = 2


def commands(text: str) -> list[str]:
    """The lines of a README that are one of its two commands."""
    found = [line for line in text.splitlines() if line.startswith(START)]
    if len(found) != EXPECTED:
        message = f"README.md must have exactly {EXPECTED} lines that begin {START!r}; it has {len(found)}"
        raise ValueError(message)
    return found


if __name__ == "__main__":
    sys.stdout.write("\n".join(commands(Path(sys.argv[1]).read_text(encoding="utf-8"))) + "\n")
