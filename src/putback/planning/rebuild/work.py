"""What has to be done to put everything back; in which order is another question.

Everything here follows from vehicle and state alone, by rules 1, 2, 7, 8 and 9 of the rebuild in
``docs/planning-rules.md``. A `Node` is one step to be; `Work` holds them all.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from putback.logbook.state import State
from putback.planning.crew import Crews
from putback.planning.plan import Action, Waiting
from putback.planning.rebuild.preparing import Call
from putback.vehicle.circuit import circuit_joints
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    assembly_ref,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen, Joint
from putback.vehicle.loose import Loose, what_is_loose
from putback.vehicle.part import Part, PartKind
from putback.vehicle.vehicle import Vehicle

CARRIED = frozenset({FinalWhen.LADEN, FinalWhen.ON_WHEELS})
"""Finished with the weight on the wheels."""
AFTER_RUN = frozenset({FinalWhen.RENIPPED_HOT, FinalWhen.AFTER_FIRST_RUN})
FINISHING = frozenset({JobKind.TIGHTEN, JobKind.SET})
"""Jobs that finish the joints they name."""


class Node(NamedTuple):
    """One step to be: what is done to what."""

    action: Action
    what: Ref


def do(job: JobId) -> Node:
    """The node of a declared job."""
    return Node(Action.DO, job_ref(job))


@dataclass(frozen=True)
class Work:
    """All that has to be done.

    ``parts`` and ``joints`` are the described ones and blank records for what only the logbook
    knows, so that nothing that came off can be forgotten.
    """

    vehicle: Vehicle
    state: State
    parts: Mapping[PartId, Part]
    joints: Mapping[JointId, Joint]
    off: frozenset[PartId]
    """Off at the start, whether or not they go back."""
    back: tuple[PartId, ...]
    """Those that go back on."""
    wholes: Mapping[AssemblyId, tuple[PartId, ...]]
    open: frozenset[JointId]
    """Joints that do not hold at the start, whether or not they can be made."""
    make: frozenset[JointId]
    tighten: frozenset[JointId]
    finish: frozenset[JointId]
    """Joints with a finish step of their own."""
    finished_by: Mapping[JointId, JobId]
    """Joints that wait, and the declared job that finishes them."""
    after_run: Mapping[JointId, JobId]
    """Joints that wait for a run, and which."""
    check: frozenset[JointId]
    checked_by: Mapping[JointId, tuple[JobId, ...]]
    jobs: tuple[JobId, ...]
    fills: Mapping[FluidId, tuple[Node, ...]]
    bleeds: Mapping[FluidId, tuple[Node, ...]]
    bench_bleeds: frozenset[JobId]
    """Bleed jobs done before the circuit is closed."""
    calls: Mapping[Ref, Call]
    """What has to be made ready before it goes back."""
    hoses: frozenset[PartId]
    """Hoses to look at with the suspension at its ends."""
    waiting: tuple[Waiting, ...]

    @cached_property
    def loose(self) -> Loose:
        """What carries nothing."""
        return what_is_loose(self.parts.values(), self.joints.values(), self.vehicle.borne)

    @cached_property
    def crews(self) -> Crews:
        """How many lift what goes on."""
        return Crews(self.vehicle)

    @cached_property
    def nodes(self) -> tuple[Node, ...]:
        """Every step to be, in no order."""
        units = dict.fromkeys(self.unit_of[part] for part in self.back)
        found = [Node(Action.PUT_ON, unit) for unit in units]
        for joint in self.joints:
            for action, these in (
                (Action.MAKE, self.make),
                (Action.TIGHTEN, self.tighten),
                (Action.FINISH, self.finish),
                (Action.CHECK, self.check),
            ):
                if joint in these:
                    found.append(Node(action, joint_ref(joint)))
        found += [Node(Action.PREPARE, ref) for ref in self.calls]
        found += [Node(Action.CHECK, part_ref(part)) for part in sorted(self.hoses)]
        found += [do(job) for job in self.jobs]
        liquids = (*self.fills.values(), *self.bleeds.values())
        found += [node for nodes in liquids for node in nodes if node.action is not Action.DO]
        return tuple(found)

    @cached_property
    def unit_of(self) -> Mapping[PartId, Ref]:
        """As what each part goes back on: by itself, or with its whole."""
        units = {part: part_ref(part) for part in self.back}
        for assembly, parts in self.wholes.items():
            units |= dict.fromkeys(parts, assembly_ref(assembly))
        return units

    def unit_parts(self, unit: Ref) -> tuple[PartId, ...]:
        """The parts that a unit puts on."""
        kind, identity = split_ref(unit)
        if kind == "assembly":
            return self.wholes[AssemblyId(identity)]
        return (PartId(identity),)

    def put_on(self, part: PartId) -> Node | None:
        """The node that puts a part on; none if it is on already, or waits."""
        return self._putting_on.get(part)

    @cached_property
    def _putting_on(self) -> Mapping[PartId, Node]:
        return {part: Node(Action.PUT_ON, unit) for part, unit in self.unit_of.items()}

    def whole_of(self, joint: JointId) -> Ref | None:
        """The whole inside which a joint lies: it is made on the bench."""
        units = {self.unit_of.get(part) for part in self.joints[joint].parts}
        unit = units.pop() if len(units) == 1 else None
        return unit if unit is not None and split_ref(unit)[0] == "assembly" else None

    def begin(self, ref: Ref) -> Node | None:
        """The node with which a thing is begun; none if that is behind us."""
        kind, identity = split_ref(ref)
        joint = JointId(identity)
        if kind == "joint" and joint in self.make:
            return Node(Action.MAKE, ref)
        return self.done(ref)

    def done(self, ref: Ref) -> Node | None:
        """The node with which a thing is done; none if that is behind us."""
        kind, identity = split_ref(ref)
        match kind:
            case "joint":
                return Node(Action.TIGHTEN, ref) if identity in self.tighten else None
            case "part":
                return self.put_on(PartId(identity))
            case "job":
                return do(JobId(identity)) if identity in self.jobs else None
            case _:
                return None

    def finished(self, joint: JointId) -> Node | None:
        """The node after which a joint is as it shall be."""
        if joint in self.finished_by:
            return do(self.finished_by[joint])
        if joint in self.finish:
            return Node(Action.FINISH, joint_ref(joint))
        return self.done(joint_ref(joint))

    def jobs_of(self, *kinds: JobKind) -> Iterator[Job]:
        """The planned jobs of some kinds."""
        for job in self.jobs:
            if self.vehicle.jobs[job].kind in kinds:
                yield self.vehicle.jobs[job]

    def fluid_joints(self, fluid: FluidId) -> tuple[JointId, ...]:
        """The joints that open a circuit."""
        return circuit_joints(self.vehicle, fluid)

    def name(self, ref: Ref) -> str:
        """Say what a reference stands for, in a person's words."""
        return self.state.name_of(ref)


def carrying(vehicle: Vehicle) -> tuple[StandingId, ...]:
    """The standings in which the vehicle stands on its wheels and on nothing else."""
    wheels = {part.id for part in vehicle.parts.values() if part.kind is PartKind.WHEEL}
    found = []
    for standing in vehicle.standings.values():
        bearing = {each.bears_on for each in standing.supports if not each.beside}
        if bearing and bearing <= wheels and not standing.wrong:
            found.append(standing.id)
    return tuple(found)
