"""What a job is logged as, and by which entries it is done: for a phone that asks nobody.

The same as the form of the page asks, with its usual answers; pure functions of the card.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

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


def logged_as(card: JobCard) -> tuple[dict[str, Any], ...]:
    """Give the entries of the act that says that a job is done as usual."""
    return tuple(_entries(card))


def _entries(card: JobCard) -> Iterator[dict[str, Any]]:
    match card.deed:
        case Deed.UNDONE:
            yield {"kind": JointUndone.KIND, "joint": card.identity, "of": card.of, "out": card.of}
        case Deed.CRACKED:
            yield {"kind": JointCracked.KIND, "joint": card.identity}
        case Deed.OFF:
            whole = {"whole": card.whole} if card.whole else {}
            for part in card.parts:
                yield {"kind": PartOff.KIND, "part": part, **whole}
        case Deed.ON:
            for part in card.parts:
                yield {"kind": PartOn.KIND, "part": part}
        case Deed.MADE:
            tightness = card.tightness or Tightness.FINAL
            yield {"kind": JointMade.KIND, "joint": card.identity, "tightness": tightness.value}
        case Deed.CHECKED:
            of = {"of": card.made_by} if card.made_by else {}
            yield {"kind": Checked.KIND, "joint": card.identity, "right": True, **of}
        case Deed.FILLED:
            yield {"kind": Filled.KIND, "fluid": card.identity}
        case Deed.BLED:
            yield {"kind": Bled.KIND, "fluid": card.identity}
        case Deed.PREPARED:
            yield {
                "kind": Prepared.KIND,
                "what": card.what,
                **({"how": card.how} if card.how else {}),
            }
        case Deed.STOOD:
            yield {"kind": StandingChanged.KIND, "standing": card.identity}
        case Deed.DONE:
            yield {"kind": JobDone.KIND, "job": card.identity}


_NAMES = ("joint", "part", "fluid", "what", "standing", "job")


def done_by(card: JobCard, step: Step | None = None) -> tuple[DoneBy, ...]:
    """Give what does a job: each of these is logged once it is done, in whatever act."""
    return tuple(_done_by(each, step) for each in logged_as(card))


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
