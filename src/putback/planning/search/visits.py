"""Spread the work over given visits of standings, so that nothing is in the air between them.

A bout that does all that can be done leaves little to hold up what comes off in the next. Here the
visits are given, and of everything the visit is chosen in which it is done, all at once
(`laid_out.py`). What is in the air before a change (rule 11) is looked for in each answer, and
shut out in the next. What much hangs on would be held by another small thing in each of them, that
hangs itself. So where a few rounds were not enough, each part is to be held by one of an earlier
rank, as the last answer has them held and come off (`outward.py`): that asks for more than must
be, and mostly works at once.
"""

from collections.abc import Sequence
from math import inf

from putback.planning.search.laid_out import LaidOut
from putback.planning.search.learnt import Learnt
from putback.planning.search.on_walk import OnWalk
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

_ROUNDS = 60
"""So often what is in the air is shut out, before the visits are given up."""

_LED = frozenset({4, 8, 16, 32})
"""Rounds after which it is tried to have each part held by one of an earlier rank."""

_EFFORT = 0.2
"""Effort for each round, in the solver's own count [-]."""

_WANTING_ROUNDS = 12
"""So often few visits are wanted, once it was found how nothing is in the air."""

_WANTING_EFFORT, _WANTING_LED_EFFORT = 0.1, 0.4
"""Effort for each of these, freely and where it is said what holds what up [-]."""

_MANY = 3000
"""Of fewer steps few visits are wanted with so much less effort, in proportion."""

_WORTH_IT = 0.97
"""Few visits are wanted once more while that leaves so much of the cost at most [-]."""


def spread_over(learnt: Learnt, walk: Sequence[StandingId]) -> "SpreadOut | None":
    """Look at a walk; ``None`` if there is plainly no way to spread the work over it."""
    is_free = learnt.rules.problem.start is None and walk[0] not in learnt.rules.waived
    if is_free and any(each.standing == walk[0] and each.least > 0 for each in learnt.to_go):
        return None  # nothing is gone yet when it is first stood up
    windows = learnt.windows.on(walk)
    if windows is None:
        return None
    on_walk = OnWalk(learnt, walk, windows)
    if on_walk.is_plainly_shut():
        return None
    found = SpreadOut(on_walk)
    return None if found.laid_out.is_shut else found


class SpreadOut:
    """The work on one walk, as it is spread over its visits."""

    def __init__(self, on_walk: OnWalk) -> None:
        """Begin with nothing chosen."""
        self.on_walk = on_walk
        self.steps = len(on_walk.rules.steps)
        self.laid_out = LaidOut(on_walk)
        """What is chosen from."""

    def visits(self, progress: Progress = NoProgress()) -> dict[int, int] | None:
        """Choose of each step the visit in which it is done; ``None`` if no choice was found."""
        for number in range(1, _ROUNDS + 1):
            found = self._answer(self.laid_out, progress)
            if found is None or self.laid_out.is_kept(found):
                return found
            if number in _LED:
                holds = self.on_walk.holds(found)
                led = LaidOut(self.on_walk, [self.on_walk.ranks(*each) for each in holds])
                if (kept := self._kept(led, progress)) is not None:
                    self.laid_out = led
                    return kept
        return None

    def in_few_visits(self, progress: Progress = NoProgress()) -> dict[int, int] | None:
        """Choose once more, such that zones, tools and helpers are wanted in few visits."""
        self.laid_out.want_few_visits()
        is_led, share = self.laid_out.ranks is not None, min(self.steps / _MANY, 1.0)
        effort = share * _WANTING_LED_EFFORT if is_led else _WANTING_EFFORT
        best: dict[int, int] | None = None
        least = inf
        for _ in range(_WANTING_ROUNDS):
            visit_of = self.laid_out.answer(effort, progress)
            if visit_of is None:
                break
            if self.laid_out.is_kept(visit_of):
                is_worth_it = is_led and self.laid_out.cost <= _WORTH_IT * least
                best, least = visit_of, self.laid_out.cost
                if not is_worth_it:
                    break
            effort = effort if is_led else share * _WANTING_EFFORT
        return best

    def _kept(self, laid_out: LaidOut, progress: Progress) -> dict[int, int] | None:
        """Choose until all that binds is kept; ``None`` if no choice was found."""
        for _ in range(_ROUNDS):
            found = self._answer(laid_out, progress)
            if found is None or laid_out.is_kept(found):
                return found
        return None

    def _answer(self, laid_out: LaidOut, progress: Progress) -> dict[int, int] | None:
        """Choose once, as long as steps may still be spread."""
        self.on_walk.learnt.left -= self.steps
        return None if self.on_walk.learnt.left < 0 else laid_out.answer(_EFFORT, progress)
