"""Replays a strip and says where it breaks a rule.

After a fault the foreman goes on as if the step had been done right (a joint that still held is
taken as torn), so that one mistake is told once.
"""

from collections.abc import Iterator
from math import prod

from putback.logbook.state import State
from putback.planning.check.air import air_faults
from putback.planning.check.drained import Draining
from putback.planning.check.fault import Fault, StripRule
from putback.planning.check.ground import Ground, Place, cost_faults, same_minutes
from putback.planning.check.lasting import still_cracked, still_done
from putback.planning.check.lifts import Lifts
from putback.planning.check.steady import steady_faults
from putback.planning.check.threaded import still_threaded
from putback.planning.plan import USUAL, Action, Plan, PlanSettings, Step
from putback.vehicle.facts import Phase
from putback.vehicle.goal import Goal
from putback.vehicle.ids import (
    AssemblyId,
    JobId,
    JointId,
    PartId,
    Ref,
    ZoneId,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import JobKind
from putback.vehicle.part import Part
from putback.vehicle.vehicle import Vehicle

_ON = AssemblyId("")  # stands for no whole: on the vehicle

CRACK_SHARE = 0.2
"""The part of a joint's minutes that cracking it takes."""

_KINDS = {
    Action.CRACK: ("joint",),
    Action.UNDO: ("joint",),
    Action.TAKE_OFF: ("part", "assembly"),
    Action.DO: ("job",),
}


def check_strip(
    vehicle: Vehicle,
    state: State,
    goal: Goal,
    plan: Plan,
    settings: PlanSettings = USUAL,
) -> tuple[Fault, ...]:
    """Give everything that is wrong with a plan of the strip, in the order of its steps."""
    replay = _Strip(vehicle, state, goal, plan, settings)
    replay.begin()
    for index, step in enumerate(plan.steps):
        replay.step(index, step)
    replay.end()
    return tuple(replay.faults)


def _named(vehicle: Vehicle, goal: Goal) -> Iterator[PartId]:
    for joint in vehicle.joints.values():
        yield from joint.parts
    for obstruction in vehicle.obstructions.values():
        yield from obstruction.any_of
    for assembly in vehicle.assemblies.values():
        yield from assembly.parts
    for each in (goal, *vehicle.goals.values()):
        yield from each.off


class _Strip:
    """What is off, undone and done so far, and the faults found."""

    def __init__(
        self, vehicle: Vehicle, state: State, goal: Goal, plan: Plan, settings: PlanSettings
    ) -> None:
        self.vehicle = vehicle
        self.state = state
        self.goal = goal
        self.plan = plan
        self.settings = settings
        self.faults: list[Fault] = []
        self.lifts = Lifts(vehicle)
        self.draining = Draining(vehicle, state)
        self.named = frozenset(_named(vehicle, goal))
        """Parts that somebody named, described or not."""
        self.ground = Ground(vehicle, state.standing.standing, plan)
        self.off: dict[PartId, AssemblyId | None] = {
            part: state.parts[part].whole for part in state.parts_off
        }
        """Parts that are off, and the whole that they went off with."""
        self.undone = set(state.undone_joints) | {
            joint for joint in vehicle.joints if not self._are_together(joint)
        }
        self.torn: set[JointId] = set()
        """Joints that were to be undone first, and were not."""
        self.done = still_done(vehicle, state)
        self.cracked = still_cracked(vehicle, state)
        at_start = [*map(part_ref, self.off), *map(joint_ref, self.undone)]
        self.cleared = dict.fromkeys([*at_start, *map(job_ref, self.done)], -1)
        """What is cleared, and by which step; -1 at the start."""
        self.at_start = frozenset(self.off)
        self.changes: list[int] = []
        """Steps before which the standing was changed."""
        self.index: int | None = None
        self.what = Ref("")

    def _fault(self, rule: StripRule, words: str) -> None:
        self.faults.append(Fault(rule, self.index, self.what, words))

    def _name(self, ref: Ref) -> str:
        kind, identity = split_ref(ref)
        if kind == "assembly" and identity in self.vehicle.assemblies:
            return self.vehicle.assemblies[AssemblyId(identity)].name
        return self.vehicle.name_of(ref)

    def _part(self, part: PartId) -> str:
        return self._name(part_ref(part))

    def _record(self, part: PartId) -> Part:
        """Give what is known of a part: nothing but its name, if nobody described it."""
        return self.vehicle.parts.get(part) or Part(part, part, ZoneId(""))

    # -- from the first step to the last ----------------------------------------------------

    def begin(self) -> None:
        """Look at where the plan starts."""
        for words in self.ground.start_faults(self.plan, self.off):
            self._fault(StripRule.ENTERING, words)

    def step(self, index: int, step: Step) -> None:
        """Do one step."""
        self.index, self.what = index, step.what
        change = self._stand(step)
        if not self._is_something_to_do(step):
            self._cost(step, step.minutes, change)
            return
        clears = self._clears(step)
        minutes = self._minutes(step, clears)
        match step.action:
            case Action.CRACK:
                self._crack(JointId(split_ref(step.what)[1]))
            case Action.UNDO:
                self._undo(JointId(split_ref(step.what)[1]))
            case Action.TAKE_OFF:
                self._take_off(step.what, [PartId(split_ref(ref)[1]) for ref in clears])
            case _:
                self._do(JobId(split_ref(step.what)[1]))
        self._cost(step, minutes, change)
        self._before(clears)
        for ref in clears:
            self.cleared[ref] = index

    def end(self) -> None:
        """Look at the whole."""
        self._in_the_air_or_unsteady()
        self.index, self.what = None, Ref(f"goal:{self.goal.id}")
        self._hanging()
        self._goal()
        for words in cost_faults(self.plan):
            self._fault(StripRule.COST, words)

    # -- what hangs and what stands (11, 12) ------------------------------------------------

    def _in_the_air_or_unsteady(self) -> None:
        air = air_faults(self.vehicle, self.state, self.goal, self.plan)
        steady = steady_faults(self.vehicle, self.state, self.plan, self.settings, Phase.STRIP)
        for rule, faults in ((StripRule.IN_THE_AIR, air), (StripRule.STANDS, steady)):
            for at, words in faults:
                self.index, self.what = at, self.plan.steps[at].what
                self._fault(rule, words)

    # -- once (1) ---------------------------------------------------------------------------

    def _is_something_to_do(self, step: Step) -> bool:
        """Whether the step names something that is there and still to be done."""
        kind, identity = split_ref(step.what)
        if kind not in _KINDS.get(step.action, ()):
            words = f'"{step.action}" is not done to a {kind} in the strip'
        elif not self._exists(step.what):
            words = f'the vehicle has no {kind} "{identity}"'
        elif kind == "job" and self.vehicle.jobs[JobId(identity)].phase is Phase.REBUILD:
            words = f"{self._name(step.what)} belongs to the rebuild"
        elif self._is_done(step):
            words = f"{step.action} {self._name(step.what)}: it is done already"
        else:
            return True
        self._fault(StripRule.ONCE, words)
        return False

    def _exists(self, ref: Ref) -> bool:
        kind, identity = split_ref(ref)
        match kind:
            case "part":
                return identity in self.vehicle.parts or identity in self.named
            case "joint":
                return identity in self.vehicle.joints
            case "assembly":
                return identity in self.vehicle.assemblies
            case _:
                return identity in self.vehicle.jobs

    def _is_done(self, step: Step) -> bool:
        kind, identity = split_ref(step.what)
        if kind == "assembly":
            return all(part in self.off for part in self._members(step.what))
        cracked = step.action is Action.CRACK and identity in self.cracked
        return cracked or step.what in self.cleared

    def _members(self, ref: Ref) -> tuple[PartId, ...]:
        """Give the parts of a unit, whether they are on or off."""
        kind, identity = split_ref(ref)
        if kind == "assembly":
            return self.vehicle.assemblies[AssemblyId(identity)].parts
        return (PartId(identity),)

    def _clears(self, step: Step) -> list[Ref]:
        """Name all that the step clears at once."""
        match step.action:
            case Action.CRACK:
                return []
            case Action.TAKE_OFF:
                members = self._members(step.what)
                return [part_ref(part) for part in members if part not in self.off]
            case _:
                return [step.what]

    # -- joints (2, 5, 7) -------------------------------------------------------------------

    def _undo(self, joint: JointId) -> None:
        record = self.vehicle.joints[joint]
        whole = self._whole_of(record.parts)
        if whole is not None:
            self._undo_on_the_bench(joint, whole)
        elif record.parts and all(part in self.off for part in record.parts):
            self._fault(StripRule.UNDO, f"all that {record.name} joined is off already")
        else:
            self._in_one_of(record.standings, StripRule.UNDO, record.name)
            self._way_is_clear(joint_ref(joint), StripRule.UNDO)
            for part in record.parts:
                if part not in self.off and self.ground.hides(part):
                    self._fault(StripRule.UNDER, f"a support hides the {self._part(part)}")
        self._is_cracked(joint)
        self.undone.add(joint)

    def _undo_on_the_bench(self, joint: JointId, whole: AssemblyId) -> None:
        for obstruction in self.vehicle.obstructions_of.get(joint_ref(joint), ()):
            held = [
                part
                for part in obstruction.any_of
                if self.off.get(part) == whole and self._is_held_inside(part, whole)
            ]
            if len(held) == len(obstruction.any_of):
                names = " and the ".join(map(self._part, held))
                self._fault(
                    StripRule.UNDO, f"the {names} is in the way on the bench: {obstruction.why}"
                )

    def _whole_of(self, parts: tuple[PartId, ...]) -> AssemblyId | None:
        """Name the whole that all these parts went off with, if there is one."""
        wholes = {self.off.get(part) for part in parts}
        return wholes.pop() if len(wholes) == 1 else None

    def _is_held_inside(self, part: PartId, whole: AssemblyId) -> bool:
        return any(
            self._holds(joint) and self._whole_of(self.vehicle.joints[joint].parts) == whole
            for joint in self.vehicle.joints_of.get(part, ())
        )

    def _are_together(self, joint: JointId) -> bool:
        """Whether two of its parts are both on, or both off with one whole."""
        parts = self.vehicle.joints[joint].parts
        sides = [self.off.get(part, _ON) for part in parts]
        known = [side for side in sides if side is not None]
        return len(parts) < 2 or len(set(known)) < len(known)

    def _holds(self, joint: JointId) -> bool:
        return joint not in self.undone and joint not in self.torn

    def _crack(self, joint: JointId) -> None:
        record = self.vehicle.joints[joint]
        if record.crack_in != self.ground.standing:
            self._fault(StripRule.CRACK_FIRST, f"{record.name} is not cracked in this standing")
        self.cracked.add(joint)

    def _is_cracked(self, joint: JointId) -> None:
        """Ask that it was cracked where it can be, if that still matters."""
        wanted = self.vehicle.joints[joint].crack_in
        seen = self.state.joints.get(joint)
        if (
            wanted in (None, self.ground.standing)
            or joint in self.cracked
            or (seen is not None and (seen.undone or seen.out))
        ):
            return
        record = self.vehicle.standings.get(wanted) if wanted else None
        lost = {each.bears_on for each in record.supports if not each.beside} if record else set()
        if record and not record.wrong and not lost & self.at_start:
            name = self.vehicle.joints[joint].name
            self._fault(StripRule.CRACK_FIRST, f"{name} was not cracked {record.name}")

    def _cracked_by(self, job: JobId) -> tuple[JointId, ...]:
        record = self.vehicle.jobs.get(job)
        return record.joints if record and record.kind is JobKind.CRACK else ()

    # -- parts and jobs (2, 3, 5, 10) -------------------------------------------------------

    def _take_off(self, unit: Ref, parts: list[PartId]) -> None:
        if split_ref(unit)[0] == "assembly":
            off = [part for part in self._members(unit) if part in self.off]
            apart = [part for part in off if part not in self.at_start]
            if apart:
                names = " and the ".join(map(self._part, apart))
                self._fault(StripRule.TAKE_OFF, f"it is no longer whole: the {names} came off")
            if len(parts) < 2:
                self._fault(StripRule.TAKE_OFF, "what is left of it is a single part")
        for part in parts:
            self._still_holds(part, parts)
            self._way_is_clear(part_ref(part), StripRule.TAKE_OFF, parts)
            away, loose = {*parts, *self.off}, self.undone | self.torn
            for words in still_threaded(self.vehicle, part, away, loose):
                self._fault(StripRule.TAKE_OFF, words)
            self._in_one_of(self._record(part).standings, StripRule.TAKE_OFF, self._part(part))
            if self.ground.carries(part):
                self._fault(StripRule.UNDER, f"the vehicle stands on the {self._part(part)}")
            if self.ground.hides(part):
                self._fault(StripRule.UNDER, f"a support hides the {self._part(part)}")
            if part in self.goal.on or part == self.goal.datum:
                self._fault(StripRule.GOAL, f"the {self._part(part)} is to stay on")
        whole = AssemblyId(split_ref(unit)[1]) if len(parts) > 1 else None
        self.off.update(dict.fromkeys(parts, whole))

    def _still_holds(self, part: PartId, unit: list[PartId]) -> None:
        for joint in self.vehicle.joints_of.get(part, ()):
            others = [
                each
                for each in self.vehicle.joints[joint].parts
                if each not in unit and each not in self.off
            ]
            if others and self._holds(joint):
                self.torn.add(joint)
                name = self.vehicle.joints[joint].name
                self._fault(
                    StripRule.TAKE_OFF,
                    f"{name} still holds the {self._part(part)} to the {self._part(others[0])}",
                )

    def _way_is_clear(self, ref: Ref, rule: StripRule, unit: list[PartId] | None = None) -> None:
        for obstruction in self.vehicle.obstructions_of.get(ref, ()):
            if not any(part in self.off or part in (unit or ()) for part in obstruction.any_of):
                names = " or the ".join(map(self._part, obstruction.any_of))
                self._fault(rule, f"the {names} is in the way: {obstruction.why}")

    def _do(self, job: JobId) -> None:
        record = self.vehicle.jobs[job]
        self._in_one_of(record.standings, StripRule.UNDO, record.name)
        self.done.add(job)
        for joint in self._cracked_by(job):
            if self.vehicle.joints[joint].crack_in in (None, self.ground.standing):
                self.cracked.add(joint)

    # -- order (4, 8, 9, 10) ----------------------------------------------------------------

    def _before(self, clears: list[Ref]) -> None:
        for fact in self.vehicle.befores.values():
            late = fact.then in clears and fact.first not in self.cleared
            if late and fact.phase is not Phase.REBUILD:
                first, then = self._name(fact.first), self._name(fact.then)
                self._fault(StripRule.BEFORE, f"{first} comes before {then}: {fact.why}")
        for words in self.draining.faults(clears, self.cleared, self.ground, self.off):
            self._fault(StripRule.BEFORE, words)

    def _hanging(self) -> None:
        spans = [
            (support.first, support.last, f"a {support.kind} bears")
            for support in self.vehicle.temporary_supports.values()
        ]
        for job in self.vehicle.jobs.values():
            if job.same_sitting_as is not None:
                one, other = job_ref(job.id), job_ref(job.same_sitting_as)
                words = "the two are done in one sitting"
                spans += [(one, other, words), (other, one, words)]
        for first, last, words in spans:
            begun, ended = self.cleared.get(first, -1), self.cleared.get(last, -1)
            if begun >= 0 and any(begun < change <= ended for change in self.changes):
                self._fault(
                    StripRule.HANGING,
                    f"the standing changes between {self._name(first)} and "
                    f"{self._name(last)}, while {words}",
                )

    def _goal(self) -> None:
        goal = self.goal
        if self.plan.goal not in (None, goal.id):
            self._fault(StripRule.GOAL, f'this is a plan for "{self.plan.goal}"')
        wanted = set(goal.off)
        if goal.off_rest:
            wanted |= set(self.vehicle.parts) - set(goal.on) - {goal.datum}
        for part in sorted(wanted - set(self.off)):
            self._fault(StripRule.GOAL, f"the {self._part(part)} is still on")
        for job in goal.jobs:
            if job not in self.done:
                self._fault(StripRule.GOAL, f"{self._name(job_ref(job))} is not done")
        for joint in self.vehicle.joints.values():
            if self._holds(joint.id) and len({part in self.off for part in joint.parts}) == 2:
                off = next(part for part in joint.parts if part in self.off)
                self._fault(
                    StripRule.GOAL, f"{joint.name} still ties the {self._part(off)}, which is off"
                )

    # -- standing and cost (6, 9) -----------------------------------------------------------

    def _stand(self, step: Step) -> float | None:
        before = self.ground.standing
        minutes, faults = self.ground.change(step, self.off)
        if self.ground.standing != before and self.index is not None:
            self.changes.append(self.index)
        for words in faults:
            self._fault(StripRule.ENTERING, words)
        return minutes

    def _in_one_of(self, standings: tuple[str, ...], rule: StripRule, name: str) -> None:
        if standings and self.ground.standing not in standings:
            self._fault(rule, f"{name} cannot be reached in this standing")

    def _minutes(self, step: Step, clears: list[Ref]) -> float:
        """Work out what the step takes [min], and whether it is too late for it."""
        factors = []
        jobs = {step.what, *clears}
        for fact in self.vehicle.harder_afters.values():
            if fact.job in jobs and fact.after in self.cleared:
                factors.append(1.0 if fact.factor is None else fact.factor)
                if fact.factor is None and clears:
                    self._fault(
                        StripRule.HARDER,
                        f"{self._name(fact.job)} cannot be done any more after "
                        f"{self._name(fact.after)}: {fact.why}",
                    )
        return self._likely(step) * prod(factors)

    def _likely(self, step: Step) -> float:
        kind, identity = split_ref(step.what)
        match kind:
            case "joint":
                likely = self.vehicle.joints[JointId(identity)].minutes.likely
                if step.action is Action.CRACK:
                    return likely * CRACK_SHARE
                return likely * (1 - CRACK_SHARE if identity in self.cracked else 1)
            case "part":
                return self._record(PartId(identity)).minutes.likely
            case "assembly":
                return self.vehicle.assemblies[AssemblyId(identity)].minutes.likely
            case _:
                return self.vehicle.jobs[JobId(identity)].minutes.likely

    def _place(self, ref: Ref) -> Place:
        """Say where a thing is worked on, with what, and by how many."""
        kind, identity = split_ref(ref)
        if kind == "joint":
            joint = self.vehicle.joints[JointId(identity)]
            return Place(self.vehicle.zone_of(joint), joint.tool, joint.crew)
        if kind == "job":
            job = self.vehicle.jobs[JobId(identity)]
            return Place(job.zone, job.tool, job.crew)
        parts = self._members(ref)
        first = self._record(parts[0])
        lifted = self.vehicle.assemblies[AssemblyId(identity)] if kind == "assembly" else first
        crew = self.lifts.crew(
            lifted.crew, [p for p in parts if p not in self.at_start], lifted.hoist
        )
        return Place(first.zone or None, "", crew)

    def _cost(self, step: Step, minutes: float, change: float | None) -> None:
        place = self._place(step.what) if self._exists(step.what) else Place.said_by(step)
        for words in place.faults(step):
            self._fault(StripRule.COST, words)
        setup = self.ground.place(place, self.settings)
        if not same_minutes(step.minutes, minutes):
            self._fault(StripRule.COST, f"takes {minutes:g} minutes, not {step.minutes:g}")
        if change is not None and not same_minutes(step.setup_minutes, change + setup):
            self._fault(
                StripRule.COST,
                f"takes {change + setup:g} minutes to get to, not {step.setup_minutes:g}",
            )
