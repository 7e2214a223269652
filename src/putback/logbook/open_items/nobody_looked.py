"""The vehicle stands on supports, and nobody looked underneath."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.working import StandingChanged
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find a standing on anything but wheels without the name of who looked."""
    state = situation.state.standing
    if state.standing and state.looked is None and situation.may_be_on_stands:
        name = situation.name(f"standing:{state.standing}")
        yield OpenItem(
            Danger.NOW,
            Subject("standing"),
            f"now {name}, and nobody is named who looked how the supports bear",
            entries_of(state.said),
            "look at each support, and log who looked",
            (StandingChanged,),
        )
