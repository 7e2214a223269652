"""Nothing was backed up elsewhere for a month."""

from collections.abc import Iterable
from datetime import timedelta

from putback.logbook.entries.base import Subject
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Ask for a backup once the last one is too old, or none is known."""
    last = situation.settings.backed_up_at
    if not situation.log.entries:
        return
    days = situation.settings.backup_days
    if last is None or situation.now - last > timedelta(days=days):
        yield OpenItem(
            Danger.LATER if last is None else Danger.NOW,
            Subject("backup"),
            "no backup elsewhere is known"
            if last is None
            else f"not backed up elsewhere for {(situation.now - last).days} days",
            (),
            "back it up to another disk or another place",
        )
