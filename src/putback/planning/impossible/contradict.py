"""Why a goal cannot be reached: the smallest set of facts that contradict one another.

Facts can be given up one by one (`facts`); a set of them *contradicts itself* when no plan
reaches the goal although no other facts are so. What shuts itself out by what must come before
what is found at once, and the smallest such set exactly (`impossible.andor`). What takes more than
that (what must not come after what, standings, what hangs on a jack) is found by trying to plan
(`attempt`). The smallest set of all is then found as in *Smallest MUS extraction with minimal
hitting set dualization* (Ignatiev, Previti, Liffiton and Marques-Silva, CP 2015): every
set that contradicts itself has a fact in common with what must be given up to reach the goal; the
smallest set that meets all such ways of giving up is tried, and if the goal can be reached with
it, more ways of giving up are found. Until it cannot: then no smaller set contradicts itself.
Nor does one where a set that was found on the way to contradict itself, once shrunk, is as small.

Such ways are gathered many at a time, with nothing in common, since each of these makes the
smallest set bigger. A plan that keeps to the facts in question breaks few others, and tells which
(`witness`); some of these are then kept to as well, as many as can be. Where nobody knows
whether there is a plan, the facts are not counted as a way; only of the set that is tried at last
it must be known.
"""

from collections.abc import Sequence, Set
from contextlib import suppress
from dataclasses import dataclass

from putback.errors import ImpossibleGoal
from putback.planning.impossible.andor import Proof, any_proof, smallest_proof
from putback.planning.impossible.attempt import Unknown, attempt, begun_freely
from putback.planning.impossible.facts import facts_of
from putback.planning.impossible.hitting import met_by, smallest_hitting_set
from putback.planning.impossible.laid import Laid
from putback.planning.impossible.unlogged import unlogged_jobs
from putback.planning.impossible.witness import broken_by
from putback.planning.posing.fact import Fact, Sort, Wording
from putback.planning.posing.problem import Clause, Problem
from putback.progress import NoProgress, Progress

_EFFORT = 2_000_000
"""After so much trying, in nodes looked at, no more is tried."""
_EACH = 4
"""What looking at a set counts, in states of trying to plan with it [-]."""
_PATIENCE = 2_000
"""States looked at before one try to plan gives up."""
_LITTLE = 200
"""And so many where much else is tried."""
_FEW = 12
"""And so many where it is one of many ways that would do."""
_SURE = 3
"""So few facts that shut each other out are the smallest set: all else takes as many."""
_MOST_TOLD = 12
"""So many facts a person is told at most."""
_MOST_BLAMED = 60
"""So many facts that contradict one another tell what to give up, at most."""
_NEARLY = 2
"""It is looked for less in sets at most so much bigger than what is sure to be needed [-]."""
_MOST_SHRUNK = 2
"""In so many of them at a time."""
_MENDED = 4
"""So often a guess at what contradicts itself is tried, each time with more."""
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
        (
            *map(say.unlogged, unlogged_jobs(problem, targets, progress)),
            *map(say.all_otherwise, found.changes),
        ),
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
        facts = facts_of(problem, targets)
        self.laid = Laid(problem, targets, facts)
        self.grounds = self.laid.grounds
        self.begun = begun_freely(self.laid)
        self.all = frozenset(facts)
        self.fewest: frozenset[Fact] = frozenset()
        """The fewest facts that have one in common with every way to reach the goal."""
        self.shrunk: set[frozenset[Fact]] = set()
        """Contradicting sets in which it was looked for less."""
        self.reached: list[frozenset[Fact]] = []
        """Sets with which the goal was reached, and so it is with less."""
        self.barred: list[frozenset[Fact]] = []
        """Sets with which it was not, and so it is not with more."""
        self.unknown: dict[frozenset[Fact], int] = {}
        """Sets of which so much patience did not tell."""
        self.blamed: dict[frozenset[Fact], frozenset[Fact]] = {}
        """What seemed to keep from the goal with each of those, or with which it was not."""

    def smallest(self) -> Contradicting:
        """Begin with what shuts itself out, and look for less."""
        proof = smallest_proof(self.grounds.graph, self.grounds.goal, progress=self.progress)
        try:
            best, smallest = self._smallest(proof), True
        except _Given:
            self.effort, smallest = self.most, False
            best = self._best()
        if proof is not None and best == set(proof.facts):
            told = proof.facts  # in its order
        else:
            told = tuple(sorted(best if smallest else self._shrunk(best)))
        return Contradicting(told, smallest, self._changes(told))

    def _smallest(self, proof: Proof | None) -> frozenset[Fact]:
        """Give the smallest set of all.

        Raises
        ------
        _Given
            If that is not found.
        """
        if proof is not None:
            if proof.smallest and len(proof.facts) <= _SURE:
                return frozenset(proof.facts)
            self.barred.append(frozenset(proof.facts))
            for fact in proof.facts:  # those that each has one by one
                self._reaches(self.all - {fact})
        while not self._is_smallest():
            if (reaches := self._reaches(self.fewest, _PATIENCE)) is None:
                raise _Given
            if reaches:
                self._give_up_apart(self.fewest)
        return self._best()

    def _best(self) -> frozenset[Fact]:
        """The fewest facts of which it is known that they contradict one another."""
        return min(self.barred, key=len, default=self.all)

    def _is_smallest(self) -> bool:
        """Whether as few facts contradict one another as meet all ways to reach the goal.

        Raises
        ------
        _Given
            If the fewest that meet all ways are not found.
        """
        tried = smallest_hitting_set([self.all - more for more in self.reached], self.progress)
        if not tried.smallest:
            raise _Given
        self.fewest = tried.facts
        return self._is_met()

    def _is_met(self) -> bool:
        """Whether so few contradict one another; where nearly so few do, look for less of them."""
        for less in sorted(self.barred, key=len)[:_MOST_SHRUNK]:
            nearly = len(self.fewest) < len(less) <= _NEARLY * len(self.fewest)
            if nearly and less not in self.shrunk:
                self.shrunk |= {less, self._shrunk(less)}
        return len(self._best()) <= len(self.fewest)

    def _give_up_apart(self, facts: frozenset[Fact]) -> None:
        """Find ways to reach the goal that give up nothing of some facts, nor what others do."""
        kept = facts
        while self._reaches(kept) and not self._is_smallest():
            kept |= self.all - self._grown(kept)

    def _changes(self, facts: tuple[Fact, ...]) -> tuple[tuple[Fact, ...], ...]:
        """Give what to change; all facts of which any alone would do, where one would."""
        self.effort = self.most
        others = [fact for fact in facts if fact.sort is not Sort.ASKED]
        enough: list[tuple[Fact, ...]] = []
        with suppress(_Given):
            enough += ((f,) for f in others if self._reaches(self.all - {f}, _LITTLE))
        change = () if enough else self._change(frozenset(facts))
        return tuple(enough) or ((change,) if change else ())

    def _change(self, core: frozenset[Fact]) -> tuple[Fact, ...]:
        """The fewest facts to give up: what meets every contradiction, until the goal is reached.

        Empty where the effort does not suffice.
        """
        cores = [core, *(less for less in self.barred if len(less) <= _MOST_BLAMED)]
        try:
            while True:
                change = smallest_hitting_set(cores, self.progress)
                left = self.all - change.facts
                reaches = self._reaches(left, _PATIENCE)
                if reaches is None:
                    return ()
                if reaches:
                    return tuple(sorted(change.facts)) if change.smallest else ()
                core = self._core(left)
                if not core:
                    return ()
                cores.append(core)
        except _Given:
            return ()

    # -- trying -------------------------------------------------------------------------------

    def _core(self, facts: frozenset[Fact]) -> frozenset[Fact]:
        """Some of the facts, which contradict one another, given that all of them do."""
        proof = any_proof(self.grounds.graph, self.grounds.goal, but=self.all - facts)
        return frozenset(proof.facts) if proof else self._shrunk(self._blamed(facts))

    def _blamed(self, facts: frozenset[Fact]) -> frozenset[Fact]:
        """Few of the facts, which contradict one another, given that all of them do.

        Begin with what seems to keep from the goal, and add of these facts what every way that is
        known to keep to that gives up; all of them, where that does not do.
        """
        guess = self.blamed.get(facts, facts)
        for _ in range(_MENDED):
            reaches = self._reaches(guess, _LITTLE)
            if reaches is False:
                return guess
            if reaches is None:
                break
            guess = guess.union(*(facts - more for more in self.reached if guess <= more))
        return facts

    def _grown(self, facts: frozenset[Fact]) -> frozenset[Fact]:
        """Add facts for as long as the goal can be reached.

        Of what the plan with these facts breaks, few are given up that meet all that is known to
        contradict itself, and all else is kept to; if there is no plan, more is known. Where that
        is not found out, what seems to keep from the goal is given up first.
        """
        kept = self._kept(facts)
        broken = self.all - kept
        cores = [less & broken for less in self.barred if len(less) <= _MOST_BLAMED]
        while not (reaches := self._reaches(more := self.all - met_by(cores))):
            if reaches is None:
                doubted = self.blamed[more] & broken if more in self.blamed else ()
                found = [frozenset({fact}) for fact in doubted]
            else:
                core = self._blamed(more)
                found = [core & broken] if len(core) <= _MOST_BLAMED else []
            if not found:
                break
            cores += found
        if self._is_met():
            return kept
        kept = self._kept(more) if reaches else self._added(kept, sorted(more - kept))
        for fact in sorted(self.all - kept):
            kept = self._added(kept, [fact])
        return kept

    def _kept(self, facts: frozenset[Fact]) -> frozenset[Fact]:
        """The most with which the goal was reached, these facts among it."""
        return max((more for more in self.reached if facts <= more), key=len)

    def _added(self, base: frozenset[Fact], more: Sequence[Fact]) -> frozenset[Fact]:
        """Add as many as can be, in halves."""
        more = [fact for fact in more if fact not in base]
        if not more:
            return base
        if self._reaches(base.union(more)):
            return self._kept(base.union(more))
        if len(more) == 1:
            return base
        half = len(more) // 2
        return self._added(self._added(base, more[:half]), more[half:])

    def _shrunk(self, facts: Set[Fact]) -> frozenset[Fact]:
        """Leave out of contradicting facts whatever surely is not needed for it."""
        left = sorted(facts)
        size = len(left)
        with suppress(_Given):
            while size > 0:
                size = (size + 1) // 2 if size > 1 else 0
                at = 0
                while size and at < len(left):
                    fewer = left[:at] + left[at + size :]
                    if self._reaches(frozenset(fewer), _LITTLE) is False:
                        core = self._blamed(frozenset(fewer))
                        at = sum(fact in core for fact in left[:at])
                        left = sorted(core)
                    else:
                        at += size
        return frozenset(left)

    def _reaches(self, facts: frozenset[Fact], patience: int = _FEW) -> bool | None:
        """Whether a plan reaches the goal where no other facts are so; ``None`` if nobody knows.

        So many states are looked at.

        Raises
        ------
        _Given
            If the effort is spent.
        """
        if any(facts <= more for more in self.reached):
            return True
        if any(facts >= less for less in self.barred):
            return False
        if self.unknown.get(facts, -1) >= patience:
            return None
        self._spend(_EACH)
        try:
            kept = self._try(facts, patience)
        except Unknown:
            self.unknown[facts] = patience
            return None
        if kept is None:
            self.barred.append(facts)
            return False
        self.reached = [less for less in self.reached if not less <= kept]
        self.reached.append(kept)
        return True

    def _spend(self, states: int) -> None:
        self.effort -= states * len(self.laid.near)
        if self.effort < 0:
            raise _Given

    def _try(self, facts: frozenset[Fact], patience: int) -> frozenset[Fact] | None:
        """Try to plan, where nothing bars it by what must come before; give what is kept to.

        Raises
        ------
        Unknown
            If nobody knows whether there is a plan.
        """
        given_up = self.all - facts
        try:
            bouts, looked_at, blamed = attempt(
                self.laid, given_up, patience, self.progress, self.begun
            )
        except Unknown as unknown:
            self.blamed[facts] = unknown.blamed
            self._spend(patience)
            raise
        self._spend(looked_at)
        if bouts is None:
            self.blamed[facts] = blamed
            return None
        broken = broken_by(self.problem, self.targets, bouts, facts)
        return facts if broken is None else facts | (self.all - broken)
