"""Find a way: nodes chosen by least work, arranged over the standings and put in sequence."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from putback.planning.impossible.contradict import impossible
from putback.planning.impossible.exhaust import exhaust
from putback.planning.ordering.price import CannotBeDone, price, total_minutes
from putback.planning.ordering.put_off import Staged, in_stages
from putback.planning.ordering.sequence import sequence
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import Clause, Problem
from putback.planning.search.arrange import Bout, arrange
from putback.planning.search.by_visits import arrange_by_visits, with_fewer_visits
from putback.planning.search.choose import Chosen, Contradiction, cheapest
from putback.planning.search.field import Rules
from putback.progress import NoProgress, Progress

_MANY = 300
"""Steps from which it pays to spread them over the cheapest walk of standings."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One goal on the way: its name, what it asks for, and nodes that it rules out."""

    name: str
    targets: tuple[Clause, ...]
    barred: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Way:
    """Chosen and arranged steps, and what they take together [minutes].

    ``cheapest`` is whether no other choice of steps is less work, ``late_last`` whether what is
    put off comes last, as far as anything is.
    """

    rules: Rules
    bouts: tuple[Bout, ...]
    total_minutes: float
    cheapest: bool
    late_last: bool = True


def find_way(
    problem: Problem,
    stages: Sequence[Stage],
    settings: PlanSettings,
    progress: Progress = NoProgress(),
) -> Way:
    """Give a way that can be done, cheap in work.

    Raises
    ------
    ImpossibleGoal
        If there is none; names the facts that shut each other out.
    NoOrderFound
        If none was found although nothing proves that there is none.
    """
    goal = stages[-1]
    try:
        chosen = choose_stages(problem, stages, progress)
        way = arranged(problem, chosen, settings, progress)
    except Contradiction:
        if len(stages) == 1:
            raise impossible(problem, goal.targets, goal.name, progress) from None
        way = None
    if way is not None:
        return way
    targets = tuple(target for stage in stages for target in stage.targets)
    if len(stages) > 1:  # one goal after another does not work out; all of them together may
        return find_way(problem, [replace(goal, targets=targets)], settings, progress)
    found = exhaust(problem, targets, settings, goal=goal.name, progress=progress)
    if found is None:
        raise impossible(problem, targets, goal.name, progress)
    rules, bouts = found
    return Way(
        rules, bouts, total_minutes(price(rules, bouts, settings)), cheapest=False, late_last=False
    )


def choose_stages(problem: Problem, stages: Sequence[Stage], progress: Progress) -> list[Chosen]:
    """Choose the nodes of each stage, those of the stages before being done then."""
    done: list[int] = []
    chosen: list[Chosen] = []
    for stage in stages:
        one = cheapest(
            problem,
            stage.targets,
            minutes=lambda node: node.minutes,
            before=done,
            barred=stage.barred,
            progress=progress,
        )
        chosen.append(one)
        done += one.nodes
    return chosen


def arranged(
    problem: Problem,
    chosen: Sequence[Chosen],
    settings: PlanSettings,
    progress: Progress = NoProgress(),
) -> Way | None:
    """Arrange chosen nodes; ``None`` if that gets stuck, which proves nothing.

    What is put off comes last in its stage, unless that gets stuck.
    """
    stages = [frozenset(each.nodes) for each in chosen]
    is_cheapest = all(each.optimal for each in chosen)
    split = in_stages(problem, stages, problem.put_off)
    for some in dict.fromkeys((split, Staged(tuple(stages)))):
        found = _arranged(problem, some, settings, progress)
        if found is not None:
            rules, bouts, total = found
            return Way(rules, bouts, total, is_cheapest, late_last=some is split)
    return None


def _arranged(
    problem: Problem,
    staged: Staged,
    settings: PlanSettings,
    progress: Progress,
) -> tuple[Rules, tuple[Bout, ...], float] | None:
    """Arrange stages, over the cheapest walk of standings where they are many steps.

    Else bout after bout.
    """
    rules = Rules(problem, staged.stages, late=staged.late, settings=settings)
    if len(rules.steps) >= _MANY and (spread := arrange_by_visits(rules, settings, progress)):
        for bouts in (sequence(rules, spread), spread):
            with suppress(CannotBeDone):
                return rules, bouts, total_minutes(price(rules, bouts, settings))
    found = arrange(rules, progress)
    if found is None:
        return None
    if len(rules.steps) >= _MANY and rules.problem.usable:
        found = with_fewer_visits(rules, found, settings, progress)
    bouts = sequence(rules, found)
    return rules, bouts, total_minutes(price(rules, bouts, settings))
