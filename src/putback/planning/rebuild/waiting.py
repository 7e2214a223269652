"""What waits for a part that is gone and has no successor in sight, near and far.

A lost bracket holds up what hangs on it, and a lost pipe holds up the body that the facts put
after the pipe. Saying so is better than planning what cannot be done.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from putback.logbook.entries.judging import Choice
from putback.logbook.state import PartState, State
from putback.planning.known import with_why
from putback.planning.plan import Waiting
from putback.vehicle.circuit import circuit_joints
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    FluidId,
    JobId,
    JointId,
    PartId,
    Ref,
    fluid_ref,
    job_ref,
    joint_ref,
    part_ref,
)
from putback.vehicle.job import JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.usual_cautions import is_of_brakes, opens_brakes
from putback.vehicle.vehicle import Vehicle

PREPARING = frozenset({JobKind.PREPARE, JobKind.PROVE, JobKind.REPAIR})
"""Jobs done before what they name goes back."""


@dataclass(frozen=True, slots=True)
class Held:
    """What cannot be planned, and why."""

    waiting: tuple[Waiting, ...]
    parts: frozenset[PartId]
    joints: frozenset[JointId]
    jobs: frozenset[JobId]
    fluids: frozenset[FluidId]


def is_renewed(part: PartState) -> bool:
    """Whether a new one is there, on its way, or to be made."""
    common = part.common
    wanted = common.choice in (Choice.REPLACE, Choice.MAKE)
    return part.renewed or wanted or bool(common.arrived or common.ordered)


def spread(
    vehicle: Vehicle,
    state: State,
    off: frozenset[PartId] | set[PartId],
    joints: Mapping[JointId, Joint],
) -> Held:
    """Follow from what is gone to all that waits for it."""
    spreading = _Spreading(vehicle, state, off, joints)
    spreading.run()
    whys = spreading.whys
    of = {
        kind: [ref.partition(":")[2] for ref in whys if ref.startswith(f"{kind}:")]
        for kind in ("part", "joint", "job", "fluid")
    }
    return Held(
        tuple(Waiting(ref, why) for ref, why in whys.items()),
        frozenset(map(PartId, of["part"])),
        frozenset(map(JointId, of["joint"])),
        frozenset(map(JobId, of["job"])),
        frozenset(map(FluidId, of["fluid"])),
    )


class _Spreading:
    def __init__(
        self,
        vehicle: Vehicle,
        state: State,
        off: frozenset[PartId] | set[PartId],
        joints: Mapping[JointId, Joint],
    ) -> None:
        self.vehicle = vehicle
        self.state = state
        self.off = off
        self.joints = joints
        self.whys: dict[Ref, str] = {}
        for part, each in state.parts.items():
            if each.gone and not is_renewed(each):
                self.whys[part_ref(part)] = f"{each.gone}, and no new one is in sight"

    def run(self) -> None:
        """Go round until nothing more waits."""
        before = -1
        while self.whys and len(self.whys) != before:
            before = len(self.whys)
            self._joints()
            self._parts_in_the_air()
            self._facts()
            self._fluids()

    def _add(self, refs: Iterable[Ref], why: str) -> None:
        for ref in refs:
            self.whys.setdefault(ref, why)

    def _name(self, ref: Ref) -> str:
        return self.state.name_of(ref)

    def _joints(self) -> None:
        for joint in self.joints.values():
            for part in map(part_ref, joint.parts):
                if part in self.whys:
                    self._add([joint_ref(joint.id)], f"the {self._name(part)} waits")

    def _parts_in_the_air(self) -> None:
        """Parts that no joint could hold to anything that is on."""
        neighbours: dict[PartId, list[PartId]] = {}
        groups: dict[PartId, list[PartId]] = {}
        for joint in self.joints.values():
            for part in joint.parts:
                groups.setdefault(part, []).extend(joint.parts)
                if joint_ref(joint.id) not in self.whys:
                    neighbours.setdefault(part, []).extend(joint.parts)
        datums = {goal.datum for goal in self.vehicle.goals.values()}
        roots = [part for part in groups if part not in self.off or part in datums]
        grouped = _reached(roots, groups)
        held = _reached([p for p in roots if part_ref(p) not in self.whys], neighbours)
        for part in groups:
            if part in self.off and part in grouped and part not in held:
                self._add([part_ref(part)], "what it hangs on waits")

    def _facts(self) -> None:
        for fact in self.vehicle.befores.values():
            if (
                fact.phase is not Phase.STRIP
                and fact.first in self.whys
                and self._is_due(fact.then)
            ):
                words = with_why(f"the {self._name(fact.first)} comes first", fact.why)
                self._add([fact.then], words)
        for job in self.vehicle.jobs.values():
            if job.kind in PREPARING and job_ref(job.id) in self.whys:
                named = (*map(joint_ref, job.joints), *map(part_ref, job.parts))
                self._add(filter(self._is_due, named), f"{job.name} comes first")

    def _is_due(self, ref: Ref) -> bool:
        """Whether it is still to be done."""
        kind, _, identity = ref.partition(":")
        match kind:
            case "part":
                return PartId(identity) in self.off
            case "joint":
                parts = self.joints[JointId(identity)].parts if identity in self.joints else ()
                seen = self.state.joints.get(JointId(identity))
                return any(part in self.off for part in parts) or bool(seen and seen.out)
            case _:
                return JobId(identity) not in self.state.jobs_done

    def _fluids(self) -> None:
        for fluid in self.vehicle.fluids:
            circuit = tuple(map(joint_ref, circuit_joints(self.vehicle, fluid)))
            if not circuit and is_of_brakes(self.vehicle.fluids[fluid]):
                things = (ref for ref in self.whys if ref.startswith(("part:", "joint:")))
                circuit = tuple(ref for ref in things if opens_brakes(self._name(ref)))
            for ref in circuit:
                if ref in self.whys:
                    self._add([fluid_ref(fluid)], f"the {self._name(ref)} waits")
        dry = [ref for ref in self.whys if ref.startswith("fluid:")]
        for job in self.vehicle.jobs.values():
            if job.phase is Phase.STRIP or job.id in self.state.jobs_done or not dry:
                continue
            if job.kind in (JobKind.FILL, JobKind.BLEED):
                if job.fluid and fluid_ref(job.fluid) in dry:
                    self._add([job_ref(job.id)], "its fluid waits")
            elif job.kind is JobKind.RUN:
                self._add([job_ref(job.id)], f"the {self._name(dry[0])} waits")


def _reached(
    start: Iterable[PartId], neighbours: Mapping[PartId, Iterable[PartId]]
) -> set[PartId]:
    """All parts that joints connect with those at the start."""
    found = set(start)
    todo = list(found)
    while todo:
        for part in neighbours.get(todo.pop(), ()):
            if part not in found:
                found.add(part)
                todo.append(part)
    return found
