"""Read from vehicle and state what has to be done: rule 1 of the rebuild, and what feeds the rest.

What is open, slack, unfinished or unchecked; which declared jobs this rebuild needs, which of them
finish or check which joints; which circuits are filled and bled, and by what.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from putback.logbook.came_off import parts_aside, parts_laid_away
from putback.logbook.fluids import air_in, fluid_of, is_fluid_out
from putback.logbook.order import Key
from putback.logbook.state import JointState, Made, State
from putback.planning.name_says import parts_in
from putback.planning.plan import Action
from putback.planning.rebuild.droop import hoses_to_look_at
from putback.planning.rebuild.preparing import find_calls
from putback.planning.rebuild.waiting import Held, spread
from putback.planning.rebuild.work import (
    AFTER_RUN,
    CARRIED,
    FINISHING,
    Node,
    Work,
    carrying,
    do,
)
from putback.vehicle.circuit import bled_fluids, circuit_joints
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    PartId,
    Ref,
    ZoneId,
    fluid_ref,
    job_ref,
    joint_ref,
    part_ref,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen, Joint
from putback.vehicle.part import Part
from putback.vehicle.vehicle import Vehicle


def read_work(vehicle: Vehicle, state: State) -> Work:
    """Read from vehicle and state what has to be done."""
    return _Reading(vehicle, state).work()


class _Leads:
    """What the facts of the rebuild put after a thing, however far."""

    def __init__(self, vehicle: Vehicle) -> None:
        self._after: dict[Ref, list[Ref]] = {}
        for fact in vehicle.befores.values():
            if fact.phase is not Phase.STRIP:
                self._after.setdefault(fact.first, []).append(fact.then)
        for part, joints in vehicle.joints_of.items():
            self._after.setdefault(part_ref(part), []).extend(map(joint_ref, joints))
        self._known: dict[Ref, frozenset[Ref]] = {}

    def __call__(self, first: Ref) -> frozenset[Ref]:
        if first not in self._known:
            found: set[Ref] = set()
            todo = [first]
            while todo:
                for then in self._after.get(todo.pop(), ()):
                    if then not in found:
                        found.add(then)
                        todo.append(then)
            self._known[first] = frozenset(found)
        return self._known[first]


class _Reading:
    """What is known while the work is being read; each property rests on those above it."""

    def __init__(self, vehicle: Vehicle, state: State) -> None:
        self.vehicle = vehicle
        self.state = state
        self.leads = _Leads(vehicle)
        gone = {part for part, each in state.parts.items() if each.gone}
        self.off = state.parts_off | parts_aside(state) | parts_laid_away(state) | gone
        self.parts = dict(vehicle.parts) | {
            part: Part(part, state.name_of(part_ref(part)), ZoneId(""))
            for part in state.parts
            if part in self.off and part not in vehicle.parts
        }
        blank = {
            joint: Joint(joint, state.name_of(joint_ref(joint)), ())
            for joint, each in state.joints.items()
            if each.out and joint not in vehicle.joints
        }
        names = {part: each.name for part, each in self.parts.items()}
        self.joints = {
            joint.id: joint if joint.parts else replace(joint, parts=parts_in(joint.name, names))
            for joint in (*vehicle.joints.values(), *blank.values())
        }
        self.finishers: dict[JointId, list[Job]] = {}
        for job in vehicle.jobs.values():
            if job.kind in FINISHING and job.phase is not Phase.STRIP:
                for joint in job.joints:
                    self.finishers.setdefault(joint, []).append(job)

    def work(self) -> Work:
        """Read it all."""
        held = self._held()
        back = tuple(part for part in self.parts if part in self.off and part not in held.parts)
        opened, *others = self._joint_work()
        make, tighten, unfinished, unchecked = (
            frozenset(these - held.joints) for these in (opened, *others)
        )
        touched = make | tighten | unfinished | unchecked
        jobs = self._jobs(held, back, touched, make)
        finished_by = self._finished_by(unfinished, jobs)
        named, checked_by = self._second_checks(unchecked, unfinished, finished_by, jobs)
        fills, bleeds, bench = self._liquids(held, jobs, make)
        return Work(
            vehicle=self.vehicle,
            state=self.state,
            parts=self.parts,
            joints=self.joints,
            off=frozenset(self.off),
            back=back,
            wholes=self._wholes(back),
            open=frozenset(opened),
            make=make,
            tighten=tighten,
            finish=unfinished - finished_by.keys(),
            finished_by=finished_by,
            after_run=self._after_run(unfinished, finished_by, jobs),
            check=unchecked - named,
            checked_by=checked_by,
            jobs=jobs,
            fills=fills,
            bleeds=bleeds,
            bench_bleeds=bench,
            hoses=hoses_to_look_at(self.vehicle, self.state, make | tighten, jobs) - held.parts,
            calls=find_calls(self.vehicle, self.state, self.parts, self.joints, back, make, jobs),
            waiting=held.waiting,
        )

    # -- joints -------------------------------------------------------------------------------

    def _joint_work(self) -> tuple[set[JointId], set[JointId], set[JointId], set[JointId]]:
        """Joints to make, to tighten, to finish and to check."""
        make: set[JointId] = set()
        tighten: set[JointId] = set()
        finish: set[JointId] = set()
        check: set[JointId] = set()
        for joint in self.joints.values():
            seen = self.state.joints.get(joint.id, JointState(joint.id))
            if seen.out or not self._are_together(joint):
                make.add(joint.id)
            if joint.id in make or self._is_slack(joint, seen):
                tighten.add(joint.id)
            if joint.id in tighten or self._is_unfinished(joint, seen):
                if self._waits(joint):
                    finish.add(joint.id)
                if joint.critical:
                    check.add(joint.id)
            elif joint.critical and seen.made and not self._is_checked(joint, seen.made.key, seen):
                check.add(joint.id)
        return make, tighten, finish, check

    def _are_together(self, joint: Joint) -> bool:
        """Whether its parts are all on, or all off with one whole."""
        whole = {
            self.state.parts[part].whole if part in self.state.parts else None
            for part in joint.parts
            if part in self.off
        }
        on = not joint.parts or any(part not in self.off for part in joint.parts)
        return not whole if on else len(whole) == 1 and None not in whole

    def _is_slack(self, joint: Joint, seen: JointState) -> bool:
        slack = {Made.CRACKED, Made.FINGER_TIGHT, Made.STAGED}
        return seen.stage in slack or (seen.stage is Made.NIPPED and not self._waits(joint))

    def _is_unfinished(self, joint: Joint, seen: JointState) -> bool:
        nearly = (Made.NIPPED, Made.TIGHTENED, Made.SET)
        if seen.stage not in nearly or seen.made is None or not self._waits(joint):
            return False
        made = seen.made.key
        return not any(key > made for key in self._finished(joint))

    def _is_checked(self, joint: Joint, made: Key, seen: JointState) -> bool:
        """Whether somebody looked at it, or did a declared second check since it was finished."""
        by_jobs = self._finished(joint) if self._waits(joint) else iter(())
        finished = min((key for key in by_jobs if key > made), default=made)
        looks = self._done(
            job.id
            for job in self.vehicle.jobs.values()
            if job.kind is JobKind.SECOND_CHECK and (joint.id in job.joints or not job.joints)
        )
        return any(each.right for each in seen.checks) or any(key > finished for key in looks)

    def _finished(self, joint: Joint) -> Iterator[Key]:
        """When each declared job that finishes a joint was done, if it was."""
        return self._done(job.id for job in self.finishers.get(joint.id, ()))

    def _done(self, jobs: Iterable[JobId]) -> Iterator[Key]:
        """When each of these jobs was done, if it was."""
        said = (self.state.jobs[job].done for job in jobs if job in self.state.jobs)
        return (each.key for each in said if each)

    def _waits(self, joint: Joint) -> bool:
        if joint.final_when is FinalWhen.AS_FITTED:
            return False
        return not joint.by_position or joint.id in self.finishers

    def _late(self, finish: frozenset[JointId], planned: Iterable[Job]) -> frozenset[JobId]:
        """Jobs that come after a run: by facts, or for the sake of a joint that they finish."""
        runs = [job_ref(job.id) for job in planned if job.kind is JobKind.RUN]
        after = frozenset[Ref]().union(*map(self.leads, runs))
        hot = {each for each in finish if runs and self.joints[each].final_when in AFTER_RUN}
        return frozenset(
            job.id
            for job in planned
            if job_ref(job.id) in after
            or (job.kind in FINISHING and not hot.isdisjoint(job.joints))
        )

    def _finished_by(
        self, joints: frozenset[JointId], jobs: Iterable[JobId]
    ) -> dict[JointId, JobId]:
        """Choose the declared job that finishes each joint: the first that can."""
        planned = [self.vehicle.jobs[job] for job in jobs]
        runs = [job_ref(job.id) for job in planned if job.kind is JobKind.RUN]
        on_wheels = set(carrying(self.vehicle))
        late = self._late(joints, planned)

        def can(job: Job, joint: Joint) -> bool:
            if joint.final_when in CARRIED and on_wheels and job.standings:
                return not on_wheels.isdisjoint(job.standings)
            if joint.final_when in AFTER_RUN and runs:
                return not self.leads(job_ref(job.id)).issuperset(runs)
            return True

        chosen = {}
        for joint in (self.joints[each] for each in self.joints if each in joints):
            those = [job for job in planned if job.kind in FINISHING and joint.id in job.joints]
            able = [job for job in those if can(job, joint)]
            if joint.final_when not in AFTER_RUN:
                # Nothing runs on what is only nipped: a job after it only tightens again.
                able = [job for job in able if job.id not in late]
            if able:
                chosen[joint.id] = self._earliest([job.id for job in able])
        return chosen

    def _after_run(
        self,
        joints: Iterable[JointId],
        finished_by: Mapping[JointId, JobId],
        jobs: tuple[JobId, ...],
    ) -> dict[JointId, JobId]:
        """Choose the run after which a joint is finished: the first it can come after."""
        runs = [job for job in jobs if self.vehicle.jobs[job].kind is JobKind.RUN]
        found: dict[JointId, JobId] = {}
        for joint in joints:
            by = finished_by.get(joint)
            ahead = self.leads(job_ref(by)) if by else frozenset()
            able = [run for run in runs if job_ref(run) not in ahead]
            if able and self.joints[joint].final_when in AFTER_RUN:
                found[joint] = self._earliest(able)
        return found

    def _earliest(self, jobs: list[JobId]) -> JobId:
        """The first of these jobs that facts put none of the others before."""
        after = frozenset[Ref]().union(*(self.leads(job_ref(job)) for job in jobs))
        return next((job for job in jobs if job_ref(job) not in after), jobs[0])

    def _second_checks(
        self,
        joints: frozenset[JointId],
        finish: frozenset[JointId],
        finished_by: Mapping[JointId, JobId],
        jobs: tuple[JobId, ...],
    ) -> tuple[set[JointId], dict[JointId, tuple[JobId, ...]]]:
        """Joints that a declared second check looks at, and which."""
        planned = [self.vehicle.jobs[job] for job in jobs]
        checks = [job for job in planned if job.kind is JobKind.SECOND_CHECK]
        has_run = any(job.kind is JobKind.RUN for job in planned)
        late_jobs = self._late(finish, planned)
        found: dict[JointId, tuple[JobId, ...]] = {}
        for joint in (each for each in self.joints if each in joints):
            by = finished_by.get(joint)
            hot = has_run and joint in finish and self.joints[joint].final_when in AFTER_RUN
            late = hot or by in late_jobs
            named = [job.id for job in checks if joint in job.joints or not (job.joints or late)]
            if named:
                found[joint] = tuple(named)
        return set(found), found

    # -- parts --------------------------------------------------------------------------------

    def _wholes(self, back: Iterable[PartId]) -> dict[AssemblyId, tuple[PartId, ...]]:
        """What came off as one goes on as one."""
        found: dict[AssemblyId, tuple[PartId, ...]] = {}
        for part in back:
            seen = self.state.parts.get(part)
            whole = seen.whole if seen else None
            if whole is not None and whole in self.vehicle.assemblies:
                found[whole] = (*found.get(whole, ()), part)
        return {assembly: parts for assembly, parts in found.items() if len(parts) > 1}

    def _held(self) -> Held:
        """What waits for a part that is gone, near and far."""
        return spread(self.vehicle, self.state, self.off, self.joints)

    # -- declared jobs ------------------------------------------------------------------------

    def _jobs(
        self,
        held: Held,
        back: tuple[PartId, ...],
        touched: frozenset[JointId],
        make: frozenset[JointId],
    ) -> tuple[JobId, ...]:
        """Jobs that this rebuild needs, and those that the facts ask for before them."""
        vehicle = self.vehicle
        parts = {*back, *(part for part, each in self.state.parts.items() if each.on)}
        joints = touched | {joint for joint, each in self.state.joints.items() if each.made}
        dry = {fluid for fluid in vehicle.fluids if self._is_out(fluid)}
        airy = {fluid for fluid in vehicle.fluids if self._to_bleed(fluid, make)}
        wet = {fluid for fluid in vehicle.fluids if self._was_out(fluid)}
        if not (parts or joints or wet):
            return ()
        ends = {
            opening.id
            for opening in vehicle.openings.values()
            if not joints.isdisjoint(opening.joints)
        }

        def is_needed(job: Job) -> bool:
            names = (*job.joints, *job.parts, *job.openings, *filter(None, (job.fluid,)))
            fluids = {JobKind.FILL: dry, JobKind.BLEED: airy}.get(job.kind, wet)
            return (
                not names
                or not joints.isdisjoint(job.joints)
                or not parts.isdisjoint(job.parts)
                or not ends.isdisjoint(job.openings)
                or job.fluid in fluids
            )

        done = self.state.jobs_done | held.jobs
        needed = {
            job.id
            for job in vehicle.jobs.values()
            if job.phase is not Phase.STRIP and job.id not in done and is_needed(job)
        }
        planned = {*map(job_ref, needed), *map(part_ref, back), *map(joint_ref, touched)}
        skipped = {
            job_ref(job.id): job.id
            for job in vehicle.jobs.values()
            if job.phase is Phase.STRIP and job.id not in done
        }
        asked = [fact for fact in vehicle.befores.values() if fact.phase is not Phase.STRIP]
        while (
            more := {
                fact.first for fact in asked if fact.then in planned and fact.first in skipped
            }
            - planned
        ):
            planned |= more
            needed |= {skipped[ref] for ref in more}
        return tuple(job for job in vehicle.jobs if job in needed)

    # -- fluids -------------------------------------------------------------------------------

    def _is_out(self, fluid: FluidId) -> bool:
        return is_fluid_out(self.vehicle, self.state, fluid)

    def _is_hydraulic(self, fluid: FluidId) -> bool:
        return fluid in bled_fluids(self.vehicle)

    def _was_out(self, fluid: FluidId) -> bool:
        seen = fluid_of(self.vehicle, self.state, fluid)
        return bool(seen.drained or seen.filled)

    def _to_bleed(self, fluid: FluidId, make: frozenset[JointId]) -> bool:
        """Whether air is in the circuit: emptied, open, or filled or closed and not bled since."""
        if not self._is_hydraulic(fluid):
            return False
        openers = circuit_joints(self.vehicle, fluid)
        return (
            self._is_out(fluid)
            or not make.isdisjoint(openers)
            or air_in(self.vehicle, self.state, fluid) is not None
        )

    def _liquids(
        self, held: Held, jobs: tuple[JobId, ...], make: frozenset[JointId]
    ) -> tuple[dict[FluidId, tuple[Node, ...]], dict[FluidId, tuple[Node, ...]], frozenset[JobId]]:
        """Give what fills and what bleeds each circuit, and the jobs that bleed on the bench."""
        fills: dict[FluidId, tuple[Node, ...]] = {}
        bleeds: dict[FluidId, tuple[Node, ...]] = {}
        bench: set[JobId] = set()
        planned = [self.vehicle.jobs[job] for job in jobs]
        for fluid in self.vehicle.fluids:
            if fluid in held.fluids:
                continue
            named = [job for job in planned if job.fluid == fluid]
            if self._is_out(fluid):
                by = tuple(do(job.id) for job in named if job.kind is JobKind.FILL)
                fills[fluid] = by or (Node(Action.FILL, fluid_ref(fluid)),)
            if self._to_bleed(fluid, make):
                openers = {joint_ref(each) for each in circuit_joints(self.vehicle, fluid)}
                these = [job.id for job in named if job.kind is JobKind.BLEED]
                early = {job for job in these if self.leads(job_ref(job)) & openers}
                bench |= early
                late = tuple(do(job) for job in these if job not in early)
                bleeds[fluid] = late or (Node(Action.BLEED, fluid_ref(fluid)),)
        return fills, bleeds, frozenset(bench)
