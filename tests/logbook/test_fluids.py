"""Which fluids are out, whichever way somebody said so."""

import pytest

from putback.logbook.fluids import fluids_out, pours_of
from putback.logbook.state import FluidState
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
