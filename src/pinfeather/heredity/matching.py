"""Machines that read a bird locus by locus and say which of several rules is the first to fit.

A rule is a set of items (see :mod:`pinfeather.heredity.notation`).  A machine holds each rule as one bit, or several
where a rule speaks of phase; its state is the whole number whose bits are the rules that may still fit.  Reading a
locus is one look-up and one bitwise "and", so rules over many loci cost no more than the loci that are read.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, TypeAlias

import attrs

from pinfeather.errors import TooLargeError
from pinfeather.heredity.notation import Item, slot_fits
from pinfeather.heredity.sexes import SEXES, Sex, copies

if TYPE_CHECKING:
    from pinfeather.heredity.loci import Locus

Pair: TypeAlias = "tuple[int | None, int | None]"
"""What stands at a locus on the homologue from the sire and on the one from the dam."""

_MOST_VARIANTS = 4096
_MOST_STATES = 200_000


@attrs.frozen
class Rule:
    """Items that must all fit, in birds of one sex or (None) of both."""

    items: tuple[Item, ...]
    sex: Sex | None = None


@attrs.frozen(eq=False)
class Machine:
    """See the module's description.  Bits stand in the order of the rules, so the lowest bit is the first rule."""

    rules: tuple[Rule, ...]
    loci: tuple[int, ...]
    start: Mapping[Sex, int]
    masks: Mapping[int, Mapping[Pair, int]]
    rule_of_bit: tuple[int, ...]
    bits_naming: Mapping[int, int]
    """For each locus, the bits of the rules that name it: a rule is settled when all its loci have been read."""

    @classmethod
    def of(cls, rules: Sequence[Rule], loci: Sequence[Locus]) -> Machine:
        """Make the machine for rules over the loci of a species."""
        variants: list[tuple[int, tuple[Item, ...]]] = []
        for number, rule in enumerate(rules):
            variants.extend((number, items) for items in _orientations(rule.items))
            if len(variants) > _MOST_VARIANTS:
                message = f"these rules speak of phase in more than {_MOST_VARIANTS} ways; split the trait"
                raise TooLargeError(message, size=len(variants), limit=_MOST_VARIANTS)
        named = tuple(sorted({locus for rule in rules for item in rule.items for locus in item.loci}))
        start = {
            sex: sum(1 << bit for bit, (number, _) in enumerate(variants) if rules[number].sex in (None, sex))
            for sex in SEXES
        }
        masks = {locus: _masks(locus, loci[locus], [items for _, items in variants]) for locus in named}
        speaks = {
            locus: sum(1 << bit for bit, (_, items) in enumerate(variants) if _names(items, locus)) for locus in named
        }
        return cls(tuple(rules), named, start, masks, tuple(number for number, _ in variants), speaks)

    def step(self, state: int, locus: int, pair: Pair) -> int:
        """The state after reading one locus."""
        return state & self.masks[locus][pair]

    def settled_after(self, order: Sequence[int]) -> dict[int, int]:
        """For loci read in this order: the bits that are settled once each has been read."""
        unread = set(self.loci)
        settled: dict[int, int] = {}
        for locus in order:
            unread.discard(locus)
            open_bits = 0
            for other in unread:
                open_bits |= self.bits_naming[other]
            settled[locus] = ~open_bits
        return settled

    def first_rule(self, state: int) -> int | None:
        """The first rule that fits, once all loci have been read."""
        if not state:
            return None
        return self.rule_of_bit[(state & -state).bit_length() - 1]

    def read(self, sex: Sex, pairs: Mapping[int, Pair]) -> int | None:
        """The first rule that fits a bird whose loci are all given."""
        state = self.start[sex]
        for locus in self.loci:
            state &= self.masks[locus][pairs[locus]]
        return self.first_rule(state)


def shortened(state: int, settled: int) -> int:
    """Drop the rules that can no longer be the first, since an earlier one already fits for certain."""
    sure = state & settled
    if not sure:
        return state
    lowest = sure & -sure
    return state & ((lowest << 1) - 1)


@attrs.frozen
class Survey:
    """What a machine does over every genotype: which rules are reached, and a genotype that none fits."""

    reached: frozenset[int]
    missed: tuple[Sex, Mapping[int, Pair]] | None


def survey(machine: Machine, loci: Sequence[Locus], sex_system: str) -> Survey:
    """Run a machine over every genotype of its loci, state by state, without listing the genotypes."""
    reached: set[int] = set()
    missed: tuple[Sex, Mapping[int, Pair]] | None = None
    for sex in SEXES:
        states: dict[int, dict[int, Pair]] = {machine.start[sex]: {}}
        settled = machine.settled_after(machine.loci)
        for place in machine.loci:
            states = _next_states(
                machine, states, place, settled[place], _distinct(machine, loci, place, sex, sex_system)
            )
        for state, example in states.items():
            rule = machine.first_rule(state)
            if rule is not None:
                reached.add(rule)
            elif missed is None:
                missed = (sex, example)
    return Survey(frozenset(reached), missed)


def _next_states(
    machine: Machine, states: Mapping[int, dict[int, Pair]], place: int, settled: int, pairs: Iterable[Pair]
) -> dict[int, dict[int, Pair]]:
    made: dict[int, dict[int, Pair]] = {}
    choices = list(pairs)
    for state, example in states.items():
        for pair in choices:
            after = shortened(machine.step(state, place, pair), settled)
            if after not in made:
                made[after] = {**example, place: pair}
    if len(made) > _MOST_STATES:
        message = f"the rules have over {_MOST_STATES} different ways to be half fulfilled; split the trait"
        raise TooLargeError(message, size=len(made), limit=_MOST_STATES)
    return made


def _distinct(machine: Machine, loci: Sequence[Locus], place: int, sex: Sex, sex_system: str) -> list[Pair]:
    """One pair of alleles for each way in which this locus can be read."""
    found: dict[int, Pair] = {}
    for pair in possible_pairs(loci[place], sex, sex_system):
        found.setdefault(machine.masks[place][pair], pair)
    return list(found.values())


def possible_pairs(locus: Locus, sex: Sex, sex_system: str) -> Iterator[Pair]:
    """Every pair of alleles a bird of this sex can have at a locus, each homologue told apart."""
    number = copies(locus.chromosome, sex, sex_system)
    alleles = range(len(locus.alleles))
    if number == 2:
        yield from itertools.product(alleles, repeat=2)
    elif number == 1:
        yield from ((allele, None) for allele in alleles)
    else:
        yield (None, None)


def _orientations(items: tuple[Item, ...]) -> Iterator[tuple[Item, ...]]:
    """The ways in which items that speak of phase can lie on the two homologues."""
    choices = [(item, item.turned()) if len(item.loci) > 1 and item.left != item.right else (item,) for item in items]
    return itertools.product(*choices)


def _names(items: tuple[Item, ...], locus: int) -> bool:
    return any(locus in item.loci for item in items)


def _masks(place: int, locus: Locus, variants: Sequence[tuple[Item, ...]]) -> dict[Pair, int]:
    """For each pair of alleles at one locus, the bits of the variants that it fits."""
    free = 0
    named: list[tuple[int, int | None, int | None, bool]] = []
    for bit, items in enumerate(variants):
        item = next((item for item in items if place in item.loci), None)
        if item is None:
            free |= 1 << bit
        else:
            at = item.loci.index(place)
            named.append((1 << bit, item.left[at], item.right[at], len(item.loci) == 1))
    alleles: list[int | None] = [*range(len(locus.alleles)), None]
    masks: dict[Pair, int] = {}
    for pair in itertools.product(alleles, alleles):
        mask = free
        for bit, left, right, either_way in named:
            if _fits(left, right, pair) or (either_way and _fits(right, left, pair)):
                mask |= bit
        masks[pair] = mask
    return masks


def _fits(left: int | None, right: int | None, pair: Pair) -> bool:
    return slot_fits(left, pair[0]) and slot_fits(right, pair[1])
