"""The fold: entries in, state out.

The state of each subject (a part, a cluster of joints and bags, an opening ...) is a pure function
of the entries that speak of it, in their order. So the fold is an index of entries by subject and
one small fold a subject: an entry that comes late, or is struck out, has only the subjects it
speaks of folded again, wherever in the order it belongs; and it cannot matter in which order, how
often or in what portions entries arrive.

A `Fold` is a private, mutable builder; `Fold.state` gives out frozen states. It holds the entries
it was given, and asks ``load`` for those it was not (when it began from a snapshot).
"""

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Self

from putback.logbook.cells.common import Placed, fold_common
from putback.logbook.cells.description import fold_record
from putback.logbook.cells.hardware import fold_cluster
from putback.logbook.cells.part import fold_part
from putback.logbook.cells.small import (
    fold_container,
    fold_fit,
    fold_fluid,
    fold_job,
    fold_money,
    fold_opening,
    fold_person,
    fold_place,
    fold_standing,
)
from putback.logbook.clusters import Clusters
from putback.logbook.entries.base import (
    ActId,
    Entry,
    EntryId,
    LogbookId,
    Subject,
    TagCode,
    Unread,
)
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import SameAs
from putback.logbook.entries.keeping import HardwareMoved
from putback.logbook.entries.working import JointUndone
from putback.logbook.order import Key, follows, keys_for
from putback.logbook.rings import components
from putback.logbook.same import Aliases, rename_parts
from putback.logbook.snapshot import (
    Cells,
    Columns,
    Snapshot,
    Tables,
    read_columns,
    read_snapshot,
    write_snapshot,
)
from putback.logbook.state import StandingState, State
from putback.vehicle.codec import TABLES
from putback.vehicle.ids import JointId, VehicleId
from putback.vehicle.vehicle import About, Vehicle

if TYPE_CHECKING:
    from putback.logbook.accounts import Movement

SKEW_MS = 10 * 60_000
"""A phone whose clocks disagree by more than this is reported [ms]."""

Load = Callable[[Sequence[EntryId]], Iterable[Entry]]


@dataclass(frozen=True, slots=True)
class Added:
    """What became of entries given to the fold."""

    new: tuple[EntryId, ...]
    known: int
    conflicts: tuple[EntryId, ...]


@dataclass(frozen=True, slots=True)
class LogFacts:
    """What can be said of the logbook itself, apart from what its entries say.

    ``digest`` is of the set of entries: equal for equal sets, in whatever order they came.
    """

    entries: int
    digest: str
    conflicts: Mapping[EntryId, tuple[str, ...]]
    """Identities that came with several bodies, and the digests of all of them."""
    unread: tuple[EntryId, ...]
    skewed: tuple[EntryId, ...]
    struck: frozenset[EntryId]
    rest_on_struck: tuple[EntryId, ...]
    """Entries that stand, but come after or judge one that is struck out."""


@dataclass(slots=True)
class Brief:
    """What the fold must know of an entry without having it at hand."""

    digest: str
    act: ActId
    subjects: tuple[Subject, ...]
    follows: tuple[EntryId, ...] = ()
    strikes: str | None = None
    links: bool = False
    """Joins the hardware of its joints and bags into one cluster."""
    flag: str = ""
    """``unread`` or ``skewed``."""


class Fold:
    """The builder of one logbook's state."""

    def __init__(self, logbook: LogbookId, load: Load | None = None) -> None:
        self.logbook = logbook
        self._load = load
        self._entries: dict[EntryId, Entry] = {}
        self._briefs: dict[EntryId, Brief] = {}
        self._conflicts: dict[EntryId, set[str]] = {}
        self._acts: dict[ActId, list[EntryId]] = {}
        self._speaking: dict[Subject, dict[EntryId, None]] = {}
        self._followers: dict[EntryId, list[EntryId]] = {}
        self._strikes: dict[str, list[EntryId]] = {}
        self._out: set[EntryId] = set()
        self._keys: dict[EntryId, Key] = {}
        self._clusters = Clusters()
        self._aliases = Aliases()
        self._tables = Tables()
        self._cells = Cells()
        self._movements: dict[Subject, tuple[Movement, ...]] = {}
        self._others: dict[Subject, Any] = {}
        self._standing = StandingState()
        self._money: dict[str, str] = {}
        self._columns: bytes | None = None
        self._frozen: State | None = None
        self._frozen_vehicle: Vehicle | None = None
        self._frozen_cells: dict[str, Mapping[Any, Any]] = {}
        self._changed: set[str] = set()

    # -- taking in --------------------------------------------------------------------------

    def add(self, entries: Iterable[Entry]) -> Added:
        """Take in entries, in any order and any number of times.

        Returns
        -------
        Added
            Which were new, how many were known already, and which came with another body.
        """
        self._open_columns()
        new: list[EntryId] = []
        known = 0
        conflicts: list[EntryId] = []
        dirty: set[Subject] = set()
        for entry in entries:
            brief = self._briefs.get(entry.id)
            if brief is None:
                new.append(entry.id)
            elif brief.digest == entry.digest or entry.digest in self._conflicts.get(entry.id, ()):
                known += 1
                continue
            else:
                conflicts.append(entry.id)
                self._conflicts.setdefault(entry.id, {brief.digest}).add(entry.digest)
                if brief.digest < entry.digest:
                    continue
                dirty |= self._withdraw(entry.id, brief)
            self._enter(entry)
            dirty.update(self._briefs[entry.id].subjects)
        arrived = [*new, *conflicts]
        dirty |= self._restrike(arrived)
        dirty |= self._replace_keys(arrived)
        self._refold(dirty)
        return Added(tuple(new), known, tuple(conflicts))

    def _enter(self, entry: Entry) -> None:
        body = entry.body
        strikes = (body.entry or body.act) if isinstance(body, Struck) else None
        flag = "unread" if isinstance(body, Unread) else "skewed" if _is_skewed(entry) else ""
        brief = Brief(
            digest=entry.digest,
            act=entry.act,
            subjects=body.subjects(),
            follows=follows(entry),
            strikes=strikes,
            links=isinstance(body, (JointUndone, HardwareMoved)),
            flag=flag,
        )
        self._entries[entry.id] = entry
        self._index(entry.id, brief)

    def _index(self, identity: EntryId, brief: Brief) -> None:
        self._briefs[identity] = brief
        self._acts.setdefault(brief.act, []).append(identity)
        for each in brief.follows:
            self._followers.setdefault(each, []).append(identity)
        if brief.strikes is not None:
            self._strikes.setdefault(brief.strikes, []).append(identity)
        for subject in brief.subjects:
            self._speaking.setdefault(self._aliases.of(subject), {})[identity] = None
        if brief.links:
            self._clusters.join(brief.subjects)

    def _withdraw(self, identity: EntryId, brief: Brief) -> set[Subject]:
        """Take out an entry whose other body is the one to fold."""
        self._acts[brief.act].remove(identity)
        for each in brief.follows:
            self._followers[each].remove(identity)
        if brief.strikes is not None:
            self._strikes[brief.strikes].remove(identity)
        for subject in brief.subjects:
            self._speaking[self._aliases.of(subject)].pop(identity, None)
        dirty = set(brief.subjects)
        for target in self._targets(brief):
            dirty |= self._set_out(target, out=self._is_struck(target, {}))
        return dirty

    # -- striking out -----------------------------------------------------------------------

    def _targets(self, brief: Brief) -> list[EntryId]:
        if brief.strikes is None:
            return []
        if brief.strikes in self._briefs:
            return [EntryId(brief.strikes)]
        return list(self._acts.get(ActId(brief.strikes), ()))

    def _strikers(self, identity: EntryId) -> list[EntryId]:
        brief = self._briefs[identity]
        return [*self._strikes.get(identity, ()), *self._strikes.get(brief.act, ())]

    def _restrike(self, arrived: Iterable[EntryId]) -> set[Subject]:
        """Work out anew who is struck out, as far as the arrived entries can matter."""
        affected: dict[EntryId, None] = {}
        queue = [each for each in arrived if self._strikes]
        while queue:
            identity = queue.pop()
            if identity not in affected:
                affected[identity] = None
                queue.extend(self._targets(self._briefs[identity]))
        dirty: set[Subject] = set()
        verdicts: dict[EntryId, bool] = {}
        for identity in affected:
            dirty |= self._set_out(identity, out=self._is_struck(identity, verdicts))
        return dirty

    def _is_struck(self, identity: EntryId, verdicts: dict[EntryId, bool]) -> bool:
        """Whether a standing strike names the entry; strikes in a ring strike nothing."""
        if identity not in verdicts:
            for ring in components([identity], self._strikers):
                inside = set(ring)
                for each in ring:
                    verdicts[each] = any(
                        not verdicts[striker]
                        for striker in self._strikers(each)
                        if striker not in inside
                    )
        return verdicts[identity]

    def _set_out(self, identity: EntryId, *, out: bool) -> set[Subject]:
        if out == (identity in self._out):
            return set()
        (self._out.add if out else self._out.discard)(identity)
        return set(self._briefs[identity].subjects) | self._replace_keys([identity])

    # -- order ------------------------------------------------------------------------------

    def _replace_keys(self, identities: Iterable[EntryId]) -> set[Subject]:
        """Forget the keys of entries and of all that come after them."""
        dirty: set[Subject] = set()
        queue = list(identities)
        seen: set[EntryId] = set()
        while queue:
            identity = queue.pop()
            if identity in seen:
                continue
            seen.add(identity)
            self._keys.pop(identity, None)
            for follower in self._followers.get(identity, ()):
                dirty.update(self._briefs[follower].subjects)
                queue.append(follower)
        return dirty

    def _standing_entry(self, identity: EntryId) -> Entry | None:
        if identity in self._out or identity not in self._briefs:
            return None
        return self._get([identity])[0]

    def _get(self, identities: Sequence[EntryId]) -> list[Entry]:
        missing = [each for each in identities if each not in self._entries]
        if missing:
            if self._load is None:
                raise LookupError(f"{len(missing)} entries are not at hand and cannot be loaded")
            for entry in self._load(missing):
                if entry.digest == self._briefs[entry.id].digest:
                    self._entries[entry.id] = entry
        return [self._entries[each] for each in identities]

    def _in_order(self, subjects: Iterable[Subject]) -> list[Placed]:
        """Give the standing entries on some subjects, each once, in their order."""
        identities = {
            identity
            for subject in subjects
            for identity in self._speaking.get(subject, ())
            if identity not in self._out
        }
        entries = self._get(list(identities))
        keys_for(entries, self._standing_entry, self._keys)
        return sorted(((self._keys[entry.id], entry) for entry in entries), key=_by_key)

    # -- folding ----------------------------------------------------------------------------

    def _refold(self, dirty: set[Subject]) -> None:
        if not dirty:
            return
        self._frozen = None
        if Subject("same as") in dirty and self._realias():
            dirty = set(self._speaking)
        else:
            dirty = {self._aliases.of(subject) for subject in dirty}
        described_joints: set[Subject] = set()
        for subject in dirty:
            kind, _, identity = subject.partition(":")
            if kind.startswith("about "):
                table = kind.removeprefix("about ")
                self._fold_record(table, identity, subject)
                if table == "joints":
                    described_joints.add(Subject(f"joint:{identity}"))
        clusters: dict[Subject, tuple[Subject, ...]] = {}
        for subject in dirty | described_joints:
            kind, _, identity = subject.partition(":")
            if kind.startswith("about "):
                continue
            if kind in {"joint", "tag", "stock"}:
                members = self._clusters.members(subject)
                clusters[members[0]] = members
            if kind != "joint":
                self._fold_cell(kind, identity, subject)
        for members in clusters.values():
            self._fold_cluster(members)

    def _fold_record(self, table: str, identity: str, subject: Subject) -> None:
        self._changed.add("vehicle")
        record = fold_record(table, identity, self._in_order([subject]))
        if record is None:
            getattr(self._tables, table).pop(identity, None)
        else:
            getattr(self._tables, table)[identity] = rename_parts(record, self._aliases)

    def _fold_cell(self, kind: str, identity: str, subject: Subject) -> None:
        entries = self._in_order([subject])
        if kind in _CELLS:
            self._changed.add(kind)
            cells = getattr(self._cells, kind)
            if entries:
                cells[identity] = _CELLS[kind](identity, entries)
            else:
                cells.pop(identity, None)
        elif kind == "standing":
            self._standing = fold_standing(entries)
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
        entries = self._in_order(members)
        described = self._tables.joints
        folded = fold_cluster(joints, tags, described, entries)
        spoken = {subject for _, entry in entries for subject in entry.body.subjects()}
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
            for _, entry in self._in_order([Subject("same as")])
            if isinstance(entry.body, SameAs)
        ]
        aliases = Aliases.from_pairs(pairs)
        if aliases == self._aliases:
            return False
        self._aliases = aliases
        self._speaking = {}
        self._changed |= {*_FIELD_OF, "vehicle"}
        self._cells.part = {}
        self._tables.parts = {}
        self._tables.runs = {}
        for identity, brief in self._briefs.items():
            for subject in brief.subjects:
                self._speaking.setdefault(aliases.of(subject), {})[identity] = None
        return True

    # -- giving out -------------------------------------------------------------------------

    def state(self) -> State:
        """Give the state as it is now; it never changes, whatever is added later."""
        if self._frozen is None:
            self._frozen = State(
                logbook=self.logbook,
                vehicle=self._vehicle(),
                others=dict(self._others),
                standing=self._standing,
                money=self._money,
                movements=self._shared("movements", self._movements),
                **{
                    name: self._shared(kind, getattr(self._cells, kind))
                    for kind, name in _FIELD_OF.items()
                },
            )
            self._changed.clear()
        return self._frozen

    def log(self) -> LogFacts:
        """Give the facts about the logbook itself."""
        self._open_columns()
        total = 0
        for identity, brief in self._briefs.items():
            for digest in self._conflicts.get(identity, {brief.digest}):
                total += int(digest, 16)
        flagged = {
            flag: tuple(sorted(each for each, brief in self._briefs.items() if brief.flag == flag))
            for flag in ("unread", "skewed")
        }
        return LogFacts(
            entries=len(self._briefs),
            # The sum of the digests is the same in whatever order they are added.
            digest=hashlib.sha256(f"{len(self._briefs)} {total:x}".encode()).hexdigest(),
            conflicts={each: tuple(sorted(found)) for each, found in self._conflicts.items()},
            unread=flagged["unread"],
            skewed=flagged["skewed"],
            struck=frozenset(self._out),
            rest_on_struck=tuple(
                sorted(
                    follower
                    for struck in self._out
                    for follower in self._followers.get(struck, ())
                    if follower not in self._out and self._briefs[follower].strikes is None
                )
            ),
        )

    def history(self, subject: Subject) -> tuple[Entry, ...]:
        """Give the standing entries on one subject, in their order."""
        self._open_columns()
        return tuple(entry for _, entry in self._in_order([self._aliases.of(subject)]))

    def standing_entries(self) -> tuple[Entry, ...]:
        """Give every entry that is not struck out, in the order of the logbook."""
        self._open_columns()
        entries = self._get([each for each in self._briefs if each not in self._out])
        keys_for(entries, self._standing_entry, self._keys)
        return tuple(sorted(entries, key=lambda entry: self._keys[entry.id]))

    def act(self, act: ActId) -> tuple[EntryId, ...]:
        """Give the entries of one act."""
        self._open_columns()
        return tuple(self._acts.get(act, ()))

    # -- snapshots --------------------------------------------------------------------------

    def snapshot(self) -> bytes:
        """Write down all that the fold holds, without the entries."""
        self._open_columns()
        briefs = self._briefs
        columns = Columns(
            ids=list(briefs),
            digests=[brief.digest for brief in briefs.values()],
            acts=[brief.act for brief in briefs.values()],
            subjects=[brief.subjects for brief in briefs.values()],
            follows={each: brief.follows for each, brief in briefs.items() if brief.follows},
            strikes={each: brief.strikes for each, brief in briefs.items() if brief.strikes},
            links=[each for each, brief in briefs.items() if brief.links],
            flags={each: brief.flag for each, brief in briefs.items() if brief.flag},
            conflicts={each: sorted(found) for each, found in self._conflicts.items()},
            struck=sorted(self._out),
        )
        return write_snapshot(
            Snapshot(
                logbook=self.logbook,
                aliases=dict(self._aliases.names),
                tables=self._tables,
                cells=self._cells,
                movements=self._movements,
                others=self._others,
                standing=self._standing,
                money=self._money,
            ),
            columns,
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
        folded._aliases = Aliases(snapshot.aliases)
        folded._tables = snapshot.tables
        folded._cells = snapshot.cells
        folded._movements = snapshot.movements
        folded._others = snapshot.others
        folded._standing = snapshot.standing
        folded._money = snapshot.money
        folded._columns = columns
        return folded

    def _open_columns(self) -> None:
        """Index the entries behind a snapshot; reading the state alone does not need them."""
        if self._columns is None:
            return
        columns, self._columns = read_columns(self._columns), None
        links = set(columns.links)
        for identity, digest, act, subjects in zip(
            columns.ids, columns.digests, columns.acts, columns.subjects, strict=True
        ):
            self._index(
                identity,
                Brief(
                    digest,
                    act,
                    subjects,
                    columns.follows.get(identity, ()),
                    columns.strikes.get(identity),
                    identity in links,
                    columns.flags.get(identity, ""),
                ),
            )
        self._conflicts = {each: set(found) for each, found in columns.conflicts.items()}
        self._out = set(columns.struck)

    def _vehicle(self) -> Vehicle:
        if self._frozen_vehicle is None or "vehicle" in self._changed:
            about = next(iter(self._tables.about.values()), None)
            tables = {
                table: dict(getattr(self._tables, table)) for table in TABLES if table != "about"
            }
            self._frozen_vehicle = Vehicle(
                about or About(VehicleId(self.logbook), self.logbook), **tables
            )
        return self._frozen_vehicle

    def _shared(self, kind: str, cells: Mapping[Any, Any]) -> Mapping[Any, Any]:
        """Copy a table of cells only if it changed since the last state."""
        if kind in self._changed or kind not in self._frozen_cells:
            self._frozen_cells[kind] = MappingProxyType(dict(cells))
        return self._frozen_cells[kind]


def fold(entries: Iterable[Entry], logbook: LogbookId | None = None) -> Fold:
    """Fold a logbook from its entries; the logbook is that of the first, if not given."""
    entries = list(entries)
    if logbook is None:
        logbook = entries[0].logbook if entries else LogbookId("")
    folded = Fold(logbook)
    folded.add(entries)
    return folded


def _by_key(placed: Placed) -> Key:
    return placed[0]


def _is_skewed(entry: Entry) -> bool:
    """Whether the clocks of the phone disagree, or it tells of the future."""
    logged = entry.logged_ms
    return abs(entry.clock[0] - logged) > SKEW_MS or entry.happened_ms - logged > SKEW_MS


_CELLS: Mapping[str, Callable[[Any, Any], Any]] = {
    "part": fold_part,
    "opening": fold_opening,
    "tag": fold_container,
    "fluid": fold_fluid,
    "fit": fold_fit,
    "job": fold_job,
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
    "place": "places",
    "person": "people",
}
