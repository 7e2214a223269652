"""Days on which somebody or something is not there, as a person writes them."""

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta

from putback.errors import BadInput
from putback.planning.planned_days import Days
from putback.solvers.weekly import Spans

MOST_AWAY = 731
"""Whoever is away longer does not work here, and a year was mistyped [days]."""
DAY_MINUTES = 24 * 60

_DAY = r"\d{4}-\d{2}-\d{2}"
_ITEM = re.compile(rf"(?P<first>{_DAY})(?:\s*(?:to|bis|-|–)\s*(?P<last>{_DAY}))?")


def read_days(words: str) -> Days:
    """Read days, each alone or a first and a last: ``2031-12-24 to 2032-01-02, 2032-02-10``.

    Raises
    ------
    BadInput
        If it cannot be read, a last day is before its first, or somebody is away for years.
    """
    return tuple(_read(each.strip().lower(), words) for each in words.split(","))


def _read(item: str, words: str) -> tuple[date, date]:
    read = _ITEM.fullmatch(item)
    try:
        if read is not None:
            first = date.fromisoformat(read["first"])
            return checked_days(first, date.fromisoformat(read["last"] or read["first"]))
    except ValueError:  # such as the 30th of February
        pass
    raise BadInput(
        f"“{words}” are no days",
        mend="write one day, or the first and the last, as in: 2031-12-24 to 2032-01-02",
    )


def checked_days(first: date, last: date) -> tuple[date, date]:
    """Give first and last day, if they can be meant.

    Raises
    ------
    BadInput
        If the last day is before the first, or years after it.
    """
    if last < first:
        raise BadInput("the last day is before the first", mend="give the earlier one first")
    if (last - first).days >= MOST_AWAY:
        raise BadInput("this is longer than two years", mend="give at most two years at a time")
    return first, last


def spans_from(origin: datetime, days: Iterable[tuple[date, date]]) -> Spans:
    """Give days as minutes from a midnight on, each for itself; what is before is left away."""
    found = []
    for first, last in days:
        begin = (datetime.combine(first, time()) - origin) // timedelta(minutes=1)
        end = (datetime.combine(last, time()) - origin) // timedelta(minutes=1) + DAY_MINUTES
        if end > 0:
            found.append((max(begin, 0), end))
    return tuple(found)
