"""For somebody who was not there: what this vehicle is, who did what, and where it all is."""

from collections.abc import Iterable
from dataclasses import dataclass

from putback.logbook.entries.base import Entry, Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described
from putback.logbook.entries.rebuilding import JointMade, PartOn
from putback.logbook.entries.working import JointUndone, PartOff, PhotoTaken
from putback.logbook.open_items.wording import count
from putback.logbook.state import State
from putback.workshop.logbooks.sayers import Sayers


@dataclass(frozen=True, slots=True)
class Hand:
    """One who worked here: first and last as ISO 8601, and what they did in words."""

    name: str
    first: str
    last: str
    did: str


@dataclass(frozen=True, slots=True)
class Lying:
    """What lies at one place."""

    place: str
    name: str
    parts: int
    bags: tuple[str, ...]
    """Tags of what lies there."""


@dataclass(frozen=True, slots=True)
class Newcomer:
    """What a newcomer is told first."""

    hands: tuple[Hand, ...]
    """Who worked here, the last one first."""
    lying: tuple[Lying, ...]
    nowhere: int
    """Parts that are off, and nobody said where they are."""
    bags: int
    standing: str
    rock_tested: bool
    fits: tuple[str, ...]
    """Temporary fits that are in."""
    away: tuple[str, ...]
    """What is out for work, and where."""


_COUNTED = {
    JointUndone: ("joint undone", "joints undone"),
    PartOff: ("part off", "parts off"),
    JointMade: ("joint made", "joints made"),
    PartOn: ("part on", "parts on"),
    PhotoTaken: ("photo", "photos"),
}


def newcomer(state: State, entries: Iterable[Entry], sayers: Sayers) -> Newcomer:
    """Gather it, of the entries that stand."""
    off = [Subject(f"part:{part}") for part in state.parts_off if not state.parts[part].gone]
    ends = {part: _end(state, part) for part in off}
    bags = {tag: _end(state, Subject(f"tag:{tag}")) for tag in state.containers}
    places = sorted({each for each in (*ends.values(), *bags.values()) if each}, key=state.name_of)
    lying = (
        Lying(
            place.partition(":")[2],
            state.name_of(place),
            sum(each == place for each in ends.values()),
            tuple(sorted(tag for tag, each in bags.items() if each == place)),
        )
        for place in places
    )
    standing = state.standing.standing
    away = (
        f"{state.name_of(part)}: {common.sent_out.whither}"
        for part in off
        if (common := state.common_of(part)) and common.sent_out
    )
    return Newcomer(
        hands=_hands(entries, sayers),
        lying=tuple(lying),
        nowhere=sum(each is None for each in ends.values()),
        bags=len(state.containers),
        standing=state.name_of(f"standing:{standing}") if standing else "",
        rock_tested=state.standing.rock_tested,
        fits=tuple(each.what for each in state.fits.values() if each.off is None and each.what),
        away=tuple(away),
    )


def _end(state: State, subject: Subject) -> Subject | None:
    """The place where a thing is in the end, through whatever it is in."""
    chain = state.chain_of(subject)
    return chain[-1] if chain and chain[-1].startswith("place:") else None


def _hands(entries: Iterable[Entry], sayers: Sayers) -> tuple[Hand, ...]:
    by: dict[str, list[Entry]] = {}
    for entry in entries:
        if not isinstance(entry.body, (Described, Struck)):
            by.setdefault(sayers.words(entry.id, entry.who) if entry.who else "", []).append(entry)
    hands = [
        Hand(
            who or "nobody named",
            min(each.happened_at or each.logged_at for each in own),
            max(each.happened_at or each.logged_at for each in own),
            ", ".join(_did(own)) or count(len(own), "entry", "entries"),
        )
        for who, own in by.items()
    ]
    return tuple(sorted(hands, key=lambda hand: hand.last, reverse=True))


def _did(entries: Iterable[Entry]) -> Iterable[str]:
    bodies = [entry.body for entry in entries]
    for kind, (one, many) in _COUNTED.items():
        number = sum(isinstance(body, kind) for body in bodies)
        if number:
            yield count(number, one, many)
