"""In and out: flock books as CSV, any value as a JSON document, species as TOML files."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pinfeather.records.documents import (
        from_json,
        read_document,
        read_species,
        to_json,
        write_document,
        write_species,
    )
    from pinfeather.records.rows import RowProblem
    from pinfeather.records.tables import read_pedigree, write_pedigree

_HOMES = {
    "RowProblem": "rows",
    "from_json": "documents",
    "read_document": "documents",
    "read_pedigree": "tables",
    "read_species": "documents",
    "to_json": "documents",
    "write_document": "documents",
    "write_pedigree": "tables",
    "write_species": "documents",
}

__all__ = [
    "RowProblem",
    "from_json",
    "read_document",
    "read_pedigree",
    "read_species",
    "to_json",
    "write_document",
    "write_pedigree",
    "write_species",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(importlib.import_module(f"pinfeather.records.{_HOMES[name]}"), name)
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)


def __dir__() -> list[str]:
    return __all__
