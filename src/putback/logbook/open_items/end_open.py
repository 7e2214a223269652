"""An end or a hole stands open while what filled it is away."""

from collections.abc import Iterable

from putback.logbook.entries.base import EntryId, Subject
from putback.logbook.entries.working import OpeningClosed
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.logbook.state import OpeningState
from putback.vehicle.opening import Opening


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find openings of undone joints that are not closed, or not all of their ends."""
    for opening in situation.state.vehicle.openings.values():
        state = situation.state.openings.get(opening.id) or OpeningState(opening.id)
        closed = opening.ends if state.all_closed else state.closed
        gone = situation.part(opening.part).gone
        if not opening.needs_closing or gone or closed >= opening.ends:
            continue
        causes = (*_opened_by(situation, opening), *entries_of(state.said))
        if not any(not situation.holds(joint) for joint in opening.joints) or not causes:
            continue
        ends = "is open" if opening.ends == 1 else f"has {opening.ends - closed} of"
        ends += "" if opening.ends == 1 else f" {opening.ends} ends open"
        closure = f" with {opening.closed_with}" if opening.closed_with else ""
        yield OpenItem(
            Danger.NOW,
            Subject(f"opening:{opening.id}"),
            f"{opening.name} {ends}",
            tuple(dict.fromkeys(causes)),
            f"close it{closure}",
            (OpeningClosed,),
        )


def _opened_by(situation: Situation, opening: Opening) -> tuple[EntryId, ...]:
    said = []
    for joint in opening.joints:
        if not situation.holds(joint):
            described = situation.state.vehicle.joints.get(joint)
            said.append(situation.joint(joint).undone)
            said += [situation.part(part).off for part in (described.parts if described else ())]
    return entries_of(*said)
