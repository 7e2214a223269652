"""All that is known of one part or one joint, gathered for somebody who is about to touch it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from putback.logbook.entries.base import Subject
from putback.logbook.open_items.wording import listed
from putback.logbook.state import JointState, Made, State
from putback.planning.rebuild.torque import torque_words
from putback.vehicle.ids import AssemblyId, JointId, OpeningId, PartId, joint_ref, part_ref
from putback.vehicle.joint import Care, FinalWhen, Fixing, Joint
from putback.vehicle.part import Part
from putback.vehicle.run import Run
from putback.workshop.saying.whereabouts import cautions_of, whereabouts
from putback.workshop.things.condition import Condition, condition_of

if TYPE_CHECKING:
    from putback.vehicle.facts import Obstruction


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the way to where a thing is: a bag, a box, a place."""

    subject: Subject
    name: str


@dataclass(frozen=True, slots=True)
class JointCard:
    """A joint: how it holds, and how it stands now."""

    joint: JointId
    name: str
    stage: Made
    parts: tuple[Step, ...]
    """What it holds together."""
    fixings: tuple[str, ...]
    """A line each: how many, of what, which way round."""
    fixing_count: int
    locks: str
    seals: str
    tool: str
    access: str
    torque: str
    """With the condition of the thread, and whose figure it is; empty where none is known."""
    sequence: str
    final_when: str
    """Empty where it may be tightened as fitted."""
    torque_applied_nm: float | None
    critical: bool
    care: str
    """How exactly its hardware is kept; empty where it is counted as usual."""
    cautions: tuple[str, ...]
    shims: tuple[str, ...]
    used_up: tuple[str, ...]
    note: str
    says: tuple[str, ...]
    """How it stands and where its hardware is."""
    bags: tuple[str, ...]
    """Tags of the bags that hold pieces of it."""
    now: JointState | None
    is_described: bool


@dataclass(frozen=True, slots=True)
class InTheWay:
    """Parts of which at least one must be away first, while none of them is."""

    of: str
    """Of the part itself, or which of its joints."""
    parts: tuple[Step, ...]
    why: str


@dataclass(frozen=True, slots=True)
class OpeningLine:
    """An end or hole to close."""

    opening: OpeningId
    name: str
    ends: int
    closed_with: str
    says: str


@dataclass(frozen=True, slots=True)
class PartCard:
    """A part, what holds it, where it is and what is known of it."""

    part: PartId
    name: str
    zone: str
    condition: Condition
    says: tuple[str, ...]
    chain: tuple[Step, ...]
    """Where it is, the innermost container first."""
    about: Part | None
    """Its description; ``None`` where nobody described it yet."""
    run: Run | None
    wholes: tuple[Step, ...]
    """The assemblies that it may come off with."""
    joints: tuple[JointCard, ...]
    openings: tuple[OpeningLine, ...]
    in_the_way: tuple[InTheWay, ...]
    cautions: tuple[str, ...]
    marks_made: tuple[str, ...]
    marks_wanted: tuple[str, ...]
    readings: tuple[str, ...]


def part_card(state: State, part: PartId) -> PartCard:
    """Gather what is known of a part, whether or not anybody described it."""
    subject = Subject(f"part:{part}")
    about, now = state.vehicle.parts.get(part), state.parts.get(part)
    return PartCard(
        part=part,
        name=state.name_of(subject),
        zone=state.name_of(f"zone:{about.zone}") if about else "",
        condition=condition_of(state, part),
        says=_besides_where(state, subject),
        chain=tuple(_steps(state, state.chain_of(subject))),
        about=about,
        run=state.vehicle.runs.get(part),
        wholes=tuple(
            _step(state, f"assembly:{AssemblyId(each)}")
            for each in state.vehicle.assemblies_of.get(part, ())
        ),
        joints=tuple(joint_card(state, each) for each in state.vehicle.joints_of.get(part, ())),
        openings=tuple(_openings(state, part)),
        in_the_way=tuple(_in_the_way(state, part)),
        cautions=cautions_of(state.vehicle, subject, state),
        marks_made=tuple(
            ", ".join(filter(None, (mark.how, mark.where, mark.record))) or "marked"
            for mark in (now.marks if now else ())
        ),
        marks_wanted=tuple(
            ", ".join(filter(None, (mark.how, mark.where, mark.record)))
            for mark in (about.marks if about else ())
        ),
        readings=tuple(
            f"{each.what}: {each.value:g} {each.unit}" + (", outside" if each.outside else "")
            for each in (now.common.readings if now else ())
        ),
    )


def joint_card(state: State, joint: JointId) -> JointCard:
    """Gather what is known of a joint, whether or not anybody described it."""
    subject = Subject(f"joint:{joint}")
    now = state.joints.get(joint)
    about = state.vehicle.joints.get(joint)
    known = about or Joint(joint, state.name_of(subject), ())
    care = about.level_of_care if about else Care.COUNTED
    return JointCard(
        joint=joint,
        name=known.name,
        stage=now.stage if now else Made.AS_FOUND,
        parts=tuple(_step(state, f"part:{each}") for each in known.parts),
        fixings=tuple(fixing_words(each) for each in known.fixings),
        fixing_count=now.of if now else known.fixing_count,
        locks=listed(sorted(known.locks())),
        seals=listed(sorted(known.seals())),
        tool=known.tool,
        access=known.access,
        torque=torque_words(known),
        sequence=known.tightening.sequence,
        final_when="" if known.final_when is FinalWhen.AS_FITTED else str(known.final_when),
        torque_applied_nm=now.torque_nm if now else None,
        critical=known.critical,
        care="" if care is Care.COUNTED else str(care),
        cautions=cautions_of(state.vehicle, subject, state),
        shims=tuple(
            f"{pack.at}: {', '.join(f'{each.thickness_m * 1000:g} mm' for each in pack.shims)}"
            for pack in known.shims
        ),
        used_up=tuple(
            f"{each.what}{f', {each.how}' if each.how else ''}" for each in known.consumables
        ),
        note=known.note,
        says=whereabouts(state, subject),
        bags=bags_of(state, joint),
        now=now,
        is_described=about is not None,
    )


def fixing_words(fixing: Fixing) -> str:
    """Say what stands in each hole, in the order in which it goes on."""
    pieces: list[str] = []
    for piece in fixing.stack:
        many = f"{piece.per_fixing} × " if piece.per_fixing > 1 else ""
        once = ", new each time" if piece.single_use else ""
        stays = " (stays in place)" if piece.stays else ""
        note = f" ({piece.note})" if piece.note else ""
        pieces.append(f"{many}{piece.spec.text}{once}{stays}{note}")
    heads = f"; heads {fixing.head}" if fixing.head else ""
    return f"{fixing.count} × {' + '.join(pieces) or 'fixing'}{heads}"


def bags_of(state: State, joint: JointId) -> tuple[str, ...]:
    """Name the bags in which pieces of a joint are, as far as the accounts know."""
    held = state.held_of.get(Subject(f"joint:{joint}"), {})
    found = (
        account.removeprefix("tag:")
        for (account, _), count in held.items()
        if count > 0 and account.startswith("tag:")
    )
    return tuple(dict.fromkeys(found))


def _step(state: State, subject: str) -> Step:
    return Step(Subject(subject), state.name_of(subject))


def _steps(state: State, subjects: tuple[Subject, ...]) -> Iterator[Step]:
    return (_step(state, each) for each in subjects)


def _besides_where(state: State, subject: Subject) -> tuple[str, ...]:
    """Say how a thing is, without the line of where it is, which is shown step by step."""
    where = "in " + ", in ".join(state.name_of(each) for each in state.chain_of(subject))
    return tuple(line for line in whereabouts(state, subject) if line != where)


def _openings(state: State, part: PartId) -> Iterator[OpeningLine]:
    joints = set(state.vehicle.joints_of.get(part, ()))
    for each in state.vehicle.openings.values():
        if each.part == part or joints.intersection(each.joints):
            says = ", ".join(whereabouts(state, f"opening:{each.id}"))
            yield OpeningLine(each.id, each.name, each.ends, each.closed_with, says)


def _in_the_way(state: State, part: PartId) -> Iterator[InTheWay]:
    """Name what is in the way of the part or of a joint that still holds it."""
    facts: list[tuple[str, Obstruction]] = [
        ("it", each) for each in state.vehicle.obstructions_of.get(part_ref(part), ())
    ]
    for joint in state.vehicle.joints_of.get(part, ()):
        if joint not in state.undone_joints:
            name = state.name_of(f"joint:{joint}")
            facts += [
                (name, each) for each in state.vehicle.obstructions_of.get(joint_ref(joint), ())
            ]
    off = state.parts_off
    for of, each in facts:
        if part not in off and not off.intersection(each.any_of):
            yield InTheWay(of, tuple(_step(state, f"part:{one}") for one in each.any_of), each.why)
