"""Distributions: exact mappings from outcomes to chances, with one meaning whatever their scale."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from pinfeather import ArgumentError, DefinitionError, Distribution, ImpossibleError, NotationError, UnknownSymbolError

COMBS = Distribution.of({"walnut": 9, "rose": 3, "pea": 3, "single": 1})
THIRD = sympy.Rational(1, 3)
q, s = sympy.symbols("q s")
CARRIER = Distribution.of({"carrier": q, "clear": 1 - q})

weights = st.dictionaries(st.text("abc", min_size=1, max_size=2), st.integers(1, 30), min_size=1, max_size=6)


# ---- making ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "chances",
    [
        {"lavender": "25%", "black": "75%"},
        {"lavender": 1, "black": 3},
        {"lavender": 0.25, "black": 0.75},
        {"lavender": Fraction(1, 4), "black": "3/4", "splash": 0},
    ],
)
def test_chances_may_be_written_in_any_way(chances: dict[str, Any]) -> None:
    made = Distribution.of(chances)
    assert made == {"lavender": sympy.Rational(1, 4), "black": sympy.Rational(3, 4)}
    assert list(made) == ["lavender", "black"]


@pytest.mark.parametrize(
    ("chances", "kind", "words"),
    [
        ({}, DefinitionError, "needs at least one outcome with a chance above zero"),
        ({"a": 0, "b": 0}, DefinitionError, "needs at least one outcome with a chance above zero"),
        ({"a": -1, "b": 2}, DefinitionError, "the chance of a is -1; a chance cannot be negative"),
        ({"a": "1/2", "b": "1/3"}, DefinitionError, "the chances sum to 5/6, not to 1; give probabilities that sum to"),
        ({"a": q, "b": q}, DefinitionError, r"the chances sum to 2\*q, not to 1"),
        ({"a": "one"}, NotationError, "the chance of a='one' is not a number"),
        ([("a", 1)], ArgumentError, "must be a mapping such as"),
    ],
)
def test_chances_that_cannot_stand_are_refused(chances: Any, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        Distribution.of(chances)


def test_what_is_refused_is_told_to_programs_too() -> None:
    with pytest.raises(DefinitionError) as negative:
        Distribution.of({"a": -1, "b": 2})
    assert (negative.value.outcome, negative.value.chance) == ("a", -1)
    with pytest.raises(DefinitionError) as short:
        Distribution.of({"a": "1/2", "b": "1/3"})
    assert short.value.total == sympy.Rational(5, 6)
    with pytest.raises(ArgumentError) as listed:
        Distribution.of([("a", 1)])  # type: ignore[arg-type]
    assert listed.value.argument == "chances"
    with pytest.raises(ArgumentError) as symbolic:
        CARRIER.most_likely()
    assert (symbolic.value.argument, symbolic.value.value) == ("parameters", (q,))
    with pytest.raises(ImpossibleError) as never:
        Distribution.of({1: 1}).given(7)
    assert never.value.event == 7


# ---- asking ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("event", "chance"),
    [
        ("walnut", "9/16"),
        (lambda comb: comb != "single", "15/16"),
        (lambda _: False, "0"),
        (lambda _: True, "1"),
    ],
)
def test_an_event_is_an_outcome_or_a_predicate(event: Any, chance: str) -> None:
    assert COMBS.fraction(event) == sympy.Rational(chance)
    assert isinstance(COMBS.fraction(event), sympy.Rational)


def test_an_outcome_answers_to_the_text_it_prints_as() -> None:
    clutch = Distribution.of({1: "1/4", 2: "3/4"})
    assert clutch["2"] == clutch[2] == clutch.fraction("2") == sympy.Rational(3, 4)


def test_an_outcome_that_cannot_come_out_has_chance_nought_and_an_unknown_text_is_refused() -> None:
    clutch = Distribution.of({1: 1, 2: 3})
    assert clutch[3] == 0
    assert 3 not in clutch
    assert [1] not in clutch
    with pytest.raises(UnknownSymbolError, match="no outcome 'walnutt'; did you mean 'walnut'") as caught:
        COMBS["walnutt"]
    assert caught.value.suggestion == "walnut"
    assert COMBS.get("nothing like it", "none") == "none"


def test_a_function_may_itself_be_an_outcome() -> None:
    kinds: Distribution[Callable[..., Any]] = Distribution.of({len: 1, sum: 3})
    assert kinds.fraction(len) == sympy.Rational(1, 4)
    assert list(kinds.given(sum)) == [sum]


def test_a_reader_turns_text_into_an_outcome() -> None:
    read = Distribution.from_weights([10, 20], [1, 3], reader=lambda text: int(text) * 10)
    assert (read["2"], read["7"], read["20"]) == (sympy.Rational(3, 4), 0, sympy.Rational(3, 4))
    assert read.given("1")["1"] == 1


def test_it_is_a_mapping_in_a_stable_order() -> None:
    assert list(COMBS) == ["walnut", "rose", "pea", "single"]
    assert len(COMBS) == 4
    assert dict(COMBS.items())["pea"] == sympy.Rational(3, 16)
    assert sum(COMBS.values()) == 1
    with pytest.raises(TypeError):
        COMBS["walnut"] = 1  # type: ignore[index]


@pytest.mark.parametrize(
    ("chances", "ratio"),
    [
        ({"a": "9/16", "b": "3/16", "c": "3/16", "d": "1/16"}, "9 : 3 : 3 : 1"),
        ({"a": 4, "b": 2}, "2 : 1"),
        ({"a": 7}, "1"),
        ({"a": q, "b": 1 - q}, "q : 1 - q"),
    ],
)
def test_a_ratio_is_in_lowest_terms(chances: dict[str, Any], ratio: str) -> None:
    assert Distribution.of(chances).ratio() == ratio


def test_the_likeliest_outcome_is_the_first_of_several() -> None:
    assert COMBS.most_likely() == "walnut"
    assert Distribution.of({"a": 1, "b": 2, "c": 2}).most_likely() == "b"
    with pytest.raises(ArgumentError, match=r"depends on q; put numbers in with \.substituted"):
        CARRIER.most_likely()


# ---- making others ---------------------------------------------------------------------------------------------------


def test_outcomes_that_become_the_same_are_added() -> None:
    assert COMBS.map(lambda comb: comb == "single") == {True: sympy.Rational(1, 16), False: sympy.Rational(15, 16)}


@pytest.mark.parametrize("event", ["rose", lambda comb: comb == "rose"])
def test_given_keeps_what_fits(event: Any) -> None:
    assert COMBS.given(event) == {"rose": 1}


@pytest.mark.parametrize("event", [7, lambda comb: comb == 7])
def test_given_what_cannot_happen_is_refused(event: Any) -> None:
    with pytest.raises(ImpossibleError, match="no outcome of this distribution fits what is said to have happened"):
        Distribution.of({1: 1, 2: 1}).given(event)


def test_given_with_a_symbol_cancels() -> None:
    three = Distribution.of({"a": q**2, "b": 2 * q * (1 - q), "c": (1 - q) ** 2})
    assert sympy.cancel(three.given(lambda x: x != "c")["a"] - q / (2 - q)) == 0


@pytest.mark.parametrize("values", [{"q": "1/10"}, {q: 0.1}, {q: Fraction(1, 10)}])
def test_numbers_can_be_put_in_for_symbols(values: dict[Any, Any]) -> None:
    assert CARRIER.substituted(values) == {"carrier": sympy.Rational(1, 10), "clear": sympy.Rational(9, 10)}


def test_one_symbol_can_be_put_in_for_another_and_all_at_once() -> None:
    """Symbols that change places do so together, not one after the other."""
    three = Distribution.of({"a": q, "b": s, "c": 1 - q - s})
    swapped = three.substituted({q: s, s: q})
    assert (swapped["a"], swapped["b"]) == (s, q)
    assert three.substituted({q: s})["c"] == 1 - 2 * s


@pytest.mark.parametrize(
    ("values", "kind", "words"),
    [
        ({"p": "1/2"}, UnknownSymbolError, "no parameter 'p'; "),
        ({"q": "3/2"}, DefinitionError, "the chance of clear is -1/2; a chance cannot be negative"),
        ({"q": "x"}, NotationError, "q='x' is not a number"),
    ],
)
def test_a_substitution_that_cannot_stand_is_refused(values: Any, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        CARRIER.substituted(values)


# ---- showing ---------------------------------------------------------------------------------------------------------


def test_it_prints_as_an_aligned_table() -> None:
    assert str(COMBS).splitlines() == [
        "walnut  9/16  56.25 %",
        "rose    3/16  18.75 %",
        "pea     3/16  18.75 %",
        "single  1/16   6.25 %",
    ]
    assert str(CARRIER).splitlines() == ["carrier      q", "clear    1 - q"]


def test_a_long_table_says_how_much_it_leaves_out() -> None:
    long = Distribution.of(dict.fromkeys(range(75), 1))
    assert str(long).splitlines()[-1] == "... and 15 more"
    assert len(str(long).splitlines()) == 61
    assert "... and 15 more" in long._repr_html_()
    assert repr(long).endswith("'5': 1/75, ...})")


def test_a_table_that_just_fits_leaves_nothing_out() -> None:
    sixty, six, seven = (Distribution.of(dict.fromkeys(range(size), 1)) for size in (60, 6, 7))
    assert len(str(sixty).splitlines()) == 60
    assert "more" not in str(sixty) + sixty._repr_html_()
    assert "... and 1 more" in str(Distribution.of(dict.fromkeys(range(61), 1)))
    assert repr(six).endswith("'5': 1/6})")
    assert repr(seven).endswith("'5': 1/7, ...})")


def test_html_escapes_what_a_user_wrote() -> None:
    html = Distribution.of({"<b>bold & odd</b>": 1, "plain": 1})._repr_html_()
    assert "<b>" not in html
    assert "&lt;b&gt;bold &amp; odd&lt;/b&gt;" in html
    assert html.count("<tr>") == 3


def test_floats_and_texts_come_from_methods_that_say_so() -> None:
    assert COMBS.floats()["walnut"] == 0.5625
    assert COMBS.to_dict() == {"walnut": "9/16", "rose": "3/16", "pea": "3/16", "single": "1/16"}
    assert CARRIER.to_dict() == {"carrier": "q", "clear": "1 - q"}


# ---- comparing -------------------------------------------------------------------------------------------------------


def test_equality_and_hash_ignore_scale_and_order() -> None:
    other = Distribution.of({"single": "1/16", "pea": "3/16", "rose": "3/16", "walnut": "9/16"})
    assert other == COMBS
    assert hash(other) == hash(COMBS)
    assert Distribution.of({"walnut": 9, "rose": 3, "pea": 4}) != COMBS
    assert Distribution.of({"walnut": 3, "rose": 3, "pea": 3, "single": 1}) != COMBS
    assert Distribution.of({"walnut": 9, "rose": 3, "pea": 3, "buttercup": 1}) != COMBS
    assert COMBS != "9 : 3 : 3 : 1"
    assert Distribution.of({1: 1}) == {1: 1, 2: 0}


def test_it_survives_pickling() -> None:
    assert pickle.loads(pickle.dumps(COMBS)) == COMBS
    assert pickle.loads(pickle.dumps(CARRIER)) == CARRIER


# ---- laws ------------------------------------------------------------------------------------------------------------


@given(weights)
def test_chances_are_weights_over_their_sum(given_weights: dict[str, int]) -> None:
    made = Distribution.of(given_weights)
    total = sum(given_weights.values())
    assert dict(made.items()) == {k: sympy.Rational(w, total) for k, w in given_weights.items()}
    assert made == Distribution.of({k: 7 * w for k, w in given_weights.items()})
    assert Distribution.of(made.to_dict()) == made
    assert Distribution.of(dict(zip(made, map(int, made.ratio().split(" : ")), strict=True))) == made


@given(weights, st.sets(st.text("abc", min_size=1, max_size=2)))
def test_conditioning_divides_by_the_chance_of_the_event(given_weights: dict[str, int], event: set[str]) -> None:
    made = Distribution.of(given_weights)
    chance = made.fraction(lambda outcome: outcome in event)
    if chance == 0:
        with pytest.raises(ImpossibleError):
            made.given(lambda outcome: outcome in event)
        return
    kept = made.given(lambda outcome: outcome in event)
    assert all(kept[outcome] * chance == made[outcome] for outcome in kept)
    assert sum(kept.values()) == 1
    assert kept.map(len) == made.map(lambda outcome: len(outcome) if outcome in event else None).given(
        lambda size: size is not None
    )
