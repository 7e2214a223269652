"""Who works when, and what else of the calendar nobody logs; it is kept with the vehicle.

It is of one garage, and changes with every weekend: so it is a setting of this store, and no
entry that other garages would be sent.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from pydantic import TypeAdapter, ValidationError

from putback.errors import BadInput
from putback.logbook.entries.base import LogbookId
from putback.planning.planned_days import Person, Stretches
from putback.planning.timetable import LIFTING, USUAL_HOURS, read_hours
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle
from putback.workshop.logbooks.workshop import Workshop

SETTING = "calendar"
"""What it is kept under."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """Who works when, and what else nobody wrote down; ``None`` for what is usual."""

    people: int | None = None
    hours: str | None = None
    persons: tuple[str, ...] = ()
    """As in ``Ann: Sat 9-17``; these instead of so many people with the same hours."""
    skills: tuple[str, ...] = ()
    """As in ``Ann: bleed, set``: kinds of work that only those named so do."""
    begin: date | None = None
    due: date | None = None
    lead_days: float | None = None
    hoists: int | None = None

    def over(self, kept: "Wishes") -> "Wishes":
        """Take from what is kept what is not said here: who works when is one saying."""
        is_said = self.people is not None or self.hours or self.persons or self.skills
        who = self if is_said else kept
        return replace(
            who,
            begin=self.begin or kept.begin,
            due=self.due or kept.due,
            lead_days=kept.lead_days if self.lead_days is None else self.lead_days,
            hoists=kept.hoists if self.hoists is None else self.hoists,
        )


@dataclass(frozen=True, slots=True)
class Taken:
    """What was taken for granted as nobody said it, and the options of the command that say it."""

    words: str
    option: str

    def __str__(self) -> str:
        """Say it to somebody at a prompt."""
        return f"{self.words} ({self.option})"


_WISHES = TypeAdapter(Wishes)


def kinds_of_work(vehicle: Vehicle, kept: Wishes) -> tuple[str, ...]:
    """Name the kinds of work that a skill may be of: of jobs, lifting, and what was said before.

    Curing is nobody's.
    """
    kinds = {job.kind for job in vehicle.jobs.values()} - {JobKind.CURE}
    said = {kind for person in people_of(kept)[0] for kind in person.skills}
    usual = (*sorted(map(str, kinds)), LIFTING)
    return (*usual, *sorted(said - {*usual}))


def kept_wishes(workshop: Workshop, logbook: LogbookId) -> Wishes:
    """Give what is kept with a vehicle; what is usual where nobody said anything."""
    kept = workshop.store.setting(logbook, SETTING)
    try:
        return _WISHES.validate_json(kept) if kept else Wishes()
    except ValidationError:  # of another version of the program
        return Wishes()


def keep_wishes(workshop: Workshop, logbook: LogbookId, wishes: Wishes) -> None:
    """Keep with a vehicle who works when.

    Raises
    ------
    BadInput
        If hours, people or skills cannot be read; nothing is kept then.
    """
    people_of(wishes)
    workshop.store.keep_setting(logbook, SETTING, _WISHES.dump_json(wishes).decode())


def as_json(wishes: Wishes) -> dict[str, object]:
    """Give wishes as the arguments of a question hold them."""
    plain: dict[str, object] = _WISHES.dump_python(wishes, mode="json")
    return plain


def from_json(plain: object) -> Wishes:
    """Read what `as_json` gave."""
    return _WISHES.validate_python(plain)


def people_of(wishes: Wishes) -> tuple[tuple[Person, ...], tuple[Taken, ...]]:
    """Give who works, and what of it nobody said.

    Raises
    ------
    BadInput
        If hours, people or skills cannot be read.
    """
    taken: list[Taken] = []
    hours = read_hours(wishes.hours or USUAL_HOURS)
    names: dict[str, Stretches] = {}
    is_usual = not wishes.persons
    for each in wishes.persons:
        name, _, own = (word.strip() for word in each.partition(":"))
        if not name or name in names:
            raise BadInput(
                f"“{each}” names nobody new", mend='write --person "Ann: Sat 9-17", once for each'
            )
        names[name] = read_hours(own) if own else hours
        is_usual |= not own
    if not names:
        count = 1 if wishes.people is None else wishes.people
        names = {f"person {n}" if count > 1 else "you": hours for n in range(1, count + 1)}
        if wishes.people is None:
            taken.append(Taken("one person works", "--people, --person"))
    if not names:
        raise BadInput("nobody works", mend="give --people 1 or more")
    if wishes.hours is None and is_usual:
        taken.append(Taken(f"the hours are {USUAL_HOURS}", "--hours"))
    skills = _skills(wishes.skills, names)
    people = (Person(name, own, skills.get(name, frozenset())) for name, own in names.items())
    return tuple(people), tuple(taken)


def _skills(words: Sequence[str], names: dict[str, Stretches]) -> dict[str, frozenset[str]]:
    """Which kinds of work only those named so do."""
    found: dict[str, frozenset[str]] = {}
    for each in words:
        name, _, kinds = (word.strip() for word in each.partition(":"))
        if name not in names or not kinds:
            raise BadInput(
                f"“{each}” gives nobody a skill",
                mend=f'name one of {", ".join(names)}, as in: --skill "{min(names)}: bleed"',
            )
        these = frozenset(word.strip() for word in kinds.split(","))
        found[name] = found.get(name, frozenset()) | these
    return found
