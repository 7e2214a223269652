"""The problem posed: nodes, clauses and orders of small vehicles, in the trade's words."""

from dataclasses import replace

import pytest

from putback.planning.known import made_joints
from putback.planning.posing.pose import pose, targets_of
from putback.planning.posing.problem import Kind
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import HarderAfter
from putback.vehicle.goal import Goal
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely, state_of

UNIT = Assembly("unit", "the unit", ("engine", "gearbox"), likely(20))


def posed(v, kept=(), **state):
    """The problem of a vehicle as it stands."""
    return pose(v, state_of(v, **state), kept)


def node(problem, kind: Kind, what: str):
    """One node."""
    return next(n for n in problem.nodes if n.kind is kind and n.what == what)


def asks(problem, found) -> list[tuple[str, tuple[str, ...]]]:
    """What a node asks for, in words, and by which nodes."""
    return [
        (
            c.cause.words,
            tuple(f"{problem.nodes[i].kind}: {problem.nodes[i].what}" for i in c.any_of),
        )
        for c in found.clauses
    ]


def test_a_unit_asks_for_the_joints_that_lead_out_of_it_only():
    """The joint inside the unit holds a part alone, but not the unit as one."""
    v = vehicle("engine - frame", "engine - gearbox", UNIT)
    problem = posed(v)
    assert asks(problem, node(problem, Kind.PART, "part:gearbox")) == [
        ("engine-gearbox still holds it", ("undo: joint:engine-gearbox",))
    ]
    assert asks(problem, node(problem, Kind.WHOLE, "assembly:unit")) == [
        ("engine-frame still holds it", ("undo: joint:engine-frame",))
    ]


def test_a_joint_inside_a_unit_may_be_undone_on_the_bench():
    """It then asks for the unit to be out, and not for what is in its way on the vehicle."""
    v = vehicle(
        "engine - frame",
        "bell = engine - gearbox",
        "lid - frame",
        "lid blocks bell: over it",
        "gearbox blocks bell: round it",
        UNIT,
    )
    problem = posed(v)
    on_the_vehicle = asks(problem, node(problem, Kind.UNDO, "joint:bell"))
    assert ("lid in the way: over it", ("take a part off: part:lid",)) in on_the_vehicle
    assert asks(problem, node(problem, Kind.BENCH, "joint:bell")) == [
        ("it is undone once the whole is out", ("take a whole out: assembly:unit",)),
        ("gearbox in the way: round it", ("parted on the bench: part:gearbox",)),
    ]


def test_what_takes_one_part_in_two_ways_excludes_each_other():
    """The engine comes off alone or with the unit; the unit and its bench belong together."""
    v = vehicle("engine - frame", "bell = engine - gearbox", UNIT)
    problem = posed(v)
    alone, whole = (
        node(problem, Kind.PART, "part:engine"),
        node(problem, Kind.WHOLE, "assembly:unit"),
    )
    bench = node(problem, Kind.BENCH, "joint:bell")
    assert alone.excludes(whole)
    assert alone.excludes(bench)
    assert not whole.excludes(bench)


def test_a_kept_part_cannot_be_taken_off_alone_or_with_a_unit():
    """What stays on is asked never to come off: a clause that nothing fulfils."""
    problem = posed(vehicle("engine - frame", "engine - gearbox", UNIT), kept=["gearbox"])
    assert {
        n.what for n in problem.nodes if ("gearbox is to stay on", ()) in asks(problem, n)
    } == {
        "part:gearbox",
        "assembly:unit",
    }


def test_a_unit_with_one_part_left_is_no_unit():
    """With the gearbox off already, the engine comes off as itself."""
    v = vehicle("engine - frame", "engine - gearbox", UNIT)
    problem = posed(v, off=["gearbox"])
    assert Kind.WHOLE not in {n.kind for n in problem.nodes}


@pytest.mark.parametrize(
    ("off", "made"),
    [
        ({}, True),
        ({"engine": None}, False),
        ({"engine": None, "gearbox": None}, False),
        ({"engine": "unit", "gearbox": "unit"}, True),
    ],
)
def test_a_joint_holds_while_two_of_its_parts_are_together(off, made):
    """Both on, or both off with one whole; who logs that a part is off has said the rest."""
    v = vehicle("bell = engine - gearbox", UNIT)
    assert (made_joints(v, state_of(v, off=off)) == ("bell",)) is made


def test_a_joint_of_a_whole_that_is_out_is_on_the_bench():
    """It may be undone in any standing, once what is in its way inside is parted."""
    v = vehicle(
        "bell = engine - gearbox; in stands",
        "fork = gearbox - clutch",
        "clutch blocks bell",
        replace(UNIT, parts=("engine", "gearbox", "clutch")),
        standing("wheels", stands=5.0),
        standing("stands", wheels=5.0),
    )
    off = dict.fromkeys(("engine", "gearbox", "clutch"), "unit")
    problem = posed(v, off=off, standing="wheels")
    bench = node(problem, Kind.BENCH, "joint:bell")
    assert bench.standings is None
    assert asks(problem, bench) == [("clutch in the way", ("parted on the bench: part:clutch",))]
    assert asks(problem, node(problem, Kind.PARTED, "part:clutch")) == [
        ("fork still holds it inside the whole", ("undo on the bench: joint:fork",))
    ]


def test_a_standing_that_wants_something_off_asks_for_it():
    """What can only be done with the body off asks for the body, through the standing."""
    v = vehicle(
        "body - frame",
        "pipe - frame: 1 clip; in bodyless",
        standing("wheels", bodyless=5.0),
        standing("bodyless", needs_off=("body",)),
    )
    problem = posed(v, standing="wheels")
    pipe = node(problem, Kind.UNDO, "joint:pipe-frame")
    assert asks(problem, pipe) == [("it is done “bodyless”", ("stand so: standing:bodyless",))]
    assert asks(problem, node(problem, Kind.STANDING, "standing:bodyless")) == [
        ("to stand “bodyless”, body must be off", ("take a part off: part:body",))
    ]


def test_a_standing_is_reached_over_others_where_no_change_leads_to_it():
    """From the wheels one comes to the trolley only over the stands."""
    v = vehicle(
        "lid - frame",
        standing("wheels", stands=5.0),
        standing("stands", trolley=5.0),
        standing("trolley"),
    )
    problem = posed(v, standing="wheels")
    assert asks(problem, node(problem, Kind.STANDING, "standing:trolley")) == [
        ("no change leads to “trolley” directly", ("stand so: standing:stands",))
    ]


def test_a_lost_or_wrong_standing_is_not_used():
    """One bears on a part that is off, the other is how not to do it."""
    v = vehicle(
        "lid - frame: 1 clip; in wheels",
        standing("wheels", "wheel"),
        standing("tipped", wrong=True),
        standing("stands", "frame"),
        "wheel - frame",
    )
    problem = posed(v, off=["wheel"], standing="stands")
    assert problem.usable == ("stands",)
    assert asks(problem, node(problem, Kind.UNDO, "joint:lid-frame")) == [
        ("there is no standing left to do it in: “wheels” bears on wheel, off now", ())
    ]


def test_minutes_know_what_the_state_has_done_to_them():
    """Harder by what is done, quicker where it is cracked, at least what facts may still ease."""
    v = vehicle(
        "c - frame",
        "a - frame: 1 clip; 10 min",
        "b - frame: 1 clip; 10 min",
        "a - frame harder after c x 3",
        "a - frame harder after b x 0.5",
    )
    problem = posed(v, off=["c"], cracked=["a-frame", "b-frame"])
    a, b = (node(problem, Kind.UNDO, f"joint:{each}-frame") for each in "ab")
    assert (a.minutes, a.least) == (24.0, 12.0)
    assert (b.minutes, b.least) == (8.0, 8.0)


def test_what_makes_a_whole_harder_counts_for_it_and_for_its_parts():
    """A fact may speak of the whole, or of a part that comes off with it."""
    v = vehicle("engine - frame", "lid - frame", "engine harder after lid x 3", UNIT)
    fact = HarderAfter("h", "assembly:unit", "part:lid", 2.0)
    v = v.with_records(harder_afters={**v.harder_afters, "h": fact})
    problem = posed(v, off=["lid"])
    assert node(problem, Kind.WHOLE, "assembly:unit").minutes == 20.0 * 3 * 2
    other = posed(v)
    spoken_of = {fact.factor: {other.nodes[i].what for i in fact.jobs} for fact in other.harder}
    assert spoken_of == {3.0: {"part:engine", "assembly:unit"}, 2.0: {"assembly:unit"}}
    assert other.name("assembly:unit") == "the unit"


def test_the_goal_asks_for_what_is_not_done_yet():
    """Parts by name or all the rest, jobs, and joints that still tie what is off already."""
    v = vehicle("lid - frame", "strap = hose - frame - pump")
    state = state_of(v, off=["hose"])
    goal = Goal("g", "bare", "frame", on=("frame",), off_rest=True)
    problem = pose(v, state, ["frame"])
    targets = targets_of(problem, state, goal)
    whats = [sorted(problem.nodes[i].what for i in target.any_of) for target in targets]
    assert whats == [
        ["part:lid"],
        ["part:pump"],
        ["joint:strap", "part:frame"],
        ["joint:strap", "part:pump"],
    ]
