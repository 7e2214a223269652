"""Tags of several workshops: kept apart from the day they first exchange a vehicle.

Every workshop issues tags in one order, from its beginning. So two that never met issue the same,
and what was issued by then is named as an open item where it meets on one vehicle. From then on
the one that asks goes on elsewhere in the order, half-way into the largest stretch that nobody it
knows of has reserved, so that both can go on for years.
"""

from collections.abc import Iterable

from putback.logbook.entries.base import DeviceId
from putback.logbook.tags import TAG_COUNT
from putback.workshop.logbooks.workshop import Workshop

APART = 200
"""Who issues tags within so many places of somebody else's is too near [tags]: two vehicles'."""
PASSED_OVER = DeviceId("passed over: left to other workshops")
"""What bears the blocks that nobody uses."""

Block = tuple[int, int]
"""The first place in the order of tags, and that behind the last."""


def blocks_here(workshop: Workshop) -> tuple[Block, ...]:
    """Tell what is known to be reserved, here and elsewhere; what is passed over is free."""
    return tuple(
        (places.start, places.stop)
        for device, places in workshop.store.reserved_tags()
        if device != PASSED_OVER
    )


def keep_apart(workshop: Workshop, theirs: Iterable[Block]) -> bool:
    """Go on elsewhere in the order if another workshop's tags are near; tells whether it did."""
    reserved = workshop.store.reserved_tags()
    upto = max((places.stop for _, places in reserved), default=0)
    own = [(places.start, places.stop) for device, places in reserved if device != PASSED_OVER]
    foreign = [each for each in theirs if _is_sound(each) and not _is_within(each, own)]
    near = [each for each in foreign if each[0] < upto + APART and each[1] + APART > upto]
    if not near:
        return False
    start = _start(upto, [*foreign, *own])
    if start <= upto:
        return False  # the tags run out: an overlap is named when it comes to one
    workshop.store.reserve_tags(PASSED_OVER, start - upto)
    return True


def _start(upto: int, taken: Iterable[Block]) -> int:
    """Find the middle of the largest stretch behind a place that nobody has reserved."""
    best, size, free_from = upto, 0, upto
    for start, stop in sorted((*taken, (TAG_COUNT, TAG_COUNT))):
        if start - free_from > size:
            best, size = free_from, start - free_from
        free_from = max(free_from, stop)
    # Whoever reserved up to there goes on into it, from its beginning.
    return best + size // 2 if size > APART else upto


def _is_sound(block: Block) -> bool:
    return 0 <= block[0] < block[1] <= TAG_COUNT


def _is_within(block: Block, own: Iterable[Block]) -> bool:
    """Whether every place of a block is one of our own."""
    at = block[0]
    for start, stop in sorted(own):
        if start <= at < stop:
            at = stop
    return at >= block[1]
