"""What a plan takes off of which nobody described any joint: its place in the order is a guess."""

from collections.abc import Iterable

from putback.logbook.open_items.wording import count
from putback.planning.plan import Action, Step
from putback.vehicle.ids import PartId, split_ref
from putback.vehicle.vehicle import Vehicle


def unfastened(vehicle: Vehicle, steps: Iterable[Step]) -> tuple[PartId, ...]:
    """Give the parts that steps take off, each by itself, and no joint of which is described."""
    off = (split_ref(step.what) for step in steps if step.action is Action.TAKE_OFF)
    parts = (PartId(identity) for kind, identity in off if kind == "part")
    return tuple(part for part in parts if not vehicle.joints_of.get(part))


def unfastened_words(number: int) -> str:
    """Say of so many parts that nobody knows what holds them."""
    parts = count(number, "part that comes off", "parts that come off")
    them = "it" if number == 1 else "them"
    return f"Of {parts}, no joint is described: what holds {them} is not known."
