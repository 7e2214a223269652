"""A part is off, and nobody said where it is."""

from collections.abc import Iterable

from putback.logbook.entries.keeping import HandsLaidOn, Moved, PutIn
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, part_subject
from putback.logbook.state import PartState


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find parts that are off and in no bag, at no place and not away.

    What came off as a whole lies where one of its parts lies, and is asked for once.
    """
    asked: set[str] = set()
    placed = {each.whole for each in situation.off_parts if each.whole and _is_kept(each)}
    for part in situation.off_parts:
        if _is_kept(part) or part.whole in placed or part.whole in asked:
            continue
        if part.whole:
            asked.add(part.whole)
        subject = part_subject(part.part)
        yield OpenItem(
            Danger.NOW,
            subject,
            f"{situation.name(subject)} is off, and nobody said where it is",
            entries_of(part.off),
            "say where it lies, or what it is in",
            (Moved, PutIn, HandsLaidOn),
        )


def _is_kept(part: PartState) -> bool:
    common = part.common
    return bool(common.tag or common.place or common.sent_out)
