"""Two people do not agree how the vehicle stands; neither knew what the other had said."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import OneAndSame
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, standing_subject
from putback.logbook.open_items.wording import listed
from putback.vehicle.ids import StandingId


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find out whether it is in doubt how the vehicle stands: nobody goes under it before."""
    rivals = situation.state.standing.rivals
    if rivals:
        told = (
            f"{situation.name(standing_subject(StandingId(each.value)))} "
            f"({situation.name(f'person:{each.said.who}')})"
            for each in rivals
        )
        yield OpenItem(
            Danger.DANGER,
            Subject("standing"),
            f"two people do not agree how it stands: {listed(told)}",
            entries_of(*(each.said for each in rivals)),
            "look how it stands before anybody goes near; strike out what is wrong, or log both "
            "as one and the same if it was changed twice",
            (Struck, OneAndSame),
        )
