"""Runs every example in the docstrings, the documentation and the README as a test, and draws every picture."""

from __future__ import annotations

import sys
from pathlib import Path

from sybil import Example, Sybil
from sybil.parsers.abstract import AbstractCodeBlockParser
from sybil.parsers.markdown import PythonCodeBlockParser
from sybil.parsers.myst.lexers import DirectiveLexer
from sybil.parsers.rest import DocTestParser
from sybil.sybil import SybilCollection

sys.path.append(str(Path(__file__).parent / "docs" / "_extensions"))
from drawing import FLAGS, drawn


class PictureParser(AbstractCodeBlockParser):
    """The bodies of the directive ``picture``, run as docs/_extensions/pictures.py does when pages are built."""

    def __init__(self) -> None:
        super().__init__([DirectiveLexer("picture")], "picture", language_lexeme_name="directive")

    def evaluate(self, example: Example) -> None:
        """Draw, and see that it is an SVG."""
        options = example.region.lexemes["options"]
        assert (options.get("alt") or "").strip(), "a picture needs :alt:, its words"
        names = dict(example.namespace) if "after-examples" in options else {}
        text = example.document.text
        above = text.count("\n", 0, text.index(example.parsed, example.region.start))
        assert "<svg" in drawn(example.parsed, str(example.path), above + 1, names)


pytest_collect_file = SybilCollection(
    (
        # Docstrings see the names of their own module, as they do in doctest.
        Sybil(parsers=[DocTestParser(optionflags=FLAGS)], path="src", patterns=["*.py"]),
        # Pages show what a reader would type: everything is imported on the page.
        Sybil(
            parsers=[PythonCodeBlockParser(doctest_optionflags=FLAGS), PictureParser()],
            path=".",
            patterns=["README.md", "docs/*.md", "docs/*/*.md"],
        ),
    )
).pytest()
