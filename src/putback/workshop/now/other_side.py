"""The same on the other side: what was done last, said of the part or joint over there.

Sides are told by the names, as the trade writes them: ``Rear hub, left``, ``Door, FR``.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from putback.logbook.entries.base import LogbookId, PersonId, Subject
from putback.logbook.entries.rebuilding import JointMade, PartOn
from putback.logbook.entries.working import JointUndone, PartOff
from putback.logbook.state import State
from putback.planning.plan import Action, Step
from putback.vehicle.ids import JointId, PartId, joint_ref, part_ref
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.job_card import JobCard, job_card

_OTHER = {"left": "right", "fl": "fr", "rl": "rr", "lh": "rh", "l": "r", "nearside": "offside"}
_SIDES = {**_OTHER, **{there: side for side, there in _OTHER.items()}}
_SIDE = re.compile(rf"\b(?:{'|'.join(sorted(_SIDES, key=len, reverse=True))})\b", re.IGNORECASE)
_LOOKED_BACK = 40
"""So many of the last entries are looked at for something with two sides [entries]."""

T = TypeVar("T")
Sided = JointUndone | PartOff | JointMade | PartOn


@dataclass(frozen=True, slots=True)
class Mirrored:
    """The last deed on one side, and the same thing on the other."""

    subject: Subject
    """On the other side."""
    name: str
    done: Subject
    """On this side."""
    done_name: str
    card: JobCard
    """Of the job over there, prefilled as it was done here."""
    torque_nm: float | None = None
    """As applied on this side [N·m]."""


def on_the_other_side(workshop: Workshop, logbook: LogbookId, person: PersonId) -> Mirrored | None:
    """Give the last thing that somebody did, of the other side, if it is not done there.

    ``None`` if the last thing has no other side.
    """
    return workshop.remembered.give(
        workshop.store,
        logbook,
        f"other side for {person}",
        lambda: _mirrored(workshop, logbook, person),
    )


def _mirrored(workshop: Workshop, logbook: LogbookId, person: PersonId) -> Mirrored | None:
    state = workshop.state(logbook)
    for entry in reversed(workshop.standing(logbook)[-_LOOKED_BACK:]):
        body = entry.body
        if entry.who != person or not isinstance(body, Sided):
            continue
        over = _over_there(state, body)
        if over is not None:
            return over
    return None


def _over_there(state: State, body: Sided) -> Mirrored | None:
    if isinstance(body, (JointUndone, JointMade)):
        joints: Mapping[JointId, str] = {j.id: j.name for j in state.vehicle.joints.values()}
        joint = _other(joints, body.joint)
        if joint is None or (joint in state.undone_joints) is isinstance(body, JointUndone):
            return None
        done, there = joint_ref(body.joint), joint_ref(joint)
        about = state.vehicle.joints[joint]
        action = Action.UNDO if isinstance(body, JointUndone) else Action.TIGHTEN
        step = Step(action, there, tool=about.tool, zone=about.zone)
    else:
        parts: Mapping[PartId, str] = {p.id: p.name for p in state.vehicle.parts.values()}
        part = _other(parts, body.part)
        if part is None or (part in state.parts_off) is isinstance(body, PartOff):
            return None
        done, there = part_ref(body.part), part_ref(part)
        described = state.vehicle.parts[part]
        action = Action.TAKE_OFF if isinstance(body, PartOff) else Action.PUT_ON
        step = Step(action, there, zone=described.zone, cautions=described.cautions)
    card = job_card(step, state)
    torque = None
    if isinstance(body, JointMade):
        card, torque = replace(card, tightness=body.tightness), body.torque_nm
    names = state.name_of(there), state.name_of(done)
    return Mirrored(Subject(there), names[0], Subject(done), names[1], card, torque)


def _other(names: Mapping[T, str], this: T) -> T | None:
    """Find what is called alike but for the side; ``None`` if nothing or several are."""
    own = names.get(this, "").casefold()
    there = _SIDE.sub(lambda found: _SIDES[found[0].casefold()], own)
    if not own or there == own:
        return None
    found = [each for each, name in names.items() if name.casefold() == there]
    return found[0] if len(found) == 1 else None
