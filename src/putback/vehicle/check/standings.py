"""Standings: whether the vehicle is carried, and whether the work can be reached."""

from collections import Counter
from collections.abc import Iterator

from putback.vehicle.check.fault import Fault, doubt, error, named
from putback.vehicle.check.goals import parts_off
from putback.vehicle.ids import PartId, StandingId
from putback.vehicle.joint import Joint
from putback.vehicle.standing import Standing
from putback.vehicle.vehicle import Vehicle


def carried_by_nothing(vehicle: Vehicle) -> Iterator[Fault]:
    """Find standings without supports."""
    for standing in vehicle.standings.values():
        if not any(not support.beside for support in standing.supports):
            message = f"nothing carries the vehicle in standing {named(standing)}"
            yield error("standing", standing.id, message, "say what it stands on")


def impossible_support(vehicle: Vehicle) -> Iterator[Fault]:
    """Find supports that carry nothing, share an identity or carry more than they may."""
    for standing in vehicle.standings.values():
        for identity, times in Counter(each.id for each in standing.supports).items():
            if times > 1:
                message = f"standing {named(standing)} has {times} supports {identity!r}"
                yield error("standing", standing.id, message, "give each its own identity")
        for support in standing.supports:
            if support.bears_on in standing.needs_off and not support.beside:
                rests = f"standing {named(standing)} rests on part {support.bears_on!r}"
                mend = "is the support beside the vehicle?"
                yield error("standing", standing.id, f"{rests}, which it needs off", mend)
            if support.rating_kg is not None and support.rating_kg <= 0:
                message = f"support {support.id!r} is rated at {support.rating_kg:g} kg"
                yield error("standing", standing.id, message, "leave it out if not known")
    for jack in vehicle.temporary_supports.values():
        load_kg = jack.load_kg or 0.0
        if jack.rating_kg is not None and jack.rating_kg < load_kg:
            message = (
                f"{jack.kind} {jack.id!r} carries {load_kg:g} kg, more than the "
                f"{jack.rating_kg:g} kg it is rated at"
            )
            yield error("temporary support", jack.id, message, "use a stronger one")


def impossible_change(vehicle: Vehicle) -> Iterator[Fault]:
    """Find changes of standing that take less than no time, or lead nowhere new."""
    for standing in vehicle.standings.values():
        for other, minutes in standing.change_minutes.items():
            if minutes < 0:
                message = f"changing standing {named(standing)} to {other!r} takes {minutes:g} min"
                yield error("standing", standing.id, message, "give 0 or more")
        if standing.id in standing.change_minutes:
            message = f"standing {named(standing)} can be changed into itself"
            yield error("standing", standing.id, message, "leave it out")


def no_way_into(vehicle: Vehicle) -> Iterator[Fault]:
    """Find standings that no other can be changed into; the first may be where one starts."""
    usable = _usable(vehicle)
    changed_into = {other for standing in usable for other in standing.change_minutes}
    for standing in usable[1:]:
        if standing.id not in changed_into:
            message = f"no standing can be changed into {named(standing)}"
            yield doubt("standing", standing.id, message, "give the minutes it takes from another")


def out_of_reach(vehicle: Vehicle) -> Iterator[Fault]:
    """Find joints and jobs that cannot be reached however the vehicle stands."""
    usable = _usable(vehicle)
    if not usable:
        return
    for joint in vehicle.joints.values():
        # A standing that is not described is another rule's fault.
        said = not joint.standings or not vehicle.standings.keys().isdisjoint(joint.standings)
        if said and not any(_reaches(standing, joint) for standing in usable):
            message = f"joint {named(joint)} cannot be reached in any standing"
            yield error("joint", joint.id, message, "say in which; supports may hide its parts")
        if joint.crack_in and _is_wrong(vehicle, joint.crack_in):
            message = f"joint {named(joint)} is to be cracked in {joint.crack_in!r}, a wrong one"
            yield error("joint", joint.id, message, "name a standing that may be used")
    for job in vehicle.jobs.values():
        if job.standings and all(_is_wrong(vehicle, each) for each in job.standings):
            message = f"job {named(job)} can be done only in a standing kept as a warning"
            yield error("job", job.id, message, "name a standing that may be used")


def nothing_left_to_stand_on(vehicle: Vehicle) -> Iterator[Fault]:
    """Find goals that take off something under every standing."""
    usable = _usable(vehicle)
    for goal in vehicle.goals.values():
        off = parts_off(vehicle, goal)
        if usable and all(off & _bearing(standing) for standing in usable):
            message = f"once goal {named(goal)} is reached, a support of every standing bears on "
            yield error(
                "goal",
                goal.id,
                f"{message}a part that is off",
                "describe a standing on what stays on",
            )


def never_lifted(vehicle: Vehicle) -> Iterator[Fault]:
    """Find parts that a goal wants off and that every standing bears on or hides."""
    usable = _usable(vehicle)
    wanted = {part for goal in vehicle.goals.values() for part in parts_off(vehicle, goal)}
    for part in vehicle.parts.values():
        if part.id not in wanted or not usable:
            continue
        among = [each for each in usable if not part.standings or each.id in part.standings]
        if all(part.id in _bearing(each) | _hidden(each) for each in among):
            message = f"part {named(part)} cannot be lifted away in any standing"
            mend = "say in which; supports may bear on it or hide it"
            yield error("part", part.id, message, mend)


def _bearing(standing: Standing) -> set[PartId]:
    """Name the parts by which the vehicle is carried."""
    return {support.bears_on for support in standing.supports if not support.beside}


def _hidden(standing: Standing) -> set[PartId]:
    return {part for support in standing.supports for part in support.hides}


def _usable(vehicle: Vehicle) -> list[Standing]:
    return [standing for standing in vehicle.standings.values() if not standing.wrong]


def _is_wrong(vehicle: Vehicle, standing: StandingId) -> bool:
    return standing in vehicle.standings and vehicle.standings[standing].wrong


def _reaches(standing: Standing, joint: Joint) -> bool:
    named_or_any = not joint.standings or standing.id in joint.standings
    return named_or_any and _hidden(standing).isdisjoint(joint.parts)
