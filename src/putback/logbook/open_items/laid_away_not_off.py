"""A part was put away or sent out, and nobody logged that it came off."""

from collections.abc import Iterable

from putback.logbook.came_off import parts_laid_away
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.rebuilding import PartOn
from putback.logbook.entries.working import PartOff
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, part_subject
from putback.vehicle.ids import PartId


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find parts that the logbook has in two places: on the vehicle, and where they were put."""
    for identity in sorted(parts_laid_away(situation.state)):
        subject = part_subject(identity)
        yield OpenItem(
            Danger.NOW,
            subject,
            f"{situation.name(subject)} {_told(situation, identity)},"
            " and nobody logged that it came off",
            entries_of(situation.part(identity).laid_away),
            "look which is true: log it off, or strike out the entry that put it away",
            (PartOff, Struck, PartOn),
        )


def _told(situation: Situation, part: PartId) -> str:
    """Say where the logbook has it, as the last entry had it."""
    common = situation.part(part).common
    if common.sent_out is not None:
        return f"was sent out to {common.sent_out.whither}"
    chain = situation.state.chain_of(part_subject(part))
    return f"was laid away in {situation.name(chain[0])}" if chain else "was laid away"
