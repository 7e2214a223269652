"""Strongly connected components, held to another library's."""

import networkx
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.rings import components

NODES = "abcdefgh"
graphs = st.dictionaries(st.sampled_from(NODES), st.lists(st.sampled_from(NODES), unique=True))


@given(graphs, st.lists(st.sampled_from(NODES), min_size=1))
def test_components_are_those_of_networkx(edges, starts):
    """The same sets, for all that can be reached, each after every set that it points to."""
    found = list(components(starts, lambda node: edges.get(node, [])))
    graph = networkx.DiGraph([(node, other) for node in edges for other in edges[node]])
    graph.add_nodes_from(starts)
    reached = set(starts).union(*(networkx.descendants(graph, each) for each in starts))
    wanted = networkx.strongly_connected_components(graph.subgraph(reached))
    assert {frozenset(each) for each in found} == {frozenset(each) for each in wanted}
    place = {node: n for n, members in enumerate(found) for node in members}
    assert len(place) == sum(map(len, found)), "each once"
    for node in place:
        assert all(place[other] <= place[node] for other in edges.get(node, []))


def test_a_ring_of_many_is_found_without_recursion():
    """A hundred thousand links are one component."""
    size = 100_000
    (ring,) = components(["0"], lambda node: [str((int(node) + 1) % size)])
    assert len(ring) == size
