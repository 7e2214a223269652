"""Judging: what becomes of a part, what is away or on its way, and where the work goes."""

from enum import StrEnum
from typing import ClassVar

from pydantic import Field

from putback.logbook.entries.base import Body, EntryId, Naming, Subject, of_ref
from putback.logbook.moments import day_words
from putback.vehicle.ids import GoalId, Ref


class Choice(StrEnum):
    """What is to become of it."""

    REUSE = "reuse"
    RECONDITION = "recondition"
    REPLACE = "replace"
    MAKE = "make"


class Decided(Body):
    """Somebody decided; ``about`` is the finding or reading that it settles, if any."""

    KIND: ClassVar[str] = "decided"

    of: Subject
    choice: Choice
    about: EntryId | None = None
    why: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (self.of,)

    def speaks_of(self) -> tuple[EntryId, ...]:
        return (self.about,) if self.about else ()

    def sentence(self, name: Naming) -> str:
        return f"decided on {name(self.of)}: {self.choice}{f' ({self.why})' if self.why else ''}"


class Hindrance(StrEnum):
    """Why a job is not done now."""

    STUCK = "stuck"
    NO_PART = "no part"
    NO_TOOL = "no tool"
    NO_HELPER = "no helper"
    NOT_TODAY = "not today"


class PutOff(Body):
    """Not now: a joint, part, assembly or job is put off; ``until`` is a day, if one is known.

    It holds until somebody takes it in hand or works on it all the same.
    """

    KIND: ClassVar[str] = "put off"

    what: Ref
    why: Hindrance
    note: str = ""
    until: str = Field(default="", pattern=r"^([0-9]{4}-[0-9]{2}-[0-9]{2})?$")

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(self.what),)

    def sentence(self, name: Naming) -> str:
        until = f" until {day_words(self.until)}" if self.until else ""
        note = f": {self.note}" if self.note else ""
        return f"put {name(self.what)} off{until} ({self.why}{note})"


class SentOut(Body):
    """It went out for work; ``due`` is a day in ISO 8601 if one was promised."""

    KIND: ClassVar[str] = "sent out"

    what: tuple[Subject, ...] = Field(min_length=1)
    firm: str
    work: str = ""
    due: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return self.what

    def sentence(self, name: Naming) -> str:
        return f"sent {', '.join(name(each) for each in self.what)} to {self.firm}"


class CameBack(Body):
    """It came back; ``missing`` says in words what did not."""

    KIND: ClassVar[str] = "came back"

    what: tuple[Subject, ...] = Field(min_length=1)
    missing: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return self.what

    def sentence(self, name: Naming) -> str:
        missing = f", missing {self.missing}" if self.missing else ""
        return f"{', '.join(name(each) for each in self.what)} came back{missing}"


class Ordered(Body):
    """A new one is on order."""

    KIND: ClassVar[str] = "ordered"

    what: Subject
    item: str = ""
    supplier: str = ""
    due: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (self.what,)

    def sentence(self, name: Naming) -> str:
        return f"ordered {self.item or name(self.what)}"


class Arrived(Body):
    """What was ordered is here."""

    KIND: ClassVar[str] = "arrived"

    what: Subject
    order: EntryId | None = None

    def subjects(self) -> tuple[Subject, ...]:
        return (self.what,)

    def speaks_of(self) -> tuple[EntryId, ...]:
        return (self.order,) if self.order else ()

    def sentence(self, name: Naming) -> str:
        return f"what was ordered for {name(self.what)} arrived"


class WayRound(StrEnum):
    """Which way round the work goes."""

    STRIP = "strip"
    REBUILD = "rebuild"


class WayChosen(Body):
    """Somebody chose which way the work goes from here: a strip to a goal, or the rebuild.

    ``goal`` of ``None`` is the next that is not reached; a rebuild needs none. The last word
    counts until nothing is left of it: the goal is reached, or everything is back on.
    """

    KIND: ClassVar[str] = "way chosen"

    way: WayRound
    goal: GoalId | None = None

    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("way"),)

    def sentence(self, name: Naming) -> str:
        if self.way is WayRound.REBUILD:
            return "chose to put it back together from here"
        return f"chose to strip to {name(f'goal:{self.goal}') if self.goal else 'the next goal'}"
