"""What to keep of one mating: for every price of rarity, the chicks that are best with a given mate.

A choice is made block by block.  At a price each block takes the option with the highest score less price x rarity, so
that the choices best at some price are found by climbing: of all blocks' next steps, the one that gains most for what
it costs comes first.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from typing import TypeAlias

import attrs

from pinfeather.plans.breeding import Option
from pinfeather.plans.prospects import few

Values: TypeAlias = "tuple[float, float]"
"""Log-chances estimated: of the next step, and of the one after it."""

Pick: TypeAlias = "tuple[Option, ...]"
"""The option of one block, for one chick or for a cock and a hen."""

_TIE = 1e-6


Rung: TypeAlias = "tuple[float, int, int, float, int]"
"""One more thing to ask in a block: less its gain for each unit of cost, its place, the block, the cost, the pick."""


@attrs.frozen(eq=False)
class Ladder:
    """The picks of one block: where to start, the rungs to climb, and the best look-alikes."""

    picks: list[Pick]
    costs: list[float]
    values: list[Values]
    start: int
    rungs: list[Rung]
    hidden: tuple[int, ...]
    best: float
    """The highest value of all."""


@attrs.frozen(eq=False)
class Choice:
    """What to keep in all blocks, with the values of the pair that it is thought to become one of."""

    picks: tuple[Pick, ...]
    now: float
    later: float


def worthwhile(options: Sequence[Option]) -> list[Option]:
    """The options that no other one is at least as good as, proven ones and look-alikes apart."""
    best: dict[tuple[bool, int], Option] = {}
    for option in options:
        key = (option.hidden, option.hoped)
        if option.chance and (key not in best or _weight(option) > _weight(best[key])):
            best[key] = option
    found = []
    for hidden in (False, True):
        own = {mask: option for (look_alike, mask), option in best.items() if look_alike is hidden}
        kept = few([(mask, math.log(_weight(option))) for mask, option in own.items()])
        found += [own[mask] for mask, _ in kept]
    return found


def _weight(option: Option) -> float:
    return float(option.chance * option.share)


def ladder_of(block: int, picks: list[Pick], value: Callable[[Pick], Values]) -> Ladder:
    """Put the picks of one block in the order in which they are worth their cost."""
    costs = [-sum(option.log for option in pick) / len(pick) for pick in picks]
    values = [value(pick) for pick in picks]
    gains = [sum(own) + _TIE * _leaning(block, pick) for own, pick in zip(values, picks, strict=True)]
    plain = [at for at, pick in enumerate(picks) if not any(option.hidden for option in pick)]
    hidden = [at for at in range(len(picks)) if at not in plain]
    hidden.sort(key=lambda at: costs[at] - gains[at] + sum(option.hidden for option in picks[at]))
    start = at = min(plain, key=lambda n: (costs[n], -gains[n]))
    rungs: list[Rung] = []
    while better := [n for n in plain if gains[n] > gains[at] + 1e-12]:
        slopes = {n: _slope(costs[n] - costs[at], gains[n] - gains[at]) for n in better}
        following = max(better, key=lambda n: (slopes[n], -costs[n]))
        rungs.append((-slopes[following], len(rungs), block, costs[following] - costs[at], following))
        at = following
    return Ladder(picks, costs, values, start, rungs, tuple(hidden[:2]), max(map(sum, values)))


def _slope(cost: float, gain: float) -> float:
    return gain / cost if cost > 1e-12 else math.inf


def _leaning(block: int, pick: Pick) -> float:
    """Of equal picks for a cock and a hen, the rarer bird is now the one and now the other, block by block."""
    return 0.0 if len(pick) == 1 else (pick[0].log - pick[1].log) * (1 if block % 2 else -1)


def climb(ladders: Sequence[Ladder], rarest: float) -> Iterator[Choice]:
    """The choices of all blocks that are best at some price, the commonest first; then each with look-alikes."""
    at = [ladder.start for ladder in ladders]
    log = now = later = 0.0
    for ladder in ladders:
        log -= ladder.costs[ladder.start]
        now += ladder.values[ladder.start][0]
        later += ladder.values[ladder.start][1]
    rungs = sorted(itertools.chain.from_iterable(ladder.rungs for ladder in ladders))
    for position in range(len(rungs) + 1):
        if log < rarest:
            return
        # What costs nothing more is asked too.
        if position == len(rungs) or rungs[position][3] > 1e-9:
            yield Choice(tuple([ladder.picks[n] for ladder, n in zip(ladders, at, strict=True)]), now, later)
            yield from _with_look_alikes(ladders, at, now, later)
        if position < len(rungs):
            _, _, block, cost, pick = rungs[position]
            before, after = (ladders[block].values[n] for n in (at[block], pick))
            at[block] = pick
            log, now, later = log - cost, now + after[0] - before[0], later + after[1] - before[1]


def _with_look_alikes(ladders: Sequence[Ladder], at: Sequence[int], now: float, later: float) -> Iterator[Choice]:
    """The same with look-alikes in one block, where that promises more."""
    found = []
    for block, ladder in enumerate(ladders):
        if ladder.hidden:
            before = sum(ladder.values[at[block]]) - ladder.costs[at[block]]
            for pick in ladder.hidden:
                gain = sum(ladder.values[pick]) - ladder.costs[pick] - before
                if gain > 0:
                    found.append((-gain, block, pick))
    for _, block, pick in sorted(found)[:2]:
        picks = [ladder.picks[n] for ladder, n in zip(ladders, at, strict=True)]
        picks[block] = ladders[block].picks[pick]
        values = ladders[block].values
        old, new = values[at[block]], values[pick]
        yield Choice(tuple(picks), now + new[0] - old[0], later + new[1] - old[1])
