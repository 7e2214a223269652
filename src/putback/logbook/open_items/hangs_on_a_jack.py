"""Something hangs on a jack or a hoist: no change of standing until it is clear."""

from collections.abc import Iterable

from putback.logbook.common import Said
from putback.logbook.entries.base import Subject
from putback.logbook.entries.working import JobDone, JointUndone, PartOff
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, standing_subject
from putback.vehicle.ids import JobId, JointId, PartId, Ref
from putback.vehicle.standing import Standing


def rule(situation: Situation, standing: Standing) -> Iterable[OpenItem]:
    """Find temporary supports that bear between a job that is done and one that is not."""
    if situation.rebuild_begun:
        return  # they are described as the strip needs them
    for support in situation.state.vehicle.temporary_supports.values():
        if situation.is_done(support.first) and not situation.is_done(support.last):
            name = situation.name(f"part:{support.bears_on}")
            yield OpenItem(
                Danger.DANGER,
                standing_subject(standing.id),
                f"{name} is on the {support.kind}: no change of standing before"
                f" {situation.name(Subject(support.last))}",
                entries_of(*_said(situation, support.first)),
                f"finish {situation.name(Subject(support.last))} first",
                (JointUndone, PartOff, JobDone),
            )


def _said(situation: Situation, ref: Ref) -> tuple[Said | None, ...]:
    kind, _, identity = ref.partition(":")
    if kind == "job":
        job = situation.state.jobs.get(JobId(identity))
        return (job.done if job else None,)
    if kind == "part":
        return (situation.part(PartId(identity)).off,)
    described = situation.state.vehicle.joints.get(JointId(identity))
    parts = described.parts if described else ()
    return (
        situation.joint(JointId(identity)).undone,
        *(situation.part(part).off for part in parts),
    )
