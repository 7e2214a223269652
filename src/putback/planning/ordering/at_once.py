"""Take off at once what was let go, where that costs nothing: nobody stands there and holds it.

An order is improved by what changing costs. Whether a part comes off right after its last joint or
an hour later is all the same to that, if zone and helpers are: to whoever holds it it is not.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import chain

from putback.planning.ordering.price import CannotBeDone, Priced, price, total_minutes
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import Node
from putback.planning.search.arrange import Bout, bouts_of
from putback.planning.search.field import Field, Move, Rules
from putback.vehicle.ids import ZoneId

_NOTHING = 1e-9
_ATTEMPTS = 8
"""So often it is tried anew without what kept another move from being done."""


def off_at_once(
    rules: Rules, priced: Sequence[Priced], settings: PlanSettings
) -> tuple[Priced, ...]:
    """Give the moves with each take-off sooner, where its part is in the air and it costs no more.

    A take-off stays in its bout and stage. What makes other work harder, or is easier later, stays
    where it is.
    """
    given = tuple(priced)
    bouts = bouts_of([(each.move, each.standing) for each in given])
    stay: set[Move] = set()
    for _ in range(_ATTEMPTS):
        sooner = _Sooner(rules, settings, stay)
        if (moved := sooner.through(bouts)) is not None:
            break
        if not sooner.overtook:
            return given
        stay |= sooner.overtook
    if moved is None or moved == bouts:
        return given
    try:
        found = price(rules, moved, settings)
    except CannotBeDone:
        return given
    return found if total_minutes(found) <= total_minutes(given) + _NOTHING else given


class _Sooner:
    """Where the work has got to, and what is in hand: zone, and whether helpers are there."""

    def __init__(self, rules: Rules, settings: PlanSettings, stay: Collection[Move]) -> None:
        """Begin; what is to ``stay`` is not taken off sooner."""
        self.rules = rules
        self.settings = settings
        self.field = Field(rules)
        self.before: list[Move] = []
        """What is done of all moves, in its order."""
        self.here: frozenset[Move] = frozenset()
        """The moves of this bout that may be done sooner."""
        self.stay = stay
        self.overtook: set[Move] = set()
        """What was taken off before a move that cannot be done any more, and stood behind it."""

    def through(self, bouts: Sequence[Bout]) -> list[Bout] | None:
        """Go through all moves; ``None`` if one of them cannot be done any more."""
        found: list[Bout] = []
        for bout in bouts:
            self.field.standing = bout.standing
            begin, left = len(self.before), list(bout.moves)
            self.here = frozenset(left) - frozenset(self.stay)
            lifted: list[Move] = []
            while left:
                if not self._do(left[0]):
                    behind = set(bout.moves[bout.moves.index(left[0]) :])
                    self.overtook = behind.intersection(lifted)
                    return None
                del left[0]
                while (sooner := next(self._ready_to_lift(left), None)) is not None:
                    self._do(sooner)
                    left.remove(sooner)
                    lifted.append(sooner)
            found.append(Bout(bout.standing, tuple(self.before[begin:])))
        return found

    def _do(self, move: Move) -> bool:
        if not self.field.may(move) or (move >= 0 and move not in self.field.ready):
            return False
        self.field.do(move)
        self.before.append(move)
        return True

    def _ready_to_lift(self, left: Sequence[Move]) -> Iterator[Move]:
        """What is in the air, and comes off now for no more than where it stands."""
        guard = self.field.present_guard()
        if guard is None or not guard.loose or not left:
            return
        rules = self.rules
        takers = {by for part in guard.loose for by in guard.watch.taken_off_by.get(part, ())}
        stage = next((rules.stage_of[move] for move in left if move >= 0), None)
        for move in sorted(takers & self.field.ready & self.here - {left[0]}):
            if rules.stage_of[move] != stage or move in rules.moody:
                continue
            if self._is_no_dearer(move, left) and self.field.may(move):
                yield move

    def _is_no_dearer(self, move: Move, left: Sequence[Move]) -> bool:
        """Whether it costs no more to do it now than in its place among what is left.

        Zone and helpers are looked at round both places; a take-off takes no tool.
        """
        at = left.index(move)
        now = self._costs_between(move, reversed(self.before), left)
        there = self._costs_between(
            move, chain(reversed(left[:at]), reversed(self.before)), left[at + 1 :]
        )
        return now <= there + _NOTHING

    def _costs_between(self, move: Move, before: Iterable[Move], after: Iterable[Move]) -> float:
        """What set-up a move costs between what comes before it and after it [minutes]."""
        node, settings = self._node(move), self.settings
        earlier, helped = self._in_hand(before)
        later, wants = self._in_hand(after)
        calls = (
            (not helped and node.crew > 1) + (node.crew <= 1 and wants) - (not helped and wants)
        )
        walks = 0
        if node.zone is not None:
            walks = (earlier not in (None, node.zone)) + (later not in (None, node.zone))
            walks -= None not in (earlier, later) and earlier != later
        return settings.helper_minutes * calls + settings.zone_minutes * walks

    def _in_hand(self, moves: Iterable[Move]) -> tuple[ZoneId | None, bool]:
        """The zone of the nearest move that has one, and whether the nearest wants helpers."""
        helpers: bool | None = None
        for move in moves:
            node = self._node(move)
            helpers = node.crew > 1 if helpers is None else helpers
            if node.zone is not None:
                return node.zone, helpers
        return None, bool(helpers)

    def _node(self, move: Move) -> Node:
        return self.rules.nodes[max(move, ~move)]
