"""Something in a joint still cures: sealant, threadlock, glue."""

from collections.abc import Iterable

from putback.logbook.moments import moment_at, moment_words
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints that cure until after now; nothing but time clears them."""
    for identity, state in sorted(situation.state.joints.items()):
        until = moment_at(state.curing_until)
        if state.made is None or until is None or until <= situation.now:
            continue
        yield OpenItem(
            Danger.NOW,
            joint_subject(identity),
            f"{situation.name(joint_subject(identity))} cures until "
            f"{moment_words(state.curing_until)}",
            entries_of(state.made),
            "do not load, fill or run it before",
        )
