"""Something was offered up and does not fit."""

from collections.abc import Iterable

from putback.logbook.entries.rebuilding import OfferedUp, PartOn
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.vehicle.ids import PartId


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find what did not fit the last time it was offered up, and is not on since."""
    for subject, common in situation.commons:
        if not common.offers or common.offers[-1].fits:
            continue
        offer = common.offers[-1]
        kind, _, identity = subject.partition(":")
        on = situation.part(PartId(identity)).on if kind == "part" else None
        if on is not None and on.key > offer.said.key:
            continue
        by = f" by {offer.misfit_m * 1000:g} mm" if offer.misfit_m is not None else ""
        note = f": {offer.note}" if offer.note else ""
        yield OpenItem(
            Danger.NOW,
            subject,
            f"{situation.name(subject)} does not fit{by}{note}",
            entries_of(offer.said),
            "find out why, and offer it up again",
            (OfferedUp, PartOn),
        )
