"""Pushing and pulling: one side's entries go to the other, step by step.

Each step is small and leaves both copies right, so that an exchange may be cut off after any of
them, also in the middle of an answer, and goes on where it was. How far it came is kept in a
`Course`; merging being set union, a course that is lost or too early only costs time.

A course that is too late would leave something out for ever. So each begins by comparing the
entries that stand at the positions it was left at: where one of the copies was restored from a
backup they are others, and then everything is offered again.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from putback.errors import BadInput, Damaged, NotFound
from putback.logbook.bundle import photos_of
from putback.logbook.entries.base import Entry, LogbookId, PersonId
from putback.logbook.entries.registry import decode
from putback.logbook.open_items import OpenItem
from putback.workshop.exchange.far import (
    LARGEST_PHOTO_BYTES,
    MOST_ASKED,
    Far,
    NoExchange,
    Stands,
)
from putback.workshop.exchange.handing import (
    entry_at,
    garage_in,
    hand_out,
    has,
    in_portions,
    named_by,
    photo_in,
    where_it_stands,
)
from putback.workshop.exchange.merging import NewEntry, told_of
from putback.workshop.exchange.tags_apart import keep_apart
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.ports import GARAGE, PhotoId, in_utc
from putback.workshop.logbooks.workshop import Workshop

MOST_LOOKED_AT = 10
"""Answers looked into before anything is exchanged [answers]; what is behind is counted."""


@dataclass(frozen=True, slots=True)
class Course:
    """How far the exchange of one vehicle with one partner has come."""

    sent: int = 0
    """Position here up to which the partner has everything."""
    sent_entry: str = ""
    """The entry at that position."""
    got: int = 0
    """Position there up to which everything is here."""
    seen: int = 0
    """The partner's last position when it was last asked."""
    seen_entry: str = ""
    """The entry at that position."""
    again: bool = False
    """A copy was restored: also what came from the other side is offered to it."""
    pushed_at: str = ""
    """When pushing was last done to the end, ISO 8601 in UTC."""
    pulled_at: str = ""
    """The same of pulling."""


@dataclass(frozen=True, slots=True)
class Step:
    """How far it is: so many of so many, and at what."""

    done: int
    total: int
    words: str


@dataclass(frozen=True, slots=True)
class Ahead:
    """What an exchange would change here and there; nothing is kept of it."""

    new: int
    """Entries that would be new here, of those looked at."""
    first_new: tuple[NewEntry, ...]
    """The first of them, the latest first."""
    opens: tuple[OpenItem, ...]
    """What would be open by them that is not open now."""
    more: int
    """Entries there that were not looked at."""
    to_send: int
    """Entries here that are not known to be there."""
    is_there: bool
    """Whether the partner has a copy at all."""


@dataclass(slots=True)
class Exchanged:
    """What an exchange has brought."""

    entries: int = 0
    garage: int = 0
    photos: int = 0
    left_out: list[PhotoId] = field(default_factory=list)
    """Photos that are named, and neither side could give."""


@dataclass(slots=True)
class Exchange:
    """One vehicle, here and there.

    Parameters
    ----------
    sender : str
        By which the store notes what came from the partner: no two partners share one.
    who : PersonId
        Whose a vehicle is that is new here.
    keep : callable
        Keeps the course, durably, after every step.
    """

    workshop: Workshop
    far: Far
    partner: str
    logbook: LogbookId
    sender: str
    who: PersonId
    course: Course = Course()
    keep: Callable[[Course], None] = lambda _: None
    done: Exchanged = field(default_factory=Exchanged)

    def look_ahead(self) -> Ahead:
        """Tell what pulling and pushing would change; nothing is kept, there or here."""
        course = self.course
        there = self.far.stands(self.logbook, course.seen)
        position = self.workshop.store.position(self.logbook)
        if there is None:
            return Ahead(0, (), (), 0, position, is_there=False)
        rows = list(self.workshop.since(self.logbook))
        known = {(row.entry, row.digest) for row in rows}
        new: list[Entry] = []
        upto, end = course.got, there.position
        for _ in range(MOST_LOOKED_AT):
            if upto >= end:
                break
            handed = self.far.entries(self.logbook, upto, all_of_them=course.again)
            new += [
                entry
                for entry in map(decode, handed.lines)
                if entry.logbook == self.logbook and (entry.id, entry.digest) not in known
            ]
            if handed.position <= upto:
                break
            upto, end = handed.position, handed.end
        here = map(read_entry, rows)
        told = told_of(self.workshop, self.logbook, here, new)
        to_send = sum(
            row.position > course.sent and (course.again or row.received_from != self.sender)
            for row in rows
        )
        return Ahead(
            len(new), told.first_new, told.opens, max(0, end - upto), to_send, is_there=True
        )

    # -- pulling ----------------------------------------------------------------------------

    def pull(self) -> Iterator[Step]:
        """Fetch what the partner has and this copy has not; each step is kept.

        Raises
        ------
        NotFound
            If there is no such vehicle at the partner, or it is none of ours.
        """
        there = self._compared()
        if there is None:
            raise NotFound("vehicle at the partner", self.logbook)
        yield from self._pull_garage()
        while True:
            handed = self.far.entries(self.logbook, self.course.got, all_of_them=self.course.again)
            if handed.lines:
                yield from self._fetch(_photos_in(handed.lines), "fetching photos")
                self.done.entries += self._take(there, handed.lines)
            stuck = handed.position <= self.course.got
            if not stuck:
                self._on(got=handed.position)
                yield Step(handed.position, handed.end, "fetching entries")
            if stuck or handed.position >= handed.end:
                break
        if has(self.workshop, self.logbook):
            yield from self._fetch(
                named_by(self.workshop, self.logbook).photos, "fetching photos", last=True
            )
        self._finish(pulled_at=self._now())

    def _take(self, there: Stands, lines: tuple[bytes, ...]) -> int:
        if not has(self.workshop, self.logbook):
            # With its first entries or not at all: no empty vehicle is left behind.
            first = [decode(line, where=f"entry {at}") for at, line in enumerate(lines, 1)]
            if any(entry.logbook != self.logbook for entry in first):
                raise NoExchange(self.partner, "sends entries of another vehicle")
            name = there.name or self.logbook
            made = self.workshop.store.create_logbook(
                self.logbook, name, self.who, first, self.sender
            )
            return len(made.new)
        taken = self.workshop.receive(self.logbook, lines, received_from=self.sender)
        return len(taken.new)

    def _pull_garage(self) -> Iterator[Step]:
        after = 0
        while True:
            handed = self.far.garage(self.logbook, after)
            if handed.lines:
                self.done.garage += len(
                    garage_in(self.workshop, handed.lines, received_from=self.sender)
                )
                yield Step(handed.position, handed.end, "fetching places and names")
            if handed.position <= after or handed.position >= handed.end:
                return
            after = handed.position

    def _fetch(
        self, photos: tuple[PhotoId, ...], words: str, *, last: bool = False
    ) -> Iterator[Step]:
        missing = [each for each in photos if not self.workshop.photos.has(each)]
        for number, photo in enumerate(missing, 1):
            content = self.far.photo(self.logbook, photo)
            if content is None or len(content) > LARGEST_PHOTO_BYTES:
                # Withdrawn, or not there yet: the entry goes along all the same.
                if last:
                    self.done.left_out.append(photo)
                continue
            try:
                photo_in(self.workshop, photo, content)
            except BadInput as error:
                raise NoExchange(self.partner, f"sends a photo that is spoilt: {error}") from error
            self.done.photos += 1
            yield Step(number, len(missing), words)

    # -- pushing ----------------------------------------------------------------------------

    def push(self) -> Iterator[Step]:
        """Send what this copy has and the partner has not; each step is kept."""
        if self._compared() is None:
            name = where_it_stands(self.workshop, self.logbook).name
            self.far.begin(self.logbook, name)
            self.course = replace(self.course, again=True)
        yield from self._push_garage()
        while True:
            handed, rows = hand_out(
                self.workshop,
                self.logbook,
                self.course.sent,
                not_from="" if self.course.again else self.sender,
            )
            if rows:
                yield from self._send(_photos_in(handed.lines))
                self.done.entries += len(self.far.send_entries(self.logbook, handed.lines))
            stuck = handed.position <= self.course.sent
            if not stuck:
                at = entry_at(self.workshop, self.logbook, handed.position)
                self._on(sent=handed.position, sent_entry=at)
                yield Step(handed.position, handed.end, "sending entries")
            if stuck or handed.position >= handed.end:
                break
        yield from self._send(named_by(self.workshop, self.logbook).photos, last=True)
        self._finish(pushed_at=self._now())

    def _push_garage(self) -> Iterator[Step]:
        named = named_by(self.workshop, self.logbook).garage
        wanted: set[str] = set()
        for start in range(0, len(named), MOST_ASKED):
            digests = [each.digest for each in named[start : start + MOST_ASKED]]
            wanted |= set(self.far.wanted(self.logbook, (), digests).garage)
        lacking = [each for each in named if each.digest in wanted]
        sent = 0
        for portion in in_portions(lacking, lambda each: len(each.raw)):
            lines = [each.raw for each in portion]
            self.done.garage += len(self.far.send_garage(self.logbook, lines))
            sent += len(portion)
            yield Step(sent, len(lacking), "sending places and names")

    def _send(self, photos: tuple[PhotoId, ...], *, last: bool = False) -> Iterator[Step]:
        for start in range(0, len(photos), MOST_ASKED):
            some = photos[start : start + MOST_ASKED]
            missing = self.far.wanted(self.logbook, some).photos
            for number, photo in enumerate(missing, 1):
                content = self._photo_here(photo)
                if content is None:
                    if last:
                        self.done.left_out.append(photo)
                    continue
                self.far.send_photo(self.logbook, photo, content)
                self.done.photos += 1
                yield Step(number, len(missing), "sending photos")

    def _photo_here(self, photo: PhotoId) -> bytes | None:
        """Give a photo that is here, sound and small enough: a spoilt one stops nothing."""
        try:
            content = self.workshop.photos.get(photo)
        except (NotFound, Damaged):
            return None
        return content if len(content) <= LARGEST_PHOTO_BYTES else None

    # -- where both stand -------------------------------------------------------------------

    def _compared(self) -> Stands | None:
        """Ask where the partner stands, and begin anew if either copy is not the one it was."""
        if self.logbook in {"", GARAGE}:
            raise BadInput("only vehicles are exchanged", self.logbook)
        there = self.far.stands(self.logbook, self.course.seen)
        if there is not None:
            keep_apart(self.workshop, there.tags)
        here = ""
        if has(self.workshop, self.logbook):
            here = entry_at(self.workshop, self.logbook, self.course.sent)
        theirs = there.there if there is not None else ""
        if (here, theirs) != (self.course.sent_entry, self.course.seen_entry):
            self._on(sent=0, sent_entry="", got=0, seen=0, seen_entry="", again=True)
        if there is not None and has(self.workshop, self.logbook):
            ours = where_it_stands(self.workshop, self.logbook)
            if ours.digest == there.digest:  # brought together by a file, or by somebody else
                self._on(sent=ours.position, sent_entry=ours.last, again=False)
                self._on(got=there.position, seen=there.position, seen_entry=there.last)
        return there

    def _finish(self, **when: str) -> None:
        """Note where the partner stands now, and that one way is done to its end."""
        there = self.far.stands(self.logbook)
        if there is not None:
            keep_apart(self.workshop, there.tags)
            self._on(seen=there.position, seen_entry=there.last)
        self._on(**when)
        if self.course.again and self._is_even():
            self._on(again=False)

    def _is_even(self) -> bool:
        """Whether, after everything was offered anew, both ways have been gone to their end."""
        here = self.workshop.store.position(self.logbook)
        return self.course.sent >= here and self.course.got >= self.course.seen

    def _on(self, **changes: str | int | bool) -> None:
        self.course = replace(self.course, **changes)  # type: ignore[arg-type]
        self.keep(self.course)

    def _now(self) -> str:
        return in_utc(self.workshop.clock.now())


def _photos_in(lines: tuple[bytes, ...]) -> tuple[PhotoId, ...]:
    """Name the photos and sounds of some entries, each once."""
    named = (PhotoId(each) for line in lines for each in photos_of(decode(line)))
    return tuple(dict.fromkeys(named))
