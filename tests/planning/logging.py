"""Work logged on a state by hand: what a step does to it, or what was done out of order."""

from dataclasses import replace
from itertools import count

from putback.logbook.common import Said
from putback.logbook.state import JobState, JointState, PartState, State
from putback.planning.plan import Action, Step
from putback.vehicle.ids import split_ref

_keys = count(100)


def now() -> Said:
    """Said later than anything before."""
    at = next(_keys)
    return Said(f"entry-{at}", "somebody", ((at, 0, 0, f"entry-{at}"),))


def did(state: State, step: Step) -> State:
    """The state after a step was logged as planned, stood as planned."""
    after = logged(state, step.what, crack=step.action is Action.CRACK)
    if step.standing is None or after.standing.standing == step.standing:
        return after
    return replace(after, standing=replace(after.standing, standing=step.standing, said=now()))


def logged(state: State, what: str, *, crack: bool = False) -> State:
    """The state after one thing was logged: undone, cracked, off or done."""
    kind, identity = split_ref(what)
    if kind == "joint":
        seen = state.joints.get(identity, JointState(identity))
        record = state.vehicle.joints[identity]
        of = max(record.fixing_count, 1)
        changed = (
            replace(seen, cracked=now())
            if crack
            else replace(seen, of=of, out=of, undone=now(), made=None)
        )
        return replace(state, joints={**state.joints, identity: changed})
    if kind == "job":
        return replace(state, jobs={**state.jobs, identity: JobState(identity, done=now())})
    if kind == "part":
        return replace(state, parts={**state.parts, identity: PartState(identity, off=now())})
    left = [
        part for part in state.vehicle.assemblies[identity].parts if part not in state.parts_off
    ]
    off = {part: PartState(part, off=now(), whole=identity) for part in left}
    return replace(state, parts={**state.parts, **off})
