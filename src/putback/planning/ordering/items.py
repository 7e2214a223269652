"""Arranged moves as items of a problem of order: what binds them, and what changing costs.

Items are the moves in the order given, then the changes of standing between the bouts, then a
gate between one stage and the next.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf

from putback.planning.ordering.order import NONE, Late, Layer, OneOf, Ordering, Sorting
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import Kind, Node
from putback.planning.search.arrange import Bout
from putback.planning.search.field import Move, Rules
from putback.vehicle.ids import PartId, StandingId

_SORTINGS: tuple[tuple[Callable[[Node], object], float], ...] = (
    (lambda node: (node.zone, node.tool, wants_help(node)), 0.6),
    (lambda node: node.zone, 0.2),
    (lambda node: node.tool, 0.1),
    (lambda node: wants_help(node), 0.1),
)
"""What is better done together, and how often that is tried: found by trial [-]."""

_AIR_MINUTES = 100.0
"""What it is fined that a part waits in the air for a change: something else may bear it."""


def wants_help(node: Node) -> bool:
    """Whether it wants more than one person."""
    return node.crew > 1


Placed = tuple[Move, StandingId | None]
"""A move, and how the vehicle stands for it."""


@dataclass(frozen=True, slots=True)
class Change:
    """The change of standing to a bout, by its number."""

    bout: int


@dataclass(frozen=True, slots=True)
class Lesson:
    """What was found to be so: one of ``before`` comes before a thing, or one of ``behind`` later.

    Where ``before`` is one thing and ``behind`` none, this is plain precedence.
    """

    item: Move | Change
    before: tuple[Move | Change, ...] = ()
    behind: tuple[Move | Change, ...] = ()


class Items:
    """Moves by number."""

    def __init__(
        self,
        rules: Rules,
        bouts: Sequence[Bout],
        settings: PlanSettings,
    ) -> None:
        """Number everything."""
        self.rules = rules
        self.standings = [bout.standing for bout in bouts]
        self.moves = [move for bout in bouts for move in bout.moves]
        self.item = {move: at for at, move in enumerate(self.moves)}
        self._bout_of = [at for at, bout in enumerate(bouts) for _ in bout.moves]
        self._nodes = [rules.nodes[max(move, ~move)] for move in self.moves]
        count = len(self.moves)
        self.changes = range(count, count + max(len(bouts) - 1, 0))
        self._pairs: list[tuple[int, int]] = list(pairwise(self.changes))
        self._any_of: list[OneOf] = []
        self._clauses()
        self._around_changes()
        self._in_the_air()
        gates = self._gates(self.changes.stop)
        self.ordering = Ordering(
            gates.stop,
            self._pairs,
            tuple(self._layers(settings, gates.stop)),
            self._any_of,
            tuple(self._late()),
            tuple(self.changes),
            [*map(self._periods, self.moves), *[-1] * (gates.stop - count)],
        )
        self._gates_of = gates
        self.start = self.order(bouts)
        self.sortings = tuple(
            Sorting(self._sorts(sort_of, gates.stop), share) for sort_of, share in _SORTINGS
        )

    def taught(self, learnt: Mapping[Lesson, int], fine: float) -> Ordering:
        """Bind the items by what was learnt as well.

        Where it is not kept that costs a fine [minutes], as many times as it was learnt.
        """
        clauses = (
            OneOf(
                self._learnt(lesson.item),
                tuple(map(self._learnt, lesson.before)),
                tuple(map(self._learnt, lesson.behind)),
                fine * times,
            )
            for lesson, times in learnt.items()
        )
        return replace(self.ordering, any_of=[*self.ordering.any_of, *clauses])

    def in_their_bouts(self, ordering: Ordering) -> Ordering:
        """Let no move be made in another bout than it was given in."""
        given = [1 << bout for bout in self._bout_of]
        return replace(ordering, periods=[*given, *ordering.periods[len(given) :]])

    def bouts(self, order: Sequence[int]) -> list[Bout]:
        """Give the moves of an order of the items, bout by bout; some may have come to nothing."""
        moves: list[list[Move]] = [[] for _ in self.standings]
        bout = 0
        for item in order:
            if item < len(self.moves):
                moves[bout].append(self.moves[item])
            elif item in self.changes:
                bout += 1
        return [
            Bout(standing, tuple(some))
            for standing, some in zip(self.standings, moves, strict=True)
        ]

    def _sorts(self, sort_of: Callable[[Node], object], count: int) -> list[int]:
        """Number the sorts of the moves; every change and gate is a sort of its own."""
        number: dict[object, int] = {}
        sorts = [number.setdefault(sort_of(node), len(number)) for node in self._nodes]
        return [*sorts, *range(len(number), len(number) + count - len(sorts))]

    def order(self, bouts: Sequence[Bout]) -> list[int]:
        """The items in the order of these bouts: as many as were given, of the same moves."""
        order: list[int] = []
        stage_of = self.rules.stage_of
        stages = sorted({stage_of[move] for move in self.moves if move >= 0})
        left = list(zip(stages[1:], self._gates_of, strict=True))
        for number, bout in enumerate(bouts):
            if number:
                order.append(self.changes[number - 1])
            for move in bout.moves:
                while left and move >= 0 and stage_of[move] >= left[0][0]:
                    order.append(left.pop(0)[1])
                order.append(self.item[move])
        return order

    def is_bound_by(self, order: Sequence[int]) -> bool:
        """Whether an order keeps all that binds the items, lessons left aside."""
        place = {item: at for at, item in enumerate(order)}
        if any(place[first] > place[then] for first, then in self.ordering.pairs):
            return False
        bout = 0
        for item in order:
            if not self.ordering.periods[item] >> bout & 1:
                return False
            bout += item in self.changes
        return all(each.is_kept(place) for each in self.ordering.any_of if each.fine == inf)

    def _learnt(self, what: Move | Change) -> int:
        return self.changes[what.bout - 1] if isinstance(what, Change) else self.item[what]

    # -- what binds ---------------------------------------------------------------------------

    def _clauses(self) -> None:
        item = self.item
        for move, at in item.items():
            if move < 0:
                self._pairs.append((at, item[~move]))
                continue
            for ways in self.rules.steps_before(move):
                self._clause(at, ways)
        for job, cracked in self.rules.cracked_by.items():
            for undone in cracked:
                if item.get(job, len(item)) < item.get(undone, 0):
                    self._pairs.append((item[job], item[undone]))

    def _clause(self, owner: int, ways: Sequence[int]) -> None:
        """Ask for one of several ways; for what is no step, ask for what that asks for."""
        steps = tuple(self.item[way] for way in ways if way in self.item)
        if len(steps) == 1 and steps[0] < owner:
            self._pairs.append((steps[0], owner))
        elif steps and min(steps) < owner:
            self._any_of.append(OneOf(owner, steps))
        else:
            others = [way for way in ways if way in self.rules.wanted and way not in self.item]
            for asked in self.rules.steps_before(min(others, key=self._when)) if others else ():
                self._clause(owner, asked)

    def _when(self, index: int) -> int:
        """Where in the order given what is no step is fulfilled."""
        return max(
            (
                min((self.item[way] for way in ways if way in self.item), default=len(self.moves))
                for ways in self.rules.steps_before(index)
            ),
            default=0,
        )

    def _around_changes(self) -> None:
        """What must be on, or off, for each change of standing."""
        standings = self.rules.problem.vehicle.standings
        taking: dict[PartId, int] = {
            part: self.item[move]
            for move, node in zip(self.moves, self._nodes, strict=True)
            if move >= 0 and node.kind in (Kind.PART, Kind.WHOLE)
            for part in node.parts
        }
        for change, standing in zip(self.changes, self.standings[1:], strict=True):
            if standing is None:
                continue
            for support in standings[standing].supports:
                if not support.beside and support.bears_on in taking:
                    self._pairs.append((change, taking[support.bears_on]))
            for part in standings[standing].needs_off:
                if part in taking:
                    self._pairs.append((taking[part], change))

    def _in_the_air(self) -> None:
        """Let no part wait in the air for a change of standing.

        Before each change it is off, or one of its joints to what comes off later is still made.
        Where the order given does otherwise, something else bears it.
        """
        links, undone_by = self.rules.guarded.links, self.rules.guarded.undone_by
        taken_off = {
            part: at
            for move, at in self.item.items()
            for part in (links.numbers(self.rules.takes_off(move)) if move >= 0 else ())
        }
        last = len(self.item)
        for part, at in taken_off.items():
            joints = [
                (self.item[undone_by[joint]], taken_off.get(other, last))
                for joint, other in links.stiff_of[part]
                if undone_by.get(joint) in self.item
            ]
            holding = [undone for undone, other in joints if other > at]
            holding = holding or [undone for undone, _ in joints]
            for number, change in enumerate(self.changes, 1) if holding else ():
                if self._bout_of[at] < number or self._bout_of[max(holding)] >= number:
                    self._any_of.append(OneOf(change, (at,), tuple(holding), _AIR_MINUTES))

    def _gates(self, begin: int) -> range:
        """Part the stages: all of one before all of the next."""
        stages: dict[int, list[int]] = {}
        for move, at in self.item.items():
            if move >= 0:
                stages.setdefault(self.rules.stage_of[move], []).append(at)
        gates = range(begin, begin + max(len(stages) - 1, 0))
        for gate, (earlier, later) in zip(gates, pairwise(sorted(stages)), strict=True):
            self._pairs += [(at, gate) for at in stages[earlier]]
            self._pairs += [(gate, at) for at in stages[later]]
        self._pairs += pairwise(gates)
        return gates

    def _periods(self, move: Move) -> int:
        """The bouts that a move may be made in, as bits."""
        at = self.item[move]
        here, node = 1 << self._bout_of[at], self._nodes[at]
        if any(move in side for span in self.rules.spans for side in span):
            return here
        only: StandingId | None = None
        if node.crack_in is not None and (move < 0 or ~move not in self.item):
            # A joint that is cracked already, or by a job, is undone where it was to be.
            if self.standings[self._bout_of[at]] != node.crack_in:
                return here
            only = node.crack_in
        return sum(
            1 << bout
            for bout, standing in enumerate(self.standings)
            if (move < 0 or node.allows(standing)) and only in (None, standing)
        )

    # -- what it costs ------------------------------------------------------------------------

    def _layers(self, settings: PlanSettings, count: int) -> Iterator[Layer]:
        """Zone, tool and helpers."""
        rest = [NONE] * (count - len(self.moves))

        def labels(what: Sequence[object]) -> list[int]:
            number = {each: at for at, each in enumerate(dict.fromkeys(filter(None, what)))}
            return [number[each] if each else NONE for each in what]

        for kind, minutes in (
            (labels([node.zone for node in self._nodes]), settings.zone_minutes),
            (labels([node.tool for node in self._nodes]), settings.tool_minutes),
        ):
            size = max(kind, default=0) + 1
            table = [[minutes * (a != b) for b in range(size)] for a in range(size)]
            yield Layer([*kind, *rest], table)
        helped = [int(wants_help(node)) for node in self._nodes]
        yield Layer([*helped, *rest], [[0.0, settings.helper_minutes], [0.0, 0.0]], start=0)

    def _late(self) -> Iterator[Late]:
        for fact in self.rules.problem.harder:
            for job in fact.jobs:
                by = tuple(self.item[each] for each in fact.after if each in self.item)
                others = tuple(each for each in by if each != self.item.get(job))
                if job in self.item and others:
                    minutes = (fact.factor - 1) * self.rules.nodes[job].minutes
                    yield Late(self.item[job], others, minutes)
