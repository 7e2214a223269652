"""Every kind of entry there is, and the way from bytes to an entry and back.

A kind that is not here is kept as received and folded as nothing. An old version of a kind is
brought up to date by `upcast` before it is read.
"""

import json
from collections.abc import Mapping
from types import ModuleType
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from putback.logbook.entries import (
    bookkeeping,
    describing,
    holding,
    judging,
    keeping,
    rebuilding,
    working,
)
from putback.logbook.entries.base import (
    AS_STORED,
    ActId,
    Body,
    Brief,
    DeviceId,
    Entry,
    EntryId,
    Flag,
    LogbookId,
    MalformedEntry,
    PersonId,
    Unread,
    canonical,
    digest_of,
)
from putback.logbook.entries.upcast import upcast
from putback.logbook.moments import happened_ms, instant_ms
from putback.vehicle.codec import unfit

SKEW_MS = 10 * 60_000
"""A phone whose clocks disagree by more than this is reported [ms]."""

MAX_ENTRY_BYTES = 256 * 1024
"""An entry is a sentence and some numbers; what is larger is not one."""


def _kinds_in(module: ModuleType) -> list[type[Body]]:
    return [
        each
        for each in vars(module).values()
        if isinstance(each, type) and issubclass(each, Body) and "KIND" in vars(each)
    ]


KINDS: Mapping[str, type[Body]] = {
    body.KIND: body
    for module in (describing, working, keeping, judging, rebuilding, holding, bookkeeping)
    for body in _kinds_in(module)
}
"""The newest version of each kind, by its name."""

_Uuid = Annotated[
    str,
    StringConstraints(pattern=r"^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"),
]
_Short = Annotated[str, StringConstraints(max_length=200, pattern=r"^[^\x00-\x1f\x7f]*$")]
"""One line of text, which every store and screen can hold."""
_Count = Annotated[int, Field(ge=0, lt=2**63)]
"""What a database can hold as a whole number."""
_DAY = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_INSTANT = _DAY + r"T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?(Z|[+-][0-9]{2}:[0-9]{2})"
_Moment = Annotated[str, StringConstraints(pattern=f"^{_INSTANT}$")]
_Happened = Annotated[
    str, StringConstraints(pattern=f"^$|^[0-9]{{4}}-[0-9]{{2}}$|^{_DAY}$|^{_INSTANT}$")
]


class Envelope(BaseModel):
    """The outside of an entry as it is written: the same for every kind and version."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: _Uuid
    act: _Uuid
    logbook: _Short
    happened_at: _Happened
    after: _Uuid | None = None
    logged_at: _Moment
    clock: tuple[_Count, _Count]
    device: _Short
    who: _Short
    kind: _Short
    version: _Count
    body: dict[str, Any]


def decode(raw: bytes, *, where: str = "") -> Entry:
    """Read one entry from the bytes in which it was received.

    A body of unknown kind or version, or one that does not hold together, becomes `Unread`: the
    entry is kept. Only what is no entry at all is refused.

    Raises
    ------
    MalformedEntry
        If the bytes are not a JSON object with a sound envelope.
    """
    if len(raw) > MAX_ENTRY_BYTES:
        raise MalformedEntry(where, f"it has {len(raw)} bytes; at most {MAX_ENTRY_BYTES} are read")
    try:
        document = json.loads(raw.decode(), parse_constant=_no_constant)
        digest = digest_of(document)
        envelope = Envelope.model_validate(document)
        happened = happened_ms(envelope.happened_at, envelope.logged_at)
        logged = instant_ms(envelope.logged_at)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        field = ".".join(str(step) for step in first["loc"])
        raise MalformedEntry(where, f"{field}: {first['msg']}") from error
    except (ValueError, OverflowError, RecursionError) as error:
        raise MalformedEntry(where, f"it is not an entry: {error}") from error
    body = read_body(envelope.kind, envelope.version, envelope.body)
    after = EntryId(envelope.after) if envelope.after else None
    skewed = abs(envelope.clock[0] - logged) > SKEW_MS or happened - logged > SKEW_MS
    spoken = body.speaks_of()
    brief = Brief(
        digest=digest,
        act=ActId(envelope.act),
        subjects=body.subjects(),
        follows=(after, *spoken) if after else spoken,
        strikes=body.strikes(),
        links=body.LINKS,
        flag=Flag.UNREAD if isinstance(body, Unread) else Flag.SKEWED if skewed else Flag.NONE,
    )
    return Entry(
        id=EntryId(envelope.id),
        act=brief.act,
        logbook=LogbookId(envelope.logbook),
        happened_at=envelope.happened_at,
        after=after,
        logged_at=envelope.logged_at,
        clock=envelope.clock,
        device=DeviceId(envelope.device),
        who=PersonId(envelope.who),
        kind=envelope.kind,
        version=envelope.version,
        body=body,
        raw=raw,
        brief=brief,
        happened_ms=happened,
        logged_ms=logged,
    )


def read_body(kind: str, version: int, document: Mapping[str, Any]) -> Body | Unread:
    """Read a body of any version ever written."""
    body_class = KINDS.get(kind)
    if body_class is None:
        return Unread("unknown kind", kind)
    if not 1 <= version <= body_class.VERSION:
        return Unread("unknown version", f"{kind} version {version}")
    for fault in unfit(document):
        return Unread("malformed body", str(fault))
    try:
        newest = upcast(kind, version, body_class.VERSION, document)
        return body_class.model_validate(newest, context=AS_STORED)
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False)[0]
        field = ".".join(str(step) for step in first["loc"])
        return Unread("malformed body", f"{field}: {first['msg']}")


def encode(
    *,
    id: EntryId,
    act: ActId,
    logbook: LogbookId,
    happened_at: str,
    logged_at: str,
    clock: tuple[int, int],
    device: DeviceId,
    who: PersonId,
    body: Body,
    after: EntryId | None = None,
) -> Entry:
    """Write a new entry; its bytes are the canonical form.

    Raises
    ------
    ValueError
        If a value cannot be written down, or could not be read again.
    """
    document = {
        "id": id,
        "act": act,
        "logbook": logbook,
        "happened_at": happened_at,
        "after": after,
        "logged_at": logged_at,
        "clock": list(clock),
        "device": device,
        "who": who,
        "kind": body.KIND,
        "version": body.VERSION,
        "body": body.model_dump(mode="json", exclude_defaults=True),
    }
    entry = decode(canonical(document), where="the entry being written")
    if isinstance(entry.body, Unread):
        raise ValueError(entry.body.detail)  # noqa: TRY004 - the value is at fault, not its type
    return entry


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is not a number")
