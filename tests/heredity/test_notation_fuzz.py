"""Whatever is typed, reading a genotype or a pattern ends in a bird, a pattern, or one of our errors."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pinfeather import PinfeatherError, cross
from pinfeather.heredity import Genotype, Locus, Pattern, Species
from tests.hand_made import fowl

SPECIES = [
    fowl(),
    Species(
        "odd bird",
        "XY",
        [
            Locus("K", "slow", ("K", "k+"), chromosome="X", aliases={"x": "K"}),
            Locus("Ym", "mark", ("Ym+",), chromosome="Y"),
            Locus("mt", "mitotype", ("mt1", "mt2"), chromosome="mitochondrion"),
            Locus("Ea", "blood group", ("Ea1", "Ea2", "Ea3"), aliases={"x": "Ea1"}),
        ],
    ),
]
WORDS = [
    "R",
    "r+",
    "P",
    "p+",
    "O",
    "o+",
    "Lav+",
    "lav",
    "S",
    "s+",
    "B",
    "b+",
    "K",
    "k+",
    "Ym+",
    "mt1",
    "Ea1",
    "Ea2",
    "x",
]
PIECES = [*WORDS, "/", "/", "/", "-", "_", "+", "W", "Y", ",", ";", " ", " ", "\t", "\n", "\0", "é", "//"]
VALID = [
    "R/r+ P/p+",
    "P O/p+ o+ lav/lav",
    "S B/- R/R",
    "S B/s+ b+; Po/po+, Cp/cp+",
    "K/k+ mt1/- Ea1/Ea3",
    "K/Y Ym+/- mt2/- Ea2/Ea2",
    "R/_ P/_",
]

near_misses = st.lists(st.sampled_from(PIECES), max_size=14).map("".join) | st.lists(
    st.sampled_from(PIECES), max_size=14
).map(" ".join)


@st.composite
def mutated(draw: st.DrawFn) -> str:
    """A good text with a few characters taken out, put in, doubled or changed about."""
    text = draw(st.sampled_from(VALID))
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(text)))
        other = draw(st.integers(0, len(text)))
        text = draw(
            st.sampled_from(
                [
                    text[:at] + text[at + 1 :],
                    text[:at] + draw(st.sampled_from(PIECES)) + text[at:],
                    text[min(at, other) :] + text[: min(at, other)],
                    text[: max(at, other)] + text[min(at, other) :],
                    text.swapcase(),
                ]
            )
        )
    return text


def attempt(call: Callable[[], Any]) -> Any:
    """What a call gives; or None where it is refused, in a sentence that a screen can hold."""
    try:
        return call()
    except PinfeatherError as error:
        sentence = str(error)
    assert 0 < len(sentence) < 2000
    return None


def read_both(of: Species, text: str, sex: str | None, phase: str | None) -> None:
    bird = attempt(lambda: of.genotype(text, sex=sex, phase=phase))
    for one in () if bird is None else bird if phase else (bird,):
        assert isinstance(one, Genotype)
        assert of.genotype(str(one), sex=one.sex) == one
        assert of.pattern(one).matches(one)
    pattern = attempt(lambda: of.pattern(text))
    if pattern is not None:
        assert isinstance(pattern, Pattern)
        assert of.pattern(str(pattern)) == pattern


@pytest.mark.parametrize("of", SPECIES, ids=lambda of: of.name)
@given(
    text=st.text(max_size=30) | near_misses | mutated(),
    sex=st.sampled_from((None, "male", "female")),
    phase=st.sampled_from((None, "unknown")),
)
@example(text="W/W", sex=None, phase=None)
@example(text="x/x", sex=None, phase=None)
@example(text="x/_", sex=None, phase=None)
@example(text="S/- B/b+", sex=None, phase="unknown")
@example(text="P O/- -", sex=None, phase=None)
@example(text="S R/s+ -", sex=None, phase=None)
@example(text="- S/B -", sex=None, phase=None)
@example(text="P S/p+ -", sex="female", phase=None)
def test_only_our_errors_escape_from_reading(of: Species, text: str, sex: str | None, phase: str | None) -> None:
    read_both(of, text, sex, phase)


@given(text=near_misses | mutated())
def test_only_our_errors_escape_from_asking_a_hatch(text: str) -> None:
    """A question typed badly ends in an answer between 0 and 1 or one of our errors."""
    of = SPECIES[0]
    chicks = cross(of.genotype("R/r+ P O/p+ o+ S B/s+ b+"), of.genotype("P/p+ S/-"))
    told = chicks.genotypes("R", "P")
    for ask in (chicks.fraction, told.fraction):
        answer = attempt(lambda ask=ask: ask(text))
        assert answer is None or 0 <= answer <= 1
