"""Check built documentation: no page loads anything from elsewhere, and every public name has its entry."""

from __future__ import annotations

import re
import sys
import zlib
from pathlib import Path

# What makes a browser fetch something: scripts, style sheets, fonts, pictures, frames; links to read do not.
_OUTSIDE = re.compile(
    r"""<(?:script|img|iframe|source|video|audio|embed|object)\b[^>]*\b(?:src|data)\s*=\s*["']?(?:https?:)?//"""
    r"""|<link\b(?=[^>]*\brel\s*=\s*["']?(?:stylesheet|preload|preconnect|icon|prefetch|dns-prefetch|modulepreload))"""
    r"""[^>]*\bhref\s*=\s*["']?(?:https?:)?//"""
    r"""|@import\s+(?:url\()?["']?(?:https?:)?//"""
    r"""|url\(\s*["']?(?:https?:)?//""",
    re.IGNORECASE,
)


def outside_loads(folder: Path) -> list[str]:
    """Every place in built pages and style sheets that loads something over the network."""
    return [
        f"{path.relative_to(folder)}: {found.group(0)}"
        for path in sorted(folder.rglob("*"))
        if path.suffix in {".html", ".css"}
        for found in _OUTSIDE.finditer(path.read_text(encoding="utf-8"))
    ]


def documented(inventory: Path) -> set[str]:
    """The names in a Sphinx inventory (version 2: four lines of header, then zlib)."""
    header, _, packed = inventory.read_bytes().partition(b"zlib.\n")
    if not header.startswith(b"# Sphinx inventory version 2"):
        message = f"{inventory} is not an inventory that this script can read"
        raise ValueError(message)
    lines = zlib.decompress(packed).decode("utf-8").splitlines()
    return {line.split(" ")[0] for line in lines if " py:" in line}


def missing_names(inventory: Path) -> list[str]:
    """The public names that the built documentation has no entry for."""
    import pinfeather

    known = documented(inventory)
    return [name for name in pinfeather.__all__ if f"pinfeather.{name}" not in known]


if __name__ == "__main__":
    built = Path(sys.argv[1])
    problems = [f"loads from the network: {place}" for place in outside_loads(built)]
    problems += [f"has no entry: {name}" for name in missing_names(built / "objects.inv")]
    sys.exit("\n".join(problems) if problems else 0)
