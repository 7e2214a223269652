"""Which joints and bags share hardware, and so are folded together."""

import networkx
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.clusters import Clusters

SUBJECTS = ["joint:a", "joint:b", "joint:c", "tag:1", "tag:2", "stock", "part:x"]
links = st.lists(st.lists(st.sampled_from(SUBJECTS), min_size=1, max_size=3))


@given(links, st.randoms())
def test_what_is_linked_is_together_in_whatever_order(told, random):
    """The sets are those of connectivity; parts hold no hardware and link nothing."""
    graph = networkx.Graph()
    graph.add_nodes_from(SUBJECTS)
    for subjects in told:
        networkx.add_path(graph, [each for each in subjects if not each.startswith("part")])
    clusters = Clusters(told)
    random.shuffle(told)
    for subject in SUBJECTS:
        wanted = tuple(sorted(networkx.node_connected_component(graph, subject)))
        assert clusters.members(subject) == wanted == Clusters(told).members(subject)
    assert sorted(clusters.sets()) == sorted(
        tuple(sorted(each)) for each in networkx.connected_components(graph) if len(each) > 1
    )
