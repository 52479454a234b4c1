"""The examples of a room's docstrings as tests; `mutation.py` puts this file among the tests in its sandbox.

They were read from the source as it is, since the changed one holds each docstring once for every mutant.
"""

from __future__ import annotations

import doctest
import importlib
import json
from pathlib import Path

import pytest

EXAMPLES = json.loads(Path(__file__).with_name("examples.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("module", "name", "text"),
    [pytest.param(*example, id=f"{number} {example[0]}.{example[1]}") for number, example in enumerate(EXAMPLES)],
)
def test_an_example_gives_what_it_says(module: str, name: str, text: str) -> None:
    known = dict(vars(importlib.import_module(module)))
    test = doctest.DocTestParser().get_doctest(text, known, name, module, 0)
    runner = doctest.DocTestRunner(verbose=False, optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    assert runner.run(test).failed == 0
