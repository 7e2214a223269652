"""The fold of joints and of the hardware that comes out of them.

Joints and bags that share pieces are folded together, as one *cluster*, in the order of their
entries: what a stocktake of a bag finds missing is then missing when the joint is made again.

Counts in entries are observations ("3 of 4 are out"), so the same thing said by two people moves
nothing twice; only the difference to what was known moves hardware.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from putback.logbook.accounts import (
    AS_BUILT,
    BACK_ON,
    BOUGHT,
    LOST,
    NOT_RECORDED,
    ON_VEHICLE,
    PATTERN,
    SCRAP,
    STOCK,
    Account,
    Movement,
    in_tag,
)
from putback.logbook.cells.bags import move_pieces, take_stock
from putback.logbook.cells.common import CommonBuilder, Placed, said
from putback.logbook.cells.ledger import STOCK_OWNER, Ledger, account_of, by_spec, fixings_among
from putback.logbook.common import Said
from putback.logbook.entries.base import Entry, EntryId, Subject, TagCode
from putback.logbook.entries.describing import OneAndSame
from putback.logbook.entries.keeping import Bought, Counted, HardwareMoved
from putback.logbook.entries.rebuilding import Checked, JointMade, Tightness
from putback.logbook.entries.working import JointCracked, JointUndone, SeenFree, Whither
from putback.logbook.state import Check, JointState
from putback.vehicle.ids import JointId
from putback.vehicle.joint import Care, Fixing, Joint


@dataclass(frozen=True, slots=True)
class ClusterFold:
    """What a cluster folds to."""

    joints: Mapping[JointId, JointState]
    movements: Mapping[Subject, tuple[Movement, ...]]


_TIGHT = frozenset({Tightness.TIGHTENED, Tightness.SET, Tightness.FINAL})


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
    lost: int = 0
    bagged: int = 0
    cracked: Said | None = None
    undone: Said | None = None
    made: Said | None = None
    closed: Said | None = None
    tightness: Tightness | None = None
    torque_nm: float | None = None
    locked: bool | None = None
    curing_until: str = ""
    renewed: bool | None = None
    checks: list[Check] = field(default_factory=list)
    times_made: int = 0
    tags: dict[TagCode, EntryId] = field(default_factory=dict)
    """Bags its hardware was put in, and by which entry first."""
    doubles: list[EntryId] = field(default_factory=list)
    in_two_bags: list[EntryId] = field(default_factory=list)
    counted: Said | None = None
    seen_free: Said | None = None

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
    def keeps_count(self) -> bool:
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
                self.common.worked_on()
            case SeenFree():
                self.seen_free = said(placed)
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
            lost=self.lost,
            bagged=self.bagged,
            counted=self.counted,
            cracked=self.cracked,
            undone=self.undone,
            made=self.made,
            closed=self.closed,
            tightness=self.tightness,
            torque_nm=self.torque_nm,
            locked=self.locked,
            curing_until=self.curing_until,
            renewed=self.renewed,
            checks=tuple(self.checks),
            times_made=self.times_made,
            tags=tuple(self.tags),
            doubles=tuple(self.doubles),
            seen_free=self.seen_free,
            in_two_bags=tuple(self.in_two_bags),
        )

    # -- undoing ----------------------------------------------------------------------------

    def _undo(self, placed: Placed, body: JointUndone) -> None:
        entry = placed[1]
        if body.of is not None and self.is_bare:
            self.of = body.of
        out = self.of if body.out is None else body.out
        contradicts = out < self.out or (body.of is not None and body.of != self.of)
        if contradicts and self.counted is not None:
            _doubt(self.doubles, self.counted.entry)
        if contradicts:
            _doubt(self.doubles, entry.id)
        newly = min(out, self.of) - self.out
        self._put_in_bags(entry.id, body, again=newly <= 0)
        if newly < 0:
            return
        self.stuck = body.stuck
        self.counted = said(placed)
        if newly == 0:
            return
        self.common.worked_on()
        self.undone = self.undone or said(placed)
        self.made, self.closed, self.tightness, self.torque_nm = None, None, None, None
        self.locked, self.renewed, self.curing_until, self.checks = None, None, "", []
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
        if self.is_bare:  # no account has them
            self.lost += sum(fixings for account, fixings in ways if account == LOST)
            self.bagged += sum(fixings for account, fixings in ways if account.startswith("tag:"))
        if self.is_bare and self.is_out:
            self._move_all(entry, (ON_VEHICLE, BACK_ON), max(ways, key=_fixings)[0])

    def _put_in_bags(self, entry: EntryId, body: JointUndone, *, again: bool) -> None:
        """Note the bags it names; what was out before (``again``) lies in one bag, not in two."""
        named = (tag for tag in (body.tag, *(went.tag for went in body.went)) if tag is not None)
        other = {tag: entry for tag in named if tag not in self.tags}
        if again and self.tags and not all(map(self._is_in, other)):
            _doubt(self.in_two_bags, *self.tags.values(), entry)
        self.tags |= other

    def _is_in(self, tag: TagCode) -> bool:
        """Whether the books have pieces of it in a bag already."""
        return bool(self.ledger.specs_of(self.owner, (in_tag(tag),)))

    @property
    def is_out(self) -> bool:
        """Whether nothing of it holds any more."""
        return self.out >= self.of

    def _move_all(self, entry: Entry, sources: Iterable[Account], to: Account) -> None:
        """Move all that is known of its pieces, where nobody said how many a fixing has."""
        sources = list(sources)
        for spec in self.ledger.specs_of(self.owner, sources):
            for source in sources:
                count = self.ledger.held(source, self.owner, spec)
                self.ledger.post(entry, self.owner, spec, count, source, to)

    @property
    def is_bare(self) -> bool:
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
                    counted=self.keeps_count,
                )
                # More came out than was known to be in: the books follow what is in the hand.
                self.ledger.post(
                    entry, self.owner, spec, short, AS_BUILT, account, counted=self.keeps_count
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

    def turn_up(self, body: HardwareMoved) -> None:
        """Take off the loss what was found again, where no account has it."""
        found = min(self.lost, fixings_among(by_spec(body.pieces)))
        if self.is_bare and body.source is Whither.LOST:
            self.lost -= found
            self.bagged += found if body.to is Whither.TAG else 0

    # -- two people, one joint --------------------------------------------------------------

    def _settle(self, placed: Placed, body: OneAndSame) -> None:
        self.doubles = [each for each in self.doubles if each not in body.entries]
        self.in_two_bags = [each for each in self.in_two_bags if each not in body.entries]
        if body.settled is None or self.counted is None:
            return  # made again since then: how many were out is history
        self.counted = said(placed)
        settled = min(body.settled, self.of)
        if settled > self.out:
            account = in_tag([*self.tags][-1]) if self.tags else NOT_RECORDED
            count, self.out = settled - self.out, settled
            self._move_out(placed[1], count, "", account)
        elif settled < self.out:
            count, self.out = self.out - settled, settled
            # What was counted too many never came out, wherever it was said to have gone.
            said_gone = (*self.ledger.laid_up(self.owner), PATTERN, LOST, SCRAP)
            for fixing, each in self._share(count, "", taking=False):
                for spec, pieces in self._pieces(fixing, each):
                    self.ledger.take(
                        placed[1],
                        self.owner,
                        spec,
                        pieces,
                        said_gone,
                        ON_VEHICLE,
                        counted=self.keeps_count,
                    )
        self.destroyed = min(self.destroyed, self.out)
        self.lost = min(self.lost, self.out - self.destroyed)
        self.bagged = min(self.bagged, self.out - self.destroyed - self.lost)
        self.undone = self.undone if self.out else None

    # -- making -----------------------------------------------------------------------------

    def _make(self, placed: Placed, body: JointMade) -> None:
        entry = placed[1]
        made = self.of if body.made is None else min(body.made, self.of)
        coming = self.out - (self.of - made)
        if coming > 0:
            self._bring_back(entry, coming, body)
            self.out -= coming
            self.times_made += 1
            self.stuck = self.destroyed = self.lost = self.bagged = 0
            self.renewed = (
                body.renewed if self.made is None else _lesser(self.renewed, body.renewed)
            )
        else:
            self._add_new(entry, body)
            self.renewed = self.renewed if body.renewed is None else body.renewed
        if self.out == 0:
            self.undone, self.tags = None, {}
            self.doubles, self.in_two_bags = [], []
            if self.is_bare:
                self._move_all(entry, self.ledger.laid_up(self.owner), BACK_ON)
        if self.made is None or self.tightness is not body.tightness:
            self.checks = []
        if coming > 0 or not self.is_tight:
            self.closed = said(placed)
        self.made = said(placed)
        self.counted = self.seen_free = None
        self.common.worked_on()
        self.tightness = body.tightness
        self.torque_nm = body.torque_nm if body.torque_nm is not None else self.torque_nm
        self.locked = body.locked if body.locked is not None else self.locked
        self.curing_until = body.curing_until or self.curing_until

    @property
    def is_tight(self) -> bool:
        """Whether it was made tight, and not cracked since."""
        if self.made is None or self.tightness not in _TIGHT:
            return False
        return self.cracked is None or self.cracked.key < self.made.key

    def _bring_back(self, entry: Entry, fixings: int, body: JointMade) -> None:
        new = by_spec(body.new)
        for fixing, count in self._share(fixings, "", taking=False):
            for spec, pieces in self._pieces(fixing, count):
                old = self.ledger.laid_up(self.owner)
                if spec in self._single_use and body.renewed:
                    self.ledger.take(
                        entry, self.owner, spec, pieces, old, SCRAP, counted=self.keeps_count
                    )
                    self._from_stock(entry, spec, pieces)
                    continue
                fresh = min(new.get(spec, 0), pieces)
                new[spec] = new.get(spec, 0) - fresh
                self._from_stock(entry, spec, fresh)
                self.ledger.take(
                    entry, self.owner, spec, pieces - fresh, old, BACK_ON, counted=self.keeps_count
                )

    def _add_new(self, entry: Entry, body: JointMade) -> None:
        """Enter new pieces that are only told of now, in a joint that was made before."""
        on = (ON_VEHICLE, BACK_ON)
        if body.renewed and not self.renewed:
            for spec in sorted(self._single_use):
                count = sum(self.ledger.held(account, self.owner, spec) for account in on)
                self.ledger.take(
                    entry, self.owner, spec, count, on, SCRAP, counted=self.keeps_count
                )
                self._from_stock(entry, spec, count)
        new = by_spec(body.new)
        for spec, wanted in self._wanted_on().items():
            lacking = wanted - sum(self.ledger.held(account, self.owner, spec) for account in on)
            self._from_stock(entry, spec, min(new.get(spec, 0), max(0, lacking)))

    def _wanted_on(self) -> dict[str, int]:
        """How many pieces of each specification its fixings that are in should hold."""
        wanted: dict[str, int] = {}
        for fixing in self.joint.fixings if self.joint else ():
            here = fixing.count - self.out_by_fixing.get(fixing.id, 0)
            for spec, pieces in self._pieces(fixing, here):
                wanted[spec] = wanted.get(spec, 0) + pieces
        return wanted

    @property
    def _single_use(self) -> frozenset[str]:
        fixings = self.joint.fixings if self.joint else ()
        return frozenset(
            piece.spec.text
            for fixing in fixings
            for piece in fixing.stack
            if piece.single_use and not piece.stays
        )

    def _from_stock(self, entry: Entry, spec: str, count: int) -> None:
        """Take new pieces; what no purchase is on record for was bought all the same."""
        told = self.keeps_count
        short = self.ledger.take(entry, self.owner, spec, count, (STOCK,), BACK_ON, counted=told)
        self.ledger.post(entry, self.owner, spec, short, BOUGHT, BACK_ON, counted=told)


def _doubt(open_: list[EntryId], *entries: EntryId) -> None:
    """Add entries to those that contradict each other, each once."""
    open_ += [each for each in entries if each not in open_]


def _fixings(way: tuple[Account, int]) -> int:
    return way[1]


def _lesser(before: bool | None, now: bool | None) -> bool | None:
    """Of two tellings whether pieces are new: the one that promises less."""
    if before is False or now is False:
        return False
    return None if before is None or now is None else True


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
                move_pieces(ledger, placed[1], body)
                if body.joint in builders:
                    builders[body.joint].turn_up(body)
            case Bought():
                owner = Subject(f"joint:{body.joint}") if body.joint else STOCK_OWNER
                for spec, count in by_spec(body.pieces).items():
                    ledger.post(placed[1], owner, spec, count, BOUGHT, STOCK)
            case Counted():
                if body.tag in known_tags:
                    nameless = [
                        each.owner
                        for each in builders.values()
                        if each.is_bare and body.tag in each.tags
                    ]
                    take_stock(ledger, placed[1], body, nameless)
            case _:
                for subject in placed[1].brief.subjects:
                    builder = by_subject.get(subject)
                    if builder is not None:
                        builder.apply(placed)
    return ClusterFold(
        {each: builder.freeze() for each, builder in builders.items()},
        {owner: tuple(movements) for owner, movements in ledger.movements.items()},
    )
