"""simulate: hatch a programme many times with random draws, as a check of its chance that shares none of its sums."""

from __future__ import annotations

import random
from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

import attrs

from pinfeather import _checks
from pinfeather._results import Record, ShownRow
from pinfeather.exact.numbers import as_percent, exact
from pinfeather.plans.assembling import Action, Draft
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.kinds import Demand, Kind, couple
from pinfeather.plans.seasons import Programme
from pinfeather.plans.trials import Assay, Trial, telling_looks

if TYPE_CHECKING:
    from sympy import Expr

Bird: TypeAlias = tuple[int, ...]
"""Where a bird's genotype stands in each block."""

Chick: TypeAlias = "tuple[int, Bird, tuple[int, ...]]"
"""Sex, genotype and looks."""


@attrs.frozen
class Simulation(ShownRow):
    """What came of hatching a programme many times; made by :func:`simulate`.

    Attributes
    ----------
    runs, successes : int
        How often the programme was gone through, and how often it ended with the birds wanted.
    chance : sympy.Rational
        The programme's own figure, which is exact; the share of successes is a random draw.

    Examples
    --------
    >>> from pinfeather import Locus, Species
    >>> from pinfeather.plans import plan_programme, simulate
    >>> toy = Species("toy fowl", loci=[Locus("a", "gene a", ("A+", "a"))])
    >>> programme = plan_programme({"carriers": toy.genotype("A+/a")}, "a/a").best
    >>> simulate(programme, 200, seed=1).successes
    188
    """

    runs: int
    successes: int
    chance: Expr

    @property
    def share(self) -> Expr:
        """The share of successes."""
        return exact(Fraction(self.successes, self.runs))

    def _record(self) -> Record:
        return {"runs": self.runs, "successes": self.successes, "share": self.share, "chance": self.chance}

    def __str__(self) -> str:
        return (
            f"{self.successes} of {self.runs} simulated programmes succeeded ({as_percent(self.share)}); "
            f"the exact chance is {as_percent(self.chance)}"
        )


def simulate(programme: Programme, runs: int = 1000, seed: int | None = None) -> Simulation:
    """Go through a programme many times with random draws.

    Parameters
    ----------
    programme : Programme
    runs : int
        How many times, at least 1.
    seed : int, optional
        The same seed gives the same draws.

    Returns
    -------
    Simulation

    Notes
    -----
    Every egg is drawn by itself: the gametes of its parents' true genotypes, losses, sex and look; birds are kept by
    what shows, tested by what their chicks show, and in the end their true genotypes are looked at.  The programme's
    chance holds whatever the parents are within what is known of them, so that the share of successes may lie above it
    by more than luck where better birds than needed turn up.

    Raises
    ------
    ArgumentError
        If ``programme`` is no programme, or ``runs`` no whole number of at least 1.

    Examples
    --------
    >>> from pinfeather import load_fowl, plan_programme, simulate
    >>> fowl = load_fowl()
    >>> stock = {"lavender": fowl.genotype("lav/lav"), "crested": fowl.genotype("Cr/Cr")}
    >>> plan = plan_programme(stock, "lav/lav Cr/_").quickest
    >>> tried = simulate(plan, runs=200, seed=1)
    >>> tried.successes, tried.share
    (194, 97/100)
    """
    _checks.instance(programme, "programme", Programme)
    runs = _checks.whole_number(runs, "runs", 1)
    play = _Play(programme, random.Random(seed))
    return Simulation(runs, sum(play.succeeds() for _ in range(runs)), programme.chance)


class _Play:
    """One programme, gone through again and again."""

    def __init__(self, programme: Programme, draw: random.Random) -> None:
        self.question = programme._question
        self.draft: Draft = programme._draft
        self.breeding: Breeding = self.draft.breeding
        self.draw = draw
        self.birds: dict[str, list[Bird]] = {}
        self._drawers: dict[tuple[int, int, int, int], tuple[list[int | None], list[float]]] = {}

    def succeeds(self) -> bool:
        """Whether one run ends with the birds wanted."""
        self.birds = {}
        if not all(self._done(action) for action in self.draft.actions):
            return False
        return all(
            self.breeding.covered(number) is not None or self._is_there(self.breeding.kinds[number])
            for number in self.breeding.target
        )

    def _is_there(self, wanted: Kind) -> bool:
        for action in self.draft.actions:
            for name, (number, _) in action.keeps:
                if self.breeding.kinds[number].serves_as(wanted) and self._fits(self.birds[name][0], wanted):
                    return True
        return False

    def _fits(self, bird: Bird, wanted: Kind) -> bool:
        return all(known >> at & 1 for known, at in zip(wanted.known, bird, strict=True))

    def _done(self, action: Action) -> bool:
        """Do one step, keep what is to be kept, and say whether all of it came."""
        deed = action.deed
        parents = [self._parents(number, kept.name) for number, kept in zip(deed.parents, action.parents, strict=True)]
        if deed.trial is not None:
            return self._tested(action, deed.trial, parents[0], parents[1:])
        sires, dams = parents
        pairs = [(sire, dam) for sire in sires for dam in dams]
        if len(sires) > 1 and len(dams) > 1:
            pairs = list(zip(sires, dams, strict=True))
        chicks = [chick for sire, dam in pairs for chick in self._hatch(sire, dam, action.units)]
        kept = self._kept(action.keeps, deed.sire, deed.dam, chicks)
        self.birds.update(kept or {})
        return kept is not None

    def _kept(
        self, keeps: Sequence[tuple[str, Demand]], sire: int, dam: int, chicks: Sequence[Chick]
    ) -> dict[str, list[Bird]] | None:
        """What is kept of some chicks, by name; None where too few of something came."""
        found = {}
        for name, (number, looks) in keeps:
            kind = self.breeding.kinds[number]
            allowed = self._allowed(sire, dam, kind, looks)
            fitting = [bird for sex, bird, seen in chicks if sex == kind.sex and _shows(seen, allowed)]
            if len(fitting) < kind.birds:
                return None
            found[name] = fitting[: kind.birds]
        return found

    def _allowed(self, sire: int, dam: int, kind: Kind, looks: Sequence[int]) -> list[int]:
        """The looks to keep; among look-alikes also those that show openly what is wanted."""
        allowed = list(looks)
        for doubt in kind.doubts:
            family = self.breeding.families(sire, dam, kind.sex)[doubt.block]
            allowed[doubt.block] |= family.looks_within(doubt.wanted)
        return allowed

    def _tested(self, action: Action, trial: Trial, suspects: list[Bird], mates: list[list[Bird]]) -> bool:
        """Put the suspects to their mates, one after the other, until one passes."""
        kind = self.breeding.kinds[trial.suspect]
        chicks_wanted = [keep for keep in action.keeps if keep[1][1]]
        for suspect in suspects:
            hatches = [
                self._hatch(*couple(kind.sex, suspect, mate), eggs)
                for (mate,), eggs in zip(mates, action.eggs_by_mate, strict=True)
            ]
            if not all(self._passes(kind, assay, hatches[at]) for at, assay in enumerate(trial.assays)):
                continue
            kept: dict[str, list[Bird]] | None = {}
            if trial.mate is not None:
                pair = couple(kind.sex, trial.proven, trial.mate)
                kept = self._kept(chicks_wanted, *pair, hatches[trial.mates.index(trial.mate)])
            if kept is not None:
                self.birds.update(kept)
                self.birds.update({name: [suspect] for name, (_, looks) in action.keeps if not looks})
                return True
        return False

    def _passes(self, kind: Kind, assay: Assay, chicks: Sequence[Chick]) -> bool:
        """Whether a bird's chicks tell for it wherever they must, and nowhere against it."""
        tester = self.breeding.kinds[assay.tester]

        def told(block: int, *, proves: bool) -> bool:
            looks = telling_looks(self.breeding, kind, tester, block, proves=proves)
            return any(seen[block] in looks[sex] for sex, _, seen in chicks)

        return all(told(block, proves=True) for block in assay.proves) and not any(
            told(block, proves=False) for block in assay.clears
        )

    def _parents(self, number: int, name: str) -> list[Bird]:
        if number not in self.breeding.stock:
            return self.birds[name]
        kind = self.breeding.kinds[number]
        placed = []
        for bird, chance in self.question.stock[name]:
            at = self.breeding.setting.locate(bird, kind.sex)
            if at is not None and self._fits(at, kind):
                placed.append((at, float(chance)))
        single = self.question.stock[name][0][0].sex is not None
        if single and name in self.birds:
            return self.birds[name]
        chosen = self.draw.choices([at for at, _ in placed], [chance for _, chance in placed], k=kind.birds)
        if single:
            self.birds[name] = chosen
        return chosen

    def _hatch(self, sire: Bird, dam: Bird, eggs: int) -> list[Chick]:
        """The chicks of one pair that live."""
        alive = float(self.breeding.eggs_alive)
        sexes = [self.draw.random() < 0.5 for _ in range(eggs) if self.draw.random() < alive]
        made: list[Chick] = []
        for sex in (0, 1):
            number = sum(1 for female in sexes if female == bool(sex))
            parts = [
                self._draw_block(block, sire[block], dam[block], sex, number)
                for block in range(len(self.breeding.setting.blocks))
            ]
            for chick in zip(*parts, strict=True):
                living = tuple(at for at in chick if at is not None)
                if len(living) == len(chick):
                    made.append((sex, living, self._seen(living, sex)))
        self.draw.shuffle(made)
        return made

    def _draw_block(self, block: int, sire: int, dam: int, sex: int, number: int) -> list[int | None]:
        key = (block, sire, dam, sex)
        if key not in self._drawers:
            chicks = self.breeding.nursery.chicks(*key)
            chances = [float(chance) for chance in chicks.values()]
            self._drawers[key] = ([*chicks, None], [*chances, max(0.0, 1 - sum(chances))])
        outcomes, weights = self._drawers[key]
        return self.draw.choices(outcomes, weights, k=number)

    def _seen(self, bird: Bird, sex: int) -> tuple[int, ...]:
        seen = []
        for block, at in zip(self.breeding.setting.blocks, bird, strict=True):
            shown = block.shown[sex][at]
            if len(shown) == 1:
                seen.append(shown[0][0])
            else:
                seen.append(self.draw.choices([look for look, _ in shown], [float(chance) for _, chance in shown])[0])
        return tuple(seen)


def _shows(seen: Sequence[int], allowed: Sequence[int]) -> bool:
    return all(mask >> look & 1 for mask, look in zip(allowed, seen, strict=True))
