"""Short ways to hold a rebuild, good or spoilt, against the checker."""

from dataclasses import replace

from putback.planning.check import Fault, RebuildRule, check_rebuild
from putback.planning.plan import Waiting
from putback.vehicle.goal import Goal
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import table
from tests.planning.hand_made_rebuild import WAITING, barrow, in_pieces, put_back


def told(lines, vehicle=None, state=None, waiting=WAITING, **changes) -> tuple[Fault, ...]:
    """What the checker says to a plan of these lines."""
    vehicle = vehicle or barrow()
    state = state or in_pieces(vehicle)
    plan = replace(put_back(vehicle, lines, waiting=waiting), **changes)
    return check_rebuild(vehicle, state, plan)


def only(faults: tuple[Fault, ...], rule: RebuildRule) -> str:
    """What is told, which must all be of one rule."""
    assert {fault.rule for fault in faults} == {rule}, "\n".join(map(str, faults))
    return "; ".join(fault.words for fault in faults)


def cart(*joints: Joint, **tables) -> Vehicle:
    """A frame with what the joints name, however it stands."""
    names = dict.fromkeys(part for joint in joints for part in joint.parts)
    parts = tables.pop("parts", {})
    return Vehicle(
        About("cart", "cart"),
        parts={each: parts.get(each) or Part(each, each, "") for each in ("frame", *names)},
        joints=table(*joints),
        goals=table(Goal("g", "g", "frame")),
        **tables,
    )


def says(vehicle, state, *deeds, waiting=()) -> tuple[Fault, ...]:
    """What the checker says to these deeds on a vehicle without standings."""
    lines = [f"{deed} @ -" for deed in deeds]
    plan = put_back(vehicle, lines, start=None, waiting=tuple(Waiting(w, "") for w in waiting))
    return check_rebuild(vehicle, state, plan)


def both(*joints: str) -> list[str]:
    """Make and tighten each, one after the other."""
    return [f"{deed} joint:{joint}" for joint in joints for deed in ("make", "tighten")]
