"""The standing about to be entered would not hold it with margin, as much as is on now."""

from collections.abc import Iterable

from putback.logbook.entries.describing import Described
from putback.logbook.entries.working import PartOff
from putback.logbook.open_items.footing import Footings
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, standing_subject
from putback.vehicle.standing import Standing


def rule(situation: Situation, standing: Standing) -> Iterable[OpenItem]:
    """Find that its weight would lie too near the edge, or a support carry too much."""
    then = Footings(situation).of(standing)
    if then is None:
        return
    words = ""
    if then.margin_m < situation.settings.least_margin_m:
        words = f"{standing.name}: its weight would be {then.words()}"
    elif then.overloaded:
        support, load = then.overloaded[0]
        words = f"{support.id} would carry {load:.0f} kg, and is rated for {support.rating_kg:.0f}"
    if words:
        yield OpenItem(
            Danger.DANGER,
            standing_subject(standing.id),
            words,
            entries_of(situation.state.standing.said),
            "choose another standing, or add a support: putback balance --standing says where",
            (Described, PartOff),
        )
