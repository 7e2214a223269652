"""What a step of a rebuild says: runs, what to look at, what is used up, what comes out."""

from dataclasses import replace

import pytest

from putback.logbook.came_off import LOOK_FIRST
from putback.logbook.state import FitState, FluidState, MarkSeen, OpeningState, PartState
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
from putback.vehicle.usual_cautions import GLASS, POURED, UNBLED
from tests.makers import ZONE, vehicle
from tests.planning.hand_made import said, state_of
from tests.planning.rebuilding import (
    apart,
    assert_order,
    job,
    line_of,
    lines,
    plan_of,
    step_in,
    with_joint,
    with_part,
    with_states,
)

# -- runs, notes and what is used up --------------------------------------------------------------


def test_a_part_laid_away_is_put_on_though_nobody_logged_it_off():
    """Left out of the rebuild it would stay on its shelf; the step says to look first."""
    car = vehicle("lid - frame: 4 bolt M6x16", "lamp - lid: 2 screw M5x10")
    state = with_states(state_of(car), "parts", [PartState("lid", laid_away=said())])
    plan = plan_of(car, state)
    assert_order(plan, "put on lid", "make lid-frame")
    assert "make lamp-lid" in lines(plan)
    assert step_in(plan, "put on lid").notes == (LOOK_FIRST,)
    assert not lines(plan_of(car, state_of(car)))


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


def test_what_is_to_be_tightened_again_is_told_when_it_is_tightened_for_good():
    """After so far, as described; where a job finishes it, on that job's line."""
    car = with_joint(
        vehicle("hub - frame: 1 bolt M8", datum="frame"),
        "hub-frame",
        tightening=Tightening(retorque_after="80 km"),
    )
    plan = plan_of(car, apart(car, "hub-frame", "hub"))
    assert step_in(plan, "tighten hub-frame").notes == ("tighten it again after: 80 km",)
    nip = job("nip", JobKind.TIGHTEN, joints=("hub-frame",))
    late = with_joint(car, "hub-frame", final_when=FinalWhen.AFTER_FIRST_RUN)
    late = late.with_records(jobs={"nip": nip})
    plan = plan_of(late, apart(late, "hub-frame", "hub"))
    assert step_in(plan, "tighten hub-frame").notes == ()
    assert "hub-frame: tighten it again after: 80 km" in step_in(plan, "do nip").notes


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
        shims=(
            ShimPack("front leg", (Shim(0.001), Shim(0.0005)), order="thick first"),
            ShimPack("rear leg", ()),
        ),
        consumables=(Consumable("sealant", "thin"), Consumable("grease")),
        tightening=Tightening(
            22.0, TorqueOrigin.HANDBOOK, "dry", (Stage(10.0), Stage(angle_deg=90)), "crosswise"
        ),
    )
    marks = (MarkNeeded("punch", "its rim"),)
    car = with_part(car, "hub", marks=marks, cautions=("sharp",), mass_kg=2.0)
    state = apart(car, "hub-frame", "hub")
    plan = plan_of(car, state)
    assert step_in(plan, "put on hub").notes == ("mark: punch at its rim",)
    assert step_in(plan, "put on hub").cautions == ("sharp",)
    stack = car.joints["hub-frame"].fixings[0].stack
    assert step_in(plan, "make hub-frame").notes == (
        "heads: forwards",
        f"in this order: {' → '.join(piece.spec.text for piece in stack)}",
        "shims front leg: 1 mm + 0.5 mm, thick first",
        "shims rear leg: none",
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


def test_what_nobody_described_a_caution_of_is_told_what_is_usual():
    """Glass is carried by two as it goes back, too."""
    pane = Part("pane", "pane", ZONE, kind=PartKind.GLASS)
    car = vehicle("pane - frame", pane, datum="frame")
    step = step_in(plan_of(car, apart(car, "pane-frame", "pane")), "put on pane")
    assert GLASS in step.cautions


@pytest.mark.parametrize(
    ("fluid", "told"),
    [
        (Fluid("f", "petrol", "lid"), (POURED,)),
        (Fluid("f", "petrol", "lid", hazard="outdoors"), ("outdoors",)),
        (Fluid("f", "water", "lid"), ()),
    ],
)
def test_what_is_poured_in_says_what_it_can_do(fluid, told):
    """By a step of its own or by a job; as described, else of what burns."""
    for job_of_it in ((), (Job("pour", "pour it", JobKind.FILL, Phase.REBUILD, fluid="f"),)):
        car = vehicle("lid - frame", fluid, *job_of_it, datum="frame")
        out = FluidState("f", drained=said(1))
        state = with_states(apart(car, "lid-frame", "lid"), "fluids", [out])
        line = "do pour" if job_of_it else "fill f"
        assert step_in(plan_of(car, state), line).cautions == told


def test_brakes_that_nobody_described_how_to_bleed_are_told_to_be_bled():
    """By the name of the joint or of a part of it; where a job bleeds them, the plan has it."""
    hose = Part("hose", "Brake hose, front", ZONE)
    car = vehicle("hose - frame", "lid - frame", hose, datum="frame")
    torn = ("hose-frame", "hose", "lid-frame", "lid")
    plan = plan_of(car, apart(car, *torn))
    assert step_in(plan, "make hose-frame").cautions == (UNBLED,)
    assert step_in(plan, "make lid-frame").cautions == ()
    fluid, bleed = Fluid("f", "fluid", "hose"), Job("b", "b", JobKind.BLEED, fluid="f")
    car = vehicle("hose - frame", "lid - frame", hose, fluid, bleed, datum="frame")
    assert step_in(plan_of(car, apart(car, *torn)), "make hose-frame").cautions == ()


def test_brakes_known_by_name_alone_are_told_to_be_bled_without_any_joint():
    """A hose of which nobody described or logged a joint, and the fluid that is poured in."""
    hose, lid = Part("hose", "Brake hose, front", ZONE), Part("lid", "lid", ZONE)
    fluid = Fluid("f", "Brake fluid", "?")
    car = vehicle("arm - frame", hose, lid, fluid, datum="frame")
    state = replace(apart(car, "hose", "lid"), fluids={"f": FluidState("f", drained=said(1))})
    plan = plan_of(car, state)
    assert UNBLED in step_in(plan, "put on hose").cautions
    assert UNBLED not in step_in(plan, "put on lid").cautions
    assert step_in(plan, "fill f").cautions == (UNBLED,)
    water = replace(car, fluids={"f": Fluid("f", "water", "?")})
    assert step_in(plan_of(water, state), "fill f").cautions == ()


def test_a_joint_of_unknown_fixings_says_how_many_to_have_new():
    """Nobody described what they are, so its card says it; else the list names the pieces."""
    described = vehicle("lid - frame: 4 bolt M8x20", datum="frame")
    bare = replace(described.joints["lid-frame"], fixings=())
    unknown = replace(described, joints={"lid-frame": bare})
    for car, destroyed, lost, told in (
        (unknown, 0, 1, ("1 of its fixings is lost or destroyed: have a new one",)),
        (unknown, 1, 1, ("2 of its fixings are lost or destroyed: have new ones",)),
        (unknown, 0, 0, ()),
        (described, 1, 1, ()),
    ):
        state = apart(car, "lid-frame", "lid")
        seen = replace(state.joints["lid-frame"], destroyed=destroyed, lost=lost)
        plan = plan_of(car, with_states(state, "joints", [seen]))
        assert step_in(plan, "make lid-frame").notes == told


def test_what_lets_go_is_held_and_warned_of():
    """The prop stands until the joint is made; a spring under load is a caution."""
    car = vehicle("spring - frame", datum="frame")
    flies = WhenUndone(Does.FLIES, "towards the wing", "compress it")
    car = with_joint(car, "spring-frame", when_undone=flies)
    plan = plan_of(car, apart(car, "spring-frame", "spring"))
    assert step_in(plan, "put on spring").prop_first == "compress it"
    warned = step_in(plan, "make spring-frame").cautions
    assert warned == ("a spring is under load: towards the wing",)


def test_a_prop_is_told_where_its_other_end_is_there_to_be_made():
    """Putting the shell on, nobody holds a bonnet that lies in the store."""
    car = vehicle("shell - frame", "bonnet - shell", datum="frame")
    slides = WhenUndone(Does.FALLS, "it slides", "one at each corner")
    car = with_joint(car, "bonnet-shell", when_undone=slides)
    plan = plan_of(car, apart(car, "bonnet-shell", "bonnet", "shell-frame", "shell"))
    assert_order(plan, "put on shell", "put on bonnet")
    assert "corner" not in step_in(plan, "put on shell").prop_first
    assert step_in(plan, "put on bonnet").prop_first == "one at each corner"


@pytest.mark.parametrize(
    ("mass_kg", "more", "words"),
    [
        (150.0, {}, "take the weight of the eng (150 kg) on a jack or hoist until"),
        (
            150.0,
            {"hoist": "the crane"},
            "take the weight of the eng (150 kg) with the crane until",
        ),
        (30.0, {}, "two people hold the eng (30 kg) until"),
        (12.0, {}, "hold the eng (12 kg) until"),
        (None, {}, "take the weight of the eng (nobody knows its mass) on a jack or hoist until"),
    ],
)
def test_what_is_heavy_is_lifted_and_held_until_it_is_held(mass_kg, more, words):
    """As in the strip: by hand, by two, by the gear that is described, on a jack or hoist."""
    eng = Part("eng", "eng", ZONE, kind=PartKind.MACHINE, mass_kg=mass_kg, **more)
    car = vehicle(eng, "eng - frame", datum="frame")
    plan = plan_of(car, apart(car, "eng-frame", "eng"))
    assert step_in(plan, "put on eng").prop_first == f"{words} its joints are made"


@pytest.mark.parametrize("more", [{"mass_kg": 4.0}, {"mass_kg": 20.0, "kind": PartKind.TRIM}])
def test_what_is_light_or_trim_is_put_on_without_words(more):
    """One hand holds it, or it rests where it is."""
    car = vehicle(Part("lid", "lid", ZONE, **more), "lid - frame", datum="frame")
    plan = plan_of(car, apart(car, "lid-frame", "lid"))
    assert step_in(plan, "put on lid").prop_first == ""


@pytest.mark.parametrize(
    ("mass_kg", "words"), [(12.0, ""), (30.0, "two people lift the eng (30 kg)")]
)
def test_what_rests_without_its_joints_is_lifted_only(mass_kg, words):
    """Somebody described how it stays: nobody holds it, but one alone does not lift 30 kg."""
    car = vehicle(Part("eng", "eng", ZONE, mass_kg=mass_kg), "eng - frame", datum="frame")
    rests = WhenUndone(Does.STAYS, "it sits on its mountings")
    car = with_joint(car, "eng-frame", when_undone=rests)
    plan = plan_of(car, apart(car, "eng-frame", "eng"))
    assert step_in(plan, "put on eng").prop_first == words


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


def test_a_job_described_for_all_of_it_says_how_little_was_apart():
    """A trial build of three joints of which one was undone; with two of them it says nothing."""
    prove = job("prove", JobKind.PROVE, joints=("lid-frame", "cap-frame", "pan-frame"))
    bags = job("ready", JobKind.PREPARE, parts=("lid", "cap", "pan"))
    car = vehicle("lid - frame", "cap - frame", "pan - frame", prove, bags, datum="frame")
    plan = plan_of(car, apart(car, "lid-frame", "lid"))
    words = (
        "most of what it names was never apart (2 of 3 {}): it may take less time than described"
    )
    assert step_in(plan, "do prove").notes == (words.format("joints"),)
    assert step_in(plan, "do ready").notes == (words.format("parts"),)
    plan = plan_of(car, apart(car, "lid-frame", "lid", "cap-frame", "cap"))
    assert step_in(plan, "do prove").notes == step_in(plan, "do ready").notes == ()
