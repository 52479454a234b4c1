"""Putting together what was found in independent parts of a hatch."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from typing import Any

from pinfeather.crosses.observing import Found
from pinfeather.exact.symbolic import Weight
from pinfeather.heredity.genotypes import BlockPair, in_catalogue_order
from pinfeather.heredity.sexes import Sex


def size(parts: Sequence[tuple[Sex, list[Found], Weight]]) -> int:
    """How many outcomes the independent parts make together."""
    most = 0
    for _, found, _ in parts:
        size = 1
        for part in found:
            size *= len(part.table)
        most += size
    return most


def is_plain(found: Sequence[Found]) -> bool:
    """Whether every part is one block of loci, with nothing else told."""
    return all(not part.shows and len(part.blocks) <= 1 for part in found)


def joined(found: Sequence[Found]) -> Iterable[tuple[tuple[dict[int, int], dict[Any, BlockPair]], Weight]]:
    """All combinations of independent parts: observers' outputs, homologue pairs by block, and the weight."""
    for combination in itertools.product(*(part.table.items() for part in found)):
        outputs: dict[int, int] = {}
        pairs: dict[Any, BlockPair] = {}
        weight: Weight = 1
        for part, (key, factor) in zip(found, combination, strict=True):
            count = len(part.shows)
            outputs.update(zip(part.shows, key[:count], strict=True))  # type: ignore[arg-type]
            pairs.update(zip(part.blocks, key[count:], strict=True))  # type: ignore[arg-type]
            weight = weight * factor
        yield (outputs, pairs), weight


def in_layout(key: tuple[dict[int, int], dict[Any, BlockPair]], layout: Any) -> tuple[BlockPair, ...]:
    """The homologue pairs of a combination, block by block."""
    return tuple(key[1][block] for block in layout)


def sortable(pairs: Any) -> tuple[Any, ...]:
    """A key that sorts birds by the homologues of one block after the other."""
    return tuple(in_catalogue_order(pair) for pair in pairs)
