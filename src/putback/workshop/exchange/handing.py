"""Handing out and taking in, as the other workshop asks: small answers, each right by itself."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import TypeVar

from putback.errors import BadInput, Damaged, NotFound
from putback.logbook.bundle import photos_of
from putback.logbook.bundle.referred import Mentions
from putback.logbook.entries.base import Entry, EntryId, LogbookId
from putback.workshop.exchange.far import (
    LARGEST_PHOTO_BYTES,
    MOST_BYTES,
    MOST_ENTRIES,
    Handed,
    Stands,
    Wanted,
)
from putback.workshop.exchange.tags_apart import blocks_here
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.ports import GARAGE, PhotoId, Stored
from putback.workshop.logbooks.workshop import Workshop

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Named:
    """What a vehicle's entries name, struck out or not."""

    photos: tuple[PhotoId, ...]
    garage: tuple[Entry, ...]
    """Entries of the garage that they refer to, in the order of arrival there."""


def named_by(workshop: Workshop, logbook: LogbookId) -> Named:
    """Gather the photos and garage entries that a vehicle names; kept until it changes."""
    return workshop.remembered.give(
        workshop.store, logbook, "named", lambda: _named(workshop, logbook)
    )


def _named(workshop: Workshop, logbook: LogbookId) -> Named:
    mentions, photos = Mentions(), dict[PhotoId, None]()
    for stored in workshop.since(logbook):
        entry = read_entry(stored)
        mentions.note(entry)
        photos.update(dict.fromkeys(map(PhotoId, photos_of(entry))))
    rows = workshop.since(GARAGE) if has(workshop, GARAGE) else iter(())
    return Named(tuple(photos), tuple(mentions.in_garage(map(read_entry, rows))))


def has(workshop: Workshop, logbook: LogbookId) -> bool:
    """Whether there is such a logbook here."""
    return any(each.id == logbook for each in workshop.store.logbooks())


def where_it_stands(workshop: Workshop, logbook: LogbookId, at: int = 0) -> Stands:
    """Say where the copy here stands, and which entry is at a position."""
    facts = workshop.facts(logbook)
    position = workshop.store.position(logbook)
    name = next(each.name for each in workshop.store.logbooks() if each.id == logbook)
    last = entry_at(workshop, logbook, position)
    return Stands(
        name,
        position,
        last,
        facts.entries,
        facts.digest,
        last if at == position else entry_at(workshop, logbook, at),
        blocks_here(workshop),
    )


def entry_at(workshop: Workshop, logbook: LogbookId, position: int) -> str:
    """Name the entry at a position; empty where there is none."""
    if position < 1:
        return ""
    found = next(iter(workshop.since(logbook, position - 1)), None)
    return found.entry if found is not None else ""


def hand_out(
    workshop: Workshop,
    logbook: LogbookId,
    after: int,
    *,
    not_from: str = "",
) -> tuple[Handed, tuple[Stored, ...]]:
    """Give some entries after a position, without those that came from ``not_from``."""
    end = workshop.store.position(logbook)
    rows: list[Stored] = []
    size, upto = 0, after
    for stored in workshop.since(logbook, after):
        mine = bool(not_from) and stored.received_from == not_from
        if rows and not mine and _is_full(len(rows), size + len(stored.raw)):
            break
        upto = stored.position
        if not mine:
            rows.append(stored)
            size += len(stored.raw)
    # What arrived while this was read is for the next asking.
    return Handed(tuple(row.raw for row in rows), upto, max(end, upto)), tuple(rows)


def hand_out_garage(workshop: Workshop, logbook: LogbookId, after: int) -> Handed:
    """Give some of the garage entries that a vehicle refers to, counted from the first."""
    named = named_by(workshop, logbook).garage
    chosen = list(in_portions(named[after:], lambda each: len(each.raw)))
    lines = tuple(each.raw for each in chosen[0]) if chosen else ()
    return Handed(lines, after + len(lines), len(named))


def in_portions(things: Iterable[T], size: Callable[[T], int]) -> Iterator[list[T]]:
    """Cut a row of things into portions that one sending holds."""
    portion: list[T] = []
    total = 0
    for each in things:
        if portion and _is_full(len(portion), total + size(each)):
            yield portion
            portion, total = [], 0
        portion.append(each)
        total += size(each)
    if portion:
        yield portion


def _is_full(count: int, size_bytes: int) -> bool:
    """Whether a portion of so many things would be too large with one more."""
    return count >= MOST_ENTRIES or size_bytes > MOST_BYTES


def wanted_here(workshop: Workshop, photos: Sequence[PhotoId], garage: Sequence[str]) -> Wanted:
    """Say what is lacking here of these photos and garage entries."""
    known: set[str] = set()
    if garage and has(workshop, GARAGE):
        known = {each.digest for each in workshop.since(GARAGE)}
    return Wanted(
        tuple(each for each in photos if not workshop.photos.has(each)),
        tuple(each for each in garage if each not in known),
    )


def photo_out(workshop: Workshop, logbook: LogbookId, photo: str) -> bytes:
    """Give the bytes of a photo or sound that the logbook names, as they came.

    Raises
    ------
    NotFound
        If the logbook does not name it, or its bytes are not here, or no longer sound.
    """
    if photo not in named_by(workshop, logbook).photos:
        raise NotFound("photo", photo)
    try:
        return workshop.photos.get(PhotoId(photo))
    except Damaged as error:  # told by `putback verify`; it must not keep the rest from going
        raise NotFound("photo", photo) from error


def photo_in(workshop: Workshop, photo: str, content: bytes) -> None:
    """Store the bytes of a photo or sound ahead of the entry that names it.

    Raises
    ------
    BadInput
        If they are not those of the digest, or too many; nothing is stored.
    """
    if len(content) > LARGEST_PHOTO_BYTES:
        limit = f"{LARGEST_PHOTO_BYTES >> 20} MiB"
        raise BadInput(f"the photo is larger than {limit}", photo, "nothing was stored")
    if sha256(content).hexdigest() != photo:
        raise BadInput("the bytes are not those of the digest", photo, "send the photo again")
    workshop.photos.put(content)


def garage_in(
    workshop: Workshop, lines: Sequence[bytes], *, received_from: str
) -> tuple[EntryId, ...]:
    """Take in entries of the garage, all or none; gives those that were new."""
    return workshop.receive(GARAGE, lines, received_from=received_from).new
