"""Into which bag the pieces go: the one in use where the hands are, else the next free tag.

It is only proposed: a tag that is typed or scanned wins.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from putback.logbook.entries.base import DeviceId, LogbookId, TagCode
from putback.logbook.order import Key
from putback.logbook.state import JointState, State
from putback.vehicle.ids import JointId, ZoneId
from putback.vehicle.joint import Care
from putback.workshop.logbooks.ports import Role
from putback.workshop.logbooks.workshop import Workshop

TAGS_AT_ONCE = 12
"""Tags that a device reserves when it has none left [tags]: an evening's bags."""


@dataclass(frozen=True, slots=True)
class ProposedTag:
    """A tag to put the pieces under, and whether a bag bears it already."""

    tag: TagCode
    in_use: bool


def proposed_tag(
    state: State, joint: JointId | None, free: Iterable[TagCode]
) -> ProposedTag | None:
    """Propose a tag for the pieces of a joint; for a part's own tag where none is given.

    A joint that is begun keeps its bag. One whose hardware is kept exactly gets a bag of its own.
    Others go into the bag that was last filled in the same zone, as long as nobody put it away.
    """
    found = _bag_in_use(state, joint) if joint is not None else None
    if found is not None:
        return ProposedTag(found, in_use=True)
    next_free = next((tag for tag in free if tag not in state.containers), None)
    return ProposedTag(next_free, in_use=False) if next_free is not None else None


def _bag_in_use(state: State, joint: JointId) -> TagCode | None:
    described, begun = state.vehicle.joints.get(joint), state.joints.get(joint)
    if begun is not None and begun.out and begun.tags:
        return begun.tags[-1]
    if described is None or described.zone is None or described.level_of_care is Care.EXACT:
        return None
    filled = [found for each in state.joints.values() if (found := _filled(state, each))]
    here = [(key, tag) for key, tag, zone in filled if zone == described.zone]
    here += [
        (each.made.key, tag)
        for tag, each in state.containers.items()
        if each.made is not None and each.zone == described.zone and each.container == "bag"
    ]
    here = [(key, tag) for key, tag in here if not _is_put_away(state, tag)]
    return max(here)[1] if here else None


def _filled(state: State, joint: JointState) -> tuple[Key, TagCode, ZoneId] | None:
    """When a joint's pieces went into which bag, if others may lie beside them."""
    described = state.vehicle.joints.get(joint.joint)
    if described is None or described.zone is None or described.level_of_care is Care.EXACT:
        return None
    if not joint.out or not joint.tags or joint.undone is None:
        return None
    return joint.undone.key, joint.tags[-1], described.zone


def _is_put_away(state: State, tag: TagCode) -> bool:
    """Whether a bag lies somewhere, or is no bag: hands go no longer into it."""
    seen = state.containers.get(tag)
    if seen is None:
        return False
    return bool(seen.container != "bag" or seen.common.place or seen.common.tag)


def tags_at_hand(
    workshop: Workshop, logbook: LogbookId, device: DeviceId, role: Role
) -> tuple[TagCode, ...]:
    """Give the tags that a device may still issue; it reserves some where it has none left.

    Whoever only looks on reserves none.
    """
    used = frozenset(workshop.state(logbook).containers)
    reserved = [TagCode(tag) for tag in workshop.tags_of(device)]
    free = [tag for tag in reserved if tag not in used]
    if len(free) < len(reserved):  # a tag of this device may be on another vehicle's bag
        borne = frozenset(map(TagCode, workshop.tags_in_use()))
        free = [tag for tag in free if tag not in borne]
    if not free and role is not Role.VIEWER:
        free = [TagCode(tag) for tag in workshop.reserve_tags(device, TAGS_AT_ONCE)]
    return tuple(free)
