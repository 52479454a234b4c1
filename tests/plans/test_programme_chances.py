"""The chances of single steps, and the sharing of the risk, against formulas, enumeration and tables."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from pinfeather.plans.chances import Chance, HatchChance
from pinfeather.plans.splitting import certain_enough, split
from pinfeather.plans.unproved import PenChance, TrialChance

HALF = Fraction(1, 2)


def hatch(*parts: Fraction, counts: tuple[int, ...] | None = None) -> HatchChance:
    """A hatch with one demand for each part."""
    atoms = tuple((1 << at, part) for at, part in enumerate(parts))
    return HatchChance((atoms,), counts or (1,) * len(parts))


def proving(birds: int, share: Fraction, tells: Fraction) -> TrialChance:
    """A test in which a chick tells for a bird that is right."""
    return TrialChance(birds, share, (hatch(tells),), ())


def clearing(birds: int, share: Fraction, tells: Fraction) -> TrialChance:
    """A test in which a chick tells against a bird that is wrong."""
    return TrialChance(birds, share, (None,), ((1 - share, (tells,)),))


# Figures recomputed by formula and by a million random draws for an earlier program of another make.
def test_a_clearing_test_of_seven_look_alikes() -> None:
    chance = clearing(7, HALF, Fraction(1, 4))
    assert round(float(chance.exact(18)), 5) == 0.98693


def test_a_clearing_test_of_ten_look_alikes_of_which_a_third_are_right() -> None:
    chance = clearing(10, Fraction(1, 3), HALF)
    assert round(float(chance.exact(9)), 5) == 0.97917


def test_a_pen_of_twelve_unproved_hens() -> None:
    atoms = ((1, Fraction(1, 8)), (2, Fraction(1, 8)))
    assert round(float(PenChance(12, HALF, atoms, 2).exact(10)), 5) == 0.99242


def test_the_risk_of_two_steps_for_both_sexes() -> None:
    first, second = hatch(HALF, HALF), hatch(Fraction(1, 32), Fraction(1, 32))
    shared = split([first, second], Fraction(19, 20))
    assert shared is not None
    assert shared.numbers == (10, 118)


def test_one_unproved_hen_is_right_half_the_time_however_many_eggs() -> None:
    """One backcross hen (a carrier with 1/2) on a recessive cock, 11 chicks: .4998 and not 1 - (3/4)^11 = .958."""
    chance = PenChance(1, HALF, ((1, HALF),), 1)
    assert round(float(chance.exact(11)), 4) == 0.4998
    assert chance.least(HALF) is None
    assert chance.least(Fraction(4998, 10000)) == 12


def test_a_proving_test_by_enumeration() -> None:
    """Every way in which three birds may be right, and two chicks of each may tell."""
    share, tells = Fraction(2, 3), Fraction(1, 4)
    total = Fraction(0)
    for right in itertools.product((True, False), repeat=3):
        for told in itertools.product((True, False), repeat=6):
            weight = Fraction(1)
            for bird, is_right in enumerate(right):
                weight *= share if is_right else 1 - share
                for chick in told[2 * bird : 2 * bird + 2]:
                    chance = tells if is_right else Fraction(0)
                    weight *= chance if chick else 1 - chance
            total += weight if any(told) else 0
    assert proving(3, share, tells).exact(2) == total


def test_a_clearing_test_by_enumeration() -> None:
    """The first bird without a telling chick must be right."""
    share, tells = Fraction(1, 3), Fraction(1, 4)
    total = Fraction(0)
    for right in itertools.product((True, False), repeat=3):
        for told in itertools.product((True, False), repeat=6):
            weight = Fraction(1)
            for bird, is_right in enumerate(right):
                weight *= share if is_right else 1 - share
                for chick in told[2 * bird : 2 * bird + 2]:
                    chance = Fraction(0) if is_right else tells
                    weight *= chance if chick else 1 - chance
            cleared = [bird for bird in range(3) if not any(told[2 * bird : 2 * bird + 2])]
            total += weight if cleared and right[cleared[0]] else 0
    assert clearing(3, share, tells).exact(2) == total


def test_a_test_with_a_mate_beside_it_by_enumeration() -> None:
    """Two hens: an egg of each with the tester, two with the mate; the first that passes must be right.

    A chick tells against a wrong hen; a right hen must give the chick wanted, a wrong one is taken to have given it.
    """
    share, tells, wanted = Fraction(1, 3), Fraction(1, 4), Fraction(1, 5)
    total = Fraction(0)
    for right in itertools.product((True, False), repeat=2):
        for eggs in itertools.product((True, False), repeat=6):
            weight = Fraction(1)
            passes = []
            for hen, is_right in enumerate(right):
                weight *= share if is_right else 1 - share
                told, *came = eggs[3 * hen : 3 * hen + 3]
                against = Fraction(0) if is_right else tells
                weight *= against if told else 1 - against
                for chick in came:
                    weight *= wanted if chick else 1 - wanted
                passes.append(not told and (not is_right or any(came)))
            total += weight if any(passes) and right[passes.index(True)] else 0
    chance = TrialChance(2, share, (None, hatch(wanted)), ((1 - share, (tells, Fraction(0))),))
    chance._shared[3] = (1, 2)
    assert chance.exact(3) == total


def test_a_test_of_two_doubts_by_enumeration() -> None:
    """Two cocks that may be wrong in one way, another or both, two eggs of each: whatever is wrong may tell."""
    first, second = Fraction(2, 3), Fraction(3, 4)
    tells = {(True, False): Fraction(1, 4), (False, True): Fraction(1, 8), (True, True): Fraction(11, 32)}
    total = Fraction(0)
    for wrong in itertools.product(itertools.product((True, False), repeat=2), repeat=2):
        for told in itertools.product((True, False), repeat=4):
            weight = Fraction(1)
            for cock, (one, other) in enumerate(wrong):
                weight *= (1 - first if one else first) * (1 - second if other else second)
                for chick in told[2 * cock : 2 * cock + 2]:
                    against = tells.get((one, other), Fraction(0))
                    weight *= against if chick else 1 - against
            cleared = [cock for cock in range(2) if not any(told[2 * cock : 2 * cock + 2])]
            total += weight if cleared and not any(wrong[cleared[0]]) else 0
    wrongs = tuple(
        ((1 - first if one else first) * (1 - second if other else second), (tells[one, other],))
        for one, other in tells
    )
    assert TrialChance(2, first * second, (None,), wrongs).exact(2) == total


@given(
    st.integers(2, 8),
    st.sampled_from([HALF, Fraction(1, 3), Fraction(2, 3)]),
    st.sampled_from([HALF, Fraction(1, 4), Fraction(1, 16)]),
    st.sampled_from([HALF, Fraction(1, 8), Fraction(1, 32)]),
    st.booleans(),
    st.lists(st.integers(2, 70), min_size=1, max_size=4),
)
def test_eggs_are_shared_out_between_two_mates_as_is_best(
    birds: int, share: Fraction, tells: Fraction, part: Fraction, proves: bool, numbers: list[int]
) -> None:
    """Against every sharing."""
    wanted = hatch(part / 2, part / 2)
    if proves:
        chance = TrialChance(birds, share, (hatch(tells), wanted), ())
    else:
        chance = TrialChance(birds, share, (None, wanted), ((1 - share, (tells, Fraction(0))),))
    for number in numbers:
        best = min((chance._fails((at, number - at)) for at in range(1, number)), default=1.0)
        assert math.isclose(chance.failing(number), best, rel_tol=1e-9, abs_tol=1e-13)


def test_a_pen_by_enumeration() -> None:
    """Two hens, two chicks of each, a cockerel and a pullet wanted."""
    share, part = Fraction(1, 3), Fraction(1, 5)
    total = Fraction(0)
    for right in itertools.product((True, False), repeat=2):
        for chicks in itertools.product((0, 1, 2), repeat=4):
            weight = Fraction(1)
            for hen, is_right in enumerate(right):
                weight *= share if is_right else 1 - share
                for chick in chicks[2 * hen : 2 * hen + 2]:
                    own = part if is_right else Fraction(0)
                    weight *= own if chick else 1 - 2 * own
            total += weight if {1, 2} <= set(chicks) else 0
    assert PenChance(2, share, ((1, part), (2, part)), 2).exact(2) == total


@pytest.mark.parametrize("counts", [(1, 1), (2, 1), (1, 3), (2, 2)])
@pytest.mark.parametrize("parts", [(Fraction(1, 4), Fraction(1, 4)), (Fraction(1, 8), Fraction(3, 8))])
def test_a_hatch_by_enumeration(counts: tuple[int, int], parts: tuple[Fraction, Fraction]) -> None:
    weights = (*parts, 1 - sum(parts))
    for eggs in range(6):
        total = Fraction(0)
        for chicks in itertools.product((0, 1, 2), repeat=eggs):
            if all(chicks.count(part) >= count for part, count in enumerate(counts)):
                total += math.prod((weights[chick] for chick in chicks), start=Fraction(1))
        assert hatch(*parts, counts=counts).exact(eggs) == total


def test_a_chick_that_meets_two_demands_counts_for_both() -> None:
    """Demands that overlap: parts for the first only, the second only, and both."""
    case = ((1, Fraction(1, 8)), (2, Fraction(1, 8)), (3, Fraction(1, 4)))
    chance = HatchChance((case,), (1, 1))
    by_counting = HatchChance((case,), (1, 1))
    by_counting._single = False
    from pinfeather.plans.chances import _Run

    by_counting._runs = [_Run(case, (1, 1))]
    for eggs in range(12):
        assert chance.exact(eggs) == by_counting.exact(eggs)
    assert chance.exact(1) == Fraction(1, 4)
    assert chance.mean() == by_counting.mean()


def test_the_least_favourable_case_counts() -> None:
    cases = (((1, Fraction(1, 4)),), ((1, Fraction(1, 8)),))
    assert HatchChance(cases, (1,)).exact(5) == 1 - Fraction(7, 8) ** 5


@given(st.fractions(Fraction(1, 40), Fraction(19, 20), max_denominator=64), st.integers(1, 4), st.integers(1, 60))
def test_enough_of_one_class_is_a_binomial_tail(part: Fraction, count: int, eggs: int) -> None:
    chance = hatch(part, counts=(count,))
    assert math.isclose(float(chance.exact(eggs)), float(binom.sf(count - 1, eggs, float(part))), abs_tol=1e-12)


CHANCES = st.one_of(
    st.builds(
        lambda parts, counts: hatch(*parts, counts=counts[: len(parts)]),
        st.lists(
            st.sampled_from([Fraction(1, n) for n in (2, 3, 4, 8, 16)]).map(lambda f: f / 2), min_size=1, max_size=2
        ),
        st.tuples(st.integers(1, 3), st.integers(1, 2)),
    ),
    st.builds(proving, st.integers(3, 6), st.just(Fraction(2, 3)), st.sampled_from([HALF, Fraction(1, 4)])),
    st.builds(clearing, st.integers(4, 8), st.sampled_from([HALF, Fraction(2, 3)]), st.just(HALF)),
    st.builds(
        lambda birds, part: PenChance(birds, HALF, ((1, part), (2, part)), 2),
        st.integers(3, 6),
        st.sampled_from([Fraction(1, 4), Fraction(1, 8)]),
    ),
)


@given(CHANCES, st.integers(1, 60))
def test_floats_follow_the_exact_chance(chance: Chance, number: int) -> None:
    exact = chance.exact(number)
    assert math.isclose(1 - chance.failing(number), float(exact), abs_tol=1e-12)
    if exact > 0:
        assert math.isclose(chance.log(number), math.log(exact), rel_tol=1e-7, abs_tol=1e-12)
    assert chance.exact(number + 1) >= exact
    assert exact <= chance.highest


@given(CHANCES, st.sampled_from([Fraction(1, 2), Fraction(3, 4)]))
def test_the_least_number_is_the_least(chance: Chance, certainty: Fraction) -> None:
    least = chance.least(certainty)
    if least is None:
        assert chance.highest <= certainty
    else:
        assert chance.exact(least) >= certainty
        assert least == 1 or chance.exact(least - 1) < certainty


@given(CHANCES, st.sampled_from([0.0, 3.0, 40.0, 500.0]))
def test_the_cheapest_number_is_the_cheapest(chance: Chance, price: float) -> None:
    certainty = Fraction(1, 2)
    least = chance.least(certainty)
    if least is not None:
        cost, number = chance.cost(price, certainty)
        values = [chance.unit * n - price * math.log(chance.exact(n)) for n in range(least, least + 60)]
        assert cost <= min(values) + 1e-6
        assert math.isclose(cost, chance.unit * number - price * math.log(chance.exact(number)), abs_tol=1e-6)


@given(st.lists(CHANCES, min_size=1, max_size=3), st.sampled_from([Fraction(3, 10), Fraction(1, 2), Fraction(3, 5)]))
def test_no_other_sharing_takes_fewer_eggs(chances: list[Chance], certainty: Fraction) -> None:
    """Against a table of the best chance for every total number of eggs, which takes no shape of curve for granted."""
    most = 120
    table = [0.0] + [-math.inf] * most
    for chance in chances:
        new = [-math.inf] * (most + 1)
        for eggs, log in enumerate(table):
            if log > -math.inf:
                for number in range(1, (most - eggs) // chance.unit + 1):
                    total = eggs + chance.unit * number
                    new[total] = max(new[total], log + chance.log(number))
        table = new
    expected = next((eggs for eggs, log in enumerate(table) if log >= math.log(certainty) - 1e-12), None)
    found = split(chances, certainty)
    if expected is None:
        assert found is None or found.eggs > most
    else:
        assert found is not None
        assert found.eggs == expected
        assert found.bound <= expected + 1e-6
        assert certain_enough(chances, found.numbers, certainty)


def test_a_chance_that_only_comes_near_a_certainty_never_reaches_it() -> None:
    assert PenChance(1, HALF, ((1, Fraction(1, 4)),), 1).least(HALF) is None
    assert proving(1, HALF, Fraction(1)).least(HALF) == 1
    assert split([PenChance(1, HALF, ((1, Fraction(1, 4)),), 1)], HALF) is None


@pytest.mark.parametrize(("locus_count", "by_95"), [(1, 11), (2, 47), (3, 191), (4, 766), (5, 3067)])
def test_numbers_for_the_complete_homozygote(locus_count: int, by_95: int) -> None:
    """Sedcole 1977, Crop Science 17:667-668 (table from memory, values recomputed)."""
    assert hatch(Fraction(1, 4) ** locus_count).least(Fraction(19, 20)) == by_95
