"""The field of work: what of the chosen nodes is done, ready or still waiting, move by move.

A *move* does one node, or cracks a joint that is undone later; it is written as a plain number,
``node`` for doing it and ``~node`` for cracking it. A `Field` is cheap to copy, so that a search
can try what comes next and think again.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from putback.planning.held.freed import with_what_is_freed
from putback.planning.held.guard import Guard
from putback.planning.held.watch import Watch
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import CRACK_SHARE, Kind, Problem
from putback.planning.search.common import common_to_all
from putback.planning.search.stand import Stands
from putback.vehicle.ids import JointId, PartId, StandingId, split_ref

Move = int
"""A node to do, or the complement of one to crack."""

_NO_PARTS: frozenset[PartId] = frozenset()

_NOT, _AT_ONCE, _ONCE_CRACKED = range(3)
"""How a node may be done in a standing."""


class Rules:
    """What stays the same while nodes of one set are put in order."""

    def __init__(
        self,
        problem: Problem,
        stages: Sequence[Collection[int]],
        *,
        late: Collection[int] = (),
        binding: bool = True,
        watched: bool = True,
        settings: PlanSettings,
    ) -> None:
        """Lay out the clauses of the wanted nodes, stage by stage, for counting.

        What is ``late`` stays in its stage, as something is put off.
        Conditional orders are ``binding`` where all that is wanted will be done; only then, and
        where it is ``watched``, is there a guard against what hangs and tips.
        """
        self.problem = problem
        self.binding = binding
        self.watched = binding and watched
        self.nodes = problem.nodes
        self.stands = Stands(problem)
        self.guarded = Watch(problem, frozenset().union(*stages))
        self.stages = with_what_is_freed(problem, stages, self.guarded.links, late)
        self.stage_of = {i: number for number, stage in enumerate(self.stages) for i in stage}
        wanted = self.wanted = frozenset(self.stage_of)
        self.steps = tuple(i for i in sorted(wanted) if self.nodes[i].kind.is_step)
        self.is_step = bytes(node.kind.is_step for node in self.nodes)
        self.watch: dict[int, list[tuple[int, int]]] = {}
        """What each node fulfils: who asks for it, and by which number if others would do."""
        self.alternatives = 0
        self.missing = [0] * len(self.nodes)
        for index in sorted(self.wanted):
            for any_of in self.steps_before(index):
                number = self.alternatives if len(any_of) > 1 else -1
                for by in any_of:
                    self.watch.setdefault(by, []).append((number, index))
                self.alternatives += number >= 0
                self.missing[index] += 1
        self.bound_to = tuple(
            i for i in self.steps if self.nodes[i].standings is not None or self.nodes[i].crack_in
        )
        self.crack_there: dict[StandingId, list[int]] = {}
        """The nodes whose joints are cracked in each standing."""
        for index in self.bound_to:
            if (crack_in := self.nodes[index].crack_in) is not None:
                self.crack_there.setdefault(crack_in, []).append(index)
        self._here: dict[StandingId | None, bytes] = {}
        self.only_in: dict[StandingId, frozenset[int]] = {}
        """The nodes that can be done in one standing only, by that standing."""
        for index in self.bound_to:
            allowed = self.nodes[index].standings
            if allowed is not None and len(allowed) == 1:
                for only in allowed:
                    self.only_in[only] = self.only_in.get(only, frozenset()) | {index}
        self.kills = {
            i: killed
            for i in self.steps
            if self.nodes[i].kind in (Kind.PART, Kind.WHOLE)
            and (killed := self.stands.bearing_on(self.nodes[i].parts))
        }
        self.spans = tuple(
            (first, last)
            for span in problem.spans
            if (first := self.wanted.intersection(span.first))
            and (last := self.wanted.intersection(span.last))
            and first != last
        )
        self.hardens: dict[int, list[int]] = {}
        self.hardened: dict[int, list[int]] = {}
        for number, fact in enumerate(problem.harder):
            for index in self.wanted.intersection(fact.after):
                self.hardens.setdefault(index, []).append(number)
            for index in self.wanted.intersection(fact.jobs):
                self.hardened.setdefault(index, []).append(number)
        self.moody = frozenset((*self.hardens, *self.hardened))
        """The nodes that make others harder, or are made so."""
        self.crack_in = {
            i: problem.vehicle.joints[JointId(split_ref(self.nodes[i].what)[1])].crack_in
            for i in self.steps
            if self.nodes[i].kind in (Kind.UNDO, Kind.BENCH)
        }
        self.cracked_by: dict[int, list[int]] = {}
        for joint, jobs in problem.cracking.items():
            undone = self.wanted.intersection(problem.providers.get(joint, ()))
            for job in self.wanted.intersection(jobs):
                self.cracked_by.setdefault(job, []).extend(undone)
        self.least_margin_m = settings.least_margin_m
        self.waived: frozenset[Move | StandingId] = frozenset()
        """What the guard lets pass, for no order was found without: nodes, standings entered."""
        self.spared: frozenset[int] = frozenset()
        """Parts, by number, that may be in the air for the same reason."""
        self.would_hang: Mapping[frozenset[int], tuple[int, ...]] | None = None
        """Parts, by number, found to hang together in the air once these nodes are done.

        ``None`` where that was not looked for, as work was not spread over visits.
        """

    def takes_off(self, index: int) -> frozenset[PartId]:
        """The parts that a node takes off."""
        return self.guarded.off_with.get(index, _NO_PARTS)

    def here(self, standing: StandingId | None) -> bytes:
        """Say for each node how it may be done, standing so: not, at once, or once cracked."""
        found = self._here.get(standing)
        if found is None:
            found = self._here[standing] = bytes(
                _NOT
                if not node.allows(standing) or (standing is None and self.problem.usable)
                else _AT_ONCE
                if node.crack_in in (None, standing)
                else _ONCE_CRACKED
                for node in self.nodes
            )
        return found

    @cached_property
    def always_before(self) -> dict[int, int]:
        """Of each wanted node those done before it in every order, and itself, as bits."""
        order = sorted(self.wanted)
        ways = {
            index: [
                some
                for any_of in self.steps_before(index)
                if (some := tuple(way for way in any_of if way in self.wanted))
            ]
            for index in order
        }
        return common_to_all(order, ways, len(self.nodes))

    def steps_before(self, index: int) -> Iterable[tuple[int, ...]]:
        """What must be done before a node; where it may stand is looked at on the way."""
        for clause in self.nodes[index].clauses:
            if not any(self.nodes[by].kind is Kind.STANDING for by in clause.any_of):
                yield clause.any_of
        for order in self.problem.orders_onto.get(index, ()) if self.binding else ():
            if order.first in self.wanted and self.nodes[order.first].kind.is_step:
                yield (order.first,)


class Field:
    """What is done so far, where the vehicle stands and what is off."""

    __slots__ = (
        "cracked",
        "done",
        "fulfilled",
        "guard",
        "mask",
        "missing",
        "off",
        "ready",
        "rules",
        "standing",
        "waived",
    )

    def __init__(self, rules: Rules, *, watched: bool = True) -> None:
        """Begin with nothing done, in the standing of now; with a guard if ``watched``."""
        self.rules = rules
        self.standing: StandingId | None = rules.problem.start
        self.done: set[int] = set()
        self.mask = 0
        """The same and what is cracked as one number, to tell fields apart."""
        self.cracked: set[int] = set()
        """Nodes whose joint is cracked and not yet undone."""
        self.off: set[PartId] = set(rules.problem.parts_off)
        self.waived = rules.waived
        watched = watched and rules.watched
        self.guard = Guard(rules.guarded, self.standing, rules.spared) if watched else None
        self.fulfilled = bytearray(rules.alternatives)
        self.missing = rules.missing.copy()
        self.ready: set[int] = set()
        for index in sorted(rules.wanted):
            if not self.missing[index]:
                self._becomes_ready(index)

    def copy(self) -> "Field":
        """Make a copy to try something on."""
        twin = object.__new__(Field)
        twin.rules = self.rules
        twin.standing = self.standing
        twin.waived = self.waived
        twin.guard = self.guard.copy() if self.guard is not None else None
        twin.mask = self.mask
        twin.done = self.done.copy()
        twin.cracked = self.cracked.copy()
        twin.off = self.off.copy()
        twin.fulfilled = self.fulfilled[:]
        twin.missing = self.missing.copy()
        twin.ready = self.ready.copy()
        return twin

    # -- what may be done now -----------------------------------------------------------------

    def may(self, move: Move, *, careful: bool = True) -> bool:
        """Whether a node that is ready, or the cracking of one, may be done as it stands now.

        With ``careful``, nothing is taken off whose absence ends a standing that is still needed,
        and nothing is done that the guard bars.
        """
        if not self._may_by_rules(move, careful=careful):
            return False
        return move < 0 or not careful or not self.is_barred(move)

    def _may_by_rules(self, move: Move, *, careful: bool = True) -> bool:
        if move < 0:
            return (
                self.rules.nodes[~move].crack_in == self.standing
                and self.standing is not None
                and ~move not in self.cracked
                and ~move not in self.done
            )
        how = self.rules.here(self.standing)[move]
        if how != _AT_ONCE and (how == _NOT or move not in self.cracked):
            return False
        return not careful or move not in self.rules.kills or self._leaves_standings(move)

    def _leaves_standings(self, move: Move) -> bool:
        """Whether what remains can be done without the standings that a part's removal ends."""
        rules, off = self.rules, self.off | self.rules.nodes[move].parts
        lost = rules.stands.bearing_on(off) - {self.standing}
        for index in rules.bound_to:
            if index not in self.done and index != move:
                node = rules.nodes[index]
                if node.standings is not None and node.standings <= lost:
                    return False
                if node.crack_in in lost and index not in self.cracked:
                    return False
        return True

    # -- the guard ----------------------------------------------------------------------------

    def is_barred(self, move: Move) -> bool:
        """Whether the guard bars a node as things are now (11, 12).

        What would hang on a run waits for the run's end; if that is waived, it still does not
        come before an end that could come off here and now.
        """
        guard = self.present_guard()
        if guard is None:
            return False
        if move in self.waived:
            return bool(self.comes_first(move))
        return guard.bars(move, self.done, self.rules.least_margin_m, self._still_comes)

    def is_barred_alone(self, move: Move) -> bool:
        """Whether nothing but the guard keeps a node that is ready from being done."""
        return self._may_by_rules(move) and self.is_barred(move)

    def comes_first(self, move: Move) -> list[Move]:
        """The ends of a run that could come off here and now, before a part hangs on it (11)."""
        guard = self.present_guard()
        if guard is None:
            return []
        still_comes = self._still_comes(move)

        def may_go(node: int) -> bool:
            return still_comes(node) and node in self.ready and self._may_by_rules(node)

        return guard.comes_first(move, self.done, may_go)

    def _still_comes(self, move: Move) -> Callable[[int], bool]:
        """Whether a node is still to be done, no later than the stage of another.

        What always comes after that other is none to wait for.
        """
        rules, done = self.rules, self.done
        stage_of, stage = rules.stage_of, rules.stage_of[move]
        return lambda node: (
            node not in done
            and stage_of[node] <= stage
            and not rules.always_before[node] >> move & 1
        )

    def present_guard(self) -> Guard | None:
        """The guard, told how the vehicle stands now."""
        if self.guard is not None and self.guard.standing != self.standing:
            self.guard.stand(self.standing)
        return self.guard

    def in_the_air(self) -> frozenset[Move]:
        """The nodes that let go what is still on and not held by anything (11)."""
        guard = self.present_guard()
        return frozenset(guard.loose.values()) if guard is not None else frozenset()

    def may_stand(self, standing: StandingId | None) -> bool:
        """Whether the vehicle can be stood so with everything held, and safe from tipping."""
        guard = self.present_guard()
        if guard is None or standing in self.waived or standing in (None, self.standing):
            return True
        if self.standing is not None and guard.leaves_in_the_air(standing):
            return False
        return guard.footing_in(standing).holds(self.rules.least_margin_m)

    def waive(self, what: Move | StandingId) -> None:
        """Let something pass that the guard bars; what it has let go already is spared."""
        self.waived |= {what}
        guard = self.present_guard()
        if guard is not None:
            gone = {part for part, by in guard.loose.items() if by == what}
            guard.spared |= gone
            guard.loose = {p: by for p, by in guard.loose.items() if p not in gone}

    def pass_on(self) -> None:
        """Note in the rules what was waived, so that others let it pass as well."""
        self.rules.waived = self.waived
        if self.guard is not None:
            self.rules.spared = self.guard.spared

    def to_crack(self) -> list[Move]:
        """Joints that are still to be undone and may be cracked as it stands now."""
        if self.standing is None:
            return []
        there = self.rules.crack_there.get(self.standing, ())
        return [~i for i in there if i not in self.done and i not in self.cracked]

    def is_all_done(self) -> bool:
        """Whether nothing is left to do."""
        return self.done.issuperset(self.rules.steps)

    def hangs(self) -> bool:
        """Whether something is begun, or in the air, that must not see a change of standing."""
        return any(self.ends_hanging()) or bool(self.in_the_air())

    def ends_hanging(self) -> Iterator[tuple[frozenset[int], frozenset[int]]]:
        """Give the beginnings that are done and the ends that are not (8)."""
        for first, last in self.rules.spans:
            if not self.done.isdisjoint(first) and self.done.isdisjoint(last):
                yield first, last

    def enter_minutes(self, standing: StandingId | None) -> float | None:
        """What it costs to change to a standing now [minutes]; ``None`` if that cannot be."""
        minutes = self.rules.stands.change_minutes(self.standing, standing, self.off)
        return minutes if minutes is not None and self.may_stand(standing) else None

    # -- what it costs and does ---------------------------------------------------------------

    def minutes(self, move: Move) -> float:
        """What a move takes now [minutes]."""
        if move < 0:
            return self._minutes_by_facts(~move) * CRACK_SHARE
        minutes = self._minutes_by_facts(move)
        return minutes * (1 - CRACK_SHARE) if move in self.cracked else minutes

    def _minutes_by_facts(self, index: int) -> float:
        minutes = self.rules.nodes[index].minutes
        for number in self.rules.hardened.get(index, ()):
            fact = self.rules.problem.harder[number]
            if not self.done.isdisjoint(fact.after):
                minutes *= fact.factor
        return minutes

    def excess_minutes(self, index: int) -> float:
        """How much longer a node takes now than it would at best [minutes]."""
        return self._minutes_by_facts(index) - self.rules.nodes[index].least

    def regret_minutes(self, move: Move) -> float:
        """What doing this now costs later, or could save by waiting [minutes]."""
        rules, regret = self.rules, 0.0
        if move not in rules.moody:
            return regret
        for number in rules.hardens.get(move, ()):
            fact = rules.problem.harder[number]
            if fact.factor > 1 and self.done.isdisjoint(fact.after):
                for job in rules.wanted.intersection(fact.jobs) - self.done:
                    regret += (fact.factor - 1) * rules.nodes[job].minutes
        for number in rules.hardened.get(move, ()):
            fact = rules.problem.harder[number]
            waits = fact.factor < 1 and not rules.wanted.isdisjoint(fact.after)
            if waits and self.done.isdisjoint(fact.after):
                regret += (1 - fact.factor) * rules.nodes[move].minutes
        return regret

    def do(self, move: Move) -> list[int]:
        """Take note that a move is done, and give the nodes that are ready now."""
        if move < 0:
            self._crack(~move)
            return []
        rules, guard = self.rules, self.present_guard()
        parts = rules.takes_off(move)
        self.ready.discard(move)
        if guard is not None:
            guard.do(move, parts, self.done, waived=move in self.waived)
        if parts:
            self.off |= parts
        for undone in rules.cracked_by.get(move, ()):
            if rules.crack_in[undone] in (None, self.standing) and undone not in self.done:
                self._crack(undone)
        return self._finish(move)

    def _crack(self, index: int) -> None:
        self.cracked.add(index)
        self.mask |= 1 << (index + len(self.rules.nodes))

    def _finish(self, index: int) -> list[int]:
        """Cross a node off, and find what that makes ready."""
        fresh: list[int] = []
        rules, missing = self.rules, self.missing
        todo = [index]
        while todo:
            index = todo.pop()
            self.done.add(index)
            self.mask |= 1 << index
            for number, owner in rules.watch.get(index, ()):
                if number >= 0:
                    if self.fulfilled[number]:
                        continue
                    self.fulfilled[number] = 1
                missing[owner] -= 1
                if not missing[owner]:
                    (fresh if rules.is_step[owner] else todo).append(owner)
        self.ready.update(fresh)
        return fresh

    def _becomes_ready(self, index: int) -> None:
        if index in self.done:
            return
        if self.rules.nodes[index].kind.is_step:
            self.ready.add(index)
        else:
            self._finish(index)
