"""A cell as a notebook shows it: the code, and below it the HTML of what its last line gives.

The code is run when the documentation is built; the cells of one page share their names.  An error in it fails the
build, so that no page shows what the library does not do.
"""

from __future__ import annotations

import ast
from typing import Any

from docutils import nodes
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

# The theme styles the tables of pages, which carry this class; it leaves the room within cells to paragraphs.
_THEME = {"<table>": '<table class="docutils align-default">', 'style="': 'style="padding:0.2em 0.6em;'}


class NotebookCell(SphinxDirective):
    """``notebook-cell``: its content is Python, the last line an expression."""

    has_content = True

    def run(self) -> list[nodes.Node]:
        """The code, and what its last line shows."""
        code = "\n".join(self.content)
        self.env.note_reread()  # the page may be as it was while the library is another
        shown = evaluated(code, self.env.temp_data.setdefault("notebook_cell", {}))
        if not hasattr(shown, "_repr_html_"):
            message = f"the last line gives a {type(shown).__name__}, which a notebook does not show as HTML"
            raise self.error(message)
        html = shown._repr_html_()
        for ours, themed in _THEME.items():
            html = html.replace(ours, themed)
        return [
            nodes.literal_block(code, code, language="python"),
            nodes.raw("", f'<div class="table-wrapper docutils container">{html}</div>', format="html"),
        ]


def evaluated(code: str, names: dict[str, Any]) -> Any:
    """What the last line of a cell gives, all others having been run."""
    *before, last = ast.parse(code).body
    if not isinstance(last, ast.Expr):
        message = "the last line of a cell has to be an expression"
        raise TypeError(message)
    exec(compile(ast.Module(before, []), "cell", "exec"), names)
    return eval(compile(ast.Expression(last.value), "cell", "eval"), names)


def setup(app: Sphinx) -> dict[str, bool]:
    app.add_directive("notebook-cell", NotebookCell)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
