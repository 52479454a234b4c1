"""Chicks counted: how many eggs to set, and whether a hatch is what was expected.

A fraction is an expectation, not a promise.  This room says how many chicks it takes to have what is wanted with the
certainty asked, what a hatch of a given size is likely to bring, whether counts fit a pairing, and what they say about
a number such as a recombination fraction.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pinfeather.hatches.estimation import Estimate, estimate, lod
    from pinfeather.hatches.fitting import FitResult, goodness_of_fit
    from pinfeather.hatches.pooling import Heterogeneity, heterogeneity
    from pinfeather.hatches.sample_sizes import (
        LikelyRange,
        chance,
        chicks_needed,
        eggs_to_set,
        likely_range,
    )
    from pinfeather.hatches.several_classes import chance_of_each, chicks_needed_for_each

_HOMES = {
    "Estimate": "estimation",
    "FitResult": "fitting",
    "Heterogeneity": "pooling",
    "LikelyRange": "sample_sizes",
    "chance": "sample_sizes",
    "chance_of_each": "several_classes",
    "chicks_needed": "sample_sizes",
    "chicks_needed_for_each": "several_classes",
    "eggs_to_set": "sample_sizes",
    "estimate": "estimation",
    "goodness_of_fit": "fitting",
    "heterogeneity": "pooling",
    "likely_range": "sample_sizes",
    "lod": "estimation",
}

__all__ = [
    "Estimate",
    "FitResult",
    "Heterogeneity",
    "LikelyRange",
    "chance",
    "chance_of_each",
    "chicks_needed",
    "chicks_needed_for_each",
    "eggs_to_set",
    "estimate",
    "goodness_of_fit",
    "heterogeneity",
    "likely_range",
    "lod",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(importlib.import_module(f"pinfeather.hatches.{_HOMES[name]}"), name)
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)


def __dir__() -> list[str]:
    return __all__
