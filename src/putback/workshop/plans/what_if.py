"""What if: all that can be asked, on a state that nobody logged.

A sheet of tracing paper is laid over the store. What is supposed is written on the sheet by the
same words, entries and fold as what is logged; whoever looks sees both, and the store beneath is
only ever read. A *sealed* sheet takes nothing more, so that no command can write by mistake.
"""

from collections.abc import Iterator, Mapping, Sequence

from putback.errors import BadInput
from putback.logbook.entries.base import DeviceId, Entry, EntryId, LogbookId, PersonId
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.memory import MemoryEntryStore
from putback.workshop.logbooks.ports import (
    GARAGE,
    Appended,
    BackupNote,
    Clock,
    EntryStore,
    KeptPlan,
    PhotoId,
    PhotoStore,
    Role,
    Shelved,
    Snapshot,
    Stored,
)
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.saying.forms import ELSEWHERE, book_for, form_of, parted
from putback.workshop.saying.short_forms import read_line
from putback.workshop.saying.spoken import in_short_form

NEW = "--new"
"""In a supposed line, as after ``putback log``: what nobody described yet takes its name here."""


def suppose(
    workshop: Workshop,
    logbook: LogbookId,
    lines: Sequence[str],
    *,
    who: PersonId,
    device: DeviceId,
) -> Workshop:
    """Give a workshop in which the lines have happened, one after another; nothing is stored.

    Parameters
    ----------
    workshop : Workshop
        The workshop as it is; it is only read, and goes on as if nobody had asked.
    logbook : LogbookId
        The vehicle the lines are about.
    lines : sequence of str
        Each as after ``putback log``: ``off radiator``, ``undone "fan to pump" 2/4``.

    Raises
    ------
    InputError
        If a line cannot be meant; it says which, and how to mend it.
    """
    sheet = Sheet(workshop.store, workshop.clock)
    supposed = Workshop(sheet, SealedPhotos(workshop.photos), workshop.clock)
    for line in lines:
        words = _words(line)
        plain = [word for word in words if word != NEW]
        book = book_for(plain, logbook)
        state = supposed.state(book) if book == GARAGE else in_its_garage(supposed, book)
        bodies = read_line(plain, state, new=NEW in words)
        supposed.log(book, bodies, who=who, device=device)
    sheet.seal()
    return supposed


def _words(line: str) -> list[str]:
    words = in_short_form(parted(line))
    kind = form_of(words[0]).kind if words and words[0].strip() else ""
    if kind in ELSEWHERE:
        raise BadInput(
            f"{words[0]!r} cannot be supposed", line, 'suppose work, as in: "off radiator"'
        )
    return words


def refusal(what: str) -> BadInput:
    """Say that nothing is written while something is only supposed."""
    return BadInput(
        f"{what} writes, and what is supposed is never written", mend="leave --suppose away"
    )


class Sheet:
    """An entry store over another: it reads through, and what is written stays on the sheet.

    Of the store beneath it shows what was there when a logbook was first looked at, so that
    entries arriving meanwhile do not mix with what is supposed.
    """

    def __init__(self, beneath: EntryStore, clock: Clock) -> None:
        self._beneath = beneath
        self._own = MemoryEntryStore(clock)
        self._ends: dict[LogbookId, int] = {}
        self._sealed = False

    def seal(self) -> None:
        """Take nothing more."""
        self._sealed = True

    # -- looking ----------------------------------------------------------------------------

    def logbooks(self) -> tuple[Shelved, ...]:
        """List the logbooks of the store and of the sheet, by name."""
        beneath = self._beneath.logbooks()
        known = {each.id for each in beneath}
        own = tuple(each for each in self._own.logbooks() if each.id not in known)
        return tuple(sorted((*beneath, *own), key=lambda each: (each.name, each.id)))

    def read(
        self, logbook: LogbookId, after_position: int = 0, *, newest_first: bool = False
    ) -> Iterator[Stored]:
        """Give the entries of the store, then those of the sheet; or backwards."""
        end = self._end(logbook)
        own = [self._raised(each, end) for each in self._read_own(logbook)]
        own = [each for each in own if each.position > after_position]
        beneath = (
            each
            for each in self._read_beneath(logbook, after_position, newest_first=newest_first)
            if each.position <= end
        )
        if newest_first:
            yield from reversed(own)
            yield from beneath
        else:
            yield from beneath
            yield from own

    def load(self, logbook: LogbookId, ids: Sequence[EntryId]) -> Iterator[Stored]:
        """Give the entries of these ids."""
        end = self._end(logbook)
        if self._is_beneath(logbook):
            yield from (each for each in self._beneath.load(logbook, ids) if each.position <= end)
        wanted = set(ids)
        for each in self._read_own(logbook):
            if each.entry in wanted:
                yield self._raised(each, end)

    def from_elsewhere(self, logbook: LogbookId, after_position: int = 0) -> Iterator[EntryId]:
        """Name those beneath; what is supposed is all of here."""
        if self._is_beneath(logbook):
            yield from self._beneath.from_elsewhere(logbook, after_position)

    def position(self, logbook: LogbookId) -> int:
        """Give the position of the last entry."""
        if not self._is_own(logbook):
            return self._end(logbook)
        return self._end(logbook) + self._own.position(logbook)

    def latest_snapshot(self, logbook: LogbookId) -> Snapshot | None:
        """Give the newest snapshot beneath, unless it is newer than what is looked at."""
        if not self._is_beneath(logbook):
            return None
        found = self._beneath.latest_snapshot(logbook)
        return found if found is not None and found.position <= self._end(logbook) else None

    def kept_plan(self, logbook: LogbookId, goal: str) -> KeptPlan | None:
        """Give the plan that was last followed: what is supposed begins from it, too."""
        return self._beneath.kept_plan(logbook, goal) if self._is_beneath(logbook) else None

    def setting(self, logbook: LogbookId, name: str) -> str | None:
        """Give a setting of a vehicle: what is supposed is worked on like it."""
        return self._beneath.setting(logbook, name) if self._is_beneath(logbook) else None

    def reserved_tags(self) -> tuple[tuple[DeviceId, range], ...]:
        """List what was reserved."""
        return self._beneath.reserved_tags()

    def roles(self, logbook: LogbookId) -> Mapping[PersonId, Role]:
        """Tell who may do what."""
        return self._beneath.roles(logbook) if self._is_beneath(logbook) else {}

    def last_clock(self, device: DeviceId) -> tuple[int, int]:
        """Give the latest clock of the device's entries."""
        return max(self._beneath.last_clock(device), self._own.last_clock(device))

    def last_backup(self) -> BackupNote | None:
        """Tell of the last backup."""
        return self._beneath.last_backup()

    # -- writing ----------------------------------------------------------------------------

    def create_logbook(
        self,
        logbook: LogbookId,
        name: str,
        owner: PersonId,
        entries: Sequence[Entry] = (),
        received_from: str = "",
    ) -> Appended:
        """Open the garage's logbook on the sheet; no vehicle begins there."""
        if logbook != GARAGE:
            raise refusal(f"beginning {name!r}")
        return self._own.create_logbook(logbook, name, owner, entries, received_from)

    def rename(self, logbook: LogbookId, name: str) -> None:
        """Rename none: what it is called on the sheet concerns nobody else."""

    def append(
        self,
        logbook: LogbookId,
        entries: Sequence[Entry],
        received_from: str,
        *,
        once: bool = False,
    ) -> Appended:
        """Write entries on the sheet, until it is sealed."""
        if self._sealed:
            raise refusal("this command")
        end = self._end(logbook)
        if not self._is_own(logbook):
            self._own.create_logbook(logbook, logbook, PersonId(""))
        added = self._own.append(logbook, entries, received_from, once=once)
        return Appended(added.new, added.known, end + added.position)

    def save_snapshot(self, logbook: LogbookId, snapshot: Snapshot) -> None:
        """Keep none: it would be of what is only supposed."""

    def keep_plan(self, logbook: LogbookId, goal: str, plan: KeptPlan) -> None:
        """Keep none: what is followed is not what is only supposed."""

    def forget_plan(self, logbook: LogbookId, goal: str) -> None:
        """Forget none."""

    def keep_setting(self, logbook: LogbookId, name: str, value: str) -> None:
        """Keep none."""

    def reserve_tags(self, device: DeviceId, count: int) -> range:
        """Refuse: reserved tags would be gone."""
        raise refusal("reserving tags")

    def grant(self, logbook: LogbookId, person: PersonId, role: Role) -> None:
        """Refuse."""
        raise refusal("giving a role")

    def revoke(self, logbook: LogbookId, person: PersonId) -> None:
        """Refuse."""
        raise refusal("taking a role away")

    def note_backup(self, note: BackupNote) -> None:
        """Refuse."""
        raise refusal("a backup")

    # -- inside -----------------------------------------------------------------------------

    def _is_own(self, logbook: LogbookId) -> bool:
        return any(each.id == logbook for each in self._own.logbooks())

    def _is_beneath(self, logbook: LogbookId) -> bool:
        return self._end(logbook) > 0 or not self._is_own(logbook)

    def _end(self, logbook: LogbookId) -> int:
        """How far the store beneath is looked at."""
        if logbook not in self._ends:
            is_new = logbook == GARAGE and all(
                each.id != logbook for each in self._beneath.logbooks()
            )
            self._ends[logbook] = 0 if is_new else self._beneath.position(logbook)
        return self._ends[logbook]

    def _read_own(self, logbook: LogbookId) -> Iterator[Stored]:
        return self._own.read(logbook) if self._is_own(logbook) else iter(())

    def _read_beneath(
        self, logbook: LogbookId, after_position: int, *, newest_first: bool
    ) -> Iterator[Stored]:
        if not self._is_beneath(logbook):
            return iter(())
        return self._beneath.read(logbook, after_position, newest_first=newest_first)

    @staticmethod
    def _raised(stored: Stored, by: int) -> Stored:
        """Put an entry of the sheet behind those beneath."""
        return Stored(
            stored.position + by,
            stored.entry,
            stored.digest,
            stored.received_at,
            stored.received_from,
            stored.raw,
        )


class SealedPhotos:
    """The photos of a store, to look at only."""

    def __init__(self, beneath: PhotoStore) -> None:
        self._beneath = beneath

    def put(self, content: bytes) -> PhotoId:
        """Refuse: a picture is of what there is."""
        raise refusal("a photo")

    def get(self, photo: PhotoId) -> bytes:
        """Give the bytes."""
        return self._beneath.get(photo)

    def has(self, photo: PhotoId) -> bool:
        """Tell whether it is there."""
        return self._beneath.has(photo)

    def __iter__(self) -> Iterator[PhotoId]:
        """Go through all there are."""
        return iter(self._beneath)
