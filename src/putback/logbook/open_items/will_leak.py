"""Something holds a fluid in, and is about to come off, is off or open; nobody drained it."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.rebuilding import PartOn
from putback.logbook.entries.working import Drained, OpeningClosed
from putback.logbook.fluids import fluid_of
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.logbook.open_items.wording import listed
from putback.logbook.state import OpeningState
from putback.vehicle.circuit import pipe_joints
from putback.vehicle.ids import JointId


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find fluids that are in, though a part that keeps them in is off or nearly free.

    Or though a pipe or hose of their circuit is open: that runs now, and is told in place of what
    would run when a part comes off. Other openings may lie above what is in.
    """
    for fluid in situation.state.vehicle.fluids.values():
        state = fluid_of(situation.state.vehicle, situation.state, fluid.id)
        if state.is_out:
            continue
        subject = Subject(f"fluid:{fluid.id}")
        off = [part for part in fluid.leaks_if_off if situation.is_off(part)]
        if off:
            names = listed(situation.name(f"part:{part}") for part in off)
            yield OpenItem(
                Danger.LATER,
                subject,
                f"{fluid.name} is filled without {names}, which keeps it in"
                if state.filled
                else f"{names} came off, and nobody said that {fluid.name} was drained",
                entries_of(*(situation.part(part).off for part in off), state.filled),
                "say that it is out" + (", or what keeps it in" if state.filled else ""),
                (Drained, PartOn) if state.filled else (Drained,),
            )
            continue
        hazard = f" ({fluid.hazard})" if fluid.hazard else ""
        if is_open := [
            j for j in pipe_joints(situation.state.vehicle, fluid.id) if _is_open(situation, j)
        ]:
            names = listed(situation.name(joint_subject(joint)) for joint in is_open)
            yield OpenItem(
                Danger.DANGER if fluid.hazard else Danger.NOW,
                subject,
                f"{fluid.name} is still in and runs out at {names}{hazard}",
                entries_of(*(situation.joint(joint).undone for joint in is_open)),
                "drain it, or close what is open there",
                (Drained, OpeningClosed),
            )
            continue
        for unit in situation.coming_off:
            if len(unit.ties) <= 1 and set(unit.parts) & set(fluid.leaks_if_off):
                yield OpenItem(
                    Danger.DANGER if fluid.hazard else Danger.NOW,
                    subject,
                    f"{fluid.name} is still in and runs out when {unit.name} comes off{hazard}",
                    situation.begun_by(unit),
                    "drain it first",
                    (Drained,),
                )
                break


def _is_open(situation: Situation, joint: JointId) -> bool:
    """Whether somebody undid it, and not every end of it that is on the vehicle was closed."""
    vehicle, state = situation.state.vehicle, situation.state
    here = [part for part in vehicle.joints[joint].parts if not situation.is_off(part)]
    if situation.holds(joint) or situation.joint(joint).undone is None or not here:
        return False
    ends = [
        (opening, state.openings.get(opening.id) or OpeningState(opening.id))
        for opening in vehicle.openings.values()
        if opening.needs_closing and joint in opening.joints and opening.part in here
    ]
    shut = [seen.all_closed or seen.closed >= opening.ends for opening, seen in ends]
    return not (shut and all(shut))
