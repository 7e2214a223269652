"""What is one with the vehicle, kept up joint by joint, against a fresh look by networkx."""

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from putback.planning.weight.anchored import Anchored
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part, PartKind
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import table

NAMES = "abcdefg"
pairs = st.lists(st.sampled_from(NAMES), min_size=1, max_size=3, unique=True)


def vehicle_of(joints) -> Vehicle:
    """Parts a to f, and a hose g, held by these joints."""
    kinds = dict.fromkeys(NAMES, PartKind.PART) | {"g": PartKind.HOSE}
    return Vehicle(
        About("v", "v"),
        parts=table(*(Part(name, name, "all", kind=kinds[name]) for name in NAMES)),
        joints=table(
            *(Joint(f"j{number}", "bolt", tuple(parts)) for number, parts in enumerate(joints))
        ),
    )


def fresh(vehicle: Vehicle, made, off, anchor) -> set[str]:
    """All that is one with the anchor, and all that has no joint."""
    graph = nx.Graph()
    graph.add_nodes_from(set(NAMES) - off)
    for joint in vehicle.joints.values():
        if joint.id in made and "g" not in joint.parts:
            on = [part for part in joint.parts if part not in off]
            graph.add_edges_from((one, other) for one in on for other in on if one != other)
    jointed = {part for joint in vehicle.joints.values() for part in joint.parts}
    near = nx.node_connected_component(graph, anchor) if anchor in graph else set()
    return (set(NAMES) & near) | (set(NAMES) - jointed)


@given(st.lists(pairs, max_size=12), st.data())
def test_after_any_moves_it_is_what_a_fresh_look_finds(joints, data):
    """Undone, made, off, on, another anchor: the tree always spans what is one."""
    vehicle = vehicle_of(joints)
    made, off, anchor = set(vehicle.joints), set(), "a"
    anchored = Anchored(vehicle, made, off, anchor)
    moves = st.tuples(
        st.sampled_from(["undo", "make", "take_off", "put_on", "hold_to"]),
        st.sampled_from(NAMES),
        st.sampled_from(sorted(vehicle.joints) or ["none"]),
    )
    for move, part, joint in data.draw(st.lists(moves, max_size=25)):
        match move:
            case "undo" | "make" if vehicle.joints:
                (made.discard if move == "undo" else made.add)(joint)
                getattr(anchored, move)(joint)
            case "take_off":
                off.add(part)
                anchored.take_off(part)
            case "put_on":
                off.discard(part)
                anchored.put_on(part)
            case "hold_to" if part not in off:
                anchor = part
                anchored.hold_to(part)
        found = {name for name in NAMES if anchored(name)}
        assert found == fresh(vehicle, made, off, anchor)


def test_without_an_anchor_only_what_has_no_joint_counts():
    """A part that nobody said is joined to anything is taken as one with the vehicle."""
    anchored = Anchored(vehicle_of([["a", "b"]]), ["j0"], (), None)
    assert [name for name in NAMES if anchored(name)] == list("cdefg")
