"""The steps of a rebuild as a problem of order: what belongs together, what binds it, its costs.

What the rules ask of steps in a row, a part that goes on and the joints that fasten it first, is
glued to one piece as it was in an order that keeps them. Items are these pieces in their order,
then the changes of standing, then a gate behind what is done before all the rest. What is not
plain precedence here (loose before tight, what hangs, hold points) is left to `along`.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TypeVar

from putback.planning.held.lifting import Lifting
from putback.planning.ordering.items import Change, Lesson
from putback.planning.ordering.order import NONE, Layer, OneOf, Ordering, Sorting
from putback.planning.plan import Action
from putback.planning.rebuild.along import Aim
from putback.planning.rebuild.hands import Keep
from putback.planning.rebuild.network import Network
from putback.planning.rebuild.order import Scheduling, Thumb
from putback.planning.rebuild.pays import PAYS
from putback.planning.rebuild.placed import Choice, Order
from putback.planning.rebuild.touch import Unit
from putback.planning.rebuild.work import Node
from putback.vehicle.ids import PartId, StandingId, joint_ref

_T = TypeVar("_T")

Piece = Sequence[int]
"""Steps by number that stay together, in their order."""


class _Gluing(Scheduling):
    """A scheduling of steps that are all given, which finds what belongs together in it."""

    def __init__(self, network: Network, lifting: Lifting) -> None:
        super().__init__(network, Thumb(PAYS[0], Keep.TOOL), lifting)
        self.pieces: list[list[int]] = []
        self._in_hand: set[PartId] = set()
        """What the piece that is begun has put on."""

    def _place(self, choice: Choice) -> None:
        stays = choice.standing == self.standing
        if not (self._in_hand and stays and self._leads_on(choice.node)):
            self.pieces.append([])
            self._in_hand = set()
        self.pieces[-1].append(choice.node)
        super()._place(choice)
        unit = self.net.units.get(choice.node)
        self._in_hand.update(unit.parts if unit else ())
        aloft = self.first.aloft
        in_air = self.in_the_air.keys() | (aloft.in_air & aloft.in_hand)
        if self._in_hand.isdisjoint(in_air):
            self._in_hand = set()

    def _leads_on(self, node: int) -> bool:
        """Whether a step fastens what is in the air, or leads there."""
        return (
            node in self.would_hold
            or node in self.first.fastening((node,), self.done)
            or bool(self.first.wanted(self.done, self.loose.items()) >> node & 1)
        )


class Pieces:
    """The pieces of an order by number, as a problem of order.

    ``start`` is the order given, as items. What is learnt, and that nothing heavy is left slack
    over a change of standing, may be broken at a ``fine`` [minutes].
    """

    def __init__(self, network: Network, order: Order, lifting: Lifting, fine: float) -> None:
        self.net = network
        self.fine = fine
        steps = [(network.index[each.node], each.standing) for each in order.placed]
        gluing = _Gluing(network, lifting)
        gluing.order(steps)
        self.pieces: Sequence[Piece] = gluing.pieces
        self.piece_of = {node: at for at, piece in enumerate(self.pieces) for node in piece}
        self.standings: list[StandingId | None] = []
        self.bout_of: list[int] = []
        """In which standing, one after another, each piece is."""
        self._bouts(dict(steps))
        count = len(self.pieces)
        self.changes = range(count, count + max(0, len(self.standings) - 1))
        self.put_on = {
            part: self.piece_of[number]
            for number, unit in network.units.items()
            for part in unit.parts
        }
        """The piece that puts on each part."""
        self._pairs = list(pairwise(self.changes))
        self._any_of: list[OneOf] = []
        self.start = [*self._in_turn()]
        self._precedence(order)
        for number, unit in network.units.items():
            self._touching(number, unit)
            if not lifting.is_light(unit.parts):
                self._tight_in_time(number, unit)
        self._around_changes()
        total = self._gates()
        more = total - count
        self.ordering = Ordering(
            total,
            self._pairs,
            tuple(self._layers(more)),
            self._any_of,
            marks=tuple(self.changes),
            periods=[*map(self._periods, range(count)), *[-1] * more],
        )
        self.sortings = tuple(self._sortings(more))

    def taught(self, learnt: Mapping[Lesson, int]) -> Ordering:
        """Bind the pieces by what was learnt as well, with a fine for each time it was learnt."""
        clauses = []
        for lesson, times in learnt.items():
            item, first = self._learnt(lesson.item), self._learnt(lesson.before[0])
            if item != first:
                clauses.append(OneOf(item, (first,), (), self.fine * times))
        return replace(self.ordering, any_of=[*self.ordering.any_of, *clauses])

    def aims(self, order: Iterable[int]) -> list[Aim]:
        """Give the steps as an order of the items wants them; hold points where they are ripe."""
        bout, found = 0, []
        for item in order:
            if item < len(self.pieces):
                found += [Aim(node, self.standings[bout], bout) for node in self.pieces[item]]
            bout += item in self.changes
        return self._ripe(found) if self.net.hold_points else found

    def _ripe(self, aims: Sequence[Aim]) -> list[Aim]:
        """Want each hold point right before the first that waits for it, if it may be so."""
        index, place = self.net.index, {aim.node: at for at, aim in enumerate(aims)}
        found = {at: (at, 1, at, aim) for at, aim in enumerate(aims)}
        for check, thens in self.net.hold_points.items():
            node, first = index[check], min(place[index[then]] for then in thens)
            at, allowed = place[node], self.net.allowed[node]
            standing, bout = aims[first][1:]
            if allowed is None or standing in allowed:
                found[at] = first, 0, at, Aim(node, standing, bout)
        return [aim for *_, aim in sorted(found.values())]

    def _learnt(self, what: int | Change) -> int:
        return self.changes[what.bout - 1] if isinstance(what, Change) else self.piece_of[what]

    def _bouts(self, standing_of: Mapping[int, StandingId | None]) -> None:
        for piece in self.pieces:
            standing = standing_of[piece[0]]
            if not self.standings or standing != self.standings[-1]:
                self.standings.append(standing)
            self.bout_of.append(len(self.standings) - 1)

    def _in_turn(self) -> Iterator[int]:
        """The pieces and the changes between them, as they were given."""
        bout = 0
        for at, now in enumerate(self.bout_of):
            if now != bout:
                yield self.changes[bout]
                bout = now
            yield at

    # -- what binds ---------------------------------------------------------------------------

    def _precedence(self, order: Order) -> None:
        """What comes before what, and of joints that hold one unit all are made loose first."""
        net, piece_of = self.net, self.piece_of
        found = {
            (piece_of[first], piece_of[then])
            for first, thens in enumerate(net.after)
            for then in thens
        }
        for tightened, joints in order.loose.items():
            last = piece_of[net.index[tightened]]
            making = (piece_of[net.index[Node(Action.MAKE, joint_ref(each))]] for each in joints)
            found.update((first, last) for first in making if first < last)
        self._pairs += sorted((first, then) for first, then in found if first != then)

    def _touching(self, number: int, unit: Unit) -> None:
        """A unit goes on after one of those that it touches, if it did so (3)."""
        net, piece = self.net, self.piece_of[number]
        if number in net.free or not unit.joints or not net.work.off.issuperset(unit.touches):
            return
        touched = {self.put_on[part] for part in unit.touches if part in self.put_on}
        if piece not in touched and any(each < piece for each in touched):
            self._any_of.append(OneOf(piece, tuple(sorted(touched))))

    def _tight_in_time(self, number: int, unit: Unit) -> None:
        """What is heavy is tightened to something before the standing changes, if it was (19e)."""
        fastenings, inside, piece = self.net.fastenings, set(unit.parts), self.piece_of[number]
        steps = (
            fastenings.tightened_by[joint]
            for part in unit.parts
            for joint in fastenings.joints_of.get(part, ())
            if not inside.issuperset(fastenings.parts_of[joint])
        )
        tight = sorted({self.piece_of[step] for step in steps if step >= 0})
        for bout, change in enumerate(self.changes, 1) if tight else ():
            if self.bout_of[tight[0]] < bout or self.bout_of[piece] >= bout:
                self._any_of.append(OneOf(change, tuple(tight), (piece,), self.fine))

    def _around_changes(self) -> None:
        """What must be on, or off, for each change of standing."""
        stands, put_on = self.net.stands, self.put_on
        for change, standing in zip(self.changes, self.standings[1:], strict=True):
            if standing is not None:
                bears, needs_off = stands.bears(standing), stands.all[standing].needs_off
                self._pairs += [(put_on[p], change) for p in sorted(bears) if p in put_on]
                self._pairs += [(change, put_on[p]) for p in needs_off if p in put_on]

    def _gates(self) -> int:
        """Let the trial build come first and what is late last, if it was so; count the items."""
        net, total = self.net, self.changes.stop
        every = set(range(len(net.nodes)))
        for some in (net.trial, every - net.late if net.late else ()):
            first = {self.piece_of[node] for node in some}
            rest = set(range(len(self.pieces))) - first
            if first and rest and max(first) < min(rest):
                self._pairs += [(each, total) for each in sorted(first)]
                self._pairs += [(total, each) for each in sorted(rest)]
                self.start.insert(self.start.index(max(first)) + 1, total)
                total += 1
        return total

    def _periods(self, at: int) -> int:
        """The bouts that a piece may be in, as bits; what hangs meanwhile stays where it is."""
        net, piece, here = self.net, self.pieces[at], 1 << self.bout_of[at]
        if not net.spans_of.keys().isdisjoint(piece):
            return here
        allowed = [each for node in piece if (each := net.allowed[node]) is not None]
        return here | sum(
            1 << bout
            for bout, standing in enumerate(self.standings)
            if all(standing in each for each in allowed)
        )

    # -- what it costs ------------------------------------------------------------------------

    def _layers(self, more: int) -> Iterator[Layer]:
        """Zone, tool and helpers: of each piece what it begins with, and what it ends with."""
        net, settings = self.net, self.net.settings
        walk, fetch, call = settings.zone_minutes, settings.tool_minutes, settings.helper_minutes
        yield self._layer(net.zone, more, lambda last, then: walk * (last != then))
        tools = [tool or None for tool in net.tool]
        yield self._layer(tools, more, lambda last, then: fetch * (last != then))
        yield self._layer(net.helped, more, lambda last, then: call * (then and not last), False)

    def _layer(
        self,
        label: Sequence[_T | None],
        more: int,
        minutes: Callable[[_T, _T], float],
        start: _T | None = None,
    ) -> Layer:
        number: dict[tuple[_T, _T], int] = {}
        if start is not None:
            number[start, start] = 0
        labels = []
        for piece in self.pieces:
            known = [each for node in piece if (each := label[node]) is not None]
            ends = (known[0], known[-1]) if known else None
            labels.append(number.setdefault(ends, len(number)) if ends else NONE)
        table = [[minutes(last, then) for then, _ in number] for _, last in number]
        return Layer([*labels, *[NONE] * more], table, NONE if start is None else 0)

    def _sortings(self, more: int) -> Iterator[Sorting]:
        """What is better done together, and how often that is tried."""
        zones = [self._last(self.net.zone, piece) for piece in self.pieces]
        tools = [self._last(self.net.tool, piece) for piece in self.pieces]
        helped = [any(self.net.helped[node] for node in piece) for piece in self.pieces]
        whole = list(zip(zones, tools, helped, strict=True))
        for sorts, share in ((whole, 0.6), (zones, 0.2), (tools, 0.1), (helped, 0.1)):
            number: dict[object, int] = {}
            mine = [number.setdefault(each, len(number)) for each in sorts]
            yield Sorting([*mine, *range(len(number), len(number) + more)], share)

    @staticmethod
    def _last(label: Sequence[object], piece: Piece) -> object:
        return next((label[node] for node in reversed(piece) if label[node]), None)
