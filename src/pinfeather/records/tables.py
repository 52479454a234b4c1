"""The flock book as CSV: one row for every bird, one row for every kind of chick counted in a hatch."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NoReturn

import attrs

from pinfeather import _checks
from pinfeather.errors import PedigreeError, PinfeatherError
from pinfeather.pedigree.checking import Problem, check
from pinfeather.pedigree.dates import iso_date
from pinfeather.pedigree.individuals import Hatch, Individual, bird_id, sex_word
from pinfeather.pedigree.pedigree import Pedigree
from pinfeather.records.cells import harmless, lone_chance, parent_cell, parent_text, restored, sex_cell
from pinfeather.records.rows import PASSED, Progress, Row, Table, read_table, reason, refuse_rows, report, written
from pinfeather.records.saving import save

if TYPE_CHECKING:
    from pinfeather.heredity.species import Species

__all__ = ["read_pedigree", "write_pedigree"]

_Path = str | os.PathLike[str]

_BIRD_COLUMNS = ("id", "sex", "sire", "dam", "hatched", "genotype", "tested", "notes")
_HATCH_COLUMNS = ("id", "sire", "dam", "date", "set", "fertile", "sex", "chicks")
_TRAIT_PREFIX = "trait "


def read_pedigree(
    path: _Path,
    species: Species,
    *,
    hatches: _Path | None = None,
    ignore: Iterable[str] = (),
    encoding: str | None = None,
    on_progress: Progress | None = None,
) -> Pedigree:
    r"""Read a flock book from CSV.

    One row is one bird.  The first row names the columns: ``id``, ``sex``, ``sire``, ``dam``, ``hatched``,
    ``genotype``, ``tested``, ``notes``, in any order and only those that are used; every other column is a
    trait, by its name, and its cells are the labels seen.  ``sire`` and ``dam`` are ids, or possible
    parents with chances: ``Rook 2/3; Jay 1/3``. Dates are written year-month-day.  Empty cells say nothing.

    Parameters
    ----------
    path : path
        The file of birds.
    species : Species
        What looks and genotypes are read by.
    hatches : path, optional
        A file of hatches: ``id``, ``sire``, ``dam``, ``date``, ``set``, ``fertile``, ``sex``, traits, and
        in ``chicks`` how many looked so.  Rows with the same id belong to one hatch.
    ignore : iterable of str
        Headings of columns to pass over.
    encoding : str, optional
        The files' encoding; UTF-8 with or without byte-order mark, and UTF-16 with one, are found out.
    on_progress : callable, optional
        Called with rows done and rows in all.

    Returns
    -------
    Pedigree

    Raises
    ------
    RecordError
        If a file cannot be read, or rows cannot: ``problems`` lists every one with file, line, column,
        value and remedy, and the message tells the first twenty.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> from pinfeather import load_fowl, read_pedigree
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     book = pathlib.Path(folder, "flock.csv")
    ...     _ = book.write_text("id,sex,sire,dam,hatched\nWren,hen,Rook 2/3; Jay 1/3,Dove,2026-04-12\n")
    ...     flock = read_pedigree(book, load_fowl())
    >>> flock["Wren"].sire
    {'Rook': '2/3', 'Jay': '1/3'}

    Notes
    -----
    The separator may be a comma, a semicolon or a tab: what stands most often in the first row.
    Lines that begin with # before the headings are remarks.
    """
    passed = frozenset(_checks.texts(ignore, "ignore"))
    known = species.trait_names
    birds = read_table(path, _BIRD_COLUMNS, _trait_reader(species, passed), known, encoding)
    clutches = (
        Table("", (), [], [])
        if hatches is None
        else read_table(hatches, _HATCH_COLUMNS, _trait_reader(species, passed), known, encoding)
    )
    total = len(birds.rows) + len(clutches.rows)

    def tell(done: int) -> None:
        report(on_progress, done, total)

    book = _BirdBook.read(birds, tell)
    hatch_book = _HatchBook.read(clutches, lambda done: tell(len(birds.rows) + done))

    def blame(problems: Iterable[Problem]) -> NoReturn:
        for problem in problems:
            (book if problem.record == "individual" else hatch_book).blame(problem)
        refuse_rows([*birds.problems, *clutches.problems])

    if birds.problems or clutches.problems:
        blame(check(species, book.individuals, hatch_book.hatches).problems)
    try:
        return Pedigree(species, book.individuals, hatch_book.hatches)
    except PedigreeError as error:
        blame(error.problems)


def _trait_reader(species: Species, ignored: frozenset[str]) -> Callable[[str], str | None]:
    """What a heading that is not one of the fixed ones means: a trait's column, an ignored one, or nothing."""

    def meaning(heading: str) -> str | None:
        if heading in ignored:
            return PASSED + heading
        name = heading.removeprefix("trait=")
        try:
            species.trait_name(name)
        except PinfeatherError:
            return None
        return None if name == "sex" else _TRAIT_PREFIX + name

    return meaning


def _looks(row: Row) -> dict[str, str]:
    return {
        column.removeprefix(_TRAIT_PREFIX): restored(cell.strip())
        for column, cell in row.cells.items()
        if column.startswith(_TRAIT_PREFIX)
    }


def _read_cells(table: Table, row: Row, readers: Mapping[str, Callable[[str], Any]]) -> dict[str, Any]:
    """The fields of a row; a cell that cannot be read is noted and left out."""
    fields: dict[str, Any] = {}
    for column, reader in readers.items():
        if column in row.cells:
            cell = row.cells[column]
            try:
                fields[column] = reader(restored(cell.strip()))
            except PinfeatherError as error:
                table.blame(row.line, column, cell, reason(error))
    return fields


_BIRD_READERS: Mapping[str, Callable[[str], Any]] = {
    "id": bird_id,
    "sex": lambda cell: sex_word(sex_cell(cell)),
    "sire": parent_cell,
    "dam": parent_cell,
    "hatched": iso_date,
    "genotype": str,
    "tested": str,
}


@attrs.define
class _BirdBook:
    table: Table
    individuals: list[Individual]
    lines: list[int]

    @classmethod
    def read(cls, table: Table, tell: Callable[[int], None]) -> _BirdBook:
        if "id" not in table.columns:
            table.blame(1, "id", "", "there is no column id; each bird needs a ring number or a name")
        book = cls(table, [], [])
        seen: dict[str, int] = {}
        for number, row in enumerate(table.rows, 1):
            book._add(row, seen)
            tell(number)
        book._find_lone_chances(seen)
        return book

    def _add(self, row: Row, seen: dict[str, int]) -> None:
        fields = _read_cells(self.table, row, _BIRD_READERS)
        name = fields.get("id")
        if name is None:
            if "id" in self.table.columns and "id" not in row.cells:
                self.table.blame(row.line, "id", "", "the bird has no id; give it a ring number or a name")
            return
        if name in seen:
            message = f"{name} stands already in line {seen[name]}; give each bird its own id"
            self.table.blame(row.line, "id", name, message)
            return
        seen[name] = row.line
        notes = restored(row.cells.get("notes", ""))
        self.individuals.append(Individual(**fields, shows=_looks(row), notes=notes))
        self.lines.append(row.line)

    def _find_lone_chances(self, seen: Mapping[str, int]) -> None:
        """``Rook 2/3`` alone is a bird of that name only if there is one."""
        for row in self.table.rows:
            for role in ("sire", "dam"):
                cell = row.cells.get(role, "").strip()
                name = lone_chance(cell) if "/" in cell or "%" in cell else None
                if name and cell not in seen and name in seen:
                    message = f"has a chance but no other bird; write {name} alone, or name the rest after a semicolon"
                    self.table.blame(row.line, role, cell, message)

    def blame(self, problem: Problem) -> None:
        """Note a problem of the pedigree at the cell that it comes from."""
        column = problem.field.removeprefix("shows ")
        self.table.blame(self.lines[problem.position], column, str(problem.value), problem.message)


def _count(cell: str) -> int:
    if not (cell.isascii() and cell.isdigit()):
        message = f"{cell!r} is not a whole number"
        raise PinfeatherError(message)
    return int(cell[:9]) if len(cell) <= 9 else _too_many(cell)


def _too_many(cell: str) -> int:
    message = f"{cell[:12]}... is more than any hatch can have"
    raise PinfeatherError(message)


_HATCH_READERS: Mapping[str, Callable[[str], Any]] = {
    "id": bird_id,
    "sire": parent_cell,
    "dam": parent_cell,
    "date": lambda cell: iso_date(cell, "date"),
    "set": _count,
    "fertile": _count,
    "chicks": _count,
    "sex": lambda cell: sex_word(sex_cell(cell)),
}


@attrs.define
class _HatchBook:
    table: Table
    hatches: list[Hatch]
    lines: list[int]
    places: dict[tuple[str, str, str], int]

    @classmethod
    def read(cls, table: Table, tell: Callable[[int], None]) -> _HatchBook:
        if table.file and "id" not in table.columns:
            table.blame(1, "id", "", "there is no column id; each hatch needs a name")
        book = cls(table, [], [], {})
        gathered: dict[str, dict[str, Any]] = {}
        lines: dict[str, int] = {}
        for number, row in enumerate(table.rows, 1):
            book._gather(row, gathered, lines)
            tell(number)
        for name, fields in gathered.items():
            book._add(name, fields, lines[name])
        return book

    def _gather(self, row: Row, gathered: dict[str, dict[str, Any]], lines: dict[str, int]) -> None:
        fields = _read_cells(self.table, row, _HATCH_READERS)
        name = fields.pop("id", None)
        if name is None:
            if "id" in self.table.columns and "id" not in row.cells:
                self.table.blame(row.line, "id", "", "the row has no id; name the hatch to which it belongs")
            return
        lines.setdefault(name, row.line)
        hatch = gathered.setdefault(name, {"counts": []})
        self._count_chicks(row, name, fields, hatch["counts"])
        for column, value in fields.items():
            if hatch.setdefault(column, value) != value:
                message = f"hatch {name} had {hatch[column]} in an earlier line; its rows must agree, or be left empty"
                self.table.blame(row.line, column, row.cells[column], message)

    def _count_chicks(self, row: Row, name: str, fields: dict[str, Any], counts: list[Any]) -> None:
        looks = _looks(row)
        sex, number = fields.pop("sex", None), fields.pop("chicks", None)
        if sex is not None:
            looks["sex"] = sex
        for trait, label in looks.items():
            self.places.setdefault((name, trait, label), row.line)
        if number is not None:
            counts.append((looks, number))
        elif looks and "chicks" not in row.cells:
            message = "says how chicks looked but not how many; write a number, 0 if none"
            self.table.blame(row.line, "chicks", "", message)

    def _add(self, name: str, fields: Mapping[str, Any], line: int) -> None:
        try:
            self.hatches.append(Hatch(name, **fields))
        except PinfeatherError as error:
            column = str(error.fields.get("argument", ""))
            self.table.blame(line, column, str(error.fields.get("value", "")), reason(error))
        else:
            self.lines.append(line)

    def blame(self, problem: Problem) -> None:
        """Note a problem of the pedigree at the cell that it comes from."""
        column = problem.field.removeprefix("counts ")
        line = self.places.get((problem.id, column, str(problem.value)), self.lines[problem.position])
        self.table.blame(line, column, str(problem.value), problem.message)


def write_pedigree(
    pedigree: Pedigree, path: _Path, *, hatches: _Path | None = None, encoding: str | None = None
) -> None:
    """Write a flock book as CSV, in the columns that :func:`read_pedigree` reads.

    Reading the files again gives an equal pedigree.  A cell that a spreadsheet would run as a formula is
    written with an apostrophe before it, which reading takes away.  Each file is saved whole: a fault on
    the way leaves the old one.

    Parameters
    ----------
    pedigree : Pedigree
        The flock.
    path : path
        The file for the birds.
    hatches : path, optional
        The file for the hatches; needed if there are any.
    encoding : str, optional
        UTF-8 if left out, with a byte-order mark where names are not plain ASCII, so that spreadsheets read
        them right.

    Raises
    ------
    ArgumentError
        If there are hatches and no file for them.
    RecordError
        If a file cannot be written.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> from pinfeather import Individual, Pedigree, load_fowl, write_pedigree
    >>> flock = Pedigree(load_fowl(), [Individual("Wren", "female", "Rook", "Dove")])
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     book = pathlib.Path(folder, "flock.csv")
    ...     write_pedigree(flock, book)
    ...     print(book.read_text())
    id,sex,sire,dam,hatched,genotype,tested,notes
    Wren,female,Rook,Dove,,,,
    Rook,male,,,,,,
    Dove,female,,,,,,
    <BLANKLINE>
    """
    _checks.instance(pedigree, "pedigree", Pedigree)
    if hatches is None and pedigree.hatches:
        count = len(pedigree.hatches)
        _checks.refuse(
            "hatches", None, f"the pedigree has {count} of them; name a file for them, hatches='hatches.csv'"
        )
    birds = _bird_rows(pedigree)
    content = written(birds[0], birds[1:], encoding)
    if hatches is not None:
        clutches = _hatch_rows(pedigree)
        save(hatches, written(clutches[0], clutches[1:], encoding))
    save(path, content)


def _trait_columns(species: Species, looks: Iterable[Mapping[str, str]]) -> list[str]:
    """The traits that are used, in the species' order, under the names by which they are used."""
    used = {trait for shown in looks for trait in shown if trait != "sex"}
    order = {name: number for number, name in enumerate(species.trait_names)}
    return sorted(used, key=lambda name: (order[species.trait_name(name)], name))


def _heading(trait: str, fixed: Sequence[str]) -> str:
    plain = trait.casefold() not in fixed and trait == trait.strip() and not trait.startswith("trait=")
    return harmless(trait) if plain else f"trait={trait}"


def _bird_rows(pedigree: Pedigree) -> list[list[str]]:
    traits = _trait_columns(pedigree.species, (bird.shows for bird in pedigree.individuals))
    first, last = ["id", "sex", "sire", "dam", "hatched"], ["genotype", "tested", "notes"]
    rows = [[*first, *(_heading(trait, _BIRD_COLUMNS) for trait in traits), *last]]
    for bird in pedigree.individuals:
        cells = [bird.id, bird.sex or "", parent_text(bird.sire), parent_text(bird.dam), str(bird.hatched or "")]
        cells += [bird.shows.get(trait, "") for trait in traits]
        rows.append([harmless(cell) for cell in (*cells, bird.genotype or "", bird.tested or "", bird.notes)])
    return rows


def _hatch_rows(pedigree: Pedigree) -> list[list[str]]:
    traits = _trait_columns(pedigree.species, (looks for hatch in pedigree.hatches for looks, _ in hatch.counts))
    first = ["id", "sire", "dam", "date", "set", "fertile"]
    rows = [[*first, *(_heading(trait, _HATCH_COLUMNS) for trait in traits), "sex", "chicks"]]
    for hatch in pedigree.hatches:
        eggs = ["" if number is None else str(number) for number in (hatch.set, hatch.fertile)]
        cells = [hatch.id, parent_text(hatch.sire), parent_text(hatch.dam), str(hatch.date or ""), *eggs]
        counts: Sequence[tuple[Mapping[str, str], int | None]] = hatch.counts or (({}, None),)
        for looks, number in counts:
            seen = [looks.get(trait, "") for trait in (*traits, "sex")]
            rows.append([harmless(cell) for cell in (*cells, *seen, "" if number is None else str(number))])
    return rows
