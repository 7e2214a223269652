"""Choose the way: the cheapest set of nodes that can be done in some order and fulfils a goal.

Only work counts here, neither set-up nor where the vehicle stands meanwhile, beyond what a
standing wants off. That makes the answer a true lower bound of the work in any plan, and the exact
answer to *reach*.

The model has a yes or no for each node, an implication for each clause, and at most one node for
each thing to clear. What it lacks is that support must not run in a circle. So it is solved,
looked at, and wherever the chosen nodes hold each other up in a circle, a clause is added that
breaks this circle (a loop formula, as in answer set programming); until no circle is left. Each
such clause cuts off the choice just made, and there are finitely many.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass

from putback.planning.posing.problem import Clause, Node, Problem
from putback.progress import NoProgress, Progress
from putback.solvers import Choice
from putback.vehicle.ids import part_ref

_PATIENCE_S = 15.0
"""Seconds allowed for each unit of the solver's effort, however slow the machine is [s]."""

_SCALE = 1000
"""Minutes are counted in thousandths, rounded down: the bound stays a bound."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """Nodes in an order in which they can be done; ``minutes`` of work, at least ``bound``.

    ``bound`` is proven for the goal, whatever is chosen; both in [minutes].
    """

    nodes: tuple[int, ...]
    minutes: float
    bound: float
    optimal: bool


class Contradiction(Exception):  # caught and worded by `contradict.impossible`
    """No choice fulfils the targets."""


def cheapest(
    problem: Problem,
    targets: Sequence[Clause],
    *,
    minutes: Callable[[Node], float],
    before: Collection[int] = (),
    barred: Collection[int] = (),
    lacking: Collection[int] = (),
    effort: float = 2.0,
    progress: Progress = NoProgress(),
) -> Chosen:
    """Choose the cheapest nodes that fulfil all targets.

    Parameters
    ----------
    problem : Problem
        What can be done.
    targets : sequence of Clause
        What is to be fulfilled at the end.
    minutes : callable
        What a node costs, [minutes].
    before, barred : collections of int
        Nodes that are done already, and nodes that must not be chosen.
    lacking : collection of int
        Nodes of which at least one must not be chosen, if there are any.
    effort : float
        When to be content with what is found, in the solver's own count of work, [-].
    progress : Progress
        Asked whether to go on.

    Raises
    ------
    Contradiction
        If nothing fulfils the targets.
    """
    choosing = _Choosing(
        problem, targets, minutes, frozenset(before), frozenset(barred), frozenset(lacking)
    )
    return choosing.choose(effort, progress)


def derive(
    problem: Problem,
    allowed: Iterable[int],
    before: Collection[int] = (),
    orders: bool = True,
) -> tuple[int, ...]:
    """Put those nodes of ``allowed`` that can be done after ``before`` in an order that works.

    With ``orders``, all of ``allowed`` is to be done, so that conditional orders bind.
    """
    wanted = set(allowed) - set(before)
    ready = _Readiness(problem, wanted, frozenset(before), orders)
    return tuple(ready.run())


def closure(
    problem: Problem, targets: Iterable[Clause], before: Collection[int] = ()
) -> frozenset[int]:
    """Give all nodes that some way to the targets may need; what can never be done is none."""
    seen: set[int] = set()
    todo = [by for target in targets for by in target.any_of]
    back = _way_back(problem)
    while todo:
        index = todo.pop()
        node = problem.nodes[index]
        if index not in seen and all(clause.any_of for clause in node.clauses):
            seen.add(index)
            for clause in node.clauses:
                if not any(by in before for by in clause.any_of):
                    todo += clause.any_of
            if node.standings is not None or node.crack_in is not None:
                todo += back
                back = ()
    return frozenset(seen)


def _way_back(problem: Problem) -> tuple[int, ...]:
    """What takes off what must be off before the standing of now can be entered again."""
    now = problem.vehicle.standings[problem.start] if problem.start is not None else None
    needs_off = now.needs_off if now is not None else ()
    return tuple(by for part in needs_off for by in problem.providers.get(part_ref(part), ()))


class _Readiness:
    """Counts for each node the clauses that nothing done fulfils yet."""

    def __init__(
        self, problem: Problem, wanted: set[int], before: frozenset[int], orders: bool
    ) -> None:
        self.watch: dict[int, list[tuple[int, int]]] = defaultdict(list)
        self.missing: dict[int, int] = {}
        self.open: dict[int, list[bool]] = {}
        for index in wanted:
            clauses = [clause.any_of for clause in problem.nodes[index].clauses]
            if orders:
                firsts = problem.orders_onto.get(index, ())
                clauses += [(order.first,) for order in firsts if order.first in wanted]
            waiting = [not before or before.isdisjoint(any_of) for any_of in clauses]
            self.open[index] = waiting
            self.missing[index] = sum(waiting)
            for number, any_of in enumerate(clauses):
                if waiting[number]:
                    waiter = index, number
                    for by in any_of:
                        self.watch[by].append(waiter)

    def run(self) -> Iterable[int]:
        """Give the nodes in an order in which each is ready."""
        queue = sorted(index for index, missing in self.missing.items() if not missing)
        for index in queue:
            yield index
            for waiter, number in self.watch.get(index, ()):
                if self.open[waiter][number]:
                    self.open[waiter][number] = False
                    self.missing[waiter] -= 1
                    if not self.missing[waiter]:
                        queue.append(waiter)


class _Choosing:
    """One search for the cheapest choice."""

    def __init__(
        self,
        problem: Problem,
        targets: Sequence[Clause],
        minutes: Callable[[Node], float],
        before: frozenset[int],
        barred: frozenset[int],
        lacking: frozenset[int],
    ) -> None:
        self.problem = problem
        self.minutes = minutes
        self.before = before
        self.lacking = lacking
        self.targets = tuple(each for each in targets if before.isdisjoint(each.any_of))
        cleared = {ref for index in before for ref in problem.nodes[index].clears}
        too_late = {order.first for order in problem.orders if order.then in before}
        out = barred | before | too_late
        candidates = {
            index
            for index, node in enumerate(problem.nodes)
            if index not in out and cleared.isdisjoint(node.clears)
        }
        self.possible = frozenset(derive(problem, candidates, before, orders=False))
        self.candidates = candidates
        self.never_both = problem.never_both

    def choose(self, effort: float, progress: Progress) -> Chosen:
        """Choose; where standings alone forbid every choice, as if they did not.

        For that is found out, and told, where an order is looked for.
        """
        if any(self.possible.isdisjoint(target.any_of) for target in self.targets):
            raise Contradiction
        try:
            return self._choose(effort, progress)
        except Contradiction:
            if not self.never_both:
                raise
            self.never_both = ()
            return self._choose(effort, progress)

    def _choose(self, effort: float, progress: Progress) -> Chosen:
        """Choose, by propagation alone where that suffices."""
        forced = self._forced()
        order = derive(self.problem, forced, self.before)
        if len(order) == len(forced) and self._fulfilled(forced):
            return self._chosen(order, self._sum(forced), optimal=True)
        return self._search(effort, progress)

    def _sum(self, nodes: Iterable[int]) -> float:
        return sum(self.minutes(self.problem.nodes[index]) for index in sorted(nodes))

    def _chosen(self, order: Sequence[int], bound: float, *, optimal: bool) -> Chosen:
        needed = self._needed(order)
        cost = self._sum(needed)
        return Chosen(tuple(needed), cost, cost if optimal else bound, optimal)

    def _forced(self) -> set[int]:
        """Nodes that every choice contains, by propagation of clauses with one way only."""
        forced: set[int] = set()
        todo = list(self.targets)
        while todo:
            clause = todo.pop()
            ways = [index for index in clause.any_of if index in self.possible]
            if len(ways) == 1 and self.before.isdisjoint(clause.any_of) and ways[0] not in forced:
                forced.add(ways[0])
                todo += self.problem.nodes[ways[0]].clauses
        return forced

    def _fulfilled(self, chosen: set[int]) -> bool:
        """Whether every clause is, nothing is cleared in two ways, and what is to lack does."""
        done = chosen | self.before
        if self.lacking and self.lacking <= chosen:
            return False
        if any(one in chosen and other in chosen for one, other in self.never_both):
            return False
        cleared = [ref for index in chosen for ref in self.problem.nodes[index].clears]
        if len(cleared) > len(set(cleared)):
            return False
        clauses = [clause for index in chosen for clause in self.problem.nodes[index].clauses]
        return not any(done.isdisjoint(clause.any_of) for clause in [*self.targets, *clauses])

    def _needed(self, order: Sequence[int]) -> list[int]:
        """Leave out of an order what no target rests on."""
        place = {index: at for at, index in enumerate(order)}
        needed: set[int] = set()
        todo = list(self.targets)
        while todo:
            clause = todo.pop()
            if self.before.isdisjoint(clause.any_of):
                first = min((i for i in clause.any_of if i in place), key=place.__getitem__)
                if first not in needed:
                    needed.add(first)
                    todo += self.problem.nodes[first].clauses
        return [index for index in order if index in needed]

    # -- search -------------------------------------------------------------------------------

    def _search(self, effort: float, progress: Progress) -> Chosen:
        nodes = self.problem.nodes
        relevant = sorted(closure(self.problem, self.targets, self.before) & self.possible)
        choice = Choice()
        holds = {index: choice.variable() for index in relevant}
        for target in self.targets:
            choice.any_of(holds[by] for by in target.any_of if by in holds)
        things: dict[str, list[int]] = {}
        for index in relevant:
            for clause in nodes[index].clauses:
                if self.before.isdisjoint(clause.any_of):
                    ways = [holds[by] for by in clause.any_of if by in holds]
                    choice.implies(holds[index], ways)
            for ref in nodes[index].clears:
                things.setdefault(ref, []).append(holds[index])
        for ways in things.values():
            if len(ways) > 1:
                choice.at_most_one(ways)
        for pair in self.never_both:
            if holds.keys() >= set(pair):
                choice.at_most_one(holds[index] for index in pair)
        if self.lacking and self.lacking <= holds.keys():
            choice.any_of(-holds[index] for index in sorted(self.lacking))
        # The fewest steps among equally quick ones: one more counts less than any minute does.
        step = len(relevant) + 1
        choice.minimise(
            {
                holds[index]: int(self.minutes(nodes[index]) * _SCALE + 1e-6) * step
                + nodes[index].kind.is_step
                for index in relevant
            }
        )
        while True:
            answer = choice.solve(effort=effort, seconds=_PATIENCE_S * effort, progress=progress)
            if answer.feasible is False:
                raise Contradiction
            if answer.feasible is None:  # neither found nor refuted: the search is complete, so
                effort *= 8  # with more of it there is an answer
                continue
            picked = {index for index in relevant if holds[index] in answer.chosen}
            order = derive(self.problem, picked, self.before)
            if self._fulfilled(set(order)):
                break
            choice.any_of(
                -holds[index] if negative else holds[index]
                for index, negative in self._break_circle(picked, set(order))
                if index in holds
            )
        bound = max(answer.bound - step + 1, 0) / step / _SCALE
        return self._chosen(order, bound, optimal=answer.optimal)

    def _break_circle(self, picked: set[int], done: set[int]) -> Iterable[tuple[int, bool]]:
        """Say which of several nodes must be chosen or left, so that a circle falls apart.

        Every picked node that cannot be done waits for a clause whose picked nodes all cannot be
        done either. Following one such clause of each, we end in a set of nodes that wait only for
        one another. Whichever of them is done first must have its clause fulfilled from outside.
        """
        stuck = picked - done
        blocking = {index: self._blocking(index, picked, done) for index in stuck}
        circle = _closed(
            stuck, {i: [b for b in way if b in stuck] for i, (way, _) in blocking.items()}
        )
        yield min(circle), True
        for index in sorted(circle):
            way, conditional = blocking[index]
            if conditional:
                yield way[0], True
            else:
                yield from ((by, False) for by in way if by not in circle)

    def _blocking(
        self, index: int, picked: set[int], done: set[int]
    ) -> tuple[tuple[int, ...], bool]:
        """Give what a node waits for, and whether only because that is picked as well."""
        ready = done | self.before
        for clause in self.problem.nodes[index].clauses:
            if ready.isdisjoint(clause.any_of):
                return clause.any_of, False
        waits = self.problem.orders_onto[index]
        return next((o.first,) for o in waits if o.first in picked and o.first not in ready), True


def _closed(nodes: set[int], leads_to: dict[int, list[int]]) -> set[int]:
    """Find a smallest set of nodes that lead only to one another: a component nothing leaves."""
    number: dict[int, int] = {}
    low: dict[int, int] = {}
    path: list[int] = []
    on_path: set[int] = set()
    work = [(min(nodes), iter(leads_to[min(nodes)]))]
    number[work[0][0]] = low[work[0][0]] = 0
    path.append(work[0][0])
    on_path.add(work[0][0])
    while True:
        index, ways = work[-1]
        for by in ways:
            if by not in number:
                number[by] = low[by] = len(number)
                path.append(by)
                on_path.add(by)
                work.append((by, iter(leads_to[by])))
                break
            if by in on_path:
                low[index] = min(low[index], number[by])
        else:
            # The first component to be closed is one that nothing leaves.
            if low[index] == number[index]:
                return set(path[path.index(index) :])
            work.pop()
            low[work[-1][0]] = min(low[work[-1][0]], low[index])
