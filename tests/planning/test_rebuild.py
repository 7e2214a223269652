"""The rebuild, one story each, on vehicles of a few parts; every plan passes the checker."""

from dataclasses import replace
from itertools import pairwise

import pytest

from putback.errors import ImpossibleGoal, Stopped
from putback.logbook.common import Away, Common
from putback.logbook.entries.judging import Choice
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import (
    Check,
    FitState,
    FluidState,
    Gone,
    JobState,
    JointState,
    MarkSeen,
    OpeningState,
    PartState,
)
from putback.planning.plan import Action, Because, PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.progress import Stoppable
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Phase
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import (
    Consumable,
    Does,
    FinalWhen,
    Shim,
    ShimPack,
    Stage,
    Tightening,
    TorqueOrigin,
    WhenUndone,
)
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import MarkNeeded, Part, PartKind
from putback.vehicle.run import Passage, Run, RunEnd
from putback.vehicle.standing import Support, TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely, said
from tests.planning.rebuilding import (
    apart,
    assert_order,
    line_of,
    lines,
    plan_of,
    step_in,
    with_joint,
    with_part,
    with_states,
)


def job(name: str, kind: JobKind, **more) -> Job:
    """A job of the rebuild."""
    return Job(name, name, kind, more.pop("phase", Phase.REBUILD), **more)


# -- what has to be done --------------------------------------------------------------------------


def test_a_whole_vehicle_asks_for_nothing():
    """Where nothing is apart, the plan is empty and costs nothing."""
    car = vehicle("lid - frame", job("start", JobKind.RUN), datum="frame")
    plan = plan_of(car, apart(car))
    assert plan.steps == ()
    assert plan.total_minutes == plan.bound_minutes == 0


def test_what_came_off_goes_back():
    """A part is put on, its joint made, then tightened."""
    car = vehicle("lid - frame: 2 bolt M8; 10 min", datum="frame")
    plan = plan_of(car, apart(car, "lid-frame", "lid"))
    assert lines(plan) == ["put on lid", "make lid-frame", "tighten lid-frame"]
    assert [step.minutes for step in plan.steps] == [0, 5, 5]
    assert all(step.reasons for step in plan.steps)


def test_a_part_that_nobody_saw_undone_is_fastened_all_the_same():
    """Off is off: the joint was undone, though nobody wrote it down."""
    car = vehicle("lid - frame", datum="frame")
    assert "make lid-frame" in lines(plan_of(car, apart(car, "lid")))


def test_half_of_the_bolts_are_out():
    """A joint of which three of four fixings are out is made and tightened again."""
    car = vehicle("lid - frame: 4 bolt M8", datum="frame")
    state = with_states(apart(car), "joints", [JointState("lid-frame", of=4, out=3)])
    assert lines(plan_of(car, state)) == ["make lid-frame", "tighten lid-frame"]


def test_a_rebuild_begun_goes_on_where_it_stands():
    """Finger tight is tightened, tight is left, nipped and waiting is finished."""
    car = vehicle("a - frame", "b - frame", "c - frame", "d - frame; critical", datum="frame")
    car = with_joint(car, "c-frame", final_when=FinalWhen.GAPS_SET)
    made = [
        JointState("a-frame", made=said(), tightness=Tightness.FINGER_TIGHT),
        JointState("b-frame", made=said(), tightness=Tightness.FINAL),
        JointState("c-frame", made=said(), tightness=Tightness.NIPPED),
        JointState("d-frame", made=said(), tightness=Tightness.FINAL),
    ]
    state = with_states(apart(car), "joints", made)
    assert sorted(lines(plan_of(car, state))) == [
        "check d-frame",
        "finish c-frame",
        "tighten a-frame",
    ]


def test_a_checked_joint_is_not_checked_again():
    """A critical joint that somebody found right asks for nothing."""
    car = vehicle("d - frame; critical", datum="frame")
    right = Check(said(), right=True, second_person=True, note="")
    done = JointState("d-frame", made=said(), tightness=Tightness.FINAL, checks=(right,))
    assert plan_of(car, with_states(apart(car), "joints", [done])).steps == ()


def test_a_finishing_job_done_since_has_finished_the_joint():
    """A nipped joint is not finished twice, once the job that names it is done."""
    car = vehicle(
        "lid - frame", job("torque", JobKind.TIGHTEN, joints=("lid-frame",)), datum="frame"
    )
    car = with_joint(car, "lid-frame", final_when=FinalWhen.GAPS_SET)
    nipped = JointState("lid-frame", made=said(1), tightness=Tightness.NIPPED)
    state = with_states(apart(car), "joints", [nipped])
    assert lines(plan_of(car, state)) == ["do torque"]
    state = with_states(state, "jobs", [JobState("torque", done=said(2))])
    assert plan_of(car, state).steps == ()


def test_jobs_on_what_was_never_touched_are_left_out():
    """A job belongs to the plan if it names nothing, or something that is worked on."""
    car = vehicle(
        "lid - frame",
        "pump - frame",
        job("chase threads", JobKind.PREPARE),
        job("set the lid", JobKind.SET, joints=("lid-frame",)),
        job("set the pump", JobKind.SET, joints=("pump-frame",)),
        job("look at the pump", JobKind.CHECK, parts=("pump",)),
        "set the pump before set the lid (rebuild)",
        datum="frame",
    )
    done = lines(plan_of(car, apart(car, "lid-frame", "lid")))
    assert [each for each in done if each.startswith("do")] == [
        "do chase threads",
        "do set the lid",
    ]


def test_a_fact_asks_for_a_job_of_the_strip_that_was_skipped():
    """What comes first in strip and rebuild alike is done now, if nobody did it then."""
    car = vehicle(
        "lid - frame",
        Job("dead", "battery off", JobKind.PREPARE),
        "dead before lid - frame: no sparks (both)",
        datum="frame",
    )
    assert lines(plan_of(car, apart(car, "lid-frame", "lid")))[0] == "do dead"
    state = apart(car, "lid-frame", "lid", done=["dead"])
    assert "do dead" not in lines(plan_of(car, state))


# -- loose before tight ---------------------------------------------------------------------------


def test_all_joints_of_a_part_are_made_before_one_is_tightened():
    """Three brackets of one tank go in loose, then all are tightened."""
    car = vehicle(
        "one = tank - frame; tool spanner",
        "two = tank - frame; tool socket",
        "three = tank - frame; tool spanner",
        datum="frame",
    )
    plan = plan_of(car, apart(car, "one", "two", "three", "tank"))
    done = [each.partition(" ")[0] for each in lines(plan)]
    assert done == ["put", "make", "make", "make", "tighten", "tighten", "tighten"]
    reasons = step_in(plan, "tighten one").reasons
    assert "the 3 joints that hold it now are all made loose first" in [r.words for r in reasons]


def test_loose_before_tight_gives_way_to_what_has_to_be_tight():
    """A joint that must be tight before another is made is tightened first."""
    car = vehicle(
        "one = tank - frame",
        "two = tank - frame",
        "one before two: it is bent round it (rebuild)",
        datum="frame",
    )
    assert_order(plan_of(car, apart(car, "one", "two", "tank")), "tighten one", "make two")


def test_every_end_of_a_pipe_is_started_before_one_is_tightened():
    """One end is on what goes on late: the other waits loose for it."""
    car = vehicle("pipe - frame", "box - frame", "pipe - box", datum="frame")
    car = with_part(car, "pipe", kind=PartKind.PIPE)
    car = car.with_records(runs={"pipe": Run("pipe", (RunEnd("pipe-frame"), RunEnd("pipe-box")))})
    plan = plan_of(car, apart(car, "pipe-box", "pipe-frame", "pipe", "box-frame", "box"))
    assert_order(plan, "make pipe-frame", "tighten pipe-box")
    assert_order(plan, "make pipe-box", "tighten pipe-frame")


def test_the_hose_end_that_turns_is_fitted_first():
    """It is made and tightened before the other end is held."""
    car = vehicle("hose - frame", "hose - calliper", "calliper - frame", datum="frame")
    ends = (RunEnd("hose-frame"), RunEnd("hose-calliper", turns=True))
    car = car.with_records(runs={"hose": Run("hose", ends)})
    plan = plan_of(car, apart(car, "hose-frame", "hose-calliper", "hose"))
    assert_order(plan, "make hose-calliper", "tighten hose-calliper", "make hose-frame")


def test_a_part_that_was_put_on_loose_before_is_not_tightened_at_one_end():
    """The joints of a part put on in an earlier sitting are all made before one is tightened."""
    car = vehicle("one = tank - frame", "two = tank - frame", datum="frame")
    state = apart(car, "one", "two")
    state = with_states(state, "parts", [PartState("tank", on=said(9))])
    done = [each.partition(" ")[0] for each in lines(plan_of(car, state))]
    assert done == ["make", "make", "tighten", "tighten"]


def test_two_parts_put_on_loose_before_are_not_tightened_at_one_end():
    """Both parts of two open joints were put on in an earlier sitting."""
    car = vehicle("one = tank - frame", "two = tank - frame", datum="frame")
    state = apart(car, "one", "two")
    on = [PartState("tank", on=said(9)), PartState("frame", on=said(8))]
    done = [
        each.partition(" ")[0] for each in lines(plan_of(car, with_states(state, "parts", on)))
    ]
    assert done == ["make", "make", "tighten", "tighten"]


# -- in the way, turned round ---------------------------------------------------------------------


def test_what_was_in_the_way_goes_on_after():
    """The lid comes after the joint and the part that it covers; both are tight by then."""
    car = vehicle(
        "lid - frame",
        "pump - frame",
        "fan - frame",
        "lid blocks pump - frame: no room for the spanner",
        "lid blocks fan: it lies under it",
        datum="frame",
    )
    state = apart(car, "lid-frame", "lid", "pump-frame", "pump", "fan-frame", "fan")
    plan = plan_of(car, state)
    assert_order(plan, "tighten pump-frame", "put on lid")
    assert_order(plan, "put on fan", "put on lid")
    words = [reason.words for reason in step_in(plan, "put on lid").reasons]
    assert "the lid is in the way of the pump-frame: no room for the spanner" in words


def test_one_of_two_covers_may_go_on_early():
    """Of lid and shield either leaves room; a fact wants the shield on first, so the lid waits."""
    car = vehicle(
        "lid - frame",
        "shield - frame",
        "pump - frame",
        "lid or shield blocks pump - frame",
        "shield before pump - frame: it is behind it (rebuild)",
        datum="frame",
    )
    order = ["shield-frame", "shield", "pump-frame", "pump", "lid-frame", "lid"]
    plan = plan_of(car, apart(car, *order))
    assert_order(plan, "put on shield", "tighten pump-frame", "put on lid")


def test_of_two_ways_the_one_that_worked_in_the_strip_is_taken():
    """Nothing else decides: what came off first of the two goes on last."""
    car = vehicle("a - frame", "b - frame", "c - frame", "a or b blocks c - frame", datum="frame")
    for first, then in (("a", "b"), ("b", "a")):
        order = [f"{first}-frame", first, "c-frame", "c", f"{then}-frame", then]
        assert_order(plan_of(car, apart(car, *order)), "tighten c-frame", f"put on {first}")


def test_what_never_came_off_says_nothing_and_what_is_back_already_warns():
    """The joint was reached somehow; a cover put back too soon may have to come off again."""
    car = vehicle("lid - frame", "pump - frame", "lid blocks pump - frame: no room", datum="frame")
    state = apart(car, "pump-frame", "pump")
    assert step_in(plan_of(car, state), "make pump-frame").cautions == ()
    state = with_states(state, "parts", [PartState("lid", on=said(9))])
    (caution,) = step_in(plan_of(car, state), "make pump-frame").cautions
    assert caution == "the lid may have to come off again: in the way (no room)"


def test_what_is_gone_for_good_is_in_nobodys_way():
    """A lost cover without a successor does not hold up what it covered."""
    car = vehicle("lid - frame", "pump - frame", "lid blocks pump - frame", datum="frame")
    state = apart(car, "lid-frame", "lid", "pump-frame", "pump", gone=["lid"])
    assert "tighten pump-frame" in lines(plan_of(car, state))


# -- wholes and the bench -------------------------------------------------------------------------


def unit():
    """Engine, clutch and gearbox that come out as one; the gearbox covers the clutch."""
    return vehicle(
        "engine - frame",
        "clutch - engine",
        "gearbox - engine",
        "gearbox blocks clutch - engine: it covers it",
        Assembly("unit", "engine unit", ("engine", "clutch", "gearbox"), likely(30), crew=2),
        datum="frame",
    )


def test_what_came_off_as_one_goes_back_as_one():
    """Its joints are made on the bench, what was in the way there last, then it goes on whole."""
    car = unit()
    order = ["engine-frame", "unit=engine+clutch+gearbox", "gearbox-engine", "clutch-engine"]
    plan = plan_of(car, apart(car, *order))
    assert_order(
        plan,
        "tighten clutch-engine",
        "make gearbox-engine",
        "tighten gearbox-engine",
        "put on unit",
        "make engine-frame",
    )
    step = step_in(plan, "put on unit")
    assert (step.minutes, step.crew) == (30, 2)
    assert any(
        r.words == "it is made on the bench, before the engine unit goes on" for r in step.reasons
    )


def test_a_whole_that_was_never_parted_goes_on_as_it_is():
    """What is still together inside is left alone."""
    car = unit()
    state = apart(car, "engine-frame", "unit=engine+clutch+gearbox")
    assert lines(plan_of(car, state)) == [
        "put on unit",
        "make engine-frame",
        "tighten engine-frame",
    ]


def test_what_came_off_in_pieces_goes_back_in_pieces():
    """Nothing went out as a whole, so nothing goes in as one."""
    car = unit()
    order = ["gearbox-engine", "gearbox", "clutch-engine", "clutch", "engine-frame", "engine"]
    plan = plan_of(car, apart(car, *order))
    assert_order(plan, "put on engine", "put on clutch", "tighten clutch-engine", "put on gearbox")


def test_a_fact_can_ask_for_an_inner_joint_after_the_whole_is_on():
    """It is made on the vehicle then, not on the bench."""
    car = vehicle(
        "engine - frame",
        "pump - engine",
        "engine - frame before pump - engine: it hangs on the hoist (rebuild)",
        Assembly("unit", "engine unit", ("engine", "pump")),
        datum="frame",
    )
    plan = plan_of(car, apart(car, "engine-frame", "unit=engine+pump", "pump-engine"))
    assert_order(plan, "put on unit", "tighten engine-frame", "make pump-engine")


# -- runs, notes and what is used up --------------------------------------------------------------


def test_a_run_is_drawn_through_what_is_there_before_its_ends_are_made():
    """The loom waits for the bulkhead with its grommet; the step says how it came out."""
    car = vehicle("bulkhead - frame", "loom - frame", "loom - lamp", "lamp - frame", datum="frame")
    run = Run(
        "loom",
        (RunEnd("loom-frame"), RunEnd("loom-lamp")),
        route=("past the pump",),
        passages=(Passage("grommet", "bulkhead"),),
        comes_out="into the cabin",
        why="the block will not pass",
        fit_order=("block last",),
    )
    car = car.with_records(runs={"loom": run})
    order = ["loom-lamp", "loom-frame", "loom", "bulkhead-frame", "bulkhead"]
    plan = plan_of(car, apart(car, *order))
    assert_order(plan, "put on bulkhead", "put on loom", "make loom-lamp")
    assert step_in(plan, "put on loom").notes == (
        "drawn in from where it came out: into the cabin (the block will not pass)",
        "way: past the pump",
        "fit: block last",
    )


def test_single_use_pieces_are_renewed_when_the_joint_is_made():
    """They are counted over all holes; what is used again is not named."""
    car = vehicle("hub - frame: 4 bolt M8 + split pin 2 mm!", datum="frame")
    plan = plan_of(car, apart(car, "hub-frame", "hub"))
    assert step_in(plan, "make hub-frame").renew == ("4 × split pin 2 mm",)
    assert step_in(plan, "tighten hub-frame").renew == ()


def test_a_step_says_what_to_look_at():
    """Marks as they were made, heads and stacks, shims, what is used up, how tight."""
    car = vehicle("hub - frame: 1 bolt M8 + cup washer, 8 mm + nut M8", datum="frame")
    fixing = replace(car.joints["hub-frame"].fixings[0], head="forwards")
    car = with_joint(
        car,
        "hub-frame",
        fixings=(fixing,),
        shims=(ShimPack("front leg", (Shim(0.001), Shim(0.0005)), order="thick first"),),
        consumables=(Consumable("sealant", "thin"), Consumable("grease")),
        tightening=Tightening(
            22.0, TorqueOrigin.HANDBOOK, "dry", (Stage(10.0), Stage(angle_deg=90)), "crosswise"
        ),
    )
    car = with_part(car, "hub", marks=(MarkNeeded("punch", "its rim"),), cautions=("sharp",))
    state = apart(car, "hub-frame", "hub")
    plan = plan_of(car, state)
    assert step_in(plan, "put on hub").notes == ("mark: punch at its rim",)
    assert step_in(plan, "put on hub").cautions == ("sharp",)
    stack = car.joints["hub-frame"].fixings[0].stack
    assert step_in(plan, "make hub-frame").notes == (
        "heads: forwards",
        f"in this order: {' → '.join(piece.spec.text for piece in stack)}",
        "shims front leg: 1 mm + 0.5 mm, thick first",
        "sealant, thin",
        "grease",
    )
    tight = step_in(plan, "tighten hub-frame")
    assert tight.notes == ("crosswise",)
    assert tight.torque == (
        "22 N·m (16 lbf·ft), stage 10 N·m (89 lbf·in), then 90°, dry, handbook figure"
    )
    made = replace(state.parts["hub"], marks=(MarkSeen(said(), "paint", "its rim", "top"),))
    marked = plan_of(car, with_states(state, "parts", [made]))
    assert step_in(marked, "put on hub").notes == ("mark: paint at its rim, top",)


def test_what_lets_go_is_held_and_warned_of():
    """The prop stands until the joint is made; a spring under load is a caution."""
    car = vehicle("spring - frame", datum="frame")
    flies = WhenUndone(Does.FLIES, "towards the wing", "compress it")
    car = with_joint(car, "spring-frame", when_undone=flies)
    plan = plan_of(car, apart(car, "spring-frame", "spring"))
    assert step_in(plan, "put on spring").prop_first == "compress it"
    warned = step_in(plan, "make spring-frame").cautions
    assert warned == ("a spring is under load: towards the wing",)


# -- what is not here -----------------------------------------------------------------------------


def test_a_part_at_the_plater_is_planned_after_all_that_can_be_done_without_it():
    """Its step says what it waits for, and so does what is on order or to be made."""
    car = vehicle("a - frame", "b - frame", "c - frame", "d - frame", "e - frame", datum="frame")
    off = [name for part in "abcde" for name in (f"{part}-frame", part)]
    state = apart(car, *off)
    away = Away(said(), "the plater", "chrome", "2031-05-02")
    commons = {
        "e": Common(sent_out=away),
        "d": Common(ordered=(Away(said(), "the shop"),)),
        "c": Common(choice=Choice.MAKE),
        "b": Common(choice=Choice.REPLACE),
    }
    state = with_states(
        state, "parts", [replace(state.parts[p], common=each) for p, each in commons.items()]
    )
    plan = plan_of(car, state)
    assert lines(plan)[:3] == ["put on a", "make a-frame", "tighten a-frame"]
    assert {step.what: step.waits_for for step in plan.steps if step.waits_for} == {
        "part:e": "e: at the plater for chrome, due 2031-05-02",
        "part:d": "d: on order from the shop",
        "part:c": "c: to be made",
        "part:b": "b: a new one, not on order yet",
    }


def test_hardware_on_order_is_waited_for_too():
    """A joint that wants new bolts says so."""
    car = vehicle("a - frame", datum="frame")
    state = apart(car, "a-frame", "a")
    wanted = Common(ordered=(Away(said(), ""),))
    state = with_states(state, "joints", [replace(state.joints["a-frame"], common=wanted)])
    assert step_in(plan_of(car, state), "make a-frame").waits_for == "on order"


def test_what_is_gone_waits_with_all_that_hangs_on_it():
    """A lost bracket keeps its joint, its lamp and what facts put after it off the plan."""
    car = vehicle(
        "bracket - frame",
        "lamp - bracket",
        "lid - frame",
        "ready = lid - frame",
        "bracket before lid: it is reached from above (rebuild)",
        "pump - frame",
        job("mask", JobKind.PREPARE, parts=("trim",)),
        "bracket before mask: or it drips on it (rebuild)",
        "trim - frame",
        datum="frame",
    )
    off = "lid-frame ready lid lamp-bracket lamp bracket-frame bracket pump-frame pump"
    state = apart(car, *off.split(), "trim-frame", "trim", gone=["bracket"])
    plan = plan_of(car, state)
    assert sorted(lines(plan)) == ["make pump-frame", "put on pump", "tighten pump-frame"]
    assert {each.what: each.why for each in plan.waiting} == {
        "part:bracket": "lost, and no new one is in sight",
        "joint:bracket-frame": "the bracket waits",
        "joint:lamp-bracket": "the bracket waits",
        "part:lamp": "what it hangs on waits",
        "part:lid": "the bracket comes first: it is reached from above",
        "joint:lid-frame": "the lid waits",
        "joint:ready": "the lid waits",
        "job:mask": "the bracket comes first: or it drips on it",
        "part:trim": "mask comes first",
        "joint:trim-frame": "the trim waits",
    }


@pytest.mark.parametrize(
    "common",
    [Common(arrived=1), Common(ordered=(Away(said(), "the shop"),)), Common(choice=Choice.MAKE)],
)
def test_a_part_that_is_gone_and_renewed_goes_back(common):
    """A new one is there, on order, or to be made: it is planned."""
    car = vehicle("lid - frame", datum="frame")
    state = apart(car, "lid-frame", "lid")
    lost = replace(state.parts["lid"], gone=Gone.SCRAPPED, common=common)
    assert "put on lid" in lines(plan_of(car, with_states(state, "parts", [lost])))


def test_a_fluid_whose_circuit_cannot_be_closed_waits_and_so_does_the_first_start():
    """Nobody fills what runs out again, and nobody starts an engine without oil."""
    car = vehicle(
        "plug - sump",
        "sump - frame",
        Fluid("oil", "oil", "sump"),
        Opening("hole", "drain hole", "sump", ("plug-sump",), fluid="oil"),
        job("fill", JobKind.FILL, fluid="oil"),
        job("start", JobKind.RUN),
        datum="frame",
    )
    state = apart(car, "plug-sump", "plug", gone=["plug"])
    state = with_states(state, "fluids", [FluidState("oil", drained=said())])
    plan = plan_of(car, state)
    assert plan.steps == ()
    assert [each.what for each in plan.waiting] == [
        "part:plug",
        "joint:plug-sump",
        "fluid:oil",
        "job:fill",
        "job:start",
    ]


# -- when it can be -------------------------------------------------------------------------------


def rolling(*more, **changes):
    """An axle and a wheel under a frame, that stands on its wheel or on stands."""
    car = vehicle(
        "bush = axle - frame; in stands",
        "nuts = wheel - axle; in stands",
        "lid - frame",
        standing("stands", "frame", wheels=30.0),
        standing("wheels", "wheel", stands=30.0),
        *more,
        datum="frame",
    )
    car = with_part(car, "wheel", kind=PartKind.WHEEL, mass_kg=9.0)
    car = with_part(car, "lid", mass_kg=3.0)
    return with_joint(car, "bush", final_when=FinalWhen.LADEN, **changes)


OFF = ("lid-frame", "lid", "nuts", "wheel", "bush", "axle")


def test_rubber_is_tightened_for_good_with_the_weight_on_the_wheels():
    """Nipped on stands; finished on the wheels once everything with a mass is on."""
    car = rolling()
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert_order(plan, "tighten bush", "put on wheel", "finish bush")
    assert_order(plan, "put on lid", "finish bush")
    assert step_in(plan, "finish bush").standing == "wheels"
    assert step_in(plan, "tighten bush").torque == "nip only; for good at laden height"


def test_a_weighing_says_when_the_weight_is_on():
    """With a declared weighing, ballast stands in for what is not on yet."""
    car = rolling(job("weigh", JobKind.WEIGH, standings=("wheels",)))
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert_order(plan, "put on wheel", "do weigh", "finish bush")


def test_a_declared_job_finishes_the_joints_it_names():
    """No finish step is written beside it, and it is done where they may be finished."""
    car = rolling(job("torque", JobKind.TIGHTEN, joints=("bush",), target="all at once"))
    car = with_joint(car, "bush", tightening=Tightening(60.0))
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert "finish bush" not in lines(plan)
    assert_order(plan, "tighten bush", "put on wheel", "do torque")
    step = step_in(plan, "do torque")
    assert step.standing == "wheels"
    assert step.notes == ("all at once", "bush: 60 N·m (44 lbf·ft), origin not said")


def test_a_job_that_cannot_be_done_on_the_wheels_does_not_finish_what_waits_for_them():
    """A setting on the stands names it, and it is finished on the wheels all the same."""
    car = rolling(job("set", JobKind.SET, joints=("bush",), standings=("stands",)))
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert_order(plan, "do set", "finish bush")


def test_closing_by_position_needs_no_finish():
    """Where the maker allows it, the arm is propped at its laden angle and tightened there."""
    car = rolling(by_position=True)
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert "finish bush" not in lines(plan)
    note = "closed by position: propped at its laden angle while it is tightened"
    assert note in step_in(plan, "tighten bush").notes


def test_gaps_are_set_last_of_the_part():
    """A hinge is tightened for good when every other joint of its door is tight."""
    car = vehicle("hinge = door - frame", "stay = door - frame", "lamp - door", datum="frame")
    car = with_joint(car, "hinge", final_when=FinalWhen.GAPS_SET)
    plan = plan_of(car, apart(car, "lamp-door", "lamp", "hinge", "stay", "door"))
    assert lines(plan)[-1] == "finish hinge"


def test_what_waits_for_the_first_run_is_finished_and_checked_after_it():
    """All else, its checks too, comes before the engine is started."""
    car = vehicle(
        "manifold - frame; critical",
        "lid - frame; critical",
        job("look", JobKind.SECOND_CHECK),
        job("start", JobKind.RUN),
        job("drive", JobKind.RUN),
        "start before drive: on stands first (rebuild)",
        datum="frame",
    )
    car = with_joint(car, "manifold-frame", final_when=FinalWhen.RENIPPED_HOT)
    plan = plan_of(car, apart(car, "lid-frame", "lid", "manifold-frame", "manifold"))
    assert_order(plan, "tighten lid-frame", "do look", "do start", "finish manifold-frame")
    assert_order(plan, "finish manifold-frame", "check manifold-frame")
    assert "check lid-frame" not in lines(plan)


def test_of_two_finishing_jobs_the_first_one_counts_for_the_check():
    """Wheel nuts are checked before the road test, though they are tightened again after it."""
    car = vehicle(
        "wheel - frame; critical",
        job("retorque", JobKind.TIGHTEN, joints=("wheel-frame",)),
        job("torque", JobKind.TIGHTEN, joints=("wheel-frame",)),
        job("drive", JobKind.RUN),
        "drive before retorque: after 80 km (rebuild)",
        datum="frame",
    )
    car = with_joint(car, "wheel-frame", final_when=FinalWhen.ON_WHEELS)
    plan = plan_of(car, apart(car, "wheel-frame", "wheel"))
    assert_order(plan, "do torque", "check wheel-frame", "do drive", "do retorque")


def test_a_second_person_checks_what_is_critical():
    """After it is tight; by a step of its own unless a declared second check names it."""
    car = vehicle("hub - frame; critical", datum="frame")
    state = apart(car, "hub-frame", "hub")
    plan = plan_of(car, state)
    assert_order(plan, "tighten hub-frame", "check hub-frame")
    assert step_in(plan, "check hub-frame").reasons[0].because is Because.SECOND_CHECK
    look = job("look", JobKind.SECOND_CHECK, joints=("hub-frame",))
    named = car.with_records(jobs={"look": look})
    assert lines(plan_of(named, state))[-1] == "do look"


def test_preparing_comes_before_what_it_names():
    """Paint is dry and threads are chased before anything is clamped on them."""
    car = vehicle(
        "lid - frame",
        "pump - frame",
        job("paint", JobKind.REPAIR, parts=("lid",)),
        job("trial", JobKind.PROVE, joints=("pump-frame",)),
        datum="frame",
    )
    plan = plan_of(car, apart(car, "lid-frame", "lid", "pump-frame", "pump"))
    assert_order(plan, "do paint", "put on lid")
    assert_order(plan, "do trial", "make pump-frame")


# -- fluids ---------------------------------------------------------------------------------------


def braked(*more):
    """A master cylinder, two callipers, a long and a short pipe."""
    car = vehicle(
        "master - frame",
        "near - frame",
        "far - frame",
        "short - master",
        "short - near",
        "long - master",
        "long - far",
        Fluid("brake", "brake fluid", "master"),
        Opening("seats", "seats", "master", ("short-master", "long-master"), fluid="brake"),
        Opening("ends", "ends", "near", ("short-near", "long-far"), ends=2, fluid="brake"),
        *more,
        datum="frame",
    )
    runs = {
        name: Run(name, (RunEnd(f"{name}-master"), RunEnd(f"{name}-{to}")), length_m=metres)
        for name, to, metres in (("short", "near", 0.5), ("long", "far", 3.0))
    }
    return car.with_records(runs=runs)


def test_a_fluid_is_filled_when_nothing_leaks_and_bled_when_it_is_full():
    """Longest pipe first, where the maker did not say."""
    car = braked(job("bleed", JobKind.BLEED, fluid="brake", minutes=likely(40)))
    state = apart(car, "long-far", "long-master", "long")
    state = with_states(state, "fluids", [FluidState("brake", drained=said())])
    plan = plan_of(car, state)
    assert lines(plan)[-2:] == ["fill brake", "do bleed"]
    assert step_in(plan, "do bleed").notes == (
        "longest pipe first: far (3000 mm), then near (500 mm)",
    )


def test_the_makers_order_of_bleeding_wins():
    """A declared job that says how keeps its own words."""
    car = braked(job("bleed", JobKind.BLEED, fluid="brake", target="near side first"))
    plan = plan_of(car, apart(car, "long-far"))
    assert step_in(plan, "do bleed").notes == ("near side first",)


def test_bleeding_on_the_bench_is_not_the_bleeding():
    """A bleed job that facts put before the circuit is closed does not empty it of air."""
    car = braked(
        job("bench", JobKind.BLEED, fluid="brake", minutes=likely(30)),
        "bench before master: it goes in full (rebuild)",
    )
    state = apart(car, "short-master", "long-master", "master-frame", "master")
    plan = plan_of(car, state)
    assert_order(plan, "do bench", "put on master", "tighten long-master", "bleed brake")
    assert step_in(plan, "bleed brake").minutes == 30
    assert step_in(plan, "bleed brake").notes


def test_what_was_filled_and_never_bled_is_bled():
    """The last sitting ended with the reservoir full."""
    car = braked(job("bleed", JobKind.BLEED, fluid="brake"))
    state = with_states(apart(car), "fluids", [FluidState("brake", filled=said(3))])
    assert lines(plan_of(car, state)) == ["do bleed"]
    bled = with_states(state, "fluids", [FluidState("brake", filled=said(3), bled=said(4))])
    assert plan_of(car, bled).steps == ()


def test_what_a_job_drained_is_filled_in_as_long():
    """Nobody wrote that it was drained, but the job that drains it is done."""
    car = vehicle(
        "sump - frame",
        "filter - sump",
        Fluid("oil", "oil", "sump", drained_by="drain", leaks_if_off=("filter",)),
        Job("drain", "drain", JobKind.DRAIN, minutes=likely(12)),
        datum="frame",
    )
    plan = plan_of(car, apart(car, "filter-sump", "filter", done=["drain"]))
    assert_order(plan, "put on filter", "fill oil")
    assert step_in(plan, "fill oil").minutes == 12


# -- temporary ------------------------------------------------------------------------------------


def test_closures_and_temporary_fits_come_out_when_their_place_is_needed():
    """Each at its step; what stands in for nothing, before anything runs."""
    car = vehicle(
        "pipe - frame",
        "axle - frame",
        "lamp - frame",
        Opening("port", "port", "frame", ("pipe-frame",), ends=2, closed_with="threaded plug"),
        job("start", JobKind.RUN),
        datum="frame",
    )
    state = apart(car, "pipe-frame", "pipe", "axle-frame", "axle", "lamp-frame")
    fits = [
        FitState("f1", what="dolly", on="part:axle", fitted=said()),
        FitState("f2", what="brace", fitted=said()),
        FitState("f3", what="cord", on="opening:port", fitted=said()),
        FitState("f4", what="wire", on="joint:lamp-frame", fitted=said()),
        FitState("f5", what="cloth", on="part:lamp", fitted=said()),
        FitState("f6", what="strap", on="job:start", fitted=said()),
        FitState("f7", what="prop", fitted=said(), off=said(1)),
    ]
    state = with_states(state, "fits", fits)
    openings = [OpeningState("port", all_closed=True), OpeningState("hole", closed=1)]
    plan = plan_of(car, with_states(state, "openings", openings))
    out = {line_of(step): step.take_out for step in plan.steps if step.take_out}
    assert out["make pipe-frame"] == ("2 × threaded plug: port", "cord")
    assert out["put on axle"] == ("dolly",)
    assert out["make lamp-frame"] == ("wire", "cloth")
    *_, last, start = lines(plan)
    assert start == "do start"
    assert out[last] == ("1 × closure: hole", "brace", "strap")


# -- what only the logbook knows ------------------------------------------------------------------


def test_what_nobody_described_keeps_its_place_in_the_order():
    """After all that came off later, before all that came off earlier."""
    car = vehicle("a - frame", "b - frame", Part("box", "box", "here"), datum="frame")
    state = apart(car, "a-frame", "a", "box", "b-frame", "b")
    plan = plan_of(car, state)
    assert_order(plan, "tighten b-frame", "put on box", "put on a")
    (reason, *_) = step_in(plan, "put on box").reasons
    assert reason.because is Because.ONLY_KNOWN_ORDER


def test_what_is_only_spoken_of_goes_back_too():
    """A part and a joint without any description, each by the name it was given."""
    car = vehicle("a - frame", datum="frame")
    plan = plan_of(car, apart(car, "j-9", "thing", "a-frame", "a"))
    assert lines(plan)[-3:] == ["put on thing", "make j-9", "tighten j-9"]


def test_what_is_described_is_bound_by_facts_alone():
    """Nothing ties them, so the zone at hand decides, not the strip."""
    car = vehicle(
        "a - frame; zone front", "b - frame; zone rear", "c - frame; zone front", datum="frame"
    )
    for part, zone in (("a", "front"), ("b", "rear"), ("c", "front")):
        car = with_part(car, part, zone=zone)
    plan = plan_of(car, apart(car, "a-frame", "a", "b-frame", "b", "c-frame", "c"))
    zones = [step.zone for step in plan.steps]
    assert sum(one != other for one, other in pairwise(zones)) == 1


def test_a_fact_outweighs_the_proven_order():
    """The rebuild says otherwise of two things, so the box between them gives way."""
    car = vehicle(
        "a - frame",
        "b - frame",
        Part("box", "box", "here"),
        "a before b: or b cannot be reached (rebuild)",
        datum="frame",
    )
    plan = plan_of(car, apart(car, "a-frame", "a", "box", "b-frame", "b"))
    assert_order(plan, "put on a", "put on b")


# -- how it stands --------------------------------------------------------------------------------


def test_a_wheel_goes_on_while_nothing_stands_on_it():
    """From its wheels the car goes to the stands for it, since there it bears on the frame."""
    car = rolling()
    plan = plan_of(car, apart(car, "nuts", "wheel", standing="stands"))
    assert step_in(plan, "put on wheel").standing == "stands"
    assert plan.start == "stands"


def test_the_standing_to_begin_in_is_chosen_where_nobody_said():
    """Any that can be entered at the start will do; the axle cannot stand on a wheel."""
    car = rolling()
    plan = plan_of(car, apart(car, *OFF))
    assert plan.start == "stands"
    assert plan.setup_minutes == 30


def test_what_needs_something_off_is_done_before_that_goes_on():
    """The long pipes are reached only while the body is on its trolley."""
    car = vehicle(
        "pipe - frame; in bare",
        "body - frame",
        standing("bare", "frame", stands=10.0, needs_off=("body",)),
        standing("stands", "frame", bare=10.0),
        datum="frame",
    )
    state = apart(car, "body-frame", "body", "pipe-frame", "pipe", standing="stands")
    plan = plan_of(car, state)
    assert_order(plan, "tighten pipe-frame", "put on body")
    assert step_in(plan, "make pipe-frame").standing == "bare"
    begun = apart(car, "body-frame", "body", "pipe-frame", "pipe", standing="bare")
    assert_order(plan_of(car, begun), "tighten pipe-frame", "put on body")


def test_a_joint_whose_only_standing_is_lost_is_made_in_another():
    """It was undone somehow with the body on, so it goes back so."""
    car = vehicle(
        "pipe - frame; in bare",
        "body - frame",
        standing("bare", "frame", stands=10.0, needs_off=("body",)),
        standing("stands", "frame", bare=10.0),
        datum="frame",
    )
    plan = plan_of(car, apart(car, "pipe-frame", "pipe", standing="stands"))
    assert {step.standing for step in plan.steps} == {"stands"}


def test_nothing_hangs_over_a_change_of_standing():
    """The engine hangs on the hoist until its mounting is tight, so first things first."""
    hanging = TemporarySupport("hoist", "hoist", "engine", "joint:mount", "part:engine")
    car = rolling(
        "mount = engine - frame; in stands",
        "steady = engine - frame; in wheels",
        hanging,
    )
    plan = plan_of(car, apart(car, "steady", "mount", "engine", *OFF, standing="stands"))
    places = [lines(plan).index(each) for each in ("put on engine", "tighten mount")]
    between = plan.steps[places[0] : places[1] + 1]
    assert {step.standing for step in between} == {"stands"}


def test_two_jobs_of_one_sitting_see_no_change_between():
    """The second is done as the vehicle stands, right after the first."""
    car = rolling(
        job("warm", JobKind.SURVEY),
        job("hot", JobKind.SURVEY, same_sitting_as="warm", standings=("wheels",)),
    )
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert step_in(plan, "do warm").standing == step_in(plan, "do hot").standing == "wheels"


def test_what_a_support_hides_is_done_elsewhere():
    """The saddle sits on the pipe's clip; on the wheels it is free."""
    hiding = Support("s", "stand", "frame", (0.0, 0.0), hides=("pipe",))
    car = rolling("clip = pipe - frame")
    stands = replace(car.standings["stands"], supports=(hiding,))
    car = car.with_records(standings={**car.standings, "stands": stands})
    plan = plan_of(car, apart(car, "clip", "pipe", standing="stands"))
    assert {step.standing for step in plan.steps} == {"wheels"}


def test_a_standing_that_no_way_leads_to_is_told():
    """The only standing for a joint can be entered, but not from here."""
    car = vehicle(
        "lid - frame; in pit",
        standing("pit", "frame"),
        standing("floor", "frame"),
        datum="frame",
    )
    with pytest.raises(ImpossibleGoal) as told:
        plan_rebuild(car, apart(car, "lid-frame", "lid", standing="floor"))
    assert str(told.value) == (
        "the goal 'everything back on' cannot be reached:\n"
        "  - make lid-frame: only “pit”, which cannot be entered then"
    )


# -- where to begin, and what holds ---------------------------------------------------------------


def test_boxes_only_begin_with_what_carries_the_rest():
    """Everything is off: the frame comes first, then what it carries, each fastened at once."""
    car = vehicle("lamp - body", "body - frame")
    car = with_part(car, "frame", kind=PartKind.STRUCTURE)
    plan = plan_of(car, apart(car, "frame", "body", "lamp"))
    assert [each for each in lines(plan) if "on" in each] == [
        "put on frame",
        "put on body",
        "put on lamp",
    ]
    assert_order(plan, "put on body", "make body-frame", "put on lamp")


def test_what_must_go_on_before_all_it_touches_goes_on_alone():
    """A tube lies behind the panel that alone will hold it."""
    car = vehicle("panel - frame", "tube - panel", "panel blocks tube", datum="frame")
    plan = plan_of(car, apart(car, "tube-panel", "panel-frame", "panel", "tube"))
    assert_order(plan, "put on tube", "put on panel", "make tube-panel")


def test_a_way_is_left_open_by_which_a_part_touches_something():
    """Lid or panel hides the tube: the panel holds it, so the lid goes on last."""
    car = vehicle(
        "panel - frame", "lid - frame", "tube - panel", "lid or panel blocks tube", datum="frame"
    )
    order = ["tube-panel", "panel-frame", "panel", "tube", "lid-frame", "lid"]
    plan = plan_of(car, apart(car, *order))
    assert_order(plan, "put on panel", "put on tube", "put on lid")


# -- contradictions, costs and progress -----------------------------------------------------------


def test_facts_that_contradict_each_other_are_named():
    """Each of the smallest set in words, with its reason."""
    car = vehicle(
        "a - frame",
        "b - frame",
        "c - frame",
        "a before b: one (rebuild)",
        "b before a: other (rebuild)",
        datum="frame",
    )
    with pytest.raises(ImpossibleGoal) as told:
        plan_rebuild(car, apart(car, "a-frame", "a", "b-frame", "b", "c-frame", "c"))
    assert set(told.value.reasons) == {
        "put on a before put on b (one)",
        "put on b before put on a (other)",
    }


def test_no_way_out_of_two_is_told():
    """Each of two covers has to go on before the pump, and either would do later."""
    car = vehicle(
        "a - frame",
        "b - frame",
        "pump - frame",
        "a or b blocks pump: no room",
        "a before pump: it carries it (rebuild)",
        "b before pump: it guides it (rebuild)",
        datum="frame",
    )
    order = ["a-frame", "a", "pump-frame", "pump", "b-frame", "b"]
    with pytest.raises(ImpossibleGoal, match="in the way of the pump: no room"):
        plan_rebuild(car, apart(car, *order))


def test_set_up_is_counted_as_a_person_walks():
    """Each change of zone and tool costs what the settings say, and the bound is below."""
    car = vehicle("a - frame; zone front; tool key", "b - frame; zone rear", datum="frame")
    car = with_part(with_part(car, "a", zone="front"), "b", zone="rear")
    state = apart(car, "a-frame", "a", "b-frame", "b")
    plan = plan_rebuild(car, state, PlanSettings(zone_minutes=7, tool_minutes=1))
    assert plan.setup_minutes == 7
    assert plan.bound_minutes == plan.work_minutes + 7
    assert plan.work_minutes == 20


def test_the_plan_is_always_the_same():
    """The same state gives the same plan."""
    car = unit()
    state = apart(car, "engine-frame", "unit=engine+clutch+gearbox", "gearbox-engine")
    assert plan_rebuild(car, state) == plan_rebuild(car, state)


def test_the_planning_can_be_stopped():
    """Whoever waits may give up."""
    car = vehicle("lid - frame", datum="frame")
    with pytest.raises(Stopped):
        plan_rebuild(car, apart(car, "lid-frame", "lid"), progress=Stoppable(lambda: True))


def test_actions_are_those_of_the_rebuild():
    """Nothing is undone on the way back."""
    car = unit()
    plan = plan_of(car, apart(car, "engine-frame", "unit=engine+clutch+gearbox"))
    assert not {step.action for step in plan.steps} & {Action.UNDO, Action.TAKE_OFF, Action.CRACK}
