"""Keeping: where parts and hardware are."""

from typing import ClassVar, Self

from pydantic import Field, model_validator

from putback.logbook.entries.base import (
    Body,
    Detail,
    LogbookId,
    Naming,
    PlaceId,
    Subject,
    TagCode,
    of_ref,
    subject,
)
from putback.logbook.entries.working import Whither
from putback.vehicle.fastener import parse
from putback.vehicle.ids import JointId, PartId, ZoneId, joint_ref, part_ref


class Pieces(Detail):
    """So many pieces of one specification."""

    spec: str
    count: int = Field(ge=0)

    @model_validator(mode="before")
    @classmethod
    def _canonical_spec(cls, value: object) -> object:
        if isinstance(value, dict) and isinstance(value.get("spec"), str):
            return {**value, "spec": parse(value["spec"]).text}
        return value


class ContainerMade(Body):
    """A bag, box or crate was tagged, with the zone of the vehicle from which it was filled.

    A bag, a zone and a photo make a complete entry: what is in it may be named later.
    """

    KIND: ClassVar[str] = "container made"

    tag: TagCode
    container: str = "bag"
    name: str = ""
    zone: ZoneId | None = None

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("tag", self.tag),)

    def sentence(self, name: Naming) -> str:
        zone = f", from {name(f'zone:{self.zone}')}" if self.zone else ""
        called = f", {self.name}" if self.name else ""
        return f"tagged a {self.container} {self.tag}{called}{zone}"


class PutIn(Body):
    """A part, or a whole container, was put into a container."""

    KIND: ClassVar[str] = "put in"

    what: Subject
    tag: TagCode

    def subjects(self) -> tuple[Subject, ...]:
        return (self.what, subject("tag", self.tag))

    def sentence(self, name: Naming) -> str:
        return f"put {name(self.what)} into {self.tag}"


class HardwareMoved(Body):
    """Pieces of a joint's hardware went from one place to another.

    Either end is a `Whither`, with its tag where it is one. ``joint`` of ``None`` moves pieces
    of no known joint.
    """

    KIND: ClassVar[str] = "hardware moved"
    LINKS: ClassVar[bool] = True

    joint: JointId | None = None
    pieces: tuple[Pieces, ...] = Field(min_length=1)
    source: Whither
    source_tag: TagCode | None = None
    to: Whither
    to_tag: TagCode | None = None

    @model_validator(mode="after")
    def _tags_fit(self) -> Self:
        for end, tag in ((self.source, self.source_tag), (self.to, self.to_tag)):
            if (end is Whither.TAG) != (tag is not None):
                raise ValueError("a tag is given exactly when an end is a tagged bag")
        return self

    def subjects(self) -> tuple[Subject, ...]:
        owner = of_ref(joint_ref(self.joint)) if self.joint else Subject("stock")
        tags = sorted({tag for tag in (self.source_tag, self.to_tag) if tag})
        return (owner, *(subject("tag", tag) for tag in tags))

    def sentence(self, name: Naming) -> str:
        what = ", ".join(f"{each.count} × {each.spec}" for each in self.pieces)
        of = f" of {name(joint_ref(self.joint))}" if self.joint else ""
        return (
            f"moved {what}{of} from {self.source_tag or self.source} to {self.to_tag or self.to}"
        )


class Moved(Body):
    """A part or container is at a place now; an empty place means that nobody knows."""

    KIND: ClassVar[str] = "moved"

    what: Subject
    place: PlaceId

    def subjects(self) -> tuple[Subject, ...]:
        return (self.what,)

    def sentence(self, name: Naming) -> str:
        return f"moved {name(self.what)} to {name(f'place:{self.place}')}"


class Counted(Body):
    """A stocktake of one container: so many of each. It dates a loss.

    ``complete`` says that there is nothing in it beside what is listed: what is not listed is lost
    from then on. As a line it is said with complete=yes; else only what is named is compared.
    """

    KIND: ClassVar[str] = "counted"

    tag: TagCode
    pieces: tuple[Pieces, ...] = ()
    complete: bool = True

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("tag", self.tag),)

    def sentence(self, name: Naming) -> str:
        what = ", ".join(f"{each.count} × {each.spec}" for each in self.pieces)
        if self.complete:
            return f"counted {self.tag}, all of it: {what or 'empty'}"
        return f"counted in {self.tag}: {what or 'nothing named'}"


class HandsLaidOn(Body):
    """Somebody had it in the hand, here and now."""

    KIND: ClassVar[str] = "hands laid on"

    what: Subject
    place: PlaceId | None = None

    def subjects(self) -> tuple[Subject, ...]:
        return (self.what,)

    def sentence(self, name: Naming) -> str:
        return f"laid hands on {name(self.what)}"


class Scrapped(Body):
    """The part is scrap."""

    KIND: ClassVar[str] = "scrapped"

    part: PartId

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(part_ref(self.part)),)

    def sentence(self, name: Naming) -> str:
        return f"scrapped {name(part_ref(self.part))}"


class KeptAsPattern(Body):
    """The part will not go back; it is kept to copy."""

    KIND: ClassVar[str] = "kept as pattern"

    part: PartId
    why: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(part_ref(self.part)),)

    def sentence(self, name: Naming) -> str:
        return f"kept {name(part_ref(self.part))} as a pattern"


class Lost(Body):
    """The part cannot be found."""

    KIND: ClassVar[str] = "lost"

    part: PartId

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(part_ref(self.part)),)

    def sentence(self, name: Naming) -> str:
        return f"lost {name(part_ref(self.part))}"


class Bought(Body):
    """New hardware came into stock, for a joint or for anything."""

    KIND: ClassVar[str] = "bought"

    pieces: tuple[Pieces, ...] = Field(min_length=1)
    joint: JointId | None = None

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(joint_ref(self.joint)),) if self.joint else (Subject("stock"),)

    def sentence(self, name: Naming) -> str:
        what = ", ".join(f"{each.count} × {each.spec}" for each in self.pieces)
        return f"bought {what}{f' for {name(joint_ref(self.joint))}' if self.joint else ''}"


class MovedBetweenVehicles(Body):
    """A part left for another vehicle of the garage, or came from one."""

    KIND: ClassVar[str] = "moved between vehicles"

    part: PartId
    other: LogbookId
    came: bool = False

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(part_ref(self.part)),)

    def sentence(self, name: Naming) -> str:
        way = "came from" if self.came else "went to"
        return f"{name(part_ref(self.part))} {way} {self.other}"
