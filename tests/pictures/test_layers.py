"""Orders with few crossings, and straight lines where there is room."""

from __future__ import annotations

from itertools import combinations, permutations, product

from hypothesis import given
from hypothesis import strategies as st

from pinfeather.pictures.layers import Links, in_order, spread

Ties = list[tuple[str, str]]


@st.composite
def two_layers(draw: st.DrawFn) -> tuple[list[list[str]], Ties]:
    upper = [f"u{n}" for n in range(draw(st.integers(1, 4)))]
    lower = [f"l{n}" for n in range(draw(st.integers(1, 4)))]
    ties = draw(st.lists(st.sampled_from(list(product(upper, lower))), unique=True))
    return [upper, lower], ties


def crossing(layers: list[list[str]], ties: Ties) -> int:
    """Pairs of ties of which one begins before and ends behind the other."""
    upper, lower = layers
    places = [(upper.index(one), lower.index(other)) for one, other in ties]
    return sum((a - c) * (b - d) < 0 for (a, b), (c, d) in combinations(places, 2))


@given(case=two_layers())
def test_crossings_are_counted_as_pairs(case: tuple[list[list[str]], Ties]) -> None:
    layers, ties = case
    assert Links(ties).all_crossings(layers) == crossing(layers, ties)


@given(case=two_layers())
def test_two_small_layers_are_put_in_the_best_order_or_next_to_it(case: tuple[list[list[str]], Ties]) -> None:
    """Against all orders of both layers; the method is no proof, so that one crossing more is let pass."""
    layers, ties = case
    best = min(
        crossing([list(upper), list(lower)], ties)
        for upper in permutations(layers[0])
        for lower in permutations(layers[1])
    )
    found = in_order(layers, Links(ties))
    assert [sorted(layer) for layer in found] == [sorted(layer) for layer in layers]
    assert crossing(found, ties) <= min(best + 1, crossing(layers, ties))


def test_a_chain_stands_straight_where_there_is_room() -> None:
    layers = [["a"], ["p1", "b"], ["p2", "c"], ["d"]]
    ties = [("a", "p1"), ("a", "b"), ("p1", "p2"), ("b", "c"), ("p2", "d"), ("c", "d")]
    x = spread(layers, Links(ties), lambda node: 0.2 if node.startswith("p") else 2.0, [["p1", "p2"]])
    assert x["p1"] == x["p2"]
    for layer in layers[1:3]:
        assert x[layer[1]] - x[layer[0]] >= 1.1 - 1e-9
