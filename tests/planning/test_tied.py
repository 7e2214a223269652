"""What is still joined to what, judged by networkx on generated vehicles."""

from itertools import pairwise
from random import Random

import networkx as nx
import pytest

from putback.planning.tying.tied import OTHER, drawn_together, reached, still_tied, web_of
from putback.vehicle.generate import generate
from putback.vehicle.joint import Joint
from tests.planning.hand_made import buggy, state_of


def graph_of(vehicle, made) -> nx.Graph:
    """Parts and made joints, each joint next to the parts it joins."""
    graph = nx.Graph()
    graph.add_nodes_from(("part", part) for part in vehicle.parts)
    for joint in made:
        graph.add_edges_from(
            (("joint", joint), ("part", part)) for part in vehicle.joints[joint].parts
        )
    return graph


def held_to(vehicle, made, datum: str) -> set[str]:
    """The parts that made joints lead to one part, over whatever is between."""
    nodes = reached(web_of(vehicle, made, drawn_together((), (datum,))), [OTHER])
    return {node.removeprefix("part:") for node in nodes if node.startswith("part:")} | {datum}


def half_undone(vehicle, rng: Random, share: float) -> tuple[str, ...]:
    """Some of the joints, at random."""
    return tuple(joint for joint in vehicle.joints if rng.random() < share)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("parts", [7, 30, 120])
def test_what_is_held_is_the_connected_component(parts, seed):
    """A part is held to the datum if, and only if, networkx finds a way of made joints to it."""
    vehicle = generate(parts, seed)
    undone = set(half_undone(vehicle, Random(seed), 0.6))
    made = [joint for joint in vehicle.joints if joint not in undone]
    component = nx.node_connected_component(graph_of(vehicle, made), ("part", "p1"))
    expected = {name for kind, name in component if kind == "part"}
    assert held_to(vehicle, made, "p1") == expected


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("parts", [7, 30, 120])
def test_ties_are_the_block_between_two_groups(parts, seed):
    """Ties are what networkx finds in one biconnected component with an edge laid between."""
    vehicle = generate(parts, seed)
    rng = Random(seed)
    undone = half_undone(vehicle, rng, 0.3)
    shuffled = rng.sample(list(vehicle.parts), parts)
    group, other = shuffled[: parts // 4], shuffled[parts // 4 : parts // 3 + 1]
    graph = graph_of(vehicle, [joint for joint in vehicle.joints if joint not in undone])
    for one, parts_of in (("group", group), ("other", other)):
        graph.add_node(one)
        for part in parts_of:
            graph = nx.contracted_nodes(graph, one, ("part", part), self_loops=False)
    graph.add_edge("group", "other")
    block = next(
        block
        for block in nx.biconnected_components(graph)
        if "group" in block and "other" in block
    )
    expected = {node[1] for node in block if node[0] == "joint"}
    found = still_tied(vehicle, state_of(vehicle, undone=undone), group, other)
    assert set(found) == expected
    assert list(found) == [joint for joint in vehicle.joints if joint in expected]


@pytest.mark.parametrize("seed", range(8))
def test_ties_lie_on_simple_ways(seed):
    """On small vehicles, ties are the joints met when every simple way is gone."""
    vehicle = generate(9, seed)
    undone = half_undone(vehicle, Random(seed), 0.3)
    graph = graph_of(vehicle, [joint for joint in vehicle.joints if joint not in undone])
    frame, last = "p1", "p9"
    ways = nx.all_simple_paths(graph, ("part", last), ("part", frame))
    expected = {name for way in ways for kind, name in way if kind == "joint"}
    state = state_of(vehicle, undone=undone)
    assert set(still_tied(vehicle, state, {last}, {frame})) == expected


def test_undoing_all_ties_parts_the_groups():
    """Once every tie is undone nothing holds the one to the other any more."""
    vehicle = generate(60, 3)
    group = [part for part in vehicle.parts if part not in ("p1", "p2")][:20]
    ties = still_tied(vehicle, state_of(vehicle), group, ("p1", "p2"))
    assert ties
    made = [joint for joint in vehicle.joints if joint not in ties]
    for datum in ("p1", "p2"):
        assert held_to(vehicle, made, datum).isdisjoint(group)


def test_a_cable_ties_what_its_ends_join():
    """Both ends of a cable tie the body, what hangs on the cable does not."""
    vehicle = buggy()
    joints = [
        Joint("end", "cable to hood", ("cable", "hood")),
        Joint("far", "cable to frame", ("cable", "frame")),
        Joint("tag", "label on the cable", ("label", "cable")),
    ]
    vehicle = vehicle.with_records(joints={joint.id: joint for joint in joints})
    assert still_tied(vehicle, state_of(vehicle), {"hood"}, {"frame"}) == ("end", "far")
    undone = state_of(vehicle, undone=("far",))
    assert still_tied(vehicle, undone, {"hood"}, {"frame"}) == ()


def test_a_joint_of_three_parts_is_one_tie():
    """A bolt through three parts is named once."""
    vehicle = buggy().with_records(
        joints={"bolt": Joint("bolt", "long bolt", ("hood", "cap", "frame"))}
    )
    assert still_tied(vehicle, state_of(vehicle), {"hood", "cap"}, {"frame"}) == ("bolt",)
    assert held_to(vehicle, ["bolt"], "frame") == {"hood", "cap", "frame"}


def test_a_chain_as_long_as_a_vehicle_is_walked():
    """Two thousand parts in a row are no deeper than two."""
    names = [f"link{place}" for place in range(2000)]
    joints = {
        f"pin{place}": Joint(f"pin{place}", f"pin {place}", pair)
        for place, pair in enumerate(pairwise(names))
    }
    vehicle = buggy().with_records(joints=joints)
    ties = still_tied(vehicle, state_of(vehicle), {names[0]}, {names[-1]})
    assert ties == tuple(joints)
