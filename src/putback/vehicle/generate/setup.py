"""How much of the work along an order is walking round, fetching tools and jacking up."""

from collections.abc import Iterable

from putback.vehicle.generate.order import Act, Step
from putback.vehicle.ids import JobId, JointId, StandingId, ZoneId, split_ref
from putback.vehicle.job import Job
from putback.vehicle.joint import Joint
from putback.vehicle.vehicle import Vehicle

ZONE_CHANGE_MINUTES = 5.0
TOOL_CHANGE_MINUTES = 2.0
"""As a person who moves tools, lamp and kneeling mat would say; invented."""

LEAST_SETUP_SHARE = 0.3


def work_minutes(vehicle: Vehicle, steps: Iterable[Step]) -> float:
    """Add up the likely minutes of the jobs done and joints undone in these steps [minutes]."""
    done = (_record(vehicle, step) for step in steps if step.act in (Act.DO, Act.UNDO))
    return sum(record.minutes.likely for record in done)


def setup_minutes(vehicle: Vehicle, steps: Iterable[Step]) -> float:
    """Add up changes of standing, zone and tool along these steps [minutes].

    A standing costs what the vehicle says, a zone `ZONE_CHANGE_MINUTES` and a tool
    `TOOL_CHANGE_MINUTES`; a step that names none changes none. Getting to the first is free.
    """
    total = 0.0
    standing: StandingId | None = None
    zone: ZoneId | None = None
    tool = ""
    for step in steps:
        if standing is not None and step.standing != standing:
            total += vehicle.standings[standing].change_minutes[step.standing]
        standing = step.standing
        if step.act is Act.OFF:
            continue
        record = _record(vehicle, step)
        if record.zone and record.zone != zone:
            total += ZONE_CHANGE_MINUTES if zone else 0.0
            zone = record.zone
        if record.tool and record.tool != tool:
            total += TOOL_CHANGE_MINUTES if tool else 0.0
            tool = record.tool
    return total


def _record(vehicle: Vehicle, step: Step) -> Job | Joint:
    kind, identity = split_ref(step.ref)
    return vehicle.jobs[JobId(identity)] if kind == "job" else vehicle.joints[JointId(identity)]
