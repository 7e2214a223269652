"""A lift is near, and something still ties what is to be lifted: an earth strap, a cable."""

from collections.abc import Iterable

from putback.logbook.entries.working import JointUndone
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.lift import lifts
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import count, listed


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find lifts of which most ties are undone and a few are left.

    Only what takes two people, a hoist or more than one person's strength is a lift: a bracket on
    its last screw ties nobody down.
    """
    for unit in lifts(situation):
        left, undone = len(unit.ties), len(unit.undone)
        if not left or left > situation.settings.nearly_free or undone < left:
            continue
        common = situation.state.common_of(unit.subject)
        begun = common is not None and common.in_hand is not None
        ties = listed((situation.name(f"joint:{joint}") for joint in unit.ties), most=8)
        yield OpenItem(
            Danger.DANGER if begun else Danger.NOW,
            unit.subject,
            f"{count(left, 'tie')} left on {unit.name} before it lifts: {ties}",
            situation.begun_by(unit),
            "walk round and undo each before the lift",
            (JointUndone,),
        )
