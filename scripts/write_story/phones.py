"""Phones that log: each with its own clock, its own person and its own block of tags."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import count

from putback.logbook.entries.base import (
    ActId,
    Body,
    DeviceId,
    Entry,
    EntryId,
    LogbookId,
    PersonId,
    TagCode,
)
from putback.logbook.entries.registry import encode
from putback.logbook.tags import tag_at

VEHICLE = LogbookId("demo")
GARAGE = LogbookId("garage")
DAY_0 = datetime(2031, 3, 1, tzinfo=UTC)
BLOCK = 400
"""Tags that each phone reserves, in the order in which the phones are listed."""


@dataclass
class Calendar:
    """The hour of the story; every act takes a few minutes."""

    now: datetime = DAY_0
    seen: tuple[int, int] = (0, 0)
    """The latest clock of any phone: all of them are in one workshop, and online."""

    def go_to(self, day: int, hour: float = 9.0) -> None:
        """Turn to an hour of a day of the story."""
        self.now = DAY_0 + timedelta(days=day, hours=hour)

    def pass_minutes(self, minutes: float) -> datetime:
        """Let time go by."""
        self.now += timedelta(minutes=minutes)
        return self.now


@dataclass
class Phone:
    """One phone. ``wrong_by`` is how far its clock is from the hour."""

    name: DeviceId
    who: PersonId
    number: int
    calendar: Calendar
    wrong_by: timedelta = timedelta()
    _serial: Iterator[int] = field(default_factory=lambda: count(1))
    _tags: Iterator[int] = field(init=False)
    _clock: tuple[int, int] = (0, 0)

    def __post_init__(self) -> None:
        """Open the phone's block of tags."""
        self._tags = iter(range(self.number * BLOCK, (self.number + 1) * BLOCK))

    def next_tag(self, *, but: frozenset[str] = frozenset()) -> TagCode:
        """Take the next printed tag, but for some that are spoken for."""
        while (tag := tag_at(next(self._tags))) in but:
            pass
        return TagCode(tag)

    def act(
        self,
        *bodies: Body,
        minutes: float = 3.0,
        happened_at: str | None = None,
        after: EntryId | None = None,
        logbook: LogbookId = VEHICLE,
        who: PersonId | None = None,
    ) -> list[Entry]:
        """Log one act now, by this phone's own clock."""
        stamp = self.calendar.pass_minutes(minutes) + self.wrong_by
        moment = stamp.isoformat(timespec="milliseconds")
        milliseconds = round(stamp.timestamp() * 1000)
        act = ActId(self._identity(milliseconds))
        return [
            encode(
                id=EntryId(self._identity(milliseconds)),
                act=act,
                logbook=logbook,
                happened_at=moment if happened_at is None else happened_at,
                after=after,
                logged_at=moment,
                clock=self._tick(milliseconds),
                device=self.name,
                who=who or self.who,
                body=body,
            )
            for body in bodies
        ]

    def _tick(self, milliseconds: int) -> tuple[int, int]:
        wall, ticks = max(self._clock, self.calendar.seen)
        self._clock = (milliseconds, 0) if milliseconds > wall else (wall, ticks + 1)
        self.calendar.seen = max(self._clock, self.calendar.seen)
        return self._clock

    def _identity(self, milliseconds: int) -> str:
        """Make a UUIDv7 whose random bits are the phone and its serial number: RFC 9562, 5.7."""
        low = (0b10 << 62) | (self.number << 48) | next(self._serial)
        text = f"{milliseconds:012x}7000{low:016x}"
        return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"
