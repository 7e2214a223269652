"""Improve the order of arranged moves, in rounds.

Each round anneals the order under plain precedence, and then makes the moves one after another
by all the rules. Where that does not work, what was learnt binds the rounds to come. The cheapest
order that keeps all rules is given.
"""

from collections.abc import Sequence
from math import ceil

from putback.planning.ordering.fewer_changes import with_fewer_changes
from putback.planning.ordering.items import Items, Lesson
from putback.planning.ordering.least_order import least_order
from putback.planning.ordering.order import improve_order
from putback.planning.ordering.price import CannotBeDone, Priced, price, total_minutes
from putback.planning.ordering.settle import settle, what_lets_go
from putback.planning.plan import PlanSettings
from putback.planning.search.arrange import Bout, bouts_of
from putback.planning.search.field import Rules
from putback.progress import NoProgress, Progress

_ROUNDS = (600, 300, 300)
"""How many changes of the order are tried for each move, in each of the rounds that work."""

_LEARNING = 200
"""The same in rounds spent on learning what does not work."""

_LESSONS = 6
"""How many of these there are."""

_FEW = 16
"""Moves of which every order may be looked at."""

_HOT, _WARM, _COLD = 0.75, 0.4, 0.1
"""Temperatures at first, in later rounds and at the end, of the least that a change costs [-]."""


def improve(
    rules: Rules,
    bouts: Sequence[Bout],
    settings: PlanSettings,
    effort: float = 1.0,
    progress: Progress = NoProgress(),
) -> tuple[Priced, ...]:
    """Improve the order of moves; gives them priced.

    ``effort`` is the share of the usual number of rounds, at least one [-].
    """
    now = best = with_fewer_changes(rules, price(rules, bouts, settings), settings)
    bouts = bouts_of([(each.move, each.standing) for each in best])
    costs = (settings.zone_minutes, settings.tool_minutes, settings.helper_minutes)
    unit = min((each for each in costs if each > 0), default=0.0)
    if len(best) < 2 or not unit:
        return best
    if len(best) <= _FEW and (least := _least(rules, bouts, settings)):
        return min(least, best, key=total_minutes)
    learnt = dict.fromkeys(what_lets_go(rules, bouts))
    again: set[int] = set()
    present = list(bouts)
    lessons, working = ceil(_LESSONS * effort), _ROUNDS[: ceil(len(_ROUNDS) * effort)]
    rounds = [(_LEARNING, _WARM)] * lessons + [(each, _WARM) for each in working]
    for number, (tries, warmth) in enumerate(rounds):
        progress.step(number, len(rounds), "improving the order")
        before, present = present, bouts_of([(each.move, each.standing) for each in now])
        if len(present) != len(before):  # a bout came to nothing: changes have other numbers now
            learnt = dict.fromkeys(
                (*filter(Lesson.is_of_moves, learnt), *what_lets_go(rules, present))
            )
            again.clear()
        items = Items(rules, present, settings, learnt)
        order = improve_order(
            items.ordering,
            items.start,
            items.sortings,
            tries * len(best),
            (unit * warmth, unit * _COLD),
            seed=number,
            tell=lambda _: progress.step(number, len(rounds), "improving the order"),  # noqa: B023
        )
        known = {move: at for at, bout in enumerate(present) for move in bout.moves}
        settled = settle(rules, bouts_of(list(items.placed(order))), known, again)
        again |= settled.changes
        learnt |= settled.lessons
        try:
            now = price(rules, bouts_of(settled.made), settings) if settled.works else now
        except CannotBeDone:
            continue
        best = min(best, now, key=total_minutes)
    return best


def _least(
    rules: Rules, bouts: Sequence[Bout], settings: PlanSettings
) -> tuple[Priced, ...] | None:
    """Give the least order of few moves in these bouts, if it can be found and keeps all rules."""
    items = Items(rules, bouts, settings)
    order = least_order(items.ordering)
    if order is None:
        return None
    try:
        return price(rules, bouts_of(list(items.placed(order))), settings)
    except CannotBeDone:
        return None
