"""The catalogue of the domestic fowl: loci, linkage, traits, lethals and cautions, with their sources.

The facts are data: ``loci.toml``, ``linkage.toml``, ``traits.toml`` and ``sources.toml`` beside this file, each
with a comment that explains its keys.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pinfeather.fowl.catalogue import Source, Sources, fowl_sources, load_fowl

__all__ = ["Source", "Sources", "fowl_sources", "load_fowl"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        return getattr(importlib.import_module("pinfeather.fowl.catalogue"), name)
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)


def __dir__() -> list[str]:
    return __all__
