"""The album of a vehicle: its photos, drawings on photos and spoken notes, and what they show.

A photo is *from before* if it was taken before the thing it shows came off or was undone: that is
the one that whoever puts it back wants.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from putback.errors import NotFound
from putback.logbook.entries.base import Entry, EntryId, LogbookId, Subject, TagCode, of_ref
from putback.logbook.entries.bookkeeping import LocationLeftOut
from putback.logbook.entries.working import PhotoTaken, SoundTaken
from putback.logbook.state import State
from putback.vehicle.ids import AssemblyId, JointId, PartId, joint_ref, part_ref
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import PhotoId
from putback.workshop.logbooks.sayers import Sayers, sayers_of
from putback.workshop.logbooks.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo or spoken note of the logbook."""

    photo: PhotoId
    entry: EntryId
    of: tuple[Subject, ...]
    names: tuple[str, ...]
    """What it shows, in a person's words; one for each of ``of``."""
    words: str
    """The caption, or what is said."""
    happened_at: str
    who: str
    """By whom, and as claimed where it came from elsewhere."""
    media_type: str
    place: int
    """Where it stands in the order of the logbook."""
    looking: str = ""
    drawn_on: PhotoId | None = None
    from_before: bool = False
    stored: PhotoId | None = None
    """Whose bytes can be shown: its own, else those of a copy; ``None`` if neither is here."""

    @property
    def is_sound(self) -> bool:
        """Whether it is heard, not seen."""
        return self.media_type.startswith("audio/")

    @property
    def title(self) -> str:
        """What it shows, in one line, for whoever cannot see it."""
        what = "Spoken note" if self.is_sound else "Drawing" if self.drawn_on else "Photo"
        of = " and ".join(self.names) or "the work"
        looking = f", looking {self.looking}" if self.looking else ""
        return f"{what} of {of}{looking}{f': {self.words}' if self.words else ''}"


def album(workshop: Workshop, logbook: LogbookId) -> tuple[Picture, ...]:
    """Give all photos and spoken notes that stand, in the order of the logbook, each once."""
    state, entries = in_its_garage(workshop, logbook), workshop.standing(logbook)
    return album_of(state, entries, sayers_of(workshop, logbook), workshop.photos.has)


def album_of(
    state: State, entries: Sequence[Entry], sayers: Sayers, has: Callable[[PhotoId], bool]
) -> tuple[Picture, ...]:
    """Gather the album from a logbook's standing entries in their order."""
    left = _when_it_went(state, entries)
    found: dict[PhotoId, Picture] = {}
    copies: dict[PhotoId, PhotoId] = {}
    for place, entry in enumerate(entries):
        match body := entry.body:
            case PhotoTaken() | SoundTaken():
                who = sayers.words(entry.id, entry.who)
                picture = _picture(state, entry, body, place, left, who)
                first = found.get(picture.photo)
                found[picture.photo] = picture if first is None else _once(first, picture)
            case LocationLeftOut(photo=photo, copied_as=copied_as):
                copies[PhotoId(photo)] = PhotoId(copied_as)
    return tuple(replace(each, stored=_stored(each, copies, has)) for each in found.values())


def picture_called(workshop: Workshop, logbook: LogbookId, photo: str) -> Picture:
    """Give one picture that the logbook names.

    Raises
    ------
    NotFound
        If it names none of this digest.
    """
    for each in album(workshop, logbook):
        if each.photo == photo:
            return each
    raise NotFound("photo", photo)


def pictures_of(pictures: Iterable[Picture], state: State, subject: str) -> list[Picture]:
    """Choose what shows a thing or what belongs to it; the likeliest to be wanted comes first.

    What shows the thing itself comes before what shows a part of it or its neighbour, what is from
    before it came off comes first of these, what somebody drew on before what it was drawn on, and
    the latest before those it was taken after.
    """
    near = related(state, subject)

    def likeliness(picture: Picture) -> tuple[bool, bool, bool, int]:
        itself = subject in picture.of
        return not itself, not picture.from_before, picture.drawn_on is None, -picture.place

    shown = (each for each in pictures if subject in each.of or near.intersection(each.of))
    return sorted(shown, key=likeliness)


def related(state: State, subject: str) -> frozenset[Subject]:
    """Name what a picture may show where one wants to see a thing: its joints, or its parts.

    And the bag that it is in: who shows a bag's tag and then photographs says no more than that.
    """
    vehicle = state.vehicle
    kind, _, identity = subject.partition(":")
    match kind:
        case "part":
            joints = vehicle.joints_of.get(PartId(identity), ())
            off = state.parts.get(PartId(identity))
            bags = _bags(off.common.tag if off else None)
            run = {Subject(f"run:{identity}")} if identity in vehicle.runs else set()
            return bags.union(run, (of_ref(joint_ref(each)) for each in joints))
        case "joint" if joint := vehicle.joints.get(JointId(identity)):
            undone = state.joints.get(joint.id)
            bags = _bags(*(undone.tags if undone else ()))
            return bags.union(of_ref(part_ref(each)) for each in joint.parts)
        case "assembly" if whole := vehicle.assemblies.get(AssemblyId(identity)):
            return frozenset(of_ref(part_ref(each)) for each in whole.parts)
    return frozenset()


def _bags(*tags: TagCode | None) -> frozenset[Subject]:
    return frozenset(Subject(f"tag:{tag}") for tag in tags if tag is not None)


def _picture(
    state: State,
    entry: Entry,
    body: PhotoTaken | SoundTaken,
    place: int,
    left: Mapping[Subject, int],
    who: str,
) -> Picture:
    common = Picture(
        photo=PhotoId(body.photo if isinstance(body, PhotoTaken) else body.sound),
        entry=entry.id,
        of=body.of,
        names=tuple(state.name_of(each) for each in body.of),
        words=body.caption if isinstance(body, PhotoTaken) else body.words,
        happened_at=entry.happened_at,
        who=who,
        media_type=body.media_type,
        place=place,
    )
    if isinstance(body, SoundTaken):
        return common
    return replace(
        common,
        looking=str(body.looking or ""),
        drawn_on=PhotoId(body.drawn_on) if body.drawn_on else None,
        from_before=any(left.get(each, place + 1) > place for each in body.of),
    )


def _once(first: Picture, again: Picture) -> Picture:
    """Join two entries of one photo: what either says it shows, and the last caption."""
    both = dict(zip((*first.of, *again.of), (*first.names, *again.names), strict=True))
    return replace(
        first,
        of=tuple(both),
        names=tuple(both.values()),
        words=again.words or first.words,
        looking=again.looking or first.looking,
        from_before=first.from_before or again.from_before,
    )


def _when_it_went(state: State, entries: Sequence[Entry]) -> dict[Subject, int]:
    """Where in the order each part that is off came off, and each joint was first touched."""
    places = {entry.id: place for place, entry in enumerate(entries)}
    went = {
        of_ref(part_ref(part)): each.off.entry
        for part, each in state.parts.items()
        if each.off is not None
    }
    went |= {
        of_ref(joint_ref(joint)): each.undone.entry
        for joint, each in state.joints.items()
        if each.undone is not None and each.out
    }
    return {subject: places.get(entry, len(entries)) for subject, entry in went.items()}


def _stored(
    picture: Picture, copies: Mapping[PhotoId, PhotoId], has: Callable[[PhotoId], bool]
) -> PhotoId | None:
    wanted = (picture.photo, copies.get(picture.photo))
    return next((each for each in wanted if each is not None and has(each)), None)
