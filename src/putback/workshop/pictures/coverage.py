"""Coverage: what is still on and in no picture, while there is time for one.

A joint counts as pictured if a picture shows it, or the part that comes away with it: whoever
photographs the dynamo has its bolts in the picture. That is a convention of this project.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from putback.logbook.entries.base import Subject, of_ref
from putback.logbook.state import State
from putback.vehicle.ids import AssemblyId, Ref, job_ref, joint_ref, part_ref, split_ref
from putback.workshop.pictures.album import Picture


@dataclass(frozen=True, slots=True)
class Missing:
    """A part or joint that is on and in no picture."""

    subject: Subject
    name: str
    in_plan: int | None
    """Which step of the plan would take it off, from 1; ``None`` if none does."""
    asked_for: tuple[str, ...]
    """What the description asks to photograph."""


@dataclass(frozen=True, slots=True)
class Coverage:
    """How much of what is on is in a picture, and what is not: the most urgent first."""

    on: int
    """Parts and joints that are on."""
    pictured: int
    missing: tuple[Missing, ...]
    too_late: tuple[str, ...]
    """Parts that came off before anybody took a picture of them, by name."""


def coverage(state: State, pictures: Iterable[Picture], steps: Sequence[Ref] = ()) -> Coverage:
    """Work out what is in no picture from before.

    Parameters
    ----------
    steps : sequence of Ref
        What the plan touches next, in its order.
    """
    shown = {each for picture in pictures if picture.from_before for each in picture.of}
    places = _places(state, steps)
    on = list(_still_on(state))
    missing = [
        Missing(subject, state.name_of(subject), places.get(subject), asked_for)
        for subject, covered_by, asked_for in on
        if not shown.intersection(covered_by)
    ]
    missing.sort(key=lambda each: (each.in_plan or inf, not each.asked_for, each.name))
    off = (of_ref(part_ref(part)) for part in state.parts_off if part in state.vehicle.parts)
    return Coverage(
        on=len(on),
        pictured=len(on) - len(missing),
        missing=tuple(missing),
        too_late=tuple(sorted(state.name_of(each) for each in off if each not in shown)),
    )


def _still_on(state: State) -> Iterator[tuple[Subject, tuple[Subject, ...], tuple[str, ...]]]:
    """Give what is on, what it is covered by, and what the description asks for."""
    for part in state.vehicle.parts.values():
        if part.id not in state.parts_off:
            subject = of_ref(part_ref(part.id))
            yield subject, (subject,), part.photos
    for joint in state.vehicle.joints.values():
        now = state.joints.get(joint.id)
        if now is None or not now.out:
            subject = of_ref(joint_ref(joint.id))
            yield subject, (subject, *map(of_ref, map(part_ref, joint.parts[:1]))), ()


def _places(state: State, steps: Sequence[Ref]) -> dict[Subject, int]:
    found: dict[Subject, int] = {}
    for at, what in enumerate(steps, start=1):
        kind, identity = split_ref(what)
        whole = state.vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
        touched = map(part_ref, whole.parts) if whole else [what]
        for each in touched:
            found.setdefault(of_ref(each), at)
    return found


Choice = tuple[Subject, str]
"""A thing to choose, and a name that no other choice has."""

MOST_URGENT = 8
"""So many of what has no picture are offered first."""


def things_to_show(state: State, missing: Sequence[Missing]) -> tuple[Choice, ...]:
    """List what a picture can be said to show: the most urgent, then parts, runs, joints, jobs.

    A run is the part that runs there; it is in the list once.
    """
    vehicle = state.vehicle
    urgent = [each.subject for each in missing[:MOST_URGENT]]
    refs = (
        *map(part_ref, vehicle.parts),
        *map(part_ref, vehicle.runs),
        *map(joint_ref, vehicle.joints),
        *map(job_ref, vehicle.jobs),
    )
    things = dict.fromkeys((*urgent, *map(of_ref, refs)))
    named = Counter(map(state.name_of, things))
    return tuple((each, _told_apart(state, each, named)) for each in things)


def _told_apart(state: State, thing: Subject, named: Mapping[str, int]) -> str:
    name = state.name_of(thing)
    return name if named[name] == 1 else f"{name} ({thing.replace(':', ' ', 1)})"
