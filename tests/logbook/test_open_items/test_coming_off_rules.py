"""Open items on what is coming off: lifts, drops, leaks, open ends, half-done joints."""

from dataclasses import replace

import pytest

from putback.logbook.entries.describing import Described
from putback.logbook.entries.rebuilding import Bled, Filled
from putback.logbook.entries.working import (
    Drained,
    JobDone,
    OpeningClosed,
    OpeningOpened,
    SeenFree,
    StandingChanged,
    TakenInHand,
    TemporaryFitOn,
)
from putback.logbook.open_items import Danger
from putback.vehicle.assembly import Assembly
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Does, WhenUndone
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.run import Run, RunEnd
from tests.logbook.planted import clear, only
from tests.makers import ZONE, joint, standing, vehicle
from tests.makers_logbook import Story


def shell(**more):
    """A body shell that two people and a hoist lift."""
    return Part("shell", "shell", ZONE, crew=2, hoist="beams", mass_kg=165, **more)


def dropping(line, does, **more):
    """A joint that lets something go."""
    return replace(joint(line), when_undone=WhenUndone(does, **more))


def test_an_earth_strap_is_the_tie_that_is_left_before_the_lift():
    """All mountings are out, and a strap still ties the body: named, and pressing in the lift."""
    story = Story(
        vehicle(
            "mount 1 = shell - frame", "mount 2 = shell - frame", "strap = shell - frame",
            shell(), datum="frame",
        )
    )  # fmt: skip
    first, second = story("A: undone mount 1 1 of 1"), story("A: undone mount 2 1 of 1")
    item = only(story, "ties left", Danger.NOW, first, second)
    assert item.words == "1 tie left on shell before it lifts: strap"
    story.says("A", TakenInHand(what="part:shell"))
    item = only(story, "ties left", Danger.DANGER, first, second)
    clear(story, item, "A: undone strap 1 of 1")


def test_ties_are_not_counted_while_most_of_a_lift_is_still_tied():
    """With more left than undone nobody is about to lift."""
    story = Story(vehicle("a = shell - frame", "b = shell - frame", "c = shell - frame", shell()))
    story("A: undone a 1 of 1")
    assert not story.open("ties left")


def test_what_one_person_lifts_off_is_not_counted_for_ties():
    """A bracket on its last screw is no lift."""
    story = Story(vehicle("a = bracket - frame", "b = bracket - frame"))
    story("A: undone a 1 of 1")
    assert not story.open("ties left")


def test_what_goes_back_on_has_no_ties_left():
    """In the rebuild joints still to be made are not ties before a lift."""
    story = Story(vehicle("a = shell - frame", "b = shell - frame", shell(), datum="frame"))
    story("A: undone a 1 of 1", "A: undone b 1 of 1", "A: off shell", "A: on shell")
    story("A: made a final")
    assert not story.open("ties left")


def test_before_a_lift_somebody_looks_at_each_undone_tie():
    """One of two seen free leaves the other; in the lift it presses; made again it is no tie."""
    story = Story(vehicle("a = shell - frame", "b = shell - frame", shell(), datum="frame"))
    first, second = story("A: undone a 1 of 1"), story("A: undone b 1 of 1")
    item = only(story, "not seen free", Danger.LATER, first, second)
    assert item.words == "2 undone ties of shell not seen free before it lifts: a and b"
    story.says("A", SeenFree(joint="a", before="part:shell"))
    story.says("A", TakenInHand(what="part:shell"))
    item = only(story, "not seen free", Danger.NOW, first, second)
    assert item.words == "1 undone tie of shell not seen free before it lifts: b"
    clear(story, item, SeenFree(joint="b"))
    story("A: made a final", "A: undone a 1 of 1")
    assert story.open("not seen free")[0].words.endswith("lifts: a")


@pytest.mark.parametrize(
    ("part", "undone"),
    [
        (Part("shell", "shell", ZONE, mass_kg=60), ["a", "b", "c"]),
        (shell(), ["a"]),
    ],
    ids=["a heavy part that one lifts", "more is tied than undone"],
)
def test_nobody_is_sent_round_where_no_lift_by_several_or_a_hoist_is_near(part, undone):
    """Only before such a lift is the walk-round asked for."""
    story = Story(vehicle("a = shell - frame", "b = shell - frame", "c = shell - frame", part))
    for joint_ in undone:
        story(f"A: undone {joint_} 1 of 1")
    assert not story.open("not seen free")


def test_a_whole_stands_for_its_parts():
    """Of an assembly that lifts as one, the ties are named once."""
    engine = Part("engine", "engine", ZONE, mass_kg=120, hoist="crane")
    unit = Assembly("unit", "engine unit", ("engine", "gearbox"), crew=2, hoist="crane")
    story = Story(
        vehicle("engine - gearbox", "a = engine - frame", "b = gearbox - frame", engine, unit)
    )
    undone = story("A: undone a 1 of 1")
    item = only(story, "ties left", Danger.NOW, undone)
    assert (item.subject, item.words) == (
        "assembly:unit",
        "1 tie left on engine unit before it lifts: b",
    )


@pytest.mark.parametrize(("crew", "limit"), [(1, 23), (2, 31), (3, 34)])
def test_a_lift_over_what_its_people_lift_is_a_danger_until_a_hoist_is_named(crew, limit):
    """NIOSH's 23 kg for one; two thirds of the sum for two, half for three (HSE L23)."""
    heavy = Part("axle", "axle", ZONE, mass_kg=limit + 1, crew=crew)
    story = Story(vehicle("axle - frame", heavy, datum="frame"))
    undone = story("A: undone axle-frame 1 of 1")
    item = only(story, "lift too heavy", Danger.DANGER, undone)
    lift = "1 person by hand lifts" if crew == 1 else f"{crew} people by hand lift"
    assert item.words == f"axle is {limit + 1} kg; {lift} about {limit} kg"
    clear(story, item, Described(table="parts", id="axle", fields={"hoist": "crane"}))


def test_a_lift_within_what_its_people_lift_is_none():
    """The limit itself is still a lift for one."""
    axle = Part("axle", "axle", ZONE, mass_kg=23, crew=1)
    story = Story(vehicle("axle - frame", axle, datum="frame"))
    story("A: undone axle-frame 1 of 1")
    assert not story.open("lift too heavy")


def test_a_tank_is_lifted_with_what_is_in_it():
    """12 kg are no lift too heavy, 42 kg are; it is none once it is drained."""
    tank, oil = Part("tank", "tank", ZONE, mass_kg=12), Fluid("oil", "oil", "tank", mass_kg=30)
    story = Story(vehicle("tank - frame", tank, oil, datum="frame"))
    undone = story("A: undone tank-frame 1 of 1")
    item = only(story, "lift too heavy", Danger.DANGER, undone)
    assert item.words == "tank is 42 kg; 1 person by hand lifts about 23 kg"
    story.says("A", Drained(fluid="oil"))
    assert not story.open("lift too heavy")


def test_of_a_pair_one_is_lifted_at_a_time():
    """Two seats of 30 kg together are no lift over one person's limit."""
    seats = Part("seats", "seats", ZONE, quantity=2, mass_kg=30)
    story = Story(vehicle("seats - floor", seats, datum="floor"))
    story("A: undone seats-floor 1 of 1")
    assert not story.open("lift too heavy")


def test_the_last_joint_of_something_that_falls_names_the_prop():
    """With one joint left the part drops when it goes: a danger once somebody begins with it."""
    story = Story(
        vehicle(
            "front = shaft - axle",
            dropping("rear = shaft - axle", Does.FALLS, detail="on heads", prop_first="tie it"),
            datum="axle",
        )
    )
    assert not story.open("will drop")
    undone = story("A: undone front 1 of 1")
    only(story, "will drop", Danger.NOW, undone)
    story.says("A", TakenInHand(what="joint:rear"))
    item = only(story, "will drop", Danger.DANGER, undone)
    assert (item.words, item.clears) == (
        "shaft falls when rear goes (on heads)",
        "prop first: tie it",
    )
    clear(story, item, TemporaryFitOn(fit="prop", what="strap", on="part:shaft"))


def test_a_hose_that_is_still_on_holds_nothing():
    """The radiator drops with its last bolt, though both hoses are still clipped on."""
    story = Story(
        vehicle(
            "left = radiator - panel",
            dropping("right = radiator - panel", Does.FALLS),
            "hoses = radiator - engine: 4 hose clip 35-50 mm",
            datum="panel",
        )
    )
    undone = story("A: undone left 1 of 1")
    item = only(story, "will drop", Danger.NOW, undone)
    assert item.words == "radiator falls when right goes"


def test_a_spring_is_a_danger_as_soon_as_its_joint_is_touched():
    """A spring flies though other joints hold the part."""
    story = Story(
        vehicle(
            dropping("cap = spring - arm: 2 bolt M8x30", Does.FLIES),
            "other = spring - arm",
            datum="arm",
        )
    )
    undone = story("A: undone cap 1 of 2, tag 3CAH")
    item = only(story, "will drop", Danger.DANGER, undone)
    assert item.words == "spring flies: a spring lets go when cap goes"
    clear(story, item, "A: undone cap 2 of 2, tag 3CAH")


def test_a_stuck_nut_is_open_until_it_is_out():
    """Three of four out and one stuck: soak it."""
    story = Story(vehicle("lid - frame: 4 nut M8"))
    undone = story("A: undone lid-frame 3 of 4, stuck 1, tag 3CAH")
    item = only(story, "joint half undone", Danger.NOW, undone)
    assert item.words == "lid-frame is left half way: 3 of 4 out, 1 stuck"
    assert item.clears.startswith("soak what is stuck")
    clear(story, item, "A: undone lid-frame 4 of 4, tag 3CAH")


def test_a_joint_of_which_nothing_would_move_is_open_too():
    """All stuck is half undone as well, and names who tried."""
    story = Story(vehicle("lid - frame: 4 nut M8"))
    tried = story("A: undone lid-frame 0 of 4, stuck 4")
    only(story, "joint half undone", Danger.NOW, tried)


def test_a_critical_joint_half_undone_is_a_danger():
    """It holds by less than it should, on the way off and on the way back."""
    story = Story(vehicle("wheel - hub: 4 wheel nut M12; critical"))
    undone = story("A: undone wheel-hub 2 of 4, tag 3CAH")
    only(story, "joint half undone", Danger.DANGER, undone)
    story("A: undone wheel-hub 4 of 4, tag 3CAH")
    made = story("A: made wheel-hub finger tight, made 3")
    item = only(story, "joint half undone", Danger.DANGER, made, undone)
    assert item.words == "wheel-hub is left half way: 3 of 4 in"
    clear(story, item, "A: made wheel-hub final")


@pytest.fixture
def brake():
    """A hose between a pipe and a caliper, its ends to be closed, and fluid in it."""
    return Story(
        vehicle(
            "hose - caliper: 1 banjo bolt 3/8-24 UNF",
            Opening(
                "end",
                "hose end",
                "hose",
                ("hose-caliper",),
                ends=2,
                closed_with="caps",
                fluid="fluid",
            ),
            Fluid("fluid", "brake fluid", "hose", leaks_if_off=("hose",), hazard="strips paint"),
            Job("bleed", "bleed the brakes", JobKind.BLEED, fluid="fluid"),
            datum="caliper",
        )
    )


def test_an_end_is_open_until_all_of_it_is_closed(brake):
    """One of two ends closed leaves one open."""
    undone = brake("A: undone hose-caliper 1 of 1, tag 3CAH")
    item = only(brake, "end open", Danger.NOW, undone)
    assert (item.words, item.clears) == ("hose end has 2 of 2 ends open", "close it with caps")
    closed = brake.says("A", OpeningClosed(opening="end", ends=1))
    item = only(brake, "end open", Danger.NOW, undone, closed)
    assert item.words == "hose end has 1 of 2 ends open"
    clear(brake, item, OpeningClosed(opening="end"))
    opened = brake.says("A", OpeningOpened(opening="end"))
    item = only(brake, "end open", Danger.NOW, undone, opened)
    brake("A: made hose-caliper final")
    assert not brake.open("end open")


def test_an_end_is_open_too_when_only_the_part_was_logged(brake):
    """Who says that the hose is off has said that its ends are open."""
    off = brake("A: off hose")
    only(brake, "end open", Danger.NOW, off)


def test_a_fluid_that_would_run_out_is_asked_for_before(brake):
    """The hose is free, and nobody drained."""
    undone = brake("A: undone hose-caliper 1 of 1, tag 3CAH")
    item = only(brake, "will leak", Danger.DANGER, undone)
    assert item.words == "brake fluid is still in and runs out when hose comes off (strips paint)"
    clear(brake, item, Drained(fluid="fluid"))


def fuel_pipe(*more):
    """A pipe from a tank to a pump, petrol in it."""
    car = vehicle(
        "tank - frame",
        "strap = tank - frame",
        "pipe - tank: 1 union nut M12",
        "pipe - pump: 1 union nut M12",
        "cap = tank - lid",
        Part("pipe", "pipe", ZONE, kind=PartKind.PIPE),
        Fluid("petrol", "petrol", "tank", leaks_if_off=("tank",), hazard="fire"),
        Opening("outlet", "tank outlet", "tank", ("pipe-tank",), fluid="petrol"),
        Opening("tail", "pipe end", "pipe", ("pipe-tank", "pipe-pump"), ends=2, fluid="petrol"),
        Opening("filler", "filler", "tank", ("cap",), fluid="petrol"),
        *more,
        datum="frame",
    )
    run = Run("pipe", (RunEnd("pipe-tank"), RunEnd("pipe-pump")))
    return Story(car.with_records(runs={"pipe": run}))


def test_a_fluid_that_runs_out_where_a_pipe_is_open_is_a_danger():
    """Nobody drained; once every end that is still on is closed it runs no more."""
    story = fuel_pipe()
    story("A: undone cap 1 of 1, tag 3CAH")
    assert not story.open("will leak")
    undone = story("A: undone pipe-tank 1 of 1, tag 3CAH")
    item = only(story, "will leak", Danger.DANGER, undone)
    assert item.words == "petrol is still in and runs out at pipe-tank (fire)"
    assert item.clears == "drain it, or close what is open there"
    story.says("A", OpeningClosed(opening="outlet", ends=1))
    only(story, "will leak", Danger.DANGER, undone)
    clear(story, item, OpeningClosed(opening="tail"))
    story.says("A", OpeningOpened(opening="outlet"))
    clear(story, only(story, "will leak", Danger.DANGER, undone), Drained(fluid="petrol"))


def test_what_lies_on_the_shelf_lets_nothing_out():
    """With the pipe off the outlet of the tank still runs; with the tank off it has run out."""
    story = fuel_pipe()
    tank = story("A: undone pipe-tank 1 of 1, tag 3CAH")
    pump = story("A: undone pipe-pump 1 of 1, tag 3CAH")
    only(story, "will leak", Danger.DANGER, tank, pump)
    story("A: off pipe", "A: off pump")
    only(story, "will leak", Danger.DANGER, tank)
    only(story, "will leak", Danger.LATER, story("A: off tank"))


def test_a_fluid_that_must_have_run_out_is_asked_for_after(brake):
    """With the part off it is out, whoever forgot to say so."""
    off = brake("A: off hose")
    item = only(brake, "will leak", Danger.LATER, off)
    assert item.words == "hose came off, and nobody said that brake fluid was drained"
    clear(brake, item, Drained(fluid="fluid"))


def test_a_fluid_that_is_filled_without_what_keeps_it_in_is_asked_for(brake):
    """Filled with the hose off: either it is not, or the hose is on."""
    drained = brake.says("A", Drained(fluid="fluid"))
    off = brake("A: off hose")
    filled = brake.says("A", Filled(fluid="fluid"))
    item = only(brake, "will leak", Danger.LATER, off, filled)
    assert drained not in item.causes
    assert item.words == "brake fluid is filled without hose, which keeps it in"
    clear(brake, item, "A: on hose")


def test_brake_fluid_waits_for_what_is_named_so():
    """Of its circuit nobody described anything: a brake pipe that is off is told by its name."""
    pipe, fluid = Part("p", "brake pipe, left", ZONE), Fluid("f", "DOT 4", "can")
    story = Story(vehicle("can - frame", "lid - frame", pipe, fluid, datum="frame"))
    drained = story.says("A", Drained(fluid="f"))
    story("A: off p", "A: off lid", "A: on lid")
    only(story, "fluid out", Danger.LATER, drained)
    story("A: on p")
    only(story, "fluid out", Danger.NOW, drained)


def test_a_drained_fluid_is_filled_once_it_can_be_and_bled_after(brake):
    """Nothing is said in the strip; in the rebuild it waits for its joints, then presses."""
    drained = brake.says("A", Drained(fluid="fluid"))
    brake("A: undone hose-caliper 1 of 1, tag 3CAH", "A: off hose")
    assert not brake.open("fluid out")
    brake("A: on hose")
    item = only(brake, "fluid out", Danger.LATER, drained)
    brake("A: made hose-caliper final")
    item = only(brake, "fluid out", Danger.NOW, drained)
    assert item.words == "brake fluid is drained, and all is together to fill it"
    clear(brake, item, Filled(fluid="fluid"))
    (filled,) = [entry.id for entry in brake.entries if entry.kind == "filled"]
    item = only(brake, "not bled", Danger.NOW, filled)
    clear(brake, item, Bled(fluid="fluid"))


def test_a_fluid_known_by_name_alone_is_not_filled_while_anything_is_apart():
    """Nobody said what holds it: only with all back together is nothing open."""
    story = Story(vehicle("lid - frame", "arm - frame", Fluid("fluid", "water", "?")))
    drained = story.says("A", Drained(fluid="fluid"))
    story("A: undone lid-frame", "A: off lid", "A: undone arm-frame", "A: off arm", "A: on arm")
    assert only(story, "fluid out", Danger.LATER, drained).words.endswith("must be filled again")
    story("A: made arm-frame final", "A: on lid")
    only(story, "fluid out", Danger.LATER, drained)
    story("A: made lid-frame final")
    assert "all is together" in only(story, "fluid out", Danger.NOW, drained).words


def test_a_job_ticked_as_done_drains_and_fills_like_an_entry():
    """Nobody logged drained or filled: the jobs of the description were ticked."""
    story = Story(
        vehicle(
            "hose - caliper",
            Fluid("fluid", "brake fluid", "hose", leaks_if_off=("hose",)),
            Job("tap", "draw it off", JobKind.DRAIN, fluid="fluid"),
            Job("pour", "pour it in", JobKind.FILL, fluid="fluid"),
            Job("bleed", "bleed the brakes", JobKind.BLEED, fluid="fluid"),
            datum="caliper",
        )
    )
    tapped = story.says("A", JobDone(job="tap"))
    story("A: undone hose-caliper 1 of 1, tag 3CAH", "A: off hose")
    assert not story.open("will leak")
    story("A: on hose", "A: made hose-caliper final")
    only(story, "fluid out", Danger.NOW, tapped)
    poured = story.says("A", JobDone(job="pour"))
    assert not story.open("fluid out")
    only(story, "not bled", Danger.NOW, poured)
    story.says("A", JobDone(job="bleed"))
    assert not story.open("not bled")


BLED = Bled(fluid="fluid")


def test_a_union_made_again_leaves_its_circuit_to_be_bled():
    """Nobody drained, filled or named the union in an opening; until all is closed it can wait."""
    wheel = Part("wheel", "wheel", ZONE, kind=PartKind.WHEEL)
    car = vehicle(
        "pipe - master",
        "pipe - hose",
        "clip = pipe - frame",
        "wheel - frame",
        wheel,
        standing("wheels", "wheel"),
        Part("pipe", "pipe", ZONE, kind=PartKind.PIPE),
        Fluid("fluid", "brake fluid", "master"),
        Opening("seat", "seat", "master", ("pipe-master",), fluid="fluid"),
        Job("bleed", "bleed", JobKind.BLEED, fluid="fluid"),
    )
    run = Run("pipe", (RunEnd("pipe-master"), RunEnd("pipe-hose")), clips=("clip",))
    story = Story(car.with_records(runs={"pipe": run}))
    story("A: made pipe-hose final, torque 14")
    assert not story.open("not bled"), "its torque was noted as it was found"
    story("A: undone clip 1 of 1", "A: made clip final", "A: undone pipe-hose 1 of 1")
    assert not story.open("not bled")
    story("A: undone pipe-master 1 of 1")
    made = story("A: made pipe-hose final")
    only(story, "not bled", Danger.LATER, made)
    again = story("A: made pipe-master final")
    item = only(story, "not bled", Danger.NOW, made, again)
    assert item.words == "the circuit of brake fluid was open at pipe-master and is not bled since"
    story.says("A", StandingChanged(standing="wheels"))
    clear(story, only(story, "not bled", Danger.DANGER, made, again), BLED)
    story("A: made pipe-hose final, torque 14")
    assert not story.open("not bled")
    story("A: cracked pipe-hose")
    clear(story, only(story, "not bled", Danger.DANGER, story("A: made pipe-hose nipped")), BLED)
    clear(story, only(story, "not bled", Danger.DANGER, story("A: made pipe-hose final")), BLED)
    story("A: undone pipe-hose 1 of 1")
    only(story, "not bled", Danger.DANGER, story("A: made pipe-hose final"))
    story.says("A", Drained(fluid="fluid"))
    assert not story.open("not bled")


def test_an_unbled_circuit_is_a_danger_on_the_wheels():
    """On its wheels somebody may move it."""
    wheel = Part("wheel", "wheel", ZONE, kind=PartKind.WHEEL)
    story = Story(
        vehicle(
            "wheel - hub", wheel, standing("wheels", "wheel"), Fluid("fluid", "fluid", "hub"),
            Job("bleed", "bleed", JobKind.BLEED, fluid="fluid"),
        )
    )  # fmt: skip
    story.says("A", StandingChanged(standing="wheels"))
    filled = story.says("A", Filled(fluid="fluid"))
    only(story, "not bled", Danger.DANGER, filled)


def test_a_part_off_before_what_is_in_its_way_points_at_the_contradiction():
    """Reality is taken in; the description or the log is wrong."""
    story = Story(vehicle("lid - frame", "bar - frame", "bar blocks lid", datum="frame"))
    off = story("A: off lid")
    item = only(story, "out of order", Danger.LATER, off)
    assert item.words == "lid came off though bar is said to be in its way"
    clear(story, item, "A: off bar")


def test_a_part_forgotten_behind_what_is_back_on_presses():
    """The lid cannot go back with the bar on again."""
    story = Story(vehicle("lid - frame", "bar - frame", "bar blocks lid", datum="frame"))
    story("A: off bar")
    off, on = story("A: off lid"), story("A: on bar")
    item = only(story, "out of order", Danger.NOW, off, on)
    assert item.words == "lid is still off, and bar in its way is back on"
    clear(story, item, "A: off bar")


def test_joints_that_nobody_logged_are_asked_for_once():
    """Off in one word is enough; where the bolts are is asked for later."""
    story = Story(vehicle("lid - frame: 4 bolt M8x20", "lid - bar: 2 bolt M8x20"))
    off = story("A: off lid, place shelf")
    story("A: off bar, place shelf")
    item = only(story, "joint not logged", Danger.LATER, off)
    assert item.words == "lid is off; nobody said where the hardware of lid-bar and lid-frame is"
    story("A: undone lid-bar 2 of 2, tag 3CAH")
    clear(story, item, "A: undone lid-frame 4 of 4, tag 3CAH")


def test_a_joint_made_to_a_part_that_is_off_asks_for_the_part():
    """Made joints hold what is on."""
    story = Story(vehicle("lid - frame: 4 bolt M8x20"))
    off = story("A: off lid")
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    made = story("A: made lid-frame final")
    item = only(story, "made without part", Danger.LATER, off, made)
    assert item.words == "lid-frame is made, yet lid is off in the logbook"
    clear(story, item, "A: on lid")
