"""Bookkeeping: time, money, names, striking out and sealing."""

from decimal import Decimal
from typing import ClassVar, Self

from pydantic import Field, model_validator

from putback.logbook.entries.base import ActId, Body, EntryId, Naming, PersonId, Subject, subject

STRUCK_ACT = "act:"
"""What begins the name of an act where an entry could be meant as well: some phones give an act
the identity of its first entry."""


class TimeSpent(Body):
    """Work done [minutes], for something or in general."""

    KIND: ClassVar[str] = "time"

    minutes: float = Field(ge=0)
    people: int = Field(default=1, ge=1)
    of: Subject | None = None

    def subjects(self) -> tuple[Subject, ...]:
        return (self.of or Subject("time"),)

    def sentence(self, name: Naming) -> str:
        of = f" on {name(self.of)}" if self.of else ""
        return f"spent {self.minutes:g} minutes{of}"


class MoneySpent(Body):
    """A sum paid; apart from the work, so that an export may leave it out."""

    KIND: ClassVar[str] = "money"
    PRIVATE: ClassVar[bool] = True

    amount: Decimal = Field(max_digits=15, decimal_places=4)
    currency: str = Field(pattern=r"^[A-Z]{3}$")
    of: Subject | None = None
    what: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("money"),)

    def sentence(self, name: Naming) -> str:
        on = self.what or (name(self.of) if self.of else "")
        return f"paid {self.amount} {self.currency}{f' for {on}' if on else ''}"


class PersonNamed(Body):
    """Who a person of the logbook is; apart, so that an export may leave names out."""

    KIND: ClassVar[str] = "person named"
    PRIVATE: ClassVar[bool] = True

    person: PersonId
    name: str

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("person", self.person),)

    def sentence(self, name: Naming) -> str:
        return f"{self.person} is called {self.name}"


class Struck(Body):
    """An entry, or all of an act, is struck out: the state is as if it had never been made."""

    KIND: ClassVar[str] = "struck"

    entry: EntryId | None = None
    act: ActId | None = None
    why: str = ""

    @model_validator(mode="after")
    def _one_target(self) -> Self:
        if (self.entry is None) == (self.act is None):
            raise ValueError("strike either one entry or one act")
        return self

    def subjects(self) -> tuple[Subject, ...]:
        return ()

    def strikes(self) -> str:
        return self.entry or f"{STRUCK_ACT}{self.act}"

    def sentence(self, name: Naming) -> str:
        what = "an entry" if self.entry else "an act"
        return f"struck out {what}{f': {self.why}' if self.why else ''}"


class Sealed(Body):
    """All entries up to here were counted and digested, so that a later change shows."""

    KIND: ClassVar[str] = "sealed"

    entries: int = Field(ge=0)
    digest: str = Field(pattern=r"^[0-9a-f]{64}$")

    def subjects(self) -> tuple[Subject, ...]:
        return (Subject("seal"),)

    def sentence(self, name: Naming) -> str:
        return f"sealed {self.entries} entries"


class LocationLeftOut(Body):
    """A copy of a photo that goes along in its place, without where it was taken.

    An export writes one for each photo that tells its place; both are named by the SHA-256 of
    their bytes. The original stays where it was taken in.
    """

    KIND: ClassVar[str] = "location left out"

    photo: str = Field(pattern=r"^[0-9a-f]{64}$")
    copied_as: str = Field(pattern=r"^[0-9a-f]{64}$")

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("photo", self.photo), subject("photo", self.copied_as))

    def sentence(self, name: Naming) -> str:
        return "left the place out of a photo that goes along"
