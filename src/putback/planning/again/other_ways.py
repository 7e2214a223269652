"""Other ways to a goal: asked for, one thing after another, and else as usual.

A whole the other way, another of several covers, helpers or walks counted several times as dear,
goal after goal, one end of the vehicle first, what wants helpers last. Every way starts from the
order of the usual plan, so that what it costs is the cost of the choice.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from putback.planning.ordering.keep import chosen_like, fitted, left_of
from putback.planning.ordering.price import CannotBeDone, Priced, price
from putback.planning.ordering.put_off import in_stages, late_nodes
from putback.planning.ordering.task import Task
from putback.planning.ordering.way import arranged, in_one_go
from putback.planning.plan import Because, Plan, PlanSettings
from putback.planning.posing.problem import Cause, Clause, Kind, Node, Problem
from putback.planning.search.arrange import Bout, bouts_of, made_good
from putback.planning.search.choose import Chosen, Contradiction, closure
from putback.planning.search.field import Rules
from putback.progress import Progress

_DEAR = 6.0
"""How many times as dear a thing counts of which less is wanted [-]."""


@dataclass(frozen=True, slots=True)
class Other:
    """A way found, priced as it is, and the settings under which to improve it.

    It may keep to stages that nobody but us asks for; ``held_to`` are the rules without them.
    Where it ``is_usual``, only the settings differ, and nothing is gained before it is improved.
    """

    rules: Rules
    bouts: tuple[Bout, ...]
    priced: tuple[Priced, ...]
    settings: PlanSettings
    held_to: Rules
    is_usual: bool = False


class OtherWays:
    """Asks for what differs, one thing after another, and else for what is usual."""

    def __init__(self, task: Task, base: Plan, settings: PlanSettings, progress: Progress) -> None:
        self.task = task
        self.problem = task.problem
        self.base = base
        self.settings = settings
        self.progress = progress
        self.let_pass: Rules | None = None
        """Rules that know what the usual order lets pass although the guard bars it."""
        self.usual = left_of(task.problem, base.steps)
        self.like = chosen_like(task.problem, task.targets, self.usual, progress=progress)
        self.seen = {frozenset(self.like.nodes)}
        apart = self._goal_by_goal(self.like)
        self.together = not self._is_in_order(apart)
        """Whether the usual order does work for a later goal before an earlier one is reached."""
        stages = self._staged(self.like)
        self.way = self._kept(stages) or self._kept([self.like]) or self._eased(stages)

    def ways(self) -> Iterator[Other]:
        """Give ways, taking turns among the sorts of things that may differ."""
        yield from self._prices()
        yield from self._sooner()
        turns = [self._alone(), self._wholes(), self._covers(), self._zones()]
        while turns:
            for turn in list(turns):
                other = next(turn, None)
                if other is None:
                    turns.remove(turn)
                else:
                    yield other

    def _wholes(self) -> Iterator[Other]:
        """Each whole the other way: apart if it goes as one, else as one.

        First what takes more than one person as one, then what goes in pieces.
        """
        wanted = closure(self.problem, self.task.targets)
        taken = set(self.like.nodes)
        nodes = self.problem.nodes

        def rank(whole: int) -> tuple[bool, bool, int]:
            return whole in taken and nodes[whole].crew == 1, whole not in taken, whole

        for whole in sorted((i for i in wanted if nodes[i].kind is Kind.WHOLE), key=rank):
            if whole in taken:
                yield from self._chosen(barred={whole})
            else:
                yield from self._chosen(wanted=whole)

    def _covers(self) -> Iterator[Other]:
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

    def _prices(self) -> Iterator[Other]:
        """The same steps, with one sort of set-up several times as dear as it is."""
        usual = self.settings
        helpers = replace(usual, helper_minutes=usual.helper_minutes * _DEAR)
        walks = replace(
            usual,
            zone_minutes=usual.zone_minutes * _DEAR,
            tool_minutes=usual.tool_minutes * _DEAR,
        )
        if self.way is not None:
            for dear in (helpers, walks):
                yield replace(self.way, settings=dear, is_usual=True)

    def _sooner(self) -> Iterator[Other]:
        """The same steps goal after goal, where the usual order does not keep to that."""
        if self.together:
            stages, apart = self.task.stages, self._goal_by_goal(self.like)
            way = arranged(self.problem, stages, apart, self.settings, self.progress)
            if way is not None:
                yield self._priced(way.rules, way.bouts)

    def _zones(self) -> Iterator[Other]:
        """One end first: all in a zone and all that it needs, then the rest; the largest zones."""
        work: dict[str, float] = {}
        for step in self.base.steps:
            if step.zone:
                work[step.zone] = work.get(step.zone, 0.0) + step.minutes
        for zone in sorted(work, key=lambda each: -work[each]):
            here = (i for i in self.like.nodes if self.problem.nodes[i].zone == zone)
            early = _with_needs(self.problem, self.like, here)
            stages = self._staged(self.like)
            yield from self._apart([part for stage in stages for part in _split(stage, early)])

    def _alone(self) -> Iterator[Other]:
        """What one person can do first, then what wants helpers and all that waits for it."""
        helped = {node.what for node in map(self._node, self.like.nodes) if node.crew > 1}
        late = late_nodes(self.problem, self.like.nodes, helped)
        early = [index for index in self.like.nodes if index not in late]
        if helped and early:
            stages = self._staged(self.like)
            yield from self._apart([part for stage in stages for part in _split(stage, early)])

    def _node(self, index: int) -> Node:
        return self.problem.nodes[index]

    def _chosen(
        self, *, barred: Collection[int] = (), wanted: int | None = None
    ) -> Iterator[Other]:
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
        if frozenset(chosen.nodes) in self.seen:
            return
        self.seen.add(frozenset(chosen.nodes))
        stages = self._staged(chosen)
        found = self._kept(stages) or (self._kept([chosen]) if len(stages) > 1 else None)
        if found is not None:
            yield found

    def _rules(self, stages: Sequence[Chosen]) -> Rules:
        """The rules of these stages, with what is put off late in each."""
        nodes = [each.nodes for each in stages]
        split = in_stages(self.problem, nodes, self.problem.put_off)
        rules = Rules(self.problem, split.stages, late=split.late, settings=self.settings)
        if self.let_pass is not None:
            rules.waived, rules.spared = self.let_pass.waived, self.let_pass.spared
        return rules

    def _kept(self, stages: Sequence[Chosen]) -> Other | None:
        """Keep to the usual order, with what is new in it where it is needed."""
        rules = self._rules(stages)
        placed = fitted(rules, self.usual)
        if placed is None:
            return None
        with suppress(CannotBeDone):
            return self._priced(rules, bouts_of(placed))
        return None

    def _eased(self, stages: Sequence[Chosen]) -> Other | None:
        """Keep to the usual order as it stands, and let pass what it lets pass."""
        rules = self._rules(stages)
        bouts = made_good(rules, bouts_of(self.usual))
        self.let_pass = rules
        with suppress(CannotBeDone):
            return self._priced(rules, bouts)
        return None

    def _priced(self, rules: Rules, bouts: Sequence[Bout]) -> Other:
        priced = price(rules, bouts, self.settings)
        return Other(rules, tuple(bouts), priced, self.settings, rules)

    def _apart(self, parts: Sequence[Chosen]) -> Iterator[Other]:
        """The same steps, kept to stages that nobody asks for, but in the end without these."""
        way = self._kept([each for each in parts if each.nodes])
        if way is not None and self.way is not None:
            yield replace(way, held_to=self.way.held_to)

    def _staged(self, chosen: Chosen) -> list[Chosen]:
        """Stage what was chosen as the usual order does: goal after goal, or all in one go."""
        apart = self._goal_by_goal(chosen)
        if not self.together:
            return apart
        goals = self.task.stages
        needs = [frozenset(each.nodes) for each in apart]
        stages = in_one_go(self.problem, goals, needs) if len(needs) == len(goals) else []
        return [_part(chosen, stage) for stage in stages] or [chosen]

    def _goal_by_goal(self, chosen: Chosen) -> list[Chosen]:
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

    def _is_in_order(self, stages: Sequence[Chosen]) -> bool:
        """Whether the usual order does all of one stage before anything of the next."""
        stage_of = self._rules(stages).stage_of
        found = [stage_of[move] for move, _ in self.usual if move >= 0 and move in stage_of]
        return found == sorted(found)


def _split(chosen: Chosen, first: Collection[int]) -> tuple[Chosen, Chosen]:
    """Part nodes into the first and the rest."""
    return _part(chosen, first), _part(chosen, frozenset(chosen.nodes).difference(first))


def _part(chosen: Chosen, nodes: Collection[int]) -> Chosen:
    """Of what was chosen only some nodes."""
    return replace(chosen, nodes=tuple(index for index in chosen.nodes if index in nodes))


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
