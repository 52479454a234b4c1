"""The public face: one list of names, seen alike by readers, by Python and by type checkers."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
import subprocess
import sys
import types
from pathlib import Path

import pytest

import pinfeather

FILES = pkgutil.iter_modules(pinfeather.__path__, "pinfeather.")
ROOMS = sorted(file.name for file in FILES if file.ispkg)
HEAVY = ("sympy", "networkx", "numpy", "matplotlib")


def imports_for_the_type_checker(path: Path) -> dict[str, str]:
    """Name -> module, from the imports that a face makes under TYPE_CHECKING."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    ifs = [node for node in tree.body if isinstance(node, ast.If)]
    blocks = [node for node in ifs if ast.unparse(node.test) == "TYPE_CHECKING"]
    lines = [line for block in blocks for line in block.body if isinstance(line, ast.ImportFrom)]
    return {alias.asname or alias.name: str(line.module) for line in lines for alias in line.names}


def face_of(module: str) -> Path:
    return Path(str(importlib.import_module(module).__file__))


def in_a_fresh_process(code: str) -> str:
    command = [sys.executable, "-W", "error", "-c", code]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip()


def test_the_list_the_lazy_table_and_the_type_checker_agree() -> None:
    promised = {name: f"pinfeather.{room}" for name, room in pinfeather._HOMES.items()}
    assert imports_for_the_type_checker(face_of("pinfeather")) == promised
    assert set(pinfeather.__all__) == set(promised)
    assert sum(len(names) for names in pinfeather._ROOMS.values()) == len(promised), "a name stands twice"


def test_the_list_is_sorted_and_dir_shows_it() -> None:
    assert pinfeather.__all__ == sorted(pinfeather.__all__)
    assert set(pinfeather.__all__) <= set(dir(pinfeather))


@pytest.mark.parametrize("name", pinfeather.__all__)
def test_every_public_name_loads_from_the_room_it_is_said_to_be_in(name: str) -> None:
    room = importlib.import_module(f"pinfeather.{pinfeather._HOMES[name]}")
    assert getattr(pinfeather, name) is getattr(room, name)
    assert name in room.__all__


@pytest.mark.parametrize("room", ROOMS)
def test_a_rooms_face_lists_what_the_type_checker_sees(room: str) -> None:
    face = importlib.import_module(room)
    assert set(face.__all__) == set(imports_for_the_type_checker(face_of(room)))
    assert list(face.__all__) == sorted(face.__all__)


@pytest.mark.parametrize("room", ROOMS)
def test_no_file_of_a_room_takes_the_place_of_a_public_name(room: str) -> None:
    """Importing the file ``cross.py`` would set the room's attribute ``cross`` to the file."""
    code = (
        "import importlib, pkgutil, types\n"
        f"face = importlib.import_module({room!r})\n"
        "for file in pkgutil.iter_modules(face.__path__, face.__name__ + '.'):\n"
        "    importlib.import_module(file.name)\n"
        "print(*(n for n in face.__all__ if isinstance(getattr(face, n), types.ModuleType)))"
    )
    assert in_a_fresh_process(code) == ""


def test_an_unknown_name_is_an_attribute_error_that_names_it() -> None:
    with pytest.raises(AttributeError, match=re.escape("module 'pinfeather' has no attribute 'crosss'")):
        _ = pinfeather.crosss


@pytest.mark.parametrize("module", ["pinfeather", *ROOMS])
def test_importing_a_face_loads_no_heavy_library_and_gives_no_warning(module: str) -> None:
    code = f"import sys, {module}; print(*sorted(set({HEAVY!r}) & set(sys.modules)))"
    assert in_a_fresh_process(code) == ""


def test_everything_can_be_imported_with_a_star() -> None:
    names = in_a_fresh_process("from pinfeather import *; print(*sorted(n for n in dir() if n[0] != '_'))")
    assert names.split() == pinfeather.__all__


def test_no_public_name_is_a_module() -> None:
    assert [n for n in pinfeather.__all__ if isinstance(getattr(pinfeather, n), types.ModuleType)] == []
