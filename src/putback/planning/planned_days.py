"""A timetable: the steps of a plan on the calendar, by whom, and what they wait for.

Moments are local and name no zone: the clock on the garage wall.
"""

from dataclasses import dataclass
from datetime import date, datetime

from putback.vehicle.ids import Ref, StandingId

Stretches = tuple[tuple[int, int], ...]
"""Stretches of the week from Monday's midnight: opening and closing [minutes]."""


@dataclass(frozen=True, slots=True, order=True)
class Absence:
    """A time when somebody or something is not there: whole days from midnight to midnight."""

    begins: datetime
    ends: datetime
    """Then it is there again."""


Absences = tuple[Absence, ...]


@dataclass(frozen=True, slots=True)
class Person:
    """Who works, and when; ``skills`` are kinds of work that only those who have them do."""

    name: str
    hours: Stretches
    skills: frozenset[str] = frozenset()
    away: Absences = ()
    """When they do not work, whatever their hours are."""


@dataclass(frozen=True, slots=True)
class Lent:
    """A time when there is one less of a thing of which there is little."""

    thing: str
    begins: datetime
    ends: datetime


@dataclass(frozen=True, slots=True)
class Arrival:
    """What is on its way back or here, and from which day work can go on with it."""

    what: Ref
    words: str
    expected: date
    """The day for which it is promised, or reckoned with where nobody promised one."""
    is_promised: bool
    late_days: float
    """If it comes late, by how many days on average [days]."""


@dataclass(frozen=True, slots=True)
class Block:
    """Work done in one go: steps of the plan, by number; or a change of standing, without any."""

    steps: tuple[int, ...]
    stands: StandingId | None
    """How the vehicle stands after it."""
    minutes: float
    """The likely minutes, corrected by what was learned, with getting there [minutes]."""
    crew: int
    """How many people it wants, as far as there are so many at once."""
    wants: int
    """How many people it wants; 0 where it only waits, day and night: it cures."""
    before: tuple[int, ...] = ()
    """Blocks that end before it begins, by number."""
    waits: tuple[int, ...] = ()
    """Arrivals it waits for, by number."""
    not_before: date | None = None
    """Put off until this day."""
    kinds: frozenset[str] = frozenset()
    uses: frozenset[str] = frozenset()
    """What there is little of: ``hoist``; ``bench``, where all that is worked on is off the
    vehicle; ``in the air`` where something hangs till it is fast."""
    lies: int | None = None
    """What lies on a bench, by number: it keeps one from the first of its blocks to the last."""
    is_second_look: bool = False
    """Whether a second person looks at what was tightened."""
    not_by: int | None = None
    """The block of which whoever does it does not do this one, where one block is looked at."""


@dataclass(frozen=True, slots=True)
class Booking:
    """When a block, or a piece of one that is longer than the hours, is done, and by whom."""

    block: int
    begins: datetime
    ends: datetime
    who: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Learned:
    """How long a kind of work took, by the estimate; ``used`` is the factor for what comes."""

    kind: str
    things: int
    ratio: float
    used: float

    def __str__(self) -> str:
        """Say it to a person."""
        jobs = "1 job" if self.things == 1 else f"{self.things} jobs"
        return (
            f"{self.kind}: took {self.ratio:.2g} times the estimate in {jobs}; "
            f"{self.used:.3g} used"
        )


@dataclass(frozen=True, slots=True)
class Timetable:
    """All blocks on the calendar; no timetable of this plan ends before ``bound``."""

    people: tuple[Person, ...]
    begin: datetime
    blocks: tuple[Block, ...]
    bookings: tuple[Booking, ...]
    arrivals: tuple[Arrival, ...]
    few: dict[str, int]
    """How many there are of what there is little of; a bench only where somebody said how many."""
    finish: datetime
    bound: datetime
    learned: tuple[Learned, ...] = ()
    no_minutes: int = 0
    """Steps of which nobody estimated the minutes: they count as nothing."""
    lent: tuple[Lent, ...] = ()
    """When there is less of something."""

    @property
    def optimal(self) -> bool:
        """Whether no timetable ends sooner."""
        return self.bound >= self.finish

    @property
    def gap(self) -> float:
        """How much longer it takes than the bound, from the beginning [-]."""
        least = (self.bound - self.begin).total_seconds()
        return (self.finish - self.begin).total_seconds() / least - 1 if least > 0 else 0.0
