"""Flock books as CSV: what is read, what is refused and where, and that nothing is lost on the way."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pinfeather.errors import ArgumentError, RecordError
from pinfeather.heredity import Species
from pinfeather.pedigree import Hatch, Individual, Pedigree
from pinfeather.records import RowProblem, read_pedigree, write_pedigree

SHARED = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


def book(folder: Path, text: str | bytes, name: str = "flock.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def problems(path: Path, species: Species, **options: object) -> list[tuple[int, str, str]]:
    with pytest.raises(RecordError) as refusal:
        read_pedigree(path, species, **options)  # type: ignore[arg-type]
    for problem in refusal.value.problems:
        assert problem.file.endswith(".csv")
        assert problem.message in str(refusal.value)
    return [(problem.line, problem.column, problem.message) for problem in refusal.value.problems]


# -- round trips ---------------------------------------------------------------------------------------------------


def test_everything_that_can_be_written_down_comes_back(tmp_path: Path, flock: Pedigree) -> None:
    write_pedigree(flock, tmp_path / "b.csv", hatches=tmp_path / "h.csv")
    again = read_pedigree(tmp_path / "b.csv", flock.species, hatches=tmp_path / "h.csv")
    assert again == flock
    assert again.individuals == flock.individuals
    assert again.notes == ()


NAMES = st.text(
    st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp"), exclude_characters=";"), min_size=1, max_size=8
).filter(lambda text: text == text.strip())
NOTES = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=12)
DATES = st.one_of(st.none(), st.dates(), st.dates().map(lambda day: day.strftime("%Y-%m").zfill(7)))


@st.composite
def books(draw: st.DrawFn, species: Species) -> Pedigree:
    names = draw(st.lists(NAMES, min_size=2, max_size=6, unique=True))
    birds: list[Individual] = []
    for number, name in enumerate(names):
        sires = [bird.id for bird in birds if bird.sex == "male"]
        sire: object = None
        if len(sires) > 1 and draw(st.booleans()):
            sire = {sires[0]: draw(st.integers(1, 9)), sires[1]: draw(st.integers(1, 9))}
        elif sires and draw(st.booleans()):
            sire = sires[-1]
        looks = draw(st.dictionaries(st.just("notes"), st.sampled_from(species.labels_of("notes"))))
        looks |= draw(st.dictionaries(st.just("lav"), st.sampled_from(species.labels_of("lav"))))
        birds.append(
            Individual(
                name,
                "male" if number < 2 else draw(st.sampled_from(["male", "female", None])),
                sire,
                shows=looks,
                genotype=draw(st.sampled_from([None, "lav/_", "lav/lav Lav+/Lav+"[:7]])),
                notes=draw(NOTES),
            )
        )
    hatches = [
        Hatch(
            name,
            names[0],
            counts=[
                (looks, number) for looks, number in draw(st.lists(st.tuples(LOOKS, st.integers(0, 9)), max_size=3))
            ],
            date=draw(DATES),
            set=draw(st.one_of(st.none(), st.integers(40, 60))),
        )
        for name in draw(st.lists(NAMES, max_size=2, unique=True))
    ]
    return Pedigree(species, birds, hatches)


LOOKS = st.dictionaries(st.just("sex"), st.sampled_from(["male", "female"]))


@given(data=st.data())
@SHARED
def test_reading_undoes_writing(tmp_path: Path, toy: Species, data: st.DataObject) -> None:
    flock = data.draw(books(toy))
    write_pedigree(flock, tmp_path / "b.csv", hatches=tmp_path / "h.csv")
    assert read_pedigree(tmp_path / "b.csv", toy, hatches=tmp_path / "h.csv") == flock


def test_hatches_need_a_file_and_nothing_is_dropped(tmp_path: Path, flock: Pedigree) -> None:
    with pytest.raises(ArgumentError, match=r"the pedigree has 3 of them; name a file for them, hatches='hatches.csv'"):
        write_pedigree(flock, tmp_path / "b.csv")
    assert not (tmp_path / "b.csv").exists()
    with pytest.raises(ArgumentError, match="must be a Pedigree"):
        write_pedigree(tmp_path / "b.csv", flock)  # type: ignore[arg-type]


# -- cells that a spreadsheet would run ------------------------------------------------------------------------------


def test_no_cell_is_left_that_a_spreadsheet_would_run(tmp_path: Path, flock: Pedigree) -> None:
    """OWASP, "CSV injection": cells must not begin with = + - @ tab or carriage return (from memory)."""
    write_pedigree(flock, tmp_path / "b.csv", hatches=tmp_path / "h.csv")
    for name in ("b.csv", "h.csv"):
        with (tmp_path / name).open(encoding="utf-8-sig", newline="") as file:
            for row in csv.reader(file):
                assert all(not cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in row)
    assert "'=Dove" in (tmp_path / "b.csv").read_text(encoding="utf-8-sig")


def test_an_apostrophe_of_ones_own_is_kept(tmp_path: Path, toy: Species) -> None:
    birds = [Individual(name) for name in ("'t Haantje", "'=x", "''=x", "'", "''")]
    write_pedigree(Pedigree(toy, birds), tmp_path / "b.csv")
    assert read_pedigree(tmp_path / "b.csv", toy).ids == tuple(bird.id for bird in birds)
    assert "\r\n't Haantje," in (tmp_path / "b.csv").read_bytes().decode()


# -- reading what people have ----------------------------------------------------------------------------------------


def test_columns_may_stand_in_any_order_and_headings_in_any_case(tmp_path: Path, toy: Species) -> None:
    path = book(tmp_path, "SIRE,Id,lavender,Sex\nRook,Wren,lavender,Hen\n")
    wren = read_pedigree(path, toy)["Wren"]
    assert (wren.sire, wren.sex, wren.shows["lavender"]) == ("Rook", "female", "lavender")


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_separators_encodings_and_line_ends_are_found_out(
    tmp_path: Path, toy: Species, delimiter: str, encoding: str, newline: str
) -> None:
    rows = [["id", "sex", "sire", "notes"], ["Été", "hen", '"Rook 2/3; Jay 1/3"', '"a,b"'], ["", "", "", ""], ["Owl"]]
    text = newline.join(delimiter.join(row) for row in rows)
    flock = read_pedigree(book(tmp_path, text.encode(encoding)), toy)
    assert flock.ids == ("Été", "Owl", "Rook", "Jay")
    assert flock["Été"].notes == "a,b"
    assert flock["Été"].sires == ("Rook", "Jay")


def test_lines_before_the_headings_may_be_remarks(tmp_path: Path, toy: Species) -> None:
    text = '# An "invented" flock; nothing, here, is real\n\n#\nid,sex\n#12,hne\n'
    assert problems(book(tmp_path, text), toy)[0][:2] == (5, "sex")
    assert read_pedigree(book(tmp_path, text.replace("hne", "hen")), toy).ids == ("#12",)


def test_another_encoding_is_named(tmp_path: Path, toy: Species) -> None:
    path = book(tmp_path, "id,sex\nÉté,hen\n".encode("cp1252"))
    assert problems(path, toy) == [
        (2, "", "the byte \\xc9 is not UTF-8; save it as UTF-8, or name its encoding, such as encoding='cp1252'")
    ]
    assert "Été" in read_pedigree(path, toy, encoding="cp1252")
    with pytest.raises(ArgumentError, match="there is no such encoding"):
        read_pedigree(path, toy, encoding="utf8x")


def test_names_beyond_ascii_are_marked_for_spreadsheets(tmp_path: Path, toy: Species) -> None:
    write_pedigree(Pedigree(toy, [Individual("Été")]), tmp_path / "b.csv")
    assert (tmp_path / "b.csv").read_bytes().startswith(b"\xef\xbb\xbf")
    write_pedigree(Pedigree(toy, [Individual("Ete")]), tmp_path / "b.csv")
    assert (tmp_path / "b.csv").read_bytes().startswith(b"id,")
    write_pedigree(Pedigree(toy, [Individual("Été")]), tmp_path / "b.csv", encoding="cp1252")
    assert read_pedigree(tmp_path / "b.csv", toy, encoding="cp1252").ids == ("Été",)
    with pytest.raises(RecordError, match="cannot be written in ascii; use UTF-8"):
        write_pedigree(Pedigree(toy, [Individual("Été")]), tmp_path / "b.csv", encoding="ascii")


def test_progress_is_told_to_the_end(tmp_path: Path, toy: Species) -> None:
    birds = book(tmp_path, "id\n" + "\n".join(f"b{number}" for number in range(2500)))
    hatches = book(tmp_path, "id,chicks\nMay,3\n", "h.csv")
    told: list[tuple[int, int]] = []
    read_pedigree(birds, toy, hatches=hatches, on_progress=lambda done, total: told.append((done, total)))
    assert told == [(1000, 2501), (2000, 2501), (2501, 2501)]


def test_columns_may_be_passed_over_by_name(tmp_path: Path, toy: Species) -> None:
    path = book(tmp_path, "id,ring colour,notes\nWren,red,lame\n")
    assert problems(path, toy)[0][1] == "ring colour"
    flock = read_pedigree(path, toy, ignore=["ring colour"])
    assert flock["Wren"].notes == "lame"


def test_rows_of_one_hatch_are_gathered(tmp_path: Path, toy: Species) -> None:
    birds = book(tmp_path, "id,sex\nRook,cock\nDove,hen\n")
    text = (
        "id,sire,dam,date,set,sex,lavender,chicks\n"
        "May,Rook,Dove,2026-05-01,12,M,lavender,3\nMay,,,,,hen,,2\nJune,,,,,,,\n"
    )
    hatches = read_pedigree(birds, toy, hatches=book(tmp_path, text, "h.csv")).hatches
    assert hatches == (
        Hatch(
            "May",
            "Rook",
            "Dove",
            [({"sex": "male", "lavender": "lavender"}, 3), ({"sex": "female"}, 2)],
            "2026-05-01",
            12,
        ),
        Hatch("June"),
    )


# -- refusing --------------------------------------------------------------------------------------------------------

BIRDS_REFUSED = {
    "no rows at all": ("", [(1, "", "there are no headings; the first row names the columns: id, sex,")]),
    "no column id": ("sex\nhen\n", [(1, "id", "there is no column id; each bird needs a ring number or a name")]),
    "unknown column": (
        "id,hatch\nA,2026\n",
        [(1, "hatch", "unknown column; did you mean 'hatched'? Known are id, sex,")],
    ),
    "misspelt trait": ("id,lavendr\nA,x\n", [(1, "lavendr", "unknown column; did you mean 'lavender'?")]),
    "sex as a trait": ("id,trait=sex\nA,hen\n", [(1, "trait=sex", "unknown column")]),
    "column twice": ("id,sex,Sex\nA,hen,hen\n", [(1, "Sex", "the column stands twice; join the two")]),
    "id missing": ("id,sex\n,hen\n", [(2, "id", "the bird has no id; give it a ring number or a name")]),
    "id twice": ("id\nA\n\nA\n", [(4, "id", "A stands already in line 2; give each bird its own id")]),
    "cell too many": (
        "id\nA,x\n",
        [(2, "", "'x' stands in column 2, which has no heading; is there a comma too many?")],
    ),
    "sex misspelt": ("id,sex\nA,hne\n", [(2, "sex", "must be one of 'male', 'cock', 'cockerel'")]),
    "ambiguous date": (
        "id,hatched\nA,04/05/2026\n",
        [(2, "hatched", "may be 2026-05-04 or 2026-04-05; write the one that is meant, year first")],
    ),
    "no date": ("id,hatched\nA,2026-02-30\n", [(2, "hatched", "there is no such day")]),
    "semicolon in an id": ('id\n"A;B"\n', [(2, "id", "must not contain semicolons, tabs or line breaks")]),
    "parents without chances": (
        "id,sire\nA,Rook; Jay\n",
        [(2, "sire", "'Rook' has no chance; write possible parents as Rook 1/2; Jay 1/2")],
    ),
    "chances that do not sum": (
        "id,dam\nA,Rook 1/2; Jay 1/3\n",
        [(2, "dam", "the chances sum to 5/6, not to 1; name the rest, such as 'another bird': 1/6")],
    ),
    "parent twice": ("id,dam\nA,Rook 1/2; Rook 1/2\n", [(2, "dam", "Rook stands twice; add its chances up")]),
    "one parent with a chance": (
        "id,sex,sire\nRook,cock,\nA,,Rook 2/3\n",
        [(3, "sire", "has a chance but no other bird; write Rook alone, or name the rest after a semicolon")],
    ),
    "female sire": ("id,sex,sire\nA,hen,\nB,,A\n", [(3, "sire", "A is female and cannot be a sire")]),
    "young parent": (
        "id,sire,hatched\nA,,2026-05-01\nB,A,2026-04-01\n",
        [(3, "sire", "A hatched 2026-05-01, not before B (2026-04-01)")],
    ),
    "unknown look": (
        "id,lavender\nA,lavendr\n",
        [(2, "lavender", "no look 'lavendr' in trait 'lavender'; did you mean")],
    ),
    "unknown allele": (
        "id,genotype\nA,lva/lav\n",
        [(2, "genotype", "no allele 'lva' in toy fowl; did you mean 'lav'?")],
    ),
    "row of many lines": ('id,notes\nA,"x\ny"\nA,\n', [(4, "id", "A stands already in line 2")]),
    "several at once": (
        "id,sex,hatched\nA,hne,1/2/2026\nB,,soon\n",
        [(2, "sex", "must be one"), (2, "hatched", "may be"), (3, "hatched", "must be year-month-day")],
    ),
    "open quote": ('id,notes\nA,\nB,"x\ny\n', [(3, "", "cannot be read as CSV (unexpected end of data); a quote")]),
    "no text": (b"id\nA\0\n", [(2, "", "holds a character NUL; this is no CSV file, or its encoding is another")]),
}


@pytest.mark.parametrize("case", BIRDS_REFUSED)
def test_a_bad_row_is_told_with_line_column_and_remedy(case: str, tmp_path: Path, toy: Species) -> None:
    text, expected = BIRDS_REFUSED[case]
    found = problems(book(tmp_path, text), toy)
    assert [(line, column) for line, column, _ in found] == [(line, column) for line, column, _ in expected]
    for (_, _, message), (_, _, words) in zip(found, expected, strict=True):
        assert words in message


HATCHES_REFUSED = {
    "no column id": ("sire\nRook\n", [(1, "id", "there is no column id; each hatch needs a name")]),
    "id missing": ("id,chicks\n,3\n", [(2, "id", "the row has no id; name the hatch to which it belongs")]),
    "no number": ("id,chicks\nMay,many\n", [(2, "chicks", "'many' is not a whole number")]),
    "a long number": (
        "id,chicks\nMay,12345678901234567890\n",
        [(2, "chicks", "123456789012... is more than any hatch")],
    ),
    "looks uncounted": (
        "id,lavender,chicks\nMay,lavender,\n",
        [(2, "chicks", "says how chicks looked but not how many")],
    ),
    "rows that disagree": (
        "id,sire,chicks\nMay,Rook,1\nMay,Jay,1\n",
        [(3, "sire", "hatch May had Rook in an earlier line; its rows must agree, or be left empty")],
    ),
    "more chicks than eggs": ("id,set,chicks\nMay,2,3\n", [(2, "chicks", "is more than set=2")]),
    "female sire": ("id,sire\nMay,Dove\n", [(2, "sire", "Dove is female and cannot be a sire")]),
    "unknown look": (
        "id,lavender,chicks\nMay,,1\nMay,purple,3\n",
        [(3, "lavender", "no look 'purple' in trait 'lavender'")],
    ),
}


@pytest.mark.parametrize("case", HATCHES_REFUSED)
def test_a_bad_hatch_is_told_with_line_column_and_remedy(case: str, tmp_path: Path, toy: Species) -> None:
    text, expected = HATCHES_REFUSED[case]
    birds = book(tmp_path, "id,sex\nDove,hen\n")
    found = problems(birds, toy, hatches=book(tmp_path, text, "hatches.csv"))
    assert [(line, column) for line, column, _ in found] == [(line, column) for line, column, _ in expected]
    for (_, _, message), (_, _, words) in zip(found, expected, strict=True):
        assert words in message


def test_problems_of_both_files_are_told_together_with_their_file(tmp_path: Path, toy: Species) -> None:
    birds = book(tmp_path, "id,hatched\nA,soon\n" + "".join(f"b{n},soon\n" for n in range(30)))
    hatches = book(tmp_path, "id,date\nMay,soon\n", "hatches.csv")
    with pytest.raises(RecordError, match="32 problems in the records:") as refusal:
        read_pedigree(birds, toy, hatches=hatches)
    assert {Path(problem.file).name for problem in refusal.value.problems} == {"flock.csv", "hatches.csv"}
    assert "and 12 more; all are in the error's field 'problems'" in str(refusal.value)
    first = refusal.value.problems[0]
    shown = "" if "soon" in first.message else "'soon': "
    assert str(first).endswith(f"flock.csv, line 2, column hatched: {shown}{first.message}")


def test_a_problem_shows_what_stands_there_once_and_not_at_length() -> None:
    assert (
        str(RowProblem("a.csv", 3, "sex", "rooster", "is no sex")) == "a.csv, line 3, column sex: 'rooster': is no sex"
    )
    assert str(RowProblem("a.csv", 3, "sex", "hne", "'hne' is no sex")) == "a.csv, line 3, column sex: 'hne' is no sex"
    assert str(RowProblem("a.csv", 3, "", "", "is empty")) == "a.csv, line 3: is empty"
    assert str(RowProblem("a.csv", 3, "sex", "x" * 41, "is no sex")) == "a.csv, line 3, column sex: is no sex"


def test_a_missing_file_is_told(tmp_path: Path, toy: Species) -> None:
    with pytest.raises(RecordError, match=r"cannot read .*none.csv: No such file"):
        read_pedigree(tmp_path / "none.csv", toy)
