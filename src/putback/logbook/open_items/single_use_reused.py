"""Pieces that are used once went in again, or nobody said that they are new."""

from collections.abc import Iterable

from putback.logbook.entries.rebuilding import JointMade
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.logbook.open_items.tight import is_tight
from putback.logbook.open_items.wording import listed
from putback.vehicle.joint import Care


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find tight joints with single-use pieces that were not renewed.

    While a joint is loose the old ones may do, for a trial. A bag of trim clips that nobody
    counts is not asked about unless somebody said that the old ones went in.
    """
    for joint, state in situation.made_again:
        pieces = [
            piece.spec.text
            for fixing in joint.fixings
            for piece in fixing.stack
            if piece.single_use and not piece.stays
        ]
        silent = state.renewed is None
        if not pieces or not is_tight(state) or state.renewed:
            continue
        if silent and joint.level_of_care is Care.ALL_THERE:
            continue
        worst = Danger.NOW if silent else Danger.DANGER
        mild = Danger.LATER if silent else Danger.NOW
        told = "nobody said that they are new" if silent else "the old ones went in"
        yield OpenItem(
            worst if joint.critical else mild,
            joint_subject(joint.id),
            f"{joint.name} has pieces that are used once ({listed(dict.fromkeys(pieces))}):"
            f" {told}",
            entries_of(state.made),
            "fit new ones, and log the joint made with them",
            (JointMade,),
        )
