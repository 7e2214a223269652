"""One walk of standings: when each step may be done, and what is to be held up at each change.

Whether it is plain that no work can be spread over it is seen here; else that is tried by
`visits.py`.
"""

from collections.abc import Iterator, Mapping, Sequence

from putback.planning.held.holding import Hold
from putback.planning.search.learnt import Learnt
from putback.planning.search.narrowed import HeldUp, shut_by
from putback.planning.search.outward import outward
from putback.planning.search.windows import Window
from putback.vehicle.ids import StandingId


class OnWalk:
    """A walk, for what was learnt so far."""

    def __init__(
        self, learnt: Learnt, walk: Sequence[StandingId], windows: Mapping[int, Window]
    ) -> None:
        """Look at a walk, with the windows that precedence leaves on it."""
        self.rules = rules = learnt.rules
        self.walk = walk
        self.windows = windows
        self.learnt = learnt
        self.ground = [rules.guarded.links.under(standing) for standing in walk[:-1]]
        """What the supports bear on before each change."""
        # Otherwise what a temporary support bears on never sees a change (rule 8).
        self.borne = frozenset(each.part for each in rules.guarded.bearings if each.bears(()))
        self.held_at_first = learnt.held_at_first(walk[0], self.borne)

    def is_plainly_shut(self) -> bool:
        """Whether something would be in the air whatever was chosen, as far as that is plain."""
        learnt = self.learnt
        for pieces in (learnt.suspects, self.pieces()):
            held_up = [each for piece in pieces for each in self.held_up(piece)]
            shutting = shut_by(self.windows, learnt.asking, held_up, learnt.circles)
            if shutting is not None:
                learnt.suspects |= dict.fromkeys(shutting)
                return True
        return False

    def pieces(self) -> list[frozenset[int]]:
        """The pieces met in the air, and each part by itself."""
        alone = (frozenset((part,)) for part in sorted(self.held_at_first))
        return [*self.learnt.pieces, *alone]

    def held_up(self, piece: frozenset[int]) -> list[HeldUp]:
        """Of each part of a piece what is asked: that it is off, or the piece still tied."""
        nodes, wanted = self.learnt.tied_by(piece), self.rules.wanted
        ties = [node for node in nodes if node is not None and node in wanted]
        if len(ties) < len(nodes) or not self.borne.isdisjoint(piece):
            return []  # something of it is never undone, or a support bears it
        changes = [at for at, on in enumerate(self.ground, 1) if on.isdisjoint(piece)]
        taken_off_by = self.rules.guarded.taken_off_by
        offs = (
            [node for node in taken_off_by.get(part, ()) if node in wanted]
            for part in sorted(self.held_at_first.intersection(piece) - self.rules.spared)
        )
        return [HeldUp(piece, each, ties, changes) for each in offs]

    def holds(self, visit_of: Mapping[int, int]) -> Iterator[tuple[int, Hold]]:
        """Give what holds before each change, if each step is done in a visit; always the same."""
        watch = self.rules.guarded
        never = len(self.walk)
        undone: list[list[int]] = [[] for _ in range(never + 1)]
        off: list[list[int]] = [[] for _ in range(never + 1)]
        for joint, node in watch.undone_by.items():
            undone[visit_of.get(node, never)].append(joint)
        for part, nodes in watch.taken_off_by.items():
            off[min((visit_of.get(node, never) for node in nodes), default=never)].append(part)
        hold = Hold(watch.links)
        hold.borne = self.borne
        for change in self.changes:
            for joint in undone[change - 1]:
                hold.made[joint] = 0
            for part in off[change - 1]:
                hold.on[part] = 0
            hold.rest_on(self.ground[change - 1])
            yield change, hold

    def bearing(self, change: int) -> frozenset[int]:
        """The parts that something bears on before a change."""
        return self.ground[change - 1] | self.borne

    @property
    def changes(self) -> range:
        """The changes, by the number of the visit that each leads to."""
        return range(1, len(self.walk))

    def ranks(self, change: int, hold: Hold) -> dict[int, int]:
        """Rank the parts from what bears before a change; first those held in a `hold`."""
        return outward(self.rules.guarded.links, self.bearing(change), self._late, hold)

    def _late(self, part: int) -> tuple[int, ...]:
        """A key that is the smaller, the later a part comes off."""
        nodes = self.rules.guarded.taken_off_by.get(part, ())
        off = [self.windows[node] for node in nodes if node in self.windows]
        return max(((-each.latest, -each.earliest) for each in off), default=(-len(self.walk), 0))
