"""What counts as a lift: more than one person takes off by hand."""

from collections.abc import Iterator

from putback.logbook.open_items.situation import Situation, Unit


def lifts(situation: Situation) -> Iterator[Unit]:
    """Give what is coming off and takes two people, a hoist or more than one person's strength.

    Parts of a whole that is a lift itself are not given apart.
    """
    units = [unit for unit in situation.coming_off if is_lift(situation, unit)]
    wholes = [frozenset(unit.parts) for unit in units if len(unit.parts) > 1]
    for unit in units:
        if not any(set(unit.parts) < whole for whole in wholes):
            yield unit


def is_lift(situation: Situation, unit: Unit) -> bool:
    """Whether it takes two people, a hoist or more than one person's strength."""
    heavy = unit.mass_kg is not None and unit.mass_kg > situation.settings.one_person_kg
    return unit.crew > 1 or bool(unit.hoist) or heavy
