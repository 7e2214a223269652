"""A critical joint is tight for good, and nobody else looked at it."""

from collections.abc import Iterable

from putback.logbook.common import Said
from putback.logbook.entries.rebuilding import Checked
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.logbook.open_items.tight import is_final
from putback.logbook.state import JointState

_DAY_MS = 24 * 3600 * 1000


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find critical joints without a second person's check.

    The same person's check on another day counts as the weaker kind; on the same day as none.
    Checks are done together, so they press only once nothing is off any more.
    """
    for joint, state in situation.made_again:
        right = [check for check in state.checks if check.right]
        if not joint.critical or not is_final(joint, state):
            continue
        if any(check.second_person for check in right):
            continue
        weaker = [check.said for check in right if _is_another_day(state, check.said)]
        yield OpenItem(
            Danger.LATER if weaker or situation.off_parts else Danger.NOW,
            joint_subject(joint.id),
            f"{joint.name} was checked only by who made it, on another day: the weaker kind"
            if weaker
            else f"{joint.name} is {state.tightness}, and no second person has checked it",
            entries_of(state.made, *weaker),
            "have it checked by somebody who did not tighten it",
            (Checked,),
        )


def _is_another_day(state: JointState, check: Said) -> bool:
    return state.made is not None and _day(state.made) != _day(check)


def _day(said: Said) -> int:
    """The day on which it happened, counted from 1970."""
    return said.key[-1][0] // _DAY_MS
