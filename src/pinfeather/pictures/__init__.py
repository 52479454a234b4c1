"""To look at: squares, chances, pedigrees and programmes drawn with matplotlib, an extra: ``pinfeather[pictures]``.

Every function takes the matplotlib ``Axes`` to draw on, or makes a figure of its own, and returns the ``Axes``; what to
do with it, a title, a file, a window, is matplotlib's business.  Texts are drawn as they are: no sign in them is taken
for a formula.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pinfeather.pictures.bars import draw_chances
    from pinfeather.pictures.hatch_charts import draw_chicks_needed, draw_eggs_to_set, draw_likely_range
    from pinfeather.pictures.heat_maps import draw_kinship
    from pinfeather.pictures.pedigrees import draw_pedigree
    from pinfeather.pictures.posteriors import draw_probabilities
    from pinfeather.pictures.programmes import draw_programme
    from pinfeather.pictures.squares import draw_square

_HOMES = {
    "draw_chances": "bars",
    "draw_chicks_needed": "hatch_charts",
    "draw_eggs_to_set": "hatch_charts",
    "draw_kinship": "heat_maps",
    "draw_likely_range": "hatch_charts",
    "draw_pedigree": "pedigrees",
    "draw_probabilities": "posteriors",
    "draw_programme": "programmes",
    "draw_square": "squares",
}

__all__ = [
    "draw_chances",
    "draw_chicks_needed",
    "draw_eggs_to_set",
    "draw_kinship",
    "draw_likely_range",
    "draw_pedigree",
    "draw_probabilities",
    "draw_programme",
    "draw_square",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(importlib.import_module(f"pinfeather.pictures.{_HOMES[name]}"), name)
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)


def __dir__() -> list[str]:
    return __all__
