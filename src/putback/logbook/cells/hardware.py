"""The fold of joints and of the hardware that comes out of them.

Joints and bags that share pieces are folded together, as one *cluster*, in the order of their
entries: what a stocktake of a bag finds missing is then missing when the joint is made again.

Counts in entries are observations ("3 of 4 are out"), so the same thing said by two people moves
nothing twice; only the difference to what was known moves hardware.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from putback.logbook.accounts import (
    AS_BUILT,
    BACK_ON,
    BOUGHT,
    FOUND,
    LOST,
    NOT_RECORDED,
    ON_PART,
    ON_VEHICLE,
    OUT,
    OWN_HOLE,
    PATTERN,
    SCRAP,
    STOCK,
    Account,
    Movement,
    in_tag,
)
from putback.logbook.cells.common import CommonBuilder, Placed, said
from putback.logbook.entries.base import Entry, EntryId, Subject, TagCode
from putback.logbook.entries.describing import OneAndSame
from putback.logbook.entries.keeping import Bought, Counted, HardwareMoved
from putback.logbook.entries.rebuilding import Checked, JointMade, Tightness
from putback.logbook.entries.working import JointCracked, JointUndone, Whither
from putback.logbook.state import Check, JointState, Said
from putback.vehicle.ids import JointId
from putback.vehicle.joint import Care, Fixing, Joint

STOCK_OWNER = Subject("stock")
"""Pieces of no known joint belong to the garage's stock."""

_ACCOUNT_OF: Mapping[Whither, Account] = {
    Whither.OWN_HOLE: OWN_HOLE,
    Whither.ON_PART: ON_PART,
    Whither.SCRAP: SCRAP,
    Whither.PATTERN: PATTERN,
    Whither.LOST: LOST,
    Whither.NOT_RECORDED: NOT_RECORDED,
}


def account_of(whither: Whither, tag: TagCode | None) -> Account:
    """Give the account that an entry means by a place and a tag."""
    return in_tag(tag) if tag is not None else _ACCOUNT_OF[whither]


@dataclass(frozen=True, slots=True)
class ClusterFold:
    """What a cluster folds to."""

    joints: Mapping[JointId, JointState]
    movements: Mapping[Subject, tuple[Movement, ...]]


@dataclass(slots=True)
class Ledger:
    """The journal of one cluster and its balances, while it is folded."""

    movements: dict[Subject, list[Movement]] = field(default_factory=dict)
    balances: dict[Account, dict[tuple[Subject, str], int]] = field(
        default_factory=lambda: defaultdict(lambda: defaultdict(int))
    )

    def post(
        self,
        entry: Entry | None,
        owner: Subject,
        spec: str,
        count: int,
        source: Account,
        to: Account,
        *,
        counted: bool = True,
    ) -> None:
        """Move so many pieces; nothing is written for none."""
        if count <= 0 or source == to:
            return
        self.movements.setdefault(owner, []).append(
            Movement(entry.id if entry else None, owner, spec, count, source, to, counted)
        )
        self.balances[source][owner, spec] -= count
        self.balances[to][owner, spec] += count

    def held(self, account: Account, owner: Subject, spec: str) -> int:
        """Pieces in an account; never below none."""
        return max(0, self.balances[account][owner, spec]) if account in self.balances else 0

    def take(
        self,
        entry: Entry,
        owner: Subject,
        spec: str,
        count: int,
        sources: Iterable[Account],
        to: Account,
        *,
        counted: bool = True,
    ) -> int:
        """Move up to ``count`` pieces from the sources in turn; say how many were not there."""
        for source in sources:
            here = min(count, self.held(source, owner, spec))
            self.post(entry, owner, spec, here, source, to, counted=counted)
            count -= here
        return count

    def laid_up(self, owner: Subject) -> list[Account]:
        """Accounts that hold something of the owner while it is off the vehicle."""
        bags = sorted(account for account in self.balances if account.startswith("tag:"))
        return [OWN_HOLE, ON_PART, *bags, OUT, NOT_RECORDED]


@dataclass(slots=True)
class JointBuilder:
    """One joint while its cluster is folded."""

    id: JointId
    joint: Joint | None
    ledger: Ledger
    common: CommonBuilder
    of: int = 1
    out: int = 0
    out_by_fixing: dict[str, int] = field(default_factory=dict)
    stuck: int = 0
    destroyed: int = 0
    cracked: Said | None = None
    undone: Said | None = None
    made: Said | None = None
    tightness: Tightness | None = None
    torque_nm: float | None = None
    locked: bool | None = None
    curing_until: str = ""
    renewed: bool | None = None
    checks: list[Check] = field(default_factory=list)
    times_made: int = 0
    tags: list[TagCode] = field(default_factory=list)
    doubles: list[EntryId] = field(default_factory=list)
    last_count: EntryId | None = None

    def __post_init__(self) -> None:
        """Enter what the description says was there as built."""
        if self.joint is None:
            return
        self.of = self.joint.fixing_count
        for fixing in self.joint.fixings:
            for spec, count in self._pieces(fixing, fixing.count):
                self.ledger.post(None, self.owner, spec, count, AS_BUILT, ON_VEHICLE)

    @property
    def owner(self) -> Subject:
        """The joint as the owner of its pieces."""
        return Subject(f"joint:{self.id}")

    @property
    def counted(self) -> bool:
        """Whether its hardware is counted at all."""
        return self.joint is None or self.joint.level_of_care is not Care.ALL_THERE

    def apply(self, placed: Placed) -> None:
        """Take in one entry."""
        entry = placed[1]
        match entry.body:
            case JointUndone() as body:
                self._undo(placed, body)
            case JointMade() as body:
                self._make(placed, body)
            case JointCracked():
                self.cracked = said(placed)
            case Checked() as body:
                second = self.made is None or self.made.who != entry.who
                self.checks.append(Check(said(placed), body.right, second, body.note))
            case OneAndSame() as body:
                self._settle(placed, body)
            case _:
                self.common.apply(placed)

    def freeze(self) -> JointState:
        """Close the record."""
        return JointState(
            joint=self.id,
            common=self.common.freeze(),
            of=self.of,
            out=self.out,
            stuck=self.stuck,
            destroyed=self.destroyed,
            cracked=self.cracked,
            undone=self.undone,
            made=self.made,
            tightness=self.tightness,
            torque_nm=self.torque_nm,
            locked=self.locked,
            curing_until=self.curing_until,
            renewed=self.renewed,
            checks=tuple(self.checks),
            times_made=self.times_made,
            tags=tuple(self.tags),
            doubles=tuple(self.doubles),
        )

    # -- undoing ----------------------------------------------------------------------------

    def _undo(self, placed: Placed, body: JointUndone) -> None:
        entry = placed[1]
        if body.of is not None and self._is_bare:
            self.of = body.of
        out = self.of if body.out is None else body.out
        contradicts = out < self.out or (body.of is not None and body.of != self.of)
        if contradicts and self.last_count is not None:
            self._doubt(self.last_count)
        if contradicts:
            self._doubt(entry.id)
        newly = min(out, self.of) - self.out
        if body.tag is not None or body.went:
            for tag in (body.tag, *(went.tag for went in body.went)):
                if tag is not None and tag not in self.tags:
                    self.tags.append(tag)
        if newly < 0:
            return
        self.stuck = body.stuck
        self.last_count = entry.id
        if newly == 0:
            return
        self.undone = self.undone or said(placed)
        self.made, self.tightness, self.torque_nm = None, None, None
        self.locked, self.curing_until, self.checks = None, "", []
        broken = min(body.destroyed, newly)
        self.destroyed += broken
        self.out += newly
        ways = [(SCRAP, broken)] if broken else []
        left = newly - broken
        for went in body.went:
            ways.append((account_of(went.to, went.tag), min(left, went.fixings)))
            left -= min(left, went.fixings)
        ways.append((in_tag(body.tag) if body.tag else NOT_RECORDED, left))
        for account, fixings in ways:
            self._move_out(entry, fixings, body.fixing, account)

    @property
    def _is_bare(self) -> bool:
        """Whether nothing is known of its fixings but what entries say."""
        return self.joint is None or not self.joint.fixings

    def _move_out(self, entry: Entry, fixings: int, named: str, account: Account) -> None:
        for fixing, count in self._share(fixings, named, taking=True):
            for spec, pieces in self._pieces(fixing, count):
                short = self.ledger.take(
                    entry,
                    self.owner,
                    spec,
                    pieces,
                    (ON_VEHICLE, BACK_ON),
                    account,
                    counted=self.counted,
                )
                # More came out than was known to be in: the books follow what is in the hand.
                self.ledger.post(
                    entry, self.owner, spec, short, AS_BUILT, account, counted=self.counted
                )

    def _share(self, fixings: int, named: str, *, taking: bool) -> Iterable[tuple[Fixing, int]]:
        """Share so many fixings over the groups of holes, the named one first."""
        groups = self.joint.fixings if self.joint else ()
        for fixing in sorted(groups, key=lambda each: each.id != named):
            out = self.out_by_fixing.get(fixing.id, 0)
            count = min(fixings, fixing.count - out if taking else out)
            if count > 0:
                self.out_by_fixing[fixing.id] = out + (count if taking else -count)
                fixings -= count
                yield fixing, count

    @staticmethod
    def _pieces(fixing: Fixing, count: int) -> Iterable[tuple[str, int]]:
        for piece in fixing.stack:
            if not piece.stays:
                yield piece.spec.text, piece.per_fixing * count

    # -- two people, one joint --------------------------------------------------------------

    def _doubt(self, entry: EntryId) -> None:
        if entry not in self.doubles:
            self.doubles.append(entry)

    def _settle(self, placed: Placed, body: OneAndSame) -> None:
        self.doubles = [each for each in self.doubles if each not in body.entries]
        if body.settled is None:
            return
        settled = min(body.settled, self.of)
        if settled > self.out:
            account = in_tag(self.tags[-1]) if self.tags else NOT_RECORDED
            count, self.out = settled - self.out, settled
            self._move_out(placed[1], count, "", account)
        elif settled < self.out:
            count, self.out = self.out - settled, settled
            for fixing, each in self._share(count, "", taking=False):
                for spec, pieces in self._pieces(fixing, each):
                    self.ledger.take(
                        placed[1],
                        self.owner,
                        spec,
                        pieces,
                        self.ledger.laid_up(self.owner),
                        ON_VEHICLE,
                        counted=self.counted,
                    )

    # -- making -----------------------------------------------------------------------------

    def _make(self, placed: Placed, body: JointMade) -> None:
        entry = placed[1]
        made = self.of if body.made is None else min(body.made, self.of)
        coming = self.out - (self.of - made)
        if coming > 0:
            self._bring_back(entry, coming, body)
            self.out -= coming
            self.times_made += 1
            self.undone = None if self.out == 0 else self.undone
            self.stuck = self.destroyed = 0
            self.renewed = body.renewed
        elif body.renewed is not None:
            self.renewed = body.renewed
        if self.made is None or self.tightness is not body.tightness:
            self.checks = []
        self.made = said(placed)
        self.last_count = None
        self.tightness = body.tightness
        self.torque_nm = body.torque_nm if body.torque_nm is not None else self.torque_nm
        self.locked = body.locked if body.locked is not None else self.locked
        self.curing_until = body.curing_until or self.curing_until

    def _bring_back(self, entry: Entry, fixings: int, body: JointMade) -> None:
        new = defaultdict(int, {each.spec: each.count for each in body.new})
        single_use = {
            piece.spec.text
            for fixing in (self.joint.fixings if self.joint else ())
            for piece in fixing.stack
            if piece.single_use
        }
        for fixing, count in self._share(fixings, "", taking=False):
            for spec, pieces in self._pieces(fixing, count):
                old = self.ledger.laid_up(self.owner)
                if spec in single_use and body.renewed:
                    self.ledger.take(entry, self.owner, spec, pieces, old, SCRAP)
                    self._from_stock(entry, spec, pieces)
                    continue
                fresh = min(new[spec], pieces)
                new[spec] -= fresh
                self._from_stock(entry, spec, fresh)
                self.ledger.take(
                    entry, self.owner, spec, pieces - fresh, old, BACK_ON, counted=self.counted
                )

    def _from_stock(self, entry: Entry, spec: str, count: int) -> None:
        """Take new pieces; what no purchase is on record for was bought all the same."""
        short = self.ledger.take(entry, self.owner, spec, count, (STOCK,), BACK_ON)
        self.ledger.post(entry, self.owner, spec, short, BOUGHT, BACK_ON)


def fold_cluster(
    joints: Iterable[JointId],
    tags: Iterable[TagCode],
    describe: Mapping[JointId, Joint],
    entries: Iterable[Placed],
) -> ClusterFold:
    """Fold joints and bags that share hardware, from their entries in order."""
    ledger = Ledger()
    builders = {
        each: JointBuilder(
            each, describe.get(each), ledger, CommonBuilder(Subject(f"joint:{each}"))
        )
        for each in joints
    }
    known_tags = frozenset(tags)
    by_subject = {builder.owner: builder for builder in builders.values()}
    for placed in entries:
        body = placed[1].body
        match body:
            case HardwareMoved():
                _hardware_moved(ledger, placed[1], body)
            case Bought():
                owner = Subject(f"joint:{body.joint}") if body.joint else STOCK_OWNER
                for each in body.pieces:
                    ledger.post(placed[1], owner, each.spec, each.count, BOUGHT, STOCK)
            case Counted():
                if body.tag in known_tags:
                    _stocktake(ledger, placed[1], body)
            case _:
                for subject in body.subjects():
                    builder = by_subject.get(subject)
                    if builder is not None:
                        builder.apply(placed)
    return ClusterFold(
        {each: builder.freeze() for each, builder in builders.items()},
        {owner: tuple(movements) for owner, movements in ledger.movements.items()},
    )


def _hardware_moved(ledger: Ledger, entry: Entry, body: HardwareMoved) -> None:
    owner = Subject(f"joint:{body.joint}") if body.joint else STOCK_OWNER
    source = account_of(body.source, body.source_tag)
    to = account_of(body.to, body.to_tag)
    for each in body.pieces:
        ledger.post(entry, owner, each.spec, each.count, source, to)


def _stocktake(ledger: Ledger, entry: Entry, body: Counted) -> None:
    """Set a bag's account to what was counted: what is short is lost from this day."""
    account = in_tag(body.tag)
    counted = {each.spec: each.count for each in body.pieces}
    here = ledger.balances.get(account, {})
    specs = set(counted)
    if body.complete:
        specs |= {spec for _, spec in here}
    for spec in sorted(specs):
        owners = sorted(owner for owner, held in here if held == spec)
        surplus = counted.get(spec, 0) - sum(here.get((owner, spec), 0) for owner in owners)
        for owner in owners:
            if surplus < 0:
                gone = min(-surplus, ledger.held(account, owner, spec))
                ledger.post(entry, owner, spec, gone, account, LOST)
                surplus += gone
        if surplus > 0:
            _turned_up(ledger, entry, spec, surplus, owners, account)


def _turned_up(
    ledger: Ledger, entry: Entry, spec: str, surplus: int, owners: list[Subject], account: Account
) -> None:
    """Enter pieces that a count found: first what was missed, else of unknown origin."""
    for owner in owners:
        surplus = ledger.take(entry, owner, spec, surplus, (NOT_RECORDED, LOST), account)
    # Of unknown origin it belongs to the bag in which it was found.
    owner = owners[0] if len(owners) == 1 else Subject(account)
    ledger.post(entry, owner, spec, surplus, FOUND, account)
