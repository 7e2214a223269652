"""A critical joint is tight for good, and nobody else looked at it."""

from collections.abc import Iterable

from putback.logbook.common import Said
from putback.logbook.entries.rebuilding import Checked, Tightness
from putback.logbook.entries.working import JobDone
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.logbook.open_items.tight import TIGHT, is_final
from putback.logbook.state import JointState

_DAY_MS = 24 * 3600 * 1000


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find critical joints without a second person's check.

    The same person's check on another day counts as the weaker kind; on the same day as none.
    Checks are done together, so they press only once nothing is off any more.
    """
    for joint, state in situation.made_again:
        by_job = situation.finished_by_job(joint)
        if not joint.critical or not (is_final(joint, state) or (by_job and not state.out)):
            continue
        right = (check.said for check in state.checks if check.right)
        told = (*right, *situation.looked_by_job(joint))
        last = by_job or state.made
        if any(last is None or said.who != last.who for said in told):
            continue
        weaker = [said for said in told if _is_another_day(state, said)]
        yield OpenItem(
            Danger.LATER if weaker or situation.off_parts else Danger.NOW,
            joint_subject(joint.id),
            f"{joint.name} was checked only by who made it, on another day: the weaker kind"
            if weaker
            else f"{joint.name} is {_stage(state)}, and no second person has checked it",
            entries_of(state.made, *weaker),
            "have it checked by somebody who did not tighten it",
            (Checked, JobDone),
        )


def _stage(state: JointState) -> Tightness:
    """How far it is made; what a declared job finished is final, whatever was logged of it."""
    is_tight = state.tightness in TIGHT
    return state.tightness if state.tightness and is_tight else Tightness.FINAL


def _is_another_day(state: JointState, check: Said) -> bool:
    return state.made is not None and _day(state.made) != _day(check)


def _day(said: Said) -> int:
    """The day on which it happened, counted from 1970."""
    return said.key[-1][0] // _DAY_MS
