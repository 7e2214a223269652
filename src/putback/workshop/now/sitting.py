"""The sitting that somebody is at: what was logged since they began, over midnight as well."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from putback.logbook.entries.base import Entry, Precision

LONGEST_PAUSE = timedelta(hours=6)
"""Whoever goes on after a pause no longer than this has not slept: common practice."""
_A_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Sitting:
    """Work from when it began until now."""

    begun: date
    """Today, or yesterday where the work went on over midnight."""
    entries: tuple[Entry, ...]
    """What was logged in it, in the order of the logbook."""


def sitting(logged: Sequence[Entry], now: datetime) -> Sitting:
    """Gather what was logged today, and before midnight where the work went on over it.

    Parameters
    ----------
    logged
        The entries that count, in their order.
    now : datetime
        The hour, with the offset of the place where they work.
    """
    midnight = datetime.combine(now.date(), time(), now.tzinfo)
    begun = min(midnight, _worked_since(logged, now, midnight))

    def is_of_it(entry: Entry) -> bool:
        if entry.precision is Precision.INSTANT:
            moment = _moment(entry, now)
            return begun <= moment and moment.date() <= now.date()
        if entry.precision is not Precision.DAY:
            return False
        return begun.date() <= date.fromisoformat(entry.happened_at) <= now.date()

    return Sitting(begun.date(), tuple(filter(is_of_it, logged)))


def _worked_since(logged: Sequence[Entry], now: datetime, midnight: datetime) -> datetime:
    """Go back from entry to entry, as far as yesterday, until a pause is too long."""
    earliest = round((midnight - _A_DAY).timestamp() * 1000)
    instants = (
        _moment(each, now)
        for each in logged
        if each.happened_ms >= earliest and each.precision is Precision.INSTANT
    )
    since = now
    for moment in sorted(instants, reverse=True):
        if moment < midnight and since - moment > LONGEST_PAUSE:
            break
        since = min(since, moment)
    return since


def _moment(entry: Entry, now: datetime) -> datetime:
    return datetime.fromtimestamp(entry.happened_ms / 1000, now.tzinfo)
