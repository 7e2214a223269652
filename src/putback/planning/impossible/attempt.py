"""Try to plan where only some facts are so: a plan that breaks few others, or proof of none.

What can do no harm is done at once, in whichever standing one can go to and come back from. What
may do harm (it ends another way, something that cannot come after it, or a standing) is tried one
after another, the least harm first. Before each, it is looked at how far one could get if nothing
did harm any more: what is out of reach then is given up, and what is not needed for the goal
counts for no harm. What would be ended by all that it ends is done now or never, and a state from
which no more can be done than from one that failed is not tried (`left`). If all that has been
tried, there is no plan.

Of what does no harm, first comes what keeps to all facts, then one by one what breaks the fewest.
"""

from collections import deque
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from itertools import islice
from typing import NamedTuple

from putback.planning.impossible.laid import Laid
from putback.planning.impossible.left import Case, Left, is_no_better, left_in
from putback.planning.impossible.outlook import Foreseeing
from putback.planning.impossible.shortened import shortened
from putback.planning.impossible.trial import NONE, VISIT, State, Trial
from putback.planning.posing.fact import Fact
from putback.planning.search.arrange import Bout
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

_Move = tuple[int, StandingId | None, int]
"""A node, where it is done, and how much of what is needed it ends."""
_MOST_ASKED = 50
"""States of which it is asked why nothing else could be done there, at most."""
_MOST_COMPARED = 50
"""States that failed with which others are compared, at most."""


class Unknown(Exception):
    """So many states were looked at, and nobody knows whether there is a plan."""

    def __init__(self, blamed: frozenset[Fact]) -> None:
        """Take the facts that seem to have kept it from the goal."""
        super().__init__()
        self.blamed = blamed


class Tried(NamedTuple):
    """What came of a try: a plan or none, and after how many states.

    ``blamed`` are facts that seem to have kept it from the goal: a guess, and no proof.
    """

    bouts: list[Bout] | None
    looked_at: int
    blamed: frozenset[Fact] = frozenset()


def attempt(
    laid: Laid,
    given_up: Collection[Fact],
    patience: int,
    progress: Progress = NoProgress(),
    begun: State | None = None,
) -> Tried:
    """Find a plan where some facts are not so, or that there is none.

    Parameters
    ----------
    laid : Laid
        The problem.
    given_up : collection of Fact
        What is not so.
    patience : int
        States looked at before giving up.
    progress : Progress
        Asked whether to go on.
    begun : State or None
        What can be done in any case, where it is known.

    Returns
    -------
    Tried
        The plan if there is one.

    Raises
    ------
    Unknown
        If those did not tell.
    """
    return _Attempt(laid, given_up).run(patience, progress, begun)


def begun_freely(laid: Laid) -> State:
    """Do what does no harm while all facts are so: each try may begin with that."""
    trial = Trial(laid, ())
    state = trial.begin()
    trial.do_freely(state)
    return state


class _Attempt(Foreseeing):
    """One try, with some facts given up."""

    def run(self, patience: int, progress: Progress, begun: State | None) -> Tried:
        """Look at one state after another, the most promising first."""
        stack: list[State | Case] = [self.begin(begun)]
        seen: set[Left] = set()
        failed: deque[Case] = deque(maxlen=_MOST_COMPARED)
        parted: list[tuple[State, list[_Move]]] = []
        looked_at = 0
        while stack:
            state = stack.pop()
            if isinstance(state, Case):
                failed.append(state)  # all that came of it has been tried
                continue
            looked_at += 1
            if looked_at > patience:
                raise Unknown(self._facts_blamed())
            progress.step(looked_at, patience, "trying every order")
            settled = self._settle(state)
            if not state.missing[self.laid.goal]:
                return Tried(shortened(self, state), looked_at)
            if settled is None:
                continue
            branches, needed = settled
            left = left_in(self, state, needed)
            if left not in seen and not any(is_no_better(self, left, each) for each in failed):
                seen.add(left)
                stack.append(Case(state, left))
                parted.append((state, branches))
                stack += reversed(list(self._next(state, branches, needed)))
        self._blame_parted(parted)
        return Tried(None, looked_at, self._facts_blamed())

    def _facts_blamed(self) -> frozenset[Fact]:
        return frozenset(map(self.laid.facts.__getitem__, self.blamed))

    def _blame_parted(self, parted: Iterable[tuple[State, list[_Move]]]) -> None:
        """Where one of several things was done and ended others: why these came too late."""
        for state, branches in islice(parted, _MOST_ASKED):
            seen = self.foresee(state)
            ended = self.ended - state.done.keys() - state.dead
            state.dead.update(index for index, _, _ in branches)
            self.blame(self.again(seen), sorted(ended))

    def _settle(self, state: State) -> tuple[list[_Move], set[int]] | None:
        """Do all that can do no harm; give what may, where, and how much, and what is needed.

        ``None`` where there is no hope.
        """
        fresh = False  # what is needed only grows less, so it need not be known anew each time
        needed: set[int] = set()
        waits: Mapping[int, Sequence[int]] = {}
        while True:
            self.do_freely(state)
            if not state.missing[self.laid.goal]:
                return [], needed
            before = len(state.made)
            found = list(self._harmful(state, needed, waits))
            if len(state.made) > before or self._do_one(state, found):
                fresh = fresh and self.harmful.isdisjoint(i for _, i in state.made[before:])
            elif fresh:
                return sorted(found, key=lambda each: each[2]), needed
            else:
                outlook = self.outlook(state)
                if outlook is None:
                    return None
                needed, waits = outlook
                fresh = True

    def _harmful(
        self, state: State, needed: set[int], waits: Mapping[int, Sequence[int]]
    ) -> Iterator[_Move]:
        """What is needed and may be done, where, and how much it would harm or break.

        What does neither is done on the way.
        """
        for index in state.ready:
            if (
                index in needed
                and index not in state.dead
                and index not in state.done
                and all(first in state.done for first in waits.get(index, ()))
            ):
                tried: list[StandingId | None] = []
                for each in self.region(state):
                    fits = self.fits(state, index, each)
                    if fits and not any(self._is_as_good(state, index, t, each) for t in tried):
                        tried.append(each)
                        harm = self._harm(state, index, each, needed)
                        if not harm and not self.breaks(state, index, each):
                            self.do(state, index, each)
                            break
                        yield index, each, harm

    def _is_as_good(
        self, state: State, index: int, one: StandingId | None, two: StandingId | None
    ) -> bool:
        """Whether one can go to and fro between two standings after a node, done in either."""
        if index in self.begins:
            return False
        if index not in self.kills:  # then all standings that one can come back from are alike
            return True
        free = [s for s in self.entered(state) if s not in self.kills.get(index, NONE)]
        return two in self.reach(one, free) and one in self.reach(two, free)

    def _do_one(self, state: State, found: Iterable[_Move]) -> bool:
        """Do what breaks the fewest facts that are given up, of what does no harm."""
        free = [(self.breaks(state, i, each), i, each) for i, each, harm in found if not harm]
        if free:
            _, index, standing = min(free, key=lambda each: each[0])
            self.do(state, index, standing)
        return bool(free)

    def _harm(
        self, state: State, index: int, standing: StandingId | None, needed: set[int]
    ) -> int:
        """How much of what is needed a node would end."""
        laid = self.laid
        harm = sum(
            other in needed
            and other not in state.done
            and other not in state.dead
            and (index, other) not in laid.covered
            for other in self.ends.get(index, ())
        )
        hangs = self._leaves_hanging(state, index, standing)
        if hangs or self._kills(state, index, needed):
            harm += (2 if hangs else 1) * (not self.is_enough(state, standing, needed, index))
        return harm

    def _kills(self, state: State, index: int, needed: set[int]) -> bool:
        """Whether a node ends a standing that no other is as good as."""
        killed = self.kills.get(index, NONE) - state.lost
        if not killed:
            return False
        left = [i for i in needed - state.done.keys() - state.dead if i in self.laid.is_step]
        safe = set(self.entered(state)).difference(*(self.kills.get(i, NONE) for i in left))
        safe = {each for each in safe if self._is_hub(each)} - self.kills[index]
        cracked = {crack for i in left if (crack := self.crack.get(i)) not in state.stood}
        return any(
            each in cracked
            or not any(
                all(i in self.shut[each] or i not in self.shut[s] for i in left) for s in safe
            )
            for each in killed
        )

    def _is_hub(self, standing: StandingId | None) -> bool:
        """Whether changes lead from and to it directly, wherever one is."""
        others = (each for each in self.laid.standings if each != standing)
        return all(self.leads(o, standing) and self.leads(standing, o) for o in others)

    def _leaves_hanging(self, state: State, index: int, standing: StandingId | None) -> bool:
        """Whether something begun with a node cannot be ended there and then."""
        if index not in self.begins or not any(
            index in first and not last <= state.done.keys() for first, last in self.spans
        ):
            return False
        after = state.copy()
        self.do(after, index, standing)
        self.do_freely(after)
        return bool(self.hanging(after))

    def _either(
        self, state: State, branches: Iterable[_Move], needed: AbstractSet[int]
    ) -> _Move | None:
        """Give something that is done now or never: all that it ends would end it.

        In a plan that does none of that before it, it may as well come first: it ends no standing
        and begins nothing that keeps the vehicle as it stands.
        """
        for index, standing, harm in branches:
            if index in self.kills or index in self.begins:
                continue
            if all(
                index in self.ends.get(other, ())
                for other in self.ends.get(index, ())
                if other in needed
                and other not in state.done
                and other not in state.dead
                and (index, other) not in self.laid.covered
            ):
                return index, standing, harm
        return None

    def _next(
        self, state: State, branches: Iterable[_Move], needed: AbstractSet[int]
    ) -> Iterator[State]:
        """Give what may be tried next: what may do harm, or a standing with no way back."""
        either = self._either(state, branches, needed)
        if either is not None:
            index, standing, _ = either
            after = state.copy()
            self.do(after, index, standing)
            yield after
            after = state.copy()
            after.dead.add(index)
            yield after
            return
        for index, standing, _ in branches:
            after = state.copy()
            self.do(after, index, standing)
            yield after
        if self.laid.standings[0] is None:
            return
        hanging = self.hanging(state)
        region = self.region(state)
        for to in self.reach(state.here, self.entered(state)):
            if to not in region:
                after = state.copy()
                after.here = to
                after.made.append((to, VISIT))
                after.stood.add(to)
                for last in hanging:
                    after.dead |= last
                yield after
