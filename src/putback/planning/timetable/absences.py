"""Times when somebody or something is not there, as a person writes them."""

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta

from putback.errors import BadInput
from putback.planning.planned_days import Absence, Absences
from putback.solvers.weekly import Spans

MOST_AWAY = 731
"""Whoever is away longer does not work here, and a year was mistyped [days]."""
LAST_YEAR = 2199
"""Whoever is away later mistyped the year."""

_MINUTE, _DAY_LONG = timedelta(minutes=1), timedelta(days=1)
_DAY = "[0-9]{4}-[0-9]{2}-[0-9]{2}"
_CLOCK = "[0-9]{1,2}(?::[0-9]{2})?"
_ITEM = re.compile(
    rf"(?P<first>{_DAY})(?:\s+(?P<since>{_CLOCK}))?"
    rf"(?:\s*(?:to|bis|-|–)\s*(?:(?P<last>{_DAY})(?:\s+(?P<until>{_CLOCK}))?|(?P<closes>{_CLOCK})))?"
)


def read_absences(words: str) -> Absences:
    """Read absences: days, each alone or a first and a last, with times of the day or without.

    ``2031-12-24 to 2032-01-02, 2032-02-10`` are whole days, ``2031-05-02 13:00-17:00`` is part
    of one, and ``2031-05-02 13:00 to 2031-05-06 10:00`` lasts from one moment to another. A
    first day with a time alone lasts from then on.

    Raises
    ------
    BadInput
        If it cannot be read, an end is before its beginning, or somebody is away for years.
    """
    return tuple(_read(each.strip().lower(), words) for each in words.split(","))


def _read(item: str, words: str) -> Absence:
    read = _ITEM.fullmatch(item)
    if read is not None and (read["since"] or not read["closes"]):
        try:
            first = date.fromisoformat(read["first"])
            last = date.fromisoformat(read["last"] or read["first"])
            since = read_clock(read["since"] or "0")
            until = read_clock(read["closes"] or read["until"] or "24")
        except (ValueError, BadInput):  # such as the 30th of February, or 25:00
            pass
        else:
            return absence(first, last, since, until)
    raise BadInput(
        f"“{words}” are no days",
        mend="write a day, the first and the last, or part of one, as in: 2031-12-24 to "
        "2032-01-02, 2031-05-02 13:00-17:00",
    )


def read_day(text: str) -> date:
    """Read a day, such as ``2031-05-02``.

    Raises
    ------
    BadInput
        If it is none, or too far off.
    """
    unclear = BadInput(f"“{text}” is no day", mend="write it as in: 2031-05-02")
    if not re.fullmatch(_DAY, text):  # of all that ISO 8601 lets one write
        raise unclear
    try:
        day = date.fromisoformat(text)
    except ValueError as error:
        raise unclear from error
    check_year(day)
    return day


def check_year(day: date) -> None:
    """Refuse a day of which the year was mistyped.

    Raises
    ------
    BadInput
        If it is too far off.
    """
    if day.year > LAST_YEAR:
        raise BadInput(f"the year {day.year} is too far off", mend="look at the year")


def read_clock(text: str) -> timedelta:
    """Read a time of the day, such as ``9``, ``13:30`` or ``24``, as time since midnight.

    Raises
    ------
    BadInput
        If it is none.
    """
    hour, _, minute = text.partition(":")
    if re.fullmatch(_CLOCK, text) and int(minute or 0) < 60:
        at = timedelta(hours=int(hour), minutes=int(minute or 0))
        if at <= _DAY_LONG:
            return at
    raise BadInput(f"“{text}” is no time of the day", mend="write a time, as in: 13:30")


def absence(
    first: date, last: date, since: timedelta = timedelta(), until: timedelta = _DAY_LONG
) -> Absence:
    """Give a time away from its first day to its last, if it can be meant.

    Parameters
    ----------
    first, last : date
        Its days, both counted.
    since, until : timedelta
        From when on the first day, and until when on the last, from their midnights.

    Raises
    ------
    BadInput
        If it ends before it begins, or years after, or is too far off.
    """
    check_year(last)
    found = Absence(
        datetime.combine(first, time()) + since, datetime.combine(last, time()) + until
    )
    if last < first:
        raise BadInput("the last day is before the first", mend="give the earlier one first")
    if found.ends <= found.begins:
        raise BadInput("it ends before it begins", mend="give the earlier time first")
    if (last - first).days >= MOST_AWAY:
        raise BadInput("this is longer than two years", mend="give at most two years at a time")
    return found


def spans_from(origin: datetime, absences: Iterable[Absence]) -> Spans:
    """Give absences as minutes from a midnight on, each for itself, without those before."""
    found = []
    for each in absences:
        begin, end = (each.begins - origin) // _MINUTE, (each.ends - origin) // _MINUTE
        if end > 0:
            found.append((max(begin, 0), end))
    return tuple(found)
