"""A job's own photo: the latest of its joint or its parts."""

from dataclasses import dataclass

from putback.logbook.entries.base import LogbookId, Subject
from putback.logbook.entries.working import PhotoTaken
from putback.logbook.state import State
from putback.vehicle.ids import JointId, Ref, part_ref, split_ref
from putback.workshop.job_card import JobCard
from putback.workshop.workshop import Workshop


@dataclass(frozen=True, slots=True)
class PhotoBefore:
    """A photo; ``taken`` as ISO 8601, as exactly as it is known."""

    photo: str
    caption: str
    taken: str
    of: Subject


def photo_before(workshop: Workshop, logbook: LogbookId, card: JobCard) -> PhotoBefore | None:
    """Give the latest photo of what a job works on; ``None`` if nobody took one."""
    state = workshop.state(logbook)
    for subject in _subjects(state, card):
        common = state.common_of(subject)
        if common is None or not common.photos:
            continue
        for entry in reversed(workshop.history(logbook, subject)):
            body = entry.body
            if isinstance(body, PhotoTaken) and body.photo in common.photos:
                return PhotoBefore(body.photo, body.caption, entry.happened_at, subject)
    return None


def _subjects(state: State, card: JobCard) -> tuple[Subject, ...]:
    """The thing itself, then its parts."""
    kind, identity = split_ref(card.what)
    joint = state.vehicle.joints.get(JointId(identity)) if kind == "joint" else None
    parts: tuple[Ref, ...] = tuple(map(part_ref, joint.parts if joint else card.parts))
    return tuple(dict.fromkeys(map(Subject, (card.what, *parts))))
