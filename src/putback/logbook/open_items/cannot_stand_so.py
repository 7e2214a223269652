"""The standing about to be entered cannot be entered as things are."""

from collections.abc import Iterable

from putback.logbook.entries.describing import Described
from putback.logbook.entries.rebuilding import PartOn
from putback.logbook.entries.working import PartOff
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, carrying, standing_subject
from putback.vehicle.standing import Standing


def rule(situation: Situation, standing: Standing) -> Iterable[OpenItem]:
    """Find supports in the wrong place or under a part that is off, and parts in the way."""
    subject = standing_subject(standing.id)
    now = entries_of(situation.state.standing.said)
    if standing.wrong:
        yield OpenItem(
            Danger.DANGER,
            subject,
            f"{standing.name}: the supports are where they should not be"
            + (f" ({standing.note})" if standing.note else ""),
            now,
            "choose another standing, or mend the description",
            (Described,),
        )
    for part in standing.needs_off:
        if not situation.is_off(part):
            name = situation.name(f"part:{part}")
            yield OpenItem(
                Danger.DANGER,
                subject,
                f"{standing.name} can be entered only with {name} off",
                entries_of(situation.part(part).on) or now,
                f"take off {name} first",
                (PartOff,),
            )
    for bears_on, kind in dict.fromkeys((each.bears_on, each.kind) for each in carrying(standing)):
        state = situation.part(bears_on)
        if state.is_off:
            name = situation.name(f"part:{bears_on}")
            yield OpenItem(
                Danger.DANGER,
                subject,
                f"{standing.name} has a {kind} under {name}, which is off",
                entries_of(state.off),
                f"put {name} on first, or choose another standing",
                (PartOn,),
            )
