"""Improve the order of arranged moves, in rounds.

Each round anneals the order under plain precedence, and then makes the moves one after another
by all the rules. Where that does not work, what was learnt binds the rounds to come. The cheapest
order that keeps all rules is given. Rounds that look far about anneal twice, by other chance, on
a core each: both orders are made by the rules, and teach.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from math import ceil

from putback.planning.ordering.fewer_changes import with_fewer_changes
from putback.planning.ordering.items import Items, Lesson
from putback.planning.ordering.least_order import least_order
from putback.planning.ordering.price import CannotBeDone, Priced, price, total_minutes
from putback.planning.ordering.settle import settle
from putback.planning.plan import PlanSettings
from putback.planning.search.arrange import Bout, bouts_of
from putback.planning.search.field import Rules
from putback.progress import NoProgress, Progress


@dataclass(frozen=True, slots=True)
class _Round:
    """Tries for each move, the heat at first, of the least that a change costs [-], and runs."""

    tries: int
    heat: float
    runs: int = 1


_LEARNING = (_Round(60, 0.4),) * 5
"""Rounds that learn what does not work, until there is nothing left to learn."""

_SEARCHING = (*(_Round(400, 0.75, 2),) * 2, _Round(1800, 2.0, 2), *(_Round(100, 0.3),) * 5)
"""Three that look far about, the last of them hot, and some that mend what they learnt."""

_MOST = 2_500_000
"""Changes tried in one round, at most, lest a large vehicle waits for it."""

_COLD = 0.1
"""The heat at the end of each round, likewise [-]."""

_TOLD = "improving the order"

_FEW = 16
"""Moves of which every order may be looked at."""


def improve(
    rules: Rules,
    bouts: Sequence[Bout],
    settings: PlanSettings,
    effort: float = 1.0,
    progress: Progress = NoProgress(),
) -> tuple[Priced, ...]:
    """Improve the order of moves; gives them priced.

    ``effort`` is the share of the usual number of rounds, at least one, and of tries in each [-].
    """
    best = with_fewer_changes(rules, price(rules, bouts, settings), settings)
    bouts = _bouts_of(best)
    costs = (settings.zone_minutes, settings.tool_minutes, settings.helper_minutes)
    unit = min((each for each in costs if each > 0), default=0.0)
    if len(best) < 2 or not unit:
        return best
    if len(best) <= _FEW and (least := _least(rules, bouts, settings)):
        return min(least, best, key=total_minutes)
    rounds = _Rounds(rules, best, settings, unit, effort)
    rounds.go(_LEARNING[: ceil(len(_LEARNING) * effort)], progress)
    rounds.go(_SEARCHING[: ceil(len(_SEARCHING) * effort)], progress)
    return rounds.best


class _Rounds:
    """The order as far as it is improved, and what was learnt on the way."""

    def __init__(
        self,
        rules: Rules,
        begun: tuple[Priced, ...],
        settings: PlanSettings,
        unit: float,
        effort: float,
    ) -> None:
        self.rules = rules
        self.settings = settings
        self.unit = unit
        self.effort = effort
        self.now = self.best = begun
        self.bouts = _bouts_of(begun)
        self.learnt: dict[Lesson, None] = {}
        self.again: set[int] = set()
        self.seed = 0

    def go(self, rounds: Sequence[_Round], progress: Progress) -> None:
        """Go through some rounds; those after the first only while something is learnt."""
        for number, each in enumerate(rounds):
            known = len(self.learnt)
            self._one(each, lambda _: progress.step(number, len(rounds), _TOLD))  # noqa: B023
            if number and len(self.learnt) == known:
                break

    def _one(self, each: _Round, tell: Callable[[int], None]) -> None:
        before, self.bouts = self.bouts, _bouts_of(self.now)
        if len(self.bouts) != len(before):
            # a bout came to nothing: changes have other numbers now
            self.learnt = dict.fromkeys(filter(Lesson.is_of_moves, self.learnt))
            self.again.clear()
        items = Items(self.rules, self.bouts, self.settings, self.learnt)
        known = {move: at for at, bout in enumerate(self.bouts) for move in bout.moves}
        found: list[tuple[Priced, ...]] = []
        for order in self._annealed(items, each, tell):
            settled = settle(self.rules, bouts_of(list(items.placed(order))), known, self.again)
            self.again |= settled.changes
            self.learnt |= settled.lessons
            if settled.works:
                with suppress(CannotBeDone):
                    found.append(price(self.rules, bouts_of(settled.made), self.settings))
        self.now = min(found, key=total_minutes, default=self.now)
        self.best = min(self.best, self.now, key=total_minutes)

    def _annealed(
        self, items: Items, each: _Round, tell: Callable[[int], None]
    ) -> list[list[int]]:
        """Anneal the order, each run by a chance of its own; only the first run tells."""
        from putback.planning.ordering.anneal import improve_order  # loads Numba

        def run(number: int, tell: Callable[[int], None]) -> list[int]:
            return improve_order(
                items.ordering,
                items.start,
                items.sortings,
                max(int(self.effort * min(each.tries * len(self.now), _MOST)), 1),
                (self.unit * each.heat, self.unit * _COLD),
                seed=self.seed + number,
                tell=tell,
            )

        try:
            if each.runs == 1:
                return [run(0, tell)]
            with ThreadPoolExecutor(each.runs - 1) as others:
                beside = [others.submit(run, at, lambda _: None) for at in range(1, each.runs)]
                return [run(0, tell), *(other.result() for other in beside)]
        finally:
            self.seed += each.runs


def _bouts_of(priced: Sequence[Priced]) -> list[Bout]:
    return bouts_of([(each.move, each.standing) for each in priced])


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
