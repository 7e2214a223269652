"""Rebuilding: going back together, loose before tight, checked by a second person."""

from enum import StrEnum
from typing import ClassVar

from pydantic import Field

from putback.logbook.entries.base import Body, EntryId, Naming, Subject, of_ref, subject
from putback.logbook.entries.keeping import Pieces
from putback.vehicle.ids import FluidId, JointId, PartId, joint_ref, part_ref


class Prepared(Body):
    """Made ready: thread chased, earth bared, face cleaned, masked, painted."""

    KIND: ClassVar[str] = "prepared"

    what: Subject
    how: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (self.what,)

    def sentence(self, name: Naming) -> str:
        return f"prepared {name(self.what)}{f': {self.how}' if self.how else ''}"


class OfferedUp(Body):
    """Tried in its place without making the joint; ``misfit_m`` says by how much it fails [m]."""

    KIND: ClassVar[str] = "offered up"

    what: Subject
    fits: bool
    misfit_m: float | None = None
    note: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (self.what,)

    def sentence(self, name: Naming) -> str:
        by = f" by {self.misfit_m * 1000:g} mm" if self.misfit_m is not None else ""
        verdict = "it fits" if self.fits else f"it does not fit{by}"
        return f"offered up {name(self.what)}: {verdict}"


class PartOn(Body):
    """The part is back in its place."""

    KIND: ClassVar[str] = "part on"

    part: PartId
    renewed: bool = False
    """A new or remade one went on in its stead."""

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(part_ref(self.part)),)

    def sentence(self, name: Naming) -> str:
        new = "a new " if self.renewed else ""
        return f"put {new}{name(part_ref(self.part))} on"


class Tightness(StrEnum):
    """How far the joint is made, in rising order."""

    FINGER_TIGHT = "finger tight"
    NIPPED = "nipped"
    STAGED = "staged"  # some stages of several done
    TIGHTENED = "tightened"  # to its torque, but it must wait for its final tightening
    SET = "set"  # end float, gap or play is right
    FINAL = "final"


class JointMade(Body):
    """The joint is made so far; a count like joint undone.

    ``made`` of ``None`` is all fixings. ``renewed`` says whether single-use pieces are new: not
    said is not recorded, and an open item. ``new`` are other pieces taken from new stock.
    ``torque_nm`` as applied [N·m]. ``curing_until`` in ISO 8601.
    """

    KIND: ClassVar[str] = "joint made"

    joint: JointId
    tightness: Tightness
    made: int | None = Field(default=None, ge=0)
    torque_nm: float | None = Field(default=None, ge=0)
    locked: bool | None = None
    curing_until: str = ""
    renewed: bool | None = None
    new: tuple[Pieces, ...] = ()
    note: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(joint_ref(self.joint)),)

    def sentence(self, name: Naming) -> str:
        torque = f" at {self.torque_nm:g} N·m" if self.torque_nm is not None else ""
        lock = ", locked" if self.locked else ""
        return f"made {name(joint_ref(self.joint))} {self.tightness}{torque}{lock}"


class Checked(Body):
    """A made joint was looked at again; ``of`` is the entry by which it was made.

    By a second person it counts in full; by the same person on another day as the weaker kind.
    """

    KIND: ClassVar[str] = "checked"

    joint: JointId
    of: EntryId | None = None
    right: bool = True
    note: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(joint_ref(self.joint)),)

    def speaks_of(self) -> tuple[EntryId, ...]:
        return (self.of,) if self.of else ()

    def sentence(self, name: Naming) -> str:
        verdict = "right" if self.right else f"not right: {self.note}"
        return f"checked {name(joint_ref(self.joint))}: {verdict}"


class Filled(Body):
    """A fluid is in again; volume [m³] if measured."""

    KIND: ClassVar[str] = "filled"

    fluid: FluidId
    volume_m3: float | None = Field(default=None, ge=0)
    what: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("fluid", self.fluid),)

    def sentence(self, name: Naming) -> str:
        return f"filled {name(f'fluid:{self.fluid}')}"


class Bled(Body):
    """Air is out of a hydraulic circuit."""

    KIND: ClassVar[str] = "bled"

    fluid: FluidId
    note: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("fluid", self.fluid),)

    def sentence(self, name: Naming) -> str:
        return f"bled {name(f'fluid:{self.fluid}')}"
