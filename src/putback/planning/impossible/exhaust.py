"""Try every order, where arranging by bouts got stuck: any order, or sure that there is none.

Each try for a contradiction does so (`attempt`); here all facts are so. If it ends, there is an
order or none; if the patience ends first, nobody knows, and the error says so.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from putback.errors import PutbackError
from putback.planning.impossible.attempt import Unknown, attempt
from putback.planning.impossible.facts import facts_of
from putback.planning.impossible.laid import Laid
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import Clause, Problem
from putback.planning.search.arrange import Bout, bouts_of, made_good, without_needless_cracks
from putback.planning.search.choose import closure
from putback.planning.search.field import Move, Rules
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

_PATIENCE = 2_000_000
"""States looked at before giving up, times the things that any way may need [-]."""


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
        If ``patience`` was at an end without an answer.
    """
    laid = Laid(problem, targets, facts_of(problem, targets))
    states = patience // max(len(laid.near), 1)
    try:
        found = attempt(laid, (), states, progress).bouts
    except Unknown:
        raise NoOrderFound(goal, states) from None
    if found is None:
        return None
    done = {move for bout in found for move in bout.moves}
    virtual = {i for i in closure(problem, targets) if not problem.nodes[i].kind.is_step}
    rules = Rules(problem, [done | virtual], settings=settings)
    bouts = bouts_of(list(_with_cracks(problem, found)))
    return rules, made_good(rules, tuple(without_needless_cracks(rules, bouts)))


def _with_cracks(
    problem: Problem, bouts: Sequence[Bout]
) -> Iterator[tuple[Move, StandingId | None]]:
    """Crack what is undone later, wherever it is stood so, before anything else."""
    left = [move for bout in bouts for move in bout.moves]
    cracked: set[int] = set()
    for bout in bouts:
        for move in left:
            if problem.nodes[move].crack_in == bout.standing is not None and move not in cracked:
                cracked.add(move)
                yield ~move, bout.standing
        for move in bout.moves:
            left.remove(move)
            yield move, bout.standing
