"""The checker of rebuilds: which parts go back, and in which order they may go on."""

from dataclasses import replace

import pytest

from putback.logbook.common import Away, Common
from putback.logbook.entries.judging import Choice
from putback.planning.check import RebuildRule
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, Obstruction, Phase
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part
from tests.planning.checking_rebuild import both, cart, only, says
from tests.planning.hand_made import said, state_of, table


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
