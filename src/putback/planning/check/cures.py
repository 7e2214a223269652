"""Whether a plan says where it would load what cures still (rule 18)."""

from collections.abc import Iterator
from datetime import date, datetime

from putback.planning.check.due import Due
from putback.planning.check.fault import Fault, RebuildRule
from putback.planning.check.when import When
from putback.planning.plan import Action, Step
from putback.vehicle.ids import JointId, PartId, joint_ref, split_ref


def curing_faults(due: Due, when: When, today: date | None) -> Iterator[Fault]:
    """Give the steps that load a joint that cures, and do not say so."""
    for joint, seen in due.state.joints.items():
        if not seen.made or joint not in due.vehicle.joints:
            continue
        try:
            until = datetime.fromisoformat(seen.curing_until).date()
        except ValueError:
            continue
        if today and until < today:
            continue
        ref = joint_ref(joint)
        told = f"{due.state.name_of(ref)} cures until"
        for at, step in enumerate(when.plan.steps):
            loads = _touched(due, when, step) & set(due.vehicle.joints[joint].parts)
            silent = not any(told in each for each in step.cautions)
            if loads and silent and step.what != ref:
                words = f"does not say that the {told} {seen.curing_until}"
                yield Fault(RebuildRule.CURING, at, step.what, words)


def _touched(due: Due, when: When, step: Step) -> set[PartId]:
    """Give the parts that a step puts load on: those of a joint, or what a unit hangs on."""
    kind, identity = split_ref(step.what)
    if kind == "joint" and step.action in (Action.MAKE, Action.TIGHTEN):
        record = due.joints.get(JointId(identity))
        return set(record.parts) if record else set()
    if step.action is not Action.PUT_ON:
        return set()
    joints = {j for part in when.unit(step.what) for j in due.vehicle.joints_of.get(part, ())}
    return {part for joint in joints for part in due.vehicle.joints[joint].parts}
