"""Who works when, and what else of the calendar nobody logs; it is kept with the vehicle.

It is of one garage, and changes with every weekend: so it is a setting of this store, and no
entry that other garages would be sent.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date

from pydantic import TypeAdapter, ValidationError

from putback.errors import BadInput
from putback.logbook.entries.base import LogbookId
from putback.planning.planned_days import Absences, Person, Stretches
from putback.planning.timetable import (
    LIFTING,
    USUAL_HOURS,
    check_year,
    kind_of,
    read_absences,
    read_hours,
)
from putback.vehicle.ids import joint_ref
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle
from putback.workshop.logbooks.workshop import Workshop

SETTING = "calendar"
"""What it is kept under."""
MOST_HOISTS, MOST_BENCHES, MOST_LEAD_DAYS = 20, 99, 1000
NONE_ANY_MORE = "none"
"""What is said instead of days, where kept ones are to go."""


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
    benches: int | None = None
    """However many it takes, where nobody says."""
    away: tuple[str, ...] = ()
    """As in ``Ann: 2031-12-24 to 2032-01-02, 2032-02-10 13:00-17:00``."""
    shut: tuple[str, ...] = ()
    """As in ``2031-12-24 to 2032-01-02``: nobody works then."""
    hoist_lent: tuple[str, ...] = ()
    """When there is one hoist less, in the same words; each takes one more."""

    def __post_init__(self) -> None:
        """Refuse figures and days that cannot be meant, and so many people beside other names.

        Raises
        ------
        BadInput
            If one of them cannot be.
        """
        if self.hoists is not None and not 1 <= self.hoists <= MOST_HOISTS:
            raise BadInput(
                f"“{self.hoists}” cannot be how many hoists there are",
                mend=f"write a number from 1 to {MOST_HOISTS}",
            )
        if self.benches is not None and not 1 <= self.benches <= MOST_BENCHES:
            raise BadInput(
                f"“{self.benches}” cannot be how many benches there are",
                mend=f"write a number from 1 to {MOST_BENCHES}",
            )
        if self.lead_days is not None and not 0 <= self.lead_days <= MOST_LEAD_DAYS:
            raise BadInput(
                f"“{self.lead_days:g}” cannot be read as so many days",
                mend=f"write at most {MOST_LEAD_DAYS}",
            )
        for day in filter(None, (self.begin, self.due)):
            check_year(day)
        if self.persons and self.people not in (None, len(self.persons)):
            raise BadInput(
                f"{self.people} work, and {len(self.persons)} are named",
                mend="say how many work, or who",
            )

    def over(self, kept: "Wishes") -> "Wishes":
        """Take from what is kept what is not said here: who works when is one saying.

        ``none`` for days says that there are none any more.
        """
        is_said = self.people is not None or self.hours or self.persons or self.skills
        who = self if is_said else kept
        return replace(
            who,
            away=_said(self.away, () if is_said else kept.away),
            shut=_said(self.shut, kept.shut),
            hoist_lent=_said(self.hoist_lent, kept.hoist_lent),
            benches=kept.benches if self.benches is None else self.benches,
            begin=self.begin or kept.begin,
            due=self.due or kept.due,
            lead_days=kept.lead_days if self.lead_days is None else self.lead_days,
            hoists=kept.hoists if self.hoists is None else self.hoists,
        )


def _said(here: tuple[str, ...], kept: tuple[str, ...]) -> tuple[str, ...]:
    """Give the days said here; else those that are kept."""
    return tuple(each for each in here if each.strip() != NONE_ANY_MORE) if here else kept


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


def check_skills(vehicle: Vehicle, wishes: Wishes) -> None:
    """Refuse a skill that no work can want: it would bind nobody.

    Raises
    ------
    BadInput
        If a skill is of no kind of work.
    """
    lists = (each.partition(":")[2].split(",") for each in wishes.skills)
    said = {word.strip() for words in lists for word in words} - {""}
    known = {*JobKind, LIFTING, *(kind_of(vehicle, joint_ref(each)) for each in vehicle.joints)}
    for kind in sorted(said - known):
        raise BadInput(
            f"no work here is “{kind}”",
            mend=f"kinds of work are {', '.join(kinds_of_work(vehicle, Wishes()))}",
        )


def kept_wishes(workshop: Workshop, logbook: LogbookId) -> Wishes:
    """Give what is kept with a vehicle; what is usual where nobody said anything."""
    kept = workshop.store.setting(logbook, SETTING)
    try:
        return _WISHES.validate_json(kept) if kept else Wishes()
    except (ValidationError, BadInput):  # of another version of the program
        return Wishes()


def keep_wishes(workshop: Workshop, logbook: LogbookId, wishes: Wishes) -> None:
    """Keep with a vehicle who works when.

    Raises
    ------
    BadInput
        If hours, people, skills or days cannot be read; nothing is kept then.
    """
    people_of(wishes)
    hoist_lent_of(wishes)
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
        If hours, people, skills or days cannot be read.
    """
    taken: list[Taken] = []
    hours = read_hours(wishes.hours or USUAL_HOURS)
    names: dict[str, Stretches] = {}
    is_usual = not wishes.persons
    for each in wishes.persons:
        name, _, own = (word.strip() for word in each.partition(":"))
        if not own and _has_hours(name):
            raise BadInput(
                f"“{each}” has no colon before the hours",
                mend='write --person "Ann: Sat 9-17", once for each',
            )
        if not name or _named(name, names):
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
    away = _away(wishes, names)
    people = (
        Person(name, own, skills.get(name, frozenset()), away[name]) for name, own in names.items()
    )
    return tuple(people), tuple(taken)


def hoist_lent_of(wishes: Wishes) -> Absences:
    """Give when there is one hoist less, each for itself.

    Raises
    ------
    BadInput
        If the days cannot be read, or more hoists are lent at once than there are.
    """
    lent = tuple(spell for each in wishes.hoist_lent for spell in read_absences(each))
    for one in lent:
        if sum(e.begins <= one.begins < e.ends for e in lent) > (wishes.hoists or 1):
            raise BadInput(
                "more hoists are lent at once than there are",
                mend="say how many there are, or lend fewer",
            )
    return lent


def _away(wishes: Wishes, names: Collection[str]) -> dict[str, Absences]:
    """When each of those named so does not work, the workshop being shut included."""
    shut = [spell for each in wishes.shut for spell in read_absences(each)]
    found = {name: set(shut) for name in names}
    for each in wishes.away:
        said, _, times = (word.strip() for word in each.partition(":"))
        name = _named(said, names)
        if not name or not times:
            raise BadInput(
                f"“{each}” says of nobody when they are away",
                mend=f"name one of {', '.join(names)}, "
                f'as in: --away "{min(names)}: 2031-12-24 to 2032-01-02"',
            )
        found[name].update(read_absences(times))
    return {name: tuple(sorted(away)) for name, away in found.items()}


def _named(said: str, names: Collection[str]) -> str:
    """Give the name that is meant, in whatever case it is said; empty if nobody is called so."""
    return next((name for name in names if name.casefold() == said.casefold()), "")


def _has_hours(words: str) -> bool:
    """Whether what was said as a name ends in hours of work."""
    said = words.split()
    for first in range(1, len(said)):
        try:
            read_hours(" ".join(said[first:]))
        except BadInput:
            continue
        return True
    return False


def _skills(words: Sequence[str], names: dict[str, Stretches]) -> dict[str, frozenset[str]]:
    """Which kinds of work only those named so do."""
    found: dict[str, frozenset[str]] = {}
    for each in words:
        said, _, kinds = (word.strip() for word in each.partition(":"))
        name = _named(said, names)
        if not name or not kinds:
            raise BadInput(
                f"“{each}” gives nobody a skill",
                mend=f'name one of {", ".join(names)}, as in: --skill "{min(names)}: bleed"',
            )
        these = frozenset(word.strip() for word in kinds.split(","))
        found[name] = found.get(name, frozenset()) | these
    return found
