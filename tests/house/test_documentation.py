"""Every public name is explained, with an example, and has its place in the reference."""

from __future__ import annotations

import ast
import builtins
import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from pathlib import Path

import pytest

import pinfeather
import pinfeather.errors


@pytest.mark.parametrize("name", pinfeather.__all__)
def test_every_public_name_has_a_docstring(name: str) -> None:
    assert len(inspect.getdoc(getattr(pinfeather, name)) or "") > 30


# An error's example is the call that raises it; test_errors.py looks for that.
@pytest.mark.parametrize("name", sorted(set(pinfeather.__all__) - set(pinfeather.errors.__all__)))
def test_every_public_name_has_an_example(name: str) -> None:
    assert ">>> " in (inspect.getdoc(getattr(pinfeather, name)) or "")


ROOMS = [file.name for file in pkgutil.iter_modules(pinfeather.__path__, "pinfeather.") if file.ispkg]
# Everything that a room shows: "pinfeather.plans.Pen", and so on.
SHOWN = {f"{room}.{name}": (room, name) for room in ROOMS for name in importlib.import_module(room).__all__}
SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)

# Results of planning whose examples stand in the functions that make them, and not yet in their own docstrings.
WITHOUT_AN_EXAMPLE = {
    f"pinfeather.plans.{name}"
    for name in (
        *("ClanRotation", "ClanSeason", "Lesson", "MateRanking", "Pairing", "Pen", "PenPlan"),
        *("ProofRow", "RankedMate", "Risk", "Standing"),
    )
}


def shown(full_name: str) -> object:
    room, name = SHOWN[full_name]
    return getattr(importlib.import_module(room), name)


def sections(documented: object) -> dict[str, str]:
    """The sections of a docstring: heading -> text."""
    pieces = SECTION.split(inspect.getdoc(documented) or "")
    return dict(zip(pieces[1::2], pieces[2::2], strict=True))


@pytest.mark.parametrize("name", sorted(SHOWN.keys() - WITHOUT_AN_EXAMPLE))
def test_everything_a_room_shows_has_examples_in_a_section_of_their_own(name: str) -> None:
    assert ">>> " in sections(shown(name)).get("Examples", "")


@pytest.mark.parametrize("name", sorted(n for n in SHOWN if not inspect.isclass(shown(n))))
def test_a_function_says_what_it_takes_and_what_it_returns(name: str) -> None:
    """Every parameter is named in the section of parameters, alone or with others that are alike."""
    call = shown(name)
    assert callable(call)
    signature = inspect.signature(call)
    told = sections(call)
    heads = [line for line in told.get("Parameters", "").splitlines() if line and not line.startswith(" ")]
    named = {word.strip(" *") for head in heads for word in head.split(" : ")[0].split(",")}
    assert set(signature.parameters) <= named
    if str(signature.return_annotation) != "None":
        assert told["Returns"].strip()


@pytest.mark.parametrize("name", sorted(n for n in SHOWN if inspect.isclass(shown(n))))
def test_every_public_method_says_what_it_does(name: str) -> None:
    kind = shown(name)
    assert isinstance(kind, type)
    members = {key: value for key, value in vars(kind).items() if not key.startswith("_")}
    written = {key: value for key, value in members.items() if not inspect.ismemberdescriptor(value)}
    assert [key for key, value in written.items() if len(inspect.getdoc(value) or "") < 10] == []


def test_every_public_name_is_in_the_reference(root: Path) -> None:
    pages = "\n".join(page.read_text(encoding="utf-8") for page in (root / "docs" / "reference").glob("*.md"))
    listed = re.findall(r"^\.\. auto(?:class|function|exception):: (\w+)$", pages, re.MULTILINE)
    assert len(listed) == len(set(listed)), "a name has two places in the reference"
    assert set(pinfeather.__all__) - set(listed) == set()


def test_the_reference_has_what_the_rooms_keep_to_themselves(root: Path) -> None:
    pages = "\n".join(page.read_text(encoding="utf-8") for page in (root / "docs" / "reference").glob("*.md"))
    files = pkgutil.iter_modules(pinfeather.__path__, "pinfeather.")
    faces = [importlib.import_module(file.name) for file in files if file.ispkg]
    names = {name for face in faces for name in face.__all__}
    assert {name for name in names if f":: {name}\n" not in pages} == set()


def test_every_page_begins_with_its_title(root: Path) -> None:
    for page in (root / "docs").rglob("*.md"):
        first = page.read_text(encoding="utf-8").splitlines()[0]
        assert first.startswith(("# ", "```{include}")), page


@pytest.mark.parametrize("page", ["README.md", "docs/index.md"])
def test_every_local_link_leads_somewhere(root: Path, page: str) -> None:
    path = root / page
    targets = re.findall(r"\]\(([^)#:]+?)(?:#[^)]*)?\)", path.read_text(encoding="utf-8"))
    assert targets
    assert [target for target in targets if not (path.parent / target).exists()] == []


def test_the_readme_sends_nobody_to_a_verb_that_is_not_there(root: Path) -> None:
    """The last column of the table of six questions names public things, and things that exist."""
    rows = re.findall(r"^\|.*\| ([^|]+) \|$", (root / "README.md").read_text(encoding="utf-8"), re.MULTILINE)
    verbs = [verb for row in rows for verb in re.findall(r"`(\w+)`", row)]
    assert len(verbs) >= 6
    assert [verb for verb in verbs if verb not in pinfeather.__all__] == []


def test_the_headings_of_docstrings_stand_on_lines_of_their_own(root: Path) -> None:
    """A heading run into its text is no heading, and the reference would show its dashes."""
    inline = re.compile(
        r"^ *(?:Parameters|Returns|Yields|Raises|Notes|Examples|References|Attributes) -{4,}", re.MULTILINE
    )
    files = (root / "src").rglob("*.py")
    assert [path.name for path in files if inline.search(path.read_text(encoding="utf-8"))] == []


def shown_members(root: Path) -> list[tuple[str, Callable[..., object]]]:
    """The methods that the reference shows of each class, but for those that its pages leave to the rooms above."""
    shown = []
    for page in sorted((root / "docs" / "reference").glob("*.md")):
        room = "pinfeather"
        for line in re.findall(
            r"^\.\. (?:currentmodule|autoclass)::.*(?:\n   :.*)*", page.read_text("utf-8"), re.MULTILINE
        ):
            name = re.findall(r":: (\S+)", line)[0]
            if "currentmodule" in line:
                room = name
                continue
            left_out = set(re.findall(r"[a-z_]+", line.partition(":exclude-members:")[2]))
            kind = getattr(importlib.import_module(room), name)
            for member, value in vars(kind).items():
                method = value.__func__ if isinstance(value, classmethod | staticmethod) else value
                if inspect.isfunction(method) and not member.startswith("_") and member not in left_out:
                    shown.append((f"{name}.{member}", method))
    return shown


def test_methods_that_are_given_something_say_what_and_show_it(root: Path) -> None:
    """A method of the reference that takes arguments explains them, says what comes back, and has an example."""
    members = shown_members(root)
    assert len(members) > 60
    poor = []
    for name, method in members:
        taken = [one for one in inspect.signature(method).parameters if one not in ("self", "cls")]
        doc = inspect.getdoc(method) or ""
        parts = [doc.partition(f"{heading}\n---")[2] for heading in ("Parameters", "Returns", "Examples")]
        unsaid = [one for one in taken if not re.search(rf"^[^\n]*\b{one}\b", parts[0], re.MULTILINE)]
        if not doc or (taken and (unsaid or not all(parts))):
            poor.append((name, unsaid))
    assert poor == []


def pasted(doc: str) -> set[str]:
    """The names that the examples of a docstring use without having them from anywhere."""
    blocks = [ast.parse(example.source) for example in doctest.DocTestParser().get_examples(doc)]
    nodes = [node for block in blocks for node in ast.walk(block)]
    made = {node.id for node in nodes if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)}
    made |= {node.arg for node in nodes if isinstance(node, ast.arg)}
    made |= {str(node.name) for node in nodes if isinstance(node, ast.FunctionDef | ast.ClassDef | ast.ExceptHandler)}
    imports = [alias for node in nodes if isinstance(node, ast.Import | ast.ImportFrom) for alias in node.names]
    made |= {(alias.asname or alias.name).partition(".")[0] for alias in imports}
    return {node.id for node in nodes if isinstance(node, ast.Name)} - made - set(dir(builtins))


def test_the_examples_of_docstrings_can_be_pasted_into_a_fresh_python(root: Path) -> None:
    """What an example uses, it imports: a reader of the reference has nothing else at hand."""
    files = pkgutil.iter_modules(pinfeather.__path__, "pinfeather.")
    faces = [importlib.import_module(file.name) for file in files if file.ispkg]
    docs = {name: inspect.getdoc(getattr(face, name)) or "" for face in faces for name in face.__all__}
    docs |= {name: inspect.getdoc(method) or "" for name, method in shown_members(root)}
    assert {name: lacking for name, doc in docs.items() if (lacking := pasted(doc))} == {}


def test_a_name_that_an_example_lacks_is_found() -> None:
    assert pasted(">>> from pinfeather import cross\n>>> [one for one in cross(cock, 1)]\n[]\n") == {"cock"}


_WORK = re.compile(r"\b([A-Z][a-zéō]{2,})(?: et al\.| and others)? \(?((?:18|19|20)\d\d)\b")


def test_every_work_that_the_source_names_stands_in_the_bibliography(root: Path) -> None:
    """The catalogue keeps the sources of its facts in a file of its own."""
    listed = (root / "docs" / "sources.md").read_text(encoding="utf-8").splitlines()
    named = {
        work
        for path in (root / "src" / "pinfeather").rglob("*.py")
        if path.parent.name != "fowl"
        for work in _WORK.findall(path.read_text(encoding="utf-8"))
    }
    assert len(named) > 20
    missing = {(name, year) for name, year in named if not any(name in line and f"({year})" in line for line in listed)}
    assert missing == set()
