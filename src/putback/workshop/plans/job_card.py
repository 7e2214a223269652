"""The card of one job: all that whoever does it wants to know, from the plan's step and the state.

A pure function of the two. Words are those of the plan and the description; what is computed or
described stays a guide, and the maker's data come first.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from putback.logbook.entries.base import EntryId
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.open_items.wording import count
from putback.logbook.state import OpeningState, State
from putback.planning.plan import Action, Because, Step
from putback.vehicle.fastener import is_piece
from putback.vehicle.fastener_kind import FastenerKind, Role
from putback.vehicle.ids import (
    AssemblyId,
    JointId,
    OpeningId,
    PartId,
    Ref,
    StandingId,
    split_ref,
)
from putback.vehicle.job import JobKind
from putback.vehicle.joint import (
    Care,
    Does,
    FinalWhen,
    Fixing,
    Joint,
    Piece,
    WhenUndone,
)
from putback.vehicle.vehicle import Vehicle

_CLOSE, _MARK = "close ", "mark: "
_STANDS_FOR = {
    Action.CRACK: "Crack loose",
    Action.UNDO: "Undo",
    Action.TAKE_OFF: "Take off",
    Action.DO: "Do",
    Action.PUT_ON: "Put on",
    Action.MAKE: "Make, loose",
    Action.TIGHTEN: "Tighten",
    Action.FINISH: "Tighten for good",
    Action.CHECK: "Check",
    Action.FILL: "Fill",
    Action.BLEED: "Bleed",
    Action.PREPARE: "Make ready",
}


class Deed(StrEnum):
    """What is logged once the job is done."""

    UNDONE = "undone"
    CRACKED = "cracked"
    OFF = "off"
    ON = "on"
    MADE = "made"
    CHECKED = "checked"
    DONE = "done"
    FILLED = "filled"
    BLED = "bled"
    PREPARED = "prepared"
    STOOD = "stood"


def verb_of(action: Action) -> str:
    """Say what is done, as in *Take off*."""
    return _STANDS_FOR[action]


_DEEDS = {
    Action.CRACK: Deed.CRACKED,
    Action.UNDO: Deed.UNDONE,
    Action.TAKE_OFF: Deed.OFF,
    Action.DO: Deed.DONE,
    Action.PUT_ON: Deed.ON,
    Action.MAKE: Deed.MADE,
    Action.TIGHTEN: Deed.MADE,
    Action.FINISH: Deed.MADE,
    Action.CHECK: Deed.CHECKED,
    Action.FILL: Deed.FILLED,
    Action.BLEED: Deed.BLED,
    Action.PREPARE: Deed.PREPARED,
}


_LOOKED_AT = "looked at through its whole travel"
"""How a hose is prepared that was looked at, as it is no joint that could be checked."""


@dataclass(frozen=True, slots=True)
class End:
    """An opening that the job leaves open: so many ends to close, and with what."""

    opening: OpeningId
    name: str
    ends: int
    closed_with: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark to make before a part comes off."""

    part: PartId
    how: str
    where: str
    record: str
    words: str


@dataclass(frozen=True, slots=True)
class JobCard:
    """One job; times in [minutes], torque in [N·m]."""

    deed: Deed
    what: Ref
    identity: str
    """Of the joint, part, assembly, job, fluid or standing that ``what`` names."""
    is_joint: bool
    verb: str
    title: str
    fastenings: tuple[str, ...] = ()
    """What holds, a line for each group of holes."""
    pieces: str = ""
    """What comes out or goes in, counted: ``4 bolts``; empty where nothing is counted."""
    of: int = 1
    """Fixings of the joint."""
    out: int = 0
    """Of them out already."""
    has_pieces: bool = False
    """Whether anything comes loose that must be kept somewhere."""
    is_exact: bool = False
    """Whether its hardware is kept apart from any other."""
    tool: str = ""
    minutes: float = 0.0
    setup_minutes: float = 0.0
    crew: int = 1
    standing: str = ""
    zone: str = ""
    first: tuple[str, ...] = ()
    """What to photograph, measure or look at before."""
    marks: tuple[Mark, ...] = ()
    close: tuple[End, ...] = ()
    drops: str = ""
    """What lets go, in words."""
    prop: str = ""
    support: str = ""
    cautions: tuple[str, ...] = ()
    why: tuple[str, ...] = ()
    torque: str = ""
    torque_nm: float | None = None
    tightness: Tightness | None = None
    locks: bool = False
    """Whether something keeps it from coming undone that can be logged as fitted."""
    renew: tuple[str, ...] = ()
    take_out: tuple[str, ...] = ()
    waits_for: str = ""
    parts: tuple[PartId, ...] = ()
    """That come off, or go on."""
    whole: AssemblyId | None = None
    """The assembly they come off with."""
    made_by: EntryId | None = None
    """The entry by which a joint was made that is to be checked."""
    how: str = ""
    """How what is prepared is usually prepared; empty where only whoever did it knows."""
    stands_so: bool = True
    """Whether the vehicle stands as the job wants it."""

    @property
    def tightnesses(self) -> tuple[Tightness, ...]:
        """How far a joint is usually made: what a person chooses from."""
        return (
            Tightness.FINGER_TIGHT,
            Tightness.NIPPED,
            Tightness.TIGHTENED,
            Tightness.FINAL,
        )

    @property
    def can_hurt(self) -> bool:
        """Whether the maker's data must be pointed to."""
        return bool(self.cautions or self.torque or self.prop or self.support or self.drops)


def job_card(step: Step, state: State, later: Sequence[Step] = ()) -> JobCard:
    """Make the card of a step of a plan; ``later`` are the steps behind it, for why it is now."""
    kind, identity = split_ref(step.what)
    joint = state.vehicle.joints.get(JointId(identity)) if kind == "joint" else None
    ends = tuple(_ends(step, state, JointId(identity))) if kind == "joint" else ()
    is_off = step.action is Action.TAKE_OFF
    parts = _parts(kind, identity, state, to_come_off=is_off)
    marks = tuple(_marks(state, parts)) if is_off else ()
    told = (*((_CLOSE,) if ends else ()), *((_MARK,) if marks else ()))
    notes = [each for each in step.notes if not each.startswith(told)]
    seen = state.joints.get(JointId(identity)) if kind == "joint" else None
    of = joint.fixing_count if joint and joint.fixings else seen.of if seen else 1
    out = seen.out if seen and step.action is Action.UNDO else 0
    drops = _drops(joint.moves(state.parts_off)) if joint and step.action is Action.UNDO else ""
    is_looked_at = step.action is Action.CHECK and kind != "joint"
    return JobCard(
        deed=Deed.PREPARED if is_looked_at else _DEEDS[step.action],
        what=step.what,
        identity=identity,
        is_joint=kind == "joint",
        verb=verb_of(step.action),
        title=state.name_of(step.what),
        fastenings=tuple(_fastening(each, step.action) for each in joint.fixings) if joint else (),
        pieces=_pieces(joint, max(of - out, 0)) if joint else "",
        of=of,
        out=out,
        has_pieces=kind == "joint" and _has_pieces(joint),
        is_exact=joint is not None and joint.level_of_care is Care.EXACT,
        tool=step.tool,
        minutes=step.minutes,
        setup_minutes=step.setup_minutes,
        crew=step.people,
        standing=state.name_of(f"standing:{step.standing}") if step.standing else "",
        zone=state.name_of(f"zone:{step.zone}") if step.zone else "",
        first=tuple(notes),
        close=ends,
        drops=drops,
        prop=step.prop_first,
        support=step.add_support,
        cautions=tuple(each for each in step.cautions if each.casefold() != drops.casefold()),
        why=tuple(dict.fromkeys(_why(step, later, state))),
        torque=step.torque,
        torque_nm=joint.tightening.torque_nm if joint else None,
        tightness=_tightness(step.action, joint, state.vehicle),
        locks=bool(joint and joint.locks()),
        renew=step.renew,
        take_out=step.take_out,
        waits_for=step.waits_for,
        parts=parts,
        whole=AssemblyId(identity) if kind == "assembly" and is_off else None,
        made_by=seen.made.entry if seen and seen.made else None,
        how=_LOOKED_AT if is_looked_at else "",
        stands_so=not is_stood_otherwise(step, state),
        marks=marks,
    )


def standing_card(standing: StandingId, state: State, cautions: tuple[str, ...] = ()) -> JobCard:
    """Make the card of a change of standing, which comes before the next job.

    ``cautions`` is what gets harder, impossible or dangerous by it, in words.
    """
    described = state.vehicle.standings.get(standing)
    now = state.standing.standing
    change = described is not None and now in state.vehicle.standings
    minutes = state.vehicle.standings[now].change_minutes if change and now else {}
    supports = described.supports if described else ()
    kinds: dict[str, int] = {}
    for each in supports:
        words = f"{each.kind} under {state.name_of(f'part:{each.bears_on}')}"
        kinds[words] = kinds.get(words, 0) + 1
    return JobCard(
        deed=Deed.STOOD,
        what=Ref(f"standing:{standing}"),
        identity=standing,
        is_joint=False,
        verb="Stand it",
        title=state.name_of(f"standing:{standing}"),
        fastenings=tuple(f"{number} × {words}" for words, number in kinds.items()),
        minutes=minutes.get(standing, 0.0),
        cautions=(*cautions, *([described.note] if described and described.note else [])),
        first=("rock it and look underneath before anybody goes there",),
        why=("the next job is done so",),
    )


def is_stood_otherwise(step: Step, state: State) -> bool:
    """Whether the vehicle must first be made to stand as the step wants it."""
    return step.standing is not None and step.standing != state.standing.standing


def possible_now(step: Step, undone: frozenset[Ref]) -> bool:
    """Whether none of the steps that a step waits for is still to be done."""
    return all(reason.first not in undone for reason in step.reasons)


def _fastening(fixing: Fixing, action: Action) -> str:
    """Say what one group of holes is held by: ``4 × bolt M8 x 20 with spring washer M8``."""
    stack = [_piece(each, action) for each in fixing.stack]
    head = f"; {fixing.head}" if fixing.head else ""
    return f"{fixing.count} × {' + '.join(stack)}{head}" if stack else f"{fixing.count} ×{head}"


_NEW = {Action.CRACK: "new later", Action.UNDO: "new later", Action.MAKE: "new"}
"""When what is used once has to be new; once the joint is made it is."""


def _piece(piece: Piece, action: Action) -> str:
    many = f"{piece.per_fixing} " if piece.per_fixing > 1 else ""
    said = [_NEW[action]] if piece.single_use and action in _NEW else []
    said += ["stays"] if piece.stays else []
    said += [piece.note] if piece.note else []
    aside = f" ({', '.join(said)})" if said else ""
    return f"{many}{piece.spec}{aside}"


def _pieces(joint: Joint, number: int) -> str:
    """Count what comes loose by its holding piece, where all groups of holes are held alike."""
    kinds = {kind for fixing in joint.fixings if (kind := _holding(fixing)) is not None}
    if not joint.fixings or not number:
        return ""
    if len(kinds) == 1:
        (kind,) = kinds
        return count(number, kind.value, plural(kind.value))
    return count(number, "fixing")


def _holding(fixing: Fixing) -> FastenerKind | None:
    """The piece by which a fixing is counted: what has a thread, else what holds."""
    loose = [each.spec.kind for each in fixing.stack if _is_loose(each)]
    holding = [kind for kind in loose if kind.role is Role.HOLD]
    threaded = [kind for kind in holding if kind.is_threaded]
    return next(iter((*threaded, *holding, *loose)), None)


def _is_loose(piece: Piece) -> bool:
    return is_piece(piece.spec.kind) and not piece.stays


def _has_pieces(joint: Joint | None) -> bool:
    """Of a joint that nobody described, pieces may well come loose."""
    if joint is None or not joint.fixings:
        return True
    return any(_is_loose(each) for fixing in joint.fixings for each in fixing.stack)


def plural(word: str) -> str:
    """Give the plural of a fastener's name.

    Examples
    --------
    >>> plural("bolt"), plural("split pin"), plural("bush"), plural("boss")
    ('bolts', 'split pins', 'bushes', 'bosses')
    """
    return f"{word}es" if word.endswith(("s", "sh", "ch", "x")) else f"{word}s"


def _ends(step: Step, state: State, joint: JointId) -> Iterator[End]:
    """Name what the step leaves open, as far as it is not closed yet."""
    if step.action is not Action.UNDO:
        return
    noted = [each for each in step.notes if each.startswith(_CLOSE)]
    for opening in state.vehicle.openings.values():
        if joint not in opening.joints or not any(opening.name in each for each in noted):
            continue
        seen = state.openings.get(opening.id) or OpeningState(opening.id)
        left = 0 if seen.all_closed else opening.ends - seen.closed
        if left > 0:
            yield End(opening.id, opening.name, left, opening.closed_with)


def _marks(state: State, parts: Sequence[PartId]) -> Iterator[Mark]:
    """Name the marks that the parts want and do not bear yet."""
    for identity in parts:
        part, seen = state.vehicle.parts.get(identity), state.parts.get(identity)
        for mark in part.marks if part and not (seen and seen.marks) else ():
            of = f"{part.name}: " if part and len(parts) > 1 else ""
            where = f" at {mark.where}" if mark.where else ""
            record = f", {mark.record}" if mark.record else ""
            words = f"{of}{mark.how}{where}{record}"
            yield Mark(identity, mark.how, mark.where, mark.record, words)


def _drops(moves: WhenUndone) -> str:
    if moves.does is Does.STAYS:
        return ""
    return f"it {moves.does}{f': {moves.detail}' if moves.detail else ''}"


def _why(step: Step, later: Sequence[Step], state: State) -> Iterator[str]:
    """Say what waits for the step, and how the vehicle stands for it.

    What had to go before it is done by now.
    """
    for other in later:
        for reason in other.reasons:
            if reason.first == step.what and reason.because is Because.HOLDS:
                yield f"it still holds {state.name_of(other.what)}"
            elif reason.first == step.what:
                yield reason.words
    for reason in step.reasons:
        if reason.because in (Because.STANDING, Because.GOAL):
            yield reason.words


def _waits(joint: Joint, vehicle: Vehicle) -> bool:
    """Whether its final tightening is a step of its own (rule 8 of the rebuild)."""
    if joint.final_when is FinalWhen.AS_FITTED:
        return False
    finishing = (JobKind.TIGHTEN, JobKind.SET)
    finishers = (each for each in vehicle.jobs.values() if each.kind in finishing)
    return not joint.by_position or any(joint.id in each.joints for each in finishers)


def _tightness(action: Action, joint: Joint | None, vehicle: Vehicle) -> Tightness | None:
    match action:
        case Action.MAKE:
            return Tightness.FINGER_TIGHT
        case Action.TIGHTEN:
            return Tightness.NIPPED if joint and _waits(joint, vehicle) else Tightness.FINAL
        case Action.FINISH:
            return Tightness.FINAL
        case _:
            return None


def _parts(kind: str, identity: str, state: State, *, to_come_off: bool) -> tuple[PartId, ...]:
    if kind == "part":
        return (PartId(identity),)
    whole = state.vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
    if whole is None:
        return ()
    return tuple(part for part in whole.parts if (part in state.parts_off) is not to_come_off)
