"""What is open now: asked on every page, so kept until something changes it."""

from datetime import datetime

from putback.logbook.entries.base import LogbookId
from putback.logbook.moments import moment_at
from putback.logbook.open_items import OpenItem, open_items
from putback.logbook.state import State
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Workshop

SHOWN_AT_ONCE = 3
"""Open items that a person is shown before they ask for more: a list, and no wall."""


def open_now(workshop: Workshop, logbook: LogbookId) -> tuple[OpenItem, ...]:
    """List what is open, dangers first.

    The list is kept until something is logged, a backup is made, a joint has cured or a day is
    over: of these rests what the rules look at.
    """
    now = workshop.clock.now()
    cured = _cured(workshop.state(logbook), now)
    return workshop.remembered.give(
        workshop.store,
        logbook,
        "open",
        lambda: open_items(situation_of(workshop, logbook, now)),
        (now.date(), workshop.last_backup(), cured),
    )


def _cured(state: State, now: datetime) -> int:
    """Count the joints that were to cure and have [joints]."""
    ends = (moment_at(each.curing_until) for each in state.joints.values() if each.curing_until)
    return sum(end is not None and end <= now for end in ends)
