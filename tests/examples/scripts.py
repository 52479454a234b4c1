"""Running an example as its reader would."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def run(script: Path, *arguments: object) -> subprocess.CompletedProcess[str]:
    """Run a script in a Python of its own, with every warning an error."""
    command = [sys.executable, "-W", "error", str(script), *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
