"""A lift is near, its ties are undone in the logbook, and nobody walked round to look."""

from collections.abc import Iterable

from putback.logbook.entries.working import SeenFree
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.lift import lifts
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import count, listed


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find lifts by several people or a hoist of which nearly all ties are undone, not all seen.

    A tie believed undone is what hurts: the one that was logged from memory, or was only half out.
    """
    for unit in lifts(situation):
        near = len(unit.ties) <= min(situation.settings.nearly_free, len(unit.undone))
        unseen = [each for each in unit.undone if situation.joint(each).seen_free is None]
        if not near or not unseen or (unit.crew < 2 and not unit.hoist):
            continue
        common = situation.state.common_of(unit.subject)
        begun = common is not None and common.in_hand is not None
        names = listed((situation.name(f"joint:{joint}") for joint in unseen), most=8)
        yield OpenItem(
            Danger.NOW if begun else Danger.LATER,
            unit.subject,
            f"{count(len(unseen), 'undone tie')} of {unit.name} not seen free before it lifts:"
            f" {names}",
            situation.begun_by(unit),
            "walk round, look at each and log it seen free",
            (SeenFree,),
        )
