"""A lift by hand is near that is more than the people it is planned for can lift."""

from collections.abc import Iterable

from putback.logbook.entries.describing import Described
from putback.logbook.entries.working import PartOff
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.lift import lifts
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import count


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find lifts with one tie left or none, without a hoist, too heavy for their crew."""
    for unit in lifts(situation):
        limit_kg = situation.team_kg(unit.crew)
        if unit.hoist or unit.mass_kg is None or limit_kg is None or len(unit.ties) > 1:
            continue
        if unit.mass_kg > limit_kg:
            people = count(unit.crew, "person", "people")
            yield OpenItem(
                Danger.DANGER,
                unit.subject,
                f"{unit.name} is {unit.mass_kg:.0f} kg; {people} by hand"
                f" {'lifts' if unit.crew == 1 else 'lift'} about {limit_kg:.0f} kg",
                situation.begun_by(unit),
                "use a hoist or more people, and describe the lift so",
                (Described, PartOff),
            )
