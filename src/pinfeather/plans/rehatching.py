"""Hatching a kind more than once: for birds that would be too old, or so that a crowded season has less to hatch.

A step that serves several others may be done several times, each time for some of them only, and with no more kept of
it than those need.  The copies have eggs and chances of their own, so that more copies never take fewer eggs.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import TypeAlias

import attrs

from pinfeather.plans.breeding import Breeding
from pinfeather.plans.kinds import Demand
from pinfeather.plans.search import Deed
from pinfeather.plans.timetables import Ties, answer, supplier, was_on_test

_END = -1
"""Stands for the end of the programme among those that need a bird."""

_MOST_NEEDS = 8


@attrs.frozen
class Copy:
    """One doing of a step: which step, and for each bird that it needs (the copy that gives it, the kind needed)."""

    step: int
    needs: tuple[tuple[int, int], ...]


Variant: TypeAlias = "tuple[Copy, ...]"
"""A structure with some steps done several times; what is kept to the end comes of the first copy that can give it."""


class Rehatching:
    """The ways to do some steps of a structure several times."""

    def __init__(self, breeding: Breeding, deeds: Sequence[Deed]) -> None:
        self.breeding = breeding
        self.deeds = deeds
        needs: list[tuple[tuple[int, int], ...]] = []
        for at, deed in enumerate(deeds):
            givers = {parent: supplier(breeding, deeds, at, parent) for parent in deed.parents}
            needs.append(tuple((giver, parent) for parent, giver in givers.items() if giver is not None))
        self.once: Variant = tuple(Copy(at, own) for at, own in enumerate(needs))
        used = [self._given(at, [(at, kind) for own in needs for giver, kind in own if giver == at]) for at in self.all]
        self.kept = [tuple(number for number, _ in deeds[at].demands if number not in used[at]) for at in self.all]
        """Of each step, what no other step needs: it is kept to the end."""
        for number in breeding.target:
            giver = next((at for at in self.all if any(kind == number for kind, _ in deeds[at].demands)), None)
            if giver is not None and number not in self.kept[giver]:
                self.kept[giver] = (*self.kept[giver], number)

    @property
    def all(self) -> range:
        """The steps."""
        return range(len(self.deeds))

    def _given(self, at: int, needs: Sequence[tuple[int, int]]) -> set[int]:
        """Of the kinds that a step keeps, those by which some needs are met."""
        return {self._answer(self.deeds[at], kind)[0] for _, kind in needs}

    def _answer(self, deed: Deed, kind: int) -> Demand:
        """What is kept of a step for a kind that it gives."""
        found = answer(self.breeding, deed, kind)
        assert found is not None  # the step was chosen for that
        return found

    # -- what a variant comes to ---------------------------------------------------------------------------------------

    def users(self, variant: Variant, at: int) -> list[int]:
        """The copies that need a bird of one, and the end."""
        found = [n for n, copy in enumerate(variant) if any(giver == at for giver, _ in copy.needs)]
        return [*found, _END] if self._to_the_end(variant, at) else found

    def _to_the_end(self, variant: Variant, at: int) -> tuple[int, ...]:
        step = variant[at].step
        first = next(n for n, copy in enumerate(variant) if copy.step == step)
        return self.kept[step] if at == first else ()

    def done(self, variant: Variant) -> tuple[Deed, ...] | None:
        """The steps of a variant, each copy with what is kept of it; None if a copy cannot be."""
        made = []
        for at, copy in enumerate(variant):
            deed = self.deeds[copy.step]
            if sum(other.step == copy.step for other in variant) > 1:
                demands = self._demands(variant, at)
                if deed.trial is None:
                    chance = self.breeding.hatch(deed.sire, deed.dam, demands)
                else:
                    chance = self.breeding.bred_on_trial(deed.trial, demands)
                if chance is None:
                    return None
                deed = attrs.evolve(deed, demands=demands, chance=chance)
            made.append(deed)
        return tuple(made)

    def _demands(self, variant: Variant, at: int) -> tuple[Demand, ...]:
        """What is kept of a copy: for each need no more than that."""
        deed = self.deeds[variant[at].step]
        needed = {kind for copy in variant for giver, kind in copy.needs if giver == at}
        needed |= set(self._to_the_end(variant, at))
        made: list[Demand] = []
        for kind in sorted(needed):
            own = self._answer(deed, kind)
            if own[0] != kind and deed.trial is None:
                children = self.breeding.children(deed.sire, deed.dam)
                own = next(((kind, child.looks) for child in children if child.kind == kind), own)
            if own not in made:
                made.append(own)
        # What something better is kept for anyway need not be kept beside it.
        kinds, before = self.breeding.kinds, {number for number, _ in deed.demands}
        return tuple(
            (number, looks)
            for number, looks in made
            if number in before or not any(n != number and kinds[n].serves_as(kinds[number]) for n, _ in made)
        )

    def ties(self, variant: Variant) -> Ties:
        """What each copy has to wait for, and whose chicks must be young."""
        waits = tuple(tuple(dict.fromkeys(giver for giver, _ in copy.needs)) for copy in variant)
        hatches = ([self._hatch(variant, giver, kind) for giver, kind in copy.needs] for copy in variant)
        return Ties(waits, tuple(tuple(sorted({at for at in own if at is not None})) for own in hatches))

    def _hatch(self, variant: Variant, at: int, kind: int) -> int | None:
        """The hatch that a bird given by a copy comes of; None if it is of the stock."""
        deed = self.deeds[variant[at].step]
        if deed.trial is None or not was_on_test(deed, self._answer(deed, kind)):
            return at
        suspect = deed.trial.suspect
        giver = next((giver for giver, need in variant[at].needs if need == suspect), None)
        return None if giver is None else self._hatch(variant, giver, suspect)

    def key(self, variant: Variant) -> object:
        """What tells variants apart: for each copy, along which ways it serves the end."""
        known: dict[int, frozenset[tuple[int, ...]]] = {_END: frozenset({()})}

        def ways(at: int) -> frozenset[tuple[int, ...]]:
            if at not in known:
                known[at] = frozenset(
                    (variant[user].step if user != _END else _END, *way)
                    for user in self.users(variant, at)
                    for way in ways(user)
                )
            return known[at]

        return frozenset((copy.step, ways(at)) for at, copy in enumerate(variant))

    # -- doing a step once more ----------------------------------------------------------------------------------------

    def finer(self, variant: Variant, *, by_kind: bool) -> Iterator[Variant]:
        """Every variant in which one step is done once more, for some of those that it serves.

        Where birds do not grow old, a kind that is there stays there, and only different kinds need be hatched apart.
        """
        for at in range(len(variant)):
            bunches = self._bunches(variant, at, by_kind=by_kind)
            if not 1 < len(bunches) <= _MOST_NEEDS:
                continue
            # The first bunch stays, so that no partition comes twice; so does what is kept to the end.
            for size in range(1, len(bunches)):
                for moved in itertools.combinations(bunches[1:], size):
                    yield self._split(variant, at, [user for bunch in moved for user in bunch])

    def _bunches(self, variant: Variant, at: int, *, by_kind: bool) -> list[list[int]]:
        """Those that a copy serves, in bunches that stay together; the end is in the first one."""
        users = sorted(self.users(variant, at))
        if not by_kind:
            return [[user] for user in users]
        deed = self.deeds[variant[at].step]
        bunches: list[tuple[set[int], list[int]]] = []
        for user in users:
            if user == _END:
                kinds = set(self._to_the_end(variant, at))
            else:
                kinds = {self._answer(deed, kind)[0] for giver, kind in variant[user].needs if giver == at}
            touching = [bunch for bunch in bunches if bunch[0] & kinds]
            bunches = [bunch for bunch in bunches if not bunch[0] & kinds]
            whole = kinds.union(*(own for own, _ in touching))
            bunches.append((whole, [*(one for _, members in touching for one in members), user]))
        return sorted((sorted(members) for _, members in bunches))

    def _split(self, variant: Variant, at: int, users: Sequence[int]) -> Variant:
        """A copy done once more, for some of those that it serves."""
        copies = list(variant)
        copies.append(copies[at])
        new = len(variant)
        for user in users:
            needs = tuple((new if giver == at else giver, kind) for giver, kind in copies[user].needs)
            copies[user] = attrs.evolve(copies[user], needs=needs)
        made = tuple(copies)
        # The same look-alikes cannot be tested, or bred from unproved, twice as if they were others.
        for giver, kind in variant[at].needs:
            if not self.breeding.kinds[kind].proven:
                made = self._split(made, giver, [new])
        return made

    def by_season(self, working_life: int) -> Variant | None:
        """A variant in which no bird grows too old: everything is hatched again as soon as it has to be.

        Going back from the end, each step is done in the season before its birds are needed first, and once more for
        those that need them after their working life.  None if a bird on test would be too old in any case.
        """
        after: dict[int, list[tuple[int, int]]] = {at: [] for at in self.all}
        """For each step: (season, copy that needs it then)."""
        copies: list[Copy] = []
        last = max(deed.season for deed in self.deeds)
        for at in sorted(self.all, key=lambda n: -self.deeds[n].season):
            aged = self._aged(at)
            if aged >= working_life and after[at]:
                return None
            for first, members in self._grouped(at, after[at], copies, last, working_life - aged):
                new = len(copies)
                copies.append(Copy(at, tuple((_END, kind) for _, kind in self.once[at].needs)))
                for user in members:
                    needs = tuple(
                        (new, kind) if origin == at and giver == _END else (giver, kind)
                        for (origin, kind), (giver, _) in zip(
                            self.once[copies[user].step].needs, copies[user].needs, strict=True
                        )
                    )
                    copies[user] = attrs.evolve(copies[user], needs=needs)
                for origin in {giver for giver, _ in self.once[at].needs}:
                    after[origin].append((first - 1, new))
        return tuple(copies)

    def _aged(self, at: int) -> int:
        """How many seasons a bird is older than the step that gives it: those that it was on test."""
        seasons, trial = 0, self.deeds[at].trial
        while trial is not None and any(was_on_test(self.deeds[at], demand) for demand in self.deeds[at].demands):
            suspect = trial.suspect
            giver = next((giver for giver, kind in self.once[at].needs if kind == suspect), None)
            if giver is None:
                return 0
            at, seasons, trial = giver, seasons + 1, self.deeds[giver].trial
        return seasons

    def _grouped(
        self,
        at: int,
        needed: Sequence[tuple[int, int]],
        copies: Sequence[Copy],
        last: int,
        life: int,
    ) -> Iterator[tuple[int, list[int]]]:
        """(the first season in which a copy is needed, those that it serves), the last ones first."""
        if not needed:
            yield last + 1, []
            return
        # Birds that go on test should have all their life before them; nor are the same ones tested twice, or bred from
        # unproved twice, as if they were others.
        if any(self.deeds[copies[user].step].test for _, user in needed):
            life = 1
        unproven = any(
            not self.breeding.kinds[kind].proven for own in self.once for giver, kind in own.needs if giver == at
        )
        group: list[int] = []
        first: int | None = None
        for season, user in sorted(needed):
            again = unproven and any(copies[other].step == copies[user].step for other in group)
            if first is not None and (season - first >= life or again):
                yield first, group
                group, first = [], None
            first = season if first is None else first
            group.append(user)
        assert first is not None  # something is needed
        yield first, group
