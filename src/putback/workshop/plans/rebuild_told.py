"""What belongs beside the plan of the rebuild, in words: to buy, to look for, to tighten later."""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.logbook.open_items.wording import count
from putback.logbook.state import State
from putback.planning.rebuild import HeldUp
from putback.vehicle.ids import JointId, joint_ref, part_ref
from putback.workshop.plans.rebuild import Rebuild

_NAMED = 3
"""Of many things, how many are named in one line."""


@dataclass(frozen=True, slots=True)
class ToBuy:
    """Pieces of one specification."""

    number: int
    what: str
    here: int
    whither: str


@dataclass(frozen=True, slots=True)
class LaterJoint:
    """A joint that is tightened for good later."""

    joint: JointId
    name: str
    when: str
    words: tuple[str, ...]
    is_now: bool
    """Whether it can be done as the vehicle stands."""


@dataclass(frozen=True, slots=True)
class LayHands:
    """A part that nobody has seen for long."""

    name: str
    where: str
    last: str
    look: str


@dataclass(frozen=True, slots=True)
class RebuildTold:
    """What belongs beside the plan."""

    to_buy: tuple[ToBuy, ...]
    used_up: tuple[str, ...]
    lay_hands_on: tuple[LayHands, ...]
    later: tuple[LaterJoint, ...]
    not_here: tuple[str, ...]
    differences: tuple[str, ...]
    waiting: tuple[str, ...]
    """What cannot be planned, and why."""
    only_the_strip: bool
    """Whether the order is no more than that of the strip, turned round."""


def rebuild_told(state: State, found: Rebuild) -> RebuildTold:
    """Tell what belongs beside a plan of the rebuild."""
    name = state.name_of
    return RebuildTold(
        to_buy=tuple(
            ToBuy(each.to_buy, each.spec, each.here, named_joints(state, each.joints))
            for each in found.to_have
        ),
        used_up=tuple(
            f"{each.what}: {named_joints(state, each.joints)}" for each in found.used_up
        ),
        lay_hands_on=tuple(
            LayHands(
                name(part_ref(each.part)),
                ", in ".join(map(name, each.where)) or "nobody said where",
                str(each.last),
                each.look,
            )
            for each in found.lay_hands_on
        ),
        later=tuple(
            LaterJoint(
                each.joint,
                name(joint_ref(each.joint)),
                f"{each.when}: {each.why}",
                tuple(filter(None, (each.torque, each.or_else, each.note))),
                each.now,
            )
            for each in found.finals
        ),
        not_here=tuple(map(_not_here, found.not_here)),
        differences=tuple(map(str, found.differences)),
        waiting=tuple(f"{name(each.what)}: {each.why}" for each in found.plan.waiting),
        only_the_strip=bool(found.plan.steps)
        and not any(joint.parts for joint in state.vehicle.joints.values()),
    )


def _not_here(each: HeldUp) -> str:
    behind = f"; {count(len(each.then), 'thing')} after it" if each.then else ""
    return f"{each.waits_for}{behind}"


def named_joints(state: State, joints: Sequence[JointId]) -> str:
    """Name the first few joints; of more, how many."""
    names = ", ".join(state.name_of(joint_ref(each)) for each in joints[:_NAMED])
    more = len(joints) - _NAMED
    return f"{names} and {more} more" if more > 0 else names
