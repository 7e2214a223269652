"""What holds what up, against networkx: held is reachable, what swings hangs on a bridge."""

from itertools import pairwise
from random import Random

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.planning.held.holding import Hold, Links
from putback.vehicle.joint import Joint
from putback.vehicle.part import RUN_KINDS, Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.makers import joint as made_joint
from tests.makers import standing, vehicle
from tests.planning.hand_made import table


def held_of(v, *undone, off=(), rest_on=("frame",)) -> Hold:
    """What holds, with some joints undone."""
    hold = Hold(Links(v, v.joints))
    hold.rest_on(hold.links.numbers(rest_on))
    for joint in undone:
        hold.undo(joint)
    hold.take_off(off)
    return hold


def names(hold, numbers) -> set[str]:
    """The parts of these numbers."""
    return {hold.links.parts[number] for number in numbers}


def lets_go(hold, joint) -> list[set[str]]:
    """What a joint lets go, by name."""
    return [names(hold, piece) for piece in hold.lets_go(hold.links.joint_at[joint])]


HOSE = Part("hose", "hose", "here", kind=PartKind.HOSE)


def test_a_part_comes_away_with_its_last_joint():
    """Two joints hold the pump; the second lets it go, and what is bolted to it."""
    v = vehicle("a = pump - frame", "b = pump - frame", "pulley - pump")
    assert lets_go(held_of(v), "a") == []
    assert lets_go(held_of(v, "a"), "b") == [{"pump", "pulley"}]
    assert lets_go(held_of(v, "a", off=("pulley",)), "b") == [{"pump"}]


def test_what_the_supports_bear_on_is_held():
    """Stood on the axle, it is the frame that comes away."""
    v = vehicle("axle - frame", "lid - frame", standing("stands", "axle"))
    hold = held_of(v, rest_on=())
    hold.rest_on(hold.links.under("stands"))
    assert lets_go(hold, "axle-frame") == [{"frame", "lid"}]
    hold.borne = hold.links.numbers(["lid"])
    assert lets_go(hold, "axle-frame") == []


def test_what_was_not_held_before_is_not_let_go():
    """The lid lies loose already: undoing what it is bolted to changes nothing."""
    v = vehicle("lid - frame", "knob - lid")
    assert lets_go(held_of(v, "lid-frame"), "knob-lid") == []


def test_a_hose_holds_nothing_up_but_something_may_hang_on_it():
    """The pump hangs on the hose while that leads on to the frame."""
    v = vehicle("pump - frame", "hose - pump", "hose - frame", HOSE)
    hold = held_of(v)
    joint_at = hold.links.joint_at
    (piece,) = hold.lets_go(joint_at["pump-frame"])
    (on_run,) = hold.hangs_on(piece, joint_at["pump-frame"])
    assert names(hold, [on_run.run]) == {"hose"}
    assert on_run.near == (joint_at["hose-pump"],)
    assert on_run.far == (joint_at["hose-frame"],)
    hold.undo("hose-frame")
    assert hold.hangs_on(piece, joint_at["pump-frame"]) == []


def test_a_part_swings_on_the_one_joint_that_is_left():
    """Before the stay is undone two hold the door, after it the hinge alone."""
    v = vehicle("hinge = door - frame", "stay = door - frame")
    hold = held_of(v)
    at = hold.links.joint_at
    door = hold.links.part_at["door"]
    everything = range(len(v.joints))
    assert hold.hinges(at["stay"], door, everything) == [at["hinge"]]
    assert hold.hinges(at["stay"], door, []) == []


def test_what_swung_before_is_not_told_again():
    """Bracket and all hang on one joint all the time: undoing a part of it changes nothing."""
    v = vehicle("bracket - frame", "a = lamp - bracket", "b = lamp - bracket")
    hold = held_of(v)
    at = hold.links.joint_at
    lamp = hold.links.part_at["lamp"]
    assert hold.hinges(at["a"], lamp, [at["bracket-frame"]]) == []
    assert hold.hinges(at["a"], lamp, [at["bracket-frame"], at["b"]]) == [at["b"]]


# -- against networkx -----------------------------------------------------------------------------


HELD_BY = st.sampled_from(("2 bolt M8x1.25x20", "2 hose clip 20 mm", "2 bolt M8x1.25x20"))


@st.composite
def holds(draw) -> tuple[Vehicle, Hold]:
    """A tangle of parts, runs and joints, some undone, some off, resting on one or two."""
    parts = [f"p{n}" for n in range(draw(st.integers(2, 9)))]
    kinds = st.sampled_from((PartKind.PART, PartKind.PART, PartKind.PART, PartKind.HOSE))
    ends = st.lists(st.sampled_from(parts), min_size=2, max_size=3, unique=True)
    joints = [
        made_joint(f"j{n} = {' - '.join(each)}: {draw(HELD_BY)}")
        for n, each in enumerate(draw(st.lists(ends, min_size=1, max_size=14)))
    ]
    under = draw(st.lists(st.sampled_from(parts), max_size=2))
    v = Vehicle(
        About("t", "t"),
        parts=table(*(Part(p, p, "z", kind=draw(kinds)) for p in parts)),
        joints=table(*joints),
        standings=table(
            Standing(
                "s", "s", tuple(Support(f"s{n}", "s", p, (0, 0)) for n, p in enumerate(under))
            )
        ),
    )
    hold = Hold(Links(v, v.joints))
    hold.rest_on(hold.links.under("s"))
    for joint in draw(st.lists(st.sampled_from(joints), max_size=4)):
        hold.undo(joint.id)
    hold.take_off(draw(st.lists(st.sampled_from(parts), max_size=2)))
    return v, hold


def graph_of(v: Vehicle, hold: Hold, *, loose: bool, without=()) -> nx.Graph:
    """Joints beside the parts that they join, and the ground beside what it carries."""
    links, graph = hold.links, nx.Graph()
    bolted = {j.id for j in v.joints.values() if j.fixings[0].stack[0].spec.kind == "bolt"}
    tied = {p for j in v.joints.values() for p in j.parts}
    tied -= {p for j in bolted for p in v.joints[j].parts}
    tied -= {s.bears_on for s in v.standings["s"].supports}
    lying = tied | {p for p in v.parts if v.parts[p].kind in RUN_KINDS}
    graph.add_node("ground")
    for number, part in enumerate(links.parts):
        if hold.on[number]:
            graph.add_node(part)
            if number in hold.ground:
                graph.add_edge("ground", part)
    for number, joint in enumerate(links.joints):
        on = [p for p in v.joints[joint].parts if hold.on[links.part_at[p]]]
        stiff = joint in bolted and lying.isdisjoint(v.joints[joint].parts)
        if hold.made[number] and joint not in without and (loose or stiff):
            graph.add_edges_from((f"/{joint}", part) for part in on)
    return graph


def held(graph: nx.Graph) -> set[str]:
    """What is connected with the ground."""
    return nx.node_connected_component(graph, "ground")


@given(holds())
def test_held_is_what_networkx_reaches(case):
    """A part is held exactly if a way of stiff joints leads to what the supports bear on."""
    v, hold = case
    reached = held(graph_of(v, hold, loose=False))
    for number, part in enumerate(hold.links.parts):
        if hold.on[number]:
            assert hold.is_held(number) == (part in reached)


@given(holds())
def test_what_is_let_go_is_what_networkx_reaches_no_more(case):
    """What a joint lets go was reached before and is not after, in the pieces that are left."""
    v, hold = case
    links = hold.links
    before = held(graph_of(v, hold, loose=False))
    for number, joint in enumerate(links.joints):
        if not hold.made[number]:
            continue
        then = graph_of(v, hold, loose=False, without=[joint])
        lost = {p for p in before - held(then) if p in links.part_at}
        pieces = [names(hold, piece) for piece in hold.lets_go(number)]
        assert set().union(*pieces) == lost
        for piece in pieces:
            assert {p for p in nx.node_connected_component(then, min(piece)) if p in v.parts} == (
                piece
            )


def test_a_joint_of_a_run_that_is_off_still_holds_loosely():
    """The hose is off, the clip that held it to both still ties the pump to the frame."""
    v = vehicle("pump - frame", "clip = pump - hose - frame", HOSE)
    hold = held_of(v, off=("hose",))
    (piece,) = hold.lets_go(hold.links.joint_at["pump-frame"])
    assert hold.hangs_on(piece, hold.links.joint_at["pump-frame"])


def test_nothing_hangs_on_a_hose_that_is_off():
    """Off with one end still at the pump, it leads nowhere, wherever its other joints were."""
    v = vehicle("pump - frame", "end = pump - hose", "clip = hose - rail - frame", HOSE)
    hold = held_of(v, off=("hose",))
    (piece,) = hold.lets_go(hold.links.joint_at["pump-frame"])
    assert hold.hangs_on(piece, hold.links.joint_at["pump-frame"]) == []


@given(holds())
def test_what_hangs_is_what_networkx_reaches_by_any_joint(case):
    """A piece that is let go hangs if, and only if, joints of any sort lead on to what is held."""
    v, hold = case
    for number, joint in enumerate(hold.links.joints):
        for piece in hold.lets_go(number):
            any_sort = graph_of(v, hold, loose=True, without=[joint])
            hangs = "ground" in nx.node_connected_component(any_sort, hold.links.parts[min(piece)])
            on_runs = hold.hangs_on(piece, number)
            assert bool(on_runs) == hangs
            for each in on_runs:
                cut = [hold.links.joints[j] for j in each.near]
                parted = graph_of(v, hold, loose=True, without=[joint, *cut])
                run = None if each.run is None else hold.links.parts[each.run]
                assert not any(parted.has_edge(f"/{j}", run) for j in cut)
            every = [hold.links.joints[j] for each in on_runs for j in each.near]
            parted = graph_of(v, hold, loose=True, without=[joint, *every])
            own = nx.node_connected_component(parted, hold.links.parts[min(piece)])
            assert "ground" not in own


@given(holds())
def test_what_swings_hangs_on_a_bridge_of_networkx(case):
    """The hinge parts a part from the ground after the joint is undone, and did not before."""
    v, hold = case
    links = hold.links
    for number, joint in enumerate(links.joints):
        if not hold.made[number] or hold.lets_go(number):
            continue
        before = graph_of(v, hold, loose=False)
        after = graph_of(v, hold, loose=False, without=[joint])
        for part in v.joints[joint].parts:
            at = links.part_at[part]
            if not hold.on[at] or not hold.is_held(at):
                continue

            def parts_it(graph, hinge, part=part):
                return not nx.has_path(nx.restricted_view(graph, [hinge], []), part, "ground")

            hinges = {
                j
                for j in v.joints
                if after.has_node(f"/{j}")
                and parts_it(after, f"/{j}")
                and not parts_it(before, f"/{j}")
            }
            found = hold.hinges(number, at, range(len(links.joints)))
            assert {links.joints[each] for each in found} == hinges


@pytest.mark.parametrize("seed", range(5))
def test_a_copy_goes_its_own_way(seed):
    """What is undone on a copy still holds on the original."""
    v = vehicle(*(f"j{n} = p{n} - p{n + 1}" for n in range(6)))
    hold = held_of(v, rest_on=("p0",))
    twin = hold.copy()
    joint = Random(seed).choice(list(v.joints))
    twin.undo(joint)
    twin.take_off(["p6"])
    assert hold.is_held(hold.links.part_at["p6"])
    assert not twin.is_held(hold.links.part_at["p6"])


def network(choose: Random) -> Vehicle:
    """Parts in a ring or a chain with joints across, some of them runs, stood in two ways."""
    parts = [f"p{n}" for n in range(choose.randint(3, 9))]
    kinds = (PartKind.PART,) * 5 + (PartKind.HOSE,)
    ends = [*pairwise(parts)]
    ends += [choose.sample(parts, choose.choice((2, 2, 3))) for _ in range(choose.randint(0, 6))]
    return Vehicle(
        About("t", "t"),
        parts=table(*(Part(p, p, "z", kind=choose.choice(kinds)) for p in parts)),
        joints=table(*(Joint(f"j{n}", f"j{n}", tuple(each)) for n, each in enumerate(ends))),
        standings=table(
            *(
                Standing(name, name, (Support("s", "s", choose.choice(parts), (0, 0)),))
                for name in ("one", "other")
            )
        ),
    )


def change(hold: Hold, choose: Random) -> None:
    """Undo something, take something off, or let it rest otherwise."""
    links = hold.links
    match choose.choice(("undo", "off", "bear", "bear", "stand")):
        case "undo":
            hold.undo(choose.choice(links.joints))
        case "off":
            hold.take_off([choose.choice(links.parts)])
        case "bear":
            hold.borne = frozenset(choose.sample(range(len(links.parts)), choose.randint(0, 2)))
        case "stand":
            hold.rest_on(links.under(choose.choice(("one", "other"))))


@given(st.integers(0, 2**32))
def test_what_is_asked_on_the_way_is_what_a_fresh_hold_says(seed):
    """Ways that were found before anything was undone, borne or stood otherwise mislead nobody."""
    choose = Random(seed)
    v = network(choose)
    links = Links(v, v.joints)
    holds = [Hold(links)]
    for _ in range(20):
        hold = choose.choice(holds)
        if choose.random() < 0.3 and len(holds) < 3:
            holds.append(hold.copy())
        change(hold, choose)
        fresh = Hold(links)
        fresh.made[:], fresh.on[:] = hold.made, hold.on
        fresh.rest_on(hold.ground)
        fresh.borne = hold.borne
        joint, other = choose.randrange(len(links.joints)), choose.randrange(len(links.parts))
        assert hold.lets_go(joint) == fresh.lets_go(joint)
        for part in choose.sample(range(len(links.parts)), len(links.parts)):
            assert hold.unheld(part) == fresh.unheld(part)
            assert hold.apart(part, other, joint) == fresh.apart(part, other, joint)
