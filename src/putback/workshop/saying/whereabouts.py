"""Where a thing is and how it is, in a few plain lines."""

from collections.abc import Iterator

from putback.logbook.accounts import AT_REST, Account, in_tag
from putback.logbook.came_off import parts_laid_away
from putback.logbook.entries.base import Subject, TagCode
from putback.logbook.fluids import is_fluid_out
from putback.logbook.hardware_check import Held, is_counted, is_laid_up, said_of, say_account
from putback.logbook.moments import day_words
from putback.logbook.open_items.wording import listed
from putback.logbook.state import JointState, State
from putback.vehicle.assembly import Assembly
from putback.vehicle.ids import AssemblyId, FluidId, JobId, JointId, OpeningId, PartId
from putback.vehicle.joint import Does, Joint, WhenUndone
from putback.vehicle.part import Part
from putback.vehicle.usual_cautions import cautions_for
from putback.vehicle.vehicle import Vehicle


def whereabouts(state: State, subject: str) -> tuple[str, ...]:
    """Say where a thing is and how it is; each line stands by itself."""
    kind, _, identity = subject.partition(":")
    lines: list[str] = []
    match kind:
        case "part":
            lines += _of_part(state, PartId(identity))
        case "assembly":
            lines += _of_assembly(state, AssemblyId(identity))
        case "joint":
            lines += _of_joint(state, JointId(identity))
        case "tag":
            lines += _of_tag(state, TagCode(identity))
        case "opening":
            lines += _of_opening(state, OpeningId(identity))
        case "fluid":
            out = is_fluid_out(state.vehicle, state, FluidId(identity))
            lines.append("drained" if out else "in")
        case "job":
            job = state.jobs.get(JobId(identity))
            lines.append("done" if job and job.done else "not done yet")
        case "fit":
            fit = state.fits.get(identity)
            lines.append("taken out" if fit and fit.off else "still in")
        case "place":
            lines += _at_place(state, identity)
        case "standing":
            here = state.standing.standing == identity
            lines.append("the vehicle stands so" if here else "the vehicle does not stand so now")
    if put_off := state.put_off.get(Subject(subject)):
        until = f" until {day_words(put_off.until)}" if put_off.until else ""
        note = f": {put_off.note}" if put_off.note else ""
        lines.append(f"put off{until} ({put_off.why}{note})")
    chain = state.chain_of(Subject(subject))
    if chain:
        lines.append("in " + ", in ".join(state.name_of(each) for each in chain))
    common = state.common_of(Subject(subject))
    if common is not None:
        if common.sent_out is not None:
            due = f", due {common.sent_out.due}" if common.sent_out.due else ""
            lines.append(f"out at {common.sent_out.whither}{due}")
        lines += [f"on order{f', due {each.due}' if each.due else ''}" for each in common.ordered]
        if common.missing:
            lines.append(f"came back without {common.missing}")
        lines += [f"found: {each.what}" for each in common.findings if each.settled is None]
    return tuple(lines) or ("nobody said anything of it yet",)


def cautions_of(vehicle: Vehicle, subject: str, now: State | None = None) -> tuple[str, ...]:
    """Name what can hurt whoever works on a thing, as far as somebody described it.

    As things are ``now``, if that is given, and with what is usual: what a joint let go is gone
    once it is undone, a job that is done hurts nobody, nor does what does not go back.
    """
    kind, _, identity = subject.partition(":")
    match kind:
        case "part" if now and (seen := now.parts.get(PartId(identity))) and seen.gone:
            return ()
        case "part" if part := vehicle.parts.get(PartId(identity)):
            return (*(cautions_for(part) if now else part.cautions), *_lifting(part))
        case "assembly" if whole := vehicle.assemblies.get(AssemblyId(identity)):
            return (*whole.cautions, *_lifting(whole))
        case "job" if now and identity in now.jobs_done:
            return ()
        case "job" if job := vehicle.jobs.get(JobId(identity)):
            return job.cautions
        case "joint" if joint := vehicle.joints.get(JointId(identity)):
            return tuple(_of_undoing(joint, now))
    return ()


def _lifting(lifted: Part | Assembly) -> Iterator[str]:
    if lifted.crew > 1:
        yield f"it takes {lifted.crew} people"
    if lifted.hoist:
        yield f"it takes a hoist: {lifted.hoist}"


def _of_undoing(joint: Joint, now: State | None) -> Iterator[str]:
    moves = joint.moves(now.parts_off if now else ())
    if now and joint.id in now.undone_joints:
        moves = WhenUndone()
    if moves.does is not Does.STAYS:
        yield f"undone, it {moves.does}{f': {moves.detail}' if moves.detail else ''}"
    if moves.prop_first:
        yield f"first: {moves.prop_first}"
    if joint.critical:
        yield "safety critical: a second person looks at it once it is made again"


def _of_part(state: State, part: PartId) -> Iterator[str]:
    now = state.parts.get(part)
    if part in parts_laid_away(state):
        yield "laid away, and nobody logged that it came off"
    elif now is None or (now.off is None and now.on is None):
        yield "on the vehicle, as found"
    elif now.gone is not None:
        yield str(now.gone)
    elif now.off is not None:
        whole = state.vehicle.assemblies.get(now.whole) if now.whole else None
        yield f"off, with {whole.name}" if whole else "off"
    else:
        yield "back on the vehicle" + (", renewed" if now.renewed else "")
    if now is not None and now.hung is not None:
        yield "hung aside"
    joints = state.vehicle.joints_of.get(part, ())
    if joints:
        undone = sum(joint in state.undone_joints for joint in joints)
        yield f"{undone} of its {len(joints)} {'joint' if len(joints) == 1 else 'joints'} undone"


def _of_assembly(state: State, assembly: AssemblyId) -> Iterator[str]:
    whole = state.vehicle.assemblies.get(assembly)
    if whole is not None:
        off = sum(part in state.parts_off for part in whole.parts)
        yield f"{off} of its {len(whole.parts)} parts off"
        yield from (f"of it: {state.name_of(f'part:{part}')}" for part in whole.parts)


def _of_joint(state: State, joint: JointId) -> Iterator[str]:
    now = state.joints.get(joint)
    if now is None:
        yield "as found"
        return
    yield f"{now.stage}: {now.out} of {now.of} out" if now.out else str(now.stage)
    if now.stuck:
        yield f"{now.stuck} stuck"
    if now.seen_free:
        yield f"seen free by {state.people.get(now.seen_free.who, now.seen_free.who)}"
    if now.destroyed:
        yield f"{now.destroyed} destroyed"
    if now.lost:
        yield f"{now.lost} lost"
    own = Subject(f"joint:{joint}")
    held: dict[Account, list[str]] = {}
    for (account, spec), count in sorted(state.held_of.get(own, {}).items()):
        if count > 0 and (is_laid_up(account) or account in _SHOWN):
            held.setdefault(account, []).append(_pieces(state, own, spec, count))
    for account, pieces in held.items():
        yield f"{_account_name(state, account)}: {', '.join(pieces)}"
    if bags := _only_told(state, now):
        told = "is said to be" if now.in_two_bags else "is"
        yield f"its hardware {told} in {listed(state.name_of(f'tag:{tag}') for tag in bags)}"


def _pieces(state: State, owner: Subject, spec: str, count: int) -> str:
    """Say so many pieces, and whether anybody counted them."""
    held: Held = {
        account: each
        for (account, what), each in state.held_of.get(owner, {}).items()
        if what == spec
    }
    return f"{count} × {spec}{said_of(is_counted(state, owner, spec, held))}"


def _only_told(state: State, joint: JointState) -> tuple[TagCode, ...]:
    """Name bags its hardware was put in that no account shows: nobody said which pieces it has."""
    described = state.vehicle.joints.get(joint.joint)
    if described is not None and described.fixings and not joint.in_two_bags:
        return ()
    owner = Subject(f"joint:{joint.joint}")
    moved = state.movements.get(owner, ())
    shown = {account for each in moved for account in (each.source, each.to)}
    return tuple(tag for tag in joint.tags if in_tag(tag) not in shown)


def _of_tag(state: State, tag: TagCode) -> Iterator[str]:
    now = state.containers.get(tag)
    if now is not None and now.name:
        yield f"{now.container}: {now.name}"
    if now is not None and now.zone:
        yield f"from {state.name_of(f'zone:{now.zone}')}"
    for part, each in state.parts.items():
        if each.common.tag == tag:
            yield state.name_of(f"part:{part}")
    for (account, owner, spec), count in sorted(state.balances.items()):
        if account == f"tag:{tag}" and count > 0:
            yield f"{_pieces(state, owner, spec, count)}, of {state.name_of(owner)}"
    for joint, undone in state.joints.items():
        if tag in _only_told(state, undone):
            yield f"hardware of {state.name_of(f'joint:{joint}')}"
    for other, box in state.containers.items():
        if box.common.tag == tag:
            yield f"in it: {state.name_of(f'tag:{other}')}"


def _at_place(state: State, place: str) -> Iterator[str]:
    things: list[tuple[str, str | None]] = [
        (f"tag:{tag}", each.common.place) for tag, each in state.containers.items()
    ]
    things += [(f"part:{part}", each.common.place) for part, each in state.parts.items()]
    for subject, where in things:
        if where == place:
            yield f"here: {state.name_of(subject)}"


def _of_opening(state: State, opening: OpeningId) -> Iterator[str]:
    now = state.openings.get(opening)
    described = state.vehicle.openings.get(opening)
    ends = described.ends if described else None
    if now is None or now.said is None:
        yield "nothing logged"
    elif now.all_closed or (ends is not None and now.closed >= ends):
        yield "closed"
    else:
        yield f"{now.closed} of {ends if ends is not None else '?'} ends closed"


_SHOWN = AT_REST - {Account("as built"), Account("bought"), Account("found")}


def _account_name(state: State, account: Account) -> str:
    return state.name_of(account) if account.startswith("tag:") else say_account(account)
