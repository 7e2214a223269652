"""The other side of an exchange: another workshop's copy, and how it is asked.

Entries travel as they were received, in the order of arrival, so many at a time that each answer
is small. Photos and sounds travel ahead of the entries that name them. Sent twice, all of it is
there once: whoever lost an answer asks again.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

from putback.errors import PutbackError
from putback.logbook.entries.base import EntryId, LogbookId
from putback.workshop.logbooks.ports import PhotoId

MOST_ENTRIES = 300
"""Of one answer or sending [entries] ..."""
MOST_BYTES = 1 << 20
"""... which ends earlier where its entries are long [bytes]."""
MOST_ASKED = 500
"""Photos or garage entries asked about at once."""
LARGEST_PHOTO_BYTES = 40 * 2**20
"""Of one photo or sound that goes along [bytes]: as the site takes from a phone."""


@dataclass(eq=False)
class NoExchange(PutbackError):
    """The other side cannot be reached, does not let us in, or says what makes no sense."""

    partner: str
    why: str
    mend: str = "nothing is lost: what went over stays, and the next time goes on from there"

    def fault(self) -> str:
        """What is wrong."""
        return self.why

    def place(self) -> str:
        """Whom it is about."""
        return self.partner

    def remedy(self) -> str:
        """How to mend it."""
        return self.mend


@dataclass(frozen=True, slots=True)
class Stands:
    """Where a copy of a logbook stands."""

    name: str
    position: int
    """Of its last entry."""
    last: str
    """Identity of its last entry; empty where there is none."""
    entries: int
    digest: str
    """Of the set of entries, as `LogFacts.digest`: equal where both hold the same."""
    there: str = ""
    """Identity of the entry at the position that was asked about; empty where there is none."""
    tags: tuple[tuple[int, int], ...] = ()
    """Blocks of tags that are reserved there, as places in the order of issue."""


@dataclass(frozen=True, slots=True)
class Handed:
    """Entries handed out: raw, and what they name."""

    lines: tuple[bytes, ...] = field(repr=False)
    position: int
    """Up to which everything was looked at: where the next asking begins."""
    end: int
    """The last position there is."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a copy lacks of what it was asked about."""

    photos: tuple[PhotoId, ...] = ()
    garage: tuple[str, ...] = ()
    """Digests of entries of the garage."""


class Far(Protocol):
    """Another workshop's copy; every call may raise `NoExchange`, and may be made again."""

    def stands(self, logbook: LogbookId, at: int = 0) -> Stands | None:
        """Say where the copy stands; ``None`` if there is none, or none of ours."""

    def begin(self, logbook: LogbookId, name: str) -> None:
        """Begin a copy of a vehicle that is not there yet; it is ours there."""

    def entries(self, logbook: LogbookId, after: int, *, all_of_them: bool = False) -> Handed:
        """Give entries after a position; those that came from us only if ``all_of_them``."""

    def garage(self, logbook: LogbookId, after: int) -> Handed:
        """Give entries of the garage that the vehicle refers to, after a position."""

    def wanted(
        self, logbook: LogbookId, photos: Sequence[PhotoId], garage: Sequence[str] = ()
    ) -> Wanted:
        """Say what is lacking there of these photos and garage entries."""

    def photo(self, logbook: LogbookId, photo: PhotoId) -> bytes | None:
        """Give the bytes of a photo or sound; ``None`` if they are not there."""

    def send_photo(self, logbook: LogbookId, photo: PhotoId, content: bytes) -> None:
        """Store the bytes of a photo or sound there."""

    def send_entries(self, logbook: LogbookId, lines: Sequence[bytes]) -> tuple[EntryId, ...]:
        """Append entries there, all or none; gives those that were new."""

    def send_garage(self, logbook: LogbookId, lines: Sequence[bytes]) -> tuple[EntryId, ...]:
        """Append entries of the garage there, all or none; gives those that were new."""
