"""Things that are tied to each other, directly or through others."""

from __future__ import annotations

import networkx
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.exact.ties import Ties


@given(st.lists(st.lists(st.integers(0, 12), max_size=4), max_size=12))
def test_things_have_one_leader_exactly_where_a_graph_connects_them(groups: list[list[int]]) -> None:
    ties: Ties[int] = Ties()
    graph = networkx.Graph()
    graph.add_nodes_from(range(13))
    for group in groups:
        ties.tie(group)
        networkx.add_path(graph, group)
    for one in range(13):
        assert ties.leader(one) in networkx.node_connected_component(graph, one)
        for other in range(13):
            assert (ties.leader(one) == ties.leader(other)) == networkx.has_path(graph, one, other)
