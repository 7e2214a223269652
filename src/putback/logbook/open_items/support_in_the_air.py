"""A support bears on a part that is off."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.rebuilding import PartOn
from putback.logbook.entries.working import StandingChanged
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find supports of the present standing whose part is off; several under one part at once."""
    for bears_on, kind in dict.fromkeys((each.bears_on, each.kind) for each in situation.supports):
        part = situation.part(bears_on)
        if part.is_off:
            name = situation.name(f"part:{part.part}")
            yield OpenItem(
                Danger.DANGER,
                Subject("standing"),
                f"the {kind} under {name} carries nothing: {name} is off",
                entries_of(part.off, situation.state.standing.said),
                "say how the vehicle stands now",
                (StandingChanged, PartOn),
            )
