"""The vehicle stands on supports, and nobody rock-tested it."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.working import StandingChanged
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find a standing on anything but wheels that was not rock-tested before going under.

    Rock-testing before going under is common practice.
    """
    state = situation.state.standing
    if state.standing and not state.rock_tested and situation.may_be_on_stands:
        name = situation.name(f"standing:{state.standing}")
        yield OpenItem(
            Danger.DANGER,
            Subject("standing"),
            f"now {name}, and nobody said that it was rock-tested",
            entries_of(state.said),
            "rock it before anybody goes under, and log it so",
            (StandingChanged,),
        )
