r"""Formulas as MathML, written at build time by docutils: no script, no font and no network in the page.

The converter reads ``\frac12`` as a fraction of twelve and whatever follows; write ``\frac{1}{2}``.
"""

from __future__ import annotations

from typing import Any

from docutils import nodes
from docutils.utils.math import MathError
from docutils.utils.math.latex2mathml import tex2mathml
from sphinx.application import Sphinx
from sphinx.util import logging

_LOG = logging.getLogger(__name__)


def converted(node: nodes.Element, *, as_block: bool) -> str:
    try:
        return str(tex2mathml(node.astext(), as_block=as_block))
    except MathError as error:
        _LOG.warning("cannot read the formula %r: %s", node.astext(), error, location=node)
        return ""


def visit_inline(translator: Any, node: nodes.math) -> None:
    translator.body.append(converted(node, as_block=False))
    raise nodes.SkipNode


def visit_block(translator: Any, node: nodes.math_block) -> None:
    translator.body.append(f'<div class="math">{converted(node, as_block=True)}</div>\n')
    raise nodes.SkipNode


def setup(app: Sphinx) -> dict[str, bool]:
    app.add_html_math_renderer("mathml", (visit_inline, None), (visit_block, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
