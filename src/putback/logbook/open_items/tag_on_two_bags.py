"""One tag was given out twice: what is in either container is logged as if it were one."""

from collections import Counter
from collections.abc import Iterable, Sequence

from putback.logbook.entries.base import Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import OneAndSame
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import bags, listed
from putback.logbook.state import Tagging


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find tags that went on a container under two names, or on two devices."""
    for tag, container in sorted(situation.state.containers.items()):
        if rivals := container.rivals:
            yield OpenItem(
                Danger.NOW,
                Subject(f"tag:{tag}"),
                f"tag {tag} was put on {bags(len(rivals))}: "
                f"{listed(_told_apart(situation, rivals))}",
                entries_of(*(each.said for each in rivals)),
                "put another tag on one of them, log it so, and strike out what was logged of it "
                "here; if there is only one, log the entries as one and the same",
                (Struck, OneAndSame),
            )


def _told_apart(situation: Situation, rivals: Sequence[Tagging]) -> Iterable[str]:
    """Call each by its name, and by who tagged it where the name does not tell them apart."""
    names = [each.name or f"a {each.container} without a name" for each in rivals]
    times = Counter(names)
    for name, each in zip(names, rivals, strict=True):
        who = situation.name(f"person:{each.said.who}")
        yield name if times[name] == 1 else f"{name} (by {who})"
