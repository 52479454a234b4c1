"""What holds for every result: four forms, the same facts in each, and no text of the user's acting on anything."""

from __future__ import annotations

import html
import importlib
import io
import json
import re
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.console import Console

from pinfeather._tables import Table, printable, width_of
from tests.laws.every_result import GROUPS, NASTY, PLAIN, WRITTEN, results_in

ROOMS = ("crosses", "exact", "fowl", "hatches", "heredity", "pedigree", "plans", "records")
# Results whose text is sentences or notation by intent, not a table.
IN_SENTENCES = {
    "Conflict", "Explanation", "Gamete", "Genotype", "InbreedingPath", "Influence", "Pairing", "Phenotype", "Problem",
    "Programme", "PunnettSquare", "Record", "Risk", "RowProblem", "Simulation", "Source", "Standing", "Step",
    "BirdToType",
}  # fmt: skip
every_group = pytest.mark.parametrize("group", GROUPS)


def everything(name: str) -> list[Any]:
    return [result for group in GROUPS for result in results_in(group, name)]


def public_classes() -> set[str]:
    names = set()
    for room in ROOMS:
        face = importlib.import_module(f"pinfeather.{room}")
        names |= {name for name in face.__all__ if isinstance(getattr(face, name), type)}
    return names


def test_every_class_that_the_library_hands_out_is_among_the_examples() -> None:
    made = {type(result).__name__ for result in everything(PLAIN)}
    assert public_classes() - WRITTEN - made == set()


@every_group
def test_facts_are_plain_json(group: str) -> None:
    for result in results_in(group, NASTY):
        facts = result.to_dict()
        assert facts
        assert json.loads(json.dumps(facts, allow_nan=False)) == facts


@every_group
def test_records_are_flat_and_alike(group: str) -> None:
    for result in results_in(group, NASTY):
        records = result.to_records()
        assert len({tuple(record) for record in records}) <= 1
        for record in records:
            for key, value in record.items():
                assert isinstance(key, str)
                assert value is None or type(value) in (str, int, float, bool), (key, value)


@every_group
def test_floats_by_name_are_the_exact_numbers_rounded(group: str) -> None:
    for result in results_in(group, NASTY):
        exactly, rounded = result.to_records(), result.to_records(floats=True)
        assert [list(record) for record in exactly] == [list(record) for record in rounded]
        for one, other in zip(exactly, rounded, strict=True):
            for key, value in one.items():
                if isinstance(value, str) and isinstance(other[key], float):
                    assert float(Fraction(value)) == other[key]
                else:
                    assert value == other[key]


class Page(HTMLParser):
    """The tags of a page, whether they close in order, and its text."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.text = ""
        self.cells: list[int] = []
        self.scopes: list[str | None] = []
        self._open: list[str] = []
        self.feed(text)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag == "br":
            return
        self._open.append(tag)
        if tag == "tr":
            self.cells.append(0)
        if tag in ("th", "td"):
            self.cells[-1] += 1
        if tag == "th":
            self.scopes.append(dict(attrs).get("scope"))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


@every_group
def test_html_is_a_whole_table_and_nothing_of_the_users_is_a_tag(group: str) -> None:
    for result in results_in(group, NASTY):
        page = Page(result._repr_html_())
        assert set(page.tags) <= {"div", "table", "caption", "thead", "tbody", "tr", "th", "td", "p", "br"}
        assert page.tags.count("table") == page.tags.count("thead") == page.tags.count("tbody") == 1
        assert len(set(page.cells)) == 1
        assert set(page.scopes) <= {"row", "col"}
        assert "<script" not in result._repr_html_()


def test_the_name_that_could_harm_has_come_into_most_results() -> None:
    """Otherwise the law above would say nothing."""
    shown = [type(r).__name__ for r in everything(NASTY) if html.escape(NASTY) in r._repr_html_()]
    assert len(shown) >= 30, shown


@every_group
def test_the_text_is_the_table_with_its_columns_under_each_other(group: str) -> None:
    for result in results_in(group, NASTY):
        text = str(result)
        assert text.strip()
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f]", text)
        if type(result).__name__ not in IN_SENTENCES:
            assert text == result._table().text()
        assert_aligned(result._table())


def assert_aligned(table: Table) -> None:
    """Every cell stands at one edge of its column, measured by another library's widths."""
    lines = list(table._text_lines())
    shown = [table.heads, *table.rows] if table.headed else list(table.rows)
    if table.ruled or any(not isinstance(cell, str) for row in shown for cell in row):
        return
    widths = [max(cell_len(printable(str(row[at]))) for row in shown) for at in range(len(shown[0]))] if shown else []
    for line, row in zip(lines, shown, strict=True):
        start = 0
        for at, (cell, width) in enumerate(zip(row, widths, strict=True)):
            text = printable(str(cell))
            before = start if at in table.words else start + width - cell_len(text)
            assert cut(line, before, cell_len(text)).rstrip() == text.rstrip(), (line, cell)
            start += width + 2


def cut(line: str, start: int, width: int) -> str:
    """What stands in some columns of a line."""
    at, found = 0, ""
    for sign in line:
        size = cell_len(sign)
        if start <= at and at + size <= start + width and (size or at > start):
            found += sign
        at += size
    return found


@every_group
def test_rich_prints_what_str_says(group: str) -> None:
    for result in results_in(group, NASTY):
        assert through_rich(result) == flush(str(result))


@every_group
def test_our_own_words_hold_nothing_that_rich_takes_for_markup(group: str) -> None:
    for result in results_in(group, PLAIN):
        assert through_rich(str(result)) == flush(str(result))


def through_rich(shown: Any) -> str:
    file = io.StringIO()
    Console(file=file, width=100_000, color_system=None).print(shown)
    return flush(file.getvalue())


def flush(text: str) -> str:
    return "\n".join(line.rstrip() for line in text.splitlines())


# ---- what the reference promises -------------------------------------------------------------------------------------

# Their columns are traits, or are named by whoever makes them.
NAMED_BY_THE_BREEDER = {"ByName", "Distribution", "Offspring", "Phenotype", "PunnettSquare"}


def test_the_reference_lists_the_keys_of_every_record() -> None:
    page = (Path(__file__).parents[2] / "docs" / "reference" / "results.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| (`[A-Z].*?) \| .*? \| (.*) \|$", page, re.MULTILINE)
    promised = {name: re.findall(r"`(\w+)`", keys) for names, keys in rows for name in re.findall(r"`(\w+)`", names)}
    for result in everything(PLAIN):
        name = type(result).__name__
        for record in result.to_records():
            if name in NAMED_BY_THE_BREEDER:
                assert set(promised[name]) & set(record) or name in {"ByName", "Phenotype"}
            else:
                assert list(record) == promised[name], name


# ---- the table itself ------------------------------------------------------------------------------------------------

WORDS = st.text(st.sampled_from("ab é ü卵雞ヒ\u0301\u20dd|,=<&*_[]🐓"), max_size=8).map(str.strip)


@given(rows=st.lists(st.tuples(WORDS, WORDS, WORDS), min_size=1, max_size=5), words=st.sets(st.integers(0, 2)))
def test_a_table_of_any_words_is_aligned_and_escaped(rows: list[tuple[str, ...]], words: set[int]) -> None:
    table = Table(rows[0], rows[1:], words=sorted(words))
    lines = list(table._text_lines())
    widths = [max(cell_len(row[at]) for row in rows) for at in range(3)]
    for line, row in zip(lines, rows, strict=True):
        edge = widths[0] + 2
        first = row[0].ljust if 0 in words else row[0].rjust
        blanks = widths[0] - cell_len(row[0])
        assert line.startswith(first(len(row[0]) + blanks).rstrip())
        assert cell_len(line) <= edge + widths[1] + 2 + widths[2]
        if 2 not in words and row[2]:
            assert cell_len(line) == edge + widths[1] + 2 + widths[2]
    assert Page(table.html()).text == "".join(cell for row in rows for cell in row)


@pytest.mark.parametrize(
    ("text", "width"),
    [("Rook", 4), ("Hübner", 6), ("卵", 2), ("e\u0301", 1), ("ｱ", 1), ("Ａ", 2), ("🐓", 2), ("", 0)],
)
def test_width_is_that_of_a_terminal(text: str, width: int) -> None:
    """Unicode Standard Annex 11 (East Asian Width): wide and full-width signs take two columns."""
    assert width_of(text) == cell_len(text) == width


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("two\nlines", r"two\nlines"),
        ("\x1b[31mred", r"\x1b[31mred"),
        ("tab\there", r"tab\there"),
        ("turned \u202eround", r"turned \u202eround"),
        ("half \ud800", r"half \ud800"),
        ("Hübner", "Hübner"),
    ],
)
def test_what_acts_on_a_terminal_is_written_out(text: str, shown: str) -> None:
    assert printable(text) == shown
    assert shown in Table(("name",), [(text,)]).text()
    assert html.escape(shown) in Table(("name",), [(text,)]).html()
