"""Parts: their numbers, names and sides, and whether anything holds them."""

from collections.abc import Iterator, Mapping
from typing import Any

from putback.vehicle.check.fault import Fault, doubt, error, named
from putback.vehicle.check.graph import reached_from
from putback.vehicle.part import Part, Side, side_of_name
from putback.vehicle.vehicle import Vehicle


def impossible_number(vehicle: Vehicle) -> Iterator[Fault]:
    """Find masses below nothing, sets of none and work done by nobody."""
    for part in vehicle.parts.values():
        if part.mass_kg is not None and part.mass_kg < 0:
            message = f"part {named(part)} has a mass of {part.mass_kg:g} kg"
            yield error("part", part.id, message, "give 0 or more, or leave it out if not known")
        if part.quantity < 1:
            message = f"part {named(part)} is a set of {part.quantity}"
            yield error("part", part.id, message, "give 1 or more")
    for fluid in vehicle.fluids.values():
        if fluid.mass_kg < 0 or (fluid.volume_m3 or 0) < 0:
            message = f"fluid {named(fluid)} has a mass or a volume below nothing"
            yield error("fluid", fluid.id, message, "give 0 or more")
    crews: dict[str, Mapping[Any, Any]] = {
        "part": vehicle.parts,
        "joint": vehicle.joints,
        "job": vehicle.jobs,
        "assembly": vehicle.assemblies,
    }
    for kind, records in crews.items():
        for record in records.values():
            if record.crew < 1:
                message = f"{kind} {named(record)} has a crew of {record.crew}"
                yield error(kind, record.id, message, "give 1 or more")


def no_joint(vehicle: Vehicle) -> Iterator[Fault]:
    """Find parts that nothing holds."""
    for part in vehicle.parts.values():
        if not vehicle.joints_of[part.id]:
            message = f"part {named(part)} has no joint, so that nothing holds it"
            yield doubt("part", part.id, message, "describe what it is fixed to")


def away_from_every_datum(vehicle: Vehicle) -> Iterator[Fault]:
    """Find groups of parts whose joints lead to the datum of no goal, one fault a group."""
    if not vehicle.goals:
        return
    reached = reached_from(vehicle, (goal.datum for goal in vehicle.goals.values()))
    for part in vehicle.parts.values():
        if part.id in reached or not vehicle.joints_of[part.id]:
            continue
        group = reached_from(vehicle, [part.id])
        reached |= group
        others = f" and {len(group) - 1} more" if len(group) > 1 else ""
        message = f"no joints lead from part {named(part)}{others} to the datum of any goal"
        yield doubt("part", part.id, message, "describe the joint that is missing")


def same_name_and_side(vehicle: Vehicle) -> Iterator[Fault]:
    """Find parts that nobody could tell apart by name and side."""
    first: dict[tuple[str, Side | None], Part] = {}
    for part in vehicle.parts.values():
        other = first.setdefault((part.name.casefold(), part.side), part)
        if other is not part:
            message = f"parts {other.id!r} and {part.id!r} are both called {part.name!r}"
            yield doubt("part", part.id, message, "give a side, or tell them apart by name")


def other_side(vehicle: Vehicle) -> Iterator[Fault]:
    """Find names that speak of one side where the description says the other."""
    for part in vehicle.parts.values():
        said = side_of_name(part.name)
        if said and part.side and said is not part.side:
            message = f"part {named(part)} is described as on the {part.side}"
            yield error("part", part.id, message, f"is it the {said} one?")
    for joint in vehicle.joints.values():
        said = side_of_name(joint.name)
        sides = {vehicle.parts[part].side for part in joint.parts if part in vehicle.parts}
        if said and sides - {None} and not sides & {said, None}:
            message = f"joint {named(joint)} joins only parts of the other side"
            yield doubt("joint", joint.id, message, "are its parts the ones meant?")
