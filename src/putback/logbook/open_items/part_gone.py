"""A part is lost, scrap or kept as a pattern, and nobody decided what goes on in its stead."""

from collections.abc import Iterable

from putback.logbook.entries.judging import Choice, Decided, Ordered
from putback.logbook.entries.keeping import HandsLaidOn
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, part_subject
from putback.logbook.state import Gone


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find parts that are gone, with nothing ordered, arrived or decided for them."""
    for identity, part in sorted(situation.state.parts.items()):
        common = part.common
        decided = common.choice in {Choice.REPLACE, Choice.MAKE}
        if part.gone is None or decided or common.ordered or common.arrived:
            continue
        lost = part.gone is Gone.LOST
        yield OpenItem(
            Danger.NOW if lost or situation.rebuild_begun else Danger.LATER,
            part_subject(identity),
            f"{situation.name(part_subject(identity))} is {part.gone},"
            " and nothing goes on in its stead yet",
            entries_of(part.gone_by),
            "look for it, or decide to replace or make it"
            if lost
            else "decide to replace or make it",
            (Decided, Ordered, HandsLaidOn) if lost else (Decided, Ordered),
        )
