"""Structures by cheapest derivation: each kind by its cheapest way, each hatch counted wherever it is used."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import TypeAlias

from pinfeather.plans.bounds import Arc, Bounds
from pinfeather.plans.search import Deed
from pinfeather.plans.trials import Trial

Matings: TypeAlias = dict[tuple[int, int, int, Trial | None], tuple[Arc, dict[int, tuple[int, ...]]]]
"""By season, parents and test: the way, and the looks to keep for each kind."""


class Derivations:
    """Cheapest derivations by addition, after the bounds are made; hatches of the same pair are then laid together."""

    def __init__(self, bounds: Bounds, price: float, certainty: Fraction) -> None:
        self.bounds = bounds
        self.breeding = bounds.breeding
        self.price = price
        self.certainty = certainty
        self._best: dict[tuple[int, int], tuple[float, int, Arc | None]] = {}

    def programmes(self, most: int = 20) -> Iterator[tuple[Deed, ...]]:
        """A few structures, for the pairs of parents that look best in the last season."""
        season = self.bounds.seasons
        wanted = [n for n in self.breeding.target if self.breeding.covered(n) is None]
        first = wanted[0]
        arcs = [arc for _, _, arc in self.bounds.arcs(season, first)]
        for arc in sorted(arcs, key=lambda arc: self._with_parents(season, arc))[:most]:
            deeds = self._laid_out(season, wanted, arc)
            if deeds is not None:
                yield deeds

    def _with_parents(self, season: int, arc: Arc) -> float:
        own = arc.chance.cost(self.price, self.certainty)[0]
        return own + sum(self._value(season - 1, n)[0] for n in arc.parents)

    def _value(self, season: int, kind: int) -> tuple[float, int, Arc | None]:
        if self.breeding.covered(kind) is not None:
            return 0.0, 0, None
        key = (season, kind)
        if key not in self._best:
            self._best[key] = (math.inf, season, None)
            best: tuple[float, int, Arc | None] = (math.inf, season, None)
            if season > 1:
                best = self._value(season - 1, kind)
            if season > 0:
                for _, _, arc in self.bounds.arcs(season, kind):
                    value = self._with_parents(season, arc)
                    if value < best[0]:
                        best = (value, season, arc)
            self._best[key] = best
        return self._best[key]

    def _gives(self, way: Arc, kind: int) -> bool:
        looks = self.breeding.looks_for(way.sire, way.dam, self.breeding.kinds[kind])
        return looks is not None and way.trial is None

    def _laid_out(self, season: int, wanted: list[int], arc: Arc) -> tuple[Deed, ...] | None:
        """Put the matings of a derivation together."""
        breeding = self.breeding
        matings: Matings = {}
        needs: list[tuple[int, int, Arc | None]] = [(season, kind, arc) for kind in wanted]
        while needs:
            now, kind, way = needs.pop()
            if breeding.covered(kind) is not None:
                continue
            if way is None or (kind in wanted and kind != wanted[0] and not self._gives(way, kind)):
                value, now, way = self._value(now, kind)
                if way is None or value == math.inf:
                    return None
            looks: tuple[int, ...] | None = way.looks
            if kind in wanted and way.trial is None:
                looks = breeding.looks_for(way.sire, way.dam, breeding.kinds[kind])
            assert looks is not None  # seen to above
            key = (now, way.sire, way.dam, way.trial)
            if key not in matings:
                matings[key] = (way, {})
                needs += [(now - 1, parent, None) for parent in way.parents]
            matings[key][1][kind] = looks
        _join_tests(matings)
        made = []
        for (now, sire, dam, trial), (_, demands) in matings.items():
            listed = tuple(sorted(demands.items()))
            chance = breeding.hatch(sire, dam, listed) if trial is None else breeding.bred_on_trial(trial, listed)
            if chance is None:
                return None
            made.append(Deed(now, sire, dam, listed, chance, trial))
        return tuple(sorted(made, key=lambda deed: deed.season))


def _join_tests(matings: Matings) -> None:
    """Let a bird be proved by the same test beside which it is bred from."""
    beside = {
        (season, trial.suspect, trial.assays): key
        for key in matings
        if (season := key[0]) and (trial := key[3]) is not None and trial.mate is not None
    }
    for key in list(matings):
        trial = key[3]
        if trial is not None and trial.mate is None and (key[0], trial.suspect, trial.assays) in beside:
            matings[beside[key[0], trial.suspect, trial.assays]][1].update(matings.pop(key)[1])
