"""Describing: what the vehicle and the garage are made of."""

from collections.abc import Mapping
from typing import Any, ClassVar, Self

from pydantic import Field, model_validator

from putback.logbook.entries.base import Body, EntryId, Naming, PlaceId, Subject, subject
from putback.vehicle.codec import TABLES, RecordFaults, identity_faults, read_fields
from putback.vehicle.ids import PartId

STANDARD_PLACE_KINDS = ("workshop", "store", "outside work")


class Described(Body):
    """Something of the vehicle was described: some fields of one record, last writer wins.

    ``table`` and the fields are those of the vehicle file, values as they are written there. A
    field given as ``None`` goes back to its default. ``instead_of`` are descriptions by other
    people that whoever wrote this had before them: it corrects them knowingly.
    """

    KIND: ClassVar[str] = "described"

    table: str
    id: str
    fields: Mapping[str, Any] = Field(default_factory=dict)
    instead_of: tuple[EntryId, ...] = ()

    @model_validator(mode="after")
    def _readable(self) -> Self:
        if self.table not in TABLES:
            raise ValueError(f"no table {self.table!r}; one of {', '.join(TABLES)}")
        for fault in identity_faults("id", self.id):
            raise ValueError(str(fault))
        try:
            read_fields(self.table, {k: v for k, v in self.fields.items() if v is not None})
        except RecordFaults as faults:
            raise ValueError(str(faults)) from faults
        return self

    def subjects(self) -> tuple[Subject, ...]:
        return (described_subject(self.table, self.id),)

    def sentence(self, name: Naming) -> str:
        what = self.fields.get("name") or name(f"{self.table}:{self.id}")
        return f"described {what}"


def described_subject(table: str, identity: str) -> Subject:
    """Name the description of one record, apart from the work done on it."""
    return subject(f"about {table}", identity)


class SameAs(Body):
    """Two descriptions turned out to be of one part."""

    KIND: ClassVar[str] = "same as"

    part: PartId
    same_as: PartId

    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("same as"),)

    def sentence(self, name: Naming) -> str:
        return f"{name(f'part:{self.part}')} is the same part as {name(f'part:{self.same_as}')}"


class OneAndSame(Body):
    """Several entries told of one event, each in its own count; ``settled`` is the count kept."""

    KIND: ClassVar[str] = "one and the same"

    entries: tuple[EntryId, ...] = Field(min_length=2)
    subject: Subject
    settled: int | None = None

    def subjects(self) -> tuple[Subject, ...]:
        return (self.subject,)

    def speaks_of(self) -> tuple[EntryId, ...]:
        return self.entries

    def sentence(self, name: Naming) -> str:
        count = f", settled at {self.settled}" if self.settled is not None else ""
        return f"{len(self.entries)} entries on {name(self.subject)} are one event{count}"


class PlaceDescribed(Body):
    """A place of the garage was described: a workshop, a store, a firm."""

    KIND: ClassVar[str] = "place described"

    place: PlaceId
    name: str = ""
    kind: str = "workshop"
    fits: str = ""
    floor: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("place", self.place),)

    def sentence(self, name: Naming) -> str:
        return f"described the place {self.name or self.place}"
