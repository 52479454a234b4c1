"""Rows of a CSV file, each with its place, and the problems found on the way."""

from __future__ import annotations

import codecs
import csv
import io
import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, NoReturn

import attrs

from pinfeather._checks import nearest
from pinfeather._results import Record, ShownRow
from pinfeather.errors import ArgumentError, PinfeatherError, RecordError
from pinfeather.records.cells import restored
from pinfeather.records.saving import load

Progress = Callable[[int, int], object]

_DELIMITERS = ",;\t"
_SHOWN = 20
_LONGEST_SHOWN = 40
_STEP = 1000
_REMARK = re.compile(r"#[^\r\n]*(\r\n|\r|\n|\Z)|[ \t]*(\r\n|\r|\n)")

PASSED = "\0"
"""What stands before a column that is passed over: no file holds this character."""


@attrs.frozen
class RowProblem(ShownRow):
    """One thing that is wrong in a file.

    Parameters
    ----------
    file : str
        The file.
    line : int
        The line, counted from 1; where a cell holds line breaks, the row's first.
    column : str
        The column's heading, empty where the whole row is meant.
    value : str
        What stands there.
    message : str
        What is wrong and what to write instead.

    Examples
    --------
    >>> from pinfeather.records import RowProblem
    >>> print(RowProblem("birds.csv", 3, "sex", "rooster", "the sex is cock or hen"))
    birds.csv, line 3, column sex: 'rooster': the sex is cock or hen
    """

    file: str
    line: int
    column: str
    value: str
    message: str

    def __str__(self) -> str:
        column = f", column {self.column}" if self.column else ""
        # What stands there is shown unless that is said anyway; a long text would bury the message.
        said = self.value == self.column or self.value in self.message
        shown = 0 < len(self.value) <= _LONGEST_SHOWN and not said
        return f"{self.file}, line {self.line}{column}: {f'{self.value!r}: ' if shown else ''}{self.message}"

    def _record(self) -> Record:
        return attrs.asdict(self, recurse=False)


@attrs.frozen
class Row:
    """One row: its line, and its cells that are not empty, by heading."""

    line: int
    cells: Mapping[str, str]


@attrs.define
class Table:
    """The rows of a file, and a list of problems that grows while they are read."""

    file: str
    columns: tuple[str, ...]
    rows: list[Row]
    problems: list[RowProblem]

    def blame(self, line: int, column: str, value: str, message: str) -> None:
        """Note a problem."""
        self.problems.append(RowProblem(self.file, line, column, value, message))


def refuse_rows(problems: Sequence[RowProblem]) -> NoReturn:
    """Raise one RecordError that tells all problems."""
    told = sorted(problems, key=lambda problem: (problem.file, problem.line))
    lines = [f"- {problem}" for problem in told[:_SHOWN]]
    if len(told) > _SHOWN:
        lines.append(f"- and {len(told) - _SHOWN} more; all are in the error's field 'problems'")
    count = "one problem" if len(told) == 1 else f"{len(told)} problems"
    message = f"{count} in the records:\n" + "\n".join(lines)
    raise RecordError(message, problems=tuple(told))


def fail(file: str, line: int, column: str, value: str, message: str) -> NoReturn:
    """Refuse a file for one problem that leaves nothing to go on with."""
    problem = RowProblem(file, line, column, value, message)
    raise RecordError(str(problem), problems=(problem,))


def decoded(content: bytes, file: str, encoding: str | None) -> str:
    """The text of a file: UTF-8 with or without a byte-order mark, UTF-16 with one, or as told."""
    if encoding is None:
        marks = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
        encoding = "utf-16" if content.startswith(marks) else "utf-8-sig"
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        advice = f"is not {encoding.removesuffix('-sig').upper()}; save it as UTF-8, or name its encoding"
        shown = repr(content[error.start : error.start + 1])[2:-1]
        fail(file, line, "", shown, f"the byte {shown} {advice}, such as encoding='cp1252'")
    except LookupError:
        message = f"encoding={encoding!r}: there is no such encoding; try 'utf-8' or 'cp1252'"
        raise ArgumentError(message, argument="encoding", value=encoding) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        fail(file, line, "", "\\0", "holds a character NUL; this is no CSV file, or its encoding is another")
    return text.removeprefix("\ufeff")


def read_table(
    path: str | os.PathLike[str],
    fixed: Sequence[str],
    meaning: Callable[[str], str | None],
    others: Sequence[str],
    encoding: str | None,
) -> Table:
    """Read a file into rows.

    ``fixed`` are the headings that have a meaning of their own, in any case; ``meaning`` tells what another
    heading means, or None if nothing; ``others`` are headings to suggest besides.
    """
    file = os.fspath(path)
    text = decoded(load(path), file, encoding)
    lines = _lines(text, file)
    start, heading = next(lines, (1, []))
    if not any(cell.strip() for cell in heading):
        fail(file, start, "", "", f"there are no headings; the first row names the columns: {', '.join(fixed)}")
    table = Table(file, (), [], [])
    columns = [_column(table, start, cell.strip(), fixed, meaning, others) for cell in heading]
    for number, column in enumerate(columns):
        if column and column in columns[:number]:
            table.blame(start, heading[number].strip(), heading[number], "the column stands twice; join the two")
    table.columns = tuple(column for column in columns if column)
    for line, cells in lines:
        _add_row(table, columns, line, cells)
    return table


def _lines(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """The rows of a text with the line where each begins; blank ones, and remarks before the headings, are left out."""
    rest, line = text, 1
    while found := _REMARK.match(rest):
        rest, line = rest[found.end() :], line + 1
    before = line - 1
    reader = csv.reader(io.StringIO(rest, newline=""), delimiter=_delimiter(rest), strict=True)
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            fail(file, line, "", "", f"cannot be read as CSV ({error}); a quote that is opened must be closed")
        if any(cell and not cell.isspace() for cell in cells):
            yield line, cells
        line = before + reader.line_num + 1


def _delimiter(text: str) -> str:
    """What stands most often in the first row: a comma, a semicolon or a tab."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    outside = "".join(first.split('"')[::2])
    return max(_DELIMITERS, key=outside.count)


def _column(
    table: Table,
    line: int,
    name: str,
    fixed: Sequence[str],
    meaning: Callable[[str], str | None],
    others: Sequence[str],
) -> str:
    """The meaning of a column, empty for one without a heading."""
    if not name or name.casefold() in fixed:
        return name.casefold()
    found = meaning(restored(name))
    if found is not None:
        return found
    guess = nearest(name, (*fixed, *others))
    hint = f"did you mean {guess!r}? " if guess else ""
    message = (
        f"unknown column; {hint}Known are {', '.join(fixed)} and the names of traits; name it in ignore=(...) to "
        "pass over it"
    )
    table.blame(line, name, name, message)
    return PASSED + name


def _add_row(table: Table, columns: Sequence[str], line: int, cells: Sequence[str]) -> None:
    found: dict[str, str] = {}
    for number, cell in enumerate(cells):
        column = columns[number] if number < len(columns) else ""
        # Notes are kept to the blank.
        if not cell or (column != "notes" and cell.isspace()):
            continue
        if not column:
            message = f"stands in column {number + 1}, which has no heading; is there a comma too many?"
            table.blame(line, "", cell, f"{cell!r} {message}")
        elif not column.startswith(PASSED):
            found[column] = cell
    table.rows.append(Row(line, found))


def report(on_progress: Progress | None, done: int, total: int) -> None:
    """Tell how far the work has come, now and then and at the end."""
    if on_progress is not None and (done % _STEP == 0 or done == total):
        on_progress(done, total)


def reason(error: PinfeatherError) -> str:
    """What an error says, without the argument's name that the column gives already."""
    prefix = f"{error.fields.get('argument')}={error.fields.get('value')!r}: "
    return str(error).removeprefix(prefix)


def written(columns: Sequence[str], rows: Iterable[Sequence[Any]], encoding: str | None) -> bytes:
    """A table as bytes: CSV after RFC 4180, in UTF-8, with a byte-order mark where a spreadsheet needs it."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows(rows)
    text = out.getvalue()
    if encoding is None:
        encoding = "utf-8" if text.isascii() else "utf-8-sig"
    try:
        return text.encode(encoding)
    except UnicodeEncodeError as error:
        message = f"{error.object[error.start : error.end]!r} cannot be written in {encoding}; use UTF-8"
        raise RecordError(message, problems=()) from None
    except LookupError:
        message = f"encoding={encoding!r}: there is no such encoding; leave it out for UTF-8"
        raise ArgumentError(message, argument="encoding", value=encoding) from None
