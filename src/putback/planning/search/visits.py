"""Spread the work over given visits of standings, so that nothing is in the air between them.

A bout that does all that can be done leaves little to hold up what comes off in the next. Here the
visits are given, and of everything the visit is chosen in which it is done: all at once, as a
choice of yes and no (`putback.solvers.choice`). What is in the air before a change (rule 11), and
what is done only because of each other, is looked for in each answer, and shut out in the next.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import pairwise
from math import ceil, floor

from putback.planning.held.holding import Hold
from putback.planning.plan import PlanSettings
from putback.planning.search.bearable import Bearable, ToGo
from putback.planning.search.circles import circles_in
from putback.planning.search.field import Rules
from putback.planning.search.narrowed import HeldUp, asking, shut_by
from putback.planning.search.windows import Window, Windows
from putback.progress import NoProgress, Progress
from putback.solvers.choice import Choice, Literal, Settled, negation
from putback.vehicle.ids import StandingId

_ROUNDS = 60
"""So often what is in the air is shut out, before the visits are given up."""

_MOST_STEPS = 280_000
"""So many steps are spread, round by round, over all walks at most, until one will do."""

_WANTING_ROUNDS = 12
"""So often few visits are wanted, once it was found how nothing is in the air."""

_EFFORT, _WANTING_EFFORT = 0.2, 0.1
"""Effort for each round of either kind, in the solver's own count [-]."""

_MANY = 3000
"""Of fewer steps few visits are wanted again with so much less effort, in proportion."""

_SCALE = 100
"""Minutes are counted in hundredths."""

_LOAD_SCALE = 1000
"""Loads and moments are counted in thousandths, so that no sum is taken for kept that is not."""


class Spreading:
    """Spreads the same work over one walk after another, and keeps what it learns of it.

    What is shut out on one walk, pieces in the air and circles, is so on every other from the
    first.
    """

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

    def over(self, walk: Sequence[StandingId]) -> "SpreadOut | None":
        """Lay out the choice of visits on a walk; ``None`` if there is plainly none."""
        is_free = self.rules.problem.start is None and walk[0] not in self.rules.waived
        if is_free and any(each.standing == walk[0] and each.least > 0 for each in self.to_go):
            return None  # nothing is gone yet when it is first stood up
        found = SpreadOut(self, walk)
        return None if found.is_shut else found


class SpreadOut:
    """The choice on one walk, and what of it stands for what."""

    def __init__(self, spreading: Spreading, walk: Sequence[StandingId]) -> None:
        """Lay out what binds; where that cannot be kept, no further than this is seen."""
        self.rules = rules = spreading.rules
        self.walk = walk
        self.learnt = spreading
        self.choice = Choice()
        self.done: dict[int, list[Settled]] = {}
        """Of each step by visit: whether it is done when that ends."""
        links = rules.guarded.links
        self.links = links
        self.ground = [links.under(standing) for standing in walk[:-1]]
        # Otherwise what a temporary support bears on never sees a change (rule 8).
        self.borne = frozenset(each.part for each in rules.guarded.bearings if each.bears(()))
        self.held_at_first = spreading.held_at_first(walk[0], self.borne)
        self._gone: dict[tuple[tuple[int, ...], int], Settled] = {}
        for bind in (
            self._windows,
            self._bear_all,
            self._hold_all_up,
            self._stands,
            self._stay_done,
            self._asks,
            self._no_circles,
        ):
            bind()
            if self.is_shut:
                return

    @property
    def is_shut(self) -> bool:
        """Whether nothing can be chosen."""
        return self.choice.is_shut

    def visits(self, progress: Progress = NoProgress()) -> dict[int, int] | None:
        """Choose of each step the visit in which it is done; ``None`` if no choice was found."""
        for _ in range(_ROUNDS):
            self.learnt.left -= len(self.rules.steps)
            if self.learnt.left < 0 or self.is_shut:
                return None
            answer = self.choice.solve(effort=_EFFORT, at_once=True, progress=progress)
            if not answer.feasible:
                return None
            if self._is_kept(visit_of := self._read(answer.chosen)):
                return visit_of
        return None

    def in_few_visits(self, progress: Progress = NoProgress()) -> dict[int, int] | None:
        """Choose once more, such that zones, tools and helpers are wanted in few visits."""
        self._want_few_visits()
        effort = _WANTING_EFFORT
        for _ in range(_WANTING_ROUNDS):
            answer = self.choice.solve(effort=effort, at_once=True, progress=progress)
            effort = _WANTING_EFFORT * min(len(self.rules.steps) / _MANY, 1.0)
            if not answer.feasible:
                return None
            if self._is_kept(visit_of := self._read(answer.chosen)):
                return visit_of
            if self.is_shut:
                return None
        return None

    def _is_kept(self, visit_of: Mapping[int, int]) -> bool:
        """Whether a choice keeps all that binds; what it does not is shut out from now on."""
        return not (
            self._shut_out_circles(visit_of)
            or self._shut_out_what_is_in_the_air(visit_of)
            or self._shut_out_what_is_not_borne(visit_of)
        )

    # -- what binds ---------------------------------------------------------------------------

    def _windows(self) -> None:
        """Say by which visits each step may be done; by its latest, it is."""
        windows = self.learnt.windows.on(self.walk)
        if windows is None or self._is_plainly_shut(windows):
            self.choice.any_of([])
            return
        for index, (may, earliest, latest) in windows.items():
            by: list[Settled] = []
            for at in range(len(self.walk)):
                if at < earliest:
                    by.append(False)
                elif at >= latest:
                    by.append(True)
                elif not may[at]:
                    by.append(by[-1])
                else:
                    by.append(self.choice.variable())
            self.done[index] = by

    def _is_plainly_shut(self, windows: Mapping[int, Window]) -> bool:
        """Whether something would be in the air whatever was chosen, as far as that is plain."""
        learnt = self.learnt
        for pieces in (learnt.suspects, self._pieces()):
            held_up = [each for piece in pieces for each in self._held_up(piece)]
            shutting = shut_by(windows, learnt.asking, held_up, learnt.circles)
            if shutting is not None:
                learnt.suspects |= dict.fromkeys(shutting)
                return True
        return False

    def _stay_done(self) -> None:
        """Let what is done by a visit be done by the next."""
        for by in self.done.values():
            for one, other in pairwise(by):
                if one is not other and not isinstance(one, bool):
                    self._any(-one, other)

    def _hold_all_up(self) -> None:
        """Let nothing be in the air before a change, as far as that was met."""
        for piece in self._pieces():
            self._hold_up(piece)

    def _bear_all(self) -> None:
        """Let each standing bear what is on when it is entered, as far as that was met."""
        for each in self.learnt.to_go:
            self._let_go(each)

    def _let_go(self, what: ToGo) -> None:
        """Let so much be gone whenever a standing is entered."""
        first = self.rules.problem.start is not None
        for at in range(first, len(self.walk)):
            if self.walk[at] != what.standing or what.standing in self.rules.waived:
                continue
            weights: dict[Literal, int] = {}
            least = ceil(what.least * _LOAD_SCALE) + 1
            for nodes, gives in what.gives.items():
                weight = floor(gives * _LOAD_SCALE)
                gone = self._is_gone(nodes, at - 1)
                if gone is True:
                    least -= weight
                elif gone is not False:
                    weights[gone] = weights.get(gone, 0) + weight
            if sum(max(each, 0) for each in weights.values()) < least:
                self.choice.any_of([])
            self.choice.at_least(weights, least)

    def _is_gone(self, nodes: tuple[int, ...], at: int) -> Settled:
        """Whether one of some nodes is done when a visit ends."""
        by = [self.done[index][at] for index in nodes if index in self.done] if at >= 0 else []
        if True in by:
            return True
        left = [each for each in dict.fromkeys(by) if each is not False]
        if len(left) < 2:
            return left[0] if left else False
        if (nodes, at) not in self._gone:
            gone = self._gone[nodes, at] = self.choice.variable()
            self._any(-gone, *left)
            for each in left:
                self._any(negation(each), gone)
        return self._gone[nodes, at]

    def _no_circles(self) -> None:
        for circle in self.learnt.circles:
            self._from_outside(circle)

    def _any(self, *literals: Settled) -> None:
        self.choice.any_of(literals)

    def _asks(self) -> None:
        """Let everything come after what it asks for, in the same visit at the earliest."""
        done, visits = self.done, range(len(self.walk))
        for index, asked in self.learnt.windows.asked.items():
            for ways in asked:
                for at in visits:
                    self._any(negation(done[index][at]), *(done[by][at] for by in ways))
        for first, last in self.rules.spans:
            for at in visits:
                for one in first:
                    self._any(negation(done[one][at]), *(done[by][at] for by in last))
        stages = self.rules.stages
        for earlier, later in pairwise(stages):
            for at in visits[:-1]:
                gate = self.choice.variable()
                for index in earlier & done.keys():
                    self._any(-gate, done[index][at])
                for index in later & done.keys():
                    self._any(negation(done[index][at]), gate)

    def _stands(self) -> None:
        """Let every standing be entered as it may be: what it bears on is on, the rest off."""
        standings = self.rules.problem.vehicle.standings
        for at in range(1, len(self.walk)):
            for index, killed in self.rules.kills.items():
                if self.walk[at] in killed:
                    self._any(negation(self.done[index][at - 1]))
            for part in standings[self.walk[at]].needs_off:
                if part not in self.rules.problem.parts_off:
                    self._any(*self._off(self.links.part_at.get(part, -1), at - 1))

    def _off(self, part: int, at: int) -> Iterator[Settled]:
        for index in self.rules.guarded.taken_off_by.get(part, ()):
            if index in self.done:
                yield self.done[index][at]

    def _pieces(self) -> list[frozenset[int]]:
        """The pieces met in the air, and each part by itself."""
        alone = (frozenset((part,)) for part in sorted(self.held_at_first))
        return [*self.learnt.pieces, *alone]

    def _held_up(self, piece: frozenset[int]) -> list[HeldUp]:
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

    def _hold_up(self, piece: frozenset[int]) -> None:
        """Ask of every part of a piece that it is off before a change, or the piece still tied."""
        held_up = self._held_up(piece)
        for change in held_up[0].changes if held_up else ():
            made = [negation(self.done[node][change - 1]) for node in held_up[0].ties]
            if len(held_up) > 1 and len(made) > 1 and True not in made:
                tied = self.choice.variable()
                self._any(-tied, *made)
                made = [tied]
            for each in held_up:
                self._any(*(self.done[node][change - 1] for node in each.offs), *made)

    def _want_few_visits(self) -> None:
        """Want zones, tools and helpers in as few visits as possible."""
        settings = self.learnt.settings
        weights: dict[Literal, int] = {}
        uses: dict[tuple[object, ...], Literal] = {}
        for index, by in self.done.items():
            node = self.rules.nodes[index]
            if not node.kind.is_step:
                continue
            helped = node.crew > 1
            for at in range(len(self.walk)):
                before = by[at - 1] if at else False
                if by[at] is False or before is True or by[at] == before:
                    continue
                for key, minutes in (
                    ((at, "zone", node.zone), settings.zone_minutes * (node.zone is not None)),
                    ((at, node.zone, node.tool), settings.tool_minutes * bool(node.tool)),
                    ((at, "help"), settings.helper_minutes * helped),
                ):
                    if not minutes:
                        continue
                    if key not in uses:
                        uses[key] = self.choice.variable()
                        weights[uses[key]] = int(minutes * _SCALE)
                    self._any(negation(by[at]), before, uses[key])
        self.choice.minimise(weights)

    def _from_outside(self, circle: Collection[int]) -> None:
        """Ask that something of a circle can be done by what is outside, if any of it is done.

        That is a loop formula, as in `choose.py`.
        """
        asked_of = self.learnt.windows.asked
        asked = {
            index: [[by for by in ways if by not in circle] for ways in asked_of[index]]
            for index in sorted(circle)
        }
        enter = {index: some for index, some in asked.items() if all(some)}
        for at in range(len(self.walk)):
            if all(self.done[index][at] is False for index in circle):
                continue
            first: list[Literal] = []
            for index, some in enter.items():
                if self.done[index][at] is False:
                    continue
                first.append(self.choice.variable())
                for ways in some:
                    self._any(-first[-1], *(self.done[by][at] for by in ways))
            for index in circle:
                self._any(negation(self.done[index][at]), *first)

    # -- answers ------------------------------------------------------------------------------

    def _read(self, chosen: frozenset[Literal]) -> dict[int, int]:
        """Give the visit of each step."""
        return {
            index: next(at for at, each in enumerate(by) if each is True or each in chosen)
            for index, by in self.done.items()
        }

    def _shut_out_circles(self, visit_of: Mapping[int, int]) -> bool:
        """Shut out what would be done in a visit only by each other; whether there was any."""
        asked = self.learnt.windows.asked
        done = set[int]()
        for at in range(len(self.walk)):
            todo = [index for index in visit_of if visit_of[index] <= at and index not in done]
            looked = -1
            while len(done) > looked:
                looked, waiting = len(done), list[int]()
                for index in todo:
                    if all(any(by in done for by in ways) for ways in asked[index]):
                        done.add(index)
                    else:
                        waiting.append(index)
                todo = waiting
            if todo:
                for circle in circles_in(todo, asked, done):
                    self.learnt.circles[circle] = None
                    self._from_outside(circle)
                return True
        return False

    def _shut_out_what_is_in_the_air(self, visit_of: Mapping[int, int]) -> bool:
        """Shut out what is in the air before a change, everywhere; whether there was any."""
        found = False
        watch = self.rules.guarded
        never = len(self.walk)
        undone: list[list[int]] = [[] for _ in range(never + 1)]
        off: list[list[int]] = [[] for _ in range(never + 1)]
        for joint, node in watch.undone_by.items():
            undone[visit_of.get(node, never)].append(joint)
        for part, nodes in watch.taken_off_by.items():
            off[min((visit_of.get(node, never) for node in nodes), default=never)].append(part)
        hold = Hold(self.links)
        hold.borne = self.borne
        for change in range(1, len(self.walk)):
            for joint in undone[change - 1]:
                hold.made[joint] = 0
            for part in off[change - 1]:
                hold.on[part] = 0
            hold.rest_on(self.ground[change - 1])
            looked_at = set[int]()
            for part in sorted(self.held_at_first - self.rules.spared):
                if hold.on[part] and part not in looked_at and (loose := hold.unheld(part)):
                    piece = frozenset(loose)
                    looked_at |= piece
                    found = True
                    self.learnt.pieces[piece] = None
                    self._hold_up(piece)
        return found

    def _shut_out_what_is_not_borne(self, visit_of: Mapping[int, int]) -> bool:
        """Ask for more to be gone where a standing would not hold; whether there was any."""
        found: list[ToGo] = []
        for at in range(self.rules.problem.start is not None, len(self.walk)):
            if self.walk[at] in self.rules.waived:
                continue
            done = [index for index, visit in visit_of.items() if visit < at]
            found += self.learnt.bearable.to_go(self.walk[at], done)
        for each in found:
            self.learnt.to_go.append(each)
            self._let_go(each)
        return bool(found)
