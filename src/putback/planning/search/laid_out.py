"""Lay out the choice of a visit for each step of a walk, and shut out what will not do.

It is a choice of yes and no (`putback.solvers.choice`): of each step by visit whether it is done
by then. What binds is written down at once, but for what nobody can foresee: circles that are done
only because of each other, standings that would not bear, and, where nothing leads, pieces in the
air. Those are looked for in each answer, and shut out in the next.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import pairwise
from math import ceil, floor

from putback.planning.search.bearable import ToGo
from putback.planning.search.circles import circles_in
from putback.planning.search.on_walk import OnWalk
from putback.progress import Progress
from putback.solvers.choice import Choice, Literal, Settled, negation

_SCALE = 100
"""Minutes are counted in hundredths."""

_LOAD_SCALE = 1000
"""Loads and moments are counted in thousandths, so that no sum is taken for kept that is not."""


class LaidOut:
    """The choice on one walk, and what of it stands for what."""

    def __init__(self, on_walk: OnWalk, ranks: Sequence[Mapping[int, int]] | None = None) -> None:
        """Lay out what binds.

        With ``ranks``, of the parts for each change (`outward.py`), each part is to be tied to one
        of an earlier rank; else nothing that was met in the air so far may be so again.
        """
        self.on_walk = on_walk
        self.rules = on_walk.rules
        self.walk = on_walk.walk
        self.links = self.rules.guarded.links
        self.windows = on_walk.windows
        self.ranks = ranks
        self.choice = Choice()
        self.cost = 0
        """What the zones, tools and helpers of the last answer cost, [hundredths of a minute]."""
        self.done: dict[int, list[Settled]] = {}
        """Of each step by visit: whether it is done when that ends."""
        self._gone: dict[tuple[tuple[int, ...], int], Settled] = {}
        for bind in (
            self._lay_out_windows,
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

    def answer(self, effort: float, progress: Progress) -> dict[int, int] | None:
        """Choose a visit for each step; ``None`` if nothing is found.

        ``effort`` is the solver's own count of work [-].
        """
        if self.is_shut:
            return None
        answer = self.choice.solve(effort=effort, at_once=True, progress=progress)
        if not answer.feasible:
            return None
        self.cost = answer.cost
        return self._read(answer.chosen)

    def is_kept(self, visit_of: Mapping[int, int]) -> bool:
        """Whether a choice keeps all that binds; what it does not is shut out from now on."""
        return not (
            self._shut_out_circles(visit_of)
            or self._shut_out_what_is_in_the_air(visit_of)
            or self._shut_out_what_is_not_borne(visit_of)
        )

    def want_few_visits(self) -> None:
        """Want zones, tools and helpers in as few visits as possible."""
        settings = self.on_walk.learnt.settings
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

    # -- what binds ---------------------------------------------------------------------------

    def _lay_out_windows(self) -> None:
        """Say by which visits each step may be done; by its latest, it is."""
        for index, (may, earliest, latest) in self.windows.items():
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

    def _stay_done(self) -> None:
        """Let what is done by a visit be done by the next."""
        for by in self.done.values():
            for one, other in pairwise(by):
                if one is not other and not isinstance(one, bool):
                    self._any(-one, other)

    def _hold_all_up(self) -> None:
        """Let nothing be in the air before a change, or as far as that was met."""
        if self.ranks is None:
            for piece in self.on_walk.pieces():
                self._hold_up(piece)
            return
        for change, ranks in enumerate(self.ranks, 1):
            for part in sorted(self.on_walk.held_at_first - self.rules.spared):
                self._lead_up(part, change, ranks)

    def _lead_up(self, part: int, change: int, ranks: Mapping[int, int]) -> None:
        """Ask that a part is off before a change, or still tied to one of an earlier rank."""
        rank = ranks.get(part, len(ranks))
        if part in self.on_walk.bearing(change):
            return
        made: list[Settled] = []
        for joint, other in self.links.stiff_of[part]:
            if ranks.get(other, rank) < rank:
                node = self.rules.guarded.undone_by.get(joint)
                if node not in self.done:
                    return  # it is never undone
                made.append(negation(self.done[node][change - 1]))
        self._any(*self._off(part, change - 1), *made)

    def _bear_all(self) -> None:
        """Let each standing bear what is on when it is entered, as far as that was met."""
        for each in self.on_walk.learnt.to_go:
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
        for circle in self.on_walk.learnt.circles:
            self._from_outside(circle)

    def _any(self, *literals: Settled) -> None:
        self.choice.any_of(literals)

    def _asks(self) -> None:
        """Let everything come after what it asks for, in the same visit at the earliest."""
        done, visits = self.done, range(len(self.walk))
        for index, asked in self.on_walk.learnt.windows.asked.items():
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

    def _hold_up(self, piece: frozenset[int]) -> None:
        """Ask of every part of a piece that it is off before a change, or the piece still tied."""
        held_up = self.on_walk.held_up(piece)
        for change in held_up[0].changes if held_up else ():
            made = [negation(self.done[node][change - 1]) for node in held_up[0].ties]
            if len(held_up) > 1 and len(made) > 1 and True not in made:
                tied = self.choice.variable()
                self._any(-tied, *made)
                made = [tied]
            for each in held_up:
                self._any(*(self.done[node][change - 1] for node in each.offs), *made)

    def _from_outside(self, circle: Collection[int]) -> None:
        """Ask that something of a circle can be done by what is outside, if any of it is done.

        That is a loop formula, as in `choose.py`.
        """
        asked_of = self.on_walk.learnt.windows.asked
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
        asked = self.on_walk.learnt.windows.asked
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
                    self.on_walk.learnt.circles[circle] = None
                    self._from_outside(circle)
                return True
        return False

    def _shut_out_what_is_in_the_air(self, visit_of: Mapping[int, int]) -> bool:
        """Shut out what is in the air before a change, everywhere; whether there was any."""
        found = False
        for _, hold in self.on_walk.holds(visit_of):
            looked_at = set[int]()
            for part in sorted(self.on_walk.held_at_first - self.rules.spared):
                if hold.on[part] and part not in looked_at and (loose := hold.unheld(part)):
                    piece = frozenset(loose)
                    looked_at |= piece
                    found = True
                    self.on_walk.learnt.pieces[piece] = None
                    self._hold_up(piece)
        return found

    def _shut_out_what_is_not_borne(self, visit_of: Mapping[int, int]) -> bool:
        """Ask for more to be gone where a standing would not hold; whether there was any."""
        found: list[ToGo] = []
        for at in range(self.rules.problem.start is not None, len(self.walk)):
            if self.walk[at] in self.rules.waived:
                continue
            done = [index for index, visit in visit_of.items() if visit < at]
            found += self.on_walk.learnt.bearable.to_go(self.walk[at], done)
        for each in found:
            self.on_walk.learnt.to_go.append(each)
            self._let_go(each)
        return bool(found)
