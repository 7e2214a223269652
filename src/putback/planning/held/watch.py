"""What the guard looks at that does not change while a set of nodes is put in order.

Joints and parts by numbers, which node touches what, the temporary supports, fluids and feet.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from putback.planning.held.holding import Links
from putback.planning.posing.problem import Kind, Problem
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    FluidId,
    JobId,
    JointId,
    PartId,
    Ref,
    joint_ref,
    split_ref,
)
from putback.vehicle.job import JobKind
from putback.vehicle.masses import Hefts


@dataclass(frozen=True, slots=True)
class Bearing:
    """A temporary support: the part it bears on, and the nodes from which and until which."""

    part: int
    first: frozenset[int]
    last: frozenset[int]
    begun: bool
    ended: bool

    def bears(self, done: Collection[int]) -> bool:
        """Whether it bears when these nodes are done."""
        begun = self.begun or not self.first.isdisjoint(done)
        return begun and not self.ended and self.last.isdisjoint(done)


class Watch:
    """What the guard looks at, that does not change while a set of nodes is put in order."""

    def __init__(self, problem: Problem, wanted: Collection[int]) -> None:
        """Read the joints that are made at the start, and which nodes touch what."""
        vehicle = problem.vehicle
        made = [joint for joint in vehicle.joints if joint_ref(joint) in problem.providers]
        self.links = links = Links(vehicle, made, problem.parts_off)
        self.joint_of: dict[int, int] = {}
        """The joint that a node undoes on the vehicle."""
        for index in wanted:
            node = problem.nodes[index]
            if node.kind is Kind.UNDO:
                self.joint_of[index] = links.joint_at[JointId(split_ref(node.what)[1])]
        self.nodes = problem.nodes
        self.taken_off_by: dict[int, list[int]] = {}
        """The nodes that take a part off."""
        for index in wanted:
            if problem.nodes[index].kind in (Kind.PART, Kind.WHOLE):
                for part in links.numbers(problem.nodes[index].parts):
                    self.taken_off_by.setdefault(part, []).append(index)
        self.undone_by = {joint: index for index, joint in self.joint_of.items()}
        self.bearings = tuple(_bearings(problem, links))
        self.begins = frozenset(i for each in self.bearings for i in each.first)
        self.turning = self.begins | {i for each in self.bearings for i in each.last}
        self.put_off = frozenset(
            i for i in wanted if not problem.put_off.isdisjoint(problem.nodes[i].clears)
        )
        self.poise = problem.poise
        self.hefts = problem.poise.hefts if problem.poise is not None else Hefts({}, {})
        self.fluids_in: dict[PartId, list[FluidId]] = {}
        for fluid in vehicle.fluids.values():
            self.fluids_in.setdefault(fluid.part, []).append(fluid.id)
        self.jointed = frozenset(part for j in vehicle.joints.values() for part in j.parts)
        self.drains = {
            index: fluids for index in wanted if (fluids := tuple(_drained_by(problem, index)))
        }
        self.feet = {
            standing.id: tuple(
                dict.fromkeys(each.bears_on for each in standing.supports if not each.beside)
            )
            for standing in vehicle.standings.values()
        }


def _bearings(problem: Problem, links: Links) -> Iterator[Bearing]:
    for support in problem.vehicle.temporary_supports.values():
        part = links.part_at.get(support.bears_on)
        if part is not None:
            first, last = (
                frozenset(problem.providers.get(ref, ())) for ref in (support.first, support.last)
            )
            begun, ended = (is_cleared(problem, ref) for ref in (support.first, support.last))
            yield Bearing(part, first, last, begun, ended)


def is_cleared(problem: Problem, ref: Ref) -> bool:
    """Whether a thing was done before the problem was posed."""
    kind, identity = split_ref(ref)
    match kind:
        case "part":
            return identity in problem.parts_off
        case "joint":
            return identity in problem.vehicle.joints and ref not in problem.providers
        case _:
            job = problem.vehicle.jobs.get(JobId(identity))
            return (
                job is not None
                and job.phase is not Phase.REBUILD
                and not problem.providers.get(ref)
            )


def _drained_by(problem: Problem, index: int) -> Iterator[FluidId]:
    """The fluids that a job lets out."""
    node = problem.nodes[index]
    if node.kind is Kind.JOB:
        job = problem.vehicle.jobs[JobId(split_ref(node.what)[1])]
        for fluid in problem.vehicle.fluids.values():
            own = job.kind is JobKind.DRAIN and job.fluid == fluid.id
            if own or fluid.drained_by == job.id:
                yield fluid.id
