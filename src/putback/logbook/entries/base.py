"""The envelope of an entry, and what every body can do.

An entry is one thing that somebody says happened. Nothing in it is ever changed: a wrong entry is
struck out by a later one. The bytes in which it was received are kept beside it for ever.
"""

import hashlib
import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, ClassVar, Literal, NewType

from pydantic import BaseModel, ConfigDict

from putback.errors import InputError
from putback.vehicle.ids import Ref

EntryId = NewType("EntryId", str)
"""A UUIDv7 in its usual text form."""
ActId = NewType("ActId", str)
"""The act, a UUIDv7, that made the entry; one tap may make several, and undo strikes the act."""
LogbookId = NewType("LogbookId", str)
"""The vehicle's identity, or ``garage``."""
DeviceId = NewType("DeviceId", str)
PersonId = NewType("PersonId", str)
PlaceId = NewType("PlaceId", str)
TagCode = NewType("TagCode", str)
Subject = NewType("Subject", str)
"""What an entry speaks of: a `Ref`, ``tag:3CAH``, ``opening:...``, or one of the single subjects
such as ``standing``. The fold keeps one small state for each."""

Naming = Callable[[str], str]
"""Turns a subject into a person's words."""


@dataclass(eq=False)
class MalformedEntry(InputError):
    """Bytes that are no entry at all: without a sound envelope nothing can be kept of them."""

    where: str
    why: str

    def fault(self) -> str:
        return f"not a logbook entry: {self.why}"

    def place(self) -> str:
        return self.where

    def remedy(self) -> str:
        return "nothing was taken in; mend or leave out this line"


class Precision(StrEnum):
    """How exactly somebody knows when it happened."""

    INSTANT = "instant"
    DAY = "day"
    MONTH = "month"
    UNKNOWN = "unknown"


AS_STORED = "as stored"
"""The context in which a body is read that was written before: a rule that came later is for new
ones, and an old one is read as it stands."""


class Detail(BaseModel):
    """A part of a body with rules of its own."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Body(BaseModel):
    """What happened. A subclass is one kind of entry in one version."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    KIND: ClassVar[str]
    VERSION: ClassVar[int] = 1
    PRIVATE: ClassVar[bool] = False
    """Money and people's names: an export may leave them out."""

    LINKS: ClassVar[bool] = False
    """Moves hardware between joints and bags, which are then folded together."""

    def subjects(self) -> tuple[Subject, ...]:
        """Name what the entry speaks of; the fold recomputes exactly these."""
        raise NotImplementedError

    def strikes(self) -> str:
        """Name the entry, or ``act:`` and the act, that it strikes; empty for all but one kind."""
        return ""

    def speaks_of(self) -> tuple[EntryId, ...]:
        """Name the entries it judges; it is placed after all of them, whatever its clock says."""
        return ()

    def sentence(self, name: Naming) -> str:
        """Say what happened in one sentence, without who and when."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class Unread:
    """A body that this version cannot read: kept, exported and flagged, folded as nothing."""

    LINKS: ClassVar[bool] = False

    why: Literal["unknown kind", "unknown version", "malformed body"]
    detail: str = ""

    def subjects(self) -> tuple[Subject, ...]:
        """Nothing is known of what it speaks of."""
        return ()

    def strikes(self) -> str:
        """It strikes nothing."""
        return ""

    def speaks_of(self) -> tuple[EntryId, ...]:
        """Nothing is known of what it judges."""
        return ()

    def sentence(self, name: Naming) -> str:
        """Say that it is kept unread."""
        return f"kept unread ({self.why})"


class Flag(StrEnum):
    """What is odd about an entry in itself."""

    NONE = ""
    UNREAD = "unread"  # of a kind, version or shape that is not known here
    SKEWED = "skewed"  # the clocks of the phone disagree, or it tells of the future


@dataclass(frozen=True, slots=True)
class Brief:
    """What a fold must know of an entry even when it does not have it at hand."""

    digest: str
    act: ActId
    subjects: tuple[Subject, ...]
    follows: tuple[EntryId, ...] = ()
    """Entries behind which it has to stand."""
    strikes: str = ""
    links: bool = False
    flag: Flag = Flag.NONE


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a logbook.

    ``happened_at`` is ISO 8601 text as precise as was known: an instant with its offset, a day
    (``2031-05-02``), a month (``2031-05``), or empty. ``clock`` is a hybrid logical clock:
    milliseconds since 1970 [ms] and a counter. The digest is of the canonical form, so that two
    copies that differ only in white space are one entry.
    """

    id: EntryId
    act: ActId
    logbook: LogbookId
    happened_at: str
    after: EntryId | None
    logged_at: str
    clock: tuple[int, int]
    device: DeviceId
    who: PersonId
    kind: str
    version: int
    body: Body | Unread
    raw: bytes = field(repr=False)
    brief: Brief = field(repr=False)
    happened_ms: int = field(repr=False)
    """Where ``happened_at`` stands on the line of time [ms since 1970]."""
    logged_ms: int = field(repr=False)
    """The same of ``logged_at`` [ms since 1970]."""

    @property
    def digest(self) -> str:
        """SHA-256 of the canonical form, in hexadecimal."""
        return self.brief.digest

    @property
    def precision(self) -> Precision:
        """How exactly the moment is known, told by the length of what was written."""
        return {0: Precision.UNKNOWN, 7: Precision.MONTH, 10: Precision.DAY}.get(
            len(self.happened_at), Precision.INSTANT
        )


_CANONICAL = json.JSONEncoder(
    sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
)


def canonical(document: Any) -> bytes:
    """Write a JSON document in its one canonical form: keys sorted, no white space, UTF-8."""
    return _CANONICAL.encode(document).encode()


def digest_of(document: Any) -> str:
    """Digest a JSON document: SHA-256 of its canonical form, in hexadecimal."""
    return hashlib.sha256(canonical(document)).hexdigest()


def digest_of_set(digests: Iterable[str]) -> str:
    """Digest a set of entries by the digests of all, each given once, in whatever order."""
    count = total = 0
    for count, digest in enumerate(digests, start=1):  # noqa: B007 - the last count is wanted
        total += int(digest, 16)  # a sum is the same in whatever order it is added up
    return hashlib.sha256(f"{count} {total:x}".encode()).hexdigest()


def subject(kind: str, identity: str) -> Subject:
    """Name a subject by its kind and identity."""
    return Subject(f"{kind}:{identity}")


def of_ref(ref: Ref) -> Subject:
    """Name a thing of the vehicle as a subject."""
    return Subject(ref)
