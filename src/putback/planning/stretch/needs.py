"""What the steps of a strip need: done before them, and done with them before one goes home.

Numbers in brackets are rules of ``docs/planning-rules.md``. A step may be brought forward past
others of the plan as long as neither it nor what is left behind breaks a rule by that.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from putback.logbook.fluids import pours_of
from putback.logbook.state import State
from putback.planning.bits import bits
from putback.planning.known import Known, bears_on
from putback.planning.plan import Action, Step
from putback.planning.threaded import threaded_through
from putback.vehicle.circuit import circuit_joints
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    AssemblyId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle

Clause = frozenset[int]
"""Steps of which one at least is done before."""


@dataclass(frozen=True, slots=True)
class Needs:
    """For each step of a plan: what is done before it, and the steps that must go with it.

    ``must`` are the steps that come before it, as bits, the first step the lowest: all of them are
    earlier in the plan. ``either`` are its clauses of several, or none, of earlier steps. ``owed``
    are steps that end what hangs already: nobody goes home before them.
    """

    must: tuple[int, ...]
    either: tuple[tuple[Clause, ...], ...]
    along: tuple[frozenset[int], ...]
    owed: frozenset[int] = frozenset()


def strip_needs(vehicle: Vehicle, state: State, steps: Sequence[Step]) -> Needs:
    """Find what each step of a strip needs."""
    reading = _Reading(vehicle, state, steps)
    must: list[int] = []
    either: list[tuple[Clause, ...]] = []
    for at in range(len(steps)):
        clauses = dict.fromkeys(reading.before(at))
        single = {each for clause in clauses if len(clause) == 1 for each in clause}
        must.append(bits(single))
        either.append(tuple(each for each in clauses if len(each) != 1))
    along: list[set[int]] = [set() for _ in steps]
    owed: set[int] = set()
    for first, last in reading.spans():
        begun = reading.cleared_at.get(first)
        ended = reading.cleared_at.get(last)
        if ended is not None and begun is not None and begun != ended:
            along[begun].add(ended)
        elif ended is not None and reading.known.is_cleared(first):
            owed.add(ended)
    for at, joint in reading.cracks:
        ended = reading.cleared_at.get(joint_ref(joint))
        if ended is not None and vehicle.joints[joint].critical:
            along[at].add(ended)  # broken loose and nipped, it must not be left
    return Needs(tuple(must), tuple(either), tuple(map(frozenset, along)), frozenset(owed))


class _Reading:
    """A strip read beside the facts."""

    def __init__(self, vehicle: Vehicle, state: State, steps: Sequence[Step]) -> None:
        self.vehicle = vehicle
        self.state = state
        self.steps = steps
        self.known = Known(vehicle, state)
        self.through = threaded_through(vehicle)
        self.cleared_at: dict[Ref, int] = {}
        self.taken_with: dict[PartId, int] = {}
        for at, step in enumerate(steps):
            if step.action is not Action.CRACK:
                for ref in (step.what, *map(part_ref, self.parts_off_by(step))):
                    self.cleared_at.setdefault(ref, at)
        for part, at in self._taken():
            self.taken_with.setdefault(part, at)
        self.in_standing: dict[StandingId | None, list[int]] = {}
        for at, step in enumerate(steps):
            self.in_standing.setdefault(step.standing, []).append(at)
        self.firsts: dict[Ref, list[Ref]] = {}
        for fact in vehicle.befores.values():
            if fact.phase is not Phase.REBUILD:
                self.firsts.setdefault(fact.then, []).append(fact.first)
        self.cracks = tuple(self._cracks())
        """The steps that crack a joint: those of its own, and jobs where they are done."""
        self.drained_by: dict[Ref, list[JobId]] = {}
        for job, fluids in pours_of(vehicle).drains.items():
            for fluid in (vehicle.fluids[each] for each in fluids if each in vehicle.fluids):
                opens = map(joint_ref, circuit_joints(vehicle, fluid.id))
                parts = map(part_ref, (fluid.part, *fluid.leaks_if_off))
                for ref in dict.fromkeys((*opens, *parts)):
                    self.drained_by.setdefault(ref, []).append(job)
        self.harder: dict[Ref, list[Ref]] = {}
        self.easier: dict[Ref, list[Ref]] = {}
        for each in vehicle.harder_afters.values():
            if each.factor is None or each.factor > 1:
                self.harder.setdefault(each.after, []).append(each.job)
            elif each.factor < 1:
                self.easier.setdefault(each.job, []).append(each.after)

    def _taken(self) -> Iterator[tuple[PartId, int]]:
        for at, step in enumerate(self.steps):
            for part in self.parts_off_by(step):
                yield part, at

    def parts_off_by(self, step: Step) -> tuple[PartId, ...]:
        """The parts that a step takes off: a whole's without those that are off at the start."""
        if step.action is not Action.TAKE_OFF:
            return ()
        kind, identity = split_ref(step.what)
        if kind == "part":
            return (PartId(identity),)
        whole = self.vehicle.assemblies[AssemblyId(identity)].parts
        return tuple(part for part in whole if part not in self.known.off)

    def before(self, at: int) -> Iterator[Clause]:
        """Give the clauses of one step."""
        step = self.steps[at]
        clears = self._clears(step)
        match step.action:
            case Action.UNDO:
                yield from self._undo(at, JointId(split_ref(step.what)[1]))
            case Action.TAKE_OFF:
                yield from self._take_off(at, frozenset(self.parts_off_by(step)))
            case _:
                pass
        yield from self._in_order(at, clears)
        yield from self._factors(at, clears)
        yield from self._standing(at, step.standing)

    def _clears(self, step: Step) -> tuple[Ref, ...]:
        if step.action is Action.CRACK:
            return ()
        parts = map(part_ref, self.parts_off_by(step))
        return tuple(dict.fromkeys((step.what, *parts)))

    def _by(self, refs: Iterable[Ref], at: int) -> Clause:
        """The steps before this one by which one of the things is cleared."""
        places = (self.cleared_at.get(ref, at) for ref in refs)
        return frozenset(place for place in places if place < at)

    # -- joints (2, 3, 7) -----------------------------------------------------------------------

    def _undo(self, at: int, joint: JointId) -> Iterator[Clause]:
        whole = self._bench(at, joint)
        if whole is None:
            yield from self._way(at, joint_ref(joint))
        elif whole >= 0:
            yield frozenset({whole})
            yield from (frozenset({each}) for each in self._inside(whole, at))
        yield from self._drained(at, joint_ref(joint))
        record = self.vehicle.joints[joint]
        if record.crack_in is not None and record.crack_in != self.steps[at].standing:
            cracked = frozenset(each for each, of in self.cracks if of == joint and each < at)
            if cracked and self.known.to_crack_in(record) is not None:
                yield cracked

    def _drained(self, at: int, ref: Ref) -> Iterator[Clause]:
        """What the plan drains first, before anything lets it out."""
        for job in self.drained_by.get(ref, ()):
            if drains := self._by((job_ref(job),), at):
                yield drains

    def _bench(self, at: int, joint: JointId) -> int | None:
        """The step that took all of a joint out as one; -1 if that was before, else ``None``."""
        on = self.known.on_of(joint)
        if not on:
            return -1
        parts = self.vehicle.joints[joint].parts
        taken = {self.taken_with.get(part, at if part in on else -1) for part in parts}
        by = next(iter(taken))
        return by if len(taken) == 1 and by < at else None

    def _inside(self, whole: int, at: int) -> Iterator[int]:
        """What was undone on the bench of a whole before: it may have been in the way (3)."""
        for ref, place in self.cleared_at.items():
            kind, identity = split_ref(ref)
            if kind == "joint" and whole < place < at:
                parts = self.vehicle.joints[JointId(identity)].parts
                if all(self.taken_with.get(part) == whole for part in parts):
                    yield place

    def _way(self, at: int, ref: Ref, unit: frozenset[PartId] = frozenset()) -> Iterator[Clause]:
        for obstruction in self.vehicle.obstructions_of.get(ref, ()):
            if unit.isdisjoint(obstruction.any_of) and self.known.off.isdisjoint(
                obstruction.any_of
            ):
                yield self._by(map(part_ref, obstruction.any_of), at)

    def _cracks(self) -> Iterator[tuple[int, JointId]]:
        for at, step in enumerate(self.steps):
            kind, identity = split_ref(step.what)
            if step.action is Action.CRACK:
                yield at, JointId(identity)
            elif kind == "job":
                job = self.vehicle.jobs[JobId(identity)]
                for joint in job.joints if job.kind is JobKind.CRACK else ():
                    record = self.vehicle.joints.get(joint)
                    if record is not None and record.crack_in in (None, step.standing):
                        yield at, joint

    # -- parts (3, 6) ---------------------------------------------------------------------------

    def _take_off(self, at: int, unit: frozenset[PartId]) -> Iterator[Clause]:
        for part in sorted(unit):
            for joint in self.vehicle.joints_of.get(part, ()):
                leads_out = self.known.on_of(joint) - unit
                undone = self.cleared_at.get(joint_ref(joint), at)
                if leads_out and joint in self.known.made and undone < at:
                    yield frozenset({undone})
            yield from self._way(at, part_ref(part), unit)
            yield from self._drained(at, part_ref(part))
            for each in self.through.get(part, ()):
                if each.run not in unit and each.run not in self.known.off:
                    for refs in (list(map(joint_ref, ends)) for ends in each.ends):
                        if not any(map(self.known.is_cleared, refs)):
                            yield self._by((part_ref(each.run), *refs), at)
        for standing in self.vehicle.standings.values():
            if not unit.isdisjoint(bears_on(standing)):
                for place in self.in_standing.get(standing.id, ()):
                    if place < at:
                        yield frozenset({place})

    # -- order (4, 9) ---------------------------------------------------------------------------

    def _in_order(self, at: int, clears: Iterable[Ref]) -> Iterator[Clause]:
        for then in clears:
            for first in self.firsts.get(then, ()):
                if first not in clears and not self.known.is_cleared(first):
                    yield self._by((first,), at)

    def _factors(self, at: int, clears: Iterable[Ref]) -> Iterator[Clause]:
        """Nothing is made harder than the plan has it, and nothing is done before it is easier."""
        for ref in clears:
            for job in self.harder.get(ref, ()):
                yield from map(frozenset, ({place} for place in self._by((job,), at)))
                yield from self._cracking(at, job)
            for after in self.easier.get(ref, ()):
                yield from map(frozenset, ({place} for place in self._by((after,), at)))

    def _cracking(self, at: int, job: Ref) -> Iterator[Clause]:
        for place, joint in self.cracks:
            if place < at and joint_ref(joint) == job == self.steps[place].what:
                yield frozenset({place})

    # -- how it stands (6, 8) -------------------------------------------------------------------

    def _standing(self, at: int, standing: StandingId | None) -> Iterator[Clause]:
        if standing is None or standing == self.known.start:
            return
        for part in self.vehicle.standings[standing].needs_off:
            if part not in self.known.off:
                yield self._by((part_ref(part),), at)

    def spans(self) -> Iterator[tuple[Ref, Ref]]:
        """What bears from one thing to another, or belongs to one sitting."""
        for support in self.vehicle.temporary_supports.values():
            yield support.first, support.last
        for job in self.vehicle.jobs.values():
            if job.same_sitting_as is not None:
                one, two = job_ref(job.id), job_ref(job.same_sitting_as)
                yield one, two
                yield two, one
