"""Improve the order of arranged moves, in rounds.

Each round anneals the order under plain precedence, and then makes the moves one after another
by all the rules. Where that does not work, what was learnt costs a fine in the rounds to come: so
the next round goes on from the very order that did not work, and mends it where it is cheapest.
The cheapest order that keeps all rules is given. Rounds that look far about anneal twice, by other
chance, on a core each: both orders are made by the rules, and teach.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from math import ceil

from putback.planning.ordering.at_once import off_at_once
from putback.planning.ordering.fewer_changes import with_fewer_changes
from putback.planning.ordering.items import Items, Lesson
from putback.planning.ordering.least_order import least_order
from putback.planning.ordering.order import Ordering
from putback.planning.ordering.price import CannotBeDone, Priced, price, total_minutes
from putback.planning.ordering.settle import Settled, before_changes, settle
from putback.planning.plan import PlanSettings
from putback.planning.search.arrange import Bout, bouts_of
from putback.planning.search.field import Move, Rules
from putback.planning.search.windows import Windows
from putback.progress import NoProgress, Progress


@dataclass(frozen=True, slots=True)
class _Round:
    """Tries for each move, the heat at first, of the least that a change costs [-], and runs."""

    tries: int
    heat: float
    runs: int = 1


_SEARCHING = (_Round(200, 2.0, 2), _Round(500, 2.0, 2), _Round(500, 2.0, 2))
"""Rounds that look far about, hot."""

_MENDING = (_Round(60, 0.4),) * 5
"""Rounds after each of these that mend what does not work, until there is nothing to learn."""

_MANY = 2_000
"""Moves from which there is time for one round that looks far about."""

_SLOWLY = (_Round(200, 0.7),) * 4 + _MENDING[:3]
"""Rounds after that one: what it found is mended slowly."""

_HOPEFUL = 3
"""Rounds after which a long order of which nothing worked, found freely, is found no more so."""

_FINE = 10.0
"""What breaking a lesson costs for each time it was learnt, of the least change's cost [-]."""

_TOLD_TIMES = 3
"""As often as that it counts as learnt what arranging found out."""

_MOST = 1_000_000
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
    best = _improved(rules, bouts, settings, effort, progress)
    return off_at_once(rules, best, settings)


def _improved(
    rules: Rules,
    bouts: Sequence[Bout],
    settings: PlanSettings,
    effort: float,
    progress: Progress,
) -> tuple[Priced, ...]:
    """Improve the order by what it costs alone."""
    best = with_fewer_changes(rules, price(rules, bouts, settings), settings)
    bouts = _bouts_of(best)
    costs = (settings.zone_minutes, settings.tool_minutes, settings.helper_minutes)
    unit = min((each for each in costs if each > 0), default=0.0)
    if len(best) < 2 or not unit:
        return best
    if len(best) <= _FEW and (least := _least(rules, bouts, settings)):
        return min(least, best, key=total_minutes)
    rounds = _Rounds(rules, best, settings, unit, effort)
    rounds.go(progress)
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
        self.best = begun
        self.is_long = len(begun) >= _MANY
        bouts = _bouts_of(begun)
        self.items = Items(rules, bouts, settings)
        self.known = {move: at for at, bout in enumerate(bouts) for move in bout.moves}
        self.order = self.kept = self.items.start
        """Where the next round begins, and the best order that keeps all rules."""
        self.latest = _latest(rules, self.items)
        """In which bout each could be made at the latest."""
        told = _told(rules, bouts, self.known, self.latest)
        self.learnt: Counter[Lesson] = Counter(dict.fromkeys(told, _TOLD_TIMES))
        """How often each lesson was learnt."""
        self.again: set[int] = set()
        self.seed = 0
        self.pins_first = self.is_long and rules.would_hang is None and len(bouts) > 1
        """Whether nobody looked for what would hang, were moves made in other bouts."""
        self.pinned = False
        """Whether every move stays in its bout."""

    def go(self, progress: Progress) -> None:
        """Look far about in each round, and then mend what came of it."""
        rounds = self._planned()
        done, most = 0, sum(map(len, rounds))
        begun = self.best
        for again, some in enumerate(rounds):
            if again == 1 and self.is_long and self.best is not begun:
                break
            self.order = self.kept
            # If nothing that was found could be mended, it is for what is in the air at changes.
            self.pinned = again == (0 if self.pins_first else 1) and self.best is begun
            is_first_of_two = self.is_long and not self.pinned and again + 1 < len(rounds)
            for number, each in enumerate(some):
                if number == _HOPEFUL and is_first_of_two and self.best is begun:
                    break
                known = len(self.learnt)
                works = self._one(each, lambda _: progress.step(done, most, _TOLD))  # noqa: B023
                done += 1
                if works and len(self.learnt) == known:
                    break

    def _planned(self) -> list[tuple[_Round, ...]]:
        """The rounds; of a long order the second lot only where nothing came of the first.

        Where nobody looked for what would hang, what is found freely can mostly not be mended.
        """
        mending = _MENDING[: ceil(len(_MENDING) * self.effort)]
        if self.is_long:
            slowly = _SLOWLY[: ceil(len(_SLOWLY) * self.effort)]
            freely, pinned = (_SEARCHING[-1], *slowly), (_SEARCHING[-1], *mending)
            return [pinned, freely] if self.pins_first else [freely, pinned]
        return [(far, *mending) for far in _SEARCHING[: ceil(len(_SEARCHING) * self.effort)]]

    def _one(self, each: _Round, tell: Callable[[int], None]) -> bool:
        """Anneal, and make the moves by all the rules; whether that worked."""
        ordering = self.items.taught(self.learnt, self.unit * _FINE)
        if self.pinned:
            ordering = self.items.in_their_bouts(ordering)
        works: list[tuple[float, list[int]]] = []
        fails: list[tuple[int, list[int]]] = []
        for order in self._annealed(ordering, each, tell):
            settled = settle(
                self.rules, self.items.bouts(order), self.known, self.again, self.latest
            )
            self.again |= settled.changes
            self.learnt.update(settled.lessons.keys())
            priced = self._priced(settled)
            if priced is None:
                fails.append((len(settled.lessons), order))
                continue
            made = self.items.order(settled.bouts)
            is_bound = self.items.is_bound_by(made)
            if total_minutes(priced) < total_minutes(self.best):
                self.best = priced
                self.kept = made if is_bound else self.kept
            if is_bound:
                works.append((total_minutes(priced), made))
            else:
                fails.append((len(settled.lessons), order))
        self.order = min(works or fails)[1]
        return bool(works)

    def _priced(self, settled: Settled) -> tuple[Priced, ...] | None:
        if not settled.works:
            return None
        bouts = bouts_of(settled.made)
        # Where a bout came to nothing, another change of standing is made than was tried.
        is_watched = len(bouts) < len(settled.bouts)
        try:
            return price(self.rules, bouts, self.settings, watched=is_watched)
        except CannotBeDone:
            return None

    def _annealed(
        self, ordering: Ordering, each: _Round, tell: Callable[[int], None]
    ) -> list[list[int]]:
        """Anneal the order, each run by a chance of its own; only the first run tells."""
        from putback.planning.ordering.anneal import improve_order  # loads Numba

        def run(number: int, tell: Callable[[int], None]) -> list[int]:
            return improve_order(
                ordering,
                self.order,
                self.items.sortings,
                max(int(self.effort * min(each.tries * len(self.best), _MOST)), 1),
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


def _told(
    rules: Rules, bouts: Sequence[Bout], known: Mapping[Move, int], latest: Mapping[Move, int]
) -> Iterator[Lesson]:
    """What arranging found out of what would hang at a change: it is off, or let go after it."""
    for piece, nodes in (rules.would_hang or {}).items():
        if known.keys() >= set(nodes):
            yield from before_changes(rules, bouts, known, latest, piece, nodes)


def _latest(rules: Rules, items: Items) -> dict[Move, int]:
    """In which bout each move could be made at the latest, as precedence and standings have it."""
    walk = [standing for standing in items.standings if standing is not None]
    if not len(walk) == len(items.standings) > 1:
        return {}
    periods = zip(items.moves, items.ordering.periods, strict=False)  # changes have some as well
    windows = Windows(rules).on(walk, {move: bits.bit_length() - 1 for move, bits in periods})
    return {move: window.latest for move, window in (windows or {}).items()}


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
        return price(rules, [bout for bout in items.bouts(order) if bout.moves], settings)
    except CannotBeDone:
        return None
