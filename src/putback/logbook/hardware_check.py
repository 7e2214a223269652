"""The hardware check: by joint, by tag and by specification, what is short and what is left over.

It reads the accounts of a state and compares them with what the description says belongs into
each joint (or, where nobody described it, with what came out of it). Where nobody counted, the
figures are what the description leads one to expect, and the check says so.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from putback.logbook.accounts import (
    AS_BUILT,
    BACK_ON,
    FOUND,
    LOST,
    NOT_RECORDED,
    ON_PART,
    ON_VEHICLE,
    OWN_HOLE,
    PATTERN,
    SCRAP,
    STOCK,
    Account,
)
from putback.logbook.came_off import parts_laid_away
from putback.logbook.cells.ledger import fixings_among
from putback.logbook.entries.base import EntryId, Subject, TagCode
from putback.logbook.state import ContainerState, FitState, JointState, State
from putback.vehicle.ids import JointId
from putback.vehicle.joint import Care, Joint

Held = Mapping[Account, int]
"""Pieces by account; only accounts that hold something."""

_ON = (ON_VEHICLE, BACK_ON)
_GONE = (SCRAP, PATTERN, LOST)


def is_laid_up(account: Account) -> bool:
    """Whether what the account holds is off the vehicle and waits to go back on."""
    return account.startswith("tag:") or account in {OWN_HOLE, ON_PART, NOT_RECORDED, "out"}


@dataclass(frozen=True, slots=True)
class Line:
    """One specification of one owner: a joint, a bag with pieces of no known joint, or stock."""

    owner: Subject
    spec: str
    wanted: int
    """Pieces that belong on the vehicle when the joint is made."""
    held: Held
    complete: bool
    """Whether nothing of the joint is undone; always so for what is no joint."""
    counted: bool = True
    """Whether somebody counted; else the figures are what the description says."""
    single_use: bool = False

    @property
    def on(self) -> int:
        """Pieces on the vehicle."""
        return sum(self.held.get(account, 0) for account in _ON)

    @property
    def laid_up(self) -> Held:
        """Pieces that wait to go back on, by account."""
        return {each: count for each, count in self.held.items() if is_laid_up(each)}

    @property
    def new(self) -> int:
        """Pieces in new stock for this joint."""
        return self.held.get(STOCK, 0)

    @property
    def gone(self) -> Held:
        """Pieces that will not go back on: scrap, kept as pattern, lost."""
        return {each: self.held[each] for each in _GONE if each in self.held}

    @property
    def short(self) -> int:
        """Pieces to find or buy before the joint can be whole."""
        return max(0, self.wanted - self.on - sum(self.laid_up.values()) - self.new)

    @property
    def over(self) -> int:
        """Pieces left over: more than belong, or still laid up though the joint is made."""
        laid_up = sum(self.laid_up.values())
        return laid_up if self.complete else max(0, self.on + laid_up - self.wanted)

    @property
    def to_go_on(self) -> int:
        """Pieces that are not on the vehicle yet, wherever they are."""
        return max(0, self.wanted - self.on)


@dataclass(frozen=True, slots=True)
class JointCheck:
    """One owner and its lines."""

    owner: Subject
    lines: tuple[Line, ...]

    @property
    def short(self) -> int:
        """Pieces to find or buy."""
        return sum(line.short for line in self.lines)

    @property
    def over(self) -> int:
        """Pieces left over."""
        return sum(line.over for line in self.lines)


@dataclass(frozen=True, slots=True)
class TagPieces:
    """So many pieces of one owner and specification in a bag."""

    owner: Subject
    spec: str
    count: int
    counted: bool


@dataclass(frozen=True, slots=True)
class TagCheck:
    """One bag: what is in it, what a count missed and what it found beyond what was known."""

    tag: TagCode
    pieces: tuple[TagPieces, ...]
    short: int
    """Pieces that were missed in a count and have not turned up."""
    over: int
    """Pieces in it that will not be wanted: their joint is made, or has all it takes."""
    counted_by: EntryId | None
    """The last stocktake."""


@dataclass(frozen=True, slots=True)
class SpecCheck:
    """One specification over the whole vehicle."""

    spec: str
    wanted: int
    on: int
    laid_up: int
    new: int
    short: int
    over: int
    counted: bool


@dataclass(frozen=True)
class HardwareCheck:
    """What is where, short and over; ``closes`` when the rebuild has left nothing behind."""

    joints: tuple[JointCheck, ...]
    tags: tuple[TagCheck, ...]
    specs: tuple[SpecCheck, ...]
    fits_in: tuple[FitState, ...]
    """Temporary fits that are still in."""
    apart: tuple[Subject, ...] = ()
    """Joints that are not whole and parts that are off, whatever is known of their hardware."""

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """All lines, joint by joint."""
        return tuple(line for joint in self.joints for line in joint.lines)

    @cached_property
    def short(self) -> int:
        """Pieces to find or buy."""
        return sum(joint.short for joint in self.joints)

    @cached_property
    def over(self) -> int:
        """Pieces left over."""
        return sum(joint.over for joint in self.joints)

    @cached_property
    def to_go_on(self) -> int:
        """Pieces that are not on the vehicle yet, wherever they are."""
        return sum(line.to_go_on for line in self.lines)

    @property
    def closes(self) -> bool:
        """Whether all is back on, nothing is left over and no temporary fit is in."""
        return not (self.apart or self.to_go_on or self.over or self.fits_in)


def hardware_check(state: State) -> HardwareCheck:
    """Compare the hardware accounts with what belongs into each joint."""
    held: dict[Subject, dict[str, dict[Account, int]]] = defaultdict(lambda: defaultdict(dict))
    for (account, owner, spec), count in state.balances.items():
        held[owner][spec][account] = count
    missing = {
        Subject(f"joint:{joint}"): line
        for joint in state.joints
        if (line := tuple(_fixings_missing(state, joint)))
    }
    owners = [Subject(f"joint:{joint}") for joint in state.vehicle.joints]
    owners += sorted(owner for owner in {*held, *missing} if owner not in set(owners))
    joints = tuple(
        JointCheck(owner, these)
        for owner in owners
        if (these := (*_lines(state, owner, held.get(owner, {})), *missing.get(owner, ())))
    )
    lines = [line for joint in joints for line in joint.lines]
    return HardwareCheck(
        joints,
        tuple(_tags(state, lines)),
        tuple(_specs(lines)),
        tuple(fit for _, fit in sorted(state.fits.items()) if fit.fitted and fit.off is None),
        tuple(_apart(state)),
    )


def _apart(state: State) -> Iterator[Subject]:
    """Name what is not back together: a part that is gone for good is not waited for."""
    for joint in sorted({*state.vehicle.joints, *state.joints}):
        if not _is_whole(state, joint):
            yield Subject(f"joint:{joint}")
    laid_away = parts_laid_away(state)
    for part, record in sorted(state.parts.items()):
        if (record.is_off or part in laid_away) and record.gone is None:
            yield Subject(f"part:{part}")


def _is_whole(state: State, joint: JointId) -> bool:
    """Whether none of its fixings is out, and its parts are together."""
    record = state.joints.get(joint)
    return not (record and record.out) and not _is_apart(state, state.vehicle.joints.get(joint))


def _lines(state: State, owner: Subject, held: Mapping[str, Held]) -> Iterator[Line]:
    identity = joint_of(owner)
    joint = state.vehicle.joints.get(identity) if identity else None
    wanted, single_use = _described(joint)
    complete = identity is None or _is_whole(state, identity)
    for spec in dict.fromkeys((*wanted, *sorted(held))):
        here = held.get(spec, {})
        # What nobody described is wanted again as it was seen to come out.
        seen = -here.get(AS_BUILT, 0) - here.get(FOUND, 0)
        yield Line(
            owner,
            spec,
            wanted.get(spec, 0) if wanted or identity is None else seen,
            here,
            complete,
            is_counted(state, owner, spec, here),
            spec in single_use,
        )


UNKNOWN_SIZE = "fixing of unknown size"
"""Stands for the specification where nobody described what fixings a joint has."""


def missing_fixings(state: State, joint: JointId) -> int:
    """Say how many fixings of a joint want new ones, where nobody described what they are."""
    return sum(line.short for line in _fixings_missing(state, joint))


def _fixings_missing(state: State, joint: JointId) -> Iterator[Line]:
    """Give what went missing or was destroyed of such a joint, less what was bought for it."""
    seen, about = state.joints.get(joint), state.vehicle.joints.get(joint)
    if seen is None or (about and about.fixings):
        return
    owner = Subject(f"joint:{joint}")
    known: dict[str, int] = defaultdict(int)
    new: dict[str, int] = defaultdict(int)
    for (account, spec), count in state.held_of.get(owner, {}).items():
        if account in {AS_BUILT, FOUND}:
            known[spec] -= count
        elif account == STOCK:
            new[spec] += count
    lost = seen.lost
    if (counted := fixings_among(known)) and _are_all_counted(state, seen):
        lost += max(0, seen.bagged - counted)
    gone = {account: many for account, many in ((SCRAP, seen.destroyed), (LOST, lost)) if many}
    wanted = sum(gone.values()) - fixings_among(new)
    if wanted > 0:
        yield Line(owner, UNKNOWN_SIZE, wanted, gone, complete=False)


def _are_all_counted(state: State, seen: JointState) -> bool:
    """Whether all that is in its bags was counted since it was last worked on."""
    bags = [state.containers.get(tag) for tag in seen.tags]
    return seen.counted is not None and all(
        bag and bag.counted and bag.counted.key > seen.counted.key for bag in bags
    )


def _is_apart(state: State, joint: Joint | None) -> bool:
    """Whether a part of the joint is off and another on, whatever was said of the joint."""
    parts = joint.parts if joint else ()
    off = sum(part in state.parts_off for part in parts)
    return 0 < off < len(parts)


def joint_of(owner: Subject) -> JointId | None:
    """Name the joint that owns pieces; ``None`` for stock, and for a bag of unknown things."""
    kind, _, identity = owner.partition(":")
    return JointId(identity) if kind == "joint" else None


def _described(joint: Joint | None) -> tuple[Mapping[str, int], frozenset[str]]:
    """How many pieces of each specification a joint takes, and which are used once."""
    wanted: dict[str, int] = {}
    single_use: set[str] = set()
    for fixing in joint.fixings if joint else ():
        for piece in fixing.stack:
            if not piece.stays:
                spec = piece.spec.text
                wanted[spec] = wanted.get(spec, 0) + piece.per_fixing * fixing.count
                if piece.single_use:
                    single_use.add(spec)
    return wanted, frozenset(single_use)


def is_counted(state: State, owner: Subject, spec: str, held: Held) -> bool:
    """Whether somebody counted; else the figures are what the description says."""
    identity = joint_of(owner)
    joint = state.vehicle.joints.get(identity) if identity else None
    counts = joint is None or joint.level_of_care is not Care.ALL_THERE
    return counts or _was_counted(state, owner, spec, held)


def said_of(counted: bool) -> str:
    """Say beside figures that nobody counted them."""
    return "" if counted else " (not counted)"


def _was_counted(state: State, owner: Subject, spec: str, held: Held) -> bool:
    """Whether somebody has counted what nobody usually counts, since it was last worked on."""
    moved = [each for each in state.movements.get(owner, ()) if each.spec == spec and each.entry]
    if moved and moved[-1].counted:
        return True
    identity = joint_of(owner)
    record = state.joints.get(identity) if identity else None
    bags = [account.removeprefix("tag:") for account in held if is_laid_up(account)]
    if record is None or record.counted is None or not bags:
        return False
    counts = [state.containers.get(TagCode(bag), ContainerState(TagCode(bag))) for bag in bags]
    return all(each.counted and each.counted.key > record.counted.key for each in counts)


def _tags(state: State, lines: Iterable[Line]) -> Iterator[TagCheck]:
    pieces: dict[TagCode, list[TagPieces]] = defaultdict(list)
    over: dict[TagCode, int] = defaultdict(int)
    for line in lines:
        left = line.over
        for account, count in sorted(line.laid_up.items()):
            if account.startswith("tag:"):
                tag = TagCode(account.removeprefix("tag:"))
                pieces[tag].append(TagPieces(line.owner, line.spec, count, line.counted))
                over[tag] += min(left, count)
                left -= min(left, count)
    missed = _missed(state)
    for tag in sorted({*pieces, *state.containers, *missed}):
        container = state.containers.get(tag)
        counted = container.counted.entry if container and container.counted else None
        yield TagCheck(tag, tuple(pieces[tag]), missed.get(tag, 0), over[tag], counted)


def _missed(state: State) -> Mapping[TagCode, int]:
    """Pieces that went from a bag to the lost, less those that came back out of the lost."""
    still_lost = {
        (owner, spec): count
        for (account, owner, spec), count in state.balances.items()
        if account == LOST and count > 0
    }
    missed: dict[TagCode, int] = defaultdict(int)
    for each in reversed(list(state.all_movements())):
        if each.to == LOST and each.source.startswith("tag:"):
            count = min(each.count, still_lost.get((each.owner, each.spec), 0))
            if count:
                missed[TagCode(each.source.removeprefix("tag:"))] += count
                still_lost[each.owner, each.spec] -= count
    return missed


def _specs(lines: Iterable[Line]) -> Iterator[SpecCheck]:
    by_spec: dict[str, list[Line]] = defaultdict(list)
    for line in lines:
        by_spec[line.spec].append(line)
    for spec, these in sorted(by_spec.items()):
        yield SpecCheck(
            spec,
            wanted=sum(line.wanted for line in these),
            on=sum(line.on for line in these),
            laid_up=sum(sum(line.laid_up.values()) for line in these),
            new=sum(line.new for line in these),
            short=sum(line.short for line in these),
            over=sum(line.over for line in these),
            counted=all(line.counted for line in these),
        )


# -- in words -----------------------------------------------------------------------------------


def sentences(check: HardwareCheck, name: Callable[[str], str]) -> tuple[str, ...]:
    """Say what is short and over, one sentence a line, and at the end whether it closes."""
    said = [sentence for line in check.lines for sentence in _of_line(line, name)]
    said += [f"{fit.what or fit.fit} is still fitted for now" for fit in check.fits_in]
    if check.closes:
        said.append("the hardware check closes: nothing short, nothing left over")
    elif check.short or check.over:
        said.append(f"{check.short} short, {check.over} left over")
    elif check.to_go_on:
        said.append(f"{check.to_go_on} still to go on, nothing short")
    elif check.apart:
        said.append("nothing short, and not all is back together")
    return tuple(said)


def _of_line(line: Line, name: Callable[[str], str]) -> Iterator[str]:
    about = said_of(line.counted)
    if line.short:
        gone = ", ".join(f"{count} {account}" for account, count in sorted(line.gone.items()))
        yield f"{name(line.owner)}: {line.short} × {line.spec} short" + (
            f" ({gone}){about}" if gone else about
        )
    if line.over:
        where = ", ".join(
            f"{count} {say_account(account)}" for account, count in sorted(line.laid_up.items())
        )
        yield f"{name(line.owner)}: {line.over} × {line.spec} left over: {where}{about}"


def say_account(account: Account) -> str:
    """Say where the pieces of an account are."""
    if account.startswith("tag:"):
        return f"in {account.removeprefix('tag:')}"
    return {OWN_HOLE: "in its own hole", ON_PART: "on the part"}.get(account, str(account))


def entries_into(
    state: State, owner: Subject, accounts: Iterable[Account], spec: str | None = None
) -> tuple[EntryId, ...]:
    """Name the entries that moved pieces of an owner into accounts, latest first."""
    wanted = frozenset(accounts)
    return tuple(
        dict.fromkeys(
            each.entry
            for each in reversed(state.movements.get(owner, ()))
            if each.entry and each.to in wanted and spec in {None, each.spec}
        )
    )
