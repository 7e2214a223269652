"""Improve the order of arranged moves, in rounds.

Each round anneals the order under plain precedence, and then makes the moves one after another
by all the rules. Where that does not work, what was learnt binds the rounds to come. The cheapest
order that keeps all rules is given.
"""

from collections.abc import Sequence

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

_TRIES = 120
"""How many changes of the order are tried for each move of the plan."""

_ROUNDS = 8
"""How many rounds the tries are shared among, as long as they work."""

_LESSONS = 8
"""How many rounds more, each a tenth as long, may be spent on learning what does not."""

_FEW = 16
"""Moves of which every order may be looked at."""

_HOT, _COLD = 0.75, 0.08
"""Temperatures at the beginning and at the end, of the least that a change costs [-]."""


def improve(
    rules: Rules,
    bouts: Sequence[Bout],
    settings: PlanSettings,
    effort: float = 1.0,
    progress: Progress = NoProgress(),
) -> tuple[Priced, ...]:
    """Improve the order of moves; gives them priced.

    ``effort`` is the share of the usual number of attempts [-].
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
    tries = max(int(_TRIES * len(best) * effort / _ROUNDS), 1)

    def heat(worked: float) -> float:
        return float(unit * _HOT * (_COLD / _HOT) ** (worked / _ROUNDS))

    worked, failed = 0, 0
    while worked < _ROUNDS and failed < _LESSONS:
        progress.step(worked, _ROUNDS, "improving the order")
        before, present = present, bouts_of([(each.move, each.standing) for each in now])
        if len(present) != len(before):  # a bout came to nothing: changes have other numbers now
            learnt = dict.fromkeys(
                (*filter(Lesson.is_of_moves, learnt), *what_lets_go(rules, present))
            )
            again.clear()
        items = Items(rules, present, settings, learnt)
        learning = not worked and failed < _LESSONS - 1
        order = improve_order(
            items.ordering,
            items.start,
            items.alike,
            tries // 10 if learning else tries,
            (heat(worked), heat(worked + (0.5 if learning else 1.0))),
            seed=worked + failed,
            tell=lambda _: progress.step(worked, _ROUNDS, "improving the order"),  # noqa: B023
        )
        known = {move: at for at, bout in enumerate(present) for move in bout.moves}
        settled = settle(rules, bouts_of(list(items.placed(order))), known, again)
        again |= settled.changes
        learnt |= settled.lessons
        try:
            priced = price(rules, bouts_of(settled.made), settings) if settled.works else None
        except CannotBeDone:
            priced = None
        if priced is None:
            failed += 1
            continue
        worked += 1
        now = priced
        if total_minutes(now) < total_minutes(best) - 1e-9:
            best = now
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
