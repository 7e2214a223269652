"""The checker of rebuilds: the last tightening, runs, fluids, temporary fits, lost standings."""

from dataclasses import replace

import pytest

from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import FitState, FluidState, JobState, JointState, OpeningState
from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.plan import Waiting
from putback.vehicle.facts import Before, Phase
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen, Joint
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.run import Run, RunEnd
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import Vehicle
from tests.planning.checking_rebuild import both, cart, only, says, told
from tests.planning.edits import all_of, changed, with_more
from tests.planning.hand_made import likely, said, state_of, table
from tests.planning.hand_made_rebuild import GOOD_REBUILD, barrow, put_back


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


def test_without_a_run_what_waits_for_one_is_finished_last_of_all():
    """Nobody declared a first run: it comes behind all that is built, and in the last stage."""
    hot = Joint("a", "a", ("pipe", "frame"), final_when=FinalWhen.AFTER_FIRST_RUN)
    vehicle = cart(hot, Joint("b", "b", ("lid", "frame")))
    state = state_of(vehicle, off=("pipe", "lid"), undone=("a", "b"))
    pipe, lid = ["put on part:pipe", *both("a")], ["put on part:lid", *both("b")]
    late = only(says(vehicle, state, *pipe, *lid, "finish joint:a"), RebuildRule.TRIAL)
    assert late == "finish a belongs to the after the first run, not to final build"
    early = says(vehicle, state, *pipe, "finish joint:a", *lid)
    words = [fault.words for fault in early if fault.rule is RebuildRule.FINAL]
    assert words[0] == "lid comes after what waits for the first run"


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


def test_a_union_that_no_opening_names_is_bled():
    """A pipe of the circuit ends there as well; a clip of it is no end."""
    vehicle = cart(
        *(Joint(each, each, ("pipe", "frame")) for each in ("a", "b", "clip")),
        jobs=table(Job("bleed", "bleed", JobKind.BLEED, Phase.BOTH, fluid="f")),
        fluids=table(Fluid("f", "f", "frame")),
        openings=table(Opening("o", "o", "frame", ("a",), fluid="f")),
    )
    pipe = replace(vehicle.parts["pipe"], kind=PartKind.PIPE)
    run = Run("pipe", (RunEnd("a"), RunEnd("b")), clips=("clip",))
    vehicle = vehicle.with_records(parts={**vehicle.parts, "pipe": pipe}, runs={"pipe": run})
    state = state_of(vehicle, undone=("b",), done=("bleed",))
    assert only(says(vehicle, state, *both("b")), RebuildRule.FLUIDS) == "f is never bled"
    assert says(vehicle, state, *both("b"), "bleed fluid:f") == ()
    state = state_of(vehicle, undone=("clip",), done=("bleed",))
    assert says(vehicle, state, *both("clip")) == ()


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


def test_what_a_hot_job_names_as_well_is_finished_and_checked_before_the_run():
    """Nothing runs on what is only nipped, so the job tightens it again, along with the rest."""
    look = Job("look", "look", JobKind.SECOND_CHECK, Phase.REBUILD, joints=("c",))
    vehicle = runner(jobs=(look,))
    late = Joint("c", "c", ("lid", "frame"), final_when=FinalWhen.LADEN, critical=True)
    hot = replace(vehicle.jobs["hot"], joints=("a", "c"))
    vehicle = vehicle.with_records(
        joints={**vehicle.joints, "c": late}, jobs={**vehicle.jobs, "hot": hot}
    )
    state = state_of(vehicle, off=("pipe", "lid"), undone="abc")
    begun = [*PIPE_ON[:4], "make joint:b", "make joint:c", "tighten joint:b", "tighten joint:c"]
    ends = ["do job:all", "do job:start", "do job:hot", "check joint:a"]
    finished = [*begun, "finish joint:c", "do job:look"]
    assert says(vehicle, state, *finished, *ends) == ()
    nipped = [each.words for each in says(vehicle, state, *begun, "do job:look", *ends)]
    assert "c is never finished" in nipped
    late = [
        each.words for each in says(vehicle, state, *begun, *ends, "finish joint:c", "do job:look")
    ]
    assert late
