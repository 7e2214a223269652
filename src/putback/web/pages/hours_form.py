"""The form of who works when: as it is kept, or as typed, with what is wrong beside each field."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeVar

from django.utils.datastructures import MultiValueDict

from putback.errors import BadInput, InputError
from putback.planning.timetable import LEAD_DAYS, read_hours
from putback.workshop.plans.wishes import Wishes, people_of

MOST_PERSONS = 12
"""Rows that are read [persons]."""
_LEAST_ROWS = 2
_MOST_HOISTS, _MOST_DAYS = 20, 1000

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Typed:
    """What stands in a field, and what is wrong with it."""

    value: str = ""
    fault: str = ""


@dataclass(frozen=True, slots=True)
class PersonRow:
    """One who works."""

    number: int
    name: Typed
    hours: Typed
    skills: tuple[str, ...]
    """Kinds of work that only those who have them do."""


@dataclass(frozen=True, slots=True)
class HoursForm:
    """Who works when, and what else nobody logs."""

    persons: tuple[PersonRow, ...]
    hoists: Typed
    begin: Typed
    due: Typed
    lead_days: Typed
    kinds: tuple[str, ...]
    """Of which work a skill may be."""
    usual_lead_days: str = f"{LEAD_DAYS:g}"

    @property
    def is_wrong(self) -> bool:
        """Whether something was typed that cannot be meant."""
        fields = [self.hoists, self.begin, self.due, self.lead_days]
        fields += [field for each in self.persons for field in (each.name, each.hours)]
        return any(each.fault for each in fields)


def kept_form(wishes: Wishes, kinds: Sequence[str]) -> HoursForm:
    """Fill the form with what is kept, and one row for somebody more."""
    said = (each.partition(":") for each in wishes.persons)
    hours = {name.strip(): own.strip() for name, _, own in said}
    is_said = bool(wishes.persons or wishes.people or wishes.hours)
    persons = [
        PersonRow(
            number,
            Typed(each.name),
            Typed(hours.get(each.name) or wishes.hours or ""),
            tuple(kind for kind in kinds if kind in each.skills),
        )
        for number, each in enumerate(people_of(wishes)[0] if is_said else (), start=1)
    ]
    return HoursForm(
        _with_empty(persons),
        Typed("" if wishes.hoists is None else str(wishes.hoists)),
        Typed(wishes.begin.isoformat() if wishes.begin else ""),
        Typed(wishes.due.isoformat() if wishes.due else ""),
        Typed("" if wishes.lead_days is None else f"{wishes.lead_days:g}"),
        tuple(kinds),
    )


def read_form(sent: MultiValueDict[str, str], kinds: Sequence[str]) -> tuple[HoursForm, Wishes]:
    """Read what was typed; the wishes are to be kept only if nothing is wrong."""
    persons: list[PersonRow] = []
    names: set[str] = set()
    for number in range(1, MOST_PERSONS + 1):
        row = _person(sent, number, names, kinds)
        if row.name.value or row.hours.value or row.skills:
            persons.append(replace(row, number=len(persons) + 1))
            names.add(row.name.value)
    hoists, hoists_read = _read(sent, "hoists", _hoists)
    begin, begin_read = _read(sent, "begin", _day)
    due, due_read = _read(sent, "due", _day)
    if begin_read and due_read and due_read < begin_read:
        due = replace(due, fault="this is before the first day of work")
    lead, lead_read = _read(sent, "lead_days", _days)
    form = HoursForm(_with_empty(persons), hoists, begin, due, lead, tuple(kinds))
    wishes = Wishes(
        persons=tuple(_joined(each.name.value, each.hours.value) for each in persons),
        skills=tuple(
            _joined(each.name.value, ", ".join(each.skills)) for each in persons if each.skills
        ),
        hoists=hoists_read,
        begin=begin_read,
        due=due_read,
        lead_days=lead_read,
    )
    return form, wishes


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
    wrong = ""
    if not name and (hours or skills):
        wrong = "say who works then"
    elif ":" in name:
        wrong = "a name has no colon"
    elif name and name in names:
        wrong = "somebody of this name works already"
    unclear = ""
    if hours:
        try:
            read_hours(hours)
        except InputError as error:
            unclear = str(error)
    return PersonRow(number, Typed(name, wrong), Typed(hours, unclear), skills)


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
    if not re.fullmatch(r"\d{1,3}", value) or not 1 <= int(value) <= _MOST_HOISTS:
        raise BadInput(
            f"“{value}” cannot be how many hoists there are",
            mend=f"write a number from 1 to {_MOST_HOISTS}",
        )
    return int(value)


def _days(value: str) -> float:
    if not re.fullmatch(r"\d{1,5}(?:[.,]\d+)?", value):
        raise BadInput(
            f"“{value}” cannot be read as so many days", mend="write a number, as in: 28"
        )
    days = float(value.replace(",", "."))
    if days > _MOST_DAYS:
        raise BadInput(
            f"“{value}” cannot be read as so many days", mend=f"write at most {_MOST_DAYS}"
        )
    return days


def _day(value: str) -> date:
    try:
        return date.fromisoformat(value)
    except ValueError as error:
        raise BadInput(f"“{value}” is no day", mend="write it as in: 2031-05-02") from error
