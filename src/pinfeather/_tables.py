"""Tables to be read: one table, as aligned text, as HTML and as Markdown.

Whatever a breeder names, a bird, a pen or a look, may stand in a table.  So signs that would move the cursor are
written out, every text is escaped in HTML and in Markdown, and columns are as wide as a terminal shows them, not as
many as their characters are.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from html import escape
from typing import TypeAlias

import attrs

Cell: TypeAlias = "str | Sequence[str]"
"""A text, or the lines of one that stand under each other."""

_MARKUP = re.compile(r"([\\`*_{}\[\]<>|~&#])")
# Signs that move the cursor or end a line, halves of letters, and what turns the direction of writing round.
_UNSEEN = frozenset(["Cc", "Cs", "Zl", "Zp"])
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def _lines(value: str | Iterable[str]) -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else tuple(value)


@attrs.frozen
class Table:
    """A table of texts, its first row the headings.

    Parameters
    ----------
    heads : sequence of str
        Headings of the columns.
    rows : sequence of sequences of Cell
        The rows, each as long as the headings.
    above, below : str or iterable of str
        Lines before and after the table.
    words : collection of int
        The columns that hold words and stand to the left; the others hold numbers and stand to the right.
    headed : bool
        Whether the text shows the headings; the HTML always does.
    ruled : bool
        Whether lines are drawn between the columns, below the headings and between rows of several lines.
    """

    heads: Sequence[Cell]
    rows: Sequence[Sequence[Cell]]
    above: tuple[str, ...] = attrs.field(default=(), converter=_lines)
    below: tuple[str, ...] = attrs.field(default=(), converter=_lines)
    words: Sequence[int] = (0,)
    headed: bool = True
    ruled: bool = False

    # -- as text -----------------------------------------------------------------------------------------------------

    def text(self) -> str:
        """The table with its columns aligned, and the lines above and below it."""
        return "\n".join([*map(printable, self.above), *self._text_lines(), *map(printable, self.below)])

    def _text_lines(self) -> Iterator[str]:
        shown = [self.heads, *self.rows] if self.headed else list(self.rows)
        grid = [[[printable(line) for line in _lines(cell)] for cell in row] for row in shown]
        if not grid:
            return
        widths = [max(width_of(line) for row in grid for line in row[at]) for at in range(len(grid[0]))]
        rule = "-+-".join("-" * width for width in widths)
        tall = any(len(cell) > 1 for row in grid[1:] for cell in row)
        for number, row in enumerate(grid):
            if self.ruled and (number == 1 or (number > 1 and tall)):
                yield rule
            yield from self._row_lines(row, widths)

    def _row_lines(self, row: Sequence[Sequence[str]], widths: Sequence[int]) -> Iterator[str]:
        between = " | " if self.ruled else "  "
        for line in range(max(len(cell) for cell in row)):
            texts = [cell[line] if line < len(cell) else "" for cell in row]
            padded = (
                text + blank if at in self.words else blank + text
                for at, (text, width) in enumerate(zip(texts, widths, strict=True))
                for blank in [" " * (width - width_of(text))]
            )
            yield between.join(padded).rstrip()

    # -- as HTML -----------------------------------------------------------------------------------------------------

    def html(self) -> str:
        """The same as an HTML table, the lines above as its caption; every text is escaped."""
        caption = f"<caption>{_html_lines(self.above)}</caption>" if self.above else ""
        head = "".join(self._html_cell("th", "col", at, cell) for at, cell in enumerate(self.heads))
        body = "".join(f"<tr>{self._html_row(row)}</tr>" for row in self.rows)
        below = "".join(f"<p>{_escaped(line)}</p>" for line in self.below)
        return f"<div><table>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{below}</div>"

    def _html_row(self, row: Sequence[Cell]) -> str:
        first = self._html_cell("th", "row", 0, row[0])
        return first + "".join(self._html_cell("td", "", at, cell) for at, cell in enumerate(row[1:], start=1))

    def _html_cell(self, tag: str, scope: str, at: int, cell: Cell) -> str:
        # Notebooks set cells to the right and web pages to the left: each cell says where it belongs.
        side = "left" if at in self.words else "right"
        if tag == "th" and not any(_lines(cell)):
            tag, scope = "td", ""  # a heading without words heads nothing
        scoped = f' scope="{scope}"' if scope else ""
        return f'<{tag}{scoped} style="text-align:{side}">{_html_lines(_lines(cell))}</{tag}>'

    # -- as Markdown -------------------------------------------------------------------------------------------------

    def markdown(self) -> str:
        """The same as a Markdown table; what would be markup is escaped."""
        lines = [f"{_marked_down(line)}  " for line in self.above] + [""] * bool(self.above)
        for number, row in enumerate([self.heads, *self.rows]):
            cells = [
                "<br>".join(map(_marked_down, _lines(cell))) if number and at else _heading(cell, bool(number or at))
                for at, cell in enumerate(row)
            ]
            lines.append(f"| {' | '.join(cells)} |")
            if number == 0:
                lines.append("|" + " --- |" * len(row))
        below = [_marked_down(line) for line in self.below]
        return "\n".join([*lines, "", *(f"{line}  " for line in below[:-1]), *below[-1:]])


def _heading(cell: Cell, bold: bool) -> str:
    text = "<br>".join(map(_marked_down, _lines(cell)))
    return f"**{text}**" if bold else text


def _marked_down(text: str) -> str:
    return _MARKUP.sub(r"\\\1", printable(text))


def _html_lines(lines: Iterable[str]) -> str:
    return "<br>".join(map(_escaped, lines))


def _escaped(text: str) -> str:
    return escape(printable(text))


def printable(text: str) -> str:
    r"""A text in one line, with nothing in it that acts on a terminal: such signs are written out, as ``\n``."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        sign.encode("unicode_escape").decode("ascii")
        if unicodedata.category(sign) in _UNSEEN or sign in _TURNING
        else sign
        for sign in text
    )


def width_of(text: str) -> int:
    """How many columns of a terminal a text takes: two for wide signs, none for marks that stand on others."""
    if text.isascii():
        return len(text)
    return sum(map(_width_of_sign, text))


def _width_of_sign(sign: str) -> int:
    if unicodedata.category(sign) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1
