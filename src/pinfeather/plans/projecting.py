"""A lower bound for a search that was cut short: leave some of the wanted loci out, and solve what is left.

Whatever makes the whole bird makes, with no more eggs and no less chance, a bird that is right at some of the loci.  So
the fewest eggs for fewer loci are a lower bound for all of them.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Iterator

import attrs

from pinfeather.heredity.patterns import Pattern
from pinfeather.plans import asking
from pinfeather.plans.asking import Question
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.planning import Planner
from pinfeather.plans.setting import Wish
from pinfeather.plans.symmetry import mirror_of

_SURELY = 0.5
"""Seconds in which one or two blocks are solved at least."""


class Projections:
    """The same question about fewer loci, the fewest first; questions that differ in names alone are asked once.

    Time is the processor's, so that a busy machine gives no weaker bounds.
    """

    def __init__(self, question: Question, breeding: Breeding) -> None:
        self.question = question
        self.breeding = breeding
        self._chosen = list(self._selections())
        self._planners: dict[tuple[int, ...], Planner | None] = {}

    def bound(self, seasons: int, seconds: float) -> int:
        """The best bound for so many seasons that can be had in so many seconds; 0 if none.

        One or two blocks are solved in any case, unless even that takes long.
        """
        started = time.process_time()
        best = 0
        for blocks in self._chosen:
            left = (max(seconds, _SURELY) if len(blocks) <= 2 else seconds) - (time.process_time() - started)
            if left <= 0:
                break
            planner = self._planner(blocks)
            if planner is not None:
                planner.deadline = time.process_time() + left / 2
                best = max(best, planner.solve(seasons).bound)
        return best

    def _planner(self, blocks: tuple[int, ...]) -> Planner | None:
        """The planner for some blocks; None where the stock has what is wanted of them."""
        if blocks not in self._planners:
            places = {place for block in blocks for place in self._places(block)}
            wish = _reduced(self.question.wish, places)
            breeding = asking.breeding_for(attrs.evolve(self.question, wish=wish, max_eggs=None, working_life=None))
            planner = None
            if any(breeding.covered(number) is None for number in breeding.target):
                planner = Planner(breeding, self.question.certainty, 0, lambda *_: None, clock=time.process_time)
                planner.mirror = mirror_of(breeding)
            self._planners[blocks] = planner
        return self._planners[blocks]

    def _selections(self) -> Iterator[tuple[int, ...]]:
        """Some of the blocks in which something is wanted, the fewest first; of selections that are alike, one."""
        if self.question.wish.shows:
            return
        blocks = self.breeding.setting.blocks
        wanted = [
            number
            for number, block in enumerate(blocks)
            if any(block.target[sex] != (1 << len(block.states[sex])) - 1 for sex in self.question.sexes)
        ]
        alike = {number: self._alike(number) for number in wanted}
        order = list(dict.fromkeys(alike.values()))
        for size in range(1, len(wanted)):
            seen: set[tuple[int, ...]] = set()
            for chosen in itertools.combinations(wanted, size):
                kinds = tuple(sorted(order.index(alike[number]) for number in chosen))
                if kinds not in seen:
                    seen.add(kinds)
                    yield chosen

    def _places(self, block: int) -> set[int]:
        return {place for group in self.breeding.setting.blocks[block].groups for place in group}

    def _alike(self, number: int) -> object:
        """Equal for blocks that differ in nothing but their names."""
        setting, block = self.breeding.setting, self.breeding.setting.blocks[number]
        places = self._places(number)
        read = [set(setting.species.reading(trait).machine.loci) for trait in setting.wish.traits]
        if len(places) > 1 or any(places & loci and loci - places for loci in read):
            return number
        (place,) = places
        stock = tuple(self.breeding.kinds[own].known[number] for own in self.breeding.stock)
        chromosome = setting.species.loci[place].chromosome
        return (chromosome, block.states, block.survival, block.shown, block.better, block.target, stock)


def _reduced(wish: Wish, places: set[int]) -> Wish:
    """What is asked and seen of some loci."""
    species = wish.pattern.species
    items = tuple(item for item in wish.pattern.items if places & set(item.loci))
    traits = tuple(name for name in wish.traits if places & set(species.reading(name).machine.loci))
    tested = tuple(place for place in wish.tested if place in places)
    return Wish(Pattern(species, items, wish.pattern.sex), {}, traits, tested)
