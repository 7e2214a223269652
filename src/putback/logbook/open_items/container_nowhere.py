"""A bag or box with something in it has no place."""

from collections.abc import Iterable, Iterator

from putback.logbook.accounts import in_tag
from putback.logbook.entries.base import EntryId, Subject, TagCode
from putback.logbook.entries.keeping import Moved, PutIn
from putback.logbook.hardware_check import entries_into
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find containers that hold something and are in no place, alone or in a larger one."""
    held_in = _contents(situation)
    for tag, container in sorted(situation.state.containers.items()):
        subject = Subject(f"tag:{tag}")
        common = container.common
        chain = situation.state.chain_of(subject)
        placed = any(step.startswith("place:") for step in chain)
        if tag not in held_in or placed or common.sent_out or common.tag:
            continue  # of nested ones the outermost is asked for
        yield OpenItem(
            Danger.NOW,
            subject,
            f"{container.container} {situation.name(subject)} has no place",
            tuple(dict.fromkeys((*held_in[tag], *entries_of(common.seen, container.made)))),
            "say where it is",
            (Moved, PutIn),
        )


def _contents(situation: Situation) -> dict[TagCode, list[EntryId]]:
    """Name the entries that put something into each container that is not empty."""
    held: dict[TagCode, list[EntryId]] = {}
    for tag, entry in _put(situation):
        held.setdefault(tag, []).append(entry)
    return held


def _put(situation: Situation) -> Iterator[tuple[TagCode, EntryId]]:
    state = situation.state
    for check in situation.hardware.tags:
        for owner in dict.fromkeys(pieces.owner for pieces in check.pieces):
            for entry in entries_into(state, owner, (in_tag(check.tag),)):
                yield check.tag, entry
    for joint in state.joints.values():
        for tag in joint.tags if joint.out else ():
            for entry in entries_of(joint.undone):
                yield tag, entry
    for _, common in situation.commons:
        if common.tag is not None and common.seen is not None:
            yield common.tag, common.seen.entry
