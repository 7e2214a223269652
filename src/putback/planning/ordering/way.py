"""Find a way: nodes chosen by least work, arranged over the standings and put in sequence.

Goals on the way are reached one after the other. Where the vehicle is stood less often for all of
them together, work that a later goal asks for is done before an earlier one is reached; what that
one keeps on stays on until then.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from math import inf

from putback.planning.held.left_hanging import left_hanging
from putback.planning.impossible.contradict import impossible
from putback.planning.impossible.exhaust import exhaust
from putback.planning.ordering.keep import fitted
from putback.planning.ordering.price import CannotBeDone, Priced, price, total_minutes
from putback.planning.ordering.put_off import Staged, as_late_as_holds, late_nodes
from putback.planning.ordering.sequence import sequence
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import Clause, Problem
from putback.planning.search.arrange import Bout, arrange, bouts_of
from putback.planning.search.by_visits import arrange_by_visits, with_fewer_visits
from putback.planning.search.choose import Chosen, Contradiction, cheapest
from putback.planning.search.field import Move, Rules
from putback.progress import NoProgress, Progress

_MANY = 300
"""Steps from which it pays to spread them over the cheapest walk of standings."""

_DECIMALS = 6
"""Minutes that differ by less than that many decimals say are the same."""

_Arranged = tuple[Rules, tuple[Bout, ...], float]
"""Rules, an order that keeps to them, and what that takes [minutes]."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One goal on the way: its name, what it asks for, and nodes that it rules out."""

    name: str
    targets: tuple[Clause, ...]
    barred: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class How:
    """How to arrange.

    ``together`` is whether work for a later goal may come before an earlier one is reached. Where
    it ``waives``, what else no order is found for is let hang or tip, and propped. With
    ``below_minutes`` only a walk of standings will do whose changes take less than that.
    """

    together: bool = False
    waives: bool = True
    below_minutes: float | None = None


@dataclass(frozen=True, slots=True)
class Way:
    """Chosen and arranged steps, and what they take together [minutes].

    ``cheapest`` is whether no other choice of steps is less work. ``behind`` comes behind what is
    put off, though it does not need it: before that, no order was found for it. ``chosen`` is what
    was arranged, stage by stage, and ``how``; nothing where an order was found by trying.
    """

    rules: Rules
    bouts: tuple[Bout, ...]
    total_minutes: float
    cheapest: bool
    behind: frozenset[int] = frozenset()
    chosen: tuple[Chosen, ...] = ()
    how: How = How()


def find_way(
    problem: Problem,
    stages: Sequence[Stage],
    settings: PlanSettings,
    progress: Progress = NoProgress(),
    *,
    held: bool = False,
) -> Way:
    """Give a way that can be done, cheap in work.

    It is that of the least work; where all is to be ``held``, another is rather taken than a whole
    of which a piece would hang whatever the order.

    Raises
    ------
    ImpossibleGoal
        If there is none; names the facts that shut each other out.
    NoOrderFound
        If none was found although nothing proves that there is none.
    """
    goal, way = stages[-1], None
    try:
        chosen = choose_stages(problem, stages, progress)
        if held and (others := _held(problem, stages, chosen, progress)) is not None:
            way = _one_or_the_other(problem, stages, others, settings, progress)
        way = way or _one_or_the_other(problem, stages, chosen, settings, progress)
    except Contradiction:
        if len(stages) == 1:
            raise impossible(problem, goal.targets, goal.name, progress) from None
    if way is not None:
        return way
    targets = tuple(target for stage in stages for target in stage.targets)
    if len(stages) > 1:  # what goals keep on is in the way; all that they ask for may be had
        return find_way(problem, [replace(goal, targets=targets)], settings, progress, held=held)
    found = exhaust(problem, targets, settings, goal=goal.name, progress=progress)
    if found is None:
        raise impossible(problem, targets, goal.name, progress)
    return _kept_late(problem, *found, settings)


def _kept_late(
    problem: Problem, rules: Rules, bouts: tuple[Bout, ...], settings: PlanSettings
) -> Way:
    """Keep to an order that was found with no thought of what is put off, but for that."""
    wishes = [(move, bout.standing) for bout in bouts for move in bout.moves]
    usual = rules, bouts, total_minutes(price(rules, bouts, settings))

    def tried(staged: Staged) -> _Arranged | None:
        if staged.stages == (rules.wanted,):
            return usual
        some = Rules(problem, staged.stages, late=staged.late, settings=settings)
        some.waived, some.spared = rules.waived, rules.spared
        placed = fitted(some, wishes)
        if placed is not None:
            with suppress(CannotBeDone):
                kept = tuple(bouts_of(placed))
                return some, kept, total_minutes(price(some, kept, settings))
        return None

    found = as_late_as_holds(problem, [rules.wanted], tried, _moves_of)
    (rules, bouts, total), behind = found or (usual, frozenset[int]())
    return Way(rules, bouts, total, cheapest=False, behind=behind)


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


def _held(
    problem: Problem, stages: Sequence[Stage], chosen: Sequence[Chosen], progress: Progress
) -> list[Chosen] | None:
    """Choose again without wholes of which a piece would hang; ``None`` where that cannot be."""
    hanging = left_hanging(problem, [index for each in chosen for index in each.nodes])
    if not hanging:
        return None
    barred = [replace(stage, barred=stage.barred | hanging) for stage in stages]
    try:
        return choose_stages(problem, barred, progress)
    except Contradiction:
        return None


def _one_or_the_other(
    problem: Problem,
    stages: Sequence[Stage],
    chosen: Sequence[Chosen],
    settings: PlanSettings,
    progress: Progress,
) -> Way | None:
    """Arrange goal after goal, and all together where that spares changes of standing."""
    apart = arranged(problem, stages, chosen, settings, progress)
    if len(stages) == 1 or (apart is not None and not _comes_back(apart)):
        return apart
    how = How(together=True, waives=apart is None)
    if apart is not None and len(apart.rules.steps) >= _MANY:
        how = replace(how, below_minutes=_least_walk(apart, settings))
    together = arranged(problem, stages, chosen, settings, progress, how)
    if together is None or apart is None:
        return apart or together
    return min(apart, together, key=lambda way: _unwalked(way, settings))


def over_a_cheaper_walk(
    problem: Problem,
    stages: Sequence[Stage],
    way: Way,
    settings: PlanSettings,
    progress: Progress = NoProgress(),
) -> Way:
    """Arrange a way of few steps over a walk that takes less, or without letting anything pass.

    Gives the way itself where nothing better is found.
    """
    if not way.chosen or len(way.rules.steps) >= _MANY or not problem.usable:
        return way
    below = _least_walk(way, settings)
    if not below:
        return way
    how = replace(way.how, below_minutes=below)
    other = arranged(problem, stages, way.chosen, settings, progress, how)
    return way if other is None else min(way, other, key=lambda each: _unwalked(each, settings))


def _comes_back(way: Way) -> bool:
    """Whether for a later stage the vehicle is stood again as it was for an earlier one."""
    begun: dict[object, int] = {}
    for bout in way.bouts:
        stages = [way.rules.stage_of[move] for move in bout.moves if move >= 0]
        if bout.standing in begun and max(stages, default=0) > begun[bout.standing]:
            return True
        begun.setdefault(bout.standing, min(stages, default=0))
    return False


def _unwalked(way: Way, settings: PlanSettings) -> tuple[int, int, float]:
    """What is put off comes last, and nothing is let pass; then work and changes of standing.

    Walks and fetches do not count, for they are still improved upon.
    """
    minutes = sum(each.total_minutes for each in _without_walks(way, settings))
    return len(way.behind), len(way.rules.waived), round(minutes, _DECIMALS)


def _least_walk(way: Way, settings: PlanSettings) -> float:
    """What another walk must take less than to be better [minutes]; any is where things pass."""
    if way.rules.waived:
        return inf
    return sum(each.setup_minutes for each in _without_walks(way, settings))


def _without_walks(way: Way, settings: PlanSettings) -> tuple[Priced, ...]:
    only = replace(settings, zone_minutes=0.0, tool_minutes=0.0, helper_minutes=0.0)
    return price(way.rules, way.bouts, only, watched=False)


def arranged(
    problem: Problem,
    stages: Sequence[Stage],
    chosen: Sequence[Chosen],
    settings: PlanSettings,
    progress: Progress = NoProgress(),
    how: How = How(),
) -> Way | None:
    """Arrange what was chosen for each stage; ``None`` if that gets stuck, which proves nothing.

    What is put off comes last in its stage; where that gets stuck, as late as it is found to hold.
    """
    nodes = [frozenset(each.nodes) for each in chosen]
    if how.together:
        nodes = in_one_go(problem, stages, nodes)
        if not nodes:
            return None
    found = as_late_as_holds(
        problem,
        nodes,
        lambda staged: _arranged(problem, staged, settings, progress, how),
        _moves_of,
    )
    if found is None:
        return None
    (rules, bouts, total), behind = found
    is_cheapest = all(each.optimal for each in chosen)
    return Way(rules, bouts, total, is_cheapest, behind, tuple(chosen), how)


def in_one_go(
    problem: Problem, stages: Sequence[Stage], nodes: Sequence[frozenset[int]]
) -> list[frozenset[int]]:
    """Stage anew what each stage wants: only what an earlier goal keeps on, and needs that, waits.

    Empty if an earlier goal would have to wait for that as well.
    """
    left = frozenset().union(*nodes)
    found: list[frozenset[int]] = []
    for stage, own in zip(stages, nodes, strict=True):
        kept = left & stage.barred if stage is not stages[-1] else frozenset[int]()
        late = late_nodes(problem, left, (), kept) if kept else kept
        if not late.isdisjoint(own):
            return []
        found.append(left - late)
        left = late
    return [each for each in found if each]


def _moves_of(order: _Arranged) -> list[Move]:
    return [move for bout in order[1] for move in bout.moves]


def _arranged(
    problem: Problem, staged: Staged, settings: PlanSettings, progress: Progress, how: How
) -> _Arranged | None:
    """Arrange stages, over the cheapest walk of standings where they are many steps.

    Else bout after bout.
    """
    rules = Rules(problem, staged.stages, late=staged.late, settings=settings)
    below = how.below_minutes
    if below is not None or len(rules.steps) >= _MANY:
        spread = arrange_by_visits(rules, settings, progress, inf if below is None else below)
        for bouts in (sequence(rules, spread), spread) if spread is not None else ():
            with suppress(CannotBeDone):
                return rules, bouts, total_minutes(price(rules, bouts, settings))
    if below is not None:
        return None
    found = arrange(rules, progress, waives=how.waives)
    if found is None:
        return None
    if len(rules.steps) >= _MANY and rules.problem.usable:
        found = with_fewer_visits(rules, found, settings, progress)
    bouts = sequence(rules, found)
    return rules, bouts, total_minutes(price(rules, bouts, settings))
