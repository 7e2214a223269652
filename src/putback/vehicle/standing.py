"""How the vehicle stands: what carries it, on which part, and what a change of it costs."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from putback.vehicle.ids import PartId, Ref, StandingId, SupportId, ZoneId


@dataclass(frozen=True, slots=True)
class Zone:
    """A region of the vehicle that one works in without walking round it."""

    id: ZoneId
    name: str


@dataclass(frozen=True, slots=True)
class Support:
    """One stand, wheel, ramp or trolley; place on the ground [m], rating [kg].

    The part it bears on cannot come off while it stands there, nor can what it ``hides``.
    """

    id: SupportId
    kind: str
    bears_on: PartId
    at_m: tuple[float, float]
    rating_kg: float | None = None
    hides: tuple[PartId, ...] = ()
    beside: bool = False
    """Carries what has been taken off, beside the vehicle: a body on its trolley."""
    floor: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """A way to stand; ``change_minutes`` to each standing it can be changed into [minutes]."""

    id: StandingId
    name: str
    supports: tuple[Support, ...] = ()
    change_minutes: Mapping[StandingId, float] = field(default_factory=dict)
    needs_off: tuple[PartId, ...] = ()
    """It can be entered only once these are off."""
    wrong: bool = False
    """Kept for the lesson: supports in a place where they should not be. Never planned."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class TemporarySupport:
    """A jack, hoist or beam that bears from one job to another; no change of standing between.

    Place on the ground [m], rating and load [kg].
    """

    id: SupportId
    kind: str
    bears_on: PartId
    first: Ref
    last: Ref
    at_m: tuple[float, float] | None = None
    rating_kg: float | None = None
    load_kg: float | None = None
    note: str = ""
