"""Working: what was done to the vehicle, and what was seen while doing it."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Annotated, ClassVar, Self

from pydantic import Field, ValidationInfo, model_validator

from putback.logbook.entries.base import (
    AS_STORED,
    Body,
    Detail,
    Naming,
    PersonId,
    PlaceId,
    Subject,
    TagCode,
    of_ref,
    subject,
)
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    OpeningId,
    PartId,
    Ref,
    StandingId,
    joint_ref,
    part_ref,
)


class Whither(StrEnum):
    """Where a fixing's pieces went when it came out."""

    TAG = "tag"  # into the bag or box with this tag
    OWN_HOLE = "own hole"  # put back slack where it came from
    ON_PART = "on part"  # stays on the part that came away
    SCRAP = "scrap"
    PATTERN = "pattern"  # kept only to copy
    LOST = "lost"
    NOT_RECORDED = "not recorded"  # an allowed answer, and an open item


class Went(Detail):
    """So many fixings' pieces went to one place."""

    to: Whither
    fixings: int = Field(ge=0)
    tag: TagCode | None = None

    @model_validator(mode="after")
    def _tag_if_tagged(self) -> Self:
        if (self.to is Whither.TAG) != (self.tag is not None):
            raise ValueError("a tag is given exactly when the pieces went into a tagged bag")
        return self


class TakenInHand(Body):
    """Somebody has begun a job, so that nobody else does."""

    KIND: ClassVar[str] = "taken in hand"

    what: Ref

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(self.what),)

    def sentence(self, name: Naming) -> str:
        return f"took {name(self.what)} in hand"


class JointCracked(Body):
    """The joint was broken loose and nipped again."""

    KIND: ClassVar[str] = "joint cracked"

    joint: JointId

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(joint_ref(self.joint)),)

    def sentence(self, name: Naming) -> str:
        return f"cracked {name(joint_ref(self.joint))} loose"


class JointUndone(Body):
    """So many fixings of a joint are out, found so or taken out: a count, not a step.

    Saying it twice adds nothing. ``out`` is how many are out and ``of`` how many there are;
    ``out`` of ``None`` means all. ``cut``, ``sheared`` and ``rounded`` are among those out and
    count as destroyed; ``stuck`` are still in.
    ``went`` says where pieces went; what it leaves unsaid goes to ``tag`` if there is one.
    ``fixing`` names the group of holes, where the joint has several and it matters.
    """

    KIND: ClassVar[str] = "joint undone"
    LINKS: ClassVar[bool] = True

    joint: JointId
    out: int | None = Field(default=None, ge=0)
    of: int | None = Field(default=None, ge=1)
    fixing: str = ""
    stuck: int = Field(default=0, ge=0)
    cut: int = Field(default=0, ge=0)
    sheared: int = Field(default=0, ge=0)
    rounded: int = Field(default=0, ge=0)
    went: tuple[Went, ...] = ()
    tag: TagCode | None = None
    note: str = ""

    @model_validator(mode="after")
    def _counts_fit(self, info: ValidationInfo) -> Self:
        if self.out is not None and self.of is not None and self.out > self.of:
            raise ValueError(f"{self.out} of {self.of} cannot be out")
        if self.out is not None and self.cut + self.sheared + self.rounded > self.out:
            raise ValueError("more fixings are cut, sheared or rounded than are out")
        if info.context == AS_STORED or self.out is None or self.of is None:
            return self  # of old ones some say more stuck than there are: they stay as they are
        if self.out + self.stuck > self.of:
            both = f"{self.out} out and {self.stuck} stuck"
            raise ValueError(f"stuck: {both} are more than the {self.of} there are")
        return self

    @property
    def destroyed(self) -> int:
        """Fixings that came out in pieces."""
        return self.cut + self.sheared + self.rounded

    def subjects(self) -> tuple[Subject, ...]:
        joint = of_ref(joint_ref(self.joint))
        tags = {went.tag for went in self.went} | {self.tag}
        return (joint, *(subject("tag", tag) for tag in sorted(filter(None, tags))))

    def sentence(self, name: Naming) -> str:
        joint = name(joint_ref(self.joint))
        count = "" if self.out is None else f": {self.out} of {self.of or '?'} out"
        trouble = ", ".join(
            f"{number} {word}"
            for number, word in (
                (self.stuck, "stuck"),
                (self.cut, "cut"),
                (self.sheared, "sheared"),
                (self.rounded, "rounded"),
            )
            if number
        )
        return f"undid {joint}{count}{f' ({trouble})' if trouble else ''}"


class SeenFree(Body):
    """Somebody looked before a lift, and nothing holds at this joint any more.

    ``before`` is what is to be lifted. It undoes nothing: what still holds is logged undone. Once
    the joint is made again it says nothing more.
    """

    KIND: ClassVar[str] = "seen free"

    joint: JointId
    before: Ref | None = None

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(joint_ref(self.joint)),)

    def sentence(self, name: Naming) -> str:
        before = f" before {name(self.before)} is lifted" if self.before else ""
        return f"saw {name(joint_ref(self.joint))} free{before}"


class PartOff(Body):
    """The part came off: by itself, or with the assembly it belongs to.

    A bag, a zone and a photo make a complete entry: the part may be named later.
    """

    KIND: ClassVar[str] = "part off"

    part: PartId
    whole: AssemblyId | None = None
    tag: TagCode | None = None
    place: PlaceId | None = None

    def subjects(self) -> tuple[Subject, ...]:
        tag = (subject("tag", self.tag),) if self.tag else ()
        return (of_ref(part_ref(self.part)), *tag)

    def sentence(self, name: Naming) -> str:
        where = f", into {self.tag}" if self.tag else ""
        return f"took off {name(part_ref(self.part))}{where}"


class HungAside(Body):
    """The part was freed and tied up on the vehicle."""

    KIND: ClassVar[str] = "hung aside"

    part: PartId
    on: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(part_ref(self.part)),)

    def sentence(self, name: Naming) -> str:
        return f"hung {name(part_ref(self.part))} aside{f' on {self.on}' if self.on else ''}"


class MarkMade(Body):
    """A mark was made, so that the part goes back as it was."""

    KIND: ClassVar[str] = "mark made"

    part: PartId
    how: str = ""
    where: str = ""
    record: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (of_ref(part_ref(self.part)),)

    def sentence(self, name: Naming) -> str:
        return f"marked {name(part_ref(self.part))}{f': {self.record}' if self.record else ''}"


class OpeningClosed(Body):
    """So many ends of an opening are closed now: a count, as of fixings that are out.

    ``ends`` of ``None`` means all.
    """

    KIND: ClassVar[str] = "opening closed"

    opening: OpeningId
    ends: int | None = Field(default=None, ge=0)
    closed_with: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("opening", self.opening),)

    def sentence(self, name: Naming) -> str:
        ends = "" if self.ends is None else f" ({self.ends})"
        return f"closed {name(f'opening:{self.opening}')}{ends}"


class OpeningOpened(Body):
    """Closures of an opening were taken out again, or were found missing.

    ``closed`` is how many of its ends are closed still.
    """

    KIND: ClassVar[str] = "opening opened"

    opening: OpeningId
    closed: int = Field(default=0, ge=0)

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("opening", self.opening),)

    def sentence(self, name: Naming) -> str:
        return f"{name(f'opening:{self.opening}')} stands open"


class Looking(StrEnum):
    """Which way the camera looked, as seen from the driving seat."""

    FORWARD = "forward"
    REARWARD = "rearward"
    UP = "up"
    DOWN = "down"
    LEFT = "left"
    RIGHT = "right"


class PhotoTaken(Body):
    """A photo, by the SHA-256 of its bytes, which are stored beside the logbook.

    ``drawn_on`` is the photo on a copy of which somebody drew this one: an arrow, a ring, a word.
    """

    KIND: ClassVar[str] = "photo"

    photo: str = Field(pattern=r"^[0-9a-f]{64}$")
    of: tuple[Subject, ...] = ()
    media_type: str = "image/jpeg"
    caption: str = ""
    looking: Looking | None = None
    drawn_on: str = Field(default="", pattern=r"^([0-9a-f]{64})?$")

    def subjects(self) -> tuple[Subject, ...]:
        drawn_on = (subject("photo", self.drawn_on),) if self.drawn_on else ()
        return (*self.of, subject("photo", self.photo), *drawn_on)

    def sentence(self, name: Naming) -> str:
        of = " and ".join(name(each) for each in self.of) or "the work"
        did = f"drew on a photo of {of}" if self.drawn_on else f"photographed {of}"
        return f"{did}, looking {self.looking}" if self.looking else did


class SoundTaken(Body):
    """A spoken note, by the SHA-256 of its bytes."""

    KIND: ClassVar[str] = "sound"

    sound: str = Field(pattern=r"^[0-9a-f]{64}$")
    of: tuple[Subject, ...] = ()
    media_type: str = "audio/webm"
    words: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (*self.of, subject("photo", self.sound))

    def sentence(self, name: Naming) -> str:
        of = " and ".join(name(each) for each in self.of)
        said = f"spoke a note{f' on {of}' if of else ''}"
        return f"{said}: {self.words}" if self.words else said


class NoteMade(Body):
    """Something worth writing down."""

    KIND: ClassVar[str] = "note"

    text: str
    of: tuple[Subject, ...] = ()

    def subjects(self) -> tuple[Subject, ...]:
        return self.of or (Subject("notes"),)

    def sentence(self, name: Naming) -> str:
        return f"noted: {self.text}"


class Found(Body):
    """A fault or a surprise; it stays open until somebody decides."""

    KIND: ClassVar[str] = "found"

    what: str
    of: Subject

    def subjects(self) -> tuple[Subject, ...]:
        return (self.of,)

    def sentence(self, name: Naming) -> str:
        return f"found on {name(self.of)}: {self.what}"


class Measured(Body):
    """A reading as found, and the limits it should be within.

    ``value``, ``low`` and ``high`` are all in ``unit``.
    """

    KIND: ClassVar[str] = "measured as found"

    of: Subject
    what: str
    value: float
    unit: str
    low: float | None = None
    high: float | None = None

    def subjects(self) -> tuple[Subject, ...]:
        return (self.of,)

    def sentence(self, name: Naming) -> str:
        return f"measured {self.what} of {name(self.of)}: {self.value:g} {self.unit}"


class TemporaryFitOn(Body):
    """Something that must not stay was fitted: a dolly, brace, plug, slave wheels."""

    KIND: ClassVar[str] = "temporary fit on"

    fit: str
    what: str
    on: Subject | None = None

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("fit", self.fit),)

    def sentence(self, name: Naming) -> str:
        return f"fitted {self.what} for now{f' on {name(self.on)}' if self.on else ''}"


class TemporaryFitOff(Body):
    """A temporary fit was taken out."""

    KIND: ClassVar[str] = "temporary fit off"

    fit: str

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("fit", self.fit),)

    def sentence(self, name: Naming) -> str:
        return f"took out {name(f'fit:{self.fit}')}"


class StandingChanged(Body):
    """The vehicle stands otherwise now."""

    KIND: ClassVar[str] = "standing changed"

    standing: StandingId
    rock_tested: bool = False
    looked: PersonId | None = None
    """Who looked underneath before anybody went there."""

    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("standing"),)

    def sentence(self, name: Naming) -> str:
        tested = ", rock-tested" if self.rock_tested else ""
        return f"stands now {name(f'standing:{self.standing}')}{tested}"


LoadKg = Annotated[float, Field(ge=0)]


class Weighed(Body):
    """The vehicle was weighed: what stood on each support, or on each axle, at one moment.

    ``loads_kg`` is by support of the standing, or of ``front axle`` and ``rear axle`` [kg];
    ``uncertainty_kg`` is that of the scales, for each load [kg]. ``off`` are the parts that were
    off and ``fluids_out`` the fluids that were out at that moment, so that it stands by itself;
    unless they are given, they are as the logbook has them for that moment.
    """

    KIND: ClassVar[str] = "weighed"

    loads_kg: Mapping[str, LoadKg] = Field(min_length=1)
    standing: StandingId | None = None
    uncertainty_kg: float | None = Field(default=None, ge=0)
    off: tuple[PartId, ...] = ()
    fluids_out: tuple[FluidId, ...] = ()
    note: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("weighing"),)

    def sentence(self, name: Naming) -> str:
        loads = ", ".join(f"{place} {load:g} kg" for place, load in self.loads_kg.items())
        stood = f", {name(f'standing:{self.standing}')}" if self.standing else ""
        return f"weighed {loads}{stood}"


class Drained(Body):
    """A fluid is out; volume [m³] if measured."""

    KIND: ClassVar[str] = "drained"

    fluid: FluidId
    volume_m3: float | None = Field(default=None, ge=0)

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("fluid", self.fluid),)

    def sentence(self, name: Naming) -> str:
        return f"drained {name(f'fluid:{self.fluid}')}"


class JobDone(Body):
    """A declared job is done: one that touches no joint, or that finishes several."""

    KIND: ClassVar[str] = "job done"

    job: JobId
    note: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("job", self.job),)

    def sentence(self, name: Naming) -> str:
        return f"did the job {name(f'job:{self.job}')}"
