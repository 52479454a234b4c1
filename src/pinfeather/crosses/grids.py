"""Tables of short texts, written out: each entry is a few lines that stand under each other."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape
from typing import TypeAlias

Grid: TypeAlias = "Sequence[Sequence[Sequence[str]]]"
"""Rows of entries; the first row and the first entry of each row are headings."""

_MARKUP = re.compile(r"([\\`*_{}\[\]<>|~&#])")


def as_text(grid: Grid) -> list[str]:
    """The lines of a grid, its columns aligned; a rule stands below the headings and between taller rows."""
    widths = [max(len(line) for row in grid for line in row[column]) for column in range(len(grid[0]))]
    rule = "-+-".join("-" * width for width in widths)
    tall = any(len(entry) > 1 for row in grid[1:] for entry in row)
    lines: list[str] = []
    for number, row in enumerate(grid):
        if number == 1 or (number > 1 and tall):
            lines.append(rule)
        lines += _row_lines(row, widths)
    return lines


def _row_lines(row: Sequence[Sequence[str]], widths: Sequence[int]) -> Iterable[str]:
    for at in range(max(len(entry) for entry in row)):
        texts = [entry[at] if at < len(entry) else "" for entry in row]
        yield " | ".join(f"{text:<{width}}" for text, width in zip(texts, widths, strict=True)).rstrip()


def as_markdown(grid: Grid, below: Sequence[str] = ()) -> str:
    """A grid as a Markdown table, with lines of text below; what would be markup is escaped."""
    rows = []
    for number, row in enumerate(grid):
        cells = [
            "<br>".join(map(_escaped, entry)) if number and at else _heading(entry, bold=bool(number or at))
            for at, entry in enumerate(row)
        ]
        rows.append(f"| {' | '.join(cells)} |")
        if number == 0:
            rows.append("|" + " --- |" * len(row))
    return "\n".join([*rows, "", *(f"{_escaped(line)}  " for line in below[:-1]), *map(_escaped, below[-1:])])


def _heading(entry: Sequence[str], *, bold: bool) -> str:
    text = "<br>".join(map(_escaped, entry))
    return f"**{text}**" if bold else text


def _escaped(text: str) -> str:
    return _MARKUP.sub(r"\\\1", text)


def as_html(grid: Grid, below: Sequence[str] = ()) -> str:
    """A grid as an HTML table, with lines of text below; every text is escaped."""
    head = "".join(f'<th scope="col">{_lines(entry)}</th>' for entry in grid[0])
    body = "".join(
        f'<tr><th scope="row">{_lines(row[0])}</th>'
        + "".join(f"<td>{_lines(entry)}</td>" for entry in row[1:])
        + "</tr>"
        for row in grid[1:]
    )
    notes = "".join(f"<p>{escape(line)}</p>" for line in below)
    return f"<div><table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{notes}</div>"


def _lines(entry: Sequence[str]) -> str:
    return "<br>".join(map(escape, entry))
