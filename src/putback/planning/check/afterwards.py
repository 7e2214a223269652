"""What a rebuild does when it can: final tightening, checks, fluids, temporary fits.

Rules 7, 8, 9 and 11 of the rebuild, and of rule 4 what slides on over a run. They look at the plan
as a whole, each thing with the place at which it is done.
"""

from collections.abc import Collection, Iterator

from putback.planning.check.due import FINISHING, Due
from putback.planning.check.fault import Fault, RebuildRule
from putback.planning.check.never_run import never_run, never_run_faults
from putback.planning.check.threaded import sliding_faults
from putback.planning.check.when import NEVER, START, When, forced_order, leads_to
from putback.planning.plan import Action, Step
from putback.vehicle.ids import (
    FluidId,
    JobId,
    JointId,
    OpeningId,
    PartId,
    Ref,
    StandingId,
    job_ref,
    joint_ref,
    split_ref,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen, Joint

CARRIED = (FinalWhen.LADEN, FinalWhen.ON_WHEELS)
_BEFORE_A_RUN = (JobKind.FILL, JobKind.BLEED, JobKind.SECOND_CHECK)
AFTER_RUN = (FinalWhen.RENIPPED_HOT, FinalWhen.AFTER_FIRST_RUN)


def after_faults(due: Due, when: When, carrying: Collection[StandingId]) -> list[Fault]:
    """Give what is wrong with what has to wait; ``carrying`` are the standings on the wheels."""
    look = _Afterwards(due, when, carrying)
    faults = [*look.finals(), *look.checks(), *look.fluids(), *look.runs(), *look.temporary()]
    faults += look.accounts()
    faults += never_run_faults(due, when, look.forced)
    return [*faults, *sliding_faults(due, when, look.forced)]


class _Afterwards:
    def __init__(self, due: Due, when: When, carrying: Collection[StandingId]) -> None:
        self.due = due
        self.when = when
        self.carrying = carrying
        self.runs_at = list(when.jobs(JobKind.RUN))
        self.forced = forced = forced_order(due)
        self.after_runs = {job.id: leads_to(forced, job_ref(job.id)) for _, job in self.runs_at}
        self.leads = {
            job.id: leads_to(forced, job_ref(job.id)) for _, job in when.jobs(*FINISHING)
        }

    def _fault(self, rule: RebuildRule, at: float | None, what: Ref, words: str) -> Fault:
        step = None if at is None or at in (START, NEVER) else int(at)
        return Fault(rule, step, what, words)

    def _name(self, ref: Ref) -> str:
        return self.due.state.name_of(ref)

    # -- final tightening (7) ---------------------------------------------------------------

    def finals(self) -> Iterator[Fault]:
        """Each joint that waits is finished once, when it can be."""
        for at, job in self.when.jobs(*FINISHING):
            for each in job.joints:
                if each in self.due.tighten and self.when.tighten(each) > at:
                    words = f"{self._name(joint_ref(each))} is not tightened yet"
                    yield self._fault(RebuildRule.FINAL, at, job_ref(job.id), words)
        for joint in (self.due.joints[each] for each in sorted(self.due.finish)):
            ref = joint_ref(joint.id)
            own = self.when.at.get((Action.FINISH, ref))
            jobs = self._finishers(joint)
            if own is None and not jobs:
                words = f"{self._name(ref)} is never finished"
                yield self._fault(RebuildRule.FINAL, None, ref, words)
            elif own is not None and jobs:
                words = f"{self._name(ref)} is finished by {jobs[0][1].name}"
                yield self._fault(RebuildRule.COMPLETE, own, ref, words)
            elif own is not None and (why := self._too_early(joint, own, None)):
                yield self._fault(RebuildRule.FINAL, own, ref, f"{self._name(ref)}: {why}")
            elif own is None and self.finished(joint.id) == NEVER:
                at, job = jobs[0]
                why = self._too_early(joint, at, job)
                yield self._fault(RebuildRule.FINAL, at, ref, f"{self._name(ref)}: {why}")

    def _finishers(self, joint: Joint) -> list[tuple[float, Job]]:
        """Give the planned jobs that can finish a joint."""
        return [
            (at, job)
            for at, job in self.when.jobs(*FINISHING)
            if joint.id in job.joints and self._can_finish(job, joint)
        ]

    def _can_finish(self, job: Job, joint: Joint) -> bool:
        if joint.final_when not in AFTER_RUN and self._is_after_a_run(job):
            return False
        if joint.final_when in CARRIED and self.carrying and job.standings:
            return any(standing in self.carrying for standing in job.standings)
        if joint.final_when in AFTER_RUN and self.runs_at:
            return any(job_ref(run.id) not in self.leads[job.id] for _, run in self.runs_at)
        return True

    def _is_after_a_run(self, job: Job) -> bool:
        """Whether a job waits for a run: by facts, or for a joint that it finishes then."""
        hot = any(
            each in self.due.finish and self.due.joints[each].final_when in AFTER_RUN
            for each in job.joints
        )
        by_facts = any(job_ref(job.id) in after for after in self.after_runs.values())
        return by_facts or (hot and bool(self.runs_at))

    def finished(self, joint: JointId) -> float:
        """When a joint is as it shall be."""
        if joint not in self.due.finish:
            return self.when.tighten(joint)
        record = self.due.joints[joint]
        own = self.when.at.get((Action.FINISH, joint_ref(joint)))
        if own is not None:
            return own
        able = [at for at, job in self._finishers(record) if not self._too_early(record, at, job)]
        return min(able, default=NEVER)

    def _too_early(self, joint: Joint, at: float, job: Job | None) -> str:
        """Say why a joint cannot be finished there; nothing if it can."""
        if self.when.tighten(joint.id) > at:
            return "it is not tightened yet"
        if joint.final_when in CARRIED:
            return self._not_on_its_wheels(at)
        if joint.final_when in AFTER_RUN:
            leads = self.leads[job.id] if job else ()
            runs = [run_at for run_at, run in self.runs_at if job_ref(run.id) not in leads]
            return "nothing has run yet" if runs and min(runs) > at else ""
        if joint.final_when is FinalWhen.GAPS_SET and job is None:
            for other in self.due.vehicle.joints_of.get(joint.parts[0], ()):
                if other in self.due.tighten and self.when.tighten(other) > at:
                    return f"{self._name(joint_ref(other))} is not tightened yet"
        return ""

    def _not_on_its_wheels(self, at: float) -> str:
        if self.carrying and self.when.plan.steps[int(at)].standing not in self.carrying:
            return "it does not stand on its wheels"
        weighings = [index for index, _ in self.when.jobs(JobKind.WEIGH)]
        if weighings:
            return "it is not weighed yet" if max(weighings) > at else ""
        for part in sorted(self.due.back):
            if self.due.part(part).mass_kg and self.when.on(part) > at:
                return f"the {self._name(Ref(f'part:{part}'))} is not on yet"
        return ""

    # -- second checks (8) ------------------------------------------------------------------

    def checks(self) -> Iterator[Fault]:
        """Somebody else looks at each critical joint once it is finished."""
        for joint in sorted(self.due.check):
            ref, finished = joint_ref(joint), self.finished(joint)
            own = self.when.at.get((Action.CHECK, ref))
            looks = [
                at
                for at, job in self.when.jobs(JobKind.SECOND_CHECK)
                if joint in job.joints or not (job.joints or self._is_late(joint))
            ]
            if own is not None:
                looks.append(own)
            if not looks:
                words = f"nobody checks {self._name(ref)}"
                yield self._fault(RebuildRule.CHECK, None, ref, words)
            elif finished != NEVER and max(looks) < finished:
                words = f"{self._name(ref)} is checked before it is finished"
                yield self._fault(RebuildRule.CHECK, max(looks), ref, words)

    def _is_late(self, joint: JointId) -> bool:
        """Whether a joint is finished only after something has run."""
        if joint not in self.due.finish or not self.runs_at:
            return False
        record = self.due.joints[joint]
        if record.final_when in AFTER_RUN:
            return True
        jobs = [job for _, job in self._finishers(record)]
        return bool(jobs) and self._is_late_job(jobs[0])

    def _is_late_job(self, job: Job) -> bool:
        """Whether a job comes after a run, by facts or for a joint that it finishes."""
        hot = (self.due.joints[each].final_when in AFTER_RUN for each in self._finished_by(job))
        return any(hot) or any(job_ref(job.id) in after for after in self.after_runs.values())

    def _finished_by(self, job: Job) -> Iterator[JointId]:
        return (joint for joint in job.joints if joint in self.due.finish)

    # -- fluids and runs (9) ----------------------------------------------------------------

    def fluids(self) -> Iterator[Fault]:
        """What is out is filled when nothing leaks, and then bled."""
        for fluid in sorted(self.due.out):
            yield from self._filled(fluid)
        for fluid in sorted(self.due.to_bleed):
            ref = Ref(f"fluid:{fluid}")
            bled = self.when.poured(fluid, Action.BLEED, JobKind.BLEED)
            ready = self._closed(fluid)
            if fluid in self.due.out:
                ready += self.when.poured(fluid, Action.FILL, JobKind.FILL)
            if not bled:
                words = f"{self._name(ref)} is never bled"
                yield self._fault(RebuildRule.FLUIDS, None, ref, words)
            elif max(bled) < max((at for at in ready if at != NEVER), default=START):
                words = f"{self._name(ref)} is bled too early"
                yield self._fault(RebuildRule.FLUIDS, max(bled), ref, words)

    def _closed(self, fluid: FluidId) -> list[float]:
        """When each joint that lets the fluid out is tightened."""
        joints = self.due.joints_of_fluid(fluid) & self.due.tighten
        return [self.when.tighten(joint) for joint in joints]

    def _filled(self, fluid: FluidId) -> Iterator[Fault]:
        ref, record = Ref(f"fluid:{fluid}"), self.due.vehicle.fluids[fluid]
        own = self.when.at.get((Action.FILL, ref))
        filled = self.when.poured(fluid, Action.FILL, JobKind.FILL)
        if not filled:
            words = f"{self._name(ref)} is never filled"
            yield self._fault(RebuildRule.FLUIDS, None, ref, words)
        if own is not None and len(filled) > 1:
            words = f"{self._name(ref)} is filled twice"
            yield self._fault(RebuildRule.FLUIDS, own, ref, words)
        on = [self.when.on(part) for part in (record.part, *record.leaks_if_off)]
        ready = max([at for at in (*on, *self._closed(fluid)) if at != NEVER], default=START)
        for at in filled:
            if at < ready:
                words = f"{self._name(ref)} would run out again"
                yield self._fault(RebuildRule.FLUIDS, at, ref, words)

    def runs(self) -> Iterator[Fault]:
        """Nothing runs before all is filled, bled and checked that need not wait for it."""
        for run_at, run in self.runs_at:
            after = self.after_runs[run.id]
            for index, step in enumerate(self.when.plan.steps[int(run_at) + 1 :], int(run_at) + 1):
                if self._must_not_wait(step) and step.what not in after:
                    words = f"{run.name} comes before {step.action} {self._name(step.what)}"
                    yield self._fault(RebuildRule.FLUIDS, index, step.what, words)

    def _must_not_wait(self, step: Step) -> bool:
        """Whether a step fills, bleeds or checks what need not wait for a run."""
        identity = split_ref(step.what)[1]
        match step.action:
            case Action.CHECK:
                return not self._is_late(JointId(identity))
            case Action.DO:
                job = self.due.vehicle.jobs.get(JobId(identity))
                if job is None or job.kind not in _BEFORE_A_RUN:
                    return False
                looks = job.joints if job.kind is JobKind.SECOND_CHECK else ()
                return not any(joint in self.due.check and self._is_late(joint) for joint in looks)
            case _:
                return step.action in (Action.FILL, Action.BLEED)

    # -- temporary fits (11) ----------------------------------------------------------------

    def temporary(self) -> Iterator[Fault]:
        """What was in for now comes out in time."""
        steps = self.when.plan.steps
        if not steps:
            return
        counted = (max(0.0, at - 1) for at in never_run(self.due, self.when))
        first_run = min((*(at for at, _ in self.runs_at), *counted), default=NEVER)
        for fit, seen in self.due.state.fits.items():
            if seen.fitted is None or seen.off is not None:
                continue
            latest = min(self._needed(seen.on or ""), first_run)
            yield from self._taken_out(seen.what or fit, latest, Ref(f"fit:{fit}"))
        for opening, closed in self.due.state.openings.items():
            record = self.due.vehicle.openings.get(opening)
            made = self._needed(f"opening:{opening}")
            if record and (closed.closed or closed.all_closed) and made != NEVER:
                yield from self._taken_out(record.name, made, Ref(f"opening:{opening}"))

    def accounts(self) -> Iterator[Fault]:
        """Nobody accounts for closures that cannot be out yet."""
        for at, job in self.when.jobs(JobKind.CHECK):
            late = leads_to(self.forced, job_ref(job.id))
            for opening in job.openings:
                record = self.due.vehicle.openings.get(opening)
                joints = self.due.make.intersection(record.joints) if record else ()
                closed = (each for each in joints if joint_ref(each) not in late)
                if record and any(at < self.when.make(each) < NEVER for each in closed):
                    words = f"{job.name}: {record.name} is closed still"
                    yield self._fault(RebuildRule.TEMPORARY, at, job_ref(job.id), words)

    def _needed(self, subject: str) -> float:
        """When the place that a temporary fit holds is needed."""
        kind, _, identity = subject.partition(":")
        match kind:
            case "part":
                at = self.when.on(PartId(identity))
                return at if at != START else NEVER
            case "joint":
                return self.when.at.get((Action.MAKE, joint_ref(JointId(identity))), NEVER)
            case "opening":
                record = self.due.vehicle.openings.get(OpeningId(identity))
                places = [
                    self.when.at.get((Action.MAKE, joint_ref(joint)), NEVER)
                    for joint in (record.joints if record else ())
                ]
                return min(places, default=NEVER)
            case _:
                return NEVER

    def _taken_out(self, what: str, latest: float, ref: Ref) -> Iterator[Fault]:
        places = [
            index
            for index, step in enumerate(self.when.plan.steps)
            if any(what in line for line in step.take_out)
        ]
        if not places:
            yield self._fault(RebuildRule.TEMPORARY, None, ref, f"{what} is never taken out")
        elif min(places) > latest:
            words = f"{what} is taken out too late"
            yield self._fault(RebuildRule.TEMPORARY, min(places), ref, words)
