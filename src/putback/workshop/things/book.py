"""The logbook as it is read: newest first, struck entries too; by kind, person, day or thing."""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import Entry, EntryId, LogbookId, Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described
from putback.logbook.entries.working import NoteMade
from putback.logbook.state import State
from putback.vehicle.nearest import fold_words
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.sayers import Sayers, sayers_of
from putback.workshop.logbooks.workshop import Workshop

A_PAGE = 50
"""Entries shown at once [entries]."""
_LINKED = ("part", "joint", "tag", "place")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What somebody looks for; what is empty narrows nothing."""

    kind: str = ""
    person: str = ""
    day: str = ""
    """As ISO 8601."""
    thing: str = ""
    """A subject: ``part:...``."""
    words: str = ""


@dataclass(frozen=True, slots=True)
class About:
    """A thing that an entry speaks of."""

    subject: Subject
    kind: str
    identity: str
    name: str


@dataclass(frozen=True, slots=True)
class BookLine:
    """One entry as it is read."""

    id: EntryId
    act: str
    happened_at: str
    logged_at: str
    is_late: bool
    """Logged on another day than it happened."""
    who: str
    is_claimed: bool
    """It came with a bundle or from another device: who it was is what that says."""
    kind: str
    sentence: str
    is_struck: bool
    is_strike: bool
    struck_by: str
    """The entry that strikes it out, which may be struck in turn; empty where none stands."""
    why: str
    """Why it was struck out."""
    about: tuple[About, ...]
    photo: str
    """The photo that it tells of, if it does."""
    sound: str
    """The spoken note that it tells of, if it does."""
    more: int = 0
    """Descriptions of the same act that this line stands for as well."""


@dataclass(frozen=True, slots=True)
class EntryTold:
    """One entry, and all that came with it."""

    line: BookLine
    device: str
    received_at: str
    received_from: str
    after: str
    """The entry behind which it was said to belong."""
    raw: Any
    """The document as it was received."""


@dataclass(frozen=True, slots=True)
class BookPage:
    """One page of the logbook."""

    lines: tuple[BookLine, ...]
    found: int
    """Entries that were found, on all pages."""
    page: int
    """Counts from 1."""
    pages: int
    kinds: tuple[str, ...]
    """Kinds that the logbook has entries of."""
    people: tuple[tuple[str, str], ...]
    """Who wrote in it: identity and name."""


def read_book(
    workshop: Workshop, logbook: LogbookId, wanted: Wanted = Wanted(), page: int = 1
) -> BookPage:
    """Read a page of a logbook, newest first; a page beyond the last gives the last."""
    state, struck = in_its_garage(workshop, logbook), workshop.facts(logbook).struck
    standing = workshop.standing(logbook)
    entries = _with_struck(standing, _load(workshop, logbook, struck))
    found = [each for each in reversed(entries) if _is_wanted(state, each, wanted)]
    together = [[each] for each in found] if wanted.kind else _together(found)
    pages = max(1, -(-len(together) // A_PAGE))
    page = min(max(1, page), pages)
    groups = together[(page - 1) * A_PAGE : page * A_PAGE]
    strikes = _strikes(standing)
    sayers = sayers_of(workshop, logbook)
    who = {each.who: state.people.get(each.who, each.who) for each in entries if each.who}
    return BookPage(
        lines=tuple(
            replace(_line(state, group[0], struck, strikes, sayers), more=len(group) - 1)
            for group in groups
        ),
        found=len(found),
        page=page,
        pages=pages,
        kinds=tuple(sorted({each.kind for each in entries})),
        people=tuple(sorted(who.items(), key=_by_name)),
    )


def history_lines(
    workshop: Workshop, logbook: LogbookId, subject: Subject
) -> tuple[BookLine, ...]:
    """Give the standing entries that speak of one thing, newest first."""
    state = in_its_garage(workshop, logbook)
    entries = workshop.history(logbook, subject)
    sayers = sayers_of(workshop, logbook)
    return tuple(_line(state, each, frozenset(), {}, sayers) for each in reversed(entries))


def tell_entry(
    workshop: Workshop, logbook: LogbookId, entry: EntryId
) -> tuple[EntryTold, tuple[BookLine, ...]]:
    """Tell one entry, and the others of its act.

    Raises
    ------
    NotFound
        If there is none of this identity.
    """
    stored = next(iter(workshop.store.load(logbook, [entry])), None)
    if stored is None:
        raise NotFound("entry", entry)
    found = read_entry(stored)
    state, struck = in_its_garage(workshop, logbook), workshop.facts(logbook).struck
    standing = workshop.standing(logbook)
    strikes = _strikes(standing)
    mates = [each for each in standing if each.act == found.act and each.id != found.id]
    mates += [
        each
        for each in _load(workshop, logbook, struck)
        if each.act == found.act and each != found
    ]
    sayers = sayers_of(workshop, logbook)
    told = EntryTold(
        line=_line(state, found, struck, strikes, sayers),
        device=found.device,
        received_at=stored.received_at,
        received_from=stored.received_from,
        after=found.after or "",
        raw=json.loads(stored.raw),
    )
    return told, tuple(_line(state, each, struck, strikes, sayers) for each in mates)


def late_note(
    workshop: Workshop, logbook: LogbookId, *, text: str, day: str, after: str, thing: str
) -> tuple[NoteMade, str, EntryId | None]:
    """Read a note that is logged late: its body, its moment, and the entry it belongs behind.

    An empty day is one that nobody knows.

    Raises
    ------
    BadInput
        If there is nothing in it, or the day is none or still to come.
    NotFound
        If it is to stand after an entry that is not there.
    """
    if not text.strip():
        raise BadInput("the note is empty", mend="write what happened")
    try:
        is_to_come = bool(day) and date.fromisoformat(day) > workshop.now_there().date()
    except ValueError as error:
        raise BadInput(f"{day!r} is no day", mend="write it like 2031-05-12") from error
    if is_to_come:
        raise BadInput(f"{day} is still to come", mend="say the day on which it happened")
    if after and not any(workshop.store.load(logbook, [EntryId(after)])):
        raise NotFound("entry", after)
    of = (Subject(thing),) if thing else ()
    return NoteMade(text=text.strip(), of=of), day, EntryId(after) if after else None


def _together(entries: Iterable[Entry]) -> list[list[Entry]]:
    """Put descriptions of one act that follow each other together: a vehicle has hundreds."""
    groups: list[list[Entry]] = []
    for entry in entries:
        last = groups[-1][0] if groups else None
        is_more = last is not None and entry.kind == Described.KIND == last.kind
        if is_more and last is not None and entry.act == last.act:
            groups[-1].append(entry)
        else:
            groups.append([entry])
    return groups


def _by_name(person: tuple[str, str]) -> str:
    return person[1].casefold()


def _load(workshop: Workshop, logbook: LogbookId, ids: Iterable[EntryId]) -> list[Entry]:
    return [read_entry(each) for each in workshop.store.load(logbook, sorted(ids))]


def _with_struck(standing: tuple[Entry, ...], struck: list[Entry]) -> list[Entry]:
    """Put each struck entry before the first that happened later."""
    entries = list(standing)
    for each in sorted(struck, key=_moment):
        later = (at for at, other in enumerate(entries) if _moment(other) > _moment(each))
        entries.insert(next(later, len(entries)), each)
    return entries


def _moment(entry: Entry) -> tuple[Any, ...]:
    return (entry.happened_ms, entry.clock, entry.id)


def _strikes(standing: Iterable[Entry]) -> Mapping[str, Entry]:
    """Give the last strike that stands, by the entry or act that it strikes."""
    found: dict[str, Entry] = {}
    for entry in standing:
        if isinstance(entry.body, Struck):
            found[entry.body.entry or entry.body.act or ""] = entry
    return found


def _is_wanted(state: State, entry: Entry, wanted: Wanted) -> bool:
    if wanted.kind and entry.kind != wanted.kind:
        return False
    if wanted.person and entry.who != wanted.person:
        return False
    if wanted.day and not entry.happened_at.startswith(wanted.day):
        return False
    if wanted.thing and wanted.thing not in entry.brief.subjects:
        return False
    if not wanted.words:
        return True
    told = fold_words(f"{entry.kind} {entry.body.sentence(state.name_of)}")
    return all(word in told for word in fold_words(wanted.words).split())


def _line(
    state: State,
    entry: Entry,
    struck: frozenset[EntryId],
    strikes: Mapping[str, Entry],
    sayers: Sayers,
) -> BookLine:
    by = (strikes.get(entry.id) or strikes.get(entry.act)) if entry.id in struck else None
    return BookLine(
        id=entry.id,
        act=entry.act,
        happened_at=entry.happened_at,
        logged_at=entry.logged_at,
        is_late=entry.happened_at[:10] != entry.logged_at[:10],
        who=sayers.name(entry.id, entry.who),
        is_claimed=sayers.is_claimed(entry.id),
        kind=entry.kind,
        sentence=entry.body.sentence(state.name_of),
        is_struck=entry.id in struck,
        is_strike=entry.kind == Struck.KIND,
        struck_by=by.id if by else "",
        why=by.body.why if by and isinstance(by.body, Struck) else "",
        about=tuple(_about(state, entry)),
        photo=getattr(entry.body, "photo", ""),
        sound=getattr(entry.body, "sound", ""),
    )


def _about(state: State, entry: Entry) -> Iterator[About]:
    for subject in entry.brief.subjects:
        kind, _, identity = subject.partition(":")
        if kind in _LINKED and identity:
            yield About(subject, kind, identity, state.name_of(subject))
