"""Cells of a table: text that no spreadsheet runs, and parents with chances."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from pinfeather.errors import PinfeatherError
from pinfeather.exact.numbers import as_fraction
from pinfeather.heredity.sexes import SEX_WORDS
from pinfeather.pedigree.individuals import Parent, PossibleParents, bird_id

# A spreadsheet takes a cell that begins so for a formula; the wide forms are read like the plain ones.
_RUN = "=+-@\t\r\n\uff1d\uff0b\uff0d\uff20"
_GUARD = "'"
_GUARDED = re.compile(rf"'+[{re.escape(_RUN)}]")
_SEXES: Mapping[str, str] = {**SEX_WORDS, "m": "male", "f": "female"}


def harmless(text: str) -> str:
    """Text as it may stand in a cell: an apostrophe goes before what a spreadsheet would run.

    Examples
    --------
    >>> harmless("=1+1"), harmless("Rook"), restored(harmless("=1+1"))
    ("'=1+1", 'Rook', '=1+1')
    """
    guarded = text[:1] and (text[0] in _RUN or _GUARDED.match(text))
    return _GUARD + text if guarded else text


def restored(cell: str) -> str:
    """What was written by :func:`harmless`, as it was before; any other text is left alone."""
    return cell[1:] if _GUARDED.match(cell) else cell


def sex_cell(cell: str) -> str:
    """A sex as people write it: in either case, in full or by its first letter."""
    return _SEXES.get(cell.casefold(), cell)


def parent_cell(cell: str) -> Parent:
    """One id, or possible parents with chances: ``Rook 2/3; Jay 1/3``."""
    parts = [part.strip() for part in cell.split(";")]
    if len(parts) == 1:
        return bird_id(cell, "parent")
    chances: dict[str, Any] = {}
    for part in parts:
        name, _, chance = part.rpartition(" ")
        if not name.strip() or not _is_number(chance):
            message = f"{part!r} has no chance; write possible parents as {_example(parts)}"
            raise PinfeatherError(message)
        if name.strip() in chances:
            message = f"{name.strip()} stands twice; add its chances up"
            raise PinfeatherError(message)
        chances[name.strip()] = as_fraction(chance)
    return PossibleParents(chances)


def lone_chance(cell: str) -> str | None:
    """The id before a chance, where one parent is written like one of several: ``Rook 2/3``."""
    name, _, chance = cell.rpartition(" ")
    lone = name and ("/" in chance or "%" in chance) and _is_number(chance)
    return name.strip() if lone else None


def parent_text(parent: Parent) -> str:
    """The cell that reads back to this parent."""
    return "" if parent is None else str(parent)


def _is_number(text: str) -> bool:
    try:
        as_fraction(text)
    except PinfeatherError:
        return False
    return True


def _example(parts: list[str]) -> str:
    names = [part for part in parts if part] or ["Rook", "Jay"]
    return "; ".join(f"{name} 1/{len(names)}" for name in names)
