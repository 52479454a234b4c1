"""Reading questions off the chicks of a mating, segment by segment.

A chick is a sequence of independent segments: blocks of loci, or several blocks that depend on each other.  Observers
watch the loci go by.  Each carries a machine (see :mod:`pinfeather.heredity.matching`) whose state is a whole number,
and ends in a weight and an output: a rule that must fit, a share that survives, a label that shows.  The work is a sum
over states, so it follows the question and not the number of genotypes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

import attrs

from pinfeather.crosses.meiosis import LARGEST_ANSWER, crossing_weights
from pinfeather.errors import TooLargeError
from pinfeather.exact.symbolic import Weight, WeightRing
from pinfeather.exact.ties import Ties
from pinfeather.heredity.genotypes import BlockPair, Layout, alleles_at, in_order
from pinfeather.heredity.matching import Machine, shortened
from pinfeather.heredity.sexes import Sex
from pinfeather.heredity.species import Species

Output: TypeAlias = "int | None"
Key: TypeAlias = "tuple[object, ...]"
_DONE = -1


@attrs.frozen(eq=False)
class Observer:
    """Watches loci and ends in outputs with weights.

    ``ends`` gives, for each rule and (last) for "no rule fits", the outputs with their weights out of ``total``; an
    empty entry drops the chick.
    """

    machine: Machine
    ends: tuple[tuple[tuple[Output, Weight], ...], ...]
    total: int = 1

    def end(self, state: int) -> tuple[tuple[Output, Weight], ...]:
        """The outputs of a settled state."""
        rule = self.machine.first_rule(state)
        return self.ends[-1] if rule is None else self.ends[rule]


@attrs.frozen(eq=False)
class Table:
    """A segment written out: homologue pairs of its blocks, with weights."""

    layout: Layout
    rows: tuple[tuple[tuple[BlockPair, ...], Weight], ...]
    total: Weight

    @property
    def places(self) -> tuple[int, ...]:
        """The loci of the segment."""
        return tuple(place for block in self.layout for place in block)


@attrs.frozen(eq=False)
class Chain:
    """A segment of linked loci whose two parents are both known: read locus by locus, never written out."""

    species: Species
    block: tuple[int, ...]
    sire_pair: BlockPair
    dam_pair: BlockPair

    @property
    def places(self) -> tuple[int, ...]:
        """The loci of the segment."""
        return self.block


Segment: TypeAlias = "Table | Chain"


@attrs.frozen
class Found:
    """What came of one set of segments that the observers tie together: outputs with weights over a total."""

    table: dict[Key, Weight]
    total: Weight
    shows: tuple[int, ...]
    """The observers whose outputs stand in the keys, then the blocks whose homologue pairs do."""
    blocks: tuple[tuple[int, ...], ...]

    @property
    def weight(self) -> Weight:
        """The weight of all that was kept."""
        weight: Weight = 0
        for part in self.table.values():
            weight = weight + part
        return weight


def observe(
    segments: Sequence[Segment],
    observers: Sequence[Observer],
    shown: Sequence[bool],
    wanted: frozenset[int],
    sex: Sex,
    ring: WeightRing,
) -> list[Found]:
    """Read the observers off chicks of one sex.

    ``shown`` says which observers' outputs are wanted; ``wanted`` the loci whose genotypes are.  Segments that no
    observer ties together are kept apart.
    """
    results: list[Found] = []
    for group, watching in _tied_together(segments, observers):
        run = _Run([observers[n] for n in watching], [shown[n] for n in watching], wanted, sex, ring)
        table, blocks = run.over(group)
        total: Weight = run.total(group)
        results.append(Found(table, total, tuple(n for n in watching if shown[n]), blocks))
    return results


def _tied_together(
    segments: Sequence[Segment], observers: Sequence[Observer]
) -> Iterator[tuple[list[Segment], list[int]]]:
    """Groups of segments and the observers that tie them; observers of no locus come first, by themselves."""
    owner = {place: number for number, segment in enumerate(segments) for place in segment.places}
    ties: Ties[int] = Ties()
    for observer in observers:
        ties.tie([owner[place] for place in observer.machine.loci])
    groups: dict[int, tuple[list[Segment], list[int]]] = {}
    for number, segment in enumerate(segments):
        groups.setdefault(ties.leader(number), ([], []))[0].append(segment)
    free: list[int] = []
    for number, observer in enumerate(observers):
        if observer.machine.loci:
            groups[ties.leader(owner[observer.machine.loci[0]])][1].append(number)
        else:
            free.append(number)
    if free:
        yield [], free
    yield from groups.values()


@attrs.frozen(eq=False)
class _Run:
    """One reading: the states of all observers together, as the segments go by.

    A state is ``(per-observer state or output, ...)`` followed by the homologue pairs that are wanted so far.
    """

    observers: Sequence[Observer]
    shown: Sequence[bool]
    wanted: frozenset[int]
    sex: Sex
    ring: WeightRing
    _known_strands: dict[Chain, tuple[_Strand, _Strand]] = attrs.field(factory=dict)

    def total(self, group: Sequence[Segment]) -> Weight:
        """What the weights are out of."""
        total: Weight = 1
        for segment in group:
            total = total * (segment.total if isinstance(segment, Table) else self._chain_total(segment))
        for observer in self.observers:
            total = total * observer.total
        return total

    def over(self, group: Sequence[Segment]) -> tuple[dict[Key, Weight], tuple[tuple[int, ...], ...]]:
        """The outputs and wanted pairs, with their weights; and the blocks whose pairs they are."""
        order = [place for segment in group for place in segment.places]
        settled = [observer.machine.settled_after(order) for observer in self.observers]
        last = [max((order.index(p) for p in o.machine.loci), default=-1) for o in self.observers]
        start: Key = tuple(observer.machine.start[self.sex] for observer in self.observers)
        states: dict[Key, Weight] = self._ended({start: 1}, [n for n, at in enumerate(last) if at == -1])
        blocks: list[tuple[int, ...]] = []
        read = 0
        for segment in group:
            if isinstance(segment, Table):
                kept = [
                    (b, tuple(at for at, place in enumerate(block) if place in self.wanted))
                    for b, block in enumerate(segment.layout)
                ]
                chosen = [(b, ats) for b, ats in kept if ats]
                blocks.extend(tuple(segment.layout[b][at] for at in ats) for b, ats in chosen)
                states = self._over_table(states, segment, chosen, settled)
                ending = [n for n, at in enumerate(last) if read <= at < read + len(segment.places)]
                states = self._ended(states, ending)
            else:
                states = self._over_chain(states, segment, settled, last, order)
            read += len(segment.places)
            if len(states) > LARGEST_ANSWER:
                message = f"the answer passed {LARGEST_ANSWER:,} different outcomes; ask about fewer loci or traits"
                raise TooLargeError(message, size=len(states), limit=LARGEST_ANSWER)
        return self._outputs(states), tuple(blocks)

    def _outputs(self, states: dict[Key, Weight]) -> dict[Key, Weight]:
        """Leave out the observers that show nothing."""
        count = len(self.observers)
        keep = [n for n in range(count) if self.shown[n]]
        made: dict[Key, Weight] = {}
        for key, weight in states.items():
            short = (*(key[n] for n in keep), *key[count:])
            made[short] = made.get(short, 0) + weight
        return made

    def _ended(self, states: dict[Key, Weight], ending: Sequence[int]) -> dict[Key, Weight]:
        """Turn the states of settled observers into outputs."""
        for n in ending:
            observer = self.observers[n]
            ends: dict[object, tuple[tuple[Output, Weight], ...]] = {}
            made: dict[Key, Weight] = {}
            for key, weight in states.items():
                state = key[n]
                if state not in ends:
                    ends[state] = observer.end(state)  # type: ignore[arg-type]
                for output, factor in ends[state]:
                    after = (*key[:n], output if self.shown[n] else _DONE, *key[n + 1 :])
                    made[after] = made.get(after, 0) + weight * factor
            states = made
        return states

    def _over_table(
        self,
        states: dict[Key, Weight],
        segment: Table,
        chosen: Sequence[tuple[int, tuple[int, ...]]],
        settled: Sequence[Mapping[int, int]],
    ) -> dict[Key, Weight]:
        """Read a whole segment at once: rows that do the same to every observer are added up first."""
        places = segment.places
        watching = [n for n, o in enumerate(self.observers) if not set(places).isdisjoint(o.machine.loci)]
        effects: dict[tuple[tuple[int, ...], Key], Weight] = {}
        for pairs, weight in segment.rows:
            masks = tuple(self._mask(n, segment.layout, pairs) for n in watching)
            piece: Key = tuple(_part(pairs[b], ats) for b, ats in chosen)
            effects[masks, piece] = effects.get((masks, piece), 0) + weight
        limits = [settled[n][places[-1]] for n in watching]
        made: dict[Key, Weight] = {}
        for key, weight in states.items():
            for (masks, piece), factor in effects.items():
                after = list(key)
                for n, mask, limit in zip(watching, masks, limits, strict=True):
                    after[n] = shortened(key[n] & mask, limit)  # type: ignore[operator]
                end = (*after, *piece)
                made[end] = made.get(end, 0) + weight * factor
        return made

    def _mask(self, n: int, layout: Layout, pairs: tuple[BlockPair, ...]) -> int:
        masks = self.observers[n].machine.masks
        mask = -1
        for block, pair in zip(layout, pairs, strict=True):
            for at, place in enumerate(block):
                if place in masks:
                    mask &= masks[place][alleles_at(pair, at)]
        return mask

    def _over_chain(
        self,
        states: dict[Key, Weight],
        chain: Chain,
        settled: Sequence[Mapping[int, int]],
        last: Sequence[int],
        order: Sequence[int],
    ) -> dict[Key, Weight]:
        """Read linked loci one at a time, keeping which homologue of either parent is being followed."""
        sire, dam = self._strands(chain)
        moving: dict[tuple[int, int, Key], Weight] = {}
        for key, weight in states.items():
            for s in sire.starts:
                for d in dam.starts:
                    moving[s, d, key] = weight
        for at, place in enumerate(chain.block):
            moving = _moved(moving, sire.steps.get(at), dam.steps.get(at))
            watching = [n for n, o in enumerate(self.observers) if place in o.machine.masks]
            ending = [n for n in watching if order[last[n]] == place]
            grouped: dict[tuple[int, int], dict[Key, Weight]] = {}
            for (s, d, key), weight in moving.items():
                pair = sire.allele(s, at), dam.allele(d, at)
                after = list(key)
                for n in watching:
                    machine = self.observers[n].machine
                    after[n] = shortened(key[n] & machine.masks[place][pair], settled[n][place])  # type: ignore[operator]
                part = grouped.setdefault((s, d), {})
                end = tuple(after)
                part[end] = part.get(end, 0) + weight
            moving = {
                (s, d, key): weight
                for (s, d), part in grouped.items()
                for key, weight in self._ended(part, ending).items()
            }
        made: dict[Key, Weight] = {}
        for (_, _, key), weight in moving.items():
            made[key] = made.get(key, 0) + weight
        return made

    def _strands(self, chain: Chain) -> tuple[_Strand, _Strand]:
        if chain not in self._known_strands:
            self._known_strands[chain] = _Strand.of(chain, "male", self.ring), _Strand.of(chain, "female", self.ring)
        return self._known_strands[chain]

    def _chain_total(self, chain: Chain) -> int:
        sire, dam = self._strands(chain)
        return sire.total * dam.total


@attrs.frozen
class _Strand:
    """The two homologues of one parent, and before each locus where they differ the total and weight of crossing."""

    pair: BlockPair
    starts: tuple[int, ...]
    steps: Mapping[int, tuple[Weight, Weight]]
    total: int

    @classmethod
    def of(cls, chain: Chain, parent: Sex, ring: WeightRing) -> _Strand:
        pair = chain.sire_pair if parent == "male" else chain.dam_pair
        left, right = pair
        if left is None or right is None:
            return cls(pair, (0,), {}, 1)
        mixed = [at for at in range(len(chain.block)) if left[at] != right[at]]
        if not mixed:
            return cls(pair, (0,), {}, 1)
        weights, total = crossing_weights(chain.species, [chain.block[at] for at in mixed], parent, ring)
        return cls(pair, (0, 1), dict(zip(mixed[1:], weights, strict=True)), 2 * total)

    def allele(self, side: int, at: int) -> int | None:
        """What stands at a locus on one homologue; None where the parent hands on no copy."""
        haplotype = self.pair[side]
        return None if haplotype is None else haplotype[at]


def _moved(
    moving: dict[tuple[int, int, Key], Weight],
    sire: tuple[Weight, Weight] | None,
    dam: tuple[Weight, Weight] | None,
) -> dict[tuple[int, int, Key], Weight]:
    """Let either parent's strand cross over, or stay, before the next locus."""
    for which, weights in enumerate((sire, dam)):
        if weights is None:
            continue
        whole, crosses = weights
        made: dict[tuple[int, int, Key], Weight] = {}
        for (s, d, key), weight in moving.items():
            # One product serves for both: polynomials are dear to multiply and cheap to subtract.
            crossed = weight * crosses
            stayed = (weight if whole == 1 else weight * whole) - crossed
            over = (1 - s, d, key) if which == 0 else (s, 1 - d, key)
            for after, share in (((s, d, key), stayed), (over, crossed)):
                made[after] = made[after] + share if after in made else share
        moving = made
    return moving


def _part(pair: BlockPair, ats: tuple[int, ...]) -> BlockPair:
    """The homologues of a block at some of its loci, in order."""
    left, right = pair
    if (left is None or len(left) == len(ats)) and (right is None or len(right) == len(ats)):
        return in_order(pair)
    return in_order(
        (
            None if left is None else tuple(left[at] for at in ats),
            None if right is None else tuple(right[at] for at in ats),
        )
    )
