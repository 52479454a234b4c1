"""Sums that come out even: exact numbers, distributions and polynomial weights.  Knows no genetics."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pinfeather.exact.by_name import ByName
    from pinfeather.exact.distribution import Distribution
    from pinfeather.exact.numbers import exact

__all__ = ["ByName", "Distribution", "exact"]

_HOMES = {"ByName": "by_name", "Distribution": "distribution", "exact": "numbers"}


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(importlib.import_module(f"pinfeather.exact.{_HOMES[name]}"), name)
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)


def __dir__() -> list[str]:
    return __all__
