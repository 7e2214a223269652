"""Arrange work over the cheapest walk of standings that leaves nothing in the air.

The walks are tried one after another, the cheapest first: the work is spread over the visits of
each (`visits.py`), and then done step by step, by all the rules.
"""

from collections.abc import Mapping
from itertools import islice

from putback.planning.plan import PlanSettings
from putback.planning.search.arrange import Bout, bouts_of, without_needless_cracks
from putback.planning.search.field import Field, Move, Rules
from putback.planning.search.visits import Spreading
from putback.planning.search.walks import Walk, walks
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

Placed = tuple[Move, StandingId | None]
"""A move, and how the vehicle stands for it."""

_MOST_WALKS = 12
_MOST_WORK = 60_000
"""Over so many walks work is spread, and steps times visits of all of them, at most.

Walks of which it is plain at once that nothing can be spread over them do not count.
"""
_MOST_LOOKED_AT = 60
"""Nor are more walks looked at than these."""


def arrange_by_visits(
    rules: Rules, settings: PlanSettings, progress: Progress = NoProgress()
) -> tuple[Bout, ...] | None:
    """Arrange all that is wanted on a cheap walk; ``None`` if none of those tried will do."""
    if not rules.problem.usable:
        return None
    spreading = Spreading(rules, settings)
    work = tried = 0
    for walk in islice(walks(rules, progress), _MOST_LOOKED_AT):
        spread_out = spreading.over(walk)
        if spread_out is None:
            continue
        tried += 1
        work += len(walk) * len(rules.steps)
        if tried > _MOST_WALKS or work > _MOST_WORK:
            break
        visit_of = spread_out.visits(progress)
        bouts = _done_so(rules, walk, visit_of) if visit_of is not None else None
        if bouts is not None:
            return bouts
    return None


def _done_so(rules: Rules, walk: Walk, visit_of: Mapping[int, int]) -> tuple[Bout, ...] | None:
    """Do each step in its visit, or, where the rules bar that, in a later one that allows it."""
    field = Field(rules)
    placed: list[Placed] = []
    left = set(rules.steps)
    for at, standing in enumerate(walk):
        is_change = field.standing != standing
        if is_change and (field.hangs() or field.enter_minutes(standing) is None):
            return None
        field.standing = standing
        mine = {index for index in left if visit_of[index] <= at}
        going = True
        while going:
            going = False
            for stage in rules.stages:
                for index in sorted(field.ready & mine & stage):
                    if field.may(index):
                        field.do(index)
                        placed.append((index, standing))
                        mine.discard(index)
                        left.discard(index)
                        going = True
                if not left.isdisjoint(stage):
                    break
        for move in field.to_crack():
            field.do(move)
            placed.append((move, standing))
    if left:
        return None
    return tuple(without_needless_cracks(rules, bouts_of(placed)))
