"""What cures still: nothing may load it (rule 18 of the rebuild)."""

from collections.abc import Iterable, Mapping
from datetime import date

from putback.logbook.moments import moment_at
from putback.logbook.state import State
from putback.vehicle.ids import JointId, PartId
from putback.vehicle.vehicle import Vehicle


def curing(vehicle: Vehicle, state: State, today: date | None) -> Mapping[JointId, str]:
    """Give the joints that cure on a day, each with until when; without a day, all ever said."""
    found = {}
    for joint, seen in state.joints.items():
        until = moment_at(seen.curing_until) if seen.curing_until else None
        is_over = until is not None and today is not None and until.date() < today
        if until is not None and seen.made and not is_over and joint in vehicle.joints:
            found[joint] = seen.curing_until
    return found


def curing_beside(
    vehicle: Vehicle, cures: Mapping[JointId, str], parts: Iterable[PartId], but: str
) -> dict[JointId, str]:
    """Of the joints that cure, those of these parts, but for the one that is worked on."""
    wanted = set(parts)
    return {
        joint: until
        for joint, until in cures.items()
        if joint != but and not wanted.isdisjoint(vehicle.joints[joint].parts)
    }
