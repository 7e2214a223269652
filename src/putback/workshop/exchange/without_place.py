"""A vehicle's entries and photos as they go along to others: without where they were taken.

Spoken notes likewise; one of which nobody can say whether it tells its place does not go along. A
photo is named by its bytes, so one without its place is another photo. The entry that says so is
made from the photo's own, always the same: exported twice it is one entry, and a copy that comes
back changes nothing.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from hashlib import sha256

from putback.logbook.entries.base import DeviceId, Entry, EntryId, PersonId
from putback.logbook.entries.bookkeeping import LocationLeftOut
from putback.logbook.entries.registry import encode
from putback.logbook.entries.working import PhotoTaken, SoundTaken
from putback.pictures.kind import picture_type
from putback.pictures.location import without_location
from putback.pictures.sound_location import sound_without_location

PhotoSource = Callable[[str], bytes | None]


@dataclass(slots=True)
class WithoutPlace:
    """Entries and photos of one export; `entries` has to be gone through before `photo`."""

    source: PhotoSource
    _originals: dict[str, str] = field(default_factory=dict)
    """The photo from which each copy is made."""
    _copies: dict[str, str | None] = field(default_factory=dict)
    """The copy of each photo looked at; none where it tells no place."""
    _held_back: set[str] = field(default_factory=set)
    """Sounds of which nobody can say whether they tell their place."""

    def entries(self, entries: Iterable[Entry]) -> Iterator[Entry]:
        """Give the entries, each of a photo that tells its place followed by that of its copy."""
        for entry in entries:
            yield entry
            match entry.body:
                case PhotoTaken(photo=digest):
                    copied_as = self._copy_of(digest, without_location)
                case SoundTaken(sound=digest):
                    copied_as = self._copy_of(digest, sound_without_location)
                case _:
                    continue
            if copied_as is not None:
                yield _said(entry, LocationLeftOut(photo=digest, copied_as=copied_as))

    def photo(self, digest: str) -> bytes | None:
        """Give a photo that tells no place, or the copy of one that does."""
        if self._copies.get(digest) is not None or digest in self._held_back:
            return None
        original = self._originals.get(digest)
        if original is None:
            return self.source(digest)
        content = self.source(original)
        if content is None:
            return None
        clean = without_location if picture_type(content) else sound_without_location
        return clean(content)

    def _copy_of(self, photo: str, clean: Callable[[bytes], bytes | None]) -> str | None:
        if photo not in self._copies:
            content = self.source(photo)
            bare = clean(content) if content is not None else None
            if content is not None and bare is None:
                self._held_back.add(photo)
            copied_as = None if bare is None or bare == content else sha256(bare).hexdigest()
            self._copies[photo] = copied_as
            if copied_as is not None:
                self._originals[copied_as] = photo
        return self._copies[photo]


def _said(of: Entry, body: LocationLeftOut) -> Entry:
    """Write the entry of a copy; it is struck out with the photo's own act."""
    identity = sha256(f"{of.id} {body.copied_as}".encode()).hexdigest()
    return encode(
        id=EntryId(f"{of.id[:15]}{identity[:3]}-8{identity[3:6]}-{identity[6:18]}"),
        act=of.brief.act,
        logbook=of.logbook,
        happened_at=of.happened_at,
        logged_at=of.logged_at,
        clock=of.clock,
        device=DeviceId(""),
        who=PersonId(""),
        body=body,
    )
