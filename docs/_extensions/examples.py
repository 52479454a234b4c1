"""Examples end with a blank line in the source, where doctest ends an answer by one; a reader needs none."""

from __future__ import annotations

from docutils import nodes
from sphinx.application import Sphinx


def trimmed(_app: Sphinx, page: nodes.document) -> None:
    for block in page.findall(nodes.literal_block):
        text = block.astext().rstrip("\n")
        block.children = [nodes.Text(text)] if len(block.children) == 1 else block.children
        block.rawsource = text


def setup(app: Sphinx) -> dict[str, bool]:
    app.connect("doctree-read", trimmed)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
