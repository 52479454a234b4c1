"""Outcomes and weights of independent parts, multiplied out late and fast."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from functools import cached_property
from typing import Any, Generic, TypeVar

from pinfeather.exact.symbolic import Weight

K = TypeVar("K")


class Product(Sequence[K], Generic[K]):
    """The outcomes of independent parts, made into whole outcomes only when somebody looks at them."""

    def __init__(self, axes: Sequence[Sequence[Any]], make: Callable[[tuple[Any, ...]], K]) -> None:
        self._axes = axes
        self._make = make

    @cached_property
    def _items(self) -> list[K]:
        return list(map(self._make, itertools.product(*self._axes)))

    def __len__(self) -> int:
        size = 1
        for axis in self._axes:
            size *= len(axis)
        return size

    def __getitem__(self, position: Any) -> Any:
        return self._items[position]

    def __iter__(self) -> Iterator[K]:
        return iter(self._items)


def product_weights(axes: Sequence[Sequence[Weight]]) -> list[Weight]:
    """The weights of all combinations of independent parts, in the order of ``itertools.product``."""
    size = 1
    largest = 1
    for axis in axes:
        size *= len(axis)
        if all(isinstance(weight, int) for weight in axis):
            largest *= max(axis, default=1)
        else:
            largest = 0
            break
    if largest and size >= 4096 and largest < 2**62:
        # A Python without numpy, such as a browser's, goes the plain way, which is only slower.
        with suppress(ModuleNotFoundError):
            return _product_in_numpy(axes)
    weights: list[Weight] = [1]
    for axis in axes:
        weights = [weight * factor for weight in weights for factor in axis]
    return weights


def _product_in_numpy(axes: Sequence[Sequence[int]]) -> list[int]:
    """The same in 64-bit whole numbers, where the largest product is known to fit."""
    import numpy as np

    weights = np.ones(1, dtype=np.int64)
    for axis in axes:
        weights = np.multiply.outer(weights, np.array(axis, dtype=np.int64)).ravel()
    made: list[int] = weights.tolist()
    return made
