"""What a step of a strip says to record while it is there: on the job card, and not afterwards."""

from dataclasses import replace

import pytest

from putback.logbook.came_off import LOOK_FIRST
from putback.logbook.common import Common
from putback.logbook.state import JointState, MarkSeen, OpeningState, PartState
from putback.planning.check import check_strip
from putback.planning.plan import Action
from putback.planning.reach import reach
from putback.planning.strip import plan_strip
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Phase
from putback.vehicle.ids import JointId, PartId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import MarkNeeded, Part, PartKind
from putback.vehicle.run import Run, RunEnd
from tests.makers import ZONE, vehicle
from tests.planning.hand_made import said, state_of
from tests.planning.stripping import planned

CAR = vehicle(
    "shaft - frame",
    "pipe - shaft",
    "pipe - frame",
    "lid - frame",
    Part(
        "shaft",
        "shaft",
        ZONE,
        marks=(MarkNeeded("punch", "both flanges", "top"),),
        photos=("its shims", "the yoke"),
        measures=("end float",),
    ),
    Opening("ends", "pipe ends", "shaft", ("pipe-shaft", "pipe-frame"), 2, closed_with="caps"),
    Opening("vent", "vent", "lid", ("lid-frame",), needs_closing=False),
    datum="frame",
)
TO_DO = (
    "mark: punch at both flanges, top",
    "photograph: its shims; the yoke",
    "measure: end float",
)


def notes(car=CAR, **known) -> dict[str, tuple[str, ...]]:
    """The notes of each step that has some, in a plan that the checker finds nothing wrong in."""
    state = replace(state_of(car), **known)
    (goal,) = car.goals.values()
    plan = plan_strip(car, state, goal)
    assert check_strip(car, state, goal, plan) == ()
    return {step.what: step.notes for step in plan.steps if step.notes}


def test_a_part_is_marked_photographed_and_measured_before_it_comes_off():
    """Each on the step that takes it off, in the words of the description."""
    assert notes()["part:shaft"] == TO_DO


def test_a_part_that_lies_elsewhere_already_is_looked_for_first():
    """Laid away and never logged off: the strip has it still to come off, and says to look."""
    lid = PartState("lid", laid_away=said())
    assert notes(parts={"lid": lid})["part:lid"] == (LOOK_FIRST,)


def test_what_holds_a_part_by_its_name_alone_is_undone_first():
    """Logged of a list of parts: cracked or half out, it is named; undone or described, it is not.

    Whole words only: a *fan belt* says nothing of the fan.
    """
    listed = vehicle(*(Part(name, name, ZONE) for name in ("fan", "radiator")), datum="frame")
    half = JointState("j", of=4, out=2)
    found = notes(listed, joints={"radiator to panel": half, "fan belt": JointState("k")})
    told = "by its name this holds it, undo it first: "
    assert found == {
        "part:radiator": (f"{told}radiator to panel (2 of 4 out)",),
        "part:fan": (f"{told}fan belt",),
    }
    assert notes(listed, joints={"radiator to panel": replace(half, out=4)}) == {}
    flange = {"fan to radiator": JointState("k")}
    assert notes(listed, joints=flange).keys() == {"part:fan", "part:radiator"}
    off = {"fan": PartState("fan", off=said())}
    assert notes(listed, joints=flange, parts=off) == {}
    assert notes(joints={"lid - frame": JointState("j")}).keys() == notes().keys() | {"part:lid"}


def test_ends_are_closed_where_the_first_of_them_is_opened():
    """Once, with what closes them; an opening that needs no closing is not spoken of."""
    found = notes()
    (first,) = (what for what in found if what.startswith("joint:"))
    assert first in {"joint:pipe-shaft", "joint:pipe-frame"}
    assert found[first] == ("close 2 ends of pipe ends with caps",)


@pytest.mark.parametrize(
    ("known", "left"),
    [
        (PartState("shaft", marks=(MarkSeen(said(), "paint", "flange", ""),)), TO_DO[1:]),
        (PartState("shaft", common=Common(photos=("0" * 64,))), (TO_DO[0], TO_DO[2])),
        (PartState("shaft", common=Common(readings=("read",))), TO_DO[:2]),
    ],
    ids=["marked", "photographed", "measured"],
)
def test_what_was_recorded_is_not_asked_for_again(known, left):
    """The logbook has it."""
    assert notes(parts={"shaft": known})["part:shaft"] == left


@pytest.mark.parametrize(
    ("seen", "told"),
    [
        (OpeningState("ends", closed=1), [("close pipe ends with caps",)]),
        (OpeningState("ends", all_closed=True), []),
    ],
)
def test_what_is_closed_is_not_closed_again(seen, told):
    """One end of two, or both."""
    found = notes(openings={"ends": seen})
    assert [each for what, each in found.items() if what.startswith("joint:")] == told


def test_of_a_whole_each_part_is_named():
    """What comes off as one is marked part by part; what is off already is not."""
    marked = [
        Part(name, name, ZONE, marks=(MarkNeeded("scribe", ""),))
        for name in ("engine", "box", "fan")
    ]
    car = vehicle(
        "engine - frame",
        "engine - box",
        "engine - fan",
        Assembly("unit", "engine unit", ("engine", "box", "fan")),
        *marked,
        datum="frame",
    )
    (goal,) = car.goals.values()
    goal = replace(goal, off=("engine",), off_rest=False)
    plan = plan_strip(car, state_of(car, off=["fan"], undone=["engine-fan"]), goal)
    (step,) = (step for step in plan.steps if step.action is Action.TAKE_OFF)
    assert step.what == "assembly:unit"
    assert step.notes == ("mark: scribe (engine)", "mark: scribe (box)")


def test_a_run_is_drawn_out_as_it_will_go_back():
    """The order of its ends on the first of them, a cord and the way out where it is taken off."""
    hose = Run(
        PartId("hose"),
        ends=(RunEnd(JointId("hose-frame")), RunEnd(JointId("hose-shaft"))),
        comes_out="into the cabin",
        why="the block will not pass",
        before_drawing="tie a cord to it",
        undo_order=("nut out of the hose", "turn the hose out"),
    )
    car = vehicle("hose - frame", "hose - shaft", "shaft - frame", hose, datum="frame")
    found = {s.what: s.notes for s in plan_strip(car, state_of(car), car.goals["bare"]).steps}
    assert found["part:hose"] == (
        "before it is drawn: tie a cord to it",
        "it comes out: into the cabin (the block will not pass)",
    )
    ends = [found["joint:hose-frame"], found["joint:hose-shaft"]]
    assert sorted(ends) == [(), ("in this order: nut out of the hose; turn the hose out",)]


def test_who_only_wants_to_get_at_a_thing_is_told_as_well():
    """The least that must come off is a strip, too."""
    found = {step.what: step.notes for step in reach(CAR, state_of(CAR), "part:shaft").steps}
    assert found["part:shaft"] == TO_DO


def fuelled(*more, name="petrol"):
    """A tank of petrol with a pipe, and a cap on top that opens it as well."""
    return vehicle(
        Part("pipe", "pipe", ZONE, kind=PartKind.PIPE),
        "tank - frame",
        "pipe - tank",
        "cap - tank",
        Fluid("fuel", name, "tank", leaks_if_off=("tank",), drained_by="drain", hazard="fire"),
        Opening("o", "outlet", "tank", ("pipe-tank",), fluid="fuel", needs_closing=False),
        Opening("c", "neck", "tank", ("cap-tank",), fluid="fuel", needs_closing=False),
        Job("drain", "drain it", JobKind.DRAIN, fluid="fuel"),
        *more,
        datum="frame",
    )


def warned(car, **state) -> list[str]:
    """The steps of its strip that warn of what runs out."""
    words = f"{car.fluids['fuel'].name} is still in and runs out here (fire): drain it first"
    return [step.what for step in planned(car, **state).steps if words in step.cautions]


def test_what_runs_out_is_warned_of_where_nobody_said_that_it_is_drained_first():
    """Once, where it is let out; not of a cap, and not once it is out."""
    car = fuelled(name="oil")
    assert warned(car) == ["joint:pipe-tank"]
    assert warned(car, undone=["pipe-tank"]) == ["part:tank"]
    assert warned(car, done=["drain"]) == []
    assert warned(fuelled("drain before pipe - tank: fuel out", name="oil")) == []


def test_petrol_without_a_job_that_drains_it_is_warned_of():
    """Nothing else can be done about it: nobody described one of the strip."""
    car = fuelled()
    assert warned(
        car.with_records(jobs={"drain": replace(car.jobs["drain"], phase=Phase.REBUILD)})
    ) == ["joint:pipe-tank"]
