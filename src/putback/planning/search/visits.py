"""Spread the work over given visits of standings, so that nothing is in the air between them.

A bout that does all that can be done leaves little to hold up what comes off in the next. Here the
visits are given, and of everything the visit is chosen in which it is done: all at once, as a
choice of yes and no (`putback.solvers.choice`). What is in the air before a change (rule 11) is
looked for in each answer, and shut out in the next.
"""

from collections.abc import Iterator, Mapping, Sequence
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


def spread(
    rules: Rules,
    walk: Sequence[StandingId],
    settings: PlanSettings,
    progress: Progress = NoProgress(),
) -> dict[int, int] | None:
    """Choose of each step the visit in which it is done; ``None`` if no choice was found.

    Zones, tools and helpers are wanted in as few visits as possible.
    """
    spreading = _Spreading(rules, walk, settings)
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
        if spreading.shut_out_what_is_in_the_air(visit_of):
            continue
        if found is not None:
            return visit_of
        found = visit_of
        spreading.want_few_visits()
        rounds = _WANTING_ROUNDS
    return found


class _Spreading:
    """The choice, and what of it stands for what."""

    def __init__(self, rules: Rules, walk: Sequence[StandingId], settings: PlanSettings) -> None:
        self.rules = rules
        self.walk = walk
        self.settings = settings
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

    def _hold_up(self, piece: set[int], changes: Sequence[int]) -> None:
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
            if not piece.isdisjoint(self.ground[change - 1] | self.borne):
                continue
            made = [self._no(self.done[node][change - 1]) for node in nodes if node is not None]
            for part in piece & self.held_at_first:
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

    # -- answers ------------------------------------------------------------------------------

    def read(self, chosen: frozenset[Literal]) -> dict[int, int]:
        """Give the visit of each step."""
        return {
            index: next(at for at, each in enumerate(by) if each is True or each in chosen)
            for index, by in self.done.items()
        }

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
                    self._hold_up(piece, range(1, len(self.walk)))
        return found
