"""Arrange work over the cheapest walk of standings that leaves nothing in the air.

The walks are tried one after another, the cheapest first: the work is spread over the visits of
each (`visits.py`), and then done step by step, by all the rules.
"""

from collections.abc import Mapping, Sequence
from itertools import combinations, groupby, islice
from math import inf

from putback.planning.plan import PlanSettings
from putback.planning.search.arrange import Bout, bouts_of, without_needless_cracks
from putback.planning.search.field import Field, Move, Rules
from putback.planning.search.learnt import Learnt
from putback.planning.search.visits import spread_over
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
_MOST_LOOKED_AT = 150_000
"""Steps of all walks that are looked at, at most."""

_MOST_LEFT_OUT = 80_000
"""So many steps are spread at most, round by round, over walks that leave visits out."""


def arrange_by_visits(
    rules: Rules,
    settings: PlanSettings,
    progress: Progress = NoProgress(),
    below_minutes: float = inf,
) -> tuple[Bout, ...] | None:
    """Arrange all that is wanted on a cheap walk; ``None`` if none of those tried will do.

    Only those are tried whose changes take less than ``below_minutes``.
    """
    if not rules.problem.usable:
        return None
    learnt = Learnt(rules, settings)
    work = tried = 0
    cheap = walks(rules, progress, below_minutes)
    for walk in islice(cheap, _MOST_LOOKED_AT // len(rules.steps)):
        spread_out = spread_over(learnt, walk)
        if spread_out is None:
            continue
        tried += 1
        work += len(walk) * len(rules.steps)
        if tried > _MOST_WALKS or work > _MOST_WORK:
            break
        bouts = _done_so(rules, walk, spread_out.visits(progress))
        if bouts is not None:
            bouts = _done_so(rules, walk, spread_out.in_few_visits(progress)) or bouts
            rules.would_hang = learnt.would_hang()
            return bouts
    return None


def with_fewer_visits(
    rules: Rules,
    bouts: Sequence[Bout],
    settings: PlanSettings,
    progress: Progress = NoProgress(),
) -> tuple[Bout, ...]:
    """Arrange what is arranged already over a walk that leaves visits out, while that works.

    What the rules let pass may pass here as well.
    """
    learnt = Learnt(rules, settings, _MOST_LEFT_OUT)
    best, spread_out = tuple(bouts), None
    walk = tuple(bout.standing for bout in best if bout.standing is not None)
    looked_at = {walk}
    going = True
    while going:
        going = False
        for shorter in _leaving_out(walk, is_begun=rules.problem.start is not None):
            found = spread_over(learnt, shorter) if shorter not in looked_at else None
            looked_at.add(shorter)
            done = _done_so(rules, shorter, found.visits(progress)) if found is not None else None
            if done is not None:
                best, walk, spread_out, going = done, shorter, found, True
                break
            if learnt.left < 0:
                break
    if spread_out is None:
        return best
    best = _done_so(rules, walk, spread_out.in_few_visits(progress)) or best
    rules.would_hang = learnt.would_hang()
    return best


def _leaving_out(walk: Walk, *, is_begun: bool) -> list[Walk]:
    """The walks that leave some visits in a row out of one, the shortest first.

    Where the vehicle stands so already, it begins there.
    """
    found: dict[Walk, None] = {}
    for begin, end in combinations(range(len(walk) + 1), 2):
        shorter = (*walk[:begin], *walk[end:])
        if begin or not is_begun:
            found[tuple(standing for standing, _ in groupby(shorter))] = None
    return sorted(filter(None, found), key=len)


def _done_so(
    rules: Rules, walk: Walk, visit_of: Mapping[int, int] | None
) -> tuple[Bout, ...] | None:
    """Do each step in its visit, or, where the rules bar that, in a later one that allows it."""
    if visit_of is None:
        return None
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
