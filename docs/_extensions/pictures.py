"""Pictures that are drawn when the pages are built, by the Python that stands on the page.

    ```{picture}
    :alt: What someone who does not see the picture needs to be told.
    :caption: A line below it, in Markdown.

    from pinfeather import cross, draw_square, load_fowl

    fowl = load_fowl()
    black = fowl.genotype("E/E Lav+/lav")
    picture = draw_square(cross(black, black).square())
    ```

The body is complete by itself and leaves an Axes or a Figure in the name ``picture``.  With ``:after-examples:``
it also has whatever the Python examples above it on the page have defined, so that the picture and the numbers
beside it are of the same values.  ``:code:`` shows the body above the picture, ``:name:`` is a name to link to.

A body that fails stops the build and names the file and the line.  pytest runs the bodies too (see conftest.py).
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any, ClassVar

from docutils import nodes
from docutils.parsers.rst import directives
from drawing import DrawingError, drawn, run_examples
from sphinx.application import Sphinx
from sphinx.errors import SphinxError
from sphinx.util.docutils import SphinxDirective

# Points, at 72 to the inch.  A wider picture is shrunk less, since its letters are small already; it can be scrolled.
_WIDTHS = {"wide": 560, "vast": 900}


class PictureError(SphinxError):
    """A picture that cannot be drawn; the build stops."""

    category = "A picture cannot be drawn"


class Picture(SphinxDirective):
    """A figure whose picture is drawn now."""

    has_content = True
    option_spec: ClassVar = {
        "alt": directives.unchanged_required,
        "caption": directives.unchanged_required,
        "name": directives.unchanged_required,
        "code": directives.flag,
        "after-examples": directives.flag,
    }

    def run(self) -> list[nodes.Node]:
        """Draw, and give the figure."""
        if not self.options.get("alt", "").strip():
            message = f"{self.env.doc2path(self.env.docname)}:{self.lineno}: a picture needs :alt:, its words"
            raise PictureError(message)
        shown: list[nodes.Node] = []
        body = "\n".join(self.content)
        if "code" in self.options:
            shown.append(nodes.literal_block(body, body, language="python"))
        shown.append(self._figure(self._svg(body)))
        return shown

    def _svg(self, body: str) -> str:
        path = str(self.env.doc2path(self.env.docname))
        try:
            names = self._names_of_page(path) if "after-examples" in self.options else {}
            return drawn(body, path, self.lineno + self.content_offset + 1, names)
        except DrawingError as error:
            raise PictureError(str(error)) from error

    def _names_of_page(self, path: str) -> dict[str, Any]:
        """What the examples above define, each run once however many pictures stand on the page."""
        done, names = self.env.temp_data.get("picture_names", (0, {}))
        run_examples(Path(path).read_text(encoding="utf-8"), path, done, self.lineno, names)
        self.env.temp_data["picture_names"] = (self.lineno, names)
        return dict(names)

    def _figure(self, svg: str) -> nodes.figure:
        name = f"{self.env.docname.replace('/', '_')}_{self.env.new_serialno('picture') + 1}.svg"
        file = Path(self.env.doctreedir, "pictures", name)
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(svg, encoding="utf-8")
        uri = "/" + Path(os.path.relpath(file, self.env.srcdir)).as_posix()
        size = re.search(r'<svg[^>]* width="([\d.]+)pt"', svg)
        image = nodes.image(uri=uri, alt=self.options["alt"], width=f"{size[1]}pt" if size else "100%")
        wider = [name for name, width in _WIDTHS.items() if size and float(size[1]) > width]
        figure = nodes.figure("", image, classes=["picture", *wider])
        self.set_source_info(figure)
        if "caption" in self.options:
            words, messages = self.state.inline_text(self.options["caption"], self.lineno)
            figure += [nodes.caption(self.options["caption"], "", *words), *messages]
        self.add_name(figure)
        return figure


def setup(app: Sphinx) -> dict[str, bool]:
    app.add_directive("picture", Picture)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
