"""A joint: what holds two or more parts together, and how it is undone and made again.

How it holds, how it locks and how it seals are three different questions, so every piece of a
fixing carries its role. Pieces stand in the order in which they go on (cup, rubber, sleeve, cup).
"""

from collections.abc import Container
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from pydantic import BeforeValidator, InstanceOf, PlainSerializer

from putback.errors import InputError
from putback.vehicle.fastener import FastenerSpec, Role, parse, role_of
from putback.vehicle.ids import JointId, PartId, StandingId, ZoneId
from putback.vehicle.minutes import NO_TIME, Minutes


def _read_spec(value: object) -> object:
    """Read what a person typed; pydantic gathers only faults that are a ``ValueError``."""
    try:
        return parse(value) if isinstance(value, str) else value
    except InputError as error:
        raise ValueError(str(error)) from error


def _as_a_piece(what: str) -> str:
    """Write what is used up as a specification is written, if it is one."""
    try:
        return parse(what).text
    except InputError:
        return what


Spec = Annotated[
    InstanceOf[FastenerSpec],
    BeforeValidator(_read_spec),
    PlainSerializer(lambda spec: spec.text, return_type=str),
]
"""A fastener specification, written in files as a person would type it."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a fixing's stack."""

    spec: Spec
    per_fixing: int = 1
    single_use: bool = False
    stays: bool = False
    """Captive nuts, tapers, sealant and the like: never in a bag, never in the accounts."""
    note: str = ""

    @property
    def role(self) -> Role:
        """Whether it holds, locks or seals."""
        return role_of(self.spec.kind)


@dataclass(frozen=True, slots=True)
class Fixing:
    """Holes of one joint that take the same stack, each with its own place."""

    id: str
    count: int
    stack: tuple[Piece, ...]
    head: str = ""
    """Which way the head faces, where it matters."""


@dataclass(frozen=True, slots=True)
class Shim:
    """One shim; thickness [m]."""

    thickness_m: float
    material: str = "steel"
    shape: str = ""


@dataclass(frozen=True, slots=True)
class ShimPack:
    """The shims at one place, in order."""

    at: str
    shims: tuple[Shim, ...]
    order: str = ""
    taper: str = ""
    selective: bool = False
    """Chosen by measuring, so that a new part wants new shims."""
    measured_m: float | None = None


class FinalWhen(StrEnum):
    """When the joint may be tightened for good."""

    AS_FITTED = "as fitted"
    LADEN = "at laden height"  # rubber twists: closed where it lives
    RENIPPED_HOT = "re-nipped hot"  # exhaust finds its place, then is nipped again
    GAPS_SET = "gaps set"  # panels: after the gaps are right
    ON_WHEELS = "on wheels"  # the tyres hold what would turn
    AFTER_FIRST_RUN = "after first run"


class TorqueOrigin(StrEnum):
    """Where a torque figure comes from, best first."""

    MAKER = "maker"
    HANDBOOK = "handbook"
    COMPUTED = "computed"  # a guide value
    MEASURED = "measured as found"
    INVENTED = "invented"  # demonstration only


@dataclass(frozen=True, slots=True)
class Stage:
    """One pass of a tightening done in stages: a torque [N·m] or a further angle [degrees]."""

    torque_nm: float | None = None
    angle_deg: float | None = None


@dataclass(frozen=True, slots=True)
class Tightening:
    """How tight, by whose word and in what condition of the thread.

    ``torque_nm`` is the figure for the finished joint [N·m]; ``None`` where none is known.
    """

    torque_nm: float | None = None
    origin: TorqueOrigin | None = None
    condition: str = ""
    """Dry, oiled, plated, new nut, with sealant: a figure without it is half a figure."""
    stages: tuple[Stage, ...] = ()
    sequence: str = ""
    retorque_after: str = ""


class Does(StrEnum):
    """What moves when the joint is undone."""

    STAYS = "stays"
    FALLS = "falls"
    SWINGS = "swings"  # on what still holds it
    HANGS = "hangs"  # on a hose or cable, which must not carry it
    FLIES = "flies"  # a spring lets go


@dataclass(frozen=True, slots=True)
class WhenUndone:
    """What the joint lets go, and what must be done first."""

    does: Does = Does.STAYS
    detail: str = ""
    prop_first: str = ""


@dataclass(frozen=True, slots=True)
class Consumable:
    """Something used up in making the joint."""

    what: str
    how: str = ""


class Care(StrEnum):
    """How exactly a joint's hardware is accounted for."""

    EXACT = "exact"  # each to its own hole: critical joints, shims, odd lengths
    COUNTED = "counted"  # so many of each
    ALL_THERE = "all there"  # a bag of trim screws: nobody counts, nobody pretends


@dataclass(frozen=True, slots=True)
class Joint:
    """What connects ``parts``; the first is usually the one that comes away.

    ``minutes`` is for undoing all of it [minutes]. An empty ``standings`` means that it can be
    reached however the vehicle stands.
    """

    id: JointId
    name: str
    parts: tuple[PartId, ...]
    fixings: tuple[Fixing, ...] = ()
    through: tuple[PartId, ...] = ()
    """Parts its fasteners pass through without joining them to anything."""
    minutes: Minutes = NO_TIME
    tool: str = ""
    zone: ZoneId | None = None
    standings: tuple[StandingId, ...] = ()
    crack_in: StandingId | None = None
    """Break it loose in this standing, before the one it is undone in."""
    tightening: Tightening = Tightening()
    final_when: FinalWhen = FinalWhen.AS_FITTED
    by_position: bool = False
    """The maker allows closing it with the arm propped at its laden angle."""
    critical: bool = False
    """Somebody gets hurt if it lets go: torque and a second person's check are recorded."""
    shims: tuple[ShimPack, ...] = ()
    when_undone: WhenUndone = WhenUndone()
    crew: int = 1
    access: str = ""
    consumables: tuple[Consumable, ...] = ()
    care: Care | None = None
    note: str = ""

    @property
    def fixing_count(self) -> int:
        """How many fixings there are to undo; one where nothing is counted."""
        return sum(fixing.count for fixing in self.fixings) or 1

    @property
    def level_of_care(self) -> Care:
        """How exactly its hardware is kept: as said, else exact where it matters."""
        if self.care is not None:
            return self.care
        return Care.EXACT if self.critical or self.shims else Care.COUNTED

    @property
    def used_up(self) -> tuple[Consumable, ...]:
        """What making it uses up, without what its fixings name as well: as a piece used once."""
        pieces = (piece for fixing in self.fixings for piece in fixing.stack if piece.single_use)
        once = {piece.spec.text for piece in pieces}
        return tuple(each for each in self.consumables if _as_a_piece(each.what) not in once)

    def moves(self, off: Container[PartId]) -> WhenUndone:
        """Say what it still lets go where these parts are off.

        Nothing where what comes away with it, which stands first, went without the rest.
        """
        first = self.parts[:1]
        is_gone = any(part in off for part in first) and any(
            part not in off for part in self.parts
        )
        return WhenUndone() if is_gone else self.when_undone

    def holds(self) -> frozenset[str]:
        """Name the ways in which it holds."""
        return self._kinds(Role.HOLD)

    def locks(self) -> frozenset[str]:
        """Name the ways in which it is kept from coming undone."""
        return self._kinds(Role.LOCK)

    def seals(self) -> frozenset[str]:
        """Name the ways in which it is kept tight."""
        return self._kinds(Role.SEAL)

    def _kinds(self, role: Role) -> frozenset[str]:
        return frozenset(
            piece.spec.kind.value
            for fixing in self.fixings
            for piece in fixing.stack
            if piece.role is role
        )
