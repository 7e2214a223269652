"""A measurement is outside its limits, and nobody decided what becomes of it."""

from collections.abc import Iterable

from putback.logbook.common import Reading
from putback.logbook.entries.judging import Decided
from putback.logbook.entries.working import Measured
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find last readings outside their limits without a decision."""
    for subject, common in situation.commons:
        last = {reading.what: reading for reading in common.readings}
        for reading in last.values():
            if reading.outside and reading.settled is None:
                yield OpenItem(
                    Danger.NOW,
                    subject,
                    f"{reading.what} of {situation.name(subject)} is {reading.value:g}"
                    f" {reading.unit}, {_limits(reading)}",
                    entries_of(reading.said),
                    "decide: reuse, recondition, replace or make",
                    (Decided, Measured),
                )


def _limits(reading: Reading) -> str:
    if reading.low is not None and reading.value < reading.low:
        return f"below {reading.low:g} {reading.unit}"
    return f"above {reading.high:g} {reading.unit}"
