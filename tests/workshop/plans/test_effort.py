"""What a plan asks of people."""

from putback.planning.plan import Action, Step
from putback.vehicle.ids import JobId, Ref, ZoneId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.minutes import Minutes
from putback.workshop.plans.effort import effort
from tests.makers import vehicle

VEHICLE = vehicle("lid - box: 4 bolt M8x1.25 x 30 mm").with_records(
    jobs={
        JobId("cure"): Job(
            JobId("cure"),
            "let it dry",
            JobKind.CURE,
            minutes=Minutes(60, 60, 60),
            zone=ZoneId("Z"),
        )
    }
)


def test_curing_is_waiting_and_no_work():
    """Nobody works while paint hardens, so its hours are told apart."""
    steps = [
        Step(Action.DO, Ref("job:cure"), minutes=60),
        Step(Action.UNDO, Ref("joint:any"), minutes=20),
    ]
    asked = effort(VEHICLE, steps)
    assert (asked.work_minutes, asked.waiting_minutes) == (20, 60)
    assert asked.is_known


def test_steps_without_minutes_are_counted_not_summed():
    """A sum of nothing is no estimate; a second look without minutes of its own is no gap."""
    steps = [
        Step(Action.UNDO, Ref("joint:any")),
        Step(Action.TAKE_OFF, Ref("part:lid"), minutes=5),
        Step(Action.CHECK, Ref("joint:any")),
    ]
    asked = effort(VEHICLE, steps)
    assert (asked.not_estimated, asked.estimated) == (1, 1)
    assert not asked.is_known
