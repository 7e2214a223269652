"""What is learnt of spreading the same work over one walk of standings after another.

What is shut out on one walk, pieces in the air and circles, is so on every other from the first.
"""

from putback.planning.held.holding import Hold
from putback.planning.plan import PlanSettings
from putback.planning.search.bearable import Bearable, ToGo
from putback.planning.search.field import Rules
from putback.planning.search.narrowed import asking
from putback.planning.search.windows import Windows
from putback.vehicle.ids import StandingId

_MOST_STEPS = 280_000
"""So many steps are spread, round by round, over all walks at most, until one will do."""


class Learnt:
    """The work that is spread, and what was learnt of it."""

    def __init__(
        self, rules: Rules, settings: PlanSettings, most_steps: int = _MOST_STEPS
    ) -> None:
        """Begin with nothing learnt; ``most_steps`` are spread until a walk will do."""
        self.rules = rules
        self.settings = settings
        self.windows = Windows(rules)
        self.asking = asking(self.windows.asked)
        self.pieces: dict[frozenset[int], None] = {}
        """Parts that would hang together in the air, by number."""
        self.circles: dict[frozenset[int], None] = {}
        """Nodes that would be done only by each other."""
        self.left = most_steps
        """How many steps may still be spread until a walk will do."""
        self._tied_by: dict[frozenset[int], tuple[int | None, ...]] = {}
        watch = rules.guarded
        self._bearing = {each.part for each in watch.bearings}.union(
            *(watch.links.under(standing) for standing in rules.problem.usable)
        )
        """The parts that stand on something in some standing, or for some time."""
        self.bearable = Bearable(rules)
        self.to_go: list[ToGo] = []
        """What must be gone before standings are entered."""
        self.suspects: dict[frozenset[int], None] = {}
        """Pieces that shut some walk plainly: they are looked at first."""
        self._held_at_first: dict[StandingId, frozenset[int]] = {}
        if rules.problem.start is None:
            for standing in rules.problem.usable:
                self.to_go += self.bearable.to_go(standing, ())

    def held_at_first(self, standing: StandingId, borne: frozenset[int]) -> frozenset[int]:
        """The parts that are held in the first standing, the runs left out, by number."""
        if standing not in self._held_at_first:
            links = self.rules.guarded.links
            start = Hold(links)
            start.rest_on(links.under(standing))
            start.borne = borne
            self._held_at_first[standing] = frozenset(
                part
                for part in range(len(links.parts))
                if links.on[part] and not links.is_run[part] and start.is_held(part)
            )
        return self._held_at_first[standing]

    def tied_by(self, piece: frozenset[int]) -> tuple[int | None, ...]:
        """The nodes that undo what ties a piece, and what hangs on it, to all else."""
        if piece not in self._tied_by:
            with_it, stiff_of = self._what_hangs_on(piece), self.rules.guarded.links.stiff_of
            ties = {joint for part in piece for joint, o in stiff_of[part] if o not in with_it}
            undone_by = self.rules.guarded.undone_by
            self._tied_by[piece] = tuple(undone_by.get(joint) for joint in sorted(ties))
        return self._tied_by[piece]

    def would_hang(self) -> dict[frozenset[int], tuple[int, ...]]:
        """The pieces met that could hang in the air, and what lets them."""
        return {
            piece: tuple(node for node in nodes if node is not None)
            for piece in self.pieces
            if None not in (nodes := self.tied_by(piece))
        }

    def _what_hangs_on(self, piece: frozenset[int]) -> frozenset[int]:
        """A piece and all that could only be held by it: what that is still tied to is no help."""
        links = self.rules.guarded.links
        with_it = set(piece)
        held = set[int]()
        for begin in {other for part in piece for _, other in links.stiff_of[part]}:
            some, bears = {begin: None}, begin in held
            todo = [begin] if begin not in with_it else []
            while todo and not bears:
                part = todo.pop()
                bears = part in self._bearing or part in held
                for _, other in links.stiff_of[part]:
                    if other not in some and other not in with_it:
                        some[other] = None
                        todo.append(other)
            if bears:
                held.update(some)
            else:
                with_it.update(some)
        return frozenset(with_it)
