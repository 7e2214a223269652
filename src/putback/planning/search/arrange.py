"""Arrange chosen nodes over the standings: what is done how the vehicle stands, in which order.

Changes of standing cost most, so they are settled first. In each standing everything is done
that can be (a *bout*), with two reservations: what makes another job harder, or would itself get
easier, is held back at first; and what would leave something hanging at the end of the bout is
not begun. Both are done at the end of the bout, or of another that begins as it does: its
beginning, the most of it, is gone through once. A best-first search over such bouts then finds
the cheapest sequence of standings. Where all that is left is barred by the guard, one thing is
waived and the search goes on: the plan then says what to prop or which support to add.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from itertools import count, groupby, islice
from operator import itemgetter
from typing import NamedTuple

from putback.planning.search.field import Field, Move, Rules
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

_CALM, _HURRIED = 3, 200
"""After so many bouts looked at, what gets further counts more; after more, nothing else does."""

_MOST_WORK = 30_000
"""Nor after so much work: moves made in bouts, and the steps left of each tried by waiving [-]."""

_WITHOUT_WAIVING = 20
"""Where nothing may be waived, so much of that work for each step at most [-]."""

_WAIVED_AT_ONCE, _WAIVING_WORK = 8, 4_000
"""When hurried, so many bouts by waiving, or as many as are this much work [-], are tried at once.

Others follow only where those lead nowhere.
"""

_AHEAD_MINUTES, _HURRIED_MINUTES = 0.1, 1.0
"""What each thing still to be done weighs against minutes, at first and when hurried [minutes]."""

_WAIVED_MINUTES = 1000.0
"""What waiving one thing counts, so that whatever does without it comes first [minutes]."""


_MARK = 64
"""After so many moves of a bout a place is marked to come back to."""


@dataclass(frozen=True, slots=True)
class Bout:
    """Moves made in one standing, without a change between."""

    standing: StandingId | None
    moves: tuple[Move, ...]


_Tried = tuple[float, Field, Bout]

_Last = dict[StandingId | None, set[Move]]
"""What is done last in a bout, by its standing: it left something hanging in others before."""


class _Reached(NamedTuple):
    """How far some bouts get: what comes first in the queue has the least ``rank``."""

    rank: float
    number: int
    minutes: float
    field: Field
    bouts: tuple[Bout, ...]
    waiving: Iterator[_Tried] | None = None
    """What is still to be tried by waiving, if that was begun."""


def arrange(
    rules: Rules, progress: Progress = NoProgress(), *, waives: bool = True
) -> tuple[Bout, ...] | None:
    """Arrange the nodes of each stage, a whole stage before the next; ``None`` if it gets stuck.

    To get stuck proves nothing: what is in the way may be the way of arranging. What had to be
    waived on the way is noted in the rules; unless it ``waives``, it gets stuck sooner.
    """
    field = Field(rules)
    bouts: list[Bout] = []
    for stage in rules.stages:
        reached = _arrange_stage(field, stage, progress, waives=waives)
        if reached is None:
            return None
        field, more = reached
        bouts += more
    field.pass_on()
    placed = [(move, bout.standing) for bout in bouts for move in bout.moves]
    return tuple(without_needless_cracks(rules, bouts_of(placed)))


def _arrange_stage(
    field: Field, stage: frozenset[int], progress: Progress, *, waives: bool
) -> tuple[Field, tuple[Bout, ...]] | None:
    steps = frozenset(i for i in stage if field.rules.nodes[i].kind.is_step)
    number = count()
    queue = [_Reached(0.0, next(number), 0.0, field, ())]
    seen: dict[tuple[int, StandingId | None], float] = {}
    looked_at = work = 0
    hurried = False
    last: _Last = {}
    while queue:
        reached = heappop(queue)
        at = reached.field
        left = len(steps - at.done)
        if not left:
            return at, reached.bouts
        progress.step(looked_at, None, "arranging the work over the standings")
        looked_at += 1
        if not waives and work > _WITHOUT_WAIVING * len(steps):
            return None
        if not hurried and (looked_at > _HURRIED or work > _MOST_WORK):
            hurried = True
            # What was put aside as dear counts by what it leaves to do from now on as well.
            queue = [each._replace(rank=float(len(steps - each.field.done))) for each in queue]
            heapify(queue)
        weight = _AHEAD_MINUTES if looked_at <= _CALM else _HURRIED_MINUTES
        tried = list(_bouts(at, steps, last)) if reached.waiving is None else []
        if not tried and waives:
            waiving = reached.waiving or _waiving_bouts(at, steps, last)
            most = (_WAIVING_WORK if hurried else _MOST_WORK - work) // left
            most = max(most, _WAIVED_AT_ONCE)
            tried = list(islice(waiving, most))
            work += left * len(tried)
            if len(tried) == most:  # there may be more
                rank = float(left) if hurried else reached.rank + _WAIVED_MINUTES
                rest = _Reached(rank, next(number), reached.minutes, at, reached.bouts, waiving)
                heappush(queue, rest)
        for more, after, bout in tried:
            work += len(bout.moves)
            key, cost = (after.mask, after.standing), reached.minutes + more
            if cost < seen.get(key, cost + 1):
                seen[key] = cost
                still = len(steps - after.done)
                rank = cost + _least_left(after, steps) + weight * still
                rank = float(still) if hurried else rank
                bouts = (*reached.bouts, bout)
                heappush(queue, _Reached(rank, next(number), cost, after, bouts))
    return None


def _least_left(field: Field, stage: frozenset[int]) -> float:
    """The changes that are still to come at least: into each standing that alone will do."""
    rules = field.rules
    return sum(
        rules.stands.least_minutes(standing)
        for standing, nodes in rules.only_in.items()
        if standing != field.standing and not field.done.issuperset(nodes & stage)
    )


def _bouts(at: Field, stage: frozenset[int], last: _Last) -> Iterator[_Tried]:
    """Try a bout in every standing that can be entered, with and without holding back."""
    for standing in at.rules.problem.usable or (None,):
        yield from _bouts_in(at, standing, stage, last)


def _bouts_in(
    at: Field,
    standing: StandingId | None,
    stage: frozenset[int],
    last: _Last,
    barred: set[Move] | None = None,
) -> Iterator[_Tried]:
    """Try a bout in one standing; ``barred`` gathers what the guard keeps from being done.

    What left something hanging in bouts of this standing before comes at its end, lest all be
    done again without it; what was held back comes at the end of another, that begins as it does.
    """
    change = at.enter_minutes(standing)
    if change is None or (standing != at.standing and at.hangs()):
        return
    hanging = last.setdefault(standing, set())
    held: set[Move] = set()
    begun = _Doing.begin(at, standing, stage)
    if hanging:
        begun.leave_out(hanging)
        begun.go_on(stage - hanging, held, [])
        begun.look_again(stage)
    for hold_back in (True, False):
        if hold_back or held:
            done = _bout(at, begun, stage, held if hold_back else None, hanging, barred)
            if done is None:
                continue
            if held and hold_back:
                begun = done.copy()
                begun.look_again(stage)
            field = done.field
            for move in field.to_crack():  # what is left to be undone in another standing
                field.do(move)
                done.moves.append(move)
            if done.moves:
                yield change + done.excess, field, Bout(standing, tuple(done.moves))


def _waiving_bouts(at: Field, stage: frozenset[int], last: _Last) -> Iterator[_Tried]:
    """Try what could be done if one thing were waived that the guard bars."""
    for standing in at.rules.problem.usable or (None,):
        barred: set[Move] = set()
        waivable: list[Move | StandingId] = []
        if standing is not None and not at.may_stand(standing):
            waivable.append(standing)
        elif standing == at.standing or not at.hangs():
            list(_bouts_in(at, standing, stage, last, barred))
            waivable += sorted(barred)
        for what in waivable:
            eased = at.copy()
            for each in (what, *at.in_the_air()):
                eased.waive(each)
            for minutes, after, bout in _bouts_in(eased, standing, stage, last):
                yield minutes + _WAIVED_MINUTES, after, bout


def _bout(
    at: Field,
    begun: "_Doing",
    stage: frozenset[int],
    held: set[Move] | None,
    hanging: set[Move],
    barred: set[Move] | None,
) -> "_Doing | None":
    """Go on with a bout and do all that can be done; ``None`` if that leaves something hanging.

    What does so is not begun, and added to what is ``hanging``.
    """
    standing = begun.field.standing
    not_begun: set[Move] = set()
    marks = [begun]
    while True:
        doing = marks[-1].copy() if marks else _Doing.begin(at, standing, stage)
        doing.leave_out(not_begun)
        doing.go_on(stage - not_begun, held, marks)
        field = doing.field
        if barred is not None:
            barred |= {move for move in field.ready & stage if field.is_barred_alone(move)}
        in_the_air = field.in_the_air()
        ends = [move for first, _ in field.ends_hanging() for move in first & field.done]
        if not (in_the_air or ends) or field.is_all_done():
            return doing
        if barred is not None:
            barred |= in_the_air
        begins = in_the_air.union(ends)
        if begins <= not_begun | at.done:
            return None
        not_begun |= begins
        hanging |= begins
        # Until the first of what is not to be begun, all would go as it went.
        as_before = next((n for n, move in enumerate(doing.moves) if move in not_begun), 0)
        while marks and len(marks[-1].moves) > as_before:
            marks.pop()


@dataclass(slots=True)
class _Doing:
    """A bout as far as it has got.

    ``todo`` is still to be looked at, ``waiting`` could not be done when it was; ``looked`` is how
    many moves were made when that was last begun.
    """

    field: Field
    todo: list[Move]
    waiting: list[Move]
    moves: list[Move]
    excess: float = 0.0
    looked: int = 0

    @classmethod
    def begin(cls, at: Field, standing: StandingId | None, stage: frozenset[int]) -> "_Doing":
        """Begin with what is ready of a stage and may be done, standing so."""
        field = at.copy()
        field.standing = standing
        here = field.rules.here(standing)
        return cls(field, sorted(i for i in field.ready & stage if here[i]), [], [])

    def copy(self) -> "_Doing":
        """Make a copy to go on from."""
        todo, waiting, moves = self.todo.copy(), self.waiting.copy(), self.moves.copy()
        return _Doing(self.field.copy(), todo, waiting, moves, self.excess, self.looked)

    def look_again(self, stage: frozenset[int]) -> None:
        """Look again at all that is ready of a stage and may be done, standing so."""
        here = self.field.rules.here(self.field.standing)
        self.todo = sorted(i for i in self.field.ready & stage if here[i])
        self.waiting, self.looked = [], len(self.moves)

    def leave_out(self, some: Collection[Move]) -> None:
        """Look no more at some moves."""
        self.todo = [move for move in self.todo if move not in some]
        self.waiting = [move for move in self.waiting if move not in some]

    def go_on(self, among: frozenset[int], held: set[Move] | None, marks: list["_Doing"]) -> None:
        """Do whatever may be done as it stands; with ``held``, what is regretted is held back.

        Adds ``marks`` to come back to.
        """
        field, moves, rules = self.field, self.moves, self.field.rules
        here, moody = rules.here(field.standing), rules.moody
        todo, waiting, at = self.todo, self.waiting, 0
        mark = len(moves) + _MARK
        while todo:
            while at < len(todo):
                if len(moves) == mark:
                    self.todo, self.waiting = todo[at:], waiting
                    marks.append(self.copy())
                    mark += _MARK
                move = todo[at]
                at += 1
                if held is not None and move in moody and field.regret_minutes(move) > 0:
                    if move not in held and field.may(move):
                        held.add(move)
                    waiting.append(move)
                elif field.may(move):
                    self.excess += field.excess_minutes(move)
                    todo += [fresh for fresh in field.do(move) if fresh in among and here[fresh]]
                    moves.append(move)
                else:
                    waiting.append(move)
            # What had to wait is looked at again as long as anything was done meanwhile.
            todo, waiting = (waiting, []) if len(moves) > self.looked else ([], waiting)
            at, self.looked = 0, len(moves)


def made_good(rules: Rules, bouts: Sequence[Bout]) -> tuple[Bout, ...]:
    """Bring an order that was found without the guard as near to what that asks for as it goes.

    Ends of runs are brought forward, and what is barred beyond that is waived in the rules.
    """
    field = Field(rules)
    todo = [(move, bout.standing) for bout in bouts for move in bout.moves][::-1]
    placed: list[tuple[Move, StandingId | None]] = []
    while todo:
        move, standing = todo.pop()
        if standing != field.standing:
            for what in (*field.in_the_air(), *(() if standing is None else (standing,))):
                field.waive(what)
            field.standing = standing
        if move >= 0 and field.is_barred(move):
            field.waive(move)
            while first := field.comes_first(move):
                todo = [each for each in todo if max(each[0], ~each[0]) not in first]
                for each in first:
                    field.do(each)
                    placed.append((each, standing))
        field.do(move)
        placed.append((move, standing))
    field.pass_on()
    return tuple(bouts_of(placed))


def bouts_of(placed: Sequence[tuple[Move, StandingId | None]]) -> list[Bout]:
    """Cut a sequence of moves into bouts, where the standing changes."""
    return [
        Bout(standing, tuple(move for move, _ in these))
        for standing, these in groupby(placed, key=itemgetter(1))
    ]


def without_needless_cracks(rules: Rules, bouts: Sequence[Bout]) -> Iterator[Bout]:
    """Leave out the cracking of what is undone in that very standing after all, or not at all."""
    undone_in = {move: bout.standing for bout in bouts for move in bout.moves}
    for bout in bouts:
        yield Bout(
            bout.standing,
            tuple(
                move
                for move in bout.moves
                if move >= 0
                or undone_in.get(~move, rules.nodes[~move].crack_in) != rules.nodes[~move].crack_in
            ),
        )
