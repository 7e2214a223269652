"""The nodes of a problem: all that can still be done with a vehicle, and in which ways.

What the state shows as cleared becomes no node. A joint inside an assembly has two: undone on the
vehicle, or on the bench once the whole is out.
"""

from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import cached_property
from types import MappingProxyType

from putback.planning.crew import Crews
from putback.planning.known import Known, cracked_by
from putback.planning.posing.problem import CRACK_SHARE, Kind, Node
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    JointId,
    PartId,
    Ref,
    StandingId,
    ZoneId,
    assembly_ref,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import Job
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part


class Nodes:
    """All nodes, without what each asks for, and where to find them."""

    def __init__(self, known: Known, kept: frozenset[PartId]) -> None:
        """Make a node of everything; taking off what is ``kept`` can then never be done."""
        self.known = known
        self.kept = kept
        self.crews = Crews(known.vehicle)
        self.all: list[Node] = []
        self.providers: dict[Ref, list[int]] = {part_ref(part): [] for part in known.parts}
        self.stands: dict[StandingId, int] = {}
        """The nodes that stand for standings to enter."""
        self.parted: dict[tuple[Ref, PartId], int] = {}
        """The nodes that stand for a part being parted from its whole."""
        self.taking: dict[Ref, int] = {}
        """The node that takes a unit off."""
        vehicle = known.vehicle
        for job in vehicle.jobs.values():
            if job.phase is not Phase.REBUILD and job.id not in known.done:
                self._add_job(job)
        for joint in known.made:
            self._add_joint(vehicle.joints[joint])
        for part in known.parts:
            self._add_part(part)
        for whole in vehicle.assemblies.values():
            self._add_whole(whole)
        for gone in sorted({w for p in known.off if (w := known.state.parts[p].whole)}):
            self._add_parted(assembly_ref(gone), known.gone_with(gone), Node(Kind.PARTED, Ref("")))
        for standing in known.usable:
            if standing != known.start:
                node = Node(Kind.STANDING, Ref(f"standing:{standing}"))
                self.stands[standing] = self._add(node)

    def by(self, ref: Ref) -> tuple[int, ...]:
        """The nodes that clear a thing."""
        return tuple(self.providers.get(ref, ()))

    def speaking_of(self, job: Ref) -> tuple[int, ...]:
        """The nodes whose minutes a harder-after fact speaks of (9)."""
        if split_ref(job)[0] == "assembly":
            return (self.taking[job],) if job in self.taking else ()
        return self.by(job)

    @cached_property
    def cracking(self) -> Mapping[Ref, tuple[int, ...]]:
        """The declared jobs that crack a joint; one that is cracked already gains nothing."""
        found: dict[Ref, tuple[int, ...]] = {}
        for job in self.known.vehicle.jobs.values():
            for joint in map(joint_ref, cracked_by(job)):
                if joint not in self.known.cracked:
                    found[joint] = found.get(joint, ()) + self.by(job_ref(job.id))
        return MappingProxyType({joint: jobs for joint, jobs in found.items() if jobs})

    @cached_property
    def benching(self) -> Mapping[int, frozenset[Ref]]:
        """For a joint undone on the vehicle: the units that would take all its parts away (2)."""
        return MappingProxyType(
            {
                index: frozenset(
                    unit.unit
                    for part in on
                    for by in self.by(part_ref(part))
                    if (unit := self.all[by]).unit is not None and on <= unit.parts
                )
                for index, node in enumerate(self.all)
                if node.kind is Kind.UNDO
                and (on := self.known.on_of(JointId(split_ref(node.what)[1])))
            }
        )

    def _add(self, node: Node) -> int:
        index = len(self.all)
        self.all.append(node)
        for ref in node.clears:
            self.providers.setdefault(ref, []).append(index)
        if node.kind in (Kind.PART, Kind.WHOLE):
            self.taking[node.what] = index
        return index

    def _add_job(self, job: Job) -> None:
        what = job_ref(job.id)
        self._add(
            Node(
                Kind.JOB,
                what,
                clears=(what,),
                minutes=job.minutes.likely * self.known.factor({what}),
                standings=self.known.allowed([job.standings]),
                zone=job.zone,
                tool=job.tool,
                crew=job.crew,
            )
        )

    def _add_joint(self, joint: Joint) -> None:
        what = joint_ref(joint.id)
        on = self.known.on_of(joint.id)
        left = 1 - CRACK_SHARE if what in self.known.cracked else 1.0
        on_the_vehicle = bool(on or not joint.parts)
        if not on_the_vehicle and not self.known.went_together(joint.parts):
            self.providers[what] = []  # half of what it joins is elsewhere
            return
        standings = self.known.allowed([joint.standings], hidden=on)
        self._add(
            Node(
                Kind.UNDO if on_the_vehicle else Kind.BENCH,
                what,
                clears=(what,),
                minutes=joint.minutes.likely * self.known.factor({what}) * left,
                standings=standings if on_the_vehicle else self.known.allowed([]),
                zone=self.known.vehicle.zone_of(joint),
                tool=joint.tool,
                crew=joint.crew,
                crack_in=self.known.to_crack_in(joint),
            )
        )

    def _add_part(self, part: PartId) -> None:
        what = part_ref(part)
        record = self._record(part)
        only = frozenset({part})
        self._add(
            Node(
                Kind.PART,
                what,
                clears=(what,),
                minutes=record.minutes.likely * self.known.factor({what}),
                standings=self.known.allowed([record.standings], hidden=only, borne=only),
                zone=record.zone,
                crew=self.crews.of(record.crew, only),
                parts=only,
                unit=what,
            )
        )

    def _record(self, part: PartId) -> Part:
        """Its description, or a blank one where somebody only named it."""
        return self.known.vehicle.parts.get(part) or Part(part, part, ZoneId(""))

    def _add_whole(self, whole: Assembly) -> None:
        known = self.known
        what = assembly_ref(whole.id)
        left = [part for part in whole.parts if part not in known.off]
        parts = frozenset(left)
        if len(parts) < 2:
            return
        clears = tuple(map(part_ref, left))
        named = [self._record(part).standings for part in left]
        self._add(
            Node(
                Kind.WHOLE,
                what,
                clears=clears,
                minutes=whole.minutes.likely * known.factor({what, *clears}),
                standings=known.allowed(named, hidden=parts, borne=parts),
                zone=self._record(whole.parts[0]).zone,
                crew=self.crews.of(whole.crew, parts, whole.hoist),
                parts=parts,
                unit=what,
            )
        )
        for joint in known.inner(parts):
            undone = self.all[self.providers[joint_ref(joint)][0]]
            bench = replace(undone, kind=Kind.BENCH, standings=known.allowed([]))
            self._add(replace(bench, parts=parts, unit=what))
        self._add_parted(what, parts, Node(Kind.PARTED, what, parts=parts, unit=what))

    def _add_parted(self, whole: Ref, parts: Collection[PartId], blank: Node) -> None:
        for part in sorted(parts):
            self.parted[whole, part] = self._add(replace(blank, what=part_ref(part)))
