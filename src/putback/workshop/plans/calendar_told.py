"""A calendar laid out to read: day by day who does what, and what the finish rests on.

Pure functions of the calendar and the state; nothing is planned here.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from math import ceil

from putback.logbook.state import State
from putback.planning.planned_days import Absence, Block, Booking
from putback.planning.timetable import BENCH, UP, Chase, left_overnight
from putback.units.figures import in_groups
from putback.vehicle.ids import Ref, part_ref
from putback.workshop.plans.calendar import Calendar
from putback.workshop.plans.job_card import verb_of

MOST_NAMED = 3
"""Steps of a block that are named where it is only mentioned; of others it is told how many."""
MOST_CRITICAL = 8
"""Blocks that are named as those which all waits for most often."""
_LITTLE = 0.005
"""A share of the runs that is not worth saying [-]."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One step, in words, and what it is about."""

    verb: str
    name: str
    what: Ref


@dataclass(frozen=True, slots=True)
class Work:
    """What a block is: its steps, or the first, or a change of standing where it has none."""

    pieces: tuple[Piece, ...]
    more: int
    """So many steps besides."""
    standing: str
    """How the vehicle stands for it; a change makes it stand so."""

    @property
    def is_change(self) -> bool:
        """Whether the vehicle is made to stand otherwise."""
        return not self.pieces

    def __str__(self) -> str:
        """Say it in a line."""
        if self.is_change:
            return f"Stand it: {self.standing}"
        words = "; ".join(f"{each.verb}: {each.name}" for each in self.pieces)
        return f"{words}; {self.more} more" if self.more else words


@dataclass(frozen=True, slots=True)
class Session:
    """A block, or as much of it as is done in one go."""

    begins: datetime
    ends: datetime
    who: tuple[str, ...]
    """Nobody where it only waits: it cures."""
    work: Work
    is_short: bool
    """Whether it wants more people than there are."""
    is_at_bench: bool = False
    """Whether what is worked on is off the vehicle, however that stands."""
    block: int = 0
    """Of the timetable."""


@dataclass(frozen=True, slots=True)
class Day:
    """What begins on one day."""

    day: date
    sessions: tuple[Session, ...]

    @property
    def jobs(self) -> int:
        """How many steps and changes of standing there are; what goes on counts once."""
        works = {each.block: each.work for each in self.sessions}
        return sum(max(1, len(each.pieces)) for each in works.values())

    @property
    def who(self) -> tuple[str, ...]:
        """Who works on it, whoever begins first."""
        return tuple(dict.fromkeys(name for each in self.sessions for name in each.who))

    @property
    def words(self) -> str:
        """Which day it is."""
        return day_words(self.day)


@dataclass(frozen=True, slots=True)
class Critical:
    """A block that all waits for, and in which share of the runs [-]."""

    share: float
    work: Work

    @property
    def in_100(self) -> int:
        """In so many of 100 runs."""
        return round(100 * self.share)


def days_of(now: State, found: Calendar) -> tuple[Day, ...]:
    """Lay a calendar out by days; pieces of a block that follow each other are one session."""
    blocks = found.timetable.blocks
    merged: list[Booking] = []
    for each in found.timetable.bookings:
        if each.ends <= each.begins:
            continue
        at = next((n for n, one in enumerate(merged) if _goes_on(one, each)), None)
        if at is None:
            merged.append(each)
        else:
            merged[at] = replace(merged[at], ends=each.ends)
    days: dict[date, list[Session]] = {}
    for each in merged:
        block = blocks[each.block]
        session = Session(
            each.begins,
            each.ends,
            each.who,
            work_of(now, found, each.block),
            _is_short(block),
            BENCH in block.uses,
            each.block,
        )
        days.setdefault(each.begins.date(), []).append(session)
    return tuple(Day(day, tuple(sessions)) for day, sessions in days.items())


def _goes_on(first: Booking, then: Booking) -> bool:
    return (first.block, first.who, first.ends) == (then.block, then.who, then.begins)


def work_of(now: State, found: Calendar, number: int, most: int | None = None) -> Work:
    """Say what a block is, by so many of its steps at most."""
    block = found.timetable.blocks[number]
    steps = [found.plan.steps[each] for each in block.steps]
    pieces = tuple(
        Piece(verb_of(step.action), now.name_of(step.what), step.what) for step in steps[:most]
    )
    standing = now.name_of(f"standing:{block.stands}") if block.stands else ""
    return Work(pieces, len(steps) - len(pieces), standing)


def most_critical(now: State, found: Calendar) -> tuple[Critical, ...]:
    """Name what all waits for most often, that first."""
    if found.forecast is None:
        return ()
    shares = sorted(enumerate(found.forecast.critical), key=lambda each: -each[1])
    return tuple(
        Critical(share, work_of(now, found, number, MOST_NAMED))
        for number, share in shares[:MOST_CRITICAL]
        if share >= _LITTLE
    )


def _is_short(block: Block) -> bool:
    return block.crew < block.wants and not block.is_second_look


def without_a_second(found: Calendar) -> int:
    """Count the second person's looks for which there is nobody but whoever did what is seen."""
    table = found.timetable
    last: dict[int, Booking] = {}
    for each in sorted(table.bookings, key=lambda each: each.begins):
        last[each.block] = each
    return sum(
        len(table.people) == 1
        or block.crew < block.wants
        or (
            block.not_by is not None
            and not set(last[block.not_by].who).isdisjoint(last[number].who)
        )
        for number, block in enumerate(table.blocks)
        if block.is_second_look
    )


def short_of_hands(found: Calendar) -> int:
    """Count the blocks that want more people than are ever there at once."""
    return sum(map(_is_short, found.timetable.blocks))


def left_hanging(found: Calendar) -> int:
    """Count the blocks that are left with something up: the hours are too short for them."""
    blocks = found.timetable.blocks
    days: dict[int, set[date]] = {}
    for each in found.timetable.bookings:
        if blocks[each.block].uses & UP and each.who:
            days.setdefault(each.block, set()).add(each.begins.date())
    return sum(len(each) > 1 for each in days.values())


def left_on_jacks(now: State, found: Calendar) -> tuple[str, ...]:
    """Say what a jack or hoist bears from one day to another, of a strip as it is described."""
    if found.goal is None:
        return ()
    return tuple(
        f"{now.name_of(part_ref(each.support.bears_on))} hangs on the {each.support.kind} from "
        f"{day_words(each.begins)} to {day_words(each.ends)}: give longer hours, or set it down "
        "on what stands; nothing is left on a jack"
        for each in left_overnight(now.vehicle, found.plan.steps, found.timetable)
    )


# -- as bars --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Bar:
    """A session in the row of one person: where it begins and how long it is, of the row [-]."""

    at: float
    width: float
    is_change: bool
    words: str


@dataclass(frozen=True, slots=True)
class Row:
    """One person on one day."""

    name: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class DayOfBars:
    """A day, a row for each who works on it."""

    day: date
    rows: tuple[Row, ...]

    @property
    def words(self) -> str:
        """Which day it is."""
        return day_words(self.day)


@dataclass(frozen=True, slots=True)
class Bars:
    """All days between the same two hours of the clock."""

    opens: int
    closes: int
    days: tuple[DayOfBars, ...]


def bars_of(days: tuple[Day, ...]) -> Bars | None:
    """Draw days as bars; ``None`` where nobody works."""
    worked = [each for day in days for each in day.sessions if each.who]
    if not worked:
        return None
    first = min(_minute(each.begins, each) for each in worked) // 60
    last = -(-max(_minute(each.ends, each) for each in worked) // 60)
    whole = (last - first) * 60
    drawn = []
    for day in days:
        rows = [
            Row(
                name,
                tuple(
                    Bar(
                        (_minute(each.begins, each) - first * 60) / whole,
                        (each.ends - each.begins).total_seconds() / 60 / whole,
                        each.work.is_change,
                        f"{each.begins:%H:%M}-{each.ends:%H:%M} · {each.work}",
                    )
                    for each in day.sessions
                    if name in each.who
                ),
            )
            for name in day.who
        ]
        if rows:
            drawn.append(DayOfBars(day.day, tuple(rows)))
    return Bars(first, last, tuple(drawn))


def _minute(moment: datetime, session: Session) -> int:
    """Minutes since the midnight before the session began [minutes]."""
    midnight = datetime.combine(session.begins.date(), time())
    return int((moment - midnight) / timedelta(minutes=1))


# -- all of it -----------------------------------------------------------------------------------


def day_words(moment: date) -> str:
    """Say a day: ``Saturday, 9 Jan 2027``."""
    return f"{moment:%A}, {moment.day} {moment:%b %Y}"


@dataclass(frozen=True, slots=True)
class Finish:
    """When all is done, each day in words."""

    reckoned: str
    """If all goes as reckoned."""
    bound: str
    """No timetable of this plan ends before; empty where none ends sooner."""
    days_won: int
    """So many days a better timetable could win at most, begun ones as whole [days]."""
    longer: str
    """How much longer it takes than that, from the first moment on: ``12 %``."""
    even: str = ""
    four_in_five: str = ""
    nineteen_in_twenty: str = ""
    due: str = ""
    due_share: int | None = None
    """In so many of 100 runs all is done by then."""


@dataclass(frozen=True, slots=True)
class Waited:
    """What is waited for, and what it wins to have it sooner."""

    words: str
    expected: str
    is_promised: bool
    days_won: str
    """Days of finish won for each day that it comes sooner; ``0`` where it holds nothing up."""
    holds_up: int
    """In so many of 100 runs all waits for it."""


@dataclass(frozen=True, slots=True)
class CalendarTold:
    """What a page shows of a calendar."""

    goal: str
    """Of a strip; empty for a rebuild."""
    is_done: bool
    """Whether nothing is left to do."""
    people: tuple[str, ...]
    runs: int
    finish: Finish | None
    """``None`` where no step has minutes: no day can be told."""
    to_time: tuple[str, str] | None
    """Table and identity of the first thing of which nobody estimated the minutes."""
    days: tuple[Day, ...]
    bars: Bars | None
    away: tuple[str, ...]
    """Who is away meanwhile, and when a hoist is lent."""
    waited: tuple[Waited, ...]
    critical: tuple[Critical, ...]
    learned: tuple[str, ...]
    taken: tuple[str, ...]
    short_of_hands: int
    without_a_second: int
    left_hanging: int
    left_on_jacks: tuple[str, ...]
    no_minutes: int

    @property
    def runs_in_groups(self) -> str:
        """How many runs, as a person reads it."""
        return in_groups(self.runs)


def calendar_told(now: State, found: Calendar) -> CalendarTold:
    """Lay all of a calendar out."""
    days = days_of(now, found) if found.is_timed else ()
    table = found.timetable
    return CalendarTold(
        goal=found.goal.name if found.goal else "",
        is_done=not table.blocks,
        people=tuple(each.name for each in table.people),
        runs=found.forecast.runs if found.forecast else 0,
        finish=_finish(found) if found.is_timed else None,
        to_time=found.to_time,
        days=days,
        bars=bars_of(days),
        away=away_meanwhile(found),
        waited=tuple(map(_waited, found.forecast.chase if found.forecast else ())),
        critical=most_critical(now, found),
        learned=tuple(map(str, table.learned)),
        taken=tuple(each.words for each in found.taken),
        short_of_hands=short_of_hands(found),
        without_a_second=without_a_second(found),
        left_hanging=left_hanging(found),
        left_on_jacks=left_on_jacks(now, found) if found.is_timed else (),
        no_minutes=table.no_minutes,
    )


def away_meanwhile(found: Calendar) -> tuple[str, ...]:
    """Say who is away until all is done, when nobody works, and when there is a hoist less.

    As late as the day to promise: a shut workshop that comes after the reckoned end is why it is
    so late.
    """
    table = found.timetable
    told: dict[Absence, list[str]] = {}
    names: dict[Absence, list[str]] = {}
    for person in table.people:
        for spell in person.away:
            names.setdefault(spell, []).append(person.name)
    for spell, away in names.items():
        all_of_them = len(away) == len(table.people)
        told[spell] = ["nobody works"] if all_of_them else [f"{name} is away" for name in away]
    for each in table.lent:
        spell = Absence(each.begins, each.ends)
        told.setdefault(spell, []).append(f"1 {each.thing} less is there")
    ends = [table.finish, *([found.forecast.p95] if found.forecast else [])]
    end = datetime.combine(max(ends), time.max)
    return tuple(
        f"{words} {_when(spell)}"
        for spell, lines in sorted(told.items())
        if spell.begins <= end and spell.ends > table.begin
        for words in lines
    )


def _when(spell: Absence) -> str:
    """Say when: whole days by their names, else with the times of the day."""
    first, last = spell.begins.date(), (spell.ends - timedelta(minutes=1)).date()
    if spell.begins.time() == spell.ends.time() == time():
        if first == last:
            return f"on {day_words(first)}"
        return f"from {day_words(first)} to {day_words(last)}"
    until = f"{spell.ends:%H:%M}" if spell.ends.date() == last else "24:00"
    if first == last:
        return f"on {day_words(first)}, {spell.begins:%H:%M} to {until}"
    return f"from {day_words(first)}, {spell.begins:%H:%M} to {day_words(last)}, {until}"


def _finish(found: Calendar) -> Finish:
    table, chances, due = found.timetable, found.forecast, found.due
    finish = Finish(
        reckoned=day_words(table.finish),
        bound="" if table.optimal else day_words(table.bound),
        days_won=ceil(max((table.finish - table.bound) / timedelta(days=1), 0.0)),
        longer=f"{table.gap:.1%}".replace("%", " %"),
    )
    if chances is None:
        return finish
    share = chances.by_due
    return replace(
        finish,
        even=day_words(chances.p50),
        four_in_five=day_words(chances.p80),
        nineteen_in_twenty=day_words(chances.p95),
        due=day_words(due) if due and share is not None else "",
        due_share=None if share is None else round(100 * share),
    )


def _waited(each: Chase) -> Waited:
    won = f"{each.days_won:.2f}".rstrip("0").rstrip(".")
    return Waited(
        each.arrival.words,
        day_words(each.arrival.expected),
        each.arrival.is_promised,
        won,
        round(100 * each.holds_up),
    )
