"""The field of work: what of the chosen nodes is done, ready or still waiting, move by move.

A *move* does one node, or cracks a joint that is undone later; it is written as a plain number,
``node`` for doing it and ``~node`` for cracking it. A `Field` is cheap to copy, so that a search
can try what comes next and think again.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence

from putback.planning.problem import CRACK_SHARE, Kind, Problem
from putback.planning.stand import Stands
from putback.vehicle.ids import JointId, PartId, StandingId, split_ref

Move = int
"""A node to do, or the complement of one to crack."""


class Rules:
    """What stays the same while nodes of one set are put in order."""

    def __init__(
        self, problem: Problem, stages: Sequence[Collection[int]], *, binding: bool = True
    ) -> None:
        """Lay out the clauses of the wanted nodes, stage by stage, for counting.

        Conditional orders are ``binding`` where all that is wanted will be done.
        """
        self.problem = problem
        self.binding = binding
        self.nodes = problem.nodes
        self.stands = Stands(problem)
        self.stages = tuple(frozenset(stage) for stage in stages)
        self.stage_of = {i: number for number, stage in enumerate(self.stages) for i in stage}
        wanted = self.wanted = frozenset(self.stage_of)
        self.steps = tuple(i for i in sorted(wanted) if self.nodes[i].kind.is_step)
        self.owner: list[int] = []
        self.watch: dict[int, list[int]] = {}
        self.missing = [0] * len(self.nodes)
        for index in sorted(self.wanted):
            for any_of in self.steps_before(index):
                for by in any_of:
                    self.watch.setdefault(by, []).append(len(self.owner))
                self.owner.append(index)
                self.missing[index] += 1
        self.bound_to = tuple(
            i for i in self.steps if self.nodes[i].standings is not None or self.nodes[i].crack_in
        )
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
        "mask",
        "missing",
        "off",
        "ready",
        "rules",
        "standing",
    )

    def __init__(self, rules: Rules) -> None:
        """Begin with nothing done, in the standing of now."""
        self.rules = rules
        self.standing: StandingId | None = rules.problem.start
        self.done: set[int] = set()
        self.mask = 0
        """The same and what is cracked as one number, to tell fields apart."""
        self.cracked: set[int] = set()
        """Nodes whose joint is cracked and not yet undone."""
        self.off: set[PartId] = set(rules.problem.parts_off)
        self.fulfilled = bytearray(len(rules.owner))
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

        With ``careful``, nothing is taken off whose absence ends a standing that is still needed.
        """
        node = self.rules.nodes[max(move, ~move)]
        if move < 0:
            return (
                node.crack_in == self.standing
                and self.standing is not None
                and ~move not in self.cracked
                and ~move not in self.done
            )
        if not node.allows(self.standing) or (self.standing is None and self.rules.problem.usable):
            return False
        if node.crack_in not in (None, self.standing) and move not in self.cracked:
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

    def to_crack(self) -> list[Move]:
        """Joints that are still to be undone and may be cracked as it stands now."""
        return [~i for i in self.rules.bound_to if i not in self.done and self.may(~i)]

    def hangs(self) -> bool:
        """Whether something is begun that must not see a change of standing before its end."""
        return any(self.ends_hanging())

    def ends_hanging(self) -> Iterator[tuple[frozenset[int], frozenset[int]]]:
        """Give the beginnings that are done and the ends that are not (8)."""
        for first, last in self.rules.spans:
            if not self.done.isdisjoint(first) and self.done.isdisjoint(last):
                yield first, last

    def enter_minutes(self, standing: StandingId | None) -> float | None:
        """What it costs to change to a standing now [minutes]; ``None`` if that cannot be."""
        return self.rules.stands.change_minutes(self.standing, standing, self.off)

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
        node = self.rules.nodes[move]
        self.ready.discard(move)
        if node.kind in (Kind.PART, Kind.WHOLE):
            self.off |= node.parts
        for undone in self.rules.cracked_by.get(move, ()):
            if self.rules.crack_in[undone] in (None, self.standing) and undone not in self.done:
                self._crack(undone)
        return self._finish(move)

    def _crack(self, index: int) -> None:
        self.cracked.add(index)
        self.mask |= 1 << (index + len(self.rules.nodes))

    def _finish(self, index: int) -> list[int]:
        """Cross a node off, and find what that makes ready."""
        fresh: list[int] = []
        todo = [index]
        while todo:
            index = todo.pop()
            self.done.add(index)
            self.mask |= 1 << index
            for number in self.rules.watch.get(index, ()):
                if not self.fulfilled[number]:
                    self.fulfilled[number] = 1
                    owner = self.rules.owner[number]
                    self.missing[owner] -= 1
                    if not self.missing[owner]:
                        if self.rules.nodes[owner].kind.is_step:
                            fresh.append(owner)
                        else:
                            todo.append(owner)
        self.ready.update(fresh)
        return fresh

    def _becomes_ready(self, index: int) -> None:
        if index in self.done:
            return
        if self.rules.nodes[index].kind.is_step:
            self.ready.add(index)
        else:
            self._finish(index)
