"""The form of who works when: as it is kept, or as typed, with what is wrong beside each field."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from typing import TypeVar

from django.utils.datastructures import MultiValueDict

from putback.errors import BadInput, InputError
from putback.planning.timetable import (
    LEAD_DAYS,
    absence,
    read_absences,
    read_clock,
    read_day,
    read_hours,
)
from putback.workshop.plans.wishes import (
    MOST_BENCHES,
    MOST_HOISTS,
    MOST_LEAD_DAYS,
    Wishes,
    hoist_lent_of,
    people_of,
)

MOST_PERSONS = 12
"""Rows that are read [persons]."""
MOST_SPANS = 12
"""Times away that are read, of each person and thing."""
_LEAST_ROWS = 2

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Typed:
    """What stands in a field, and what is wrong with it."""

    value: str = ""
    fault: str = ""


@dataclass(frozen=True, slots=True)
class SpanRow:
    """When somebody or something is not there: days, and times of them where only part is."""

    number: int
    first: Typed = Typed()
    last: Typed = Typed()
    since: Typed = Typed()
    until: Typed = Typed()

    @property
    def fault(self) -> str:
        """What is wrong with it."""
        return self.first.fault or self.since.fault or self.last.fault or self.until.fault

    @property
    def words(self) -> str:
        """As it is kept; empty where nothing was typed."""
        first, last = self.first.value, self.last.value
        since, until = self.since.value, self.until.value
        if last and last != first:
            return f"{f'{first} {since}'.strip()} to {f'{last} {until}'.strip()}"
        if until:
            return f"{first} {since or '00:00'}-{until}"
        return f"{first} {since}".strip()


Spans = tuple[SpanRow, ...]


@dataclass(frozen=True, slots=True)
class PersonRow:
    """One who works."""

    number: int
    name: Typed
    hours: Typed
    skills: tuple[str, ...]
    """Kinds of work that only those who have them do."""
    away: Spans = (SpanRow(1),)


@dataclass(frozen=True, slots=True)
class HoursForm:
    """Who works when, and what else nobody logs."""

    persons: tuple[PersonRow, ...]
    hoists: Typed
    benches: Typed
    begin: Typed
    due: Typed
    lead_days: Typed
    kinds: tuple[str, ...]
    """Of which work a skill may be."""
    shut: Spans = (SpanRow(1),)
    lent: Spans = (SpanRow(1),)
    usual_lead_days: str = f"{LEAD_DAYS:g}"

    @property
    def is_wrong(self) -> bool:
        """Whether something was typed that cannot be meant."""
        fields = [self.hoists, self.benches, self.begin, self.due, self.lead_days]
        fields += [field for each in self.persons for field in (each.name, each.hours)]
        spans = [*self.shut, *self.lent, *(days for each in self.persons for days in each.away)]
        return any(each.fault for each in fields) or any(each.fault for each in spans)


def kept_form(wishes: Wishes, kinds: Sequence[str], today: date) -> HoursForm:
    """Fill the form with what is kept, and one row for somebody more; without days gone by."""
    away: dict[str, list[str]] = {}
    for name, _, days in (each.partition(":") for each in wishes.away):
        away.setdefault(name.strip(), []).append(days)
    said = (each.partition(":") for each in wishes.persons)
    hours = {name.strip(): own.strip() for name, _, own in said}
    is_said = bool(wishes.persons or wishes.people or wishes.hours or wishes.away)
    persons = [
        PersonRow(
            number,
            Typed(each.name),
            Typed(hours.get(each.name) or wishes.hours or ""),
            tuple(kind for kind in kinds if kind in each.skills),
            _kept_spans(away.get(each.name, ()), today),
        )
        for number, each in enumerate(people_of(wishes)[0] if is_said else (), start=1)
    ]
    return HoursForm(
        _with_empty(persons),
        Typed("" if wishes.hoists is None else str(wishes.hoists)),
        Typed("" if wishes.benches is None else str(wishes.benches)),
        Typed(wishes.begin.isoformat() if wishes.begin else ""),
        Typed(wishes.due.isoformat() if wishes.due else ""),
        Typed("" if wishes.lead_days is None else f"{wishes.lead_days:g}"),
        tuple(kinds),
        _kept_spans(wishes.shut, today),
        _kept_spans(wishes.hoist_lent, today),
    )


def _kept_spans(said: Sequence[str], today: date) -> Spans:
    """What is kept and not over yet, and an empty row."""
    rows: list[SpanRow] = []
    for each in sorted(spell for words in said for spell in read_absences(words)):
        first, last = each.begins.date(), (each.ends - timedelta(minutes=1)).date()
        if last >= today:
            rows.append(
                SpanRow(
                    len(rows) + 1,
                    Typed(first.isoformat()),
                    Typed("" if last == first else last.isoformat()),
                    _unless_midnight(each.begins.time()),
                    _unless_midnight(each.ends.time()),
                )
            )
    return tuple([*rows, SpanRow(len(rows) + 1)][:MOST_SPANS])


def _unless_midnight(clock: time) -> Typed:
    return Typed(f"{clock:%H:%M}" if clock != time() else "")


def read_form(sent: MultiValueDict[str, str], kinds: Sequence[str]) -> tuple[HoursForm, Wishes]:
    """Read what was typed; the wishes are to be kept only if nothing is wrong."""
    persons: list[PersonRow] = []
    names: set[str] = set()
    for number in range(1, MOST_PERSONS + 1):
        row = _person(sent, number, names, kinds)
        if row.name.value or row.hours.value or row.skills or any(e.words for e in row.away):
            persons.append(replace(row, number=len(persons) + 1))
            names.add(row.name.value.casefold())
    hoists, hoists_read = _read(sent, "hoists", _hoists)
    benches, benches_read = _read(sent, "benches", _benches)
    begin, begin_read = _read(sent, "begin", read_day)
    due, due_read = _read(sent, "due", read_day)
    if begin_read and due_read and due_read < begin_read:
        due = replace(due, fault="this is before the first day of work")
    lead, lead_read = _read(sent, "lead_days", _days)
    shut, lent = _spans(sent, "shut"), _spans(sent, "lent")
    wishes = Wishes(
        persons=tuple(_joined(each.name.value, each.hours.value) for each in persons),
        skills=tuple(
            _joined(each.name.value, ", ".join(each.skills)) for each in persons if each.skills
        ),
        hoists=hoists_read,
        benches=benches_read,
        begin=begin_read,
        due=due_read,
        lead_days=lead_read,
        away=tuple(
            _joined(each.name.value, days.words)
            for each in persons
            for days in each.away
            if days.words
        ),
        shut=tuple(each.words for each in shut if each.words),
        hoist_lent=tuple(each.words for each in lent if each.words),
    )
    if not hoists.fault and not any(each.fault for each in lent):
        try:
            hoist_lent_of(wishes)
        except InputError as error:
            last = len(wishes.hoist_lent) - 1
            wrong = replace(lent[last], last=replace(lent[last].last, fault=str(error)))
            lent = (*lent[:last], wrong, *lent[last + 1 :])
    rows = _with_empty(persons)
    return HoursForm(rows, hoists, benches, begin, due, lead, tuple(kinds), shut, lent), wishes


def _joined(name: str, rest: str) -> str:
    return f"{name}: {rest}" if rest else name


def _with_empty(persons: Sequence[PersonRow]) -> tuple[PersonRow, ...]:
    """The rows, and empty ones for more."""
    wanted = min(max(len(persons) + 1, _LEAST_ROWS), MOST_PERSONS)
    rows = [*persons]
    while len(rows) < wanted:
        rows.append(PersonRow(len(rows) + 1, Typed(), Typed(), ()))
    return tuple(rows)


def _person(
    sent: MultiValueDict[str, str], number: int, names: set[str], kinds: Sequence[str]
) -> PersonRow:
    name = " ".join(sent.get(f"name-{number}", "").split())
    hours = sent.get(f"hours-{number}", "").strip()
    skills = tuple(each for each in kinds if each in sent.getlist(f"skills-{number}"))
    away = _spans(sent, f"away-{number}")
    wrong = ""
    if not name and (hours or skills or any(each.words for each in away)):
        wrong = "say who works then"
    elif ":" in name:
        wrong = "a name has no colon"
    elif name and name.casefold() in names:
        wrong = "somebody of this name works already"
    unclear = ""
    if hours:
        try:
            read_hours(hours)
        except InputError as error:
            unclear = str(error)
    return PersonRow(number, Typed(name, wrong), Typed(hours, unclear), skills, away)


def _spans(sent: MultiValueDict[str, str], name: str) -> Spans:
    """Rows of days and times away, closed up, and an empty one."""
    rows: list[SpanRow] = []
    for number in range(1, MOST_SPANS + 1):
        first, begins = _read(sent, f"{name}-{number}-from", read_day)
        last, ends = _read(sent, f"{name}-{number}-until", read_day)
        since, opens = _read(sent, f"{name}-{number}-since", read_clock)
        until, closes = _read(sent, f"{name}-{number}-till", read_clock)
        row = SpanRow(len(rows) + 1, first, last, since, until)
        if not row.words:
            continue
        if not first.value:
            row = replace(row, first=replace(first, fault="say the first day too"))
        elif begins is not None and not row.fault:
            given = {"since": opens, "until": closes}
            times = {each: at for each, at in given.items() if at is not None}
            try:
                absence(begins, ends or begins, **times)
            except InputError as error:
                if times and (ends is None or ends == begins):
                    row = replace(row, until=replace(until, fault=str(error)))
                else:
                    row = replace(row, last=replace(last, fault=str(error)))
        rows.append(row)
    return tuple([*rows, SpanRow(len(rows) + 1)][:MOST_SPANS])


def _read(
    sent: MultiValueDict[str, str], name: str, read: Callable[[str], T]
) -> tuple[Typed, T | None]:
    value = sent.get(name, "").strip()
    if not value:
        return Typed(), None
    try:
        return Typed(value), read(value)
    except InputError as error:
        return Typed(value, str(error)), None


def _hoists(value: str) -> int:
    if (many := _count(value, MOST_HOISTS)) is None:
        raise BadInput(
            f"“{value}” cannot be how many hoists there are",
            mend=f"write a number from 1 to {MOST_HOISTS}",
        )
    return many


def _benches(value: str) -> int:
    if (many := _count(value, MOST_BENCHES)) is None:
        raise BadInput(
            f"“{value}” cannot be how many benches there are",
            mend=f"write a number from 1 to {MOST_BENCHES}",
        )
    return many


def _count(value: str, most: int) -> int | None:
    """A number from 1 to the most; ``None`` where it is none."""
    if not re.fullmatch(r"\d{1,3}", value) or not 1 <= int(value) <= most:
        return None
    return int(value)


def _days(value: str) -> float:
    if not re.fullmatch(r"\d{1,5}(?:[.,]\d+)?", value):
        raise BadInput(
            f"“{value}” cannot be read as so many days", mend="write a number, as in: 28"
        )
    days = float(value.replace(",", "."))
    if days > MOST_LEAD_DAYS:
        raise BadInput(
            f"“{value}” cannot be read as so many days", mend=f"write at most {MOST_LEAD_DAYS}"
        )
    return days
