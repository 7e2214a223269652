"""Why a goal cannot be reached: the smallest set of facts that contradict one another.

Facts can be given up one by one (`relax`); a set of them *contradicts itself*
when no plan reaches the goal although no other facts are so. What shuts itself out by what must
come before what is found at once, and the smallest such set exactly (`impossible.andor`).
What takes more than that (what must not come after what, standings, what hangs on a jack) is found
by trying to plan. The smallest set of all is then found as in *Smallest MUS extraction with
minimal hitting set dualization* (Ignatiev, Previti, Liffiton and Marques-Silva, CP 2015): every
set that contradicts itself has a fact in common with what must be given up to reach the goal; the
smallest set that meets all such ways of giving up is tried, and if the goal can be reached with
it, one more way of giving up is found. Until it cannot: then no smaller set contradicts itself.
"""

from collections.abc import Sequence, Set
from dataclasses import dataclass

from putback.errors import ImpossibleGoal
from putback.planning.impossible.andor import Proof, any_proof, smallest_proof
from putback.planning.impossible.grounds import grounds_of
from putback.planning.impossible.hitting import smallest_hitting_set
from putback.planning.impossible.relax import facts_of, relaxed
from putback.planning.plan import USUAL
from putback.planning.posing.fact import Fact, Sort, Wording
from putback.planning.posing.problem import Clause, Problem
from putback.planning.search.arrange import arrange
from putback.planning.search.choose import Contradiction, cheapest, closure
from putback.planning.search.exhaust import NoOrderFound, exhaust
from putback.planning.search.field import Rules
from putback.progress import NoProgress, Progress

_EFFORT = 40_000_000
"""After trying this often, counted as the square of the nodes in question, no more is tried."""
_EACH = 300
"""What looking at a set counts besides, for each node of the problem [-]."""
_PATIENCE = 2_000
"""States looked at before one try to plan gives up."""
_SURE = 3
"""So few facts that shut each other out are the smallest set: all else takes as many."""
_MOST_TOLD = 12
"""So many facts a person is told at most."""
_COMMON = frozenset({Sort.HOLDS, Sort.ASKED, Sort.IN_THE_WAY, Sort.BEFORE})
"""Sorts that shut something out by themselves; where they did not, others are more telling."""


@dataclass(frozen=True, slots=True)
class Contradicting:
    """Facts that together make a goal impossible: without any of them they would not.

    ``smallest`` is whether no smaller set does. Each of ``changes`` is a smallest set of facts
    without which the goal could be reached; there are none where that is not known.
    """

    facts: tuple[Fact, ...]
    smallest: bool
    changes: tuple[tuple[Fact, ...], ...] = ()


def impossible(
    problem: Problem, targets: Sequence[Clause], goal: str, progress: Progress = NoProgress()
) -> ImpossibleGoal:
    """Give the error that says why targets cannot be reached, in words."""
    found = smallest_contradiction(problem, targets, progress=progress)
    say = Wording(problem.vehicle)
    nothing = {t.cause.source for t in targets if not t.any_of}
    told = found.facts
    if len(told) > _MOST_TOLD:  # the effort ended early: what binds to standings is at the bottom
        told = tuple(sorted(told, key=lambda fact: fact.sort in _COMMON)[:_MOST_TOLD])
    reasons = [
        f"{say.is_so(fact)}{', and nothing can do it' if fact in nothing else ''}" for fact in told
    ]
    if len(told) < len(found.facts):
        reasons.append(f"and {len(found.facts) - len(told)} more facts beside these")
    return ImpossibleGoal(
        tuple(reasons) or ("nothing can do it",),
        goal,
        found.smallest,
        tuple(" and ".join(map(say.otherwise, change)) for change in found.changes),
    )


def smallest_contradiction(
    problem: Problem,
    targets: Sequence[Clause],
    *,
    effort: int = _EFFORT,
    progress: Progress = NoProgress(),
) -> Contradicting:
    """Find the smallest set of facts for which the targets cannot be reached, given they cannot.

    Parameters
    ----------
    problem : Problem
        What can be done.
    targets : sequence of Clause
        What is to be fulfilled at the end.
    effort : int
        After how much trying to be content with a set of which no fact can be left out [-].
    progress : Progress
        Asked whether to go on.
    """
    return _Search(problem, targets, effort, progress).smallest()


class _Given(Exception):  # never leaves this module
    """The effort is spent, or a try ended without an answer."""


class _Search:
    def __init__(
        self, problem: Problem, targets: Sequence[Clause], effort: int, progress: Progress
    ) -> None:
        self.problem = problem
        self.targets = targets
        self.effort = self.most = effort
        self.progress = progress
        self.grounds = grounds_of(problem, targets)
        self.all = frozenset(facts_of(problem, targets))
        self.reached: list[frozenset[Fact]] = []
        """Sets with which the goal was reached, and so it is with less."""
        self.barred: list[frozenset[Fact]] = []
        """Sets with which it was not, and so it is not with more."""

    def smallest(self) -> Contradicting:
        """Begin with what shuts itself out, and look for less."""
        proof = smallest_proof(self.grounds.graph, self.grounds.goal, progress=self.progress)
        self.left = sorted(self.all)
        try:
            best = proof.facts if proof else tuple(sorted(self._shrunk(self.all)))
        except _Given:
            return Contradicting(tuple(self.left), smallest=False)
        try:
            best, smallest = self._less_than(best, proof), True
        except _Given:
            smallest = False
        return Contradicting(best, smallest, self._changes(best))

    def _less_than(self, best: tuple[Fact, ...], proof: Proof | None) -> tuple[Fact, ...]:
        """Give the smallest set of all, or ``best`` if it is."""
        if proof is not None and proof.smallest and len(best) <= _SURE:
            return best
        ways: list[frozenset[Fact]] = []
        while True:
            tried = smallest_hitting_set(ways, self.progress)
            if not tried.smallest:
                raise _Given
            if len(tried.facts) >= len(best):
                return best
            if not self._can_be_reached(tried.facts):
                return tuple(sorted(tried.facts))
            ways.append(self.all - self._grown(tried.facts))

    def _changes(self, facts: tuple[Fact, ...]) -> tuple[tuple[Fact, ...], ...]:
        """Give what to change; all facts of which any alone would do, where one would."""
        self.effort = self.most
        change = self._change()
        if len(change) != 1:
            return (change,) if change else ()
        others = (fact for fact in facts if fact.sort is not Sort.ASKED)
        try:
            enough = [(f,) for f in others if self._can_be_reached(self.all - {f})]
        except _Given:
            enough = []
        return tuple(enough) or (change,)

    def _change(self) -> tuple[Fact, ...]:
        """The fewest facts to give up: what meets every contradiction, until the goal is reached.

        Empty where the effort does not suffice.
        """
        cores: list[frozenset[Fact]] = []
        try:
            while True:
                change = smallest_hitting_set(cores, self.progress)
                left = self.all - change.facts
                if self._can_be_reached(left):
                    return tuple(sorted(change.facts)) if change.smallest else ()
                core = self._core(left)
                if not core:
                    return ()
                cores.append(core)
        except _Given:
            return ()

    # -- trying -------------------------------------------------------------------------------

    def _core(self, facts: Set[Fact]) -> frozenset[Fact]:
        """Some of the facts, which contradict one another, given that all of them do."""
        proof = any_proof(self.grounds.graph.without(self.all - facts), self.grounds.goal)
        return frozenset(proof.facts) if proof else self._shrunk(facts)

    def _grown(self, facts: frozenset[Fact]) -> frozenset[Fact]:
        """Add facts for as long as the goal can be reached."""
        graph = self.grounds.graph
        given_up: list[Fact] = []
        while proof := any_proof(graph.without(given_up), self.grounds.goal):
            given_up.append(next(fact for fact in reversed(proof.facts) if fact not in facts))
        grown = self.all.difference(given_up)
        for fact in given_up:  # what nothing bars need not be given up
            if self.grounds.goal in graph.possible(only=grown | {fact}):
                grown |= {fact}
        if not self._can_be_reached(grown):
            grown = self._added(facts, sorted(grown - facts))
        for fact in given_up:
            if fact not in grown and self._can_be_reached(grown | {fact}):
                grown |= {fact}
        return grown

    def _added(self, base: frozenset[Fact], more: Sequence[Fact]) -> frozenset[Fact]:
        """Add as many as can be, in halves."""
        if not more or self._can_be_reached(base.union(more)):
            return base.union(more)
        if len(more) == 1:
            return base
        half = len(more) // 2
        return self._added(self._added(base, more[:half]), more[half:])

    def _shrunk(self, facts: Set[Fact]) -> frozenset[Fact]:
        """Leave out of contradicting facts whatever they contradict one another without."""
        left = self.left = sorted(facts)
        size = len(left)
        while size > 0:
            size = (size + 1) // 2 if size > 1 else 0
            at = 0
            while size and at < len(left):
                fewer = left[:at] + left[at + size :]
                if self._can_be_reached(frozenset(fewer)):
                    at += size
                else:
                    left = self.left = fewer
        return frozenset(left)

    def _can_be_reached(self, facts: frozenset[Fact]) -> bool:
        """Whether a plan reaches the goal where no other facts are so.

        Raises
        ------
        _Given
            If that is not known.
        """
        if any(facts <= more for more in self.reached):
            return True
        if any(facts >= less for less in self.barred):
            return False
        self._spend(_EACH * len(self.problem.nodes))
        if self.grounds.goal not in self.grounds.graph.possible(only=facts):
            return False
        can = self._try(facts)
        (self.reached if can else self.barred).append(facts)
        return can

    def _spend(self, effort: int) -> None:
        self.effort -= effort
        if self.effort < 0:
            raise _Given

    def _try(self, facts: frozenset[Fact]) -> bool:
        """Try to plan, where nothing bars it by what must come before."""
        problem, targets = relaxed(self.problem, self.targets, facts)
        self._spend(len(closure(problem, targets)) ** 2)
        try:
            chosen = cheapest(
                problem, targets, minutes=lambda node: node.minutes, progress=self.progress
            )
        except Contradiction:
            return False
        # What tips makes none impossible, so any margin will do.
        rules = Rules(problem, [chosen.nodes], watched=False, settings=USUAL)
        stands = problem.start is not None or not problem.usable
        if stands and not rules.bound_to and not rules.spans:
            return True
        if arrange(rules, self.progress) is not None:
            return True
        try:
            found = exhaust(problem, targets, USUAL, patience=_PATIENCE, progress=self.progress)
        except NoOrderFound:
            raise _Given from None
        return found is not None
