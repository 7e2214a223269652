"""The workshop: what a person does with logbooks, by whatever screen or command."""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass
from datetime import datetime, tzinfo
from unicodedata import category

from putback.errors import AlreadyExists, BadInput, NotFound
from putback.logbook.entries.base import (
    ActId,
    Body,
    DeviceId,
    Entry,
    EntryId,
    LogbookId,
    PersonId,
    Subject,
)
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described, SameAs, described_subject
from putback.logbook.entries.registry import decode, encode
from putback.logbook.entries.working import NoteMade
from putback.logbook.fold import Fold, fold
from putback.logbook.index import LogFacts
from putback.logbook.moments import SKEW_MS
from putback.logbook.state import State
from putback.logbook.tags import Tag, tag_at
from putback.vehicle.ids import VehicleId
from putback.vehicle.vehicle import About, Vehicle
from putback.workshop.logbooks.arrivals import Arrivals
from putback.workshop.logbooks.describe import describe
from putback.workshop.logbooks.identity import HybridClock, Identities
from putback.workshop.logbooks.look import Folds, read_entry
from putback.workshop.logbooks.ports import (
    GARAGE,
    Appended,
    BackupNote,
    Clock,
    EntryStore,
    PhotoStore,
    Shelved,
    Stored,
    SystemClock,
    no_logbook,
)
from putback.workshop.logbooks.remembered import Remembered
from putback.workshop.logbooks.said_once import entry_of, said_as

NOBODY = PersonId("")
DESCRIBING = (Described, SameAs)
"""What says what the vehicle is, whenever it was said."""
MOST_CORRECTED = 20
"""Descriptions that one names as corrected: the last; earlier ones were corrected by these."""


@dataclass(frozen=True, slots=True)
class Act:
    """What one tap or command wrote: entries that stand or are struck out together."""

    id: ActId
    logbook: LogbookId
    entries: tuple[Entry, ...]


class Workshop:
    """The use cases over a store of entries, a store of photos and a clock.

    Parameters
    ----------
    store, photos
        Where entries and photos are kept; several workshops, in several processes, may share them.
    clock
        Tells the time; this machine's where none is given.
    zone
        Tells where whoever asks just now is; the clock's zone where it is not given or not known.
    """

    def __init__(
        self,
        store: EntryStore,
        photos: PhotoStore,
        clock: Clock | None = None,
        zone: Callable[[], tzinfo | None] | None = None,
    ) -> None:
        self.store = store
        self.photos = photos
        self.clock = clock or SystemClock()
        self._zone = zone
        self.remembered = Remembered()
        self.arrivals = Arrivals(store)
        self._folds = Folds(store, self._see)
        self._identities = Identities()
        self._hybrid = HybridClock()
        self._devices: set[DeviceId] = set()
        self._garage_is_there = False

    def now_there(self) -> datetime:
        """Give the present moment with the offset of the place where whoever asks is.

        Their "today" goes by it, and the hour of what they log. Plans and open items go by the
        day of the clock, which is one for all.
        """
        zone = self._zone() if self._zone else None
        return self.clock.now().astimezone(zone) if zone else self.clock.now()

    # -- looking ----------------------------------------------------------------------------

    def logbooks(self) -> tuple[Shelved, ...]:
        """List the logbooks of vehicles, by name."""
        return tuple(each for each in self.store.logbooks() if each.id != GARAGE)

    def has_garage(self) -> bool:
        """Tell whether anything was ever said of the garage; once it is there, it stays."""
        if not self._garage_is_there:
            self._garage_is_there = any(each.id == GARAGE for each in self.store.logbooks())
        return self._garage_is_there

    def find(self, named: str) -> LogbookId:
        """Find a vehicle's logbook by what a person calls it: its name, or how its id begins.

        Raises
        ------
        NotFound
            If none is called so.
        BadInput
            If several are.
        """
        shelved = self.logbooks()
        wanted = named.casefold()
        for found in (
            [each for each in shelved if each.id == named],
            [each for each in shelved if each.name.casefold() == wanted],
            [each for each in shelved if each.id.startswith(wanted)],
        ):
            if len(found) == 1:
                return found[0].id
            if found:
                ids = ", ".join(each.id for each in found)
                raise BadInput(f"{len(found)} vehicles are called {named!r}", mend=f"say {ids}")
        raise no_logbook(named, shelved)

    def state(self, logbook: LogbookId) -> State:
        """Tell where every part and fastener is now."""
        with self._fold(logbook) as fold:
            return fold.state()

    def state_then(
        self, logbook: LogbookId, happened_at: str | None, after: EntryId | None = None
    ) -> State:
        """Tell where everything was at the place that a late entry would take in the order.

        What the vehicle is made of is as it is described now; what was done later is left out.
        """
        note, device = NoteMade(text="here"), DeviceId("")
        (late,) = self._act(logbook, [note], NOBODY, device, happened_at, after).entries
        placed = fold([*self.standing(logbook), late]).standing_entries()
        here = next(at for at, entry in enumerate(placed) if entry.id == late.id)
        later = [entry for entry in placed[here + 1 :] if isinstance(entry.body, DESCRIBING)]
        return fold([*placed[:here], *later], logbook).state()

    def facts(self, logbook: LogbookId) -> LogFacts:
        """Tell what can be said of the logbook itself: how many entries, which contradict."""
        with self._fold(logbook) as fold:
            return fold.log()

    def history(self, logbook: LogbookId, subject: Subject) -> tuple[Entry, ...]:
        """Give the standing entries that speak of one thing, in the order of the logbook."""
        with self._fold(logbook) as fold:
            return fold.history(subject)

    def standing(self, logbook: LogbookId) -> tuple[Entry, ...]:
        """Give every entry that is not struck out, in the order of the logbook."""
        with self._fold(logbook) as fold:
            return fold.standing_entries()

    def since(self, logbook: LogbookId, position: int = 0) -> Iterator[Stored]:
        """Give what arrived after a position, struck out or not, as it was received."""
        self._open_garage(logbook)
        return self.store.read(logbook, position)

    def last_backup(self) -> BackupNote | None:
        """Tell when and where the last backup elsewhere was made."""
        return self.store.last_backup()

    # -- logging ----------------------------------------------------------------------------

    def new_vehicle(
        self,
        vehicle: Vehicle | str,
        *,
        who: PersonId,
        device: DeviceId,
        logbook: LogbookId | None = None,
        as_act: ActId | None = None,
    ) -> LogbookId:
        """Open a logbook for a vehicle, of which no more than the name need be known.

        The description is one act. Two vehicles of one kind have two logbooks; each has an
        identity of its own, unless the caller gives one. Said again ``as_act``, it is the same.

        Raises
        ------
        BadInput
            If the name is empty, or cannot be written down.
        AlreadyExists
            If there is a logbook of the identity that was given.
        """
        name = (vehicle if isinstance(vehicle, str) else vehicle.about.name).strip()
        if not name:
            raise BadInput("a vehicle needs a name", mend="call it what you call it in the garage")
        if any(category(each) in {"Cc", "Cs"} for each in name):
            raise BadInput("the name holds characters that are no text", mend="type it anew")
        identity = logbook or self._new_logbook_id(name, as_act)
        if isinstance(vehicle, str):
            vehicle = Vehicle(About(VehicleId(identity), name))
        act = self._act(identity, describe(vehicle), who, device, as_act=as_act)
        try:
            self.store.create_logbook(identity, name, who, act.entries, device)
        except AlreadyExists:
            if as_act is None:
                raise
        return identity

    def log(
        self,
        logbook: LogbookId,
        bodies: Sequence[Body],
        *,
        who: PersonId,
        device: DeviceId,
        happened_at: str | None = None,
        after: EntryId | None = None,
        as_act: ActId | None = None,
    ) -> Act:
        """Write one act: what happened, now or when it is said to have happened.

        Parameters
        ----------
        happened_at : str, optional
            An instant, a day, a month, or empty for unknown, as ISO 8601; now where not given.
        after : EntryId, optional
            The entry behind which a late note belongs.
        as_act : ActId, optional
            Its identity, where it may be said twice: an act that is there is given back as it is.

        Raises
        ------
        BadInput, MalformedEntry
            If it cannot be written as entries; nothing was saved.
        """
        self._open_garage(logbook)
        if happened_at is None:
            bodies = [self._knowing(logbook, body, who) for body in bodies]
        act = self._act(logbook, bodies, who, device, happened_at, after, as_act)
        if not self.store.append(logbook, act.entries, device, once=as_act is not None).new:
            return Act(act.id, logbook, said_as(self.store, logbook, act.id))
        self._follow_name(logbook, act.entries)
        return act

    def receive(
        self, logbook: LogbookId, lines: Iterable[bytes], *, received_from: str
    ) -> Appended:
        """Take in entries as a phone sent them, all or none; sent twice, they are there once.

        Raises
        ------
        MalformedEntry
            If a line is no entry; the line is named, and nothing was taken in.
        BadInput
            If an entry is of another logbook.
        """
        entries = [decode(line, where=f"line {at}") for at, line in enumerate(lines, start=1)]
        return self.take(logbook, entries, received_from=received_from)

    def take(
        self, logbook: LogbookId, entries: Sequence[Entry], *, received_from: str
    ) -> Appended:
        """Take in entries that were made elsewhere, all or none.

        Raises
        ------
        BadInput
            If an entry is of another logbook.
        """
        for at, entry in enumerate(entries, start=1):
            if entry.logbook != logbook:
                what = f"the entry is of the logbook {entry.logbook!r}, not of {logbook!r}"
                raise BadInput(what, f"line {at}", "nothing was taken in; send it to its own")
        self._open_garage(logbook)
        appended = self.store.append(logbook, entries, received_from)
        self._follow_name(logbook, entries)
        return appended

    def strike(
        self,
        logbook: LogbookId,
        what: EntryId | ActId,
        *,
        who: PersonId,
        device: DeviceId,
        why: str = "",
        as_act: ActId | None = None,
    ) -> Act:
        """Strike out an entry, or all of an act; striking the strike out brings it back.

        What two struck out each for themselves comes back at once: all strikes of it go.

        Raises
        ------
        NotFound
            If there is neither an entry nor an act of this identity.
        """
        bodies: list[Struck]
        if found := [read_entry(each) for each in self.store.load(logbook, [EntryId(what)])]:
            others = self._strikes_beside(logbook, found[0])
            bodies = [Struck(entry=each, why=why) for each in (EntryId(what), *others)]
        else:
            with self._fold(logbook) as fold:
                if not fold.act(ActId(what)):
                    raise NotFound("entry or act", what)
            bodies = [Struck(act=ActId(what), why=why)]
        return self.log(logbook, bodies, who=who, device=device, as_act=as_act)

    def _strikes_beside(self, logbook: LogbookId, entry: Entry) -> list[EntryId]:
        """Name the other strikes of what an entry strikes out, where both it and they stand."""
        struck = entry.body.strikes()
        if not struck:
            return []
        same = [each.id for each in self.standing(logbook) if each.body.strikes() == struck]
        return [each for each in same if each != entry.id] if entry.id in same else []

    def undo(self, logbook: LogbookId, *, who: PersonId, device: DeviceId) -> Act:
        """Strike out the last act that this person wrote on this device and that stands.

        The act that began the vehicle is left: who undoes once too often keeps the vehicle.

        Raises
        ------
        BadInput
            If there is none.
        """
        struck = self.facts(logbook).struck
        begun = None if logbook == GARAGE else self._first_act(logbook)
        for stored in self.store.read(logbook, newest_first=True):
            entry = read_entry(stored)
            is_own = entry.who == who and entry.device == device and entry.act != begun
            if is_own and entry.id not in struck and entry.kind != Struck.KIND:
                body = Struck(act=entry.act, why="undone")
                return self.log(logbook, [body], who=who, device=device)
        raise BadInput(
            "there is nothing of yours to undo", logbook, "strike an entry out by its identity"
        )

    def _first_act(self, logbook: LogbookId) -> ActId | None:
        first = next(iter(self.store.read(logbook)), None)
        return read_entry(first).act if first else None

    def seen_clock(self) -> tuple[int, int]:
        """Give the latest clock that was told or seen here, [ms] and counter."""
        return self._hybrid.last

    # -- tags -------------------------------------------------------------------------------

    def reserve_tags(self, device: DeviceId, count: int) -> tuple[Tag, ...]:
        """Reserve tags for a device, which it may then issue without a connection.

        Those that bags here bear already are passed over: they came with a vehicle from elsewhere.
        """
        borne = self.tags_in_use()
        found: list[Tag] = []
        while len(found) < count:
            places = self.store.reserve_tags(device, count - len(found))
            found += [tag for place in places if (tag := tag_at(place)) not in borne]
        return tuple(found)

    def tags_in_use(self) -> frozenset[str]:
        """Tell which tags are on bags, boxes and crates of any vehicle here."""
        return frozenset(tag for each in self.logbooks() for tag in self.state(each.id).containers)

    def tags_of(self, device: DeviceId) -> tuple[Tag, ...]:
        """List all tags that were ever reserved for a device, in the order of issue."""
        return tuple(
            tag_at(place)
            for owner, places in self.store.reserved_tags()
            if owner == device
            for place in places
        )

    # -- inside -----------------------------------------------------------------------------

    def _act(
        self,
        logbook: LogbookId,
        bodies: Sequence[Body],
        who: PersonId,
        device: DeviceId,
        happened_at: str | None = None,
        after: EntryId | None = None,
        as_act: ActId | None = None,
    ) -> Act:
        """Write the entries of one act, without keeping them yet."""
        if not bodies:
            raise BadInput("an act needs something that happened", logbook)
        now = self.now_there()
        now_ms = _ms(now)
        logged_at = now.isoformat(timespec="milliseconds")
        act = as_act or ActId(self._identities.next(now_ms))
        self._remember_clock(device)
        try:
            entries = tuple(
                encode(
                    id=entry_of(act, at) if as_act else EntryId(self._identities.next(now_ms)),
                    act=act,
                    logbook=logbook,
                    happened_at=logged_at if happened_at is None else happened_at,
                    after=after,
                    logged_at=logged_at,
                    clock=self._hybrid.tick(now_ms),
                    device=device,
                    who=who,
                    body=body,
                )
                for at, body in enumerate(bodies)
            )
        except ValueError as error:  # half a character, or a figure that is no number
            raise BadInput(f"this cannot be written down: {error}") from error
        return Act(act, logbook, entries)

    def _follow_name(self, logbook: LogbookId, entries: Iterable[Entry]) -> None:
        """List the logbook under the name that the vehicle has by its description now."""
        if logbook == GARAGE or not any(_may_rename(each.body) for each in entries):
            return
        name = self.state(logbook).vehicle.about.name
        if any(each.id == logbook and each.name != name for each in self.store.logbooks()):
            self.store.rename(logbook, name)

    def _knowing(self, logbook: LogbookId, body: Body, who: PersonId) -> Body:
        """Let a description name those of others that it corrects: who writes here sees them."""
        if not isinstance(body, Described) or body.instead_of:
            return body
        told = self.history(logbook, described_subject(body.table, body.id))
        known = tuple(
            each.id
            for each in told
            if isinstance(each.body, Described)
            and each.who != who
            and not each.body.fields.keys().isdisjoint(body.fields)
        )
        return body.model_copy(update={"instead_of": known[-MOST_CORRECTED:]}) if known else body

    def _fold(self, logbook: LogbookId) -> AbstractContextManager[Fold]:
        self._open_garage(logbook)
        return self._folds.up_to_date(logbook)

    def _open_garage(self, logbook: LogbookId) -> None:
        """The garage's logbook is there as soon as anybody wants it."""
        if logbook == GARAGE and not self.has_garage():
            # AlreadyExists: somebody else wanted it in the same moment.
            with suppress(AlreadyExists):
                self.store.create_logbook(GARAGE, "Garage", NOBODY)

    def _new_logbook_id(self, name: str, as_act: ActId | None) -> LogbookId:
        """Make an identity that tells the vehicle, and is no other's in any garage."""
        slug = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:40] or "vehicle"
        identity = as_act or self._identities.next(_ms(self.clock.now()))
        return LogbookId(f"{slug}-{identity[-8:]}")

    def _remember_clock(self, device: DeviceId) -> None:
        """Go on where the device's clock stood when the program last ended."""
        if device not in self._devices:
            self._hybrid.see(self.store.last_clock(device))
            self._devices.add(device)

    def _see(self, entries: Iterable[Entry]) -> None:
        """Let no later entry stand before these, unless their phone's clock is plainly wrong."""
        limit = (_ms(self.clock.now()) + SKEW_MS, 0)
        self._hybrid.see(
            max((each.clock for each in entries if each.clock < limit), default=(0, 0))
        )


def _ms(moment: datetime) -> int:
    return round(moment.timestamp() * 1000)


def _may_rename(body: object) -> bool:
    """Whether an entry may have changed what the vehicle is called."""
    return isinstance(body, Struck) or (isinstance(body, Described) and body.table == "about")
