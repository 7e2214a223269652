"""Up to three other plans to the same goal, each with something to say for it.

Each is a whole plan, as right as the usual one. They are found by asking for what differs
(`again.other_ways`). Of each way the steps alone are looked at first, which is quick; the few that
gain something are then improved. `again.differ` tells from the plans alone what is gained; what
gains nothing over the usual plan, and over what is offered before it, is left out.
"""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import islice

from putback.logbook.state import State
from putback.planning.again.differ import Aspect, Difference, differences, in_words
from putback.planning.again.other_ways import Other, OtherWays
from putback.planning.bounds.bound import Bound
from putback.planning.ordering.improve import improve
from putback.planning.ordering.price import CannotBeDone, Priced, price
from putback.planning.ordering.task import Task, bound_of, set_task, sketched, written
from putback.planning.plan import USUAL, Plan, PlanSettings
from putback.planning.search.arrange import bouts_of
from putback.planning.strip import plan_strip
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.vehicle import Vehicle

MOST = 3
"""So many alternatives at the most: more is no choice."""
WORST = 1.5
"""So many times as long is no choice, whatever is gained [-]."""
_TRIED = 11
"""Ways that are looked at, at the most."""
_SERIOUS = 4
"""Ways that are improved, at the most."""
_EFFORT = 0.12
"""How much of the usual effort a way is improved with, which starts from a good order [-]."""


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another plan, in what it differs from the usual one, and that in one line."""

    plan: Plan
    differences: tuple[Difference, ...]
    words: str
    minutes_more: float
    """Work and set-up, against the usual plan [minutes]."""

    @property
    def aspect(self) -> Aspect:
        """What it is offered for."""
        return self.differences[0].aspect

    @property
    def gains(self) -> tuple[Difference, ...]:
        """What is plainly better in it."""
        return tuple(each for each in self.differences if each.is_gain)


def plan_alternatives(
    vehicle: Vehicle,
    state: State,
    goal: Goal,
    settings: PlanSettings = USUAL,
    progress: Progress = NoProgress(),
    *,
    usual: Plan | None = None,
) -> tuple[Alternative, ...]:
    """Give up to three plans that differ from the usual one, the quickest first.

    Parameters
    ----------
    vehicle, state, goal, settings, progress
        As for `plan_strip`.
    usual : Plan, optional
        The plan to differ from; else that of `plan_strip`.

    Raises
    ------
    ImpossibleGoal, NoOrderFound, Stopped
        As `plan_strip` does.
    """
    base = usual or plan_strip(vehicle, state, goal, settings, progress)
    task = set_task(vehicle, state, goal, settings)
    bound = bound_of(task, base, settings, progress)
    looking = _Looking(task, base, bound, settings)
    seen: list[_Found] = []
    for tried, other in enumerate(
        islice(OtherWays(task, base, settings, progress).ways(), _TRIED)
    ):
        progress.step(tried, None, "looking for other ways")
        seen += looking.as_it_is(other)
    serious = _serious(vehicle, seen)
    improved: list[_Found] = []
    for number, found in enumerate(serious):
        progress.step(number, len(serious), "improving other ways")
        improved += (each for each in looking.improved(found.other) if each.told.gains)
    return tuple(looking.in_full(found) for found in _offered(vehicle, improved, MOST))


@dataclass(frozen=True, slots=True)
class _Found:
    """A way, its moves priced, and what is to be told of it; its plan is a sketch."""

    other: Other
    priced: tuple[Priced, ...]
    told: Alternative


@dataclass(frozen=True, slots=True)
class _Looking:
    """What other ways are held against."""

    task: Task
    base: Plan
    bound: Bound
    settings: PlanSettings

    def as_it_is(self, other: Other) -> Iterator[_Found]:
        """Tell what a way gains as it is; nothing if it is no choice."""
        yield from self._found(other, other.priced)

    def improved(self, other: Other) -> Iterator[_Found]:
        """Improve a way under its own settings."""
        with suppress(CannotBeDone):
            priced = improve(other.rules, other.bouts, other.settings, _EFFORT)
            bouts = bouts_of([(each.move, each.standing) for each in priced])
            yield from self._found(other, price(other.held_to, bouts, self.settings))

    def _found(self, other: Other, priced: tuple[Priced, ...]) -> Iterator[_Found]:
        if not self.task.keeps_stages([each.move for each in priced]):
            return
        plan = sketched(self.task, other.held_to, priced, self.bound)
        if plan.total_minutes <= WORST * self.base.total_minutes:
            told = differences(self.task.problem.vehicle, self.base, plan)
            more = plan.total_minutes - self.base.total_minutes
            yield _Found(other, priced, Alternative(plan, told, "", more))

    def in_full(self, found: _Found) -> Alternative:
        """Write its plan down with all reasons, and what is to be said of it."""
        plan = written(self.task, found.other.held_to, found.priced, self.bound)
        words = in_words(self.task.problem.vehicle, self.base, plan)
        return replace(found.told, plan=plan, words=words)


def _serious(vehicle: Vehicle, seen: Sequence[_Found]) -> list[_Found]:
    """What is worth to be improved: of each sort that gains something the quickest first.

    Then the usual way with other prices, of which nothing can be told before, and then the rest.
    """
    usual = [found for found in seen if found.other.is_usual]
    gaining = _offered(vehicle, [found for found in seen if found.told.gains], MOST)
    of_a_sort = {found.told.aspect: found for found in reversed(gaining)}
    first = [found for found in gaining if of_a_sort[found.told.aspect] is found]
    more = [found for found in gaining if found not in first]
    dear = sorted(seen, key=_more)
    rest = (found for found in dear if not (found.told.gains or found.other.is_usual))
    return [*first, *usual, *more, *rest][:_SERIOUS]


def _offered(vehicle: Vehicle, found: Sequence[_Found], most: int) -> list[_Found]:
    return [found[at] for at in offered(vehicle, [each.told for each in found], most)]


def offered(vehicle: Vehicle, told: Sequence[Alternative], most: int) -> list[int]:
    """Take the quickest, and of the others what gains something over each taken before.

    Gives their numbers, the quickest first; of each sort one before a second.
    """

    def more(at: int) -> float:
        return told[at].minutes_more

    taken: list[int] = []
    for at in sorted(range(len(told)), key=more):
        gained = (differences(vehicle, told[other].plan, told[at].plan) for other in taken)
        if all(any(one.is_gain for one in some) for some in gained):
            taken.append(at)
    aspects = [told[at].aspect for at in taken]
    ranks = [aspects[:place].count(aspect) for place, aspect in enumerate(aspects)]
    one_of_each_first = sorted(range(len(taken)), key=lambda place: ranks[place])
    return sorted((taken[place] for place in one_of_each_first[:most]), key=more)


def _more(found: _Found) -> float:
    return found.told.minutes_more
