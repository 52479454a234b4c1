"""The search against an enumeration of every plan: no bounds, no order of seasons, no kinds left out, tests on.

The enumeration shares the model with the search (which kinds a mating gives, and the chance of a step, both checked in
``test_programme_genetics.py`` and ``test_programme_chances.py``), and none of its shortcuts: every kind may be made in
any season in time, by any mating or test mating that gives it, and each set of steps is shared out by a table over all
numbers of eggs.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator, Sequence
from fractions import Fraction

import pytest

from pinfeather import Distribution, Linkage, Locus, NoPlanError, Species, Viability
from pinfeather.plans import asking
from pinfeather.plans.asking import Question
from pinfeather.plans.breeding import Breeding
from pinfeather.plans.chances import Chance
from pinfeather.plans.planning import Planner
from pinfeather.plans.search import Deed
from pinfeather.plans.symmetry import mirror_of
from pinfeather.plans.trials import Trial
from tests.plans.questions import question

MOST_STEPS = 30_000
MOST_KINDS = 90


class TooManyError(Exception):
    """The problem is too large to enumerate."""


Way = tuple[int, int] | Trial
"""How a kind may be had: hatched of a sire and a dam, or by a test mating."""


class EveryPlan:
    """All plans of at most so many seasons."""

    def __init__(self, breeding: Breeding, seasons: int) -> None:
        self.breeding = breeding
        self.seasons = seasons
        self.ways: dict[int, list[Way]] = {}
        self.listed: set[tuple[int, Way]] = set()
        self.first = dict.fromkeys(breeding.stock, 0)
        self.count = 0
        for season in range(1, seasons + 1):
            for kind in self._ways_from(dict(self.first)):
                self.first.setdefault(kind, season)
            if len(self.first) > MOST_KINDS:
                raise TooManyError
        for number in breeding.target:
            kind = breeding.kinds[number]
            for other in [n for n in self.ways if n != number and breeding.kinds[n].serves_as(kind)]:
                tests = [way for way in self.ways[other] if isinstance(way, Trial) and way.proven == other]
                self.ways.setdefault(number, []).extend(tests)
                if tests:
                    self.first[number] = min(self.first.get(number, seasons + 1), self.first[other])

    def _ways_from(self, kinds: dict[int, int]) -> list[int]:
        breeding, found = self.breeding, []
        males = [n for n in kinds if breeding.kinds[n].sex == 0]
        females = [n for n in kinds if breeding.kinds[n].sex == 1]

        def add(kind: int, way: Way) -> None:
            if (kind, way) not in self.listed:
                self.listed.add((kind, way))
                self.ways.setdefault(kind, []).append(way)
            found.append(kind)

        for sire, dam in itertools.product(males, females):
            if breeding.can_mate(sire, dam):
                for kind in self._gives(sire, dam):
                    add(kind, (sire, dam))
        for kind, trial in self._by_test(kinds):
            add(kind, trial)
        return found

    def _by_test(self, kinds: dict[int, int]) -> Iterator[tuple[int, Trial]]:
        """Every kind that a test mating proves, or that is bred beside it, with the test."""
        breeding = self.breeding
        testers = [n for n in kinds if breeding.kinds[n].proven]
        for suspect in [n for n in kinds if n not in testers]:
            sex = breeding.kinds[suspect].sex
            for trial, _ in breeding.trials(suspect, testers):
                yield trial.proven, trial
                mates = [n for n in testers if breeding.kinds[n].sex != sex and len(trial.assays) == 1]
                for mated in map(trial.with_mate, mates):
                    assert mated.mate is not None
                    pair = self._pair(trial.proven, mated.mate)
                    for kind in self._gives(*pair):
                        if breeding.bred_on_trial(mated, ((kind, self._looks(*pair, kind)),)) is not None:
                            yield kind, mated

    def _gives(self, sire: int, dam: int) -> list[int]:
        breeding = self.breeding
        gives = [child.kind for child in breeding.children(sire, dam) if child.kind not in breeding.target]
        return gives + [n for n in breeding.target if breeding.looks_for(sire, dam, breeding.kinds[n]) is not None]

    def _pair(self, bird: int, mate: int) -> tuple[int, int]:
        return (bird, mate) if self.breeding.kinds[bird].sex == 0 else (mate, bird)

    def plans(self) -> Iterator[dict[int, tuple[int, Way]]]:
        """Every plan: kind -> (season, way)."""
        wanted = [n for n in self.breeding.target if self.breeding.covered(n) is None]
        yield from self._decided([(n, self.seasons) for n in wanted], {})

    def _decided(
        self, needs: list[tuple[int, int]], made: dict[int, tuple[int, Way]]
    ) -> Iterator[dict[int, tuple[int, Way]]]:
        self.count += 1
        if self.count > MOST_STEPS:
            raise TooManyError
        if not needs:
            yield dict(made)
            return
        (kind, deadline), rest = needs[0], needs[1:]
        if kind in made:
            if made[kind][0] <= deadline:
                yield from self._decided(rest, made)
            return
        for season in range(self.first.get(kind, self.seasons + 1), deadline + 1):
            for way in self.ways.get(kind, ()):
                every = way.parents if isinstance(way, Trial) else way
                parents = [parent for parent in every if parent not in self.breeding.stock]
                if all(self.first.get(parent, season) < season for parent in parents):
                    made[kind] = (season, way)
                    yield from self._decided([(parent, season - 1) for parent in parents] + rest, made)
                    del made[kind]

    def chances(self, plan: dict[int, tuple[int, Way]]) -> list[Chance] | None:
        """The steps of a plan: kinds hatched of the same pair in the same season come of one hatch.

        A bird proved in a test mating is there whatever is bred beside the test.
        """
        hatches: dict[tuple[int, int, int], list[int]] = {}
        trials: dict[tuple[int, Trial], list[int]] = {}
        for kind, (season, way) in plan.items():
            if isinstance(way, Trial):
                trials.setdefault((season, way), []).append(kind)
            else:
                hatches.setdefault((season, *way), []).append(kind)
        found: list[Chance | None] = []
        for (_, sire, dam), kinds in hatches.items():
            demands = tuple((kind, self._looks(sire, dam, kind)) for kind in sorted(kinds))
            found.append(self.breeding.hatch(sire, dam, demands))
        bred = {(season, trial.suspect, trial.assays) for season, trial in trials if trial.mate is not None}
        for (season, trial), kinds in trials.items():
            if trial.mate is not None:
                pair = self._pair(trial.proven, trial.mate)
                wanted = tuple((kind, self._looks(*pair, kind)) for kind in sorted(kinds))
                found.append(self.breeding.bred_on_trial(trial, wanted))
            elif (season, trial.suspect, trial.assays) not in bred:
                found.append(self.breeding.bred_on_trial(trial, ()))
        known = [chance for chance in found if chance is not None]
        return known if len(known) == len(found) else None

    def _looks(self, sire: int, dam: int, kind: int) -> tuple[int, ...]:
        if kind in self.breeding.target:
            looks = self.breeding.looks_for(sire, dam, self.breeding.kinds[kind])
            assert looks is not None
            return looks
        return next(child.looks for child in self.breeding.children(sire, dam) if child.kind == kind)


def fewest_eggs(chances: list[Chance], certainty: Fraction, most: int) -> int | None:
    """By a table over all numbers of eggs: the best chance for every total."""
    table = [0.0] + [-math.inf] * most
    for chance in chances:
        new = [-math.inf] * (most + 1)
        for eggs, log in enumerate(table):
            if log > -math.inf:
                for number in range(1, (most - eggs) // chance.unit + 1):
                    total = eggs + chance.unit * number
                    new[total] = max(new[total], log + chance.log(number))
        table = new
    return next((eggs for eggs, log in enumerate(table) if log >= math.log(certainty) - 1e-12), None)


def by_enumeration(question: Question, seasons: int, most: int) -> int | None:
    every = EveryPlan(asking.breeding_for(question), seasons)
    known: set[tuple[int, ...]] = set()
    best: int | None = None
    for plan in every.plans():
        chances = every.chances(plan)
        key = tuple(sorted(map(id, chances or ())))
        if chances is not None and key not in known:
            known.add(key)
            # Only fewer eggs than the fewest so far are of interest.
            eggs = fewest_eggs(chances, question.certainty, most if best is None else best - 1)
            best = best if eggs is None else eggs
    return best


def by_search(question: Question, seasons: int) -> tuple[int | None, bool]:
    breeding = asking.breeding_for(question)
    planner = Planner(breeding, question.certainty, 60, lambda *_: None)
    planner.mirror = mirror_of(breeding)
    found = None
    for number in range(1, seasons + 1):
        found = planner.solve(number)
    assert found is not None
    return (None, True) if found.split is None else (found.split.eggs, found.optimal)


LOCI = [
    Locus("A", "gene A", ("A", "a+")),
    Locus("b", "gene b", ("B+", "b")),
    Locus("C", "gene C", ("C", "c+"), dominance="incomplete"),
    Locus("z", "gene z", ("Z+", "z"), chromosome="Z"),
    Locus("L", "lethal L", ("L", "l+")),
    Locus("E", "egg E", ("E", "e+"), seen_at="laying"),
]
TOY = Species(
    "toy fowl", loci=LOCI, linkage=[Linkage(("A", "E"), "0.1")], viability=[Viability("L/L", 0, "embryo", "dies")]
)

FIXED = [
    # (stock, target, seasons, sex, certainty)
    (["b/b", "A/A"], "A/A b/b", 3, "female", "60%"),
    (["A/a+"], "A/A", 2, "female", "60%"),
    (["A/a+", "+"], "A/A", 2, "female", "60%"),
    (["B+/b"], "b/b", 2, None, "60%"),
    (["b/b", "L/l+"], "b/b L/l+", 2, None, "70%"),
    (["C/C", "b/b"], "C/c+ b/b", 3, "female", "60%"),
    (["z/z", "b/b"], "z/z b/b", 3, "female", "70%"),
    (["z/-", "+"], "z/z", 3, "male", "70%"),
    (["E/E", "+"], "E/e+", 2, "male", "60%"),
    (["A E/A E", "+"], "a+ E/a+ e+", 3, "female", "60%"),
    (["E/e+", "+"], "E/E", 2, "male", "50%"),
    (["E/e+", "+"], "E/E", 3, "female", "50%"),
]


@pytest.mark.parametrize("case", FIXED, ids=lambda case: f"{' , '.join(case[0])} -> {case[1]} in {case[2]}")
def test_the_search_finds_what_the_enumeration_finds(case: tuple[list[str], str, int, str | None, str]) -> None:
    lines, target, seasons, sex, certainty = case
    asked = question(
        TOY, {f"line {n}": TOY.genotype(text) for n, text in enumerate(lines)}, target, certainty=certainty, sex=sex
    )
    if all(asking.breeding_for(asked).covered(n) is not None for n in asking.breeding_for(asked).target):
        pytest.fail("the target is in hand: nothing is tested")
    eggs, proven = by_search(asked, seasons)
    expected = by_enumeration(asked, seasons, 250)
    assert eggs == expected
    assert expected is None or proven


PAIR = Species(
    "toy fowl of unlinked loci",
    loci=[
        Locus("A", "gene A", ("A", "a+")),
        Locus("D", "gene D", ("D", "d+")),
        Locus("b", "gene b", ("B+", "b")),
        Locus("c", "gene c", ("C+", "c")),
    ],
)


def independent(first: dict[str, Fraction], second: dict[str, Fraction]) -> Distribution[object]:
    """A line in which two loci vary independently of each other."""
    return Distribution.of(
        {
            PAIR.genotype(f"{one} {other}"): share * part
            for one, share in first.items()
            for other, part in second.items()
        }
    )


HALF, THIRD = Fraction(1, 2), Fraction(1, 3)
CARRIERS = {"B+/b": HALF, "B+/B+": HALF}
UNPROVED: dict[str, tuple[dict[str, object], str, int, str | None, int, str]] = {
    # what the best plan does: (stock, target, seasons, sex, look-alikes, certainty)
    "pairs": ({"flock": independent(CARRIERS, {"C+/C+": Fraction(1)})}, "b/b", 1, "female", 5, "60%"),
    "two doubts": (
        {
            "flock": independent({"A/A": 1 - THIRD, "A/a+": THIRD}, {"D/D": 1 - THIRD, "D/d+": THIRD}),
            "tester": PAIR.genotype("+"),
        },
        "A/A D/D",
        1,
        "female",
        3,
        "60%",
    ),
    "two testers": (
        {
            "flock": independent({"A/A": 1 - THIRD, "A/a+": THIRD}, {"D/D": 1 - THIRD, "D/d+": THIRD}),
            "one": PAIR.genotype("A/A"),
            "other": PAIR.genotype("D/D"),
        },
        "A/A D/D",
        1,
        "female",
        3,
        "60%",
    ),
}


def done_in(deeds: Sequence[Deed], breeding: Breeding) -> set[str]:
    """What a plan does with look-alikes."""
    found = set()
    for deed in deeds:
        unproved = [kind for n in deed.parents if not (kind := breeding.kinds[n]).proven]
        if deed.trial is None:
            found |= {"pairs"} if len(unproved) > 1 else set()
        else:
            found |= {"two testers"} if len(deed.trial.assays) > 1 else set()
            found |= {"bred beside"} if deed.trial.mate is not None else set()
        found |= {"two doubts"} if any(len(kind.doubts) > 1 for kind in unproved) else set()
    return found


@pytest.mark.parametrize("what", UNPROVED)
def test_what_is_done_with_look_alikes_is_what_the_enumeration_does(what: str) -> None:
    stock, target, seasons, sex, look_alikes, certainty = UNPROVED[what]
    asked = question(PAIR, stock, target, certainty=certainty, sex=sex, look_alikes=look_alikes)
    breeding = asking.breeding_for(asked)
    planner = Planner(breeding, asked.certainty, 60, lambda *_: None)
    found = planner.solve(seasons)
    assert found.deeds is not None
    assert found.optimal
    assert what in done_in(found.deeds, breeding)
    assert found.eggs == by_enumeration(asked, seasons, 400)


def random_question(seed: int) -> Question:
    """A small problem that has something to do: one or two loci, two or three lines, some of them mixed, tests on."""
    draw = random.Random(seed)
    while True:
        try:
            asked = drawn_question(draw)
            breeding = asking.breeding_for(asked)
        except NoPlanError:
            continue
        if any(breeding.covered(number) is None for number in breeding.target):
            return asked


def drawn_question(draw: random.Random) -> Question:
    symbols = draw.sample(["A", "b", "C", "z", "L", "E"], draw.choice([1, 2]))
    choices = {
        "A": ["A/A", "A/a+", "a+/a+"],
        "b": ["b/b", "B+/b", "B+/B+"],
        "C": ["C/C", "C/c+", "c+/c+"],
        "z": ["z/z", "Z+/Z+"],
        "L": ["L/l+", "l+/l+"],
        "E": ["E/E", "E/e+", "e+/e+"],
    }
    wanted = {
        "A": ["A/A", "A/_", "a+/a+"],
        "b": ["b/b", "B+/B+", "B+/b"],
        "C": ["C/C", "C/c+"],
        "z": ["z/z", "Z+/Z+"],
        "L": ["L/l+"],
        "E": ["E/E", "E/_"],
    }
    linked = {"A", "E"} <= set(symbols)
    stock: dict[str, object] = {}
    for number in range(draw.choice([2, 2, 3])):
        parts = [draw.choice(choices[symbol]) for symbol in symbols]
        if linked:
            parts = [draw.choice(["A E/A E", "a+ e+/a+ e+", "A e+/A e+", "A E/a+ e+"])]
        stock[f"line {number}"] = TOY.genotype(" ".join(parts))
    target = " ".join(draw.choice(wanted[symbol]) for symbol in symbols)
    return question(
        TOY, stock, target, certainty=draw.choice(["50%", "60%", "70%"]), sex=draw.choice(["male", "female", None])
    )


def compared(seed: int, seasons: int) -> str:
    """What comes of one random problem: "agrees", or "too many" plans to enumerate."""
    asked = random_question(seed)
    try:
        expected = by_enumeration(asked, seasons, 220)
    except TooManyError:
        return "too many"
    eggs, proven = by_search(asked, seasons)
    if expected is None and eggs is not None:
        assert eggs > 220, seed
    else:
        assert eggs == expected, seed
        assert expected is None or proven, seed
    return "agrees"


@pytest.mark.parametrize("seasons", [2, 3])
def test_the_search_agrees_with_the_enumeration_on_random_problems(seasons: int) -> None:
    results = [compared(seed, seasons) for seed in range(40)]
    assert results.count("agrees") >= 20


@pytest.mark.parametrize(("seed", "seasons"), [(36, 3), (109, 3), (60, 2)])
def test_chicks_are_kept_of_birds_on_test_where_time_is_short(seed: int, seasons: int) -> None:
    asked = random_question(seed)
    breeding = asking.breeding_for(asked)
    planner = Planner(breeding, asked.certainty, 60, lambda *_: None)
    found = planner.solve(seasons)
    assert found.deeds is not None
    assert "bred beside" in done_in(found.deeds, breeding)
    assert found.optimal
    assert found.eggs == by_enumeration(asked, seasons, 220)
