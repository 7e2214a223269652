"""One line of the look-ahead: what to do now, for which job to come, and why."""

from dataclasses import dataclass
from enum import StrEnum

from putback.vehicle.ids import Ref


class Sort(StrEnum):
    """What is to be done now, in the order in which a day begins."""

    SOAK = "soak"  # penetrating oil on what will not come undone willingly
    ORDER = "order"  # what must be bought, sent out or asked after
    BORROW = "borrow"  # tools and lifting gear
    ASK = "ask"  # people for a lift, or for a second pair of eyes
    SETTLE = "settle"  # decide or measure, before a job that waits for it


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to do now.

    ``steps`` are those that it is for, the soonest first; before that one come ``sittings`` whole
    sittings and ``minutes`` of work and set-up, with ``not_estimated`` steps of which nobody knows
    the minutes. ``people`` counts everybody, the person who asks included.
    """

    sort: Sort
    what: str
    why: str
    steps: tuple[Ref, ...]
    sittings: int = 0
    minutes: float = 0.0
    not_estimated: int = 0
    where: str = ""
    cautions: tuple[str, ...] = ()
    people: int = 0
    not_yet: str = ""
    """Why it cannot be done yet, such as what is in the way of the oil can."""
