"""Short ways to say a rebuild: what is apart, and in which order the plan puts it together."""

from collections.abc import Iterable
from dataclasses import fields, replace

from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import Check, FluidState, JobState, JointState, PartState, State
from putback.planning.check import check_rebuild
from putback.planning.plan import Action, Plan, Step
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Phase
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely, said, state_of


def job(name: str, kind: JobKind, **more) -> Job:
    """A job of the rebuild."""
    return Job(name, name, kind, more.pop("phase", Phase.REBUILD), **more)


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
        own[getattr(record, fields(record)[0].name)] = record
    return replace(state, **{table: own})


def unit():
    """Engine, clutch and gearbox that come out as one; the gearbox covers the clutch."""
    return vehicle(
        "engine - frame",
        "clutch - engine",
        "gearbox - engine",
        "gearbox blocks clutch - engine: it covers it",
        Assembly("unit", "engine unit", ("engine", "clutch", "gearbox"), likely(30), crew=2),
        datum="frame",
    )


def rolling(*more, **changes):
    """An axle and a wheel under a frame, that stands on its wheel or on stands."""
    car = vehicle(
        "bush = axle - frame; in stands",
        "nuts = wheel - axle; in stands",
        "lid - frame",
        standing("stands", "frame", wheels=30.0),
        standing("wheels", "wheel", stands=30.0),
        *more,
        datum="frame",
    )
    car = with_part(car, "wheel", kind=PartKind.WHEEL, mass_kg=9.0)
    car = with_part(car, "lid", mass_kg=3.0)
    return with_joint(car, "bush", final_when=FinalWhen.LADEN, **changes)


OFF = ("lid-frame", "lid", "nuts", "wheel", "bush", "axle")
"""The order in which all of `rolling` came off."""


def carried_out(state: State, plan: Plan, count: int) -> State:
    """The state after so many steps of a plan were done and logged."""
    parts, joints = dict(state.parts), dict(state.joints)
    jobs, fluids = dict(state.jobs), dict(state.fluids)
    standing = state.standing
    for at, step in enumerate(plan.steps[:count], 1000):
        kind, _, name = step.what.partition(":")
        when = said(at)
        if step.action is Action.PUT_ON:
            for part in [name] if kind == "part" else state.vehicle.assemblies[name].parts:
                if kind == "part" or (part in parts and parts[part].whole == name):
                    parts[part] = replace(parts[part], off=None, whole=None, on=when, gone=None)
        elif step.action is Action.PREPARE or (step.action is Action.CHECK and kind == "part"):
            kept = parts if kind == "part" else joints
            record = kept.get(name) or (PartState if kind == "part" else JointState)(name)
            prepared = (*record.common.prepared, when)
            kept[name] = replace(record, common=replace(record.common, prepared=prepared))
        elif step.action is Action.DO:
            jobs[name] = JobState(name, done=when)
        elif step.action in (Action.FILL, Action.BLEED):
            key = "filled" if step.action is Action.FILL else "bled"
            fluids[name] = replace(fluids.get(name, FluidState(name)), **{key: when})
        else:
            joint = joints.get(name, JointState(name))
            joints[name] = replace(joint, out=0, **_made(step, joint, when))
        standing = replace(standing, standing=step.standing)
    return replace(state, parts=parts, joints=joints, jobs=jobs, fluids=fluids, standing=standing)


def _made(step: Step, joint: JointState, when) -> dict:
    if step.action is Action.CHECK:
        return {"checks": (Check(when, right=True, second_person=True, note=""),)}
    tightness = {
        Action.MAKE: Tightness.FINGER_TIGHT,
        Action.TIGHTEN: Tightness.TIGHTENED,
        Action.FINISH: Tightness.FINAL,
    }
    return {"made": when, "tightness": tightness[step.action]}
