"""Spread the work over given visits of standings, so that nothing is in the air between them.

A bout that does all that can be done leaves little to hold up what comes off in the next. Here the
visits are given, and of everything the visit is chosen in which it is done: all at once, as a
choice of yes and no (`putback.solvers.choice`). What is in the air before a change (rule 11), and
what is done only because of each other, is looked for in each answer, and shut out in the next.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from putback.planning.held.holding import Hold
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import Node
from putback.planning.search.field import Rules
from putback.progress import NoProgress, Progress
from putback.solvers.choice import Choice, Literal
from putback.vehicle.ids import StandingId

_ROUNDS = 16
"""So often what is in the air is shut out, before the visits are given up."""

_WANTING_ROUNDS = 2
"""So often few visits are wanted, once it was found how nothing is in the air."""

_EFFORT = 0.06
"""Effort for each round, in the solver's own count [-]."""

_SCALE = 100
"""Minutes are counted in hundredths."""


@dataclass
class Shut:
    """What was shut out on any walk, and is on every other: pieces in the air, and circles."""

    pieces: dict[frozenset[int], None] = field(default_factory=dict)
    """Parts that would hang together in the air, by number."""
    circles: dict[frozenset[int], None] = field(default_factory=dict)
    """Nodes that would be done only by each other."""


def spread(
    rules: Rules,
    walk: Sequence[StandingId],
    settings: PlanSettings,
    progress: Progress = NoProgress(),
    shut: Shut | None = None,
) -> dict[int, int] | None:
    """Choose of each step the visit in which it is done; ``None`` if no choice was found.

    Zones, tools and helpers are wanted in as few visits as possible. What ``shut`` holds is shut
    out from the first, and what is found is added to it.
    """
    spreading = _Spreading(rules, walk, settings, shut if shut is not None else Shut())
    if spreading.is_shut:
        return None
    found: dict[int, int] | None = None
    rounds = _ROUNDS
    while rounds > 0:
        rounds -= 1
        answer = spreading.choice.solve(effort=_EFFORT, progress=progress)
        if not answer.feasible:
            break
        visit_of = spreading.read(answer.chosen)
        if spreading.shut_out_circles(visit_of) or spreading.shut_out_what_is_in_the_air(visit_of):
            continue
        if found is not None:
            return visit_of
        found = visit_of
        spreading.want_few_visits()
        rounds = _WANTING_ROUNDS
    return found


class _Spreading:
    """The choice, and what of it stands for what."""

    def __init__(
        self, rules: Rules, walk: Sequence[StandingId], settings: PlanSettings, shut: Shut
    ) -> None:
        self.rules = rules
        self.walk = walk
        self.settings = settings
        self.shut = shut
        self.choice = Choice()
        self.is_shut = False
        self.done: dict[int, list[Literal | bool]] = {}
        """Of each step by visit: whether it is done when that ends."""
        links = rules.guarded.links
        self.links = links
        self.ground = [links.under(standing) for standing in walk[:-1]]
        # Otherwise what a temporary support bears on never sees a change (rule 8).
        self.borne = frozenset(each.part for each in rules.guarded.bearings if each.bears(()))
        start = Hold(links)
        start.rest_on(links.under(walk[0]))
        start.borne = self.borne
        self.held_at_first = frozenset(
            part
            for part in range(len(links.parts))
            if links.on[part] and not links.is_run[part] and start.is_held(part)
        )
        self._windows()
        if not self.is_shut:
            self._asks()
            self._stands()
            for part in sorted(self.held_at_first):
                self._hold_up({part}, range(1, len(walk)))
            for piece in shut.pieces:
                self._hold_up(piece, range(1, len(walk)))
            for circle in shut.circles:
                self._from_outside(circle)

    # -- what binds ---------------------------------------------------------------------------

    def _windows(self) -> None:
        """Say by which visits each step may be done; by the last, everything is."""
        last = len(self.walk) - 1
        for index in sorted(self.rules.wanted):
            node = self.rules.nodes[index]
            may = [not node.kind.is_step or self._may(index, node, at) for at in range(last + 1)]
            if not any(may):
                self.is_shut = True
                return
            by: list[Literal | bool] = []
            first = may.index(True)
            for at in range(last + 1):
                if at < first:
                    by.append(False)
                elif at == last or not any(may[at + 1 :]):
                    by.append(True)
                elif not may[at]:
                    by.append(by[-1])
                else:
                    by.append(self.choice.variable())
            self.done[index] = by
            for one, other in pairwise(by):
                if one is not other and not isinstance(one, bool):
                    self._any(-one, other)

    def _may(self, index: int, node: Node, at: int) -> bool:
        """Whether a step may be done in a visit, if that alone is looked at."""
        if not node.allows(self.walk[at]):
            return False
        crack = node.crack_in
        return crack in (None, self.walk[at]) or crack in self.walk[:at]

    def _any(self, *literals: Literal | bool) -> None:
        """Ask for one of several, some of which are settled."""
        if any(each is True for each in literals):
            return
        left = [each for each in literals if each is not False]
        self.choice.any_of(left)

    def _no(self, literal: Literal | bool) -> Literal | bool:
        return (not literal) if isinstance(literal, bool) else -literal

    def _asks(self) -> None:
        """Let everything come after what it asks for, in the same visit at the earliest."""
        done, visits = self.done, range(len(self.walk))
        for index in done:
            for ways in self.rules.steps_before(index):
                for at in visits:
                    self._any(
                        self._no(done[index][at]), *(done[by][at] for by in ways if by in done)
                    )
        for first, last in self.rules.spans:
            for at in visits:
                for one in first:
                    self._any(self._no(done[one][at]), *(done[by][at] for by in last))
        stages = self.rules.stages
        for earlier, later in pairwise(stages):
            for at in visits[:-1]:
                gate = self.choice.variable()
                for index in earlier & done.keys():
                    self._any(-gate, done[index][at])
                for index in later & done.keys():
                    self._any(self._no(done[index][at]), gate)

    def _stands(self) -> None:
        """Let every standing be entered as it may be: what it bears on is on, the rest off."""
        standings = self.rules.problem.vehicle.standings
        for at in range(1, len(self.walk)):
            for index, killed in self.rules.kills.items():
                if self.walk[at] in killed:
                    self._any(self._no(self.done[index][at - 1]))
            for part in standings[self.walk[at]].needs_off:
                if part not in self.rules.problem.parts_off:
                    self._any(*self._off(self.links.part_at.get(part, -1), at - 1))

    def _off(self, part: int, at: int) -> Iterator[Literal | bool]:
        for index in self.rules.guarded.taken_off_by.get(part, ()):
            if index in self.done:
                yield self.done[index][at]

    def _hold_up(self, piece: Collection[int], changes: Sequence[int]) -> None:
        """Ask of every part of a piece that it is off before a change, or the piece still tied."""
        ties = {
            joint
            for part in piece
            for joint, other in self.links.stiff_of[part]
            if other not in piece
        }
        nodes = [self.rules.guarded.undone_by.get(joint) for joint in sorted(ties)]
        if None in nodes or any(node not in self.done for node in nodes):
            return  # something of it is never undone
        for change in changes:
            if any(p in self.ground[change - 1] or p in self.borne for p in piece):
                continue
            made = [self._no(self.done[node][change - 1]) for node in nodes if node is not None]
            for part in self.held_at_first.intersection(piece):
                self._any(*self._off(part, change - 1), *made)

    def want_few_visits(self) -> None:
        """Want zones, tools and helpers in as few visits as possible."""
        settings = self.settings
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
                    self._any(self._no(by[at]), before, uses[key])
        self.choice.minimise(weights)

    def _from_outside(self, circle: Collection[int]) -> None:
        """Ask that something of a circle can be done by what is outside, if any of it is done.

        That is a loop formula, as in `choose.py`.
        """
        asked = {
            index: [
                [by for by in ways if by not in circle and by in self.done]
                for ways in self.rules.steps_before(index)
            ]
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
                self._any(self._no(self.done[index][at]), *first)

    # -- answers ------------------------------------------------------------------------------

    def read(self, chosen: frozenset[Literal]) -> dict[int, int]:
        """Give the visit of each step."""
        return {
            index: next(at for at, each in enumerate(by) if each is True or each in chosen)
            for index, by in self.done.items()
        }

    def shut_out_circles(self, visit_of: Mapping[int, int]) -> bool:
        """Shut out what would be done in a visit only by each other; whether there was any."""
        asked = {index: list(self.rules.steps_before(index)) for index in visit_of}
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
                for circle in _circles(todo, asked, done):
                    self.shut.circles[circle] = None
                    self._from_outside(circle)
                return True
        return False

    def shut_out_what_is_in_the_air(self, visit_of: Mapping[int, int]) -> bool:
        """Shut out what is in the air before a change, everywhere; whether there was any."""
        found = False
        watch = self.rules.guarded
        for change in range(1, len(self.walk)):
            hold = Hold(self.links)
            hold.borne = self.borne
            for joint, node in watch.undone_by.items():
                if visit_of.get(node, change) < change:
                    hold.made[joint] = 0
            for part, nodes in watch.taken_off_by.items():
                if any(visit_of.get(node, change) < change for node in nodes):
                    hold.on[part] = 0
            hold.rest_on(self.ground[change - 1])
            left = {part for part in self.held_at_first if hold.on[part]}
            while left:
                piece = hold.unheld(part := min(left))
                left.discard(part)
                if piece:
                    left -= piece
                    found = True
                    self.shut.pieces[frozenset(piece)] = None
                    self._hold_up(piece, range(1, len(self.walk)))
        return found


def _circles(
    waiting: Sequence[int], asked: Mapping[int, Sequence[Sequence[int]]], done: Collection[int]
) -> Iterator[frozenset[int]]:
    """Of what waits for each other, the sets that wait for nothing besides, each once."""
    among = frozenset(waiting)
    behind: dict[int, frozenset[int]] = {}
    for index in waiting:
        seen, todo = {index}, [index]
        for each in todo:
            for ways in asked[each]:
                if not any(by in done for by in ways):
                    fresh = among.intersection(ways) - seen
                    seen |= fresh
                    todo += sorted(fresh)
        behind[index] = frozenset(seen)
    for some in dict.fromkeys(behind.values()):
        if all(behind[index] == some for index in some):
            yield some
