"""Finishing touches on the pages: no blank line at the end of an example, no line break inside "95 %".

Examples end with a blank line in the source, where doctest ends an answer by one; a reader needs none.
"""

from __future__ import annotations

import re

from docutils import nodes
from sphinx.application import Sphinx

_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=(?:%|ms|cM|MB)(?!\w))")
_NO_BREAK = "\N{NO-BREAK SPACE}"


def finish(_app: Sphinx, page: nodes.document) -> None:
    for text in list(page.findall(nodes.Text)):
        block = text.parent
        if isinstance(block, nodes.literal_block):
            whole = block.astext().rstrip("\n")
            block.rawsource = whole
            block.replace(text, nodes.Text(text.rstrip("\n")))
        elif not isinstance(block, (nodes.literal, nodes.math, nodes.math_block)):
            block.replace(text, nodes.Text(_NUMBER_AND_UNIT.sub(_NO_BREAK, text)))


def setup(app: Sphinx) -> dict[str, bool]:
    app.connect("doctree-read", finish)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
