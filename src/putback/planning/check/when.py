"""When a plan of the rebuild does what, and what must come before what whatever the plan."""

from collections.abc import Iterable, Iterator, Mapping, Set
from math import inf

from putback.planning.check.due import PREPARING, Due
from putback.planning.plan import Action, Plan
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    PartId,
    Ref,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import Job, JobKind

START = -1.0
"""When what is done already was done."""
NEVER = inf


class When:
    """The place of everything in a plan: a step's number, `START`, or `NEVER`."""

    def __init__(self, due: Due, plan: Plan) -> None:
        self.due = due
        self.plan = plan
        self.at: dict[tuple[Action, Ref], float] = {}
        self.put_on: dict[PartId, float] = {}
        for index, step in enumerate(plan.steps):
            self.at.setdefault((step.action, step.what), float(index))
            if step.action is Action.PUT_ON:
                for part in self.unit(step.what):
                    self.put_on.setdefault(part, float(index))

    def unit(self, ref: Ref) -> tuple[PartId, ...]:
        """Give the parts that go on with a part or an assembly."""
        kind, identity = split_ref(ref)
        if kind == "assembly":
            return self.due.wholes.get(AssemblyId(identity), ())
        return (PartId(identity),)

    def make(self, joint: JointId) -> float:
        """When a joint is begun."""
        if joint not in self.due.make:
            return NEVER if joint_ref(joint) in self.due.waiting else START
        return self.at.get((Action.MAKE, joint_ref(joint)), NEVER)

    def tighten(self, joint: JointId) -> float:
        """When a joint is done."""
        if joint not in self.due.tighten:
            return NEVER if joint_ref(joint) in self.due.waiting else START
        return self.at.get((Action.TIGHTEN, joint_ref(joint)), NEVER)

    def on(self, part: PartId) -> float:
        """When a part is on."""
        return self.put_on.get(part, NEVER) if part in self.due.off else START

    def job(self, job: JobId) -> float:
        """When a job is done."""
        if job in self.due.state.jobs_done:
            return START
        return self.at.get((Action.DO, job_ref(job)), NEVER)

    def begun(self, ref: Ref) -> float:
        """When a thing is begun."""
        kind, identity = split_ref(ref)
        return self.make(JointId(identity)) if kind == "joint" else self.done(ref)

    def done(self, ref: Ref) -> float:
        """When a thing is done."""
        kind, identity = split_ref(ref)
        match kind:
            case "joint":
                return self.tighten(JointId(identity))
            case "part":
                return self.on(PartId(identity))
            case _:
                return self.job(JobId(identity))

    def jobs(self, *kinds: JobKind) -> Iterator[tuple[float, Job]]:
        """Give the planned jobs of some kinds, in the order of the plan."""
        for index, step in enumerate(self.plan.steps):
            kind, identity = split_ref(step.what)
            job = self.due.vehicle.jobs.get(JobId(identity)) if kind == "job" else None
            if job is not None and job.kind in kinds:
                yield float(index), job

    def poured(self, fluid: FluidId, action: Action, kind: JobKind) -> list[float]:
        """When a fluid is filled, or bled: by steps of its own, or by declared jobs."""
        own = self.at.get((action, Ref(f"fluid:{fluid}")))
        by_jobs = [index for index, job in self.jobs(kind) if job.fluid == fluid]
        return by_jobs if own is None else [own, *by_jobs]


def forced_order(
    due: Due, besides: Iterable[tuple[Ref, Ref]] = ()
) -> Mapping[Ref, frozenset[Ref]]:
    """Give what facts and joints put directly after each thing, in any plan (2, 4, 5).

    ``besides`` are pairs of which the first is done before the other is begun in any plan, too.
    """
    after: dict[Ref, set[Ref]] = {}
    for first, then in besides:
        after.setdefault(first, set()).add(then)
    for joint in due.make:
        inside = due.whole_of(joint) is not None
        for part in map(part_ref, due.joints[joint].parts):
            first, then = (joint_ref(joint), part) if inside else (part, joint_ref(joint))
            after.setdefault(first, set()).add(then)
    for members in due.wholes.values():
        for part in map(part_ref, members):
            after.setdefault(part, set()).update(set(map(part_ref, members)) - {part})
    for fact in due.vehicle.befores.values():
        if fact.phase is not Phase.STRIP:
            after.setdefault(fact.first, set()).add(fact.then)
    for job in due.vehicle.jobs.values():
        if job.kind in PREPARING:
            after.setdefault(job_ref(job.id), set()).update(
                (*map(joint_ref, job.joints), *map(part_ref, job.parts))
            )
    after = {ref: set(filter(due.is_left, those)) for ref, those in after.items()}
    growing = True
    while growing:
        growing = False
        for of, ways in ways_round(due):
            reached = [{way} | leads_to(after, way) for way in ways]
            open_ways = [those for those in reached if of not in those]
            every_way = set.intersection(*(open_ways or reached))
            growing |= not every_way <= after.setdefault(of, set())
            after[of] |= every_way
    return {ref: frozenset(those) for ref, those in after.items()}


def ways_round(due: Due) -> Iterator[tuple[Ref, list[Ref]]]:
    """Give what something is in the way of, and the parts of which one has to come later."""
    for obstruction in due.vehicle.obstructions.values():
        off = [part_ref(part) for part in obstruction.any_of if part in due.off]
        if off and obstruction.of not in off and due.waiting.isdisjoint(off):
            yield obstruction.of, off


def leads_to(after: Mapping[Ref, Set[Ref]], first: Ref) -> set[Ref]:
    """Give all that comes after a thing in any plan."""
    found, queue = set[Ref](), [first]
    while queue:
        new = after.get(queue.pop(), frozenset()) - found
        found |= new
        queue += new
    return found
