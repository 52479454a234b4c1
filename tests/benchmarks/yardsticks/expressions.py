"""Linked loci with symbols in the plain way: sympy's expressions, expanded at every step."""

from __future__ import annotations

from typing import Any

import sympy


def expanded_in_a_loop(fractions: list[Any], recessive: int) -> Any:
    """The fraction of a look at all loci of a chromosome, recessive at one of them, walking along the chromosome."""
    strands = [(one, other) for one in (0, 1) for other in (0, 1)]

    def fits(strand: tuple[int, int], place: int) -> bool:
        return (strand == (1, 1)) is (place == recessive)

    states = {strand: sympy.Rational(1, 4) if fits(strand, 0) else sympy.Integer(0) for strand in strands}
    for place, r in enumerate(fractions, start=1):
        moved: dict[tuple[int, int], Any] = {}
        for to in strands:
            total = sympy.Integer(0)
            if fits(to, place):
                for come, weight in states.items():
                    for before, after in zip(come, to, strict=True):
                        weight = weight * (1 - r if before == after else r)
                    total = sympy.expand(total + weight)
            moved[to] = total
        states = moved
    return sympy.expand(sum(states.values()))
