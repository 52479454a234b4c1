"""Runs every example in the docstrings, the documentation and the README as a test."""

from __future__ import annotations

from doctest import ELLIPSIS, NORMALIZE_WHITESPACE

from sybil import Sybil
from sybil.parsers.markdown import PythonCodeBlockParser
from sybil.parsers.rest import DocTestParser
from sybil.sybil import SybilCollection

_FLAGS = ELLIPSIS | NORMALIZE_WHITESPACE

pytest_collect_file = SybilCollection(
    (
        # Docstrings see the names of their own module, as they do in doctest.
        Sybil(parsers=[DocTestParser(optionflags=_FLAGS)], path="src", patterns=["*.py"]),
        # Pages show what a reader would type: everything is imported on the page.
        Sybil(
            parsers=[PythonCodeBlockParser(doctest_optionflags=_FLAGS)],
            path=".",
            patterns=["README.md", "docs/*.md", "docs/*/*.md"],
        ),
    )
).pytest()
