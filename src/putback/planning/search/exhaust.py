"""Try every order, where arranging by bouts got stuck: small, slow, and sure of what it says.

What can do no harm (it ends no standing, bars no other way, hangs nothing) is done at once; only
the rest is tried one after another, each state once. If that ends, there is no order; if the
patience ends first, nobody knows, and the error says so.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from putback.errors import PutbackError
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import Clause, Problem
from putback.planning.search.arrange import Bout, bouts_of, made_good, without_needless_cracks
from putback.planning.search.choose import closure
from putback.planning.search.field import Field, Move, Rules
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

_PATIENCE = 20_000
"""States looked at before giving up."""

_PRUNING = 3_000_000
"""Moves made again, at most, to find what an order can do without."""


_Placed = tuple[Move, StandingId | None]


@dataclass(eq=False)
class NoOrderFound(PutbackError):
    """No order was found, and nothing proves that there is none."""

    goal: str
    tried: int

    def fault(self) -> str:
        """What is wrong."""
        return f"no order was found for {self.goal!r} among the first {self.tried} tried"

    def remedy(self) -> str:
        """How to mend it."""
        return "plan a goal on the way first, or look whether a fact asks for too much"


@dataclass(frozen=True, slots=True)
class _Tried:
    """An order so far; ``barred`` are ends whose beginning saw a change of standing."""

    field: Field
    made: tuple[_Placed, ...] = ()
    barred: frozenset[int] = frozenset()


def exhaust(
    problem: Problem,
    targets: Sequence[Clause],
    settings: PlanSettings,
    *,
    goal: str = "",
    patience: int = _PATIENCE,
    progress: Progress = NoProgress(),
) -> tuple[Rules, tuple[Bout, ...]] | None:
    """Find any order that fulfils the targets; ``None`` if there is none.

    Raises
    ------
    NoOrderFound
        If `patience` states were looked at without an answer.
    """
    rules = Rules(problem, [closure(problem, targets)], binding=False, settings=settings)
    search = _Search(rules, targets, settings)
    seen: set[tuple[int, StandingId | None, frozenset[int]]] = set()
    stack = [_Tried(Field(search.rules))]
    while stack:
        tried = search.settle(stack.pop())
        if search.is_reached(tried.field):
            return search.pruned(tried.made)
        key = (tried.field.mask, tried.field.standing, tried.barred)
        if key in seen:
            continue
        seen.add(key)
        if len(seen) > patience:
            raise NoOrderFound(goal, patience)
        progress.step(len(seen), patience, "trying every order")
        stack += reversed(list(search.next(tried)))
    return None


class _Search:
    """What the search asks of a field."""

    def __init__(self, rules: Rules, targets: Sequence[Clause], settings: PlanSettings) -> None:
        self.rules = rules
        self.settings = settings
        self.targets = targets
        self.virtual = {i for i in rules.wanted if not rules.nodes[i].kind.is_step}
        problem = rules.problem
        self.ends: dict[int, set[int]] = {}
        """What cannot be done any more after a node, by its orders and as another way."""
        for order in problem.orders:
            if {order.first, order.then} <= rules.wanted:
                self.ends.setdefault(order.then, set()).add(order.first)
        for by in problem.providers.values():
            ways = rules.wanted.intersection(by)
            for way in ways:
                self.ends.setdefault(way, set()).update(ways - {way})
        self.ended_by: dict[int, set[int]] = {}
        """The same the other way round."""
        for node, these in self.ends.items():
            for ended in these:
                self.ended_by.setdefault(ended, set()).add(node)
        spanned = {i for span in rules.spans for side in span for i in side}
        self.harmless = {
            i
            for i in rules.steps
            if not self.ends.get(i) and i not in rules.kills and i not in spanned
        }

    def is_reached(self, field: Field) -> bool:
        """Whether every target is fulfilled."""
        return not any(field.done.isdisjoint(target.any_of) for target in self.targets)

    def _possible(self, tried: _Tried) -> list[Move]:
        ended = {i for done in tried.field.done for i in self.ends.get(done, ())}
        ready = sorted(tried.field.ready - ended - tried.barred)
        return [move for move in ready if tried.field.may(move, careful=False)]

    def _is_possible(self, tried: _Tried, move: Move) -> bool:
        field = tried.field
        return (
            move in field.ready
            and move not in tried.barred
            and field.done.isdisjoint(self.ended_by.get(move, ()))
            and field.may(move, careful=False)
        )

    def settle(self, tried: _Tried) -> _Tried:
        """Do all that can do no harm."""
        field, more = tried.field, list(tried.made)
        while harmless := [move for move in self._possible(tried) if move in self.harmless]:
            for move in harmless:
                field.do(move)
                more.append((move, field.standing))
        for move in field.to_crack():
            field.do(move)
            more.append((move, field.standing))
        return replace(tried, made=tuple(more))

    def next(self, tried: _Tried) -> Iterator[_Tried]:
        """Give what may be tried next: a step that may do harm, or another standing."""
        for move in self._possible(tried):
            field = tried.field.copy()
            field.do(move)
            yield replace(tried, field=field, made=(*tried.made, (move, field.standing)))
        for standing in self.rules.problem.usable:
            changed = self._changed(tried, standing)
            if standing != tried.field.standing and changed is not None:
                yield changed

    def _changed(self, tried: _Tried, standing: StandingId | None) -> _Tried | None:
        """Change the standing; what that would leave hanging is given up for good."""
        if tried.field.enter_minutes(standing) is None:
            return None
        field = tried.field.copy()
        field.standing = standing
        given_up = (i for _, last in field.ends_hanging() for i in last)
        return replace(tried, field=field, barred=tried.barred.union(given_up))

    def pruned(self, made: Sequence[_Placed]) -> tuple[Rules, tuple[Bout, ...]]:
        """Leave out what the targets can do without, the last first, many at a time at first.

        After so much trying (`_PRUNING`) what is left stays, needed or not.
        """
        kept = list(made)
        size, work = len(kept), 0
        while size > 0:
            size //= 2
            moves = [move for move, _ in reversed(kept) if move >= 0]
            for at in range(0, len(moves), max(size, 1)):
                some = set(moves[at : at + max(size, 1)])
                fewer = [each for each in kept if max(each[0], ~each[0]) not in some]
                work += len(fewer)
                if work <= _PRUNING and self._works(fewer):
                    kept = fewer
        done = {move for move, _ in kept if move >= 0}
        rules = Rules(self.rules.problem, [done | self.virtual], settings=self.settings)
        bouts = made_good(rules, tuple(without_needless_cracks(rules, bouts_of(kept))))
        return rules, bouts

    def _works(self, made: Sequence[_Placed]) -> bool:
        """Whether moves can be made one after another and fulfil the targets."""
        tried = _Tried(Field(self.rules))
        for move, standing in made:
            if standing != tried.field.standing:
                changed = self._changed(tried, standing)
                if changed is None:
                    return False
                tried = changed
            if move >= 0 and not self._is_possible(tried, move):
                return False
            tried.field.do(move)
        return self.is_reached(tried.field)
