"""Entries that a phone made itself and kept until it could send them.

They are a person's own words, said a while ago: what cannot be meant is refused with its reason,
as a form would refuse it, so that the person can say it anew. Entries of others, which another
workshop sends, go in unread instead (`Workshop.receive`).
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass

from pydantic import ValidationError

from putback.errors import BadInput
from putback.logbook.entries.base import Entry, LogbookId, PersonId, Unread
from putback.logbook.entries.registry import KINDS, decode
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Appended
from putback.workshop.logbooks.workshop import Act, Workshop
from putback.workshop.saying.faults import fault_of
from putback.workshop.saying.logged import Logged, tell_of


@dataclass(eq=False)
class SaidByAnother(BadInput):
    """Entries of one person that another would send as their own."""


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What became of the entries, and what they say."""

    appended: Appended
    told: tuple[Logged, ...]
    """One for each act, in the order in which they came."""


def take_from_phone(
    workshop: Workshop,
    logbook: LogbookId,
    lines: Sequence[bytes],
    *,
    who: PersonId,
    received_from: str,
) -> TakenIn:
    """Take in what a person logged on their phone, all or none; sent twice, it is there once.

    Raises
    ------
    MalformedEntry
        If a line is no entry at all.
    SaidByAnother
        If an entry was logged by somebody else.
    BadInput
        If an entry cannot be meant, or is of another logbook; the line and the field are named.
    """
    entries = [decode(line, where=f"line {at}") for at, line in enumerate(lines, start=1)]
    for at, entry in enumerate(entries, start=1):
        if entry.who != who:
            raise SaidByAnother(
                f"this was logged by {entry.who}, and {who} is signed in",
                f"line {at}",
                f"sign in as {entry.who}, and it is sent; nothing was saved",
            )
        _refuse_unread(entry, f"entry {at}, {entry.kind}")
    before = in_its_garage(workshop, logbook)
    appended = workshop.take(logbook, entries, received_from=received_from)
    return TakenIn(
        appended,
        tuple(tell_of(workshop, logbook, before, act) for act in _acts(logbook, entries)),
    )


def _refuse_unread(entry: Entry, where: str) -> None:
    if isinstance(entry.body, Unread):
        raise BadInput(_fault(entry, entry.body), where, "nothing was saved")


def _fault(entry: Entry, unread: Unread) -> str:
    """Say what is wrong with a body as a form would say it."""
    if unread.why == "malformed body":
        try:
            KINDS[entry.kind].model_validate(json.loads(entry.raw)["body"])
        except ValidationError as error:
            return fault_of(error)
    return f"this cannot be read here, {unread.why}: {unread.detail}"


def _acts(logbook: LogbookId, entries: Sequence[Entry]) -> list[Act]:
    by_act: dict[str, list[Entry]] = {}
    for entry in entries:
        by_act.setdefault(entry.act, []).append(entry)
    return [Act(each[0].act, logbook, tuple(each)) for each in by_act.values()]
