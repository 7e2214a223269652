"""A joint was made again while one of its parts is still off in the logbook."""

from collections.abc import Iterable

from putback.logbook.entries.rebuilding import PartOn
from putback.logbook.entries.working import JointUndone
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.logbook.open_items.wording import listed


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find made joints between something on and something off; on the bench both are off."""
    for joint, state in situation.made_again:
        off = [part for part in joint.parts if situation.is_off(part)]
        said = [situation.part(part).off for part in off]
        earlier = [each for each in said if each and state.made and each.key < state.made.key]
        if earlier and len(off) < len(joint.parts):
            names = listed(situation.name(f"part:{part}") for part in off)
            yield OpenItem(
                Danger.LATER,
                joint_subject(joint.id),
                f"{joint.name} is made, yet {names} is off in the logbook",
                entries_of(state.made, *earlier),
                f"say that {names} is on",
                (PartOn, JointUndone),
            )
