"""The cheapest cut, judged by networkx and by trying every choice of joints."""

from itertools import combinations
from random import Random

import networkx as nx
import pytest

from putback.planning.tying.cut import cheapest_cut
from putback.planning.tying.tied import GROUP, OTHER, reached
from putback.vehicle.ids import JointId, Ref, joint_ref


def random_web(rng: Random, parts: int, joints: int) -> dict[Ref, list[Ref]]:
    """A web of joints between two and four parts, some of them of the two groups."""
    nodes = [GROUP, OTHER, *(Ref(f"part:{number}") for number in range(parts))]
    web: dict[Ref, list[Ref]] = {node: [] for node in nodes}
    for number in range(joints):
        here = Ref(f"joint:{number}")
        web[here] = rng.sample(nodes, min(len(nodes), rng.choice([2, 2, 2, 3, 4])))
        for node in web[here]:
            web[node].append(here)
    return web


def costs_of(web, rng: Random, most: int) -> dict[JointId, int]:
    """What each joint costs."""
    joints = [JointId(node[6:]) for node in web if node.startswith("joint:")]
    return {joint: rng.randint(1, most) for joint in joints}


def parts_them(web, cut) -> bool:
    """Whether no way is left from the one group to the other."""
    return OTHER not in reached(web, [GROUP], closed=[joint_ref(joint) for joint in cut])


def as_network(web, costs) -> nx.DiGraph:
    """Each joint as two nodes with one edge between them, as a textbook does it."""
    graph = nx.DiGraph()
    graph.add_nodes_from((GROUP, OTHER))
    for joint, cost in costs.items():
        here = joint_ref(joint)
        graph.add_edge((here, "in"), (here, "out"), capacity=cost)
        for node in web[here]:
            graph.add_edge(node, (here, "in"))
            graph.add_edge((here, "out"), node)
    return graph


@pytest.mark.parametrize("seed", range(8))
def test_it_costs_what_networkx_finds(seed):
    """On 800 random webs of up to two dozen joints: the same value, and it parts the groups."""
    rng = Random(seed)
    for _ in range(100):
        web = random_web(rng, rng.randint(0, 10), rng.randint(1, 24))
        costs = costs_of(web, rng, rng.choice([1, 3, 1000]))
        cut = cheapest_cut(web, costs)
        value, _ = nx.minimum_cut(as_network(web, costs), GROUP, OTHER)
        assert sum(costs[joint] for joint in cut) == value
        assert parts_them(web, cut)


@pytest.mark.parametrize("seed", range(10))
def test_where_all_cost_the_same_it_is_the_smallest_set_of_joints(seed):
    """On 300 random webs: as many joints as networkx's minimum node cut between two parts."""
    rng = Random(1000 + seed)
    for _ in range(30):
        web = random_web(rng, rng.randint(1, 6), rng.randint(2, 10))
        costs = costs_of(web, rng, 1)
        graph = nx.Graph([(node, other) for node, near in web.items() for other in near])
        parts = [node for node in web if not node.startswith("joint:")]
        # Parts are never cut: each is drawn out into as many twins as joints could be cut.
        for part in set(parts) - {GROUP, OTHER}:
            if part in graph:
                for twin in range(len(costs)):
                    graph.add_edges_from(((part, twin), joint) for joint in web[part])
        graph.add_nodes_from((GROUP, OTHER))
        expected = nx.minimum_node_cut(graph, GROUP, OTHER)
        assert len(cheapest_cut(web, costs)) == len(expected)


@pytest.mark.parametrize("seed", range(6))
def test_no_choice_of_joints_is_cheaper(seed):
    """On 300 small webs every set of joints is tried."""
    rng = Random(2000 + seed)
    for _ in range(50):
        web = random_web(rng, rng.randint(0, 5), rng.randint(1, 9))
        costs = costs_of(web, rng, 9)
        sets = (each for size in range(len(costs) + 1) for each in combinations(costs, size))
        least = min(sum(costs[j] for j in each) for each in sets if parts_them(web, each))
        assert sum(costs[joint] for joint in cheapest_cut(web, costs)) == least


def test_of_cuts_that_cost_the_same_it_is_the_one_nearest_the_lift():
    """A cable with two ends is cut where it meets what is lifted."""
    web = {
        GROUP: ["joint:near"],
        Ref("joint:near"): [GROUP, "part:cable"],
        Ref("part:cable"): ["joint:near", "joint:far"],
        Ref("joint:far"): ["part:cable", OTHER],
        OTHER: ["joint:far"],
    }
    assert cheapest_cut(web, {"near": 5, "far": 5}) == {"near"}
    assert cheapest_cut(web, {"near": 5, "far": 4}) == {"far"}


def test_groups_that_nothing_ties_need_no_cut():
    """Joints that lead nowhere cost nothing."""
    web = {GROUP: ["joint:a"], Ref("joint:a"): [GROUP, "part:lid"], Ref("part:lid"): ["joint:a"]}
    assert cheapest_cut({**web, OTHER: []}, {"a": 3}) == frozenset()
