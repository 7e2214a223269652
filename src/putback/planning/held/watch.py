"""What the guard looks at that does not change while a set of nodes is put in order.

Joints and parts by numbers, which node touches what, the temporary supports, fluids and feet.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from putback.logbook.fluids import pours_of
from putback.planning.held.holding import Links
from putback.planning.posing.problem import Kind, Problem
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    JobId,
    JointId,
    Ref,
    StandingId,
    joint_ref,
    split_ref,
)


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


@dataclass(frozen=True, slots=True)
class LeftHere:
    """What a standing does not let one do to what came away: it stays, or stays tied, there.

    ``stuck`` are parts that only nodes of other standings take off; ``tied`` has for parts,
    ``on_ends``, the loose joints that are undone in other standings only, each with its node.
    """

    stuck: frozenset[int]
    on_ends: frozenset[int]
    tied: Mapping[int, tuple[tuple[int, int], ...]]


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
        self.off_with = {
            index: problem.nodes[index].parts
            for index in wanted
            if problem.nodes[index].kind in (Kind.PART, Kind.WHOLE)
        }
        """The parts that a node takes off."""
        self.taken_off_by: dict[int, list[int]] = {}
        """The nodes that take a part off."""
        for index, parts in self.off_with.items():
            for part in links.numbers(parts):
                self.taken_off_by.setdefault(part, []).append(index)
        self.undone_by = {joint: index for index, joint in self.joint_of.items()}
        self.bearings = tuple(_bearings(problem, links))
        self.begins = frozenset(i for each in self.bearings for i in each.first)
        self.turning = self.begins | {i for each in self.bearings for i in each.last}
        self.put_off = frozenset(
            i for i in wanted if not problem.put_off.isdisjoint(problem.nodes[i].clears)
        )
        self.poise = problem.poise
        self.jointed = frozenset(part for j in vehicle.joints.values() for part in j.parts)
        drains = pours_of(vehicle).drains
        self.drains = {
            index: drains[job]
            for index in wanted
            if self.nodes[index].kind is Kind.JOB
            and (job := JobId(split_ref(self.nodes[index].what)[1])) in drains
        }
        """The fluids that a job lets out."""
        poise = self.poise
        self.burdens = {
            index: poise.burden(self.off_with.get(index, ()), self.drains.get(index, ()))
            for index in {**self.off_with, **self.drains}
            if poise is not None
        }
        """What goes off or out with a node."""
        self.weighty = frozenset(
            (
                *self.burdens,
                *(index for index, joint in self.joint_of.items() if not links.is_loose[joint]),
            )
        )
        """The nodes that can let something go, or tip something."""
        self._left_here: dict[StandingId | None, LeftHere] = {}
        self.feet = {
            standing.id: tuple(
                dict.fromkeys(each.bears_on for each in standing.supports if not each.beside)
            )
            for standing in vehicle.standings.values()
        }

    def left_here(self, standing: StandingId | None) -> LeftHere:
        """Tell what cannot be taken off, or parted from a run, as the vehicle stands."""
        found = self._left_here.get(standing)
        if found is None:
            found = self._left_here[standing] = self._find_left(standing)
        return found

    def _find_left(self, standing: StandingId | None) -> LeftHere:
        def is_left(index: int) -> bool:
            return not self.nodes[index].allows(standing)

        stuck = (part for part, by in self.taken_off_by.items() if all(map(is_left, by)))
        tied: dict[int, tuple[tuple[int, int], ...]] = {}
        for part in self.links.on_runs:
            ends = (
                (joint, self.undone_by[joint])
                for joint in self.links.loose_of[part]
                if joint in self.undone_by and is_left(self.undone_by[joint])
            )
            if found := tuple(ends):
                tied[part] = found
        return LeftHere(frozenset(stuck), frozenset(tied), tied)


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
