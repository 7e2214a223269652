"""Make moves by all the rules, as near to an order given as may be, and learn from what may not.

An order that keeps plain precedence may still let something hang, or tip. What cannot be done yet
waits until it can, and what it waited for is a lesson: one more precedence. A change of standing
that cannot be made teaches what belongs before it, or after it, by an order that is known to work.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from putback.planning.held.guard import Guard
from putback.planning.ordering.items import Change, Lesson, Placed
from putback.planning.search.arrange import Bout
from putback.planning.search.field import Field, Move, Rules


@dataclass
class Settled:
    """Moves made one after another; ``works`` is whether all of them could be."""

    made: list[Placed] = field(default_factory=list)
    lessons: dict[Lesson, None] = field(default_factory=dict)
    works: bool = True
    changes: set[int] = field(default_factory=set)
    """The bouts that could not be changed to."""


def settle(
    rules: Rules, bouts: Sequence[Bout], known: Mapping[Move, int], again: Collection[int] = ()
) -> Settled:
    """Make the moves of some bouts.

    ``known`` says in which bout each is where all works; of a change to one of ``again`` all is
    learnt if it cannot be made, else only what hangs there.
    """
    return _Settling(rules, known, again).run(bouts)


def _on_its_side(move: Move, bout: int, changes: Iterable[int]) -> Iterator[Lesson]:
    """Let a move stay on that side of changes where it is."""
    for change in changes:
        first, then = (move, Change(change)) if bout < change else (Change(change), move)
        yield Lesson(then, (first,))


class _Settling:
    """The moves as far as they are made."""

    def __init__(self, rules: Rules, known: Mapping[Move, int], again: Collection[int]) -> None:
        self.field = Field(rules)
        self.again = again
        self.known = known
        self.result = Settled()
        self.waiting: list[Move] = []
        self.waited_for: dict[Move, Move] = {}
        """Of what waits and may be made now, what was made just before it might."""
        self.done: set[Move] = set()
        self.blamed: frozenset[Move] = frozenset()
        """What was told to hang at a change of standing."""

    def run(self, bouts: Sequence[Bout]) -> Settled:
        """Make them all."""
        for number, bout in enumerate(bouts):
            if self.field.standing != bout.standing:
                self._change_to(number, bout)
            for move in bout.moves:
                if self._may(move, self.waiting):
                    self._make(move)
                    self._go_on(move)
                else:
                    self.waiting.append(move)
        for move in self.waiting:
            self.result.works = False
            self._keep_on_its_side(move, range(1, len(bouts)))
        return self.result

    def _make(self, move: Move) -> None:
        self.field.do(move)
        self.done.add(move)
        self.result.made.append((move, self.field.standing))

    def _go_on(self, last: Move) -> None:
        """Make what waited and may be made now, and learn what it waited for."""
        while ready := self._no_longer_waiting():
            for late in ready:
                self.waited_for.setdefault(late, last)
            late = ready[0]
            self.waiting.remove(late)
            others = self._holding_with(late)
            self.result.lessons[Lesson(self.waited_for.pop(late), (), (late, *others))] = None
            self._make(late)
            last = late

    def _no_longer_waiting(self) -> list[Move]:
        """What waited and may be made now, the longest waiting first."""
        return [
            late
            for late in self.waiting
            if self._may(late, [each for each in self.waiting if each != late])
        ]

    def _holding_with(self, late: Move) -> tuple[Move, ...]:
        """What was undone before and held what ``late`` lets go: any of it may be last instead."""
        guard = self.field.present_guard()
        joint = guard.watch.joint_of.get(late) if guard is not None else None
        if guard is None or joint is None:
            return ()
        pieces = guard.lets_go(late, joint, self.field.done)
        return tuple(each for piece in pieces for each in self._undone_around(guard, piece))

    def _undone_around(self, guard: Guard, piece: Collection[int]) -> Iterator[Move]:
        """What was undone to let a piece go."""
        for part in sorted(piece):
            for joint, other in guard.watch.links.stiff_of[part]:
                move = guard.watch.undone_by.get(joint)
                if other not in piece and move in self.done:
                    yield move

    def _may(self, move: Move, waiting: Iterable[Move]) -> bool:
        """Whether a move may be made now, while others that came before it wait."""
        if move >= 0:
            stage_of = self.field.rules.stage_of
            if move not in self.field.ready:
                return False
            if any(each >= 0 and stage_of[each] < stage_of[move] for each in waiting):
                return False
        return self.field.may(move)

    def _change_to(self, number: int, bout: Bout) -> None:
        """Change the standing; where that cannot be, learn why, and go on as if it could."""
        now = self.field
        loosened = now.in_the_air() - self.blamed
        if loosened or any(now.ends_hanging()) or now.enter_minutes(bout.standing) is None:
            if loosened or not self.blamed:  # else it follows from what was told already
                hanging = dict.fromkeys(self._hanging(number))
                self.result.lessons |= hanging
                if not hanging:
                    self._learn_side(number, loosened)
            self.blamed |= loosened
            self.result.works = False
        now.standing = bout.standing

    def _hanging(self, number: int) -> Iterator[Lesson]:
        """Learn that what is in the air before a change is off by then, or let go after it."""
        guard = self.field.present_guard()
        if guard is None:
            return
        left = set(guard.loose)
        while left:
            piece = guard.hold.unheld(left.pop()) or set()
            left -= piece
            letting_go = tuple(dict.fromkeys(self._undone_around(guard, piece)))
            for part in sorted(piece) if letting_go else ():
                by = guard.watch.taken_off_by.get(part, ())
                if off := tuple(move for move in by if move in self.known):
                    yield Lesson(Change(number), off, letting_go)

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

    def _keep_on_its_side(self, move: Move, changes: Iterable[int]) -> None:
        """Learn that a move stays on that side of changes where it is known to work."""
        lessons = _on_its_side(move, self.known[move], changes)
        self.result.lessons |= dict.fromkeys(lessons)
