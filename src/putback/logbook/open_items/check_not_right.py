"""A check found a joint not right."""

from collections.abc import Iterable

from putback.logbook.entries.rebuilding import Checked, JointMade
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints of which the last check was not right."""
    for identity, state in sorted(situation.state.joints.items()):
        if not state.checks or state.checks[-1].right:
            continue
        described = situation.state.vehicle.joints.get(identity)
        note = f": {state.checks[-1].note}" if state.checks[-1].note else ""
        yield OpenItem(
            Danger.DANGER if described is not None and described.critical else Danger.NOW,
            joint_subject(identity),
            f"a check found {situation.name(joint_subject(identity))} not right{note}",
            entries_of(state.checks[-1].said, state.made),
            "put it right and have it checked again",
            (Checked, JointMade),
        )
