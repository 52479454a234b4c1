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
from pinfeather.plans.planning import Planner
from pinfeather.plans.setting import Setting, Wish
from pinfeather.plans.symmetry import mirror_of

_TRIES_PER_SIZE = 4


def projected_bound(question: Question, setting: Setting, seasons: int, seconds: float) -> int:
    """The best bound that fewer loci give within so many seconds; 0 if none."""
    until = time.monotonic() + seconds
    best = 0
    for wish in _smaller_wishes(question, setting):
        left = until - time.monotonic()
        if left <= 0:
            break
        smaller = attrs.evolve(question, wish=wish, max_eggs=None, working_life=None)
        breeding = asking.breeding_for(smaller)
        if any(breeding.covered(number) is None for number in breeding.target):
            planner = Planner(breeding, question.certainty, left, lambda *_: None, patience=left)
            planner.mirror = mirror_of(breeding)
            best = max(best, planner.solve(seasons).bound)
    return best


def _smaller_wishes(question: Question, setting: Setting) -> Iterator[Wish]:
    """The wish with some blocks left out, the smallest first."""
    if question.wish.shows:
        return
    bound = [
        {place for group in block.groups for place in group}
        for block in setting.blocks
        if any(block.target[sex] != (1 << len(block.states[sex])) - 1 for sex in question.sexes)
    ]
    for size in range(1, len(bound)):
        for chosen in itertools.islice(itertools.combinations(bound, size), _TRIES_PER_SIZE):
            yield _reduced(question.wish, set().union(*chosen))


def _reduced(wish: Wish, places: set[int]) -> Wish:
    """What is asked and seen of some loci."""
    species = wish.pattern.species
    items = tuple(item for item in wish.pattern.items if places & set(item.loci))
    traits = tuple(name for name in wish.traits if places & set(species.reading(name).machine.loci))
    tested = tuple(place for place in wish.tested if place in places)
    return Wish(Pattern(species, items, wish.pattern.sex), {}, traits, tested)
