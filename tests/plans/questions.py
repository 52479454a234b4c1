"""What a breeder asks of a programme, read and checked, for tests that look inside the planner."""

from __future__ import annotations

from fractions import Fraction

from pinfeather import Species
from pinfeather.plans import asking
from pinfeather.plans.asking import Question


def question(
    species: Species,
    stock: dict[str, object],
    target: str,
    *,
    certainty: str = "60%",
    sex: str | None = "female",
    look_alikes: int = 2,
    tests: bool = True,
    seen: object = "look",
    max_seasons: int = 3,
) -> Question:
    """A question as plan_programme would read it, small unless said otherwise."""
    known, birds = asking.read_stock(stock, target, species)
    return Question(
        species=known,
        stock=birds,
        wish=asking.read_wish(known, target, None, seen, ()),
        sexes=asking.read_sexes(sex),
        certainty=asking.read_certainty(certainty),
        max_seasons=max_seasons,
        max_eggs=None,
        tests=tests,
        backcross_to=None,
        recovered=None,
        eggs_alive=Fraction(1),
        time_limit=60.0,
        look_alikes=look_alikes,
        working_life=None,
    )
