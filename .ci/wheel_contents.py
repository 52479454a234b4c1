"""Check that a wheel is pure Python and holds what it should, and nothing else."""

from __future__ import annotations

import sys
import zipfile
from pathlib import Path, PurePosixPath

SUFFIXES = {".py", ".toml", ".typed"}


def faults(wheel: Path, source: Path) -> list[str]:
    """What is wrong with a wheel that was built from the package folder ``source``."""
    found = []
    if not wheel.name.endswith("-py3-none-any.whl"):
        found.append(f"{wheel.name} is not a wheel of pure Python")
    with zipfile.ZipFile(wheel) as archive:
        names = {name for name in archive.namelist() if ".dist-info/" not in name}
    expected = {
        str(PurePosixPath(source.name) / path.relative_to(source).as_posix())
        for path in source.rglob("*")
        if path.suffix in SUFFIXES and "__pycache__" not in path.parts
    }
    found += [f"missing from the wheel: {name}" for name in sorted(expected - names)]
    found += [f"does not belong in the wheel: {name}" for name in sorted(names - expected)]
    if f"{source.name}/py.typed" not in names:
        found.append("py.typed is missing, so type checkers would not see the types")
    return found


if __name__ == "__main__":
    problems = faults(Path(sys.argv[1]), Path(sys.argv[2]))
    sys.exit("\n".join(problems) if problems else 0)
