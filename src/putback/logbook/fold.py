"""The fold: entries in, state out.

The state of each subject (a part, a cluster of joints and bags, an opening ...) is a pure function
of the entries that speak of it, in their order. So the fold is an index of entries by subject and
one small fold a subject: an entry that comes late, or is struck out, has only the subjects it
speaks of folded again, wherever in the order it belongs; and it cannot matter in which order, how
often or in what portions entries arrive.

A `Fold` is a private, mutable builder; `Fold.state` gives out frozen states. It holds the entries
it was given, and asks ``load`` for those it was not (when it began from a snapshot).
"""

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Self

from putback.logbook.cells.common import fold_common
from putback.logbook.cells.description import fold_contests, fold_record
from putback.logbook.cells.hardware import fold_cluster
from putback.logbook.cells.part import fold_part
from putback.logbook.cells.small import (
    fold_container,
    fold_fit,
    fold_fluid,
    fold_hold,
    fold_job,
    fold_money,
    fold_opening,
    fold_person,
    fold_place,
    fold_standing,
    fold_way,
    fold_weighings,
)
from putback.logbook.entries.base import (
    ActId,
    Entry,
    EntryId,
    LogbookId,
    Subject,
    TagCode,
)
from putback.logbook.entries.describing import SameAs
from putback.logbook.index import Added, Index, Load, LogFacts
from putback.logbook.same import Aliases, rename_parts
from putback.logbook.snapshot import (
    Cells,
    Snapshot,
    Tables,
    read_columns,
    read_snapshot,
    write_snapshot,
)
from putback.logbook.state import StandingState, State, Weighing
from putback.logbook.way import WayState
from putback.vehicle.codec import TABLES
from putback.vehicle.ids import JointId, VehicleId
from putback.vehicle.vehicle import About, Vehicle

if TYPE_CHECKING:
    from putback.logbook.accounts import Movement
    from putback.logbook.common import Common
    from putback.logbook.told_twice import Contest


class Fold:
    """The builder of one logbook's state."""

    def __init__(self, logbook: LogbookId, load: Load | None = None) -> None:
        self.logbook = logbook
        self._index = Index(load)
        self._columns: bytes | None = None
        self._tables = Tables()
        self._cells = Cells()
        self._movements: dict[Subject, tuple[Movement, ...]] = {}
        self._others: dict[Subject, Common] = {}
        self._standing = StandingState()
        self._way = WayState()
        self._contested: dict[Subject, tuple[Contest, ...]] = {}
        self._weighings: tuple[Weighing, ...] = ()
        self._money: dict[str, str] = {}
        self._frozen: State | None = None
        self._frozen_vehicle: Vehicle | None = None
        self._frozen_cells: dict[str, Mapping[Any, Any]] = {}
        self._changed: set[str] = set()

    def add(self, entries: Iterable[Entry]) -> Added:
        """Take in entries, in any order and any number of times."""
        added, dirty = self._at_hand().add(entries)
        self._refold(dirty)
        return added

    def log(self) -> LogFacts:
        """Give the facts about the logbook itself."""
        return self._at_hand().facts()

    def history(self, subject: Subject) -> tuple[Entry, ...]:
        """Give the standing entries on one subject, in their order."""
        index = self._at_hand()
        return tuple(entry for _, entry in index.in_order([index.aliases.of(subject)]))

    def standing_entries(self) -> tuple[Entry, ...]:
        """Give every entry that is not struck out, in the order of the logbook."""
        return self._at_hand().standing_entries()

    def act(self, act: ActId) -> tuple[EntryId, ...]:
        """Give the entries of one act."""
        return self._at_hand().act(act)

    def _at_hand(self) -> Index:
        """Give the index; behind a snapshot it is read only when it is first needed."""
        if self._columns is not None:
            columns, self._columns = read_columns(self._columns), None
            self._index.restore(columns)
        return self._index

    # -- folding ----------------------------------------------------------------------------

    def _refold(self, dirty: set[Subject]) -> None:
        if not dirty:
            return
        self._frozen = None
        renamed = Subject("same as") in dirty and self._realias()
        dirty = {self._index.aliases.of(subject) for subject in dirty}
        if renamed:
            dirty |= self._index.subjects()
        joints = {
            Subject(f"joint:{each.removeprefix(_ABOUT_JOINTS)}")
            for each in dirty
            if each.startswith(_ABOUT_JOINTS)
        }
        clusters: dict[Subject, tuple[Subject, ...]] = {}
        for subject in dirty | joints:
            if subject.partition(":")[0] in {"joint", "tag", "stock"}:
                members = self._index.clusters.members(subject)
                clusters[members[0]] = members
        self._index.fetch(dirty.union(*clusters.values()))
        for subject in dirty:
            kind, _, identity = subject.partition(":")
            if kind.startswith("about "):
                self._fold_record(kind.removeprefix("about "), identity, subject)
        for subject in dirty:
            kind, _, identity = subject.partition(":")
            if kind != "joint" and not kind.startswith("about "):
                self._fold_cell(kind, identity, subject)
        for members in clusters.values():
            self._fold_cluster(members)

    def _fold_record(self, table: str, identity: str, subject: Subject) -> None:
        self._changed.add("vehicle")
        entries = self._index.in_order([subject])
        record = fold_record(table, identity, entries)
        self._contested.pop(subject, None)
        if contests := fold_contests(entries):
            self._contested[subject] = contests
        if record is None:
            getattr(self._tables, table).pop(identity, None)
        else:
            getattr(self._tables, table)[identity] = rename_parts(record, self._index.aliases)

    def _fold_cell(self, kind: str, identity: str, subject: Subject) -> None:
        entries = self._index.in_order([subject])
        if kind in _CELLS:
            self._changed.add(kind)
            cells = getattr(self._cells, kind)
            if entries:
                cells[identity] = _CELLS[kind](identity, entries)
            else:
                cells.pop(identity, None)
        elif kind == "standing":
            self._standing = fold_standing(entries)
        elif kind == "way":
            self._way = fold_way(entries)
        elif kind == "weighing":
            self._weighings = fold_weighings(entries, self._index.aliases)
        elif kind == "money":
            self._money = fold_money(entries)
        elif kind not in {"same as", "stock"}:
            common = fold_common(subject, entries)
            if entries:
                self._others[subject] = common
            else:
                self._others.pop(subject, None)

    def _fold_cluster(self, members: tuple[Subject, ...]) -> None:
        self._changed |= {"joint", "movements"}
        joints = [JointId(each[6:]) for each in members if each.startswith("joint:")]
        tags = [TagCode(each[4:]) for each in members if each.startswith("tag:")]
        entries = self._index.in_order(members)
        described = self._tables.joints
        folded = fold_cluster(joints, tags, described, entries)
        spoken = {subject for _, entry in entries for subject in entry.brief.subjects}
        for joint, state in folded.joints.items():
            if joint in described or f"joint:{joint}" in spoken:
                self._cells.joint[joint] = state
            else:
                self._cells.joint.pop(joint, None)
        for owner in members:
            if owner in folded.movements:
                self._movements[owner] = folded.movements[owner]
            else:
                self._movements.pop(owner, None)

    def _realias(self) -> bool:
        """Work out anew which parts are one; say whether that changed."""
        pairs = [
            (entry.body.part, entry.body.same_as)
            for _, entry in self._index.in_order([Subject("same as")])
            if isinstance(entry.body, SameAs)
        ]
        aliases = Aliases.from_pairs(pairs)
        if aliases == self._index.aliases:
            return False
        self._index.rename(aliases)
        self._changed |= {*_FIELD_OF, "vehicle"}
        self._cells.part = {}
        self._contested = {}
        self._tables.parts = {}
        self._tables.runs = {}
        return True

    # -- giving out -------------------------------------------------------------------------

    def state(self) -> State:
        """Give the state as it is now; it never changes, whatever is added later."""
        if self._frozen is None:
            self._frozen = State(
                logbook=self.logbook,
                vehicle=self._vehicle(),
                others=_sorted(self._others),
                standing=self._standing,
                way=self._way,
                contested=_sorted(self._contested),
                weighings=self._weighings,
                money=self._money,
                movements=self._shared("movements", self._movements),
                **{
                    name: self._shared(kind, getattr(self._cells, kind))
                    for kind, name in _FIELD_OF.items()
                },
            )
            self._changed.clear()
        return self._frozen

    # -- snapshots --------------------------------------------------------------------------

    def snapshot(self) -> bytes:
        """Write down all that the fold holds, without the entries."""
        index = self._at_hand()
        return write_snapshot(
            Snapshot(
                logbook=self.logbook,
                aliases=dict(index.aliases.names),
                tables=self._tables,
                cells=self._cells,
                movements=self._movements,
                others=self._others,
                standing=self._standing,
                way=self._way,
                contested=self._contested,
                weighings=self._weighings,
                money=self._money,
            ),
            index.columns(),
        )

    @classmethod
    def from_snapshot(cls, blob: bytes, load: Load) -> Self:
        """Begin from a snapshot; ``load`` gives the entries of the same log when needed.

        Raises
        ------
        SnapshotUnreadable
            If it is torn, or was written by another version.
        """
        snapshot, columns = read_snapshot(blob)
        folded = cls(snapshot.logbook, load)
        folded._index.aliases = Aliases(snapshot.aliases)
        folded._tables = snapshot.tables
        folded._cells = snapshot.cells
        folded._movements = snapshot.movements
        folded._others = snapshot.others
        folded._standing = snapshot.standing
        folded._way = snapshot.way
        folded._contested = snapshot.contested
        folded._weighings = snapshot.weighings
        folded._money = snapshot.money
        folded._columns = columns
        return folded

    def _vehicle(self) -> Vehicle:
        if self._frozen_vehicle is None or "vehicle" in self._changed:
            # Should several describe the vehicle, every copy goes by the same of them.
            about = min(self._tables.about.values(), key=lambda each: each.id, default=None)
            tables = {
                table: _sorted(getattr(self._tables, table))
                for table in TABLES
                if table != "about"
            }
            self._frozen_vehicle = Vehicle(
                about or About(VehicleId(self.logbook), self.logbook), **tables
            )
        return self._frozen_vehicle

    def _shared(self, kind: str, cells: Mapping[Any, Any]) -> Mapping[Any, Any]:
        """Copy a table of cells only if it changed since the last state."""
        if kind in self._changed or kind not in self._frozen_cells:
            self._frozen_cells[kind] = MappingProxyType(_sorted(cells))
        return self._frozen_cells[kind]


def fold(entries: Iterable[Entry], logbook: LogbookId | None = None) -> Fold:
    """Fold a logbook from its entries; the logbook is that of the first, if not given."""
    entries = list(entries)
    if logbook is None:
        logbook = entries[0].logbook if entries else LogbookId("")
    folded = Fold(logbook)
    folded.add(entries)
    return folded


def _sorted(table: Mapping[Any, Any]) -> dict[Any, Any]:
    """Put a table in one order, so that what is planned from equal states is equal too."""
    return dict(sorted(table.items()))


_ABOUT_JOINTS = "about joints:"

_CELLS: Mapping[str, Callable[[Any, Any], Any]] = {
    "part": fold_part,
    "opening": fold_opening,
    "tag": fold_container,
    "fluid": fold_fluid,
    "fit": fold_fit,
    "job": fold_job,
    "hold": fold_hold,
    "place": fold_place,
    "person": fold_person,
}
"""The fold of each kind of subject that has a record; joints are folded by their cluster."""

_FIELD_OF = {
    "part": "parts",
    "joint": "joints",
    "opening": "openings",
    "tag": "containers",
    "fluid": "fluids",
    "fit": "fits",
    "job": "jobs",
    "hold": "holds",
    "place": "places",
    "person": "people",
}
