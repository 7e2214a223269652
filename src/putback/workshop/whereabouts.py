"""Where a thing is and how it is, in a few plain lines."""

from collections.abc import Iterator

from putback.logbook.accounts import AT_REST, Account
from putback.logbook.entries.base import Subject, TagCode
from putback.logbook.hardware_check import is_laid_up
from putback.logbook.state import State
from putback.vehicle.ids import FluidId, JobId, JointId, OpeningId, PartId


def whereabouts(state: State, subject: str) -> tuple[str, ...]:
    """Say where a thing is and how it is; each line stands by itself."""
    kind, _, identity = subject.partition(":")
    lines: list[str] = []
    match kind:
        case "part":
            lines += _of_part(state, PartId(identity))
        case "joint":
            lines += _of_joint(state, JointId(identity))
        case "tag":
            lines += _of_tag(state, TagCode(identity))
        case "opening":
            lines += _of_opening(state, OpeningId(identity))
        case "fluid":
            fluid = state.fluids.get(FluidId(identity))
            lines.append("drained" if fluid and fluid.is_out else "in")
        case "job":
            job = state.jobs.get(JobId(identity))
            lines.append("done" if job and job.done else "not done yet")
        case "fit":
            fit = state.fits.get(identity)
            lines.append("taken out" if fit and fit.off else "still in")
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


def _of_part(state: State, part: PartId) -> Iterator[str]:
    now = state.parts.get(part)
    if now is None or (now.off is None and now.on is None):
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
        yield f"{undone} of {len(joints)} joints undone"


def _of_joint(state: State, joint: JointId) -> Iterator[str]:
    now = state.joints.get(joint)
    if now is None:
        return
    yield f"{now.stage}: {now.out} of {now.of} out" if now.out else str(now.stage)
    if now.stuck:
        yield f"{now.stuck} stuck"
    if now.destroyed:
        yield f"{now.destroyed} destroyed"
    held: dict[Account, list[str]] = {}
    for (account, owner, spec), count in sorted(state.balances.items()):
        if owner == f"joint:{joint}" and count > 0 and (is_laid_up(account) or account in _SHOWN):
            held.setdefault(account, []).append(f"{count} × {spec}")
    for account, pieces in held.items():
        yield f"{_account_name(state, account)}: {', '.join(pieces)}"


def _of_tag(state: State, tag: TagCode) -> Iterator[str]:
    now = state.containers.get(tag)
    if now is not None and now.name:
        yield f"{now.container}: {now.name}"
    for part, each in state.parts.items():
        if each.common.tag == tag:
            yield state.name_of(f"part:{part}")
    for (account, owner, spec), count in sorted(state.balances.items()):
        if account == f"tag:{tag}" and count > 0:
            yield f"{count} × {spec}, of {state.name_of(owner)}"
    for other, box in state.containers.items():
        if box.common.tag == tag:
            yield f"in it: {state.name_of(f'tag:{other}')}"


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
    return state.name_of(account) if account.startswith("tag:") else account
