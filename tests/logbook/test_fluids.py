"""Which fluids are out, whichever way somebody said so."""

from dataclasses import replace

import pytest

from putback.logbook.fluids import fluid_of, fluids_out, is_fluid_out, pours_of
from putback.logbook.state import FluidState, JobState
from putback.planning.check.pours import is_out
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Fluid
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import said, state_of, table

FUEL = Fluid("fuel", "fuel", "keg", mass_kg=20.0, drained_by="drain")


@pytest.mark.parametrize(
    ("seen", "done", "out"),
    [
        (None, (), False),
        (None, ("drain",), True),
        (FluidState("fuel", drained=said(1)), (), True),
        (FluidState("fuel", drained=said(1), filled=said(2)), (), False),
        (FluidState("fuel", filled=said(2)), ("drain",), False),
        (FluidState("fuel"), (), False),
    ],
)
def test_a_fluid_is_out_when_drained_and_not_filled_since(seen, done, out):
    """Either way of saying that it was drained counts, until somebody fills it."""
    vehicle = Vehicle(About("v", "v"), fluids=table(FUEL))
    state = state_of(vehicle, done=done, fluids={"fuel": seen} if seen else {})
    assert fluids_out(vehicle, state) == ({"fuel"} if out else set())


TAPS = (
    Job("drain", "drain", JobKind.DRAIN),
    Job("tap", "tap", JobKind.DRAIN, fluid="fuel"),
    Job("fill", "fill", JobKind.FILL, fluid="fuel"),
    Job("bleed", "bleed", JobKind.BLEED, fluid="fuel"),
    Job("look", "look", JobKind.CHECK, fluid="fuel"),
)


@pytest.mark.parametrize(
    ("done", "seen", "out"),
    [
        ({"tap": 1}, None, True),
        ({"tap": 1, "fill": 2}, None, False),
        ({"fill": 1, "tap": 2}, None, True),
        ({"drain": 1, "fill": 2}, None, False),
        ({"fill": 2}, FluidState("fuel", drained=said(1)), False),
        ({"fill": 1}, FluidState("fuel", drained=said(2)), True),
        ({"tap": 3}, FluidState("fuel", drained=said(1), filled=said(2)), True),
        ({"fill": 1}, None, False),
        ({"look": 1, "bleed": 2}, None, False),
    ],
)
def test_a_job_that_is_done_drains_or_fills_as_an_entry_does(done, seen, out):
    """Whichever was said last; the checker, which reads for itself, thinks the same."""
    vehicle = Vehicle(About("v", "v"), fluids=table(FUEL), jobs=table(*TAPS))
    state = state_of(vehicle, fluids={"fuel": seen} if seen else {})
    jobs = {job: JobState(job, done=said(at)) for job, at in done.items()}
    state = replace(state, jobs=jobs)
    assert is_fluid_out(vehicle, state, "fuel") == is_out(vehicle, state, "fuel") == out


@pytest.mark.parametrize(("done", "bled"), [({"fill": 1}, False), ({"fill": 1, "bleed": 2}, True)])
def test_a_circuit_filled_by_a_job_wants_bleeding(done, bled):
    """Filled, and not bled since; the bleeding may be a job too, if it comes after."""
    vehicle = Vehicle(About("v", "v"), fluids=table(FUEL), jobs=table(*TAPS))
    jobs = {job: JobState(job, done=said(at)) for job, at in done.items()}
    seen = fluid_of(vehicle, replace(state_of(vehicle), jobs=jobs), "fuel")
    assert bool(seen.bled) == bled
    early = {"bleed": JobState("bleed", done=said(1)), "fill": JobState("fill", done=said(2))}
    assert fluid_of(vehicle, replace(state_of(vehicle), jobs=early), "fuel").bled is None


def test_a_job_pours_what_the_fluid_or_the_job_itself_says():
    """Once, where both say so; a job of another kind that names a fluid pours nothing."""
    jobs = (
        Job("drain", "drain", JobKind.DRAIN, fluid="fuel"),
        Job("tap", "tap", JobKind.DRAIN, fluid="fuel"),
        Job("fill", "fill", JobKind.FILL, fluid="fuel"),
        Job("bleed", "bleed", JobKind.BLEED, fluid="fuel"),
    )
    pours = pours_of(Vehicle(About("v", "v"), fluids=table(FUEL), jobs=table(*jobs)))
    assert pours.drains == {"drain": ("fuel",), "tap": ("fuel",)}
    assert pours.fills == {"fill": ("fuel",)}
