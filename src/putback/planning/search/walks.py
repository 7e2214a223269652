"""Walks over the standings, the cheapest first: on which all could be done, the air left aside."""

from collections.abc import Iterator
from heapq import heappop, heappush
from itertools import count
from math import inf

from putback.planning.search.field import Field, Rules
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

_MOST_VISITS = 7
"""Longer walks are not looked at."""

_MOST_LOOKED_AT = 600
"""So many beginnings of walks are looked at, before it is given up."""

Walk = tuple[StandingId, ...]


def walks(
    rules: Rules, progress: Progress = NoProgress(), below_minutes: float = inf
) -> Iterator[Walk]:
    """Give walks over the standings by which everything wanted gets done, the cheapest first.

    Only those whose changes take less than ``below_minutes``. In each visit all that can be done
    is done. Nothing is asked about what is left in the air, and how the vehicle stands (rules 11
    and 12): some of these walks are therefore none.
    """
    begun = Field(rules, watched=False)
    known: dict[tuple[int, StandingId], Field] = {}
    number = count()
    queue: list[tuple[float, int, int, Field, Walk]] = []
    start = rules.problem.start
    for standing in (start,) if start is not None else rules.problem.usable:
        if start is not None or begun.enter_minutes(standing) is not None:
            after = _all_done(begun, standing, known)
            heappush(queue, (0.0, 1, next(number), after, (standing,)))
    for looked_at in range(_MOST_LOOKED_AT):
        if not queue:
            return
        progress.step(looked_at, None, "looking for walks over the standings")
        cost, length, _, at, walk = heappop(queue)
        if cost >= below_minutes:
            return
        if at.is_all_done():
            yield walk
        if length == _MOST_VISITS:
            continue
        for standing in rules.problem.usable:
            minutes = at.enter_minutes(standing)
            if standing != at.standing and minutes is not None:
                after = _all_done(at, standing, known)
                entry = (cost + minutes, length + 1, next(number), after, (*walk, standing))
                heappush(queue, entry)


def _all_done(
    at: Field, standing: StandingId, known: dict[tuple[int, StandingId], Field]
) -> Field:
    """Do all that can be done in a standing; what was done before is looked up."""
    key = at.mask, standing
    if key in known:
        return known[key]
    field = known[key] = at.copy()
    field.standing = standing
    here = field.rules.here(standing)
    todo = [move for move in sorted(field.ready) if here[move]]
    waiting: list[int] = []
    looked = -1
    while todo and len(field.done) > looked:
        looked = len(field.done)
        for move in todo:  # grows as it is gone through
            if field.may(move):
                todo += [fresh for fresh in field.do(move) if here[fresh]]
            else:
                waiting.append(move)
        todo, waiting = waiting, []
    for move in field.to_crack():
        field.do(move)
    return field
