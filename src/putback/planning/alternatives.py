"""Up to three other plans to the same goal that differ in something a person cares about.

Each is a whole plan, as right as the usual one. They are found by asking for what differs: a whole
the other way, another of several covers, standings, helpers or walks counted several times as
dear, one end of the vehicle first. `putback.planning.differ` then tells from the plans alone what
really differs; what differs in nothing that matters is left out.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from putback.logbook.state import State
from putback.planning.arrange import bouts_of
from putback.planning.bound import Bound, lower_bound
from putback.planning.choose import Chosen, Contradiction, closure
from putback.planning.differ import TASTE, Aspect, Difference, differences, figures, in_words
from putback.planning.field import Rules
from putback.planning.improve import improve
from putback.planning.keep import chosen_like, fitted, left_of
from putback.planning.plan import Because, Plan, PlanSettings
from putback.planning.price import CannotBeDone, price, total_minutes
from putback.planning.problem import Cause, Clause, Kind, Problem
from putback.planning.put_off import in_stages
from putback.planning.strip import plan_strip
from putback.planning.task import Task, set_task, written
from putback.planning.way import Way, arranged
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.vehicle import Vehicle

MOST = 3
"""So many alternatives at the most: more is no choice."""
_WORST = 2.0
"""So many times as long is too long, unless something is plainly gained [-]."""
_TRIED = 8
"""Ways that are tried at the most."""
_EFFORT = 0.1
"""How much of the usual effort is spent to improve each [-]."""
_DEAR = 6.0
"""How many times as dear a thing counts of which less is wanted [-]."""

_DEFAULT = PlanSettings()


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
    settings: PlanSettings = _DEFAULT,
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
    bound = lower_bound(task.problem, task.targets, settings, progress)
    asking = _Asking(task, base, settings, progress)
    found: list[Alternative] = []
    for tried, way in enumerate(islice(asking.ways(), _TRIED)):
        progress.step(tried, None, "looking for other ways")
        plan = _finished(task, way, settings, bound)
        if plan is not None:
            more = figures(plan).total_minutes - figures(base).total_minutes
            told = differences(vehicle, base, plan)
            if told:
                words = in_words(vehicle, base, plan)
                found.append(Alternative(plan, told, words, more))
    return _chosen(vehicle, base, found)


@dataclass(frozen=True, slots=True)
class _Other:
    """A way found, and the settings under which to improve it."""

    way: Way
    settings: PlanSettings


def _finished(task: Task, other: _Other, settings: PlanSettings, bound: Bound) -> Plan | None:
    """Improve a way under its own settings, and write it down with the true minutes."""
    rules = other.way.rules
    try:
        priced = improve(rules, other.way.bouts, other.settings, _EFFORT)
        if other.settings != settings:
            placed = [(each.move, each.standing) for each in priced]
            priced = price(rules, bouts_of(placed), settings)
    except CannotBeDone:
        return None
    if not task.keeps_stages([each.move for each in priced]):
        return None
    return written(task, rules, priced, bound)


def _chosen(vehicle: Vehicle, base: Plan, found: Sequence[Alternative]) -> tuple[Alternative, ...]:
    """Take the quickest of each aspect, then more of those that are a matter of taste."""
    limit = _WORST * figures(base).total_minutes
    worth = [
        each
        for each in found
        if each.gains or (each.aspect in TASTE and figures(each.plan).total_minutes <= limit)
    ]
    worth.sort(key=lambda each: each.minutes_more)
    taken: list[Alternative] = []
    for again in (False, True):
        for each in worth:
            is_new = each.aspect not in {other.aspect for other in taken}
            apart = all(differences(vehicle, other.plan, each.plan) for other in taken)
            if len(taken) < MOST and apart and (is_new or (again and each.aspect in TASTE)):
                taken.append(each)
    return tuple(sorted(taken, key=lambda each: each.minutes_more))


# -- ways ---------------------------------------------------------------------------------------


class _Asking:
    """Asks for what differs, one thing after another, and else for what is usual."""

    def __init__(self, task: Task, base: Plan, settings: PlanSettings, progress: Progress) -> None:
        self.task = task
        self.problem = task.problem
        self.base = base
        self.settings = settings
        self.progress = progress
        self.usual = left_of(task.problem, base.steps)
        self.like = chosen_like(task.problem, task.targets, self.usual, progress=progress)

    def ways(self) -> Iterator[_Other]:
        """Give ways, taking turns among the sorts of things that may differ."""
        turns = [self._wholes(), self._covers(), self._prices(), self._zones()]
        while turns:
            for turn in list(turns):
                other = next(turn, None)
                if other is None:
                    turns.remove(turn)
                else:
                    yield other

    def _wholes(self) -> Iterator[_Other]:
        """Each whole the other way: apart if it goes as one, else as one."""
        wanted = closure(self.problem, self.task.targets)
        for whole in sorted(i for i in wanted if self.problem.nodes[i].kind is Kind.WHOLE):
            if whole in self.like.nodes:
                yield from self._chosen(barred={whole})
            else:
                yield from self._chosen(wanted=whole)

    def _covers(self) -> Iterator[_Other]:
        """Where one of several parts in the way is enough, each other one instead."""
        nodes, seen = self.problem.nodes, set[tuple[int, ...]]()
        for index in self.like.nodes:
            for clause in nodes[index].clauses:
                if clause.cause.because is not Because.IN_THE_WAY or clause.any_of in seen:
                    continue
                seen.add(clause.any_of)
                taken = {by for by in clause.any_of if by in self.like.nodes}
                gone = frozenset().union(*(nodes[by].parts for by in taken))
                for by in clause.any_of:
                    if by not in taken and gone.isdisjoint(nodes[by].parts):
                        yield from self._chosen(barred=taken, wanted=by)

    def _prices(self) -> Iterator[_Other]:
        """The same steps, with one sort of set-up several times as dear as it is."""
        usual = self.settings
        helpers = replace(usual, helper_minutes=usual.helper_minutes * _DEAR)
        walks = replace(
            usual,
            zone_minutes=usual.zone_minutes * _DEAR,
            tool_minutes=usual.tool_minutes * _DEAR,
        )
        for dear in (helpers, walks):
            yield from self._arranged(self._staged(self.like), dear)

    def _zones(self) -> Iterator[_Other]:
        """One end first: all in a zone and all that it needs, then the rest; the largest zones."""
        work: dict[str, float] = {}
        for step in self.base.steps:
            if step.zone:
                work[step.zone] = work.get(step.zone, 0.0) + step.minutes
        for zone in sorted(work, key=lambda each: -work[each]):
            here = (i for i in self.like.nodes if self.problem.nodes[i].zone == zone)
            early = _with_needs(self.problem, self.like, here)
            split: list[Chosen] = []
            for stage in self._staged(self.like):
                split += _parted(stage, early)
            yield from self._arranged(split, self.settings)

    def _chosen(
        self, *, barred: Collection[int] = (), wanted: int | None = None
    ) -> Iterator[_Other]:
        """Choose as usual, without some nodes or with another one."""
        targets = list(self.task.targets)
        if wanted is not None:
            targets.append(Clause((wanted,), Cause(Because.GOAL, "another way")))
        try:
            chosen = chosen_like(
                self.problem, targets, self.usual, barred=barred, progress=self.progress
            )
        except Contradiction:
            return
        stages = self._staged(chosen)
        way = self._kept(stages)
        if way is not None:
            yield _Other(way, self.settings)
        else:
            yield from self._arranged(stages, self.settings)

    def _kept(self, stages: Sequence[Chosen]) -> Way | None:
        """Keep to the usual order, with what is new in it where it is needed."""
        nodes = [each.nodes for each in stages]
        problem = self.problem
        rules = Rules(problem, in_stages(problem, nodes, problem.put_off), settings=self.settings)
        placed = fitted(rules, self.usual)
        if placed is None:
            return None
        try:
            priced = price(rules, bouts_of(placed), self.settings)
        except CannotBeDone:
            return None
        return Way(rules, tuple(bouts_of(placed)), total_minutes(priced), cheapest=False)

    def _staged(self, chosen: Chosen) -> list[Chosen]:
        """Split what was chosen into what each goal on the way needs, the earlier goals first."""
        found: list[Chosen] = []
        left = chosen
        for stage in self.task.stages[:-1]:
            place = {index: at for at, index in enumerate(chosen.nodes)}
            ways = ([by for by in target.any_of if by in place] for target in stage.targets)
            first = [min(some, key=lambda by: place[by]) for some in ways if some]
            now, later = _split(left, _with_needs(self.problem, chosen, first))
            found.append(now)
            left = later
        return [each for each in (*found, left) if each.nodes]

    def _arranged(self, stages: Sequence[Chosen], settings: PlanSettings) -> Iterator[_Other]:
        way = arranged(self.problem, stages, settings, self.progress)
        if way is not None:
            yield _Other(way, settings)


def _parted(stage: Chosen, early: Collection[int]) -> list[Chosen]:
    return [each for each in _split(stage, early) if each.nodes]


def _split(chosen: Chosen, first: Collection[int]) -> tuple[Chosen, Chosen]:
    """Part nodes into the first and the rest."""
    now = tuple(index for index in chosen.nodes if index in first)
    later = tuple(index for index in chosen.nodes if index not in first)
    return replace(chosen, nodes=now), replace(chosen, nodes=later)


def _with_needs(problem: Problem, chosen: Chosen, nodes: Iterable[int]) -> set[int]:
    """Nodes together with what they need, by the ways chosen first."""
    place = {index: at for at, index in enumerate(chosen.nodes)}
    found: set[int] = set()
    todo = list(nodes)
    while todo:
        index = todo.pop()
        if index in found:
            continue
        found.add(index)
        for clause in problem.nodes[index].clauses:
            ways = sorted((place[by], by) for by in clause.any_of if by in place)
            todo += [by for _, by in ways[:1]]
        firsts = problem.orders_onto.get(index, ())
        todo += [order.first for order in firsts if order.first in place]
    return found
