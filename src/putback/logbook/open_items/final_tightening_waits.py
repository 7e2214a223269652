"""A joint waits for its final tightening: at laden height, hot, with the gaps set."""

from collections.abc import Iterable

from putback.logbook.entries.rebuilding import JointMade, Tightness
from putback.logbook.entries.working import JobDone
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.vehicle.joint import FinalWhen

_ON_WHEELS = frozenset({FinalWhen.LADEN, FinalWhen.ON_WHEELS})
_WAITING = frozenset({Tightness.NIPPED, Tightness.TIGHTENED, Tightness.SET})


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints that were made again, must wait, and are not final; pressing when they can."""
    for joint, state in situation.made_again:
        waits = joint.final_when is not FinalWhen.AS_FITTED
        if not waits or state.out or state.tightness not in _WAITING:
            continue
        if situation.finished_by_job(joint):
            continue
        ready = joint.final_when in _ON_WHEELS and situation.on_wheels
        position = ", or closed by position" if joint.by_position else ""
        yield OpenItem(
            Danger.NOW if ready else Danger.LATER,
            joint_subject(joint.id),
            f"{joint.name} waits for its final tightening: {joint.final_when}{position}"
            + ("; it stands on its wheels now" if ready else ""),
            entries_of(state.made),
            "tighten it for good when it can be, and log it final",
            (JointMade, JobDone),
        )
