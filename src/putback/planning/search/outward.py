"""Rank parts from what bears outwards, so that each could be held by one before it.

Whether everything is held is a question of the whole: each part by the next may be tied in a ring
that nothing bears. Where every part is to be tied to one of an earlier rank, there is no ring, and
one condition of each part says all. It asks for more than must be, for other ways of holding are
left out; of any arrangement there is a ranking by which it is kept.
"""

from collections.abc import Callable, Collection
from heapq import heappop, heappush

from putback.planning.held.holding import Hold, Links

Late = Callable[[int], tuple[int, ...]]
"""A key of a part, by number: the smaller, the later it comes off."""


def outward(
    links: Links, bearing: Collection[int], late: Late, hold: Hold | None = None
) -> dict[int, int]:
    """Rank the parts that stiff joints lead to from what bears, by number.

    Those that come off late come first where more than one could be next; with a `hold`, before
    all others those that are held in it. What is not led to has no rank.
    """
    ranks: dict[int, int] = {}
    todo: list[tuple[int, ...]] = [(0, 0, part) for part in bearing]
    while todo:
        *_, part = heappop(todo)
        if part in ranks:
            continue
        ranks[part] = len(ranks)
        for joint, other in links.stiff_of[part]:
            if other not in ranks and links.on[other]:
                by = hold is not None and hold.made[joint] and hold.on[part] and hold.on[other]
                heappush(todo, (1, not by, *late(other), other))
    return ranks
