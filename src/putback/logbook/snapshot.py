"""A snapshot: a fold written down, so that the next start need not read every entry.

It is a cache and nothing else: made again from the entries whenever it cannot be read, and never
exported. What it holds is what the fold holds, entry for entry, without the entries themselves.
"""

import zlib
from dataclasses import dataclass, field
from functools import cache

from pydantic import TypeAdapter, ValidationError

from putback.errors import Damaged
from putback.logbook.accounts import Movement
from putback.logbook.common import Common
from putback.logbook.entries.base import (
    ActId,
    EntryId,
    Flag,
    LogbookId,
    PersonId,
    PlaceId,
    Subject,
    TagCode,
)
from putback.logbook.state import (
    ContainerState,
    FitState,
    FluidState,
    HoldState,
    JobState,
    JointState,
    OpeningState,
    PartState,
    Place,
    StandingState,
    Weighing,
)
from putback.logbook.told_twice import Contest
from putback.logbook.way import WayState
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, HarderAfter, Obstruction
from putback.vehicle.goal import Goal
from putback.vehicle.ids import JointId, PartId
from putback.vehicle.job import Job
from putback.vehicle.joint import Joint
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part
from putback.vehicle.run import Run
from putback.vehicle.standing import Standing, TemporarySupport, Zone
from putback.vehicle.vehicle import About

FORMAT = 15
"""Raised whenever anything that is folded or written here changes."""

_MAGIC = b"putback snapshot %d\n" % FORMAT


@dataclass(eq=False)
class SnapshotUnreadable(Damaged):
    """A snapshot is torn or of another version; the entries themselves are not touched."""

    store: str = "the snapshot"
    why: str = "it cannot be read"
    mend: str = "nothing is lost: it is made again from the entries"


@dataclass(slots=True)
class Tables:
    """The described records of a vehicle; the names are those of the vehicle file."""

    about: dict[str, About] = field(default_factory=dict)
    zones: dict[str, Zone] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    joints: dict[JointId, Joint] = field(default_factory=dict)
    runs: dict[str, Run] = field(default_factory=dict)
    openings: dict[str, Opening] = field(default_factory=dict)
    fluids: dict[str, Fluid] = field(default_factory=dict)
    standings: dict[str, Standing] = field(default_factory=dict)
    temporary_supports: dict[str, TemporarySupport] = field(default_factory=dict)
    jobs: dict[str, Job] = field(default_factory=dict)
    obstructions: dict[str, Obstruction] = field(default_factory=dict)
    befores: dict[str, Before] = field(default_factory=dict)
    harder_afters: dict[str, HarderAfter] = field(default_factory=dict)
    assemblies: dict[str, Assembly] = field(default_factory=dict)
    goals: dict[str, Goal] = field(default_factory=dict)


@dataclass(slots=True)
class Cells:
    """The folded subjects, by the kind of subject."""

    part: dict[str, PartState] = field(default_factory=dict)
    joint: dict[JointId, JointState] = field(default_factory=dict)
    opening: dict[str, OpeningState] = field(default_factory=dict)
    tag: dict[TagCode, ContainerState] = field(default_factory=dict)
    fluid: dict[str, FluidState] = field(default_factory=dict)
    fit: dict[str, FitState] = field(default_factory=dict)
    job: dict[str, JobState] = field(default_factory=dict)
    hold: dict[str, HoldState] = field(default_factory=dict)
    place: dict[PlaceId, Place] = field(default_factory=dict)
    person: dict[PersonId, str] = field(default_factory=dict)


@dataclass(slots=True)
class Columns:
    """What the fold knows of each entry, one list a field, which reads fastest."""

    ids: list[EntryId]
    digests: list[str]
    acts: list[ActId]
    subjects: list[tuple[Subject, ...]]
    follows: dict[EntryId, tuple[EntryId, ...]]
    strikes: dict[EntryId, str]
    links: list[EntryId]
    flags: dict[EntryId, Flag]
    conflicts: dict[EntryId, list[str]]
    struck: list[EntryId]


@dataclass(slots=True)
class Snapshot:
    """All that a fold holds, but for its index of entries."""

    logbook: LogbookId
    aliases: dict[PartId, PartId]
    tables: Tables
    cells: Cells
    movements: dict[Subject, tuple[Movement, ...]]
    others: dict[Subject, Common]
    standing: StandingState
    way: WayState
    contested: dict[Subject, tuple[Contest, ...]]
    weighings: tuple[Weighing, ...]
    money: dict[str, str]


@cache
def _adapter() -> TypeAdapter[Snapshot]:
    return TypeAdapter(Snapshot)


@cache
def _columns_adapter() -> TypeAdapter[Columns]:
    return TypeAdapter(Columns)


def write_snapshot(snapshot: Snapshot, columns: Columns) -> bytes:
    """Write a snapshot and its index, with a check sum against tearing."""
    state = _adapter().dump_json(snapshot, exclude_defaults=True)
    content = b"%d\n" % len(state) + state + _columns_adapter().dump_json(columns)
    return _MAGIC + b"%08x\n" % zlib.crc32(content) + content


def read_snapshot(blob: bytes) -> tuple[Snapshot, bytes]:
    """Read a snapshot; its index is given back unread, for `read_columns`.

    Raises
    ------
    SnapshotUnreadable
        If it is torn, or was written by another version.
    """
    if not blob.startswith(_MAGIC):
        raise SnapshotUnreadable(why="it was written by another version")
    check, _, content = blob[len(_MAGIC) :].partition(b"\n")
    if check != b"%08x" % zlib.crc32(content):
        raise SnapshotUnreadable(why="its check sum is wrong: it was not written to the end")
    length, _, rest = content.partition(b"\n")
    if not length.isdigit():
        raise SnapshotUnreadable(why="there is nothing in it")
    try:
        return _adapter().validate_json(rest[: int(length)]), rest[int(length) :]
    except ValidationError as error:
        raise SnapshotUnreadable(why=f"{error.error_count()} values do not fit") from error


def read_columns(content: bytes) -> Columns:
    """Read the index that a snapshot carries; its check sum was right."""
    return _columns_adapter().validate_json(content)
