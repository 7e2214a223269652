"""Put the moves of each bout in a sequence that walks and fetches tools as little as possible.

A zone is left only when nothing more can be done in it, and then for the zone in which most can be
done at one go, best if that finishes it; within a zone the same holds for tools. What makes other
work harder waits until nothing else is left.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, groupby

from putback.planning.search.arrange import Bout
from putback.planning.search.field import Field, Move, Rules
from putback.vehicle.ids import ZoneId


def sequence(rules: Rules, bouts: Sequence[Bout]) -> tuple[Bout, ...]:
    """Give the same bouts, the moves of each in a better order; as they are if that gets stuck."""
    walk = _Walk(rules)
    try:
        return tuple(Bout(bout.standing, tuple(walk.through(bout))) for bout in bouts)
    except _StuckError:
        return tuple(bouts)


class _StuckError(Exception):
    """What is left of a bout waits, in the order begun, for what is not in it; or it hangs."""


class _Walk:
    """Where the work has got to."""

    def __init__(self, rules: Rules) -> None:
        self.rules = rules
        self.field = Field(rules)
        self.zone: ZoneId | None = None
        self.tool = ""
        self.begun_in: dict[ZoneId | None, set[Move]] = {}
        """What is left of a bout's stage and waits for nothing else, in each zone."""
        self.left_in: dict[ZoneId | None, set[Move]] = {}
        """What is left of it in each zone."""

    def through(self, bout: Bout) -> Iterator[Move]:
        """Give the moves of one bout, one after another."""
        if bout.standing != self.field.standing and self.field.hangs():
            raise _StuckError
        self.field.standing = bout.standing
        for _, moves in groupby(sorted(bout.moves, key=self._stage), key=self._stage):
            yield from self._through_stage(set(moves))

    def _through_stage(self, left: set[Move]) -> Iterator[Move]:
        self.left_in = self._by_zone(left)
        self.begun_in = self._by_zone(m for m in left if m < 0 or m in self.field.ready)
        while left:
            for move in self._group():
                left.discard(move)
                zone = self._zone(move)
                self.begun_in[zone].discard(move)
                self.left_in[zone].discard(move)
                for fresh in self.field.do(move):
                    if fresh in left:
                        self.begun_in.setdefault(self._zone(fresh), set()).add(fresh)
                yield move

    def _by_zone(self, moves: Iterable[Move]) -> dict[ZoneId | None, set[Move]]:
        found: dict[ZoneId | None, set[Move]] = {}
        for move in moves:
            found.setdefault(self._zone(move), set()).add(move)
        return found

    def _stage(self, move: Move) -> int:
        """The stage of a move; joints are cracked with the first."""
        return self.rules.stage_of.get(move, 0)

    def _group(self) -> Iterator[Move]:
        """Choose what is done next in one place with one tool.

        The guard is dear to ask, so what is farther off is asked for only if nothing near may be.
        """
        near = sorted(move for each in {None, self.zone} for move in self.begun_in.get(each, ()))
        calm = self._calm(move for move in near if self._tool(move) in ("", self.tool))
        if not calm:
            begun = sorted(chain.from_iterable(self.begun_in.values()))
            calm = self._calm(near) or self._calm(begun)
            if not calm:
                yield self._least_regretted(begun)
                return
            self._go_to(*self._best_place(calm))
        for move in calm:
            here = self._zone(move) in (None, self.zone) and self._tool(move) in ("", self.tool)
            if here and self.field.may(move) and not self._regret(move):
                yield move

    def _calm(self, moves: Iterable[Move]) -> list[Move]:
        """What of some moves may be done now, and makes nothing harder."""
        return [move for move in moves if not self._regret(move) and self.field.may(move)]

    def _least_regretted(self, begun: Iterable[Move]) -> Move:
        """Go where that is done which makes least harder of what may be done now."""
        ready = [move for move in begun if self.field.may(move)]
        if not ready:
            raise _StuckError
        move = min(ready, key=self._regret)
        self._go_to(self._zone(move), self._tool(move))
        return move

    def _regret(self, move: Move) -> float:
        return self.field.regret_minutes(move) if move >= 0 else 0.0

    def _go_to(self, zone: ZoneId | None, tool: str) -> None:
        self.zone = zone if zone is not None else self.zone
        self.tool = tool or self.tool

    def _best_place(self, ready: Sequence[Move]) -> tuple[ZoneId | None, str]:
        """Choose where to go on: here with this tool, else here, else elsewhere."""
        here = [move for move in ready if self._zone(move) in (None, self.zone)]
        zone = self.zone
        if not here:
            zones = dict.fromkeys(map(self._zone, ready))
            zone = max(zones, key=lambda each: self._worth(ready, each, None))
            here = [move for move in ready if self._zone(move) == zone]
        if any(self._tool(move) in ("", self.tool) for move in here):
            return zone, ""
        tools = dict.fromkeys(map(self._tool, here))
        return zone, max(tools, key=lambda each: self._worth(here, zone, each))

    def _zone(self, move: Move) -> ZoneId | None:
        return self.rules.nodes[move if move >= 0 else ~move].zone

    def _tool(self, move: Move) -> str:
        return self.rules.nodes[move if move >= 0 else ~move].tool

    def _unguarded(self) -> Field:
        """Copy the field without its guard, which is dear and says little of how much is there."""
        guard, self.field.guard = self.field.guard, None
        copy = self.field.copy()
        self.field.guard = guard
        return copy

    def _worth(
        self, ready: Sequence[Move], zone: ZoneId | None, tool: str | None
    ) -> tuple[bool, int]:
        """Whether all that is left in a zone can be done now (with one tool), and how much."""
        field = self._unguarded()
        mine = {
            move
            for each in {None, zone}
            for move in self.left_in.get(each, ())
            if tool is None or self._tool(move) in ("", tool)
        }
        done = 0
        todo = [move for move in ready if move in mine]
        while todo:
            for move in todo:
                field.do(move)
            mine.difference_update(todo)
            done += len(todo)
            todo = [
                move
                for move in sorted(mine & field.ready)
                if field.may(move) and not field.regret_minutes(move)
            ]
        return not any(self._zone(move) == zone for move in mine), done
