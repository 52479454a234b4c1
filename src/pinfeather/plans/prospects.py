"""What a pair of birds may lead to, estimated block by block: the score by which a sketch chooses what to keep.

Blocks are inherited independently, so that the logarithms of chances add up over them, and what is best to keep at a
price can be settled in each block by itself.
"""

from __future__ import annotations

import itertools
import math

from pinfeather.plans.blocks import Mask, bits
from pinfeather.plans.breeding import Breeding

_MENU = 6

_DOUBT = -3.0
"""What the score loses where only unproved birds help: a bird can be unproved in one block only."""


class Prospects:
    """Scores of pairs of parents, each known as a set of genotypes in a block."""

    def __init__(self, breeding: Breeding, floor: float, *, look_alikes: bool) -> None:
        self.breeding = breeding
        self.look_alikes = look_alikes
        self.floor = floor
        """The score of a block in which a pair cannot give what is wanted."""
        self._wanted = [(breeding.kinds[number].sex, breeding.kinds[number].known) for number in breeding.target]
        self._finish: dict[tuple[int, Mask, Mask], float] = {}
        self._crossed: dict[tuple[int, Mask, Mask], tuple[float, float]] = {}
        self._menus: dict[tuple[int, Mask, Mask, int, bool], list[tuple[Mask, float]]] = {}

    def finish(self, block: int, cock: Mask, hen: Mask) -> float:
        """The log-chance that a chick is what is wanted in a block, the mean over the sexes in which it is."""
        key = (block, cock, hen)
        found = self._finish.get(key)
        if found is None:
            total = 0.0
            for sex, known in self._wanted:
                family = self.breeding.nursery.family(block, cock, hen, sex)
                chance = family.least(family.looks_within(known[block]))
                total += math.log(chance) if chance else self.floor
            found = self._finish[key] = total / len(self._wanted)
        return found

    def crossed(self, block: int, cock: Mask, hen: Mask) -> tuple[float, float]:
        """The log-chances of the best chicks to keep of a pair, and of what is wanted from two of those."""
        key = (block, cock, hen)
        found = self._crossed.get(key)
        if found is None:
            found = self._best(block, cock, hen, hidden=False)
            if self.look_alikes and sum(found) <= self.floor:
                now, later = self._best(block, cock, hen, hidden=True)
                if now + later + _DOUBT > self.floor:
                    found = (now, later + _DOUBT)
            self._crossed[key] = found
        return found

    def _best(self, block: int, cock: Mask, hen: Mask, *, hidden: bool) -> tuple[float, float]:
        best, found = -math.inf, (0.0, self.floor)
        menus = [self._menu(block, cock, hen, sex, hidden=hidden) for sex in (0, 1)]
        for (one, chance), (other, likewise) in itertools.product(*menus):
            now, later = (chance + likewise) / 2, self.finish(block, one, other)
            # Of equal ways the one that asks less now.
            if now + later + 1e-6 * now > best:
                best, found = now + later + 1e-6 * now, (now, later)
        return found

    def _menu(self, block: int, cock: Mask, hen: Mask, sex: int, *, hidden: bool) -> list[tuple[Mask, float]]:
        """(what chicks may be, or may be hoped to be, and the log-chance of it), the most promising few."""
        key = (block, cock, hen, sex, hidden)
        if key not in self._menus:
            family = self.breeding.nursery.family(block, cock, hen, sex)
            found = [(mask, math.log(family.least(looks))) for mask, looks in family.keeps]
            if hidden:
                better = self.breeding.setting.blocks[block].better[sex]
                for look, mask in enumerate(family.by_look):
                    chance = family.least(1 << look) if mask.bit_count() > 1 else 0
                    for right in {mask & better[at] for at in bits(mask)} - {mask} if chance else ():
                        found.append((right, math.log(chance * right.bit_count() / mask.bit_count())))
            self._menus[key] = few(found)
        return self._menus[key]


def few(found: list[tuple[Mask, float]]) -> list[tuple[Mask, float]]:
    """The options that no other one is at least as good as; the commonest and the narrowest, if they are many."""
    kept: list[tuple[Mask, float]] = []
    for mask, log in sorted(found, key=lambda entry: (-entry[1], entry[0].bit_count())):
        if not any(not own & ~mask for own, _ in kept):
            kept.append((mask, log))
    if len(kept) > _MENU:
        narrow = sorted(kept, key=lambda entry: entry[0].bit_count())[: _MENU - _MENU // 2]
        kept = list(dict.fromkeys([*kept[: _MENU // 2], *narrow]))
    return kept
