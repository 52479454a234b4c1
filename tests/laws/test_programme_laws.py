"""Laws of programmes: what must hold whatever the stock and the target."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from pinfeather import Locus, NoPlanError, Species, Viability
from pinfeather.plans import ProgrammeSet, plan_programme

TOY = Species(
    "toy fowl",
    loci=[
        Locus("a", "gene a", ("A+", "a")),
        Locus("B", "gene B", ("B", "b+")),
        Locus("z", "gene z", ("Z+", "z"), chromosome="Z"),
        Locus("L", "lethal L", ("L", "l+")),
    ],
    viability=[Viability("L/L", 0, "embryo", "dies")],
)
CHOICES = {"a": ["a/a", "A+/a", "A+/A+"], "B": ["B/B", "B/b+", "b+/b+"], "z": ["z/z", "Z+/Z+"], "L": ["L/l+", "l+/l+"]}
WANTED = {"a": ["a/a", "A+/a"], "B": ["B/_", "b+/b+"], "z": ["z/z", "Z+/Z+"], "L": ["L/l+", "l+/l+"]}

few = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)


@st.composite
def problems(draw: st.DrawFn) -> tuple[dict[str, Any], str]:
    """Two or three lines and a target at one to three loci."""
    symbols = draw(st.lists(st.sampled_from(sorted(CHOICES)), min_size=1, max_size=3, unique=True))
    lines = draw(st.integers(2, 3))
    stock = {
        f"line {n}": TOY.genotype(" ".join(draw(st.sampled_from(CHOICES[symbol])) for symbol in symbols))
        for n in range(lines)
    }
    return stock, " ".join(draw(st.sampled_from(WANTED[symbol])) for symbol in symbols)


def planned(stock: dict[str, Any], target: str, **options: Any) -> ProgrammeSet:
    settled = {"test_matings": False, "max_seasons": 3, **options}
    try:
        return plan_programme(stock, target, **settled)
    except NoPlanError:
        assume(False)
        raise


@few
@given(problems())
def test_the_chance_is_the_product_of_the_steps_and_reaches_the_certainty(problem: tuple[dict[str, Any], str]) -> None:
    for programme in planned(*problem):
        product = Fraction(1)
        for step in programme.steps:
            product *= Fraction(int(step.chance.p), int(step.chance.q))
        assert programme.chance == product >= Fraction(19, 20)
        assert programme.eggs == sum(step.eggs for step in programme.steps)
        assert programme.lower_bound <= programme.eggs
        assert 0 <= programme.expected_eggs <= programme.eggs


@few
@given(problems(), st.sampled_from(["50%", "80%", "90%"]))
def test_less_certainty_never_takes_more_eggs(problem: tuple[dict[str, Any], str], certainty: str) -> None:
    assert planned(*problem, certainty=certainty).best.eggs <= planned(*problem).best.eggs


@few
@given(problems())
def test_more_birds_in_hand_never_take_more_eggs(problem: tuple[dict[str, Any], str]) -> None:
    stock, target = problem
    more = {**stock, "friend": TOY.genotype("A+/a B/b+")}
    assert planned(more, target).best.eggs <= planned(stock, target).best.eggs


@few
@given(problems())
def test_what_a_dna_test_tells_never_takes_more_eggs(problem: tuple[dict[str, Any], str]) -> None:
    by_look = planned(*problem).best
    by_test = planned(*problem, tested=["a", "B", "z", "L"]).best
    assert by_test.eggs <= by_look.eggs


@few
@given(problems())
def test_one_sex_never_takes_more_eggs_than_both(problem: tuple[dict[str, Any], str]) -> None:
    both = planned(*problem).best.eggs
    assert planned(*problem, sex="female").best.eggs <= both
    assert planned(*problem, sex="male").best.eggs <= both


@few
@given(problems(), st.sampled_from(["1/2", "4/5"]))
def test_losses_never_save_eggs(problem: tuple[dict[str, Any], str], hatch: str) -> None:
    assert planned(*problem, hatch_of_fertile=hatch).best.eggs >= planned(*problem).best.eggs


@few
@given(problems())
def test_names_of_the_stock_do_not_matter(problem: tuple[dict[str, Any], str]) -> None:
    stock, target = problem
    renamed = {f"pen {n}": bird for n, bird in enumerate(reversed(stock.values()))}
    one, other = planned(stock, target), planned(renamed, target)
    assert [(p.seasons, p.eggs, p.chance) for p in one] == [(p.seasons, p.eggs, p.chance) for p in other] or [
        (p.seasons, p.eggs) for p in one
    ] == [(p.seasons, p.eggs) for p in other]


@few
@given(problems())
def test_planning_again_with_nothing_new_keeps_the_programme(problem: tuple[dict[str, Any], str]) -> None:
    best = planned(*problem).best
    assume(best.seasons > 0)
    assert best.replanned({}).best.eggs == best.eggs
