"""Matings as plain parts: what is written of an Offspring is how to make it again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast, get_args

import attrs

from pinfeather import _checks
from pinfeather.crosses import Offspring, cross
from pinfeather.crosses.breeding import Alive
from pinfeather.crosses.parents import KeptChick, OneBird, OneOfSeveral
from pinfeather.errors import DefinitionError
from pinfeather.exact.distribution import Distribution


def mating_parts(chicks: Offspring) -> dict[str, Any]:
    """The parents of a mating, and which of its chicks are meant.

    Raises
    ------
    DefinitionError
        If a parent is of a kind that only a pedigree can make.
    """
    return {
        "sire": _parent(chicks.couple.sire),
        "dam": _parent(chicks.couple.dam),
        "alive": chicks.alive,
        "sexes": list(chicks.kept.sexes),
        "patterns": list(chicks.kept.patterns),
        "looks": [[trait, sorted(labels)] for trait, labels in chicks.kept.looks],
    }


def mating_of(parts: Mapping[str, Any]) -> Offspring:
    """The mating of such parts, made by the public calls, which check them."""
    alive = cast("Alive", _checks.choice(parts["alive"], "alive", get_args(Alive)))
    chicks = attrs.evolve(cross(parts["sire"], parts["dam"]), alive=alive)
    for pattern in parts["patterns"]:
        chicks = chicks.given(pattern)
    for trait, labels in parts["looks"]:
        chicks = chicks.given(shows={trait: labels})
    sexes = _checks.texts(parts["sexes"], "sexes")
    return chicks.given(sex=sexes[0]) if len(sexes) == 1 else chicks


def _parent(parent: Any) -> Any:
    if isinstance(parent, OneBird):
        return parent.genotype
    if isinstance(parent, OneOfSeveral):
        return Distribution.of(dict(zip(parent.birds, parent.chances, strict=True)))
    if isinstance(parent, KeptChick):
        return parent.hatch
    message = "a mating of birds from a pedigree cannot be written as a document; write its genotypes or its looks"
    raise DefinitionError(message, value=parent)
