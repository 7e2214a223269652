"""Up to three other plans to the same goal, each with something to say for it.

Each is a whole plan, as right as the usual one. They are found by asking for what differs: a whole
the other way, another of several covers, helpers or walks counted several times as dear, one end
of the vehicle first. Every one starts from the order of the usual plan, so that what it costs is
the cost of the choice; those that gain something at a low effort are then improved at the effort
of the usual plan. `differ` tells from the plans alone what is gained; what gains
nothing over the usual plan, and over what is offered before it, is left out.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from putback.logbook.state import State
from putback.planning.again.differ import Aspect, Difference, differences, in_words
from putback.planning.bounds.bound import Bound, lower_bound
from putback.planning.ordering.improve import improve
from putback.planning.ordering.keep import chosen_like, fitted, left_of
from putback.planning.ordering.price import CannotBeDone, price, total_minutes
from putback.planning.ordering.put_off import in_stages
from putback.planning.ordering.task import Task, set_task, written
from putback.planning.ordering.way import Way, arranged
from putback.planning.plan import Because, Plan, PlanSettings
from putback.planning.posing.problem import Cause, Clause, Kind, Problem
from putback.planning.search.arrange import bouts_of
from putback.planning.search.choose import Chosen, Contradiction, closure
from putback.planning.search.field import Rules
from putback.planning.strip import plan_strip
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.vehicle import Vehicle

MOST = 3
"""So many alternatives at the most: more is no choice."""
WORST = 1.5
"""So many times as long is no choice, whatever is gained [-]."""
_TRIED = 8
"""Ways that are tried at the most."""
_ANEW = 1
"""... and that are arranged anew, where the usual order cannot be kept to, which takes long."""
_FIRST_LOOK = 0.1
"""How much of the usual effort shows whether a way gains anything [-]."""
_SERIOUS = 3
"""Ways that are improved at the usual effort, at the most."""
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
    looked_at: list[tuple[_Other, Alternative]] = []
    for tried, other in enumerate(islice(asking.ways(), _TRIED)):
        progress.step(tried, None, "looking for other ways")
        found = _finished(task, base, other, bound, settings, _FIRST_LOOK)
        if found is not None:
            looked_at.append((other, found))
    offered = _offered(vehicle, [found for _, found in looked_at], _SERIOUS)
    serious: list[Alternative] = []
    for other, found in looked_at:
        if found in offered:
            progress.step(len(serious), len(offered), "improving other ways")
            again = _finished(task, base, other, bound, settings, 1.0)
            serious.append(again or found)
    return _offered(vehicle, serious, MOST)


@dataclass(frozen=True, slots=True)
class _Other:
    """A way found, the settings under which to improve it, and the rules that it is held to.

    The way may keep to stages that nobody but us asks for; the rules are those without them.
    """

    way: Way
    settings: PlanSettings
    rules: Rules


def _finished(
    task: Task, base: Plan, other: _Other, bound: Bound, settings: PlanSettings, effort: float
) -> Alternative | None:
    """Improve a way under its own settings, and tell what it gains; ``None`` if nothing."""
    rules, vehicle = other.rules, task.problem.vehicle
    try:
        priced = improve(other.way.rules, other.way.bouts, other.settings, effort)
        placed = [(each.move, each.standing) for each in priced]
        priced = price(rules, bouts_of(placed), settings)
    except CannotBeDone:
        return None
    if not task.keeps_stages([each.move for each in priced]):
        return None
    plan = written(task, rules, priced, bound)
    found = Alternative(
        plan,
        differences(vehicle, base, plan),
        in_words(vehicle, base, plan),
        plan.total_minutes - base.total_minutes,
    )
    return found if found.gains and plan.total_minutes <= WORST * base.total_minutes else None


def _offered(vehicle: Vehicle, found: Iterable[Alternative], most: int) -> tuple[Alternative, ...]:
    """Take the quickest, and of the others what gains something over each taken before."""
    taken: list[Alternative] = []
    for each in sorted(found, key=lambda each: each.minutes_more):
        told = (differences(vehicle, other.plan, each.plan) for other in taken)
        if all(any(one.is_gain for one in some) for some in told):
            taken.append(each)
    by_aspect = sorted(taken, key=lambda each: _rank(each, taken))
    return tuple(sorted(by_aspect[:most], key=lambda each: each.minutes_more))


def _rank(each: Alternative, among: Sequence[Alternative]) -> int:
    """How many before it are offered for the same thing: one of each sort comes first."""
    before = among[: among.index(each)]
    return sum(other.aspect is each.aspect for other in before)


# -- ways ---------------------------------------------------------------------------------------


class _Asking:
    """Asks for what differs, one thing after another, and else for what is usual."""

    def __init__(self, task: Task, base: Plan, settings: PlanSettings, progress: Progress) -> None:
        self.task = task
        self.problem = task.problem
        self.base = base
        self.settings = settings
        self.progress = progress
        self.anew = 0
        self.usual = left_of(task.problem, base.steps)
        self.like = chosen_like(task.problem, task.targets, self.usual, progress=progress)
        self.way = self._kept(self._staged(self.like)) or self._kept([self.like])

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
        """The same steps, with one sort of set-up several times as dear, or as dear as it is."""
        usual = self.settings
        helpers = replace(usual, helper_minutes=usual.helper_minutes * _DEAR)
        walks = replace(
            usual,
            zone_minutes=usual.zone_minutes * _DEAR,
            tool_minutes=usual.tool_minutes * _DEAR,
        )
        if self.way is not None:
            yield from (_Other(self.way, dear, self.way.rules) for dear in (helpers, walks, usual))

    def _zones(self) -> Iterator[_Other]:
        """One end first: all in a zone and all that it needs, then the rest; the largest zones."""
        work: dict[str, float] = {}
        for step in self.base.steps:
            if step.zone:
                work[step.zone] = work.get(step.zone, 0.0) + step.minutes
        for zone in sorted(work, key=lambda each: -work[each]):
            here = (i for i in self.like.nodes if self.problem.nodes[i].zone == zone)
            early = _with_needs(self.problem, self.like, here)
            split = [part for stage in self._staged(self.like) for part in _parted(stage, early)]
            way = self._kept(split) or self._kept(_parted(self.like, early))
            if way is not None and self.way is not None:
                yield _Other(way, self.settings, self.way.rules)

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
        way = self._kept(stages) or (self._kept([chosen]) if len(stages) > 1 else None)
        if way is None and self.anew < _ANEW:
            self.anew += 1
            way = arranged(self.problem, stages, self.settings, self.progress)
        if way is not None:
            yield _Other(way, self.settings, way.rules)

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
