"""Make moves by all the rules, as near to an order given as may be, and learn from what may not.

An order that keeps plain precedence may still let something hang, or tip. What cannot be done yet
waits until it can, and what it waited for is a lesson: one more precedence. A change of standing
that cannot be made teaches what belongs before it, or after it, by an order that is known to work.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from putback.planning.ordering.items import Change, Lesson, Placed
from putback.planning.search.arrange import Bout
from putback.planning.search.field import Field, Move, Rules

_MOST_AGAIN = 3.0
"""So many moves, of all there are, are made again without what leaves something in the air [-]."""

_MARK = 64
"""After so many moves of a bout a place is marked to come back to."""


@dataclass
class Settled:
    """Moves made one after another; ``works`` is whether all of them could be."""

    bouts: list[Bout] = field(default_factory=list)
    """Bout by bout; some may have come to nothing."""
    lessons: dict[Lesson, None] = field(default_factory=dict)
    works: bool = True
    changes: set[int] = field(default_factory=set)
    """The bouts that could not be changed to."""

    @property
    def made(self) -> list[Placed]:
        """All moves, each with how the vehicle stands for it."""
        return [(move, bout.standing) for bout in self.bouts for move in bout.moves]


def settle(
    rules: Rules,
    bouts: Sequence[Bout],
    known: Mapping[Move, int],
    again: Collection[int] = (),
    latest: Mapping[Move, int] | None = None,
) -> Settled:
    """Make the moves of some bouts.

    ``known`` says in which bout each is where all works, in their order there; of a change to one
    of ``again`` all is learnt if it cannot be made, else only what hangs there. ``latest`` says in
    which bout at the latest each could be made; what could be so after a change may be kept back
    until then, lest something is in the air meanwhile.
    """
    return _Settling(rules, known, again, latest or {}).run(bouts)


def _on_its_side(move: Move, bout: int, changes: Iterable[int]) -> Iterator[Lesson]:
    """Let a move stay on that side of changes where it is."""
    for change in changes:
        first, then = (move, Change(change)) if bout < change else (Change(change), move)
        yield Lesson(then, (first,))


def before_changes(
    rules: Rules,
    bouts: Sequence[Bout],
    known: Mapping[Move, int],
    latest: Mapping[Move, int],
    piece: Collection[int],
    letting_go: Collection[Move],
) -> Iterator[Lesson]:
    """Learn of a piece that before each change it is off, or let go by some move only after.

    Of what is off last all is learnt that matters, and of changes before which the vehicle does
    not stand on it. What can no more be made after a change is no way to let it go then.
    """
    watch = rules.guarded
    off = {move for part in piece for move in watch.taken_off_by.get(part, ()) if move in known}
    if not off or not letting_go:
        return
    last = max(sorted(off), key=known.__getitem__)
    for number, bout in enumerate(bouts[:-1], 1):
        if watch.links.under(bout.standing).isdisjoint(piece):
            later = (move for move in letting_go if latest.get(move, number) >= number)
            yield Lesson(Change(number), (last,), tuple(later))


class _Mark(NamedTuple):
    """A place in a bout to come back to: how many of its moves were looked at, and made."""

    looked_at: int
    made: int
    field: Field
    waiting: tuple[Move, ...]
    waited_for: dict[Move, Move]
    barred_by: dict[Move, tuple[Move, ...]]
    done: frozenset[Move]


class _Settling:
    """The moves as far as they are made."""

    def __init__(
        self,
        rules: Rules,
        known: Mapping[Move, int],
        again: Collection[int],
        latest: Mapping[Move, int],
    ) -> None:
        self.field = Field(rules)
        self.latest = latest
        self.made: list[Move] = []
        """What was made in this bout."""
        self.again = again
        self.known = known
        self.rank = {move: at for at, move in enumerate(known)}
        """The place of each move in the order that is known to work."""
        self.result = Settled()
        self.waiting: list[Move] = []
        self.waited_for: dict[Move, Move] = {}
        """Of what waits and may be made now, what was made just before it might."""
        self.freed_by: dict[Move, set[int]] = {}
        """Of what waits for others to let parts go, the parts that this hangs on."""
        self.bouts: Sequence[Bout] = ()
        self.barred_by: dict[Move, tuple[Move, ...]] = {}
        """Of what waits, what undid the other joints of what it would have let go then."""
        self.done: set[Move] = set()
        self.blamed: frozenset[Move] = frozenset()
        """What was told to hang at a change of standing."""
        self.kept_back: frozenset[Move] = frozenset()
        """What is not made in this bout, for it would leave something in the air."""
        self.spare = 0.0
        """How many moves may still be made, those made again among them."""

    def run(self, bouts: Sequence[Bout]) -> Settled:
        """Make them all."""
        self.bouts = bouts
        self.spare = sum(len(bout.moves) for bout in bouts) * (1 + _MOST_AGAIN)
        for number, bout in enumerate(bouts):
            if bout.moves and self.field.standing != bout.standing:
                self._change_to(number, bout)
            self._make_bout(number, bout)
            self.result.bouts.append(Bout(bout.standing, tuple(self.made)))
            self.made.clear()
        for move in self.waiting:
            self.result.works = False
            if move in self.barred_by:
                self.result.lessons[Lesson(move, (), self.barred_by[move])] = None
            elif move < 0 or move in self.field.ready:  # the others only wait for these
                self._keep_on_its_side(move, range(1, len(bouts)))
                self._keep_before(move)
        return self.result

    def _make_bout(self, number: int, bout: Bout) -> None:
        """Make the moves of a bout, again without what leaves something in the air at its end.

        Again is from the last mark on before any of that was made.
        """
        may_go_back = self.latest and any(later.moves for later in self.bouts[number + 1 :])
        marks = [self._mark(0)]
        while True:
            before = marks[-1]
            for looked_at, move in enumerate(bout.moves[before.looked_at :], before.looked_at):
                if may_go_back and len(self.made) >= marks[-1].made + _MARK:
                    marks.append(self._mark(looked_at))
                if move not in self.kept_back and self._may(move):
                    self._make(move)
                    self._go_on(move)
                else:
                    self._wait(move)
            self.spare -= len(self.made) - before.made
            if not may_go_back or self.spare < 0 or not (more := self._to_keep_back(number)):
                break
            self.result.lessons |= dict.fromkeys(self._hanging())
            self.kept_back |= more
            as_before = next(at for at, move in enumerate(self.made) if move in more)
            while marks[-1].made > as_before:
                marks.pop()
            self._go_back_to(marks[-1])
        self.kept_back = frozenset()

    def _to_keep_back(self, number: int) -> frozenset[Move]:
        """Of each piece in the air what let it go last, of all that may be made later as well."""
        guard = self.field.present_guard()
        left = set(guard.loose) if guard is not None else set()
        place = {move: at for at, move in enumerate(self.made)} if left else {}
        found: set[Move] = set()
        while guard is not None and left:
            piece = guard.hold.unheld(left.pop()) or set()
            left -= piece
            could = [
                move
                for move in self._around(piece)
                if move in place and self.latest.get(move, number) > number
            ]
            if could:
                found.add(max(could, key=place.__getitem__))
        return frozenset(found)

    def _mark(self, looked_at: int) -> _Mark:
        return _Mark(
            looked_at,
            len(self.made),
            self.field.copy(),
            tuple(self.waiting),
            self.waited_for.copy(),
            self.barred_by.copy(),
            frozenset(self.done),
        )

    def _go_back_to(self, mark: _Mark) -> None:
        self.field = mark.field.copy()
        self.waiting = list(mark.waiting)
        self.waited_for = mark.waited_for.copy()
        self.barred_by = mark.barred_by.copy()
        self.done = set(mark.done)
        self.freed_by.clear()
        del self.made[mark.made :]

    def _wait(self, move: Move) -> None:
        """Let a move wait; what would have to come after it, if it lets something go, is noted."""
        self.waiting.append(move)
        if move in self.field.ready and (others := tuple(self._undone_around(move))):
            self.barred_by[move] = others

    def _undone_around(self, move: Move) -> Iterator[Move]:
        """What undid the other joints of what a move would let go now."""
        for piece in self._lets_go(move):
            for each in self._around(piece):
                if each in self.done:
                    yield each

    def _make(self, move: Move) -> None:
        self.field.do(move)
        self.done.add(move)
        self.made.append(move)

    def _go_on(self, last: Move) -> None:
        """Make what waited and may be made now, and learn what it waited for."""
        while ready := self._freed(last):
            for late in ready:
                self.waited_for.setdefault(late, last)
            late = ready[0]
            self.waiting.remove(late)
            others = tuple(self._undone_around(late))
            self.result.lessons[Lesson(self.waited_for.pop(late), (), (late, *others))] = None
            self._make(late)
            last = late

    def _freed(self, last: Move) -> list[Move]:
        """What waited and may be made now, the longest waiting first."""
        freed: list[Move] = []
        ready = self.field.ready
        waiting = [late for late in self.waiting if late in ready or late < 0]
        touched = self._touched(last) if waiting else ()
        for late in waiting:
            if late in self.kept_back:
                continue
            if late not in self.waited_for and not self._could_free(late, last, touched):
                continue
            if self._may(late):
                freed.append(late)
            elif late in ready and (pieces := self._lets_go(late)):
                self.freed_by[late] = self._tied_to(pieces)
        return freed

    def _could_free(self, late: Move, last: Move, touched: Collection[int] | None) -> bool:
        """Whether the last move, which touched some parts, could matter to what waits."""
        by = self.freed_by.get(late)
        return by is None or touched is None or last == ~late or not by.isdisjoint(touched)

    def _touched(self, move: Move) -> Collection[int] | None:
        """The parts whose joints a move undoes, or that it takes off; ``None`` if more changes."""
        watch = self.field.rules.guarded
        if move in watch.turning:
            return None
        joint = watch.joint_of.get(move)
        if joint is not None:
            return watch.links.parts_of[joint]
        return watch.links.numbers(self.field.rules.takes_off(move)) if move >= 0 else ()

    def _tied_to(self, pieces: Iterable[set[int]]) -> set[int]:
        """Some pieces and the runs that tie them: whether they may be let go hangs on these."""
        links = self.field.rules.guarded.links
        tied = set[int]().union(*pieces)
        for part in links.on_runs & tied:
            for joint in links.loose_of[part]:
                tied.update(links.parts_of[joint])
        return tied

    def _lets_go(self, move: Move) -> list[set[int]]:
        """The pieces that come away with a move, if it were made now."""
        guard = self.field.present_guard()
        joint = guard.watch.joint_of.get(move) if guard is not None else None
        if guard is None or joint is None:
            return []
        return guard.lets_go(move, joint, self.field.done)

    def _around(self, piece: Collection[int]) -> Iterator[Move]:
        """What undoes the joints of a piece to all that is not of it."""
        watch = self.field.rules.guarded
        for part in sorted(piece):
            for joint, other in watch.links.stiff_of[part]:
                if other not in piece and joint in watch.undone_by:
                    yield watch.undone_by[joint]

    def _may(self, move: Move) -> bool:
        """Whether a move may be made now, with what waits of earlier stages."""
        if move >= 0:
            stage_of = self.field.rules.stage_of
            if move not in self.field.ready:
                return False
            if stage_of[move] and any(
                each >= 0 and stage_of[each] < stage_of[move] for each in self.waiting
            ):
                return False
        return self.field.may(move)

    def _change_to(self, number: int, bout: Bout) -> None:
        """Change the standing; where that cannot be, learn why, and go on as if it could."""
        now = self.field
        loosened = now.in_the_air() - self.blamed
        if loosened or any(now.ends_hanging()) or now.enter_minutes(bout.standing) is None:
            if loosened or not self.blamed:  # else it follows from what was told already
                hanging = dict.fromkeys(self._hanging())
                self.result.lessons |= hanging
                if not hanging and not self.waiting:  # else it may follow from what waits
                    self._learn_side(number, loosened)
            self.blamed |= loosened
            self.result.works = False
        now.standing = bout.standing
        self.freed_by.clear()

    def _hanging(self) -> Iterator[Lesson]:
        """Learn of what is in the air that before any change it is off, or let go only after."""
        guard = self.field.present_guard()
        if guard is None:
            return
        left = set(guard.loose)
        while left:
            piece = guard.hold.unheld(left.pop()) or set()
            left -= piece
            undone = (move for move in self._around(piece) if move in self.done)
            letting_go = tuple(dict.fromkeys(undone))
            yield from before_changes(
                self.field.rules, self.bouts, self.known, self.latest, piece, letting_go
            )

    def _learn_side(self, number: int, loosened: frozenset[Move]) -> None:
        """Learn that what is on another side of a change than where all works stays there."""
        moved = [
            move for move, bout in self.known.items() if (bout < number) != (move in self.done)
        ]
        takes_off = self.field.rules.takes_off
        suspected = [move for move in moved if move in loosened or (move >= 0 and takes_off(move))]
        if number in self.again or not suspected:
            suspected = moved
        for move in suspected:
            self._keep_on_its_side(move, [number])
        self.result.changes.add(number)

    def _keep_before(self, move: Move) -> None:
        """Learn that one of the lifts that come after a move where all works does so again."""
        later = (each for each in self.done if self.rank[each] > self.rank[move])
        lifts = [each for each in later if each >= 0 and self.field.rules.takes_off(each)]
        if lifts:
            behind = tuple(sorted(lifts, key=self.rank.__getitem__))
            self.result.lessons[Lesson(move, (), behind)] = None

    def _keep_on_its_side(self, move: Move, changes: Iterable[int]) -> None:
        """Learn that a move stays on that side of changes where it is known to work."""
        lessons = _on_its_side(move, self.known[move], changes)
        self.result.lessons |= dict.fromkeys(lessons)
