"""What the steps of a rebuild need: done before them, and done with them before one goes home.

The rebuild has many rules of what comes before what, so here the order of the plan is kept
wherever two steps have anything to do with one another: a part that is put on, a joint, a fluid,
what is in the way, what a fact orders. What nobody described keeps the order of everything. That
asks for more than the rules do, never for less.
"""

from collections.abc import Iterator, Sequence

from putback.logbook.state import State
from putback.planning.bits import bits
from putback.planning.plan import Action, Step
from putback.planning.stretch.needs import Needs
from putback.planning.threaded import threaded_through
from putback.vehicle.circuit import circuit_joints
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.usual_cautions import is_of_brakes, opens_brakes
from putback.vehicle.vehicle import Vehicle

_AFTER_ALL = frozenset({JobKind.RUN, JobKind.WEIGH, JobKind.SECOND_CHECK, JobKind.MOVE})
_MAKING = frozenset({Action.MAKE, Action.TIGHTEN})


def rebuild_needs(vehicle: Vehicle, state: State, steps: Sequence[Step]) -> Needs:
    """Find what each step of a rebuild needs."""
    reading = _Reading(vehicle, state, steps)
    unknown = bits(reading.unordered)
    must: list[int] = []
    for at in range(len(steps)):
        earlier = (1 << at) - 1
        if unknown >> at & 1:  # what only the logbook knows keeps its place among all
            must.append(earlier)
        else:
            must.append(bits(reading.before(at)) | unknown & earlier)
    along = (frozenset(reading.along(at)) for at in range(len(steps)))
    return Needs(tuple(must), ((),) * len(steps), tuple(along))


class _Reading:
    """A rebuild read beside the facts."""

    def __init__(self, vehicle: Vehicle, state: State, steps: Sequence[Step]) -> None:
        self.vehicle = vehicle
        self.state = state
        self.steps = steps
        self.off = state.parts_off
        self.slides_on: dict[JointId, list[PartId]] = {}
        """The parts that a run passes through, by each joint that is an end of it."""
        for part, runs in threaded_through(vehicle).items():
            for joint in (joint for each in runs for ends in each.ends for joint in ends):
                self.slides_on.setdefault(joint, []).append(part)
        self.things = [self._things(step) for step in steps]
        self.about: dict[Ref, list[int]] = {}
        for at, things in enumerate(self.things):
            for ref in things:
                self.about.setdefault(ref, []).append(at)
        self.put_on: dict[PartId, int] = {
            part: at
            for at, step in enumerate(steps)
            if step.action is Action.PUT_ON
            for part in self._unit(step)
        }
        self.doing: dict[Ref, list[int]] = {}
        for at, step in enumerate(steps):
            for ref in (step.what, *map(part_ref, self._unit(step))):
                self.doing.setdefault(ref, []).append(at)
        self.in_the_way: dict[PartId, list[Ref]] = {}
        for obstruction in vehicle.obstructions.values():
            for part in obstruction.any_of:
                self.in_the_way.setdefault(part, []).append(obstruction.of)
        self.firsts: dict[Ref, list[Ref]] = {}
        for fact in vehicle.befores.values():
            if fact.phase is not Phase.STRIP:
                self.firsts.setdefault(fact.then, []).append(fact.first)
        self.in_standing: dict[StandingId | None, list[int]] = {}
        for at, step in enumerate(steps):
            self.in_standing.setdefault(step.standing, []).append(at)
        self.unordered = [at for at, step in enumerate(steps) if self._is_unknown(step)]

    # -- what a step has to do with -----------------------------------------------------------

    def _unit(self, step: Step) -> tuple[PartId, ...]:
        kind, identity = split_ref(step.what)
        if kind == "part":
            return (PartId(identity),)
        if kind == "assembly":
            whole = self.vehicle.assemblies[AssemblyId(identity)]
            return tuple(part for part in whole.parts if part in self.off)
        return ()

    def _things(self, step: Step) -> frozenset[Ref]:
        """The thing itself, and the parts that go back on which it is about."""
        kind, identity = split_ref(step.what)
        refs = {step.what, *map(part_ref, self._unit(step))}
        if kind == "joint":
            refs |= self._of_joint(JointId(identity))
        elif kind == "fluid":
            refs |= self._of_fluid(FluidId(identity))
        elif kind == "job" and identity in self.vehicle.jobs:
            job = self.vehicle.jobs[JobId(identity)]
            refs |= {part_ref(part) for part in job.parts if part in self.off}
            for joint in job.joints:
                refs |= self._of_joint(joint)
            for opening in job.openings:
                record = self.vehicle.openings.get(opening)
                for joint in record.joints if record else ():
                    refs |= self._of_joint(joint)
            if job.fluid is not None:
                refs |= self._of_fluid(job.fluid)
        return frozenset(refs)

    def _of_joint(self, joint: JointId) -> set[Ref]:
        record = self.vehicle.joints.get(joint)
        parts = record.parts if record else ()
        parts = (*parts, *self.slides_on.get(joint, ()))
        return {joint_ref(joint), *(part_ref(part) for part in parts if part in self.off)}

    def _of_fluid(self, fluid: FluidId) -> set[Ref]:
        refs = {Ref(f"fluid:{fluid}")}
        record = self.vehicle.fluids.get(fluid)
        if record is not None:
            parts = (record.part, *record.leaks_if_off)
            refs |= {part_ref(part) for part in parts if part in self.off}
        joints = circuit_joints(self.vehicle, fluid)
        for joint in joints:
            refs |= self._of_joint(joint)
        if record is not None and is_of_brakes(record) and not joints:
            fastened = (s.what for s in self.steps if s.action in {Action.PUT_ON, Action.TIGHTEN})
            refs |= {what for what in fastened if opens_brakes(self.state.name_of(what))}
        return refs

    def _is_unknown(self, step: Step) -> bool:
        """Whether only the logbook knows it: its order is proven, and nothing else is."""
        kind, identity = split_ref(step.what)
        if kind == "joint":
            return identity not in self.vehicle.joints
        return kind == "part" and not self.vehicle.joints_of.get(PartId(identity))

    # -- before -------------------------------------------------------------------------------

    def before(self, at: int) -> Iterator[int]:
        """Give the steps that come before one in the plan and have to do with it."""
        step = self.steps[at]
        if self._comes_after_all(step):
            yield from range(at)
            return
        for ref in self.things[at]:
            yield from (each for each in self.about[ref] if each < at)
            for first in self.firsts.get(ref, ()):
                yield from (each for each in self.doing.get(first, ()) if each < at)
        for part in self._joined(step):
            for each in self.doing.get(part_ref(part), ()):
                if self.steps[each].action is Action.PREPARE and each < at:
                    yield each
        if step.action is Action.PUT_ON:
            yield from self._put_on(at, step)
        if step.standing is not None and step.standing != self.state.standing.standing:
            for support in self.vehicle.standings[step.standing].supports:
                place = self.put_on.get(support.bears_on, at)
                if place < at:
                    yield place

    def _joined(self, step: Step) -> tuple[PartId, ...]:
        """The parts of a joint, on or off: they are made ready before it is made."""
        kind, identity = split_ref(step.what)
        record = self.vehicle.joints.get(JointId(identity)) if kind == "joint" else None
        return record.parts if record else ()

    def _put_on(self, at: int, step: Step) -> Iterator[int]:
        """What it touches, what it gets in the way of, and the standings that it shuts."""
        for part in self._unit(step):
            for joint in self.vehicle.joints_of.get(part, ()):
                for other in self.vehicle.joints[joint].parts:
                    if self.put_on.get(other, at) < at:
                        yield self.put_on[other]
            for ref in self.in_the_way.get(part, ()):
                yield from (each for each in self.doing.get(ref, ()) if each < at)
            for standing in self.vehicle.standings.values():
                if part in standing.needs_off:
                    yield from (
                        each for each in self.in_standing.get(standing.id, ()) if each < at
                    )

    def _comes_after_all(self, step: Step) -> bool:
        job = self._job(step)
        if job is None:
            return step.action in {Action.FINISH, Action.FILL, Action.BLEED}
        names_nothing = not (job.joints or job.parts or job.openings or job.fluid)
        return job.kind in _AFTER_ALL or names_nothing

    def _job(self, step: Step) -> Job | None:
        kind, identity = split_ref(step.what)
        return self.vehicle.jobs.get(JobId(identity)) if kind == "job" else None

    # -- along --------------------------------------------------------------------------------

    def along(self, at: int) -> Iterator[int]:
        """Give the later steps without which a step leaves something half done."""
        step = self.steps[at]
        later = range(at + 1, len(self.steps))
        if step.action is Action.MAKE:
            for each in self.doing.get(step.what, ()):
                if each > at and self.steps[each].action is Action.TIGHTEN:
                    yield each
        elif step.action is Action.PUT_ON:
            yield from self._holding(at, step)
        job = self._job(step)
        fluid = split_ref(step.what)[1] if step.action is Action.FILL else ""
        if job is not None and job.kind is JobKind.FILL and job.fluid is not None:
            fluid = job.fluid
        if fluid:
            yield from (each for each in later if self._bleeds(self.steps[each], FluidId(fluid)))
        if job is not None and job.same_sitting_as is not None:
            yield from self.doing.get(Ref(f"job:{job.same_sitting_as}"), ())
        if job is not None:
            for other in self.vehicle.jobs.values():
                if other.same_sitting_as == job.id:
                    yield from self.doing.get(Ref(f"job:{other.id}"), ())

    def _holding(self, at: int, step: Step) -> Iterator[int]:
        """The joints by which a unit is then held, made and tightened: it is not left lying."""
        unit = self._unit(step)
        for part in unit:
            for joint in self.vehicle.joints_of.get(part, ()):
                others = (each for each in self.vehicle.joints[joint].parts if each not in unit)
                if all(self.put_on.get(other, -1) < at for other in others if other in self.off):
                    for each in self.doing.get(joint_ref(joint), ()):
                        if self.steps[each].action in _MAKING and each > at:
                            yield each

    def _bleeds(self, step: Step, fluid: FluidId) -> bool:
        job = self._job(step)
        if job is not None:
            return job.kind is JobKind.BLEED and job.fluid == fluid
        return step.action is Action.BLEED and split_ref(step.what)[1] == fluid
