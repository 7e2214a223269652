"""Short ways to say a rebuild: what is apart, and in which order the plan puts it together."""

from collections.abc import Iterable
from dataclasses import replace

from putback.logbook.state import State
from putback.planning.check import check_rebuild
from putback.planning.plan import Plan, Step
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.vehicle import Vehicle
from tests.planning.hand_made import state_of


def apart(vehicle: Vehicle, *order: str, **more) -> State:
    """The state after these came off, in this order: joints by name, parts by theirs.

    ``unit=clutch+engine`` is parts that came off as one assembly.
    """
    off: dict[str, str | None] = {}
    undone: list[str] = []
    refs: list[str] = []
    for each in order:
        whole, _, parts = each.rpartition("=")
        for name in parts.split("+"):
            if name in vehicle.joints or "-" in name:
                undone.append(name)
                refs.append(f"joint:{name}")
            else:
                off[name] = whole or None
                refs.append(f"part:{name}")
    return state_of(vehicle, off=off, undone=undone, order=refs, **more)


def plan_of(vehicle: Vehicle, state: State) -> Plan:
    """The plan, which the independent checker has nothing to say against."""
    plan = plan_rebuild(vehicle, state)
    assert check_rebuild(vehicle, state, plan) == ()
    return plan


def lines(plan: Plan) -> list[str]:
    """The steps as ``make lid-frame``."""
    return [line_of(step) for step in plan.steps]


def line_of(step: Step) -> str:
    """A step without its kind: ``put on lid``."""
    return f"{step.action} {step.what.partition(':')[2]}"


def step_in(plan: Plan, line: str) -> Step:
    """The one step that reads like this."""
    (found,) = (step for step in plan.steps if line_of(step) == line)
    return found


def assert_order(plan: Plan, *wanted: str) -> None:
    """These steps stand in the plan in this order."""
    places = [lines(plan).index(each) for each in wanted]
    assert places == sorted(places), lines(plan)


def with_joint(vehicle: Vehicle, joint: str, **changes) -> Vehicle:
    """The vehicle with one joint changed."""
    record = replace(vehicle.joints[joint], **changes)
    return vehicle.with_records(joints={**vehicle.joints, joint: record})


def with_part(vehicle: Vehicle, part: str, **changes) -> Vehicle:
    """The vehicle with one part changed."""
    record = replace(vehicle.parts[part], **changes)
    return vehicle.with_records(parts={**vehicle.parts, part: record})


def with_states(state: State, table: str, records: Iterable) -> State:
    """The state with some of its records replaced; each is known by its first field."""
    own = dict(getattr(state, table))
    for record in records:
        own[getattr(record, record.__dataclass_fields__.__iter__().__next__())] = record
    return replace(state, **{table: own})
