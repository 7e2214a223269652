"""How much of the work along an order is walking round, fetching tools and jacking up."""

from collections.abc import Iterable

from putback.vehicle.generate.order import Act, Step
from putback.vehicle.ids import JobId, JointId, PartId, StandingId, ZoneId, split_ref
from putback.vehicle.job import Job
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.vehicle import Vehicle

LEAST_SETUP_SHARE = 0.3
"""Of the work: below it, planning the order would not pay."""


def work_minutes(vehicle: Vehicle, steps: Iterable[Step]) -> float:
    """Add up the likely minutes of these steps [minutes]; cracking is part of undoing."""
    return sum(
        _record(vehicle, step).minutes.likely for step in steps if step.act is not Act.CRACK
    )


def setup_minutes(
    vehicle: Vehicle, steps: Iterable[Step], zone_minutes: float = 5.0, tool_minutes: float = 2.0
) -> float:
    """Add up changes of standing, zone and tool along these steps [minutes].

    A change of standing costs what the vehicle says, of zone and of tool what is given, which
    are the planner's usual settings [minutes]. A step that names none changes none, and getting
    to the first is free.
    """
    total = 0.0
    standing: StandingId | None = None
    zone: ZoneId | None = None
    tool = ""
    for step in steps:
        if standing is not None and step.standing != standing:
            total += vehicle.standings[standing].change_minutes[step.standing]
        standing = step.standing
        record = _record(vehicle, step)
        if record.zone and record.zone != zone:
            total += zone_minutes if zone else 0.0
            zone = record.zone
        next_tool = "" if isinstance(record, Part) else record.tool
        if next_tool and next_tool != tool:
            total += tool_minutes if tool else 0.0
            tool = next_tool
    return total


def _record(vehicle: Vehicle, step: Step) -> Job | Joint | Part:
    kind, identity = split_ref(step.ref)
    match kind:
        case "job":
            return vehicle.jobs[JobId(identity)]
        case "part":
            return vehicle.parts[PartId(identity)]
        case _:
            return vehicle.joints[JointId(identity)]
