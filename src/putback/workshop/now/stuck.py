"""Stuck: what can be said of a joint that does not come undone, and when to come back to it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from putback.logbook.state import State
from putback.planning.plan import Step
from putback.vehicle.ids import JointId, joint_ref

TREATMENTS = (
    "soaked in penetrating oil",
    "heated",
    "nut split",
    "stud extractor or welded-on nut tried",
)
"""What is done about it; common practice, each logged as a note of the joint."""


@dataclass(frozen=True, slots=True)
class StuckJoint:
    """A joint as it is now: ``out`` of ``of`` fixings are out, ``stuck`` are stuck."""

    joint: JointId
    name: str
    out: int
    of: int
    stuck: int
    seize_risk: str
    """What is known of its parts' liking to seize."""
    is_fuel: bool
    """Whether fuel or brake fluid is near: no flame there."""


@dataclass(frozen=True, slots=True)
class ComeBack:
    """A day on which to come back to it, as ISO 8601, and how it is called."""

    day: str
    word: str


def stuck_joint(state: State, joint: JointId) -> StuckJoint:
    """Say how a joint is."""
    seen, about = state.joints.get(joint), state.vehicle.joints.get(joint)
    parts = about.parts if about else ()
    records = [state.vehicle.parts[part] for part in parts if part in state.vehicle.parts]
    risks = dict.fromkeys(each.seize_risk for each in records if each.seize_risk)
    fluids = (fluid for fluid in state.vehicle.fluids.values() if fluid.part in parts)
    return StuckJoint(
        joint=joint,
        name=state.name_of(joint_ref(joint)),
        out=seen.out if seen else 0,
        of=about.fixing_count if about else seen.of if seen else 1,
        stuck=seen.stuck if seen else 0,
        seize_risk="; ".join(risks),
        is_fuel=any(fluid.hazard for fluid in fluids),
    )


def come_back(today: date) -> tuple[ComeBack, ...]:
    """Offer days: oil wants a night at least, better some; common practice."""
    offered = ((1, "tomorrow"), (3, "in three days"), (7, "in a week"))
    return tuple(
        ComeBack((today + timedelta(days=days)).isoformat(), word) for days, word in offered
    )


def may_be_stuck(state: State, steps: Sequence[Step]) -> tuple[tuple[JointId, str], ...]:
    """List the joints that somebody may be at: begun ones, then the plan's, then all that hold."""
    place = {step.what: at for at, step in reversed(list(enumerate(steps)))}
    joints = state.vehicle.joints.keys() | state.joints.keys()
    left = [joint for joint in joints if joint not in state.undone_joints]

    def order(joint: JointId) -> tuple[bool, int, str]:
        seen = state.joints.get(joint)
        begun = seen is not None and bool(seen.out or seen.stuck or seen.cracked)
        named = state.name_of(joint_ref(joint)).casefold()
        return not begun, place.get(joint_ref(joint), len(place)), named

    return tuple((joint, state.name_of(joint_ref(joint))) for joint in sorted(left, key=order))
