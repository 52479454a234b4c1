"""Runs the Python of a picture and gives the SVG: for the pages when they are built, and for pytest.

It knows nothing of Sphinx, so that whoever runs the tests need not install it.
"""

from __future__ import annotations

import doctest
import io
import re
import traceback
import warnings
from typing import Any

import matplotlib as mpl
from matplotlib import pyplot
from matplotlib.figure import Figure

FLAGS = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE

# The same names inside the file on every run, letters as outlines that look alike on every machine.
_STYLE = {"svg.hashsalt": "pinfeather", "svg.fonttype": "path"}
_NO_DATE = {"Date": None, "Creator": None}

_PYTHON = re.compile(r"^```python\n(.*?)^```$", re.MULTILINE | re.DOTALL)


class DrawingError(Exception):
    """A picture could not be drawn; the text begins with the file and the line."""


def drawn(body: str, path: str, line: int, names: dict[str, Any]) -> str:
    """The SVG of what ``body``, which begins on ``line`` of the file, leaves in the name ``picture``."""
    try:
        mpl.use("agg")
        with warnings.catch_warnings(), mpl.rc_context():
            warnings.simplefilter("error")
            mpl.rcdefaults()
            mpl.rcParams.update(_STYLE)
            _run(body, path, line, names)
            return _saved(names.get("picture"), path, line)
    finally:
        pyplot.close("all")


def run_examples(text: str, path: str, first: int, last: int, names: dict[str, Any]) -> None:
    """Run the Python examples of a page that begin on a line from ``first`` to before ``last``, and check them."""
    for found in _PYTHON.finditer(text):
        line = text.count("\n", 0, found.start(1)) + 1
        if first <= line < last:
            source = found.group(1)
            if source.startswith(">>>"):
                _check(source, path, line, names)
            else:
                _run(source, path, line, names)


def _run(source: str, path: str, line: int, names: dict[str, Any]) -> None:
    try:
        # Lines are counted from the top of the page, as an editor counts them.
        exec(compile("\n" * (line - 1) + source, path, "exec", dont_inherit=True), names)
    except Exception as error:
        places = [place.lineno for place in traceback.extract_tb(error.__traceback__) if place.filename == path]
        at = error.lineno if isinstance(error, SyntaxError) else (places or [line])[-1]
        message = f"{path}:{at}: {type(error).__name__}: {error}"
        raise DrawingError(message) from error


def _check(source: str, path: str, line: int, names: dict[str, Any]) -> None:
    examples = doctest.DocTestParser().get_doctest(source, names, path, path, line - 1)
    examples.globs = names  # a test takes a copy, but what one example defines serves the next
    report = io.StringIO()
    runner = doctest.DocTestRunner(optionflags=FLAGS, verbose=False)
    if runner.run(examples, out=report.write, clear_globs=False).failed:
        message = f"{path}:{line}: an example above a picture fails\n{report.getvalue()}"
        raise DrawingError(message)


def _saved(picture: Any, path: str, line: int) -> str:
    figure = picture if isinstance(picture, Figure) else getattr(picture, "figure", None)
    if not isinstance(figure, Figure):
        message = f"{path}:{line}: leave the Axes or the Figure in the name picture"
        raise DrawingError(message)
    file = io.StringIO()
    figure.savefig(file, format="svg", metadata=_NO_DATE)
    return file.getvalue()
