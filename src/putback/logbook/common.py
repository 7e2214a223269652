"""What any subject can carry: photos, notes, findings, decisions, where it is, who has it.

Every record names the entry that says so.
"""

from dataclasses import dataclass

from putback.logbook.entries.base import EntryId, PersonId, PlaceId, TagCode
from putback.logbook.entries.judging import Choice, Hindrance
from putback.logbook.order import Key


@dataclass(frozen=True, slots=True)
class Said:
    """Which entry says so, who, and where it stands in the order."""

    entry: EntryId
    who: PersonId
    key: Key


@dataclass(frozen=True, slots=True)
class Finding:
    """A fault or surprise, and the decision that settles it."""

    said: Said
    what: str
    settled: EntryId | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """A measurement; value and limits in ``unit``."""

    said: Said
    what: str
    value: float
    unit: str
    low: float | None
    high: float | None
    settled: EntryId | None = None

    @property
    def outside(self) -> bool:
        """Whether it is beyond its limits."""
        return (self.low is not None and self.value < self.low) or (
            self.high is not None and self.value > self.high
        )


@dataclass(frozen=True, slots=True)
class Away:
    """Out for work, or on order; ``due`` is a day or empty."""

    said: Said
    whither: str
    what: str = ""
    due: str = ""
    left: Said | None = None
    """Of what came back: when it went."""


@dataclass(frozen=True, slots=True)
class Offer:
    """Tried in its place; misfit [m]."""

    said: Said
    fits: bool
    misfit_m: float | None
    note: str


@dataclass(frozen=True, slots=True)
class NotNow:
    """A job was put off; ``until`` is a day or empty."""

    said: Said
    why: Hindrance
    note: str = ""
    until: str = ""


@dataclass(frozen=True, slots=True)
class Common:
    """What any subject can carry: photos, notes, findings, readings and the like."""

    photos: tuple[str, ...] = ()
    notes: tuple[EntryId, ...] = ()
    findings: tuple[Finding, ...] = ()
    readings: tuple[Reading, ...] = ()
    choice: Choice | None = None
    chosen: Said | None = None
    sent_out: Away | None = None
    came_back: Said | None = None
    missing: str = ""
    """What did not come back with it, in words."""
    returned: tuple[Away, ...] = ()
    """What was done to it outside since it was last on: where, what, back by which entry."""
    ordered: tuple[Away, ...] = ()
    """Orders that have not arrived."""
    arrived: int = 0
    prepared: tuple[Said, ...] = ()
    offers: tuple[Offer, ...] = ()
    in_hand: Said | None = None
    put_off: NotNow | None = None
    """Not now; ``None`` once it is taken in hand or worked on. `State.put_off` has them all."""
    seen: Said | None = None
    """Somebody last had it in the hand, counted it or put it where it is."""
    tag: TagCode | None = None
    """The container it is in."""
    place: PlaceId | None = None
    """Where it was last said to be, when it is in no container."""
    minutes: float = 0.0


NOTHING = Common()
