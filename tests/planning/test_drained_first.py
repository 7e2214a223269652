"""Petrol and brake fluid are drained before a strip lets them out, with or without a fact."""

from dataclasses import replace

import pytest

from putback.logbook.state import FluidState
from putback.planning.check import check_strip
from putback.planning.reach import reach
from putback.planning.stretch.best import best_stretch
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Phase
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind
from tests.makers import ZONE, standing, vehicle
from tests.planning.hand_made import likely, said, state_of
from tests.planning.stripping import place, planned

DRAIN = Job("drain", "drain it", JobKind.DRAIN, minutes=likely(20))
PETROL = Fluid("fluid", "petrol", "tank", drained_by="drain", hazard="no sparks")


def car(*more, fluid=PETROL, drain=DRAIN):
    """A tank with a pipe at its outlet, and a cover in the way of nothing."""
    return vehicle(
        Part("pipe", "pipe", ZONE, kind=PartKind.PIPE),
        "tank - frame",
        "pipe - tank",
        "cover - frame",
        fluid,
        Opening("o", "outlet", "tank", ("pipe-tank",), fluid="fluid", needs_closing=False),
        drain,
        *more,
        datum="frame",
    )


def is_drained_first(v, *let_out, **state) -> bool:
    """Whether the job comes before all of these in the plan, and is told why."""
    plan = planned(v, **state)
    drained = [at for at, step in enumerate(plan.steps) if step.what == "job:drain"]
    words = "petrol would run out (no sparks): it is drained first"
    for what in let_out if drained else ():
        at = place(plan, what)
        assert words in [reason.words for reason in plan.steps[at].reasons]
        assert drained[0] < at
    return bool(drained)


def test_the_tank_is_drained_before_its_pipe_is_undone_and_it_is_lifted():
    """Nobody said so in a fact; it is told why, and nothing is left to be warned of."""
    assert is_drained_first(car(), "joint:pipe-tank", "part:tank")
    cautions = [each for step in planned(car()).steps for each in step.cautions]
    assert not any("runs out here" in each for each in cautions)


@pytest.mark.parametrize(
    ("fluid", "more"),
    [
        (replace(PETROL, name="oil", hazard=""), ()),
        (replace(PETROL, drained_by=None), ()),
    ],
    ids=["oil", "no job"],
)
def test_what_does_no_harm_or_cannot_be_drained_is_left(fluid, more):
    """Of oil it is for facts to say; who described no job cannot do it."""
    assert not is_drained_first(car(*more, fluid=fluid))


@pytest.mark.parametrize(
    "fluid",
    [
        replace(PETROL, name="F1", hazard="flammable vapour"),
        replace(PETROL, name="Diesel", hazard=""),
    ],
)
def test_what_burns_is_told_by_its_words(fluid):
    """By what it is called, or by its hazard."""
    assert place(planned(car(fluid=fluid)), "job:drain") is not None


def test_brake_fluid_is_what_is_bled():
    """It strips paint, and a pipe of it is opened nowhere before it is out."""
    fluid = replace(PETROL, name="DOT 4", hazard="")
    bleed = Job("bleed", "bleed it", JobKind.BLEED, Phase.REBUILD, fluid="fluid")
    plan = planned(car(bleed, fluid=fluid))
    assert place(plan, "job:drain") < place(plan, "joint:pipe-tank")


def test_a_drain_job_that_names_the_fluid_does_as_well():
    """The fluid itself does not say who drains it."""
    fluid, drain = replace(PETROL, drained_by=None), replace(DRAIN, fluid="fluid")
    assert is_drained_first(car(fluid=fluid, drain=drain), "joint:pipe-tank")


def test_what_is_out_is_not_drained_again():
    """By the job, by an entry of its own; what was filled since is drained once more."""
    out = FluidState("fluid", drained=said(1))
    assert not is_drained_first(car(), done=["drain"])
    assert not is_drained_first(car(), fluids={"fluid": out})
    again = replace(out, filled=said(2))
    assert is_drained_first(car(), "part:tank", fluids={"fluid": again})


def test_a_part_that_it_leaks_by_waits_and_so_does_a_whole():
    """The tank comes off within a whole; the pump is no part of it."""
    fluid = replace(PETROL, leaks_if_off=("pump",))
    more = ("pump - frame", "tank - straps", Assembly("unit", "unit", ("tank", "straps")))
    v = car(*more, fluid=fluid)
    assert is_drained_first(v, "part:pump")
    goal = replace(v.goals["bare"], off=("tank", "straps"), off_rest=False)
    plan = planned(v, goal)
    assert place(plan, "assembly:unit") > place(plan, "job:drain")


def test_who_only_wants_the_cover_off_drains_nothing():
    """Nothing lets it out there; who wants the tank does."""
    v = car()
    assert [s.what for s in reach(v, state_of(v), "part:cover").steps][-1] == "part:cover"
    assert "job:drain" not in [s.what for s in reach(v, state_of(v), "part:cover").steps]
    assert "job:drain" in [s.what for s in reach(v, state_of(v), "part:tank").steps]


def test_a_job_that_waits_for_the_pipe_does_not_come_before_it():
    """It is drained through the pipe, somebody said: the goal is not impossible for that."""
    v = car("pipe - tank before drain: it is drained there")
    plan = planned(v)
    assert place(plan, "joint:pipe-tank") < place(plan, "job:drain") < place(plan, "part:tank")
    (step,) = [step for step in plan.steps if step.what == "joint:pipe-tank"]
    assert "petrol is still in and runs out here (no sparks): drain it first" in step.cautions


def test_a_job_for_which_the_tank_must_be_off_does_not_come_before_it():
    """It is drained in a standing that needs the tank off: the plan leaves it at a warning."""
    v = car(
        standing("wheels", "frame"),
        standing("stands", "frame", needs_off=("tank",)),
        drain=replace(DRAIN, standings=("stands",)),
    )
    plan = planned(v, standing="wheels")
    assert "job:drain" not in [step.what for step in plan.steps]


def test_the_foreman_asks_for_it_too():
    """A plan without it is told at each step that lets it out, one that is late at the first."""
    v = car()
    (goal,) = v.goals.values()
    plan = planned(v)
    drain = next(step for step in plan.steps if step.what == "job:drain")
    rest = [step for step in plan.steps if step is not drain]
    at = next(n for n, step in enumerate(rest) if step.what == "joint:pipe-tank")
    words = "drain it comes before it lets out the petrol"
    without = check_strip(v, state_of(v), goal, replace(plan, steps=tuple(rest)))
    told = [fault.what for fault in without if fault.words == words]
    assert told == ["joint:pipe-tank", "part:tank"]
    late = (*rest[: at + 1], drain, *rest[at + 1 :])
    faults = check_strip(v, state_of(v), goal, replace(plan, steps=late))
    assert [fault.what for fault in faults if fault.words == words] == ["joint:pipe-tank"]


def test_a_stretch_brings_it_along():
    """Nobody lifts the tank in half an hour and leaves the draining of it for tomorrow."""
    v, known = car(drain=replace(DRAIN, minutes=likely(40))), {"undone": ["pipe-tank"]}
    plan = planned(v, off=["pipe"], **known)
    done = {
        minutes: [step.what for step in found.stretch.steps]
        for minutes in (35.0, 75.0)
        for found in (best_stretch(v, state_of(v, off=["pipe"], **known), plan, minutes),)
    }
    assert done[35.0] == ["joint:tank-frame", "joint:cover-frame", "part:cover"]
    assert done[75.0].index("job:drain") < done[75.0].index("part:tank")
