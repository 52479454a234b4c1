"""Sums over products of factors: one sweep finds the total and every variable's share, as listing everything does."""

from __future__ import annotations

import itertools
from fractions import Fraction
from math import prod
from typing import Any

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.exact.elimination import Order, elimination_order, sweep
from pinfeather.exact.factors import Factor

Problem = tuple[list[Factor], dict[int, int]]


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Up to six variables tied by factors of up to three of them; every variable stands in one."""
    sizes = dict(enumerate(draw(st.lists(st.integers(1, 3), min_size=1, max_size=6))))
    made = []
    scopes = [[v] for v in sizes] + draw(
        st.lists(st.lists(st.sampled_from(sorted(sizes)), min_size=1, max_size=3, unique=True), max_size=7)
    )
    for scope in scopes:
        shape = [sizes[v] for v in scope]
        size = prod(shape)
        made.append(
            Factor.of(scope, shape, draw(st.lists(st.sampled_from((0, 1, 2, 3, 10**20)), min_size=size, max_size=size)))
        )
    return made, sizes


def listed(problem: Problem) -> dict[tuple[int, ...], int]:
    """The weight of every combination of all variables' values."""
    factors, sizes = problem
    return {
        values: prod(factor.table[tuple(values[v] for v in factor.variables)] for factor in factors)
        for values in itertools.product(*(range(size) for size in sizes.values()))
    }


def order_of(problem: Problem) -> Order:
    factors, sizes = problem
    return elimination_order([factor.variables for factor in factors], sizes)


def shares(weights: list[Any]) -> list[Any]:
    return [Fraction(weight, sum(weights)) for weight in weights]


@given(problems())
def test_the_total_is_the_sum_over_every_combination(problem: Problem) -> None:
    swept = sweep(*problem, order_of(problem))
    assert swept.total * swept.scale == sum(listed(problem).values())


@given(problems())
def test_one_sweep_finds_the_share_of_every_value_of_every_variable(problem: Problem) -> None:
    every = listed(problem)
    swept = sweep(*problem, order_of(problem))
    if not swept.total:
        assert not any(every.values())
        return
    for variable, size in problem[1].items():
        expected = [sum(w for values, w in every.items() if values[variable] == at) for at in range(size)]
        assert shares(swept.of(variable)) == shares(expected)


@given(problems())
def test_variables_of_one_factor_are_found_together(problem: Problem) -> None:
    every = listed(problem)
    swept = sweep(*problem, order_of(problem))
    if swept.total:
        for factor in problem[0]:
            found = swept.together(factor.variables)
            expected = [
                sum(w for values, w in every.items() if tuple(values[v] for v in factor.variables) == choice)
                for choice in itertools.product(*(range(problem[1][v]) for v in factor.variables))
            ]
            assert shares(found.weights()) == shares(expected)


@given(problems())
def test_floats_give_the_same_shares_and_the_same_zeros(problem: Problem) -> None:
    factors, sizes = problem
    order = order_of(problem)
    exact = sweep(factors, sizes, order)
    floats = sweep([factor.in_arithmetic("float") for factor in factors], sizes, order, "float")
    assert bool(exact.total) is bool(floats.total)
    if exact.total:
        for variable in sizes:
            found = floats.of(variable)
            expected = [float(share) for share in shares(exact.of(variable))]
            assert [value / sum(found) for value in found] == pytest.approx(expected, rel=1e-12, abs=0)


@given(problems())
def test_truth_values_say_whether_anything_is_possible(problem: Problem) -> None:
    factors, sizes = problem
    possible = [factor.in_arithmetic("possible") for factor in factors]
    swept = sweep(possible, sizes, order_of(problem), "possible", backward=False)
    assert bool(swept.total) is any(listed(problem).values())
    assert swept.beliefs == {}


def test_nothing_is_believed_where_nothing_is_possible() -> None:
    never = [Factor.of((0,), (2,), [0, 0]), Factor.of((0, 1), (2, 2), [1, 2, 3, 4])]
    swept = sweep(never, {0: 2, 1: 2}, elimination_order([(0,), (0, 1)], {0: 2, 1: 2}))
    assert (swept.total, swept.beliefs) == (0, {})


@given(problems())
def test_an_order_holds_every_variable_once_and_tells_its_own_size(problem: Problem) -> None:
    order = order_of(problem)
    assert sorted(order.variables) == sorted(problem[1])
    sizes = [
        problem[1][v] * prod(problem[1][other] for other in clique)
        for v, clique in zip(order.variables, order.cliques, strict=True)
    ]
    assert (order.largest, order.cost) == (max(sizes), sum(sizes))
    met: list[int] = []
    sweep(*problem, order, on_clique=met.append)
    assert met == sizes


@pytest.mark.parametrize("across", [2, 3, 4])
def test_a_lattice_is_as_wide_as_it_is_across(across: int) -> None:
    """The treewidth of the k x k grid is k (Bodlaender 1998, A partial k-arboretum; from memory)."""
    grid = networkx.convert_node_labels_to_integers(networkx.grid_2d_graph(across, across))
    order = elimination_order(list(grid.edges), dict.fromkeys(grid, 2))
    assert order.width == across


def test_trees_and_rings_have_the_widths_of_the_textbook() -> None:
    """A tree has treewidth 1, a ring 2 and the complete graph of n points n - 1."""
    for graph, width in (
        (networkx.balanced_tree(3, 3), 1),
        (networkx.cycle_graph(9), 2),
        (networkx.complete_graph(6), 5),
    ):
        assert elimination_order(list(graph.edges), dict.fromkeys(graph, 3)).width == width


def test_orders_are_no_wider_than_those_of_a_graph_library() -> None:
    """networkx's greedy minimum fill-in on random graphs; ours may be one wider where a smaller table is preferred."""
    from networkx.algorithms.approximation import treewidth_min_fill_in

    for seed in range(20):
        graph = networkx.gnp_random_graph(25, 0.15, seed=seed)
        theirs, _ = treewidth_min_fill_in(graph)
        ours = elimination_order([*graph.edges, *((node,) for node in graph)], dict.fromkeys(graph, 3)).width
        assert ours <= theirs + 1


def test_a_hopeless_order_is_abandoned_before_its_end() -> None:
    crowd = list(itertools.combinations(range(60), 2))
    order = elimination_order(crowd, dict.fromkeys(range(60), 3))
    assert order.largest > 2**34
    assert len(order.variables) < 60
