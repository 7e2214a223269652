"""What the API takes and gives."""

from typing import Annotated, Any

from ninja import Schema
from pydantic import Field

Clock = Annotated[list[int], Field(min_length=2, max_length=2)]
"""A hybrid clock: [ms] and counter. A list: OpenAPI says tuples as not all readers of it know."""


class Fault(Schema):
    """What is wrong, where, and how to mend it."""

    message: str
    fault: str
    place: str
    remedy: str


class SaidAct(Schema):
    """What happened in one tap: entries that stand or are struck out together."""

    entries: list[dict[str, Any]] = Field(min_length=1, max_length=99)
    """Each with its ``kind``, and the fields of its body beside it."""
    happened_at: str | None = None
    """An instant, a day, a month, or empty for unknown, as ISO 8601; now where not given."""
    after: str | None = None
    """The entry behind which a late note belongs."""


class SaidStrike(Schema):
    """What is to be struck out: an entry or an act."""

    what: str = Field(min_length=1, max_length=64)
    why: str = Field(default="", max_length=1000)


class OpenThing(Schema):
    """Something left open, and what clears it."""

    rule: str
    danger: str
    words: str
    clears: str


class LoggedAct(Schema):
    """What came of an act."""

    act: str
    entries: list[str]
    sentences: list[str]
    cautions: list[str]


class Received(Schema):
    """What became of the entries that a phone sent."""

    new: list[str]
    known: list[str]
    position: int
    sentences: list[str] = []
    """What they say, one an entry; only of one's own."""
    cautions: list[str] = []
    clock: Clock = [0, 0]
    """The latest clock that was seen here, [ms] and counter: later entries stand behind it."""


class KeptFile(Schema):
    """A photo or sound that is stored; an entry has yet to name it."""

    photo: str
    """SHA-256 of its bytes."""
    media_type: str
    width_px: int
    height_px: int
    warning: str
    """That it looks blurred or black; empty if it looks well."""


class ShownPicture(Schema):
    """A photo or spoken note of the logbook."""

    photo: str
    entry: str
    of: list[str]
    title: str
    words: str
    looking: str
    happened_at: str
    media_type: str
    drawn_on: str
    from_before: bool
    """Whether it was taken before what it shows came off."""
    is_here: bool
    """Whether its bytes, or those of a copy without its place, are here."""


class Completions(Schema):
    """Lines that go on from what is typed."""

    lines: list[str]


class Oneself(Schema):
    """Who asks, and what a phone must know to send what waits on it."""

    person: str
    name: str
    device: str
    csrf: str
    """The token against forged requests, to be sent as `X-CSRFToken`."""
    clock: Clock
    """The latest clock that was seen here, [ms] and counter."""


class VehicleInList(Schema):
    """A vehicle in which you have a role."""

    logbook: str
    name: str
    role: str
    position: int
    """Of the logbook's last entry."""


class NewVehicle(Schema):
    """A vehicle to begin: a name is enough."""

    name: str = Field(min_length=1, max_length=120)


class BegunVehicle(Schema):
    """The logbook that was begun."""

    logbook: str


class VehicleNow(Schema):
    """How far a vehicle is, how it stands and what is held."""

    logbook: str
    name: str
    role: str
    position: int
    way: str
    """Whether it comes apart or goes back together."""
    standing: str
    """How it stands now; empty if nobody said."""
    holds: list[str]
    """Standing holds in force: what must not be done."""
    parts_off: int
    parts: int


class KnownThing(Schema):
    """What is known of one thing."""

    subject: str
    name: str
    state: dict[str, Any]
    """What was logged of it comes to; fields that are as at the beginning may be left out."""
    where: list[str]
    """The bags, boxes and the place it is in, the innermost first."""


class SaidEntry(Schema):
    """An entry in words."""

    entry: str
    happened_at: str
    who: str
    is_claimed: bool
    """It came from elsewhere: who it was is what that says."""
    kind: str
    sentence: str


class SentEntry(Schema):
    """An entry as it was received, and what was noted beside it."""

    position: int
    received_at: str
    received_from: str
    entry: dict[str, Any]


class SentEntries(Schema):
    """Entries after a position, and the position of the logbook's last one."""

    entries: list[SentEntry]
    position: int


class WantedTags(Schema):
    """How many tags a device wants."""

    count: int = Field(ge=1, le=200)


class ReservedTags(Schema):
    """Tags for a device, in the order of issue."""

    tags: list[str]


class SaidLabel(Schema):
    """What a program is called, so that its person knows it again."""

    label: str = Field(min_length=1, max_length=120)


class OwnToken(Schema):
    """A program that has a token."""

    id: str
    label: str
    made_at: str
    seen_at: str


class MadeToken(Schema):
    """A token, shown this once; sent as `Authorization: Bearer ...`."""

    id: str
    label: str
    token: str


class Done(Schema):
    """It was done."""

    done: bool
