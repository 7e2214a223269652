"""Try every order, where arranging by bouts got stuck: small, slow, and sure of what it says.

What can do no harm (it ends no standing, bars no other way, hangs nothing) is done at once; only
the rest is tried one after another, each state once. If that ends, there is no order; if the
patience ends first, nobody knows, and the error says so.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

from putback.errors import PutbackError
from putback.planning.arrange import Bout, without_needless_cracks
from putback.planning.choose import closure
from putback.planning.field import Field, Move, Rules
from putback.planning.problem import Clause, Problem
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

_PATIENCE = 20_000
"""States looked at before giving up."""


_Placed = tuple[Move, StandingId | None]
_Made = tuple[_Placed, ...]


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


def exhaust(
    problem: Problem,
    targets: Sequence[Clause],
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
    wanted = closure(problem, targets)
    search = _Search(Rules(problem, [wanted], binding=False), targets)
    seen: set[tuple[int, StandingId | None]] = set()
    stack: list[tuple[Field, _Made]] = [(Field(search.rules), ())]
    while stack:
        field, made = stack.pop()
        made = search.settle(field, made)
        if search.is_reached(field):
            return search.pruned(made)
        key = (field.mask, field.standing)
        if key in seen:
            continue
        seen.add(key)
        if len(seen) > patience:
            raise NoOrderFound(goal, patience)
        progress.step(len(seen), patience, "trying every order")
        stack += reversed(list(search.next(field, made)))
    return None


class _Search:
    """What the search asks of a field."""

    def __init__(self, rules: Rules, targets: Sequence[Clause]) -> None:
        self.rules = rules
        self.targets = targets
        problem = rules.problem
        self.virtual = {i for i in rules.wanted if not rules.nodes[i].kind.is_step}
        self.ends: dict[int, set[int]] = {}
        """What cannot be done any more after a node, by its orders and by other ways."""
        for order in problem.orders:
            if {order.first, order.then} <= rules.wanted:
                self.ends.setdefault(order.then, set()).add(order.first)
        for by in problem.providers.values():
            ways = rules.wanted.intersection(by)
            for way in ways:
                self.ends.setdefault(way, set()).update(ways - {way})
        spanned = {i for span in rules.spans for side in span for i in side}
        self.harmless = {
            i
            for i in rules.steps
            if not self.ends.get(i) and i not in rules.kills and i not in spanned
        }

    def is_reached(self, field: Field) -> bool:
        """Whether every target is fulfilled."""
        return not any(field.done.isdisjoint(target.any_of) for target in self.targets)

    def _possible(self, field: Field) -> Iterator[Move]:
        ended = {i for done in field.done for i in self.ends.get(done, ())}
        for move in sorted(field.ready - ended):
            if field.may(move):
                yield move

    def settle(self, field: Field, made: _Made) -> _Made:
        """Do all that can do no harm."""
        more = list(made)
        while harmless := [m for m in self._possible(field) if m in self.harmless]:
            for move in harmless:
                field.do(move)
                more.append((move, field.standing))
        for move in field.to_crack():
            field.do(move)
            more.append((move, field.standing))
        return tuple(more)

    def next(self, field: Field, made: _Made) -> Iterator[tuple[Field, _Made]]:
        """Give what may be tried next."""
        for move in self._possible(field):
            after = field.copy()
            after.do(move)
            yield after, (*made, (move, field.standing))
        if not field.hangs():
            for standing in self.rules.problem.usable:
                if standing != field.standing and field.enter_minutes(standing) is not None:
                    after = field.copy()
                    after.standing = standing
                    yield after, made

    def pruned(self, made: _Made) -> tuple[Rules, tuple[Bout, ...]]:
        """Leave out what the targets can do without, the last first."""
        kept = list(made)
        for one in reversed(made):
            if one[0] >= 0:
                fewer = [each for each in kept if each[0] not in (one[0], ~one[0])]
                if self._works(fewer):
                    kept = fewer
        rules = Rules(self.rules.problem, [{move for move, _ in kept if move >= 0} | self.virtual])
        return rules, tuple(without_needless_cracks(rules, _bouts(kept)))

    def _works(self, made: Sequence[_Placed]) -> bool:
        """Whether moves can be made one after another and fulfil the targets."""
        field = Field(self.rules)
        for move, standing in made:
            if standing != field.standing:
                if field.hangs() or field.enter_minutes(standing) is None:
                    return False
                field.standing = standing
            if move >= 0 and move not in self._possible(field):
                return False
            field.do(move)
        return self.is_reached(field) and not field.hangs()


def _bouts(made: Sequence[_Placed]) -> list[Bout]:
    return [
        Bout(standing, tuple(move for move, _ in these))
        for standing, these in groupby(made, key=itemgetter(1))
    ]
