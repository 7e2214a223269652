"""What a job is logged as, and by which entries it is done: for a phone that asks nobody.

The same as the form of the page asks, with its usual answers; pure functions of the card.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from putback.logbook.entries.base import Body, Subject
from putback.logbook.entries.rebuilding import (
    Bled,
    Checked,
    Filled,
    JointMade,
    PartOn,
    Prepared,
    Tightness,
)
from putback.logbook.entries.working import (
    JobDone,
    JointCracked,
    JointUndone,
    PartOff,
    StandingChanged,
)
from putback.planning.plan import Action, Step
from putback.vehicle.ids import FluidId, JobId, JointId, StandingId
from putback.workshop.plans.job_card import Deed, JobCard

_ENOUGH = {
    Action.MAKE: tuple(Tightness),
    Action.TIGHTEN: (
        Tightness.NIPPED,
        Tightness.STAGED,
        Tightness.TIGHTENED,
        Tightness.SET,
        Tightness.FINAL,
    ),
    Action.FINISH: (Tightness.FINAL,),
}


@dataclass(frozen=True, slots=True)
class DoneBy:
    """An entry of this kind, whose fields are one of these values, does a job or a part of it."""

    kind: str
    fields: dict[str, tuple[str, ...]]
    all_of: int | None = None
    """Of a joint that is undone: so many fixings must be out."""


def logged_as(card: JobCard) -> tuple[Body, ...]:
    """Give the entries of the act that says that a job is done as usual."""
    return tuple(_bodies(card))


def said_plainly(body: Body) -> dict[str, Any]:
    """Say an entry in plain values, as a form sends it: what was not said is left out."""
    said = body.model_dump(mode="json", exclude_unset=True)
    return {
        "kind": body.KIND,
        **{name: each for name, each in said.items() if each not in (None, "")},
    }


def _bodies(card: JobCard) -> Iterator[Body]:
    joint = JointId(card.identity)
    match card.deed:
        case Deed.UNDONE:
            yield JointUndone(joint=joint, of=card.of, out=card.of)
        case Deed.CRACKED:
            yield JointCracked(joint=joint)
        case Deed.OFF:
            for part in card.parts:
                yield PartOff(part=part, whole=card.whole)
        case Deed.ON:
            for part in card.parts:
                yield PartOn(part=part)
        case Deed.MADE:
            yield JointMade(joint=joint, tightness=card.tightness or Tightness.FINGER_TIGHT)
        case Deed.CHECKED:
            yield Checked(joint=joint, of=card.made_by, right=True)
        case Deed.FILLED:
            yield Filled(fluid=FluidId(card.identity))
        case Deed.BLED:
            yield Bled(fluid=FluidId(card.identity))
        case Deed.PREPARED:
            yield Prepared(what=Subject(card.what), how=card.how)
        case Deed.DONE:
            yield JobDone(job=JobId(card.identity))
        case Deed.STOOD:
            yield StandingChanged(standing=StandingId(card.identity))


_NAMES = ("joint", "part", "fluid", "what", "standing", "job")


def done_by(card: JobCard, step: Step | None = None) -> tuple[DoneBy, ...]:
    """Give what does a job: each of these is logged once it is done, in whatever act."""
    return tuple(_done_by(said_plainly(each), step) for each in logged_as(card))


def _done_by(entry: dict[str, Any], step: Step | None) -> DoneBy:
    fields: dict[str, tuple[str, ...]] = {
        name: (str(entry[name]),) for name in _NAMES if name in entry
    }
    if entry["kind"] == JointMade.KIND:
        enough = _ENOUGH.get(step.action, tuple(Tightness)) if step else tuple(Tightness)
        fields["tightness"] = tuple(each.value for each in enough)
    if entry["kind"] == Checked.KIND:
        fields["right"] = ("true",)
    return DoneBy(entry["kind"], fields, entry.get("out"))
