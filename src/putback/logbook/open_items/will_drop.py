"""Something falls, swings, hangs on a hose or flies when the next joint goes."""

from collections.abc import Iterable

from putback.logbook.entries.working import HungAside, JointUndone, TemporaryFitOn
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation, Unit, joint_subject, part_subject
from putback.vehicle.joint import Does, Joint

_MOVES = {
    Does.FALLS: "falls",
    Does.SWINGS: "swings",
    Does.HANGS: "is left hanging on what must not carry it",
    Does.FLIES: "flies: a spring lets go",
}


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find the one joint that still holds a part, if undoing it lets something go.

    Its hoses and cables may still be on: they hold nothing.
    A spring is asked for as soon as its joint is touched, whatever else still holds. It is a
    danger once somebody has begun with the joint or the part.
    """
    propped = {fit.on for fit in situation.state.fits.values() if fit.fitted and not fit.off}
    units = {unit.parts[0]: unit for unit in situation.coming_off if len(unit.parts) == 1}
    for joint in situation.state.vehicle.joints.values():
        unit = units.get(joint.parts[0]) if joint.parts else None
        if unit is None or joint.when_undone.does is Does.STAYS:
            continue
        if not _goes_next(situation, joint, unit) or situation.part(unit.parts[0]).hung:
            continue
        if not propped.isdisjoint({joint_subject(joint.id), part_subject(unit.parts[0])}):
            continue
        when = joint.when_undone
        detail = f" ({when.detail})" if when.detail else ""
        yield OpenItem(
            Danger.DANGER if _is_in_work(situation, joint, unit) else Danger.NOW,
            joint_subject(joint.id),
            f"{unit.name} {_MOVES[when.does]} when {joint.name} goes{detail}",
            situation.begun_by(unit),
            f"prop first: {when.prop_first or 'hold it or tie it up'}",
            (TemporaryFitOn, HungAside, JointUndone),
        )


def _goes_next(situation: Situation, joint: Joint, unit: Unit) -> bool:
    if not situation.holds(joint.id):
        return False
    touched = situation.is_begun(joint.id)
    flies = joint.when_undone.does is Does.FLIES and touched
    loose = situation.state.vehicle.loose.joints
    holding = tuple(tie for tie in unit.ties if tie not in loose) or unit.ties
    return flies or (holding == (joint.id,) and (touched or bool(unit.undone)))


def _is_in_work(situation: Situation, joint: Joint, unit: Unit) -> bool:
    commons = (situation.part(unit.parts[0]).common, situation.joint(joint.id).common)
    return situation.is_begun(joint.id) or any(each.in_hand for each in commons)
