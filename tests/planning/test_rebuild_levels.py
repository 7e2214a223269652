"""Before anything runs: the level of what may have run out though nobody said so."""

from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import FluidState, JointState
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.usual_cautions import RUN
from tests.makers import vehicle
from tests.planning.hand_made import said
from tests.planning.rebuilding import apart, job, plan_of, step_in, with_states

CAR = vehicle(
    "hose - block",
    "block - frame",
    "lid - frame",
    job("start", JobKind.RUN),
    job("drive", JobKind.RUN),
    "start before drive: on stands first (rebuild)",
    Fluid("water", "coolant", "block", leaks_if_off=("block",)),
    Opening("stub", "stub", "block", ("hose-block",), fluid="water"),
    datum="frame",
)
LOOK = (
    "nobody said that coolant was drained or filled since the hose-block was undone:"
    " look at its level first"
)


def warned(car, state):
    """What the first run and the next are warned of, besides what is usual."""
    plan = plan_of(car, state)
    told = [step_in(plan, f"do {each}").cautions for each in ("start", "drive")]
    assert all(each[-1] == RUN for each in told)
    return [each[:-1] for each in told]


def test_the_first_run_is_warned_of_a_level_that_nobody_looked_at():
    """A hose was off, and nobody said that it was drained: once, before anything runs."""
    assert warned(CAR, apart(CAR, "hose-block", "hose")) == [(LOOK,), ()]
    assert warned(CAR, apart(CAR, "lid-frame", "lid")) == [(), ()]


def test_what_is_filled_by_the_plan_or_since_or_bled_is_not_told():
    """It was drained, so it is filled; somebody filled it after; air is let out anyway."""
    torn = apart(CAR, "lid-frame", "lid", "hose-block", "hose")
    for seen in (FluidState("water", drained=said(1)), FluidState("water", filled=said(99))):
        assert warned(CAR, with_states(torn, "fluids", [seen])) == [(), ()]
    early = with_states(torn, "fluids", [FluidState("water", filled=said(0))])
    assert warned(CAR, early) == [(LOOK,), ()]
    bled = CAR.with_records(
        jobs={**CAR.jobs, "bleed": Job("bleed", "bleed", JobKind.BLEED, fluid="water")}
    )
    assert warned(bled, apart(bled, "hose-block", "hose")) == [(), ()]


def test_a_torque_noted_after_filling_is_no_opening():
    """Closed, filled, then made once more: looked at only where it was filled before."""
    for filled, told in ((5, ()), (2, (LOOK,))):
        state = with_states(
            apart(CAR, "lid-frame", "lid"),
            "joints",
            [
                JointState(
                    "hose-block",
                    made=said(9),
                    closed=said(3),
                    tightness=Tightness.FINAL,
                    times_made=1,
                )
            ],
        )
        state = with_states(state, "fluids", [FluidState("water", filled=said(filled))])
        assert warned(CAR, state) == [told, ()]
