"""Docstrings in numpydoc form, read with Napoleon's parser, and links by the short names that they use.

Napoleon itself takes a colon in the first line of a property ("The traits: all that show") for a type; here
a property is read like any other docstring.  Types stay words, and are not made into links.

A link may name a thing by itself, or by the file that holds it; its page lists it under the path by which
readers import it.  It is found by the end of its name, if only one documented thing ends so.
"""

from __future__ import annotations

from typing import Any

from docutils import nodes
from sphinx.application import Sphinx
from sphinx.environment import BuildEnvironment
from sphinx.ext.napoleon import Config, NumpyDocstring
from sphinx.util.nodes import make_refnode

_SETTINGS = Config(napoleon_use_param=False, napoleon_use_rtype=False)


class Docstring(NumpyDocstring):
    """A docstring whose section of attributes is set like that of parameters."""

    def _parse_attributes_section(self, section: str) -> list[str]:
        return self._format_fields(section, self._consume_fields())


def read(app: Sphinx, what: Any, name: str, obj: Any, options: Any, lines: list[str]) -> None:
    kind = "method" if what in {"property", "attribute"} else what
    lines[:] = Docstring(lines, _SETTINGS, app, kind, name, obj, options).lines()


def link(app: Sphinx, env: BuildEnvironment, node: Any, shown: nodes.TextElement) -> nodes.reference | None:
    if node.get("refdomain") != "py":
        return None
    documented = {name: entry for name, entry in env.domains["py"].objects.items() if not entry.aliased}
    parts = node["reftarget"].split(".")
    written = next((start for start, part in enumerate(parts) if part[:1].isupper()), len(parts) - 1)
    ending = "." + ".".join(parts[written:])
    found = [name for name in documented if name.endswith(ending)]
    if len(found) != 1:
        return None
    entry = documented[found[0]]
    return make_refnode(app.builder, node["refdoc"], entry.docname, entry.node_id, shown, found[0])


def setup(app: Sphinx) -> dict[str, bool]:
    app.connect("autodoc-process-docstring", read)
    app.connect("missing-reference", link)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
