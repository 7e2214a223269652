"""The checker of rebuilds: a good plan passes; each way to be wrong is told, and nothing else."""

from dataclasses import dataclass, replace

import pytest

from putback.logbook.common import Away, Common
from putback.logbook.entries.judging import Choice
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import Check, FitState, FluidState, JobState, JointState, OpeningState
from putback.planning.check import Fault, RebuildRule, check_rebuild
from putback.planning.plan import PlanSettings, Waiting
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, Obstruction, Phase
from putback.vehicle.goal import Goal
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen, Joint
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.edits import Edit, all_of, at, changed, moved, with_more, without
from tests.planning.hand_made import likely, said, state_of, table
from tests.planning.hand_made_rebuild import GOOD_REBUILD, WAITING, barrow, in_pieces, put_back


def told(lines, vehicle=None, state=None, waiting=WAITING, **changes) -> tuple[Fault, ...]:
    """What the checker says to a plan of these lines."""
    vehicle = vehicle or barrow()
    state = state or in_pieces(vehicle)
    plan = replace(put_back(vehicle, lines, waiting=waiting), **changes)
    return check_rebuild(vehicle, state, plan)


def only(faults: tuple[Fault, ...], rule: RebuildRule) -> str:
    """What is told, which must all be of one rule."""
    assert {fault.rule for fault in faults} == {rule}, "\n".join(map(str, faults))
    return "; ".join(fault.words for fault in faults)


def test_a_good_plan_has_no_fault():
    """The plan that all the others are made from breaks no rule."""
    assert told(GOOD_REBUILD) == ()


def test_the_minutes_are_those_worked_out_by_hand():
    """The good plan takes what one finds with pencil and paper."""
    plan = put_back(barrow(), GOOD_REBUILD)
    joints = 10 + 6 + 2 + 5 + 7 + 9 + 12 + 3 + 14 + 3 * 4 + 1 + 4 + 2 + 2 + 2 + 2 + 2
    finished = 10 / 2 + 5 / 2 + 3 / 2 + 4 / 2
    work = joints + finished + 2 / 5 + (3 + 8 + 25) + (20 + 15 + 5)
    # to the wheels; under, top, under; socket, brace, socket, brace, key
    setup = 30 + 2 * 5 + 4 * 2
    assert (plan.work_minutes, plan.setup_minutes) == (pytest.approx(work), setup)


# -- one fault planted in the good plan ---------------------------------------------------------


@dataclass(frozen=True)
class Bad:
    """One way to be wrong: how the good plan is spoilt, and what must be said to it."""

    edit: Edit
    rule: RebuildRule
    words: str


BAD = {
    "a joint left open": Bad(
        without("make joint:screw", "tighten joint:screw"),
        RebuildRule.COMPLETE,
        "make lamp screw is missing; tighten lamp screw is missing",
    ),
    "a part left over": Bad(
        without("put on part:lamp", "make joint:screw", "tighten joint:screw"),
        RebuildRule.COMPLETE,
        "put on lamp is missing",
    ),
    "a job left out": Bad(
        without("do job:listen"), RebuildRule.COMPLETE, "do listen to it is missing"
    ),
    "a joint tightened twice": Bad(
        with_more("tighten joint:mount @ wheels"),
        RebuildRule.COMPLETE,
        "tighten body mounting: it is done already",
    ),
    "a part put on twice": Bad(
        with_more("put on part:lamp @ wheels"), RebuildRule.COMPLETE, "lamp: it is done already"
    ),
    "a part of nothing": Bad(
        with_more("put on part:nosuch @ wheels"), RebuildRule.COMPLETE, "put on nosuch"
    ),
    "a joint of nothing": Bad(
        with_more("make joint:nosuch @ wheels"), RebuildRule.COMPLETE, "make nosuch"
    ),
    "a job of the strip": Bad(
        with_more("do job:drain @ wheels"), RebuildRule.COMPLETE, "do drain the oil"
    ),
    "an action of the strip": Bad(
        with_more("undo joint:screw @ wheels"), RebuildRule.COMPLETE, "undo lamp screw"
    ),
    "a part that never came off": Bad(
        with_more("put on part:frame @ wheels"), RebuildRule.COMPLETE, "does not ask for it"
    ),
    "a part that is gone": Bad(
        with_more("put on part:badge @ wheels"), RebuildRule.COMPLETE, "badge: it has to wait"
    ),
    "a joint of a part that is gone": Bad(
        with_more("make joint:pin @ wheels"), RebuildRule.COMPLETE, "badge pin: it has to wait"
    ),
    "a part of a whole put on by itself": Bad(
        with_more("put on part:clutch @ wheels"), RebuildRule.COMPLETE, "put on clutch"
    ),
    "what a part waits for is not said": Bad(
        changed(
            "put on part:wheel @ stands | out dolly, four wheels | waits the plater",
            "put on part:wheel @ stands | out dolly, four wheels",
        ),
        RebuildRule.COMPLETE,
        "does not say what the wheel waits for",
    ),
    "finished by a step and by a job": Bad(
        with_more("finish joint:hinge1 @ wheels"),
        RebuildRule.COMPLETE,
        "upper hinge is finished by set the gaps",
    ),
    "finished though nothing waits": Bad(
        with_more("finish joint:mount @ wheels"), RebuildRule.COMPLETE, "finish body mounting"
    ),
    "filled though it is in": Bad(
        with_more("bleed fluid:oil @ stands", "do job:weigh"),
        RebuildRule.COMPLETE,
        "bleed oil: the state does not ask for it",
    ),
    "a joint made with a part absent": Bad(
        moved("make joint:screw", "put on part:lamp"), RebuildRule.MAKE, "the lamp is not on yet"
    ),
    "tightened before it is made": Bad(
        moved("tighten joint:screw", "make joint:screw"),
        RebuildRule.MAKE,
        "lamp screw is not made yet",
    ),
    "a part put on in the air": Bad(
        all_of(
            moved("put on part:master", "put on part:body"),
            moved("make joint:flange", "tighten joint:mount"),
        ),
        RebuildRule.PUT_ON,
        "master cylinder touches nothing that is on",
    ),
    "a joint made with its obstruction on": Bad(
        all_of(
            moved("make joint:em", "put on part:master"),
            moved("tighten joint:em", "put on part:master"),
        ),
        RebuildRule.IN_THE_WAY,
        "the body is in the way already: no room below it",
    ),
    "a joint tightened with its obstruction on": Bad(
        moved("tighten joint:em", "make joint:mount"),
        RebuildRule.IN_THE_WAY,
        "the body is in the way already: no room below it",
    ),
    "in the way on the bench": Bad(
        moved("make joint:bell", "tighten joint:plate"),
        RebuildRule.IN_THE_WAY,
        "the gearbox is in the way already: covers it",
    ),
    "a part put on past what is in its way": Bad(
        all_of(
            moved("put on part:pipe", "put on part:master"),
            moved("make joint:flare1", "tighten joint:flange"),
        ),
        RebuildRule.IN_THE_WAY,
        "the brake pipe is in the way already: past the pipe",
    ),
    "what comes before not done yet": Bad(
        moved("put on part:wheel", "tighten joint:bush2"),
        RebuildRule.BEFORE,
        "rear bush comes before wheel: steady first",
    ),
    "prepared too late": Bad(
        moved("do job:paint", "make joint:mount"),
        RebuildRule.BEFORE,
        "paint the body comes before body: prepare comes first",
    ),
    "tight before all are loose": Bad(
        moved("tighten joint:bush1", "make joint:bush2"),
        RebuildRule.LOOSE_FIRST,
        "rear bush could be made before it is tightened",
    ),
    "one end of a pipe tight before the other is started": Bad(
        moved("tighten joint:flare1", "make joint:flare2"),
        RebuildRule.LOOSE_FIRST,
        "lower flare could be made before it is tightened",
    ),
    "the end that turns fitted last": Bad(
        moved("make joint:push", "make joint:turn"),
        RebuildRule.LOOSE_FIRST,
        "hose to tank comes before hose to frame: the hose turns with that end",
    ),
    "laden joint finished on stands": Bad(
        at("stands", "finish joint:bush1"),
        RebuildRule.FINAL,
        "front bush: it does not stand on its wheels",
    ),
    "laden joint finished before it is weighed": Bad(
        moved("finish joint:bush1", "do job:weigh"),
        RebuildRule.FINAL,
        "front bush: it is not weighed yet",
    ),
    "final tightening left out": Bad(
        without("finish joint:nuts"), RebuildRule.FINAL, "wheel nuts is never finished"
    ),
    "gaps final before the rest is tight": Bad(
        all_of(
            moved("tighten joint:catch", "tighten joint:hinge2"),
            moved("finish joint:catch", "tighten joint:hinge2"),
        ),
        RebuildRule.FINAL,
        "door catch: lower hinge is not tightened yet",
    ),
    "finished before it is tight": Bad(
        moved("finish joint:catch", "tighten joint:catch"),
        RebuildRule.FINAL,
        "door catch: it is not tightened yet",
    ),
    "re-nipped before the first run": Bad(
        moved("finish joint:clamp", "do job:start"),
        RebuildRule.FINAL,
        "exhaust clamp: nothing has run yet",
    ),
    "gaps set before the joints are tight": Bad(
        moved("do job:gaps", "tighten joint:hinge2"),
        RebuildRule.FINAL,
        "lower hinge is not tightened yet",
    ),
    "critical joint unchecked": Bad(
        without("check joint:flare1"), RebuildRule.CHECK, "nobody checks upper flare"
    ),
    "checked before it is finished": Bad(
        moved("check joint:flare1", "tighten joint:flare1"),
        RebuildRule.CHECK,
        "upper flare is checked before it is finished",
    ),
    "second look before it is finished": Bad(
        moved("do job:look", "finish joint:bush1"),
        RebuildRule.CHECK,
        "front bush is checked before it is finished",
    ),
    "not filled": Bad(
        without("fill fluid:brake"), RebuildRule.FLUIDS, "brake fluid is never filled"
    ),
    "filled before its joint is tight": Bad(
        moved("fill fluid:brake", "tighten joint:flare2"),
        RebuildRule.FLUIDS,
        "brake fluid would run out again",
    ),
    "filled before the hose is on": Bad(
        moved("do job:oil", "put on part:hose"), RebuildRule.FLUIDS, "oil would run out again"
    ),
    "filled twice": Bad(
        with_more("fill fluid:oil @ stands", "do job:bleed"),
        RebuildRule.FLUIDS,
        "oil is filled twice",
    ),
    "bled before it is filled": Bad(
        moved("do job:bleed", "fill fluid:brake"),
        RebuildRule.FLUIDS,
        "brake fluid is bled too early",
    ),
    "run before it is bled": Bad(
        all_of(
            moved("do job:start", "do job:bleed"),
            moved("do job:listen", "do job:bleed"),
        ),
        RebuildRule.FLUIDS,
        "first start comes before do bleed it",
    ),
    "the only known order broken": Bad(
        moved("put on part:mystery", "put on part:hose"),
        RebuildRule.PROVEN_ORDER,
        "oil hose comes before strange bracket",
    ),
    "the box put on too late": Bad(
        moved("put on part:box", "put on part:lamp"), RebuildRule.PROVEN_ORDER, "box comes before"
    ),
    "a temporary fit left in": Bad(
        changed(
            "put on part:wheel @ stands | out dolly, four wheels | waits the plater",
            "put on part:wheel @ stands | waits the plater",
        ),
        RebuildRule.TEMPORARY,
        "dolly is never taken out",
    ),
    "a temporary fit taken out too late": Bad(
        all_of(
            changed(
                "put on part:wheel @ stands | out dolly, four wheels | waits the plater",
                "put on part:wheel @ stands | waits the plater",
            ),
            changed("put on part:door @ stands", "put on part:door @ stands | out dolly"),
        ),
        RebuildRule.TEMPORARY,
        "dolly is taken out too late",
    ),
    "a closure left in": Bad(
        changed("make joint:turn @ stands | out 1 × plug: tank port", "make joint:turn @ stands"),
        RebuildRule.TEMPORARY,
        "tank port is never taken out",
    ),
    "a joint made where it cannot be reached": Bad(
        at("wheels", "make joint:nuts"),
        RebuildRule.STANDINGS,
        "wheel nuts is not reached in this standing",
    ),
    "a job done where it cannot be": Bad(
        moved("do job:weigh", "do job:bleed"),
        RebuildRule.STANDINGS,
        "weigh it is not reached in this standing",
    ),
    "a standing without its wheel": Bad(
        at("wheels", "make joint:bush2"),
        RebuildRule.STANDINGS,
        "the wheel that a wheel bears on is off",
    ),
    "a hidden part put on": Bad(
        at("beam", "put on part:lamp"), RebuildRule.STANDINGS, "a support hides the lamp"
    ),
    "a hidden joint": Bad(
        at("beam", "make joint:screw"), RebuildRule.STANDINGS, "a support hides the lamp"
    ),
    "a change while it hangs on the hoist": Bad(
        at("beam", "make joint:em"),
        RebuildRule.STANDINGS,
        "between engine mounting and engine, while a hoist bears",
    ),
    "a sitting broken by a change": Bad(
        at("stands", "do job:listen"),
        RebuildRule.STANDINGS,
        "between listen to it and first start, while the two are done in one sitting",
    ),
    "single-use pieces not renewed": Bad(
        changed(
            "make joint:mount @ stands | renew 2 × split pin 2.4 mm",
            "make joint:mount @ stands | renew 1 × split pin 2.4 mm",
        ),
        RebuildRule.RENEW,
        "does not renew 2 × split pin 2.4 mm",
    ),
}


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD.keys())
def test_a_planted_fault_is_told_and_nothing_else(bad):
    """Exactly the rule that is broken complains, in words a person understands."""
    assert bad.words in only(told(bad.edit(list(GOOD_REBUILD))), bad.rule)


# -- what is told of the whole plan ---------------------------------------------------------------


def test_what_waits_is_listed():
    """A part that is gone and the joint that hangs on it are named, and nothing else is."""
    assert only(told(GOOD_REBUILD, waiting=WAITING[:1]), RebuildRule.COMPLETE) == (
        "badge pin waits, and is not listed"
    )
    more = (*WAITING, Waiting("part:lamp", "no mood"))
    assert "lamp need not wait" in only(told(GOOD_REBUILD, waiting=more), RebuildRule.COMPLETE)


def test_every_step_says_why():
    """A step without a reason is told."""
    plan = put_back(barrow(), GOOD_REBUILD)
    steps = (*plan.steps[:5], replace(plan.steps[5], reasons=()), *plan.steps[6:])
    faults = told(GOOD_REBUILD, steps=steps)
    assert only(faults, RebuildRule.RENEW) == "nothing says why clutch plate is done here"
    assert faults[0].step == 5


@pytest.mark.parametrize(
    ("what", "change", "words"),
    [
        ("joint:strap", {"minutes": 3.0}, "takes 1 minutes, not 3"),
        ("job:weigh", {"setup_minutes": 7.0}, "takes 30 minutes to get to, not 7"),
        ("joint:em", {"zone": "under"}, "it is worked on in top with no tool"),
        ("joint:nuts", {"tool": ""}, "it is worked on in under with brace"),
        ("joint:nuts", {"crew": 2}, "it wants a crew of 1, not 2"),
    ],
)
def test_a_wrong_cost_of_a_step_is_told(what, change, words):
    """Minutes, set-up, zone and tool of every step are worked out again."""
    plan = put_back(barrow(), GOOD_REBUILD)
    steps = tuple(replace(each, **change) if each.what == what else each for each in plan.steps)
    faults = told(
        GOOD_REBUILD,
        steps=steps,
        work_minutes=sum(step.minutes for step in steps),
        setup_minutes=sum(step.setup_minutes for step in steps),
    )
    assert words in only(faults, RebuildRule.COST)


def test_a_wrong_sum_is_told():
    """The sums of a plan are those of its steps."""
    assert "minutes of work" in only(told(GOOD_REBUILD, work_minutes=1.0), RebuildRule.COST)


def test_settings_of_the_person_count():
    """Who needs no time to change tools pays none."""
    vehicle = barrow()
    settings = PlanSettings(zone_minutes=3.0, tool_minutes=0.0)
    plan = put_back(vehicle, GOOD_REBUILD, settings=settings)
    assert check_rebuild(vehicle, in_pieces(vehicle), plan, settings) == ()
    assert only(check_rebuild(vehicle, in_pieces(vehicle), plan), RebuildRule.COST)


def test_a_plan_begins_where_the_vehicle_stands():
    """A plan that starts elsewhere is told."""
    assert "but it stands" in only(told(GOOD_REBUILD, start="beam"), RebuildRule.STANDINGS)


def test_nothing_to_do_asks_for_nothing():
    """A vehicle that is together needs no plan, whatever jobs it declares."""
    vehicle = barrow()
    assert told([], vehicle, state_of(vehicle, standing="stands"), waiting=()) == ()


# -- taken up where it stands ---------------------------------------------------------------------


def test_a_rebuild_is_taken_up_where_it_stands():
    """What is cracked, slack, nipped or tightened goes on from there, and is not made again."""
    vehicle = barrow().with_records(jobs={}, fluids={}, openings={})
    together = state_of(vehicle, standing="wheels")

    def seen(joint, tightness, **more):
        return JointState(joint, made=said(1), tightness=tightness, **more)

    state = replace(
        together,
        joints={
            "mount": JointState("mount", cracked=said()),
            "strap": seen("strap", Tightness.FINGER_TIGHT),
            "push": seen("push", Tightness.NIPPED),
            "nuts": seen("nuts", Tightness.NIPPED),
            "bush1": seen("bush1", Tightness.TIGHTENED),
            "turn": seen("turn", Tightness.FINAL),
            "screw": seen("screw", Tightness.TIGHTENED),
            "flare1": seen("flare1", Tightness.FINAL),
            "flare2": JointState("flare2", of=2, out=1, undone=said(2)),
        },
    )
    lines = [
        "tighten joint:mount @ wheels",
        "tighten joint:strap @ wheels",
        "tighten joint:push @ wheels",
        "make joint:flare2 @ wheels",
        "tighten joint:flare2 @ wheels",
        "check joint:flare1 @ wheels",
        "finish joint:nuts @ wheels",
        "finish joint:bush1 @ wheels",
        "check joint:bush1 @ wheels",
    ]
    plan = put_back(vehicle, lines, start="wheels", waiting=())
    assert check_rebuild(vehicle, state, plan) == ()
    for place, rule in ((0, "COMPLETE"), (5, "CHECK"), (6, "FINAL"), (8, "CHECK")):
        left = [*lines[:place], *lines[place + 1 :]]
        faults = check_rebuild(vehicle, state, put_back(vehicle, left, start="wheels", waiting=()))
        assert only(faults, RebuildRule[rule])


def test_a_check_that_found_it_wrong_is_made_again():
    """Only a look that found the joint right counts; a right one is enough."""
    vehicle = barrow().with_records(jobs={}, fluids={}, openings={})
    for right, lines in ((False, ["check joint:flare1 @ stands"]), (True, [])):
        joint = JointState(
            "flare1",
            made=said(1),
            tightness=Tightness.FINAL,
            checks=(Check(said(2), right, True, ""),),
        )
        state = replace(state_of(vehicle, standing="stands"), joints={"flare1": joint})
        assert told(lines, vehicle, state, waiting=()) == ()
        other = [] if lines else ["check joint:flare1 @ stands"]
        assert told(other, vehicle, state, waiting=())


def test_a_tightening_job_done_since_has_finished_the_joint():
    """A joint nipped before its job was done is finished; one nipped after it is not."""
    job = Job("hot", "tighten hot", JobKind.TIGHTEN, Phase.REBUILD, joints=("nuts",))
    vehicle = barrow().with_records(jobs={"hot": job}, fluids={}, openings={})
    for made, lines in ((1, []), (3, ["finish joint:nuts @ wheels"])):
        joint = JointState("nuts", made=said(made), tightness=Tightness.NIPPED)
        state = replace(
            state_of(vehicle, standing="wheels"),
            joints={"nuts": joint},
            jobs={"hot": JobState("hot", done=said(2))},
        )
        plan = put_back(vehicle, lines, start="wheels", waiting=())
        assert check_rebuild(vehicle, state, plan) == ()


# -- small vehicles, one question each ------------------------------------------------------------


def cart(*joints: Joint, **tables) -> Vehicle:
    """A frame with what the joints name, however it stands."""
    names = dict.fromkeys(part for joint in joints for part in joint.parts)
    parts = tables.pop("parts", {})
    return Vehicle(
        About("cart", "cart"),
        parts={each: parts.get(each) or Part(each, each, "") for each in ("frame", *names)},
        joints=table(*joints),
        goals=table(Goal("g", "g", "frame")),
        **tables,
    )


def says(vehicle, state, *deeds, waiting=()) -> tuple[Fault, ...]:
    """What the checker says to these deeds on a vehicle without standings."""
    lines = [f"{deed} @ -" for deed in deeds]
    plan = put_back(vehicle, lines, start=None, waiting=tuple(Waiting(w, "") for w in waiting))
    return check_rebuild(vehicle, state, plan)


def both(*joints: str) -> list[str]:
    """Make and tighten each, one after the other."""
    return [f"{deed} joint:{joint}" for joint in joints for deed in ("make", "tighten")]


def test_who_logged_only_the_part_has_undone_its_joints():
    """A joint between a part that is off and one that is on is open, though nobody said so."""
    vehicle = cart(Joint("pin", "pin", ("lid", "frame")))
    state = state_of(vehicle, off=("lid",))
    assert says(vehicle, state, "put on part:lid", *both("pin")) == ()
    assert "pin is missing" in only(says(vehicle, state, "put on part:lid"), RebuildRule.COMPLETE)


def test_a_whole_that_came_off_stays_together():
    """What stayed made inside a whole is not made again, and the whole goes on as one."""
    vehicle = cart(
        Joint("bell", "bell", ("box", "engine")),
        Joint("mount", "mount", ("engine", "frame")),
        Joint("plug", "plug", ("lead", "engine")),
        assemblies=table(Assembly("unit", "unit", ("engine", "box", "lead"))),
        obstructions=table(
            Obstruction("o1", ("box",), "joint:plug", "held from the start"),
            Obstruction("o2", ("frame", "box"), "joint:plug", "not all of the whole"),
        ),
    )
    off = dict.fromkeys(("engine", "box", "lead"), "unit")
    state = state_of(vehicle, off=off, undone=("mount", "plug"))
    good = [*both("plug"), "put on assembly:unit", *both("mount")]
    assert says(vehicle, state, *good) == ()
    later = ["put on assembly:unit", "make joint:plug", *both("mount"), "tighten joint:plug"]
    faults = says(vehicle, state, *later)
    assert "the box is in the way already" in only(faults, RebuildRule.IN_THE_WAY)


def test_a_renewed_part_goes_back_and_says_what_it_waits_for():
    """A lost part that is ordered is planned; its step says what it waits for."""
    vehicle = cart(Joint("pin", "pin", ("lid", "frame")))
    lost = state_of(vehicle, off=("lid",), gone=("lid",))
    ordered = Common(ordered=(Away(said(), "shop"),))
    for common, words in (
        (ordered, "does not say what the lid waits for"),
        (Common(choice=Choice.MAKE), "does not say what the lid waits for"),
        (Common(arrived=1), ""),
        (Common(choice=Choice.MAKE, prepared=(said(),)), ""),
    ):
        state = replace(lost, parts={"lid": replace(lost.parts["lid"], common=common)})
        faults = says(vehicle, state, "put on part:lid", *both("pin"))
        assert "; ".join(fault.words for fault in faults) == words


def test_waiting_spreads():
    """What hangs on a lost part waits, what facts put after it, its fluid, and what would run."""
    rebuild = {"phase": Phase.REBUILD}
    vehicle = cart(
        Joint("a", "a", ("bracket", "frame")),
        Joint("b", "b", ("lamp", "bracket")),
        Joint("c", "c", ("lid", "frame")),
        Joint("d", "d", ("tap", "frame")),
        Joint("e", "e", ("shelf", "frame")),
        Joint("f", "f", ("seat", "frame")),
        befores=table(
            Before("b1", "part:lamp", "part:lid", "aim it first", **rebuild),
            Before("b2", "part:lamp", "job:prove", "prove with the lamp", **rebuild),
            Before("b3", "joint:d", "part:nobody", "nothing to it", **rebuild),
            Before("b4", "joint:a", "joint:d", "the tap after the bracket", **rebuild),
        ),
        jobs=table(
            Job("prove", "prove", JobKind.PROVE, parts=("shelf",), **rebuild),
            Job("fill", "fill", JobKind.FILL, fluid="oil", **rebuild),
            Job("run", "run", JobKind.RUN, **rebuild),
            Job("drive", "drive", JobKind.RUN, **rebuild),
            Job("note", "note", JobKind.CHECK, **rebuild),
        ),
        openings=table(Opening("hole", "hole", "tap", ("d",), fluid="oil")),
        fluids=table(Fluid("oil", "oil", "frame", drained_by="old")),
    )
    off = ("bracket", "lamp", "lid", "tap", "shelf", "seat")
    state = state_of(
        vehicle,
        off=off,
        undone="abcdef",
        gone=("bracket",),
        done=("drive", "old"),
    )
    waits = [
        *(f"part:{each}" for each in ("bracket", "lamp", "lid", "shelf", "tap")),
        *(f"joint:{each}" for each in "abcde"),
        *("job:prove", "job:fill", "job:run", "fluid:oil"),
    ]
    good = ["put on part:seat", *both("f"), "do job:note"]
    assert says(vehicle, state, *good, waiting=waits) == ()
    for what in ("part:shelf", "joint:e", "part:lamp"):
        short = [each for each in waits if each != what]
        faults = says(vehicle, state, *good, waiting=short)
        assert "is not listed" in only(faults, RebuildRule.COMPLETE)
    faults = says(vehicle, state, *good, "do job:run", waiting=waits)
    assert only(faults, RebuildRule.COMPLETE) == "do run: it has to wait"


def test_the_first_of_a_group_may_be_put_on_in_the_air():
    """Where the frame itself is off, one part is the first; the datum may go on at any time."""
    vehicle = cart(
        Joint("a", "a", ("axle", "frame")),
        Joint("b", "b", ("hub", "axle")),
        parts={"loose": Part("loose", "loose", "")},
    )
    off = ("frame", "axle", "hub")
    state = state_of(vehicle, off=off, undone=("a", "b"))
    good = ["put on part:frame", "put on part:axle", *both("a"), "put on part:hub", *both("b")]
    assert says(vehicle, state, *good) == ()
    axle_first = ["put on part:axle", "put on part:frame", *good[2:]]
    assert says(vehicle, state, *axle_first) == ()
    made = ["make joint:a", *both("b"), "tighten joint:a"]
    hub_second = ["put on part:hub", "put on part:frame", "put on part:axle", *made]
    assert says(vehicle, state, *hub_second) == ()
    in_the_air = ["put on part:frame", "put on part:hub", "put on part:axle", *made]
    assert only(says(vehicle, state, *in_the_air), RebuildRule.PUT_ON)


@pytest.mark.parametrize(
    "facts",
    [
        {"befores": table(Before("x", "part:hub", "part:axle", "so", Phase.REBUILD))},
        {"obstructions": table(Obstruction("x", ("axle",), "part:hub", "so"))},
        {"jobs": table(Job("p", "p", JobKind.REPAIR, Phase.REBUILD, parts=("axle",))),
         "befores": table(Before("x", "part:hub", "job:p", "so", Phase.REBUILD))},
    ],
)  # fmt: skip
def test_facts_may_put_a_part_before_all_that_it_touches(facts):
    """What facts want on first goes on in the air."""
    vehicle = cart(Joint("a", "a", ("axle", "frame")), Joint("b", "b", ("hub", "axle")), **facts)
    state = state_of(vehicle, off=("axle", "hub"), undone=("a", "b"))
    job = ["do job:p"] if "jobs" in facts else []
    deeds = ["put on part:hub", *job, "put on part:axle", *both("a", "b")]
    assert RebuildRule.PUT_ON not in {each.rule for each in says(vehicle, state, *deeds)}
    late = ["put on part:axle", *both("a"), "put on part:hub", *both("b"), *job]
    assert {each.rule for each in says(vehicle, state, *late)} & {
        RebuildRule.BEFORE,
        RebuildRule.IN_THE_WAY,
    }


def test_where_nothing_is_wheeled_laden_joints_are_finished_with_the_weight_on():
    """Without a wheel to stand on, and no weighing, the last part with a mass decides."""
    heavy = Part("lid", "lid", "", mass_kg=9.0)
    vehicle = cart(
        Joint("a", "a", ("axle", "frame"), final_when=FinalWhen.LADEN),
        Joint("b", "b", ("lid", "frame")),
        parts={"lid": heavy},
    )
    state = state_of(vehicle, off=("axle", "lid"), undone=("a", "b"))
    begun = ["put on part:axle", *both("a")]
    rest = ["put on part:lid", *both("b")]
    assert says(vehicle, state, *begun, *rest, "finish joint:a") == ()
    early = only(says(vehicle, state, *begun, "finish joint:a", *rest), RebuildRule.FINAL)
    assert early == "a: the lid is not on yet"


def test_without_a_run_what_waits_for_one_is_finished_when_tight():
    """Nobody declared a first run, so nobody waits for it."""
    vehicle = cart(Joint("a", "a", ("pipe", "frame"), final_when=FinalWhen.AFTER_FIRST_RUN))
    state = state_of(vehicle, off=("pipe",), undone=("a",))
    assert says(vehicle, state, "put on part:pipe", *both("a"), "finish joint:a") == ()


def runner(**more) -> Vehicle:
    """A pipe that is re-nipped after the first start, and critical."""
    rebuild = {"phase": Phase.REBUILD}
    hot = Joint("a", "a", ("pipe", "frame"), final_when=FinalWhen.RENIPPED_HOT, critical=True)
    cold = Joint("b", "b", ("lid", "frame"), critical=True)
    jobs = [
        Job("start", "start", JobKind.RUN, **rebuild),
        Job("hot", "tighten hot", JobKind.TIGHTEN, joints=("a",), **rebuild),
        Job("all", "look at all", JobKind.SECOND_CHECK, **rebuild),
        *more.pop("jobs", ()),
    ]
    return cart(hot, cold, jobs=table(*jobs), **more)


PIPE_ON = ("put on part:pipe", *both("a"), "put on part:lid", *both("b"))


def test_a_second_look_at_all_means_what_is_finished_before_a_run():
    """What is tightened hot, after the run, wants a check of its own, and the rest does not."""
    vehicle = runner(befores=table(Before("x", "job:start", "job:hot", "hot", Phase.REBUILD)))
    state = state_of(vehicle, off=("pipe", "lid"), undone=("a", "b"))
    good = [*PIPE_ON, "do job:all", "do job:start", "do job:hot", "check joint:a"]
    assert says(vehicle, state, *good) == ()
    assert only(says(vehicle, state, *good[:-1]), RebuildRule.CHECK) == "nobody checks a"
    late = [*PIPE_ON, "do job:start", "do job:all", "do job:hot", "check joint:a"]
    assert only(says(vehicle, state, *late), RebuildRule.FLUIDS) == (
        "start comes before do look at all"
    )


def test_a_job_that_must_come_before_the_run_does_not_finish_what_waits_for_it():
    """Tightened cold by a job before the run, the joint is finished hot by its own step."""
    vehicle = runner(befores=table(Before("x", "job:hot", "job:start", "cold", Phase.REBUILD)))
    state = state_of(vehicle, off=("pipe", "lid"), undone=("a", "b"))
    good = [
        *PIPE_ON,
        "do job:all",
        "do job:hot",
        "do job:start",
        "finish joint:a",
        "check joint:a",
    ]
    assert says(vehicle, state, *good) == ()
    faults = says(vehicle, state, *good[:-2], "check joint:a")
    assert only(faults, RebuildRule.FINAL) == "a is never finished"


def test_a_job_that_can_finish_a_joint_comes_when_it_can():
    """Nobody tightens hot what has not run; and a check may wait for the run with its joint."""
    vehicle = runner()
    state = state_of(vehicle, off=("pipe", "lid"), undone=("a", "b"))
    early = [*PIPE_ON, "do job:all", "do job:hot", "do job:start", "check joint:a"]
    assert only(says(vehicle, state, *early), RebuildRule.FINAL) == "a: nothing has run yet"


def test_without_a_finishing_job_what_runs_hot_is_checked_late():
    """A check after the run is right for what is re-nipped after it."""
    vehicle = runner()
    jobs = {each: job for each, job in vehicle.jobs.items() if each == "start"}
    vehicle = vehicle.with_records(jobs=jobs)
    state = state_of(vehicle, off=("pipe", "lid"), undone=("a", "b"))
    good = [*PIPE_ON, "check joint:b", "do job:start", "finish joint:a", "check joint:a"]
    assert says(vehicle, state, *good) == ()
    late = [*PIPE_ON, "do job:start", "check joint:b", "finish joint:a", "check joint:a"]
    assert only(says(vehicle, state, *late), RebuildRule.FLUIDS) == "start comes before check b"


def test_a_circuit_that_was_opened_is_bled():
    """Opening a hydraulic circuit asks for bleeding, by a step where the job is done already."""
    bleed = Job("bleed", "bleed", JobKind.BLEED, Phase.BOTH, fluid="f", minutes=likely(4))
    vehicle = cart(
        Joint("a", "a", ("pipe", "frame")),
        jobs=table(bleed),
        fluids=table(Fluid("f", "f", "frame")),
        openings=table(Opening("o", "o", "pipe", ("a",), fluid="f")),
    )
    state = state_of(vehicle, off=("pipe",), undone=("a",), done=("bleed",))
    begun = ["prepare part:pipe @ - | note o stood open", "put on part:pipe", *both("a")]
    assert says(vehicle, state, *begun, "bleed fluid:f") == ()
    assert only(says(vehicle, state, *begun), RebuildRule.FLUIDS) == "f is never bled"


@pytest.mark.parametrize(
    ("bled", "done", "asked"),
    [(None, None, True), (3, None, False), (None, 3, False), (None, 1, True)],
)
def test_what_was_filled_and_not_bled_since_is_bled(bled, done, asked):
    """A circuit filled again wants bleeding, unless somebody bled it since, or did the job."""
    bleed = Job("bleed", "bleed", JobKind.BLEED, Phase.REBUILD, fluid="f")
    vehicle = cart(jobs=table(bleed), fluids=table(Fluid("f", "f", "frame")))
    seen = FluidState("f", filled=said(2), bled=said(bled) if bled else None)
    state = state_of(vehicle, fluids={"f": seen})
    if done:
        state = replace(state, jobs={"bleed": JobState("bleed", done=said(done))})
    wanted = "bleed fluid:f" if done else "do job:bleed"
    faults = says(vehicle, state, wanted) if asked else says(vehicle, state)
    assert faults == ()
    other = says(vehicle, state) if asked else says(vehicle, state, wanted)
    assert other


def test_a_fluid_that_was_filled_again_is_not_filled():
    """What somebody filled since it was drained is in."""
    vehicle = cart(fluids=table(Fluid("f", "f", "frame", drained_by="old")))
    seen = FluidState("f", drained=said(1), filled=said(2))
    state = state_of(vehicle, fluids={"f": seen}, done=("old",))
    assert says(vehicle, state) == ()


@pytest.mark.parametrize(
    ("on", "good", "late"),
    [
        ("part:lid", 0, 1),
        ("joint:pin", 1, 2),
        ("opening:hole", 1, 2),
        ("opening:nosuch", 2, None),
        ("part:frame", 2, None),
        (None, 2, None),
    ],
)
def test_a_temporary_fit_comes_out_before_its_place_is_needed(on, good, late):
    """Wherever a fit is, it is out by the step that needs its place; on nothing, by the end."""
    vehicle = cart(
        Joint("pin", "pin", ("lid", "frame")),
        openings=table(Opening("hole", "the hole", "lid", ("pin",))),
    )
    fit = FitState("plug 7", on=on, fitted=said())
    out = FitState("old", fitted=said(), off=said())
    openings = {"hole": OpeningState("hole"), "gone": OpeningState("gone", closed=1)}
    state = state_of(vehicle, off=("lid",), fits={"plug 7": fit, "old": out}, openings=openings)
    deeds = ["put on part:lid", *both("pin")]

    def with_line(place):
        lines = [
            f"{deed} @ -" + (" | out plug 7" if at == place else "")
            for at, deed in enumerate(deeds)
        ]
        return check_rebuild(vehicle, state, put_back(vehicle, lines, start=None, waiting=()))

    assert with_line(good) == ()
    assert only(with_line(None), RebuildRule.TEMPORARY) == "plug 7 is never taken out"
    if late is not None:
        assert only(with_line(late), RebuildRule.TEMPORARY) == "plug 7 is taken out too late"


def test_a_fit_is_out_before_anything_runs():
    """A rag in the inlet is taken out before the first start, wherever it is."""
    vehicle = cart(jobs=table(Job("run", "run", JobKind.RUN, Phase.REBUILD)))
    vehicle = vehicle.with_records(parts={**vehicle.parts, "lid": Part("lid", "lid", "")})
    rag = FitState("r", what="rag", fitted=said())
    state = state_of(vehicle, off=("lid",), fits={"r": rag})
    for lines, rule in (
        (["put on part:lid @ - | out rag", "do job:run @ -"], None),
        (["do job:run @ -", "put on part:lid @ - | out rag"], RebuildRule.TEMPORARY),
    ):
        faults = check_rebuild(vehicle, state, put_back(vehicle, lines, start=None, waiting=()))
        assert {fault.rule for fault in faults} == ({rule} if rule else set())


def test_a_standing_that_is_lost_binds_nobody():
    """Where none of its standings can be entered again, a joint is made in any."""
    spare = Part("dolly", "dolly", "", kind=PartKind.WHEEL)
    standings = table(
        Standing("floor", "on the floor", (), {"dolly": 5.0}),
        Standing(
            "dolly", "on the dolly", (Support("s", "wheel", "dolly", (0, 0)),), {"floor": 5.0}
        ),
        Standing("lesson", "on a brick", (), wrong=True),
        Standing("pit", "over the pit", (), {"floor": 5.0}, needs_off=("frame",)),
    )
    joints = {
        name: Joint(name, name, ("lid", "frame"), standings=standing)
        for name, standing in {"a": ("dolly",), "b": ("lesson", "pit"), "c": ("nosuch",)}.items()
    }
    vehicle = cart(*joints.values(), standings=standings)
    vehicle = vehicle.with_records(parts={**vehicle.parts, "dolly": spare})
    state = state_of(
        vehicle, off=("lid", "dolly"), undone="abc", gone=("dolly",), standing="floor"
    )
    makes = [f"make joint:{each} @ floor" for each in "abc"]
    tightens = [f"tighten joint:{each} @ floor" for each in "abc"]
    lines = ["put on part:lid @ floor", *makes, *tightens]
    gone = (Waiting("part:dolly", "lost"),)
    assert told(lines, vehicle, state, waiting=gone, start="floor") == ()
    still = state_of(vehicle, off=("lid",), undone="abc", standing="floor")
    faults = told(lines, vehicle, still, waiting=(), start="floor")
    assert "a is not reached" in only(faults, RebuildRule.STANDINGS)


def test_a_joint_nobody_described_keeps_its_place():
    """A joint that only the logbook knows is made and tightened where the strip had it."""
    vehicle = cart(Joint("a", "a", ("lid", "frame")))
    state = state_of(
        vehicle,
        off=("lid",),
        undone=("a", "strange"),
        order=("joint:a", "joint:strange", "part:lid"),
    )
    good = ["put on part:lid", *both("strange", "a")]
    assert says(vehicle, state, *good) == ()
    faults = says(vehicle, state, "put on part:lid", *both("a", "strange"))
    assert only(faults, RebuildRule.PROVEN_ORDER).startswith("strange comes before a")


def test_facts_overrule_the_only_known_order():
    """Where facts of the rebuild want it the other way, they hold."""
    fact = Before("x", "part:mat", "part:lid", "under it", Phase.REBUILD)
    vehicle = cart(Joint("a", "a", ("lid", "frame")), befores=table(fact))
    vehicle = vehicle.with_records(parts={**vehicle.parts, "mat": Part("mat", "mat", "")})
    state = state_of(
        vehicle, off=("lid", "mat"), undone=("a",), order=("part:mat", "joint:a", "part:lid")
    )
    assert says(vehicle, state, "put on part:mat", "put on part:lid", *both("a")) == ()


def test_a_fact_about_a_job_that_nobody_declared_says_nothing():
    """A dangling reference holds up no rebuild."""
    fact = Before("x", "job:nosuch", "part:lid", "?", Phase.REBUILD)
    vehicle = cart(Joint("a", "a", ("lid", "frame")), befores=table(fact))
    state = state_of(vehicle, off=("lid",), undone=("a",))
    assert says(vehicle, state, "put on part:lid", *both("a")) == ()


def test_a_job_that_facts_ask_for_belongs_to_the_plan():
    """Even a job of the strip is done if what goes back has to come after it."""
    fact = Before("x", "job:clean", "part:lid", "dirt falls in", Phase.REBUILD)
    vehicle = cart(
        Joint("a", "a", ("lid", "frame")),
        befores=table(fact),
        jobs=table(Job("clean", "clean", JobKind.PREPARE), Job("other", "other", JobKind.SURVEY)),
    )
    state = state_of(vehicle, off=("lid",), undone=("a",))
    begun = ["put on part:lid", *both("a")]
    assert says(vehicle, state, "do job:clean", *begun) == ()
    assert only(says(vehicle, state, "do job:other", "do job:clean", *begun), RebuildRule.COMPLETE)


def test_a_part_goes_on_in_the_air_when_nothing_better_can():
    """Where all that touches something has to come later, a part need not touch anything."""
    vehicle = cart(
        Joint("a", "a", ("axle", "frame")),
        Joint("b", "b", ("hub", "axle")),
        Joint("c", "c", ("lid", "hub")),
        befores=table(Before("x", "part:lid", "part:axle", "under it", Phase.REBUILD)),
    )
    state = state_of(vehicle, off=("axle", "hub", "lid"), undone="abc")
    good = ["put on part:hub", "put on part:lid", *both("c"), "put on part:axle"]
    ends = ["make joint:a", *both("b"), "tighten joint:a"]
    assert says(vehicle, state, *good, *ends) == ()


@pytest.mark.parametrize("of", ["part:hub", "joint:m"])
def test_a_part_does_not_go_on_if_it_shuts_in_what_is_still_to_be_done(of):
    """The last way to something is left open, even if a part goes on in the air for it."""
    vehicle = cart(
        Joint("a", "a", ("axle", "frame")),
        Joint("b", "b", ("hub", "axle")),
        Joint("l", "l", ("lid", "frame")),
        Joint("m", "m", ("mat", "frame")),
        obstructions=table(Obstruction("x", ("axle", "lid"), of, "no way in")),
    )
    state = state_of(vehicle, off=("axle", "hub", "lid", "mat"), undone="ablm")
    begun = ["put on part:mat", "put on part:lid", *both("l")]
    ends = ["put on part:axle", "make joint:a", *both("b"), "tighten joint:a"]
    assert says(vehicle, state, *begun, "put on part:hub", *both("m"), *ends) == ()
    free = vehicle.with_records(obstructions={})
    faults = says(free, state, *begun, "put on part:hub", *both("m"), *ends)
    assert only(faults, RebuildRule.PUT_ON) == "hub touches nothing that is on"


def test_what_waits_for_lost_wheels_is_finished_in_any_standing():
    """Where a wheel is gone for good, nothing waits for the vehicle to stand on it."""
    vehicle = barrow().with_records(jobs={}, fluids={}, openings={}, temporary_supports={})
    joint = JointState("bush1", made=said(1), tightness=Tightness.TIGHTENED)
    lost = state_of(vehicle, off=("wheel",), gone=("wheel",), standing="stands")
    state = replace(lost, joints={"bush1": joint})
    waiting = (Waiting("part:wheel", "lost"), Waiting("joint:nuts", "the wheel waits"))
    lines = ["finish joint:bush1 @ stands", "check joint:bush1 @ stands"]
    assert told(lines, vehicle, state, waiting=waiting) == ()


def test_a_joint_hidden_wherever_it_could_be_reached_is_made_elsewhere():
    """Where the saddle sits on it in the only standing it names, it is made in another."""
    vehicle = barrow()
    screw = replace(vehicle.joints["screw"], standings=("beam",))
    vehicle = vehicle.with_records(joints={**vehicle.joints, "screw": screw})
    assert told(GOOD_REBUILD, vehicle) == ()
    plain = replace(vehicle.standings["beam"], supports=())
    vehicle = vehicle.with_records(standings={**vehicle.standings, "beam": plain})
    faults = told(GOOD_REBUILD, vehicle)
    assert "lamp screw is not reached in this standing" in only(faults, RebuildRule.STANDINGS)


@pytest.mark.parametrize("standing", ["wheels", "stands"])
def test_a_tightening_job_finishes_what_its_standings_allow(standing):
    """A job on the wheels stands for the final tightening there; one on stands does not."""
    vehicle = barrow()
    job = Job(
        "torque",
        "torque it",
        JobKind.TIGHTEN,
        Phase.REBUILD,
        joints=("bush1",),
        standings=(standing,),
    )
    vehicle = vehicle.with_records(jobs={**vehicle.jobs, "torque": job})
    on_wheels = changed("finish joint:bush1 @ wheels", "do job:torque @ wheels")
    on_stands = with_more("do job:torque @ stands", "do job:weigh")
    edit = on_wheels if standing == "wheels" else on_stands
    assert told(edit(list(GOOD_REBUILD)), vehicle) == ()
    both_ways = all_of(on_wheels, with_more("finish joint:bush1 @ wheels", "do job:look"))
    if standing == "wheels":
        faults = told(both_ways(list(GOOD_REBUILD)), vehicle)
        assert only(faults, RebuildRule.COMPLETE) == "front bush is finished by torque it"


def test_what_a_hot_job_finishes_as_well_is_checked_after_the_run():
    """A second look waits for the run if what it looks at is finished hot, along with the rest."""
    look = Job("look", "look", JobKind.SECOND_CHECK, Phase.REBUILD, joints=("c",))
    vehicle = runner(jobs=(look,))
    late = Joint("c", "c", ("lid", "frame"), final_when=FinalWhen.LADEN, critical=True)
    hot = replace(vehicle.jobs["hot"], joints=("a", "c"))
    vehicle = vehicle.with_records(
        joints={**vehicle.joints, "c": late}, jobs={**vehicle.jobs, "hot": hot}
    )
    state = state_of(vehicle, off=("pipe", "lid"), undone="abc")
    begun = [*PIPE_ON[:4], "make joint:b", "make joint:c", "tighten joint:b", "tighten joint:c"]
    ends = ["do job:all", "do job:start", "do job:hot", "check joint:a", "do job:look"]
    assert says(vehicle, state, *begun, *ends) == ()
    early = [*begun, "do job:look", *ends[:-1]]
    assert only(says(vehicle, state, *early), RebuildRule.CHECK) == (
        "c is checked before it is finished"
    )
