"""A joint was left half undone, or some of its fixings are stuck."""

from collections.abc import Iterable

from putback.logbook.entries.rebuilding import JointMade
from putback.logbook.entries.working import JointUndone
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints with some fixings out and some in, or stuck."""
    for identity, joint in sorted(situation.state.joints.items()):
        half = 0 < joint.out < joint.of
        if not half and not (joint.stuck and not joint.is_undone):
            continue
        described = situation.state.vehicle.joints.get(identity)
        critical = half and described is not None and described.critical
        count = f"{joint.out} of {joint.of} out"
        if joint.made:
            count = f"{joint.of - joint.out} of {joint.of} in"
        yield OpenItem(
            Danger.DANGER if critical else Danger.NOW if joint.stuck else Danger.LATER,
            joint_subject(identity),
            f"{situation.name(joint_subject(identity))} is left half way: {count}"
            + (f", {joint.stuck} stuck" if joint.stuck else ""),
            entries_of(joint.made, joint.counted, joint.undone),
            ("soak what is stuck, and " if joint.stuck else "")
            + "undo the rest, or make it again",
            (JointUndone, JointMade),
        )
