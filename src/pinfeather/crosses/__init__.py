"""What one mating gives: gametes, chicks, and the classes of chicks that are kept."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pinfeather.crosses.mating import cross
    from pinfeather.crosses.meiosis import Gamete, gametes
    from pinfeather.crosses.offspring import Offspring
    from pinfeather.crosses.square import PunnettSquare

_HOMES = {
    "Gamete": "meiosis",
    "Offspring": "offspring",
    "PunnettSquare": "square",
    "cross": "mating",
    "gametes": "meiosis",
}

__all__ = ["Gamete", "Offspring", "PunnettSquare", "cross", "gametes"]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(importlib.import_module(f"pinfeather.crosses.{_HOMES[name]}"), name)
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)


def __dir__() -> list[str]:
    return __all__
