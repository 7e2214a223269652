"""The vehicle: all that is known of what it is made of, immutable."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from types import MappingProxyType
from typing import Any, Self

from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, HarderAfter, Obstruction
from putback.vehicle.goal import Goal
from putback.vehicle.ids import (
    NO_ZONE,
    NOT_SAID,
    AssemblyId,
    FactId,
    FluidId,
    GoalId,
    JobId,
    JointId,
    OpeningId,
    PartId,
    Ref,
    StandingId,
    SupportId,
    VehicleId,
    ZoneId,
    split_ref,
)
from putback.vehicle.job import Job
from putback.vehicle.joint import Joint
from putback.vehicle.loose import Loose, what_is_loose
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, side_of_name
from putback.vehicle.run import Run
from putback.vehicle.standing import Standing, TemporarySupport, Zone


@dataclass(frozen=True, slots=True)
class About:
    """What the vehicle is, in words; lengths [m]."""

    id: VehicleId
    name: str
    make: str = ""
    model: str = ""
    year: int | None = None
    body_style: str = ""
    layout: str = ""
    thread_standard: str = ""
    wheelbase_m: float | None = None
    track_front_m: float | None = None
    track_rear_m: float | None = None
    length_m: float | None = None
    notice: str = ""
    """Shown wherever the vehicle is shown, such as that all of it is invented."""


@dataclass(frozen=True)
class Vehicle:
    """One vehicle, its records by identity; empty mappings where nothing is known yet.

    The field names are also the table names of the vehicle file.
    """

    about: About
    zones: Mapping[ZoneId, Zone] = field(default_factory=dict)
    parts: Mapping[PartId, Part] = field(default_factory=dict)
    joints: Mapping[JointId, Joint] = field(default_factory=dict)
    runs: Mapping[PartId, Run] = field(default_factory=dict)
    openings: Mapping[OpeningId, Opening] = field(default_factory=dict)
    fluids: Mapping[FluidId, Fluid] = field(default_factory=dict)
    standings: Mapping[StandingId, Standing] = field(default_factory=dict)
    temporary_supports: Mapping[SupportId, TemporarySupport] = field(default_factory=dict)
    jobs: Mapping[JobId, Job] = field(default_factory=dict)
    obstructions: Mapping[FactId, Obstruction] = field(default_factory=dict)
    befores: Mapping[FactId, Before] = field(default_factory=dict)
    harder_afters: Mapping[FactId, HarderAfter] = field(default_factory=dict)
    assemblies: Mapping[AssemblyId, Assembly] = field(default_factory=dict)
    goals: Mapping[GoalId, Goal] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Close the mappings, so that a vehicle handed out cannot change."""
        for each in fields(self):
            value = getattr(self, each.name)
            if isinstance(value, dict):
                object.__setattr__(self, each.name, MappingProxyType(value))

    def with_records(self, **tables: Mapping[Any, Any]) -> Self:
        """Return the vehicle with whole tables replaced."""
        changed: dict[str, Any] = {**tables}
        return replace(self, **changed)

    @cached_property
    def joints_of(self) -> Mapping[PartId, tuple[JointId, ...]]:
        """The joints of each part, in the order in which they were described."""
        found: dict[PartId, list[JointId]] = {part: [] for part in self.parts}
        for joint in self.joints.values():
            for part in joint.parts:
                found.setdefault(part, []).append(joint.id)
        return MappingProxyType({part: tuple(joints) for part, joints in found.items()})

    @cached_property
    def obstructions_of(self) -> Mapping[Ref, tuple[Obstruction, ...]]:
        """What is in the way of each joint or part."""
        found: dict[Ref, list[Obstruction]] = {}
        for obstruction in self.obstructions.values():
            found.setdefault(obstruction.of, []).append(obstruction)
        return MappingProxyType({ref: tuple(these) for ref, these in found.items()})

    @cached_property
    def assemblies_of(self) -> Mapping[PartId, tuple[AssemblyId, ...]]:
        """The declared assemblies that each part belongs to."""
        found: dict[PartId, list[AssemblyId]] = {}
        for assembly in self.assemblies.values():
            for part in assembly.parts:
                found.setdefault(part, []).append(assembly.id)
        return MappingProxyType({part: tuple(these) for part, these in found.items()})

    @cached_property
    def borne(self) -> frozenset[PartId]:
        """The parts that some support bears on, in any standing or for some time."""
        standings = (
            each.bears_on
            for standing in self.standings.values()
            for each in standing.supports
            if not each.beside
        )
        return frozenset(standings) | {each.bears_on for each in self.temporary_supports.values()}

    @cached_property
    def loose(self) -> Loose:
        """What of it carries nothing."""
        return what_is_loose(self.parts.values(), self.joints.values(), self.borne)

    def zone_of(self, joint: Joint) -> ZoneId | None:
        """Where one works on a joint: as described, else where the part is that comes away."""
        if joint.zone is not None:
            return joint.zone
        known = (self.parts[part] for part in joint.parts if part in self.parts)
        return next((part.zone for part in known if part.zone), None)

    def name_of(self, ref: Ref) -> str:
        """Say what a reference stands for, in words; the reference itself if it is unknown."""
        kind, identity = split_ref(ref)
        tables: dict[str, Mapping[Any, Any]] = {
            "part": self.parts,
            "joint": self.joints,
            "job": self.jobs,
            "opening": self.openings,
            "standing": self.standings,
            "assembly": self.assemblies,
            "fluid": self.fluids,
            "goal": self.goals,
            "zone": self.zones,
        }
        if (kind, identity) == ("zone", NOT_SAID):
            return NO_ZONE
        record = tables.get(kind, {}).get(identity)
        if isinstance(record, Part):
            return self._called(record)
        return record.name if record is not None else identity or ref

    @cached_property
    def _shared_names(self) -> frozenset[str]:
        """Names that several parts bear, without capitals."""
        times = Counter(part.name.casefold() for part in self.parts.values())
        return frozenset(name for name, count in times.items() if count > 1)

    def _called(self, part: Part) -> str:
        """Say what a part is called: with its side where others bear its name too."""
        is_shared = part.side is not None and part.name.casefold() in self._shared_names
        return (
            f"{part.name}, {part.side}" if is_shared and not side_of_name(part.name) else part.name
        )
