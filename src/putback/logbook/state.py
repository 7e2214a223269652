"""The state: where every part and fastener is now.

It is folded from the entries and never stored as the truth. Each subject (a part, a joint, a
bag, an opening ...) has one small immutable record here; what concerns several is answered by the
methods of `State`. Every record names the entries that made it so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from types import MappingProxyType
from typing import Any

from putback.logbook.accounts import Account, Movement
from putback.logbook.common import NOTHING, Common, NotNow, Said
from putback.logbook.entries.base import (
    EntryId,
    LogbookId,
    PersonId,
    PlaceId,
    Subject,
    TagCode,
)
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.order import Key
from putback.logbook.told_twice import Contest, Telling
from putback.logbook.way import WayState
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    OpeningId,
    PartId,
    Ref,
    StandingId,
    ZoneId,
)
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class MarkSeen:
    """A mark that was made."""

    said: Said
    how: str
    where: str
    record: str


class Gone(StrEnum):
    """Why a part will not go back as it is."""

    SCRAPPED = "scrapped"
    PATTERN = "kept as pattern"
    LOST = "lost"
    OTHER_VEHICLE = "on another vehicle"


@dataclass(frozen=True, slots=True)
class PartState:
    """One part. ``off`` as somebody said; ``None`` where nobody said anything yet."""

    part: PartId
    common: Common = NOTHING
    off: Said | None = None
    on: Said | None = None
    """Put back on, after it was last off."""
    whole: AssemblyId | None = None
    """The assembly with which it came off."""
    hung: Said | None = None
    marks: tuple[MarkSeen, ...] = ()
    gone: Gone | None = None
    gone_by: Said | None = None
    renewed: bool = False
    doubles: tuple[EntryId, ...] = ()
    """Entries that took it off to different places and are not settled."""
    laid_away: Said | None = None
    """When it was put away or sent out, though nobody logged that it came off."""

    @property
    def is_off(self) -> bool:
        """Whether the last word is that it is off."""
        return self.off is not None


class Made(StrEnum):
    """How far a joint is undone or made."""

    AS_FOUND = "as found"
    CRACKED = "cracked"
    PART_UNDONE = "part undone"
    UNDONE = "undone"
    FINGER_TIGHT = "finger tight"
    NIPPED = "nipped"
    STAGED = "staged"
    TIGHTENED = "tightened"
    SET = "set"
    FINAL = "final"


@dataclass(frozen=True, slots=True)
class Check:
    """A made joint was looked at: by another person, or by the same on another day."""

    said: Said
    right: bool
    second_person: bool
    note: str


@dataclass(frozen=True, slots=True)
class JointState:
    """One joint: ``out`` of ``of`` fixings are undone now."""

    joint: JointId
    common: Common = NOTHING
    of: int = 1
    out: int = 0
    stuck: int = 0
    destroyed: int = 0
    lost: int = 0
    """Fixings that are lost, where nobody described what they are; else the accounts have it."""
    bagged: int = 0
    """Fixings that went into its bags, where nobody described what they are."""
    counted: Said | None = None
    """The last count of what is out or stuck, since it was last made."""
    cracked: Said | None = None
    undone: Said | None = None
    """When it was first touched with a spanner, in the present strip."""
    made: Said | None = None
    """When it was last made; ``None`` while it is undone."""
    closed: Said | None = None
    """When it was last made that was open or loose; to note a torque later is no such thing."""
    tightness: Tightness | None = None
    torque_nm: float | None = None
    locked: bool | None = None
    curing_until: str = ""
    renewed: bool | None = None
    checks: tuple[Check, ...] = ()
    times_made: int = 0
    """How often it was put together again: a trial build counts."""
    tags: tuple[TagCode, ...] = ()
    """Bags that its hardware was last put in."""
    doubles: tuple[EntryId, ...] = ()
    """Entries whose counts contradict each other and are not settled."""
    seen_free: Said | None = None
    """Somebody last looked before a lift and saw it free; ``None`` once it is made again."""
    in_two_bags: tuple[EntryId, ...] = ()
    """Entries that put the same fixings in different bags and are not settled."""

    @property
    def is_undone(self) -> bool:
        """Whether nothing of it holds any more."""
        return self.out >= self.of

    @property
    def stage(self) -> Made:
        """How far it is undone or made."""
        if self.is_undone:
            return Made.UNDONE
        if self.out and self.made is None:
            return Made.PART_UNDONE
        if self.tightness is not None:
            return Made(self.tightness.value)
        return Made.CRACKED if self.cracked else Made.AS_FOUND


@dataclass(frozen=True, slots=True)
class OpeningState:
    """One opening: ``closed`` of its ends are closed. ``None``: all of them, count not said."""

    opening: OpeningId
    common: Common = NOTHING
    closed: int = 0
    all_closed: bool = False
    said: Said | None = None


@dataclass(frozen=True, slots=True)
class Tagging:
    """A tag was put on a container."""

    said: Said
    container: str
    name: str


@dataclass(frozen=True, slots=True)
class ContainerState:
    """A bag, box or crate. Hardware in it is in the accounts."""

    tag: TagCode
    common: Common = NOTHING
    container: str = "bag"
    name: str = ""
    made: Said | None = None
    counted: Said | None = None
    """The last stocktake of all that is in it."""
    zone: ZoneId | None = None
    """Where on the vehicle what it holds came off."""
    rivals: tuple[Tagging, ...] = ()
    """Tellings that may be of several containers under one tag, and are not settled."""


@dataclass(frozen=True, slots=True)
class FluidState:
    """A fluid: in, out, and whether its circuit is bled."""

    fluid: FluidId
    common: Common = NOTHING
    drained: Said | None = None
    filled: Said | None = None
    bled: Said | None = None

    @property
    def is_out(self) -> bool:
        """Whether the last word is that it is drained."""
        return self.drained is not None and self.filled is None


@dataclass(frozen=True, slots=True)
class FitState:
    """A temporary fit; ``off`` is ``None`` while it is in."""

    fit: str
    common: Common = NOTHING
    what: str = ""
    on: Subject | None = None
    fitted: Said | None = None
    off: Said | None = None


@dataclass(frozen=True, slots=True)
class HoldState:
    """A standing hold; ``lifted`` is ``None`` while it is in force."""

    hold: str
    common: Common = NOTHING
    words: str = ""
    set_by: Said | None = None
    lifted: Said | None = None
    why: str = ""
    """Why it was lifted."""


@dataclass(frozen=True, slots=True)
class JobState:
    """A declared job."""

    job: JobId
    common: Common = NOTHING
    done: Said | None = None


@dataclass(frozen=True, slots=True)
class StandingState:
    """How the vehicle stands now; ``None`` until somebody said."""

    standing: StandingId | None = None
    said: Said | None = None
    rock_tested: bool = False
    looked: PersonId | None = None
    rivals: tuple[Telling, ...] = ()
    """What several people said, each without the others, that nobody settled."""


FRONT_AXLE, REAR_AXLE = "front axle", "rear axle"
"""What a weighing calls the loads of all wheels of an axle together."""


@dataclass(frozen=True, slots=True)
class Weighing:
    """The vehicle was weighed, with these parts off and these fluids out at that moment.

    Loads are by support of the standing, or by `FRONT_AXLE` and `REAR_AXLE` [kg]; the uncertainty
    is that of each load, ``None`` where nobody said how good the scales are [kg].
    """

    said: Said
    loads_kg: Mapping[str, float]
    standing: StandingId | None = None
    uncertainty_kg: float | None = None
    off: tuple[PartId, ...] = ()
    fluids_out: tuple[FluidId, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """A place of the garage."""

    place: PlaceId
    name: str
    kind: str = "workshop"
    fits: str = ""
    floor: str = ""


@dataclass(frozen=True)
class State:
    """All that is known now of one logbook; equal states mean the same, whatever the history."""

    logbook: LogbookId
    vehicle: Vehicle
    parts: Mapping[PartId, PartState] = field(default_factory=dict)
    joints: Mapping[JointId, JointState] = field(default_factory=dict)
    openings: Mapping[OpeningId, OpeningState] = field(default_factory=dict)
    containers: Mapping[TagCode, ContainerState] = field(default_factory=dict)
    fluids: Mapping[FluidId, FluidState] = field(default_factory=dict)
    fits: Mapping[str, FitState] = field(default_factory=dict)
    jobs: Mapping[JobId, JobState] = field(default_factory=dict)
    holds: Mapping[str, HoldState] = field(default_factory=dict)
    others: Mapping[Subject, Common] = field(default_factory=dict)
    """What was said of any other subject: the engine number, the garage, the work as a whole."""
    standing: StandingState = StandingState()
    way: WayState = field(default_factory=WayState)
    weighings: tuple[Weighing, ...] = ()
    """Every weighing, in the order in which they were done."""
    places: Mapping[PlaceId, Place] = field(default_factory=dict)
    people: Mapping[PersonId, str] = field(default_factory=dict)
    contested: Mapping[Subject, tuple[Contest, ...]] = field(default_factory=dict)
    money: Mapping[str, str] = field(default_factory=dict)
    """Sums paid, by currency, as decimal text."""
    movements: Mapping[Subject, tuple[Movement, ...]] = field(default_factory=dict)
    """The hardware journal, by the joint (or ``stock``) whose pieces moved."""

    @cached_property
    def undescribed(self) -> frozenset[Subject]:
        """Spoken of, but nobody said yet what it is: named later, nothing is lost."""
        spoken: list[tuple[str, Iterable[str], Mapping[Any, object]]] = [
            ("part", self.parts, self.vehicle.parts),
            ("joint", self.joints, self.vehicle.joints),
            ("opening", self.openings, self.vehicle.openings),
            ("fluid", self.fluids, self.vehicle.fluids),
            ("job", self.jobs, self.vehicle.jobs),
        ]
        return frozenset(
            Subject(f"{kind}:{identity}")
            for kind, cells, described in spoken
            for identity in cells
            if identity not in described
        )

    @cached_property
    def in_force(self) -> tuple[HoldState, ...]:
        """Standing holds that nobody lifted, the oldest first."""
        found = [
            (each.set_by.key, each)
            for each in self.holds.values()
            if each.set_by is not None and each.lifted is None
        ]
        return tuple(each for _, each in sorted(found, key=lambda keyed: keyed[0]))

    # -- what the planner reads -------------------------------------------------------------

    @cached_property
    def undone_joints(self) -> frozenset[JointId]:
        """Joints of which nothing holds any more."""
        return frozenset(joint for joint, each in self.joints.items() if each.is_undone)

    @cached_property
    def parts_off(self) -> frozenset[PartId]:
        """Parts that somebody said are off."""
        return frozenset(part for part, each in self.parts.items() if each.is_off)

    @cached_property
    def jobs_done(self) -> frozenset[JobId]:
        """Declared jobs that are done."""
        return frozenset(job for job, each in self.jobs.items() if each.done)

    @cached_property
    def put_off(self) -> Mapping[Subject, NotNow]:
        """What is put off now: joints, parts, assemblies and jobs.

        An assembly, or a joint of which only the parts were spoken of since, was worked on when
        one of these came off or went back on.
        """
        found: dict[Subject, NotNow] = {}
        tables: list[tuple[str, Mapping[Any, Any]]] = [
            ("joint", self.joints),
            ("part", self.parts),
            ("job", self.jobs),
        ]
        for kind, cells in tables:
            for identity, cell in cells.items():
                if cell.common.put_off is not None:
                    found[Subject(f"{kind}:{identity}")] = cell.common.put_off
        for subject, common in self.others.items():
            if common.put_off is not None:
                found[subject] = common.put_off
        return MappingProxyType(
            {what: each for what, each in found.items() if not self._is_moved(what, each.said.key)}
        )

    def _is_moved(self, what: Subject, since: Key) -> bool:
        """Whether a part of a joint or an assembly came off or went on later than that."""
        kind, _, identity = what.partition(":")
        tables: dict[str, Mapping[Any, Any]] = {
            "joint": self.vehicle.joints,
            "assembly": self.vehicle.assemblies,
        }
        described = tables.get(kind, {}).get(identity)
        parts: tuple[PartId, ...] = described.parts if described is not None else ()
        said = [
            moved
            for part in parts
            if (seen := self.parts.get(part))
            for moved in (seen.off, seen.on)
            if moved is not None
        ]
        return any(each.key > since for each in said)

    # -- hardware ---------------------------------------------------------------------------

    def all_movements(self) -> Iterable[Movement]:
        """Give every movement of hardware, joint by joint."""
        for movements in self.movements.values():
            yield from movements

    @cached_property
    def balances(self) -> Mapping[tuple[Account, Subject, str], int]:
        """Pieces by account, owner (joint or stock) and specification; zero ones left out."""
        total: dict[tuple[Account, Subject, str], int] = {}
        for each in self.all_movements():
            for account, sign in ((each.source, -1), (each.to, 1)):
                key = (account, each.owner, each.spec)
                total[key] = total.get(key, 0) + sign * each.count
        return MappingProxyType({key: count for key, count in total.items() if count})

    @cached_property
    def held_of(self) -> Mapping[Subject, Mapping[tuple[Account, str], int]]:
        """The same balances by owner: what is held, by account and specification."""
        found: dict[Subject, dict[tuple[Account, str], int]] = {}
        for (account, owner, spec), count in self.balances.items():
            found.setdefault(owner, {})[account, spec] = count
        return MappingProxyType(found)

    # -- where is it ------------------------------------------------------------------------

    def chain_of(self, what: Subject) -> tuple[Subject, ...]:
        """Follow a thing through its containers to a place: ``(tag:..., tag:..., place:...)``."""
        chain: list[Subject] = []
        common = self.common_of(what)
        while common is not None and common.tag is not None:
            step = Subject(f"tag:{common.tag}")
            if step in chain or step == what:
                break
            chain.append(step)
            common = self.common_of(step)
        if common is not None and common.place:
            chain.append(Subject(f"place:{common.place}"))
        return tuple(chain)

    def common_of(self, what: Subject) -> Common | None:
        """Give what is known of any subject."""
        kind, _, identity = what.partition(":")
        tables: dict[str, Mapping[Any, Any]] = {
            "part": self.parts,
            "joint": self.joints,
            "opening": self.openings,
            "tag": self.containers,
            "fluid": self.fluids,
            "fit": self.fits,
            "job": self.jobs,
            "hold": self.holds,
        }
        if kind in tables:
            record = tables[kind].get(identity)
            return getattr(record, "common", None)
        return self.others.get(what)

    def name_of(self, what: str) -> str:
        """Say what a subject is, in a person's words."""
        kind, _, identity = what.partition(":")
        if kind == "place":
            place = self.places.get(PlaceId(identity))
            return place.name if place and place.name else identity
        if kind == "tag":
            container = self.containers.get(TagCode(identity))
            return f"{identity} ({container.name})" if container and container.name else identity
        if kind == "fit":
            fit = self.fits.get(identity)
            return fit.what if fit and fit.what else identity
        if kind == "hold":
            hold = self.holds.get(identity)
            return hold.words if hold and hold.words else identity
        if kind == "person":
            return self.people.get(PersonId(identity), identity)
        if kind == "fluid":
            fluid = self.vehicle.fluids.get(FluidId(identity))
            return fluid.name if fluid else identity
        return self.vehicle.name_of(Ref(what)) if identity else kind
