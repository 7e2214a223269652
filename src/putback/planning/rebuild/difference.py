"""Where a rebuild is not the strip turned round, and why.

Turning the strip round is what a person would do without a plan. Each `Difference` names a place
at which that would have gone wrong, or at which there is more to do than undoing what was done.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from putback.logbook.came_off import came_off
from putback.logbook.state import State
from putback.planning.known import with_why
from putback.planning.plan import Action, Because, Plan, Reason, Step
from putback.planning.rebuild.finals import WHY_LATER
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    AssemblyId,
    FactId,
    JobId,
    JointId,
    PartId,
    Ref,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import JobKind
from putback.vehicle.joint import FinalWhen
from putback.vehicle.vehicle import Vehicle


class Kind(StrEnum):
    """In which way the rebuild differs."""

    ORDER = "the other way round"  # a fact of the rebuild turns a pair
    FREED = "need not be kept"  # the order of the strip had a reason that is gone
    FINAL = "tightened later"  # the final tightening waits
    LOOSE = "loose before tight"
    WAITS = "not here yet"
    JOBS = "more to do"  # jobs that a strip does not have
    TAKEN_OUT = "taken out first"  # closures and temporary fits
    RENEWED = "new"  # used once only
    FLUIDS = "filled and bled"
    CHECKED = "looked at by a second person"


@dataclass(frozen=True, slots=True)
class Difference:
    """One place: what it is, what the strip turned round would do, what the plan does, and why."""

    kind: Kind
    place: str
    what: Ref
    reversed_strip: str
    rebuild: str
    reason: str

    def __str__(self) -> str:
        """Say it in one sentence."""
        return (
            f"{self.place}: {self.rebuild}, where the strip turned round would have it "
            f"{self.reversed_strip}, since {self.reason}"
        )


def differences_from_reversed_strip(
    plan: Plan, state: State, vehicle: Vehicle
) -> tuple[Difference, ...]:
    """Name the places at which a plan of the rebuild differs from the strip turned round.

    The most telling come first: pairs that a fact turns, then what waits, then what is more to do.
    Each fact, each job that finishes joints and each part that waits is named once.
    """
    compared = _Compared(plan, state, vehicle)
    ways: tuple[Callable[[], Iterator[Difference]], ...] = (
        compared.turned,
        compared.freed,
        compared.finished_later,
        compared.loose_first,
        compared.not_here,
        compared.more_jobs,
        compared.taken_out,
        compared.renewed,
        compared.fluids,
        compared.checked,
    )
    return tuple(difference for way in ways for difference in way())


class _Compared:
    """A plan beside the strip turned round."""

    def __init__(self, plan: Plan, state: State, vehicle: Vehicle) -> None:
        self.plan = plan
        self.state = state
        self.vehicle = vehicle
        self.reversed = {ref: at for at, ref in enumerate(reversed(came_off(state)))}
        self.steps: dict[Ref, list[Step]] = {}
        self.place: dict[Ref, int] = {}
        self.number = {id(step): at for at, step in enumerate(plan.steps)}
        for at, step in enumerate(plan.steps):
            self.steps.setdefault(step.what, []).append(step)
            for ref in self._things(step.what):
                self.place.setdefault(ref, at)

    def _things(self, what: Ref) -> tuple[Ref, ...]:
        """A thing as the strip knows it: an assembly by its parts."""
        kind, identity = split_ref(what)
        if kind != "assembly":
            return (what,)
        whole = AssemblyId(identity)
        return tuple(
            part_ref(part)
            for part in self.vehicle.assemblies[whole].parts
            if part in self.state.parts and self.state.parts[part].whole == whole
        )

    # -- pairs --------------------------------------------------------------------------------

    def turned(self) -> Iterator[Difference]:
        """Pairs that stand the other way round, by a fact or by way of a job."""
        pairs: dict[tuple[Ref, str], list[tuple[Ref, Ref]]] = {}
        for then, steps in self.steps.items():
            for reason in (each for step in steps for each in step.reasons):
                first = self._turned_before(reason, then) if reason.because in _TURNING else None
                if first is not None:
                    pairs.setdefault((then, self._why(reason)), []).append((first, reason.first))
        for (then, words), these in pairs.items():
            first, by = these[0]
            over = "" if first == by else f", by way of “{self.state.name_of(by)}”"
            yield Difference(
                Kind.ORDER,
                f"{self._names(pair[0] for pair in these)} and {self.state.name_of(then)}",
                then,
                f"after {self.state.name_of(then)}",
                f"{self._names(pair[0] for pair in these)} first{over}",
                words,
            )

    def _why(self, reason: Reason) -> str:
        """What a person said of a *before*, which may be the same of several; else the fact."""
        if reason.because is not Because.BEFORE or not reason.fact:
            return reason.words
        return self.vehicle.befores[FactId(reason.fact)].why or reason.words

    def _names(self, refs: Iterable[Ref]) -> str:
        """The first of these by name, the rest by number."""
        first, *others = dict.fromkeys(refs)
        return f"{self.state.name_of(first)}{f' (and {len(others)} more)' if others else ''}"

    def _turned_before(self, reason: Reason, then: Ref) -> Ref | None:
        """What this reason puts before a thing that the strip turned round would put after it."""
        at = min(
            (self.reversed[ref] for ref in self._things(then) if ref in self.reversed),
            default=None,
        )
        if at is None:
            return None
        later = {
            ref: self.reversed[ref]
            for ref in self._by_way_of(reason.first)
            if self.reversed.get(ref, -1) > at
        }
        return max(later, key=lambda ref: later[ref], default=None)

    def _by_way_of(self, first: Ref) -> Iterator[Ref]:
        """The thing itself; of a job, the things that facts put before it, over other jobs too."""
        seen = {first}
        todo = [first]
        while todo:
            at = todo.pop()
            if split_ref(at)[0] != "job":
                yield from self._things(at)
                continue
            for step in self.steps.get(at, ()):
                for reason in step.reasons:
                    if reason.first not in seen and self._is_before(reason.first, at):
                        seen.add(reason.first)
                        todo.append(reason.first)

    def _is_before(self, first: Ref, then: Ref) -> bool:
        return min((self.place.get(ref, -1) for ref in self._things(first)), default=-1) < (
            self.place.get(then, -1)
        )

    def freed(self) -> Iterator[Difference]:
        """Pairs whose order in the strip had a reason that says nothing now."""
        pairs: dict[tuple[Ref, str], list[Ref]] = {}
        for fact in self.vehicle.befores.values():
            both = fact.first in self.reversed and fact.then in self.reversed
            at, after = self.place.get(fact.first), self.place.get(fact.then)
            only_then = both and fact.phase is Phase.STRIP
            if only_then and at is not None and after is not None and at < after:
                pairs.setdefault((fact.then, fact.why), []).append(fact.first)
        for (then, why), firsts in pairs.items():
            yield Difference(
                Kind.FREED,
                f"{self._names(firsts)} and {self.state.name_of(then)}",
                firsts[0],
                f"after {self.state.name_of(then)}",
                f"{self._names(firsts)} first",
                with_why("only the strip asked for the other order", why),
            )

    # -- tightening ---------------------------------------------------------------------------

    def finished_later(self) -> Iterator[Difference]:
        """Joints that are nipped now and tightened for good when it can be."""
        for job in self.vehicle.jobs.values():
            step = next(iter(self.steps.get(job_ref(job.id), ())), None)
            waiting = [
                reason.first
                for reason in (step.reasons if step else ())
                if reason.because is Because.FINAL_WHEN
                and self._final_when(reason.first) is not FinalWhen.AS_FITTED
            ]
            if waiting:
                yield self._final(job_ref(job.id), waiting, f"by “{job.name}”")
        own: dict[FinalWhen, list[Ref]] = {}
        for step in self.plan.steps:
            if step.action is Action.FINISH:
                own.setdefault(self._final_when(step.what), []).append(step.what)
        for when, joints in own.items():
            yield self._final(joints[0], joints, f"when it can be: {when}")

    def _final_when(self, ref: Ref) -> FinalWhen:
        kind, identity = split_ref(ref)
        joint = self.vehicle.joints.get(JointId(identity)) if kind == "joint" else None
        return joint.final_when if joint else FinalWhen.AS_FITTED

    def _final(self, what: Ref, joints: list[Ref], when: str) -> Difference:
        return Difference(
            Kind.FINAL,
            self._names(joints),
            what,
            "tightened at once",
            f"nipped when made, tightened for good {when}",
            WHY_LATER[self._final_when(joints[0])],
        )

    def loose_first(self) -> Iterator[Difference]:
        """The part of which most joints are put in loose before one is tightened."""
        loose = {
            step.what: count
            for step in self.plan.steps
            if step.action is Action.PUT_ON and (count := self._made_loose(step.what)) > 1
        }
        if loose:
            most = max(loose, key=lambda unit: (not self._is_run(unit), loose[unit]))
            many = f", as with {len(loose)} parts" if len(loose) > 1 else ""
            yield Difference(
                Kind.LOOSE,
                self.state.name_of(most),
                most,
                "made and tightened one joint after the other",
                f"{loose[most]} joints go in loose before one is tightened{many}",
                "a part held tight at one end cannot find its place at the other",
            )

    def _is_run(self, unit: Ref) -> bool:
        return split_ref(unit)[1] in self.vehicle.runs

    def _made_loose(self, unit: Ref) -> int:
        """How many joints of a unit are made before the first of them is tightened."""
        parts = [PartId(split_ref(ref)[1]) for ref in self._things(unit)]
        made: list[int] = []
        tightened: list[int] = []
        joints = {each for part in parts for each in self.vehicle.joints_of.get(part, ())}
        for joint in map(joint_ref, joints):
            for step in self.steps.get(joint, ()):
                if step.action is Action.MAKE:
                    made.append(self.number[id(step)])
                elif step.action is Action.TIGHTEN:
                    tightened.append(self.number[id(step)])
        after = [at for at in tightened if at > self.place[self._things(unit)[0]]]
        return (
            sum(self.place[self._things(unit)[0]] < at < min(after) for at in made) if after else 0
        )

    # -- more to do ---------------------------------------------------------------------------

    def not_here(self) -> Iterator[Difference]:
        """Parts that are away, on order or gone, and what they hold up."""
        for step in self.plan.steps:
            if step.waits_for and step.action is not Action.PREPARE:
                yield Difference(
                    Kind.WAITS,
                    self.state.name_of(step.what),
                    step.what,
                    "in its turn",
                    "left until all that can be done without it is done",
                    f"it waits: {step.waits_for}",
                )
        for each in self.plan.waiting:
            if split_ref(each.what)[0] == "part":
                name = self.state.name_of(each.what)
                words = "left out"
                yield Difference(Kind.WAITS, name, each.what, "in its turn", words, each.why)

    def more_jobs(self) -> Iterator[Difference]:
        """Jobs that only the rebuild has, by kind."""
        by_kind: dict[JobKind, list[JobId]] = {}
        for step in self.plan.steps:
            kind, identity = split_ref(step.what)
            if kind == "job":
                job = self.vehicle.jobs[JobId(identity)]
                by_kind.setdefault(job.kind, []).append(job.id)
        for job_kind, jobs in by_kind.items():
            if job_kind in _WHY_MORE:
                first = job_ref(jobs[0])
                yield Difference(
                    Kind.JOBS,
                    self._names(map(job_ref, jobs)),
                    first,
                    "left out",
                    f"{job_kind} at step {self.place[first] + 1}",
                    _WHY_MORE[job_kind],
                )

    def taken_out(self) -> Iterator[Difference]:
        """Closures and temporary fits, each at the step that needs its place."""
        steps = [step for step in self.plan.steps if step.take_out]
        if steps:
            lines = sum(len(step.take_out) for step in steps)
            first = steps[0]
            yield Difference(
                Kind.TAKEN_OUT,
                self.state.name_of(first.what),
                first.what,
                "put in, not taken out",
                f"{first.take_out[0]} comes out first; {lines} such lines in {len(steps)} steps",
                "nothing temporary may be left in, and nothing may stand open before its time",
            )

    def renewed(self) -> Iterator[Difference]:
        """Pieces that are used once only."""
        steps = [step for step in self.plan.steps if step.renew]
        count: Counter[Ref] = Counter()
        for step in steps:
            for line in step.renew:
                count[step.what] += int(line.partition(" ")[0])
        if count:
            (most, _), total = count.most_common(1)[0], sum(count.values())
            yield Difference(
                Kind.RENEWED,
                self.state.name_of(most),
                most,
                "put back with what came off",
                f"new single-use pieces, {total} of them in {len(count)} joints",
                "split pins, tab washers, seals and self-locking nuts hold once",
            )

    def fluids(self) -> Iterator[Difference]:
        """What is filled and bled, when nothing leaks any more."""
        for step in self.plan.steps:
            if step.action in (Action.FILL, Action.BLEED):
                yield Difference(
                    Kind.FLUIDS,
                    self.state.name_of(step.what),
                    step.what,
                    "left empty",
                    f"{step.action} at step {self.place[step.what] + 1}",
                    step.reasons[-1].words,
                )

    def checked(self) -> Iterator[Difference]:
        """Critical joints that a second person looks at."""
        steps = [step for step in self.plan.steps if step.action is Action.CHECK]
        if steps:
            yield Difference(
                Kind.CHECKED,
                self.state.name_of(steps[0].what),
                steps[0].what,
                "trusted",
                f"looked at by a second person, as {len(steps)} critical joints are",
                "somebody gets hurt if one of them lets go",
            )


_TURNING = (Because.BEFORE, Because.IN_THE_WAY, Because.STANDING)

_WHY_MORE: Mapping[JobKind, str] = {
    JobKind.PREPARE: "threads, faces and earths are made ready before anything is clamped on them",
    JobKind.PROVE: "what does not fit is found before paint, not after",
    JobKind.REPAIR: "it is mended while it is bare",
    JobKind.CURE: "what is not hard yet gives way when it is clamped",
    JobKind.SET: "what was apart has to be set again",
    JobKind.WEIGH: "only the laden vehicle sits as it will on the road",
    JobKind.BLEED: "air got in when the circuit was opened",
    JobKind.SECOND_CHECK: "somebody gets hurt if a critical joint lets go",
    JobKind.RUN: "what was apart is tried before it is trusted",
}
"""Why a rebuild has jobs that a strip has not."""
