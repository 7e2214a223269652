"""A vehicle's entries and photos as they go along to others: without where photos were taken.

A photo is named by its bytes, so one without its place is another photo. The entry that says so is
made from the photo's own, always the same: exported twice it is one entry, and a copy that comes
back changes nothing.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from hashlib import sha256

from putback.logbook.entries.base import DeviceId, Entry, EntryId, PersonId
from putback.logbook.entries.bookkeeping import LocationLeftOut
from putback.logbook.entries.registry import encode
from putback.logbook.entries.working import PhotoTaken
from putback.pictures.location import without_location

PhotoSource = Callable[[str], bytes | None]


@dataclass(slots=True)
class WithoutPlace:
    """Entries and photos of one export; `entries` has to be gone through before `photo`."""

    source: PhotoSource
    _originals: dict[str, str] = field(default_factory=dict)
    """The photo from which each copy is made."""
    _copies: dict[str, str | None] = field(default_factory=dict)
    """The copy of each photo looked at; none where it tells no place."""

    def entries(self, entries: Iterable[Entry]) -> Iterator[Entry]:
        """Give the entries, each of a photo that tells its place followed by that of its copy."""
        for entry in entries:
            yield entry
            if isinstance(entry.body, PhotoTaken):
                copied_as = self._copy_of(entry.body.photo)
                if copied_as is not None:
                    yield _said(
                        entry, LocationLeftOut(photo=entry.body.photo, copied_as=copied_as)
                    )

    def photo(self, digest: str) -> bytes | None:
        """Give a photo that tells no place, or the copy of one that does."""
        if self._copies.get(digest) is not None:
            return None
        original = self._originals.get(digest)
        if original is None:
            return self.source(digest)
        content = self.source(original)
        return without_location(content) if content is not None else None

    def _copy_of(self, photo: str) -> str | None:
        if photo not in self._copies:
            content = self.source(photo)
            bare = without_location(content) if content is not None else None
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
