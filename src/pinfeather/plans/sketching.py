"""A programme at once, from the few kinds of a beam; and better ones from wider beams, for as long as there is time.

Nothing that comes of this proves anything: a sketch is a programme with its exact chance, and no bound.
"""

from __future__ import annotations

import contextlib
import itertools
import math
from collections.abc import Callable
from fractions import Fraction
from typing import Any

from pinfeather.plans.beams import Beam, Narrow
from pinfeather.plans.bounds import Bounds
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.deriving import Derivations
from pinfeather.plans.search import EPSILON, Deed, Path, Search, deeds_of
from pinfeather.plans.splitting import Split

_PRICES = (0.0, 300.0, 3000.0, 30_000.0)
_DERIVED = 8
_FIRST_WIDTH, _FIRST_WIDTH_OF_MANY = 8, 6
_FLOORS = (-7.0, -3.5, -12.0)
_LARGE = 3000
_WIDEST = 200
_IDLE = 7
_FEW_BLOCKS = 6
_QUICK = 10_000
"""How many decisions a search among the kinds of the first beam may take."""

Best = tuple[tuple[Deed, ...], Split]


class Sketcher:
    """Makes beams wider and wider, and lays programmes out of their kinds."""

    def __init__(
        self,
        breeding: Breeding,
        certainty: Fraction,
        consider: Callable[[tuple[Deed, ...]], Split | None],
        best: Callable[[], Best | None],
    ) -> None:
        self.breeding = breeding
        self.certainty = certainty
        self.risk = -math.log(certainty)
        self.consider = consider
        self.best = best
        self._beams: dict[tuple[int, float, bool], Beam] = {}

    def sketch(self, seasons: int, *, thorough: bool) -> None:
        """The programmes of the narrowest beams, without asking for the time.

        With many genes look-alikes are left out, unless it is to be thorough or nothing is found without them.
        """
        few = len(self.breeding.setting.blocks) <= _FEW_BLOCKS
        for look_alikes in self._sorts:
            if not look_alikes or few or thorough or self.best() is None:
                width = _FIRST_WIDTH if few else _FIRST_WIDTH_OF_MANY
                beam = self._beam(width, _FLOORS[0], _no_hurry, look_alikes=look_alikes)
                self._try(beam, seasons, _no_hurry, _QUICK)

    def widen(self, seasons: int, tick: Callable[[], None]) -> None:
        """Programmes of wider and wider beams, until some in a row bring nothing or the time is used up."""
        width, idle = _FIRST_WIDTH, 0
        while idle < _IDLE and width <= _WIDEST:
            for look_alikes, floor in itertools.product(self._sorts, _FLOORS):
                before = self._eggs()
                self._try(self._beam(width, floor, tick, look_alikes=look_alikes), seasons, tick, 2500 * width)
                idle = 0 if self._eggs() < before else idle + 1
            width *= 2

    @property
    def _sorts(self) -> tuple[bool, ...]:
        """With proven birds alone, and with look-alikes."""
        return (False, True) if self.breeding.tests else (False,)

    def _beam(self, width: int, floor: float, tick: Callable[[], None], *, look_alikes: bool) -> Beam:
        key = (width, floor, look_alikes)
        if key not in self._beams:
            self._beams[key] = Beam(self.breeding, width, floor, tick, look_alikes=look_alikes)
        self._beams[key].tick = tick
        return self._beams[key]

    def _eggs(self) -> float:
        best = self.best()
        return math.inf if best is None else best[1].eggs

    def _try(self, beam: Beam, seasons: int, tick: Callable[[], None], patience: int) -> None:
        beam.reach(seasons - 1)
        narrow = beam.narrow()
        self._derive(narrow, seasons, tick)
        self._search(narrow, seasons, tick, patience)
        if self._vary(beam):
            self._search(beam.narrow(), seasons, tick, patience)

    def _derive(self, narrow: Narrow, seasons: int, tick: Callable[[], None]) -> None:
        """Cheapest derivations, at a few prices."""
        bounds = Bounds(narrow, seasons, 0.0, self.certainty, math.inf, tick)
        for price in _PRICES:
            for deeds in Derivations(bounds, price, self.certainty).programmes(_DERIVED):
                self._weigh(deeds)

    def _weigh(self, deeds: tuple[Deed, ...]) -> None:
        """Consider a structure, unless its steps take too many eggs even one by one."""
        least = [deed.chance.least(self.certainty) for deed in deeds]
        eggs = [deed.chance.unit * number for deed, number in zip(deeds, least, strict=True) if number is not None]
        if len(eggs) < len(deeds) or sum(eggs) >= self._eggs():
            return
        # A large hatch whose chance is not known to be concave would have to be gone through egg by egg.
        slow = any(n > _LARGE and not deed.chance.concave for deed, n in zip(deeds, eggs, strict=True))
        if not slow or self.best() is None:
            self.consider(deeds)

    def _search(self, narrow: Narrow, seasons: int, tick: Callable[[], None], patience: int) -> None:
        """The cheapest structure of the kinds of a beam, sought with patience."""
        for _ in range(3):
            best = self.best()
            if best is None:
                return
            price = best[1].price

            def limit(price: float = price) -> float:
                return self._eggs() - 1 + price * self.risk + EPSILON

            def take(total: float, path: Path, limit: Callable[[], float] = limit) -> float | None:
                self._weigh(deeds_of(path))
                return min(total, limit())

            bounds = Bounds(narrow, seasons, price, self.certainty, limit(), tick)
            with contextlib.suppress(_EnoughSignal):
                Punctual(bounds, None, tick, patience).run(take)
            if self.best() is best:
                return

    def _vary(self, beam: Beam) -> bool:
        """Let the beam have other numbers of the look-alikes that the best programme keeps; whether there are any."""
        best = self.best()
        found = False
        for deed in () if best is None else best[0]:
            for number, looks in () if deed.test else deed.demands:
                kind, hoped = self.breeding.kinds[number], self.breeding.kinds[number].right
                if kind.known == hoped:
                    continue
                options = []
                for block, menu in enumerate(self.breeding.options(deed.sire, deed.dam, kind.sex)):
                    wanted = (looks[block], kind.known[block], hoped[block])
                    options += [o for o in menu if (o.looks, o.known, o.hoped) == wanted][:1]
                if len(options) == len(hoped):
                    found = beam.vary(deed.sire, deed.dam, kind.sex, tuple(options)) or found
        return found


class Punctual(Search):
    """A search that looks at the clock for every decision, and gives up after so many of them."""

    def __init__(
        self, bounds: Bounds, mirror: dict[int, int] | None, tick: Callable[[], None], patience: float = math.inf
    ) -> None:
        super().__init__(bounds, mirror, tick)
        self.patience = patience
        self.decisions = 0

    def _on(self, *arguments: Any) -> float:
        self.decisions += 1
        if self.decisions > self.patience:
            raise _EnoughSignal
        if not self.decisions % 64:
            self.tick()
        return super()._on(*arguments)


class _EnoughSignal(Exception):  # noqa: N818 - it is no error, and never leaves this file
    """Patience is used up."""


def _no_hurry() -> None:
    """There is always time for the first programme."""
