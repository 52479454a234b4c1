"""The pictures of the pages: what draws them when the pages are built draws them in these tests too."""

from __future__ import annotations

import importlib.util
import re
import types
from pathlib import Path

import pytest

SQUARE = """from pinfeather import cross, draw_square, load_fowl

black = load_fowl().genotype("E/E Lav+/lav")
picture = draw_square(cross(black, black).square())
"""


@pytest.fixture(scope="module")
def drawing() -> types.ModuleType:
    path = Path(__file__).parents[2] / "docs" / "_extensions" / "drawing.py"
    spec = importlib.util.spec_from_file_location("drawing_under_test", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_a_picture_is_the_same_to_the_last_byte_every_time(drawing: types.ModuleType) -> None:
    once, again = (drawing.drawn(SQUARE, "page.md", 1, {}) for _ in range(2))
    assert once == again
    assert "<svg" in once
    assert "dc:date" not in once


def test_the_figure_will_do_instead_of_the_axes(drawing: types.ModuleType) -> None:
    assert drawing.drawn(SQUARE + "picture = picture.figure\n", "page.md", 1, {}) == drawing.drawn(
        SQUARE, "page.md", 1, {}
    )


@pytest.mark.parametrize(
    ("body", "line", "says"),
    [
        ("x = 1\ny = 1 / 0\n", 41, "ZeroDivisionError: division by zero"),
        ("def f():\n    return 1 / 0\n\nf()\n", 41, "ZeroDivisionError"),
        ("x = 1\n\nx =\n", 42, "SyntaxError"),
        ("import warnings\nwarnings.warn('no such glyph')\n", 41, "UserWarning: no such glyph"),
        ("x = 1\n", 40, "leave the Axes or the Figure in the name picture"),
    ],
)
def test_a_body_that_fails_names_the_file_and_the_line(
    drawing: types.ModuleType, body: str, line: int, says: str
) -> None:
    with pytest.raises(drawing.DrawingError, match=rf"^page\.md:{line}: .*{says}"):
        drawing.drawn(body, "page.md", 40, {})


PAGE = """# A page

```python
>>> one = 1
>>> one + 1
2
```

```python
two = one + 1
```

```python
>>> two = 3
```
"""


def test_examples_above_a_picture_are_run_once_and_those_below_are_not(drawing: types.ModuleType) -> None:
    names: dict[str, int] = {}
    drawing.run_examples(PAGE, "page.md", 0, 12, names)
    assert (names["one"], names["two"]) == (1, 2)
    names["one"] = 5
    drawing.run_examples(PAGE, "page.md", 12, 20, names)
    assert (names["one"], names["two"]) == (5, 3)


def test_no_picture_is_drawn_below_an_example_that_fails(drawing: types.ModuleType) -> None:
    with pytest.raises(drawing.DrawingError, match=r"^page\.md:4: an example above a picture fails") as caught:
        drawing.run_examples(PAGE.replace("\n2\n", "\n7\n"), "page.md", 0, 12, {})
    assert "Expected:\n    7\nGot:\n    2" in str(caught.value)


def test_every_picture_on_a_page_has_its_words(root: Path) -> None:
    for page in (root / "docs").rglob("*.md"):
        text = page.read_text(encoding="utf-8")
        for found in re.finditer(r"^```\{picture\}\n((?::.*\n)*)", text, re.MULTILINE):
            assert re.search(r"^:alt: \S", found.group(1), re.MULTILINE), f"{page}: a picture without :alt:"
