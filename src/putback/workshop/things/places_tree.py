"""Where everything is: places, the bags and boxes in them, and what these hold, as a tree."""

import itertools
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain

from putback.errors import BadInput
from putback.logbook.entries.base import PlaceId, Subject
from putback.logbook.entries.describing import STANDARD_PLACE_KINDS, PlaceDescribed
from putback.logbook.state import Place, State
from putback.workshop.things.condition import Condition, condition_of

NOWHERE = Subject("")
"""Stands for where nobody said it is."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A part or a container, with what is in it."""

    subject: Subject
    name: str
    kind: str
    """``part``, or what the container is: bag, box, crate."""
    condition: Condition | None
    """Of a part."""
    pieces: int
    """Of hardware right in it, as far as the accounts know."""
    inside: tuple["Kept", ...]

    @property
    def things(self) -> int:
        """How many parts and containers are in it, at any depth."""
        return len(self.inside) + sum(each.things for each in self.inside)


@dataclass(frozen=True, slots=True)
class PlaceTold:
    """A place with all that is kept there; ``place`` is ``None`` for a firm nobody described."""

    subject: Subject
    name: str
    place: Place | None
    kept: tuple[Kept, ...]

    @property
    def things(self) -> int:
        """How many parts and containers are there."""
        return len(self.kept) + sum(each.things for each in self.kept)


def places_tree(state: State) -> tuple[PlaceTold, ...]:
    """Give every place, those with something first, then other firms, then what is nowhere."""
    at = _by_holder(state)
    pieces = _pieces(state)
    places = [
        PlaceTold(
            Subject(f"place:{place}"),
            each.name or place,
            each,
            _kept(state, Subject(f"place:{place}"), at, pieces, frozenset()),
        )
        for place, each in state.places.items()
    ]
    described = {each.subject for each in places}
    places.sort(key=lambda each: (not each.kept, each.name.casefold()))
    others = sorted(holder for holder in at if holder and holder not in described)
    firms = (each for each in others if each.partition(":")[0] in {"firm", "place"})
    places += [
        PlaceTold(each, each.partition(":")[2], None, _kept(state, each, at, pieces, frozenset()))
        for each in firms
    ]
    lost = _kept(state, NOWHERE, at, pieces, frozenset())
    return (*places, *([PlaceTold(NOWHERE, "Nobody said where", None, lost)] if lost else []))


def new_place(state: State, *, name: str, kind: str, fits: str, floor: str) -> PlaceDescribed:
    """Say a new place of the garage, under an identity of its own.

    Raises
    ------
    BadInput
        If it has no name, or there is one of this name.
    """
    name = name.strip()
    if not name:
        raise BadInput("a place needs a name", mend="call it what everybody calls it")
    if any(each.name.casefold() == name.casefold() for each in state.places.values()):
        raise BadInput(f"there is a place called {name!r}", mend="give this one another name")
    made = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:40] or "place"
    numbered = chain([made], (f"{made}-{number}" for number in itertools.count(2)))
    identity = next(each for each in numbered if each not in state.places)
    return PlaceDescribed(
        place=PlaceId(identity),
        name=name,
        kind=kind if kind in STANDARD_PLACE_KINDS else STANDARD_PLACE_KINDS[0],
        fits=fits.strip(),
        floor=floor.strip(),
    )


Holders = Mapping[Subject, list[Subject]]


def _by_holder(state: State) -> Holders:
    """Give what is right in each place, container and firm."""
    at: dict[Subject, list[Subject]] = defaultdict(list)
    by_name = {each.name: Subject(f"place:{place}") for place, each in state.places.items()}
    for subject in _loose(state):
        common = state.common_of(subject)
        away = common.sent_out if common else None
        if away is not None:
            at[by_name.get(away.whither, Subject(f"firm:{away.whither}"))].append(subject)
        elif common is not None and common.tag is not None and subject != f"tag:{common.tag}":
            at[Subject(f"tag:{common.tag}")].append(subject)
        elif common is not None and common.place:
            at[Subject(f"place:{common.place}")].append(subject)
        else:
            at[NOWHERE].append(subject)
    return at


def _loose(state: State) -> Iterator[Subject]:
    """Name the containers, and the parts that are not on the vehicle."""
    yield from (Subject(f"tag:{tag}") for tag in sorted(state.containers))
    for part, each in state.parts.items():
        if each.is_off or each.common.tag or each.common.place or each.common.sent_out:
            yield Subject(f"part:{part}")


def _pieces(state: State) -> Mapping[str, int]:
    found: dict[str, int] = defaultdict(int)
    for (account, _, _), count in state.balances.items():
        if account.startswith("tag:") and count > 0:
            found[account] += count
    return found


def _kept(
    state: State,
    holder: Subject,
    at: Holders,
    pieces: Mapping[str, int],
    above: frozenset[Subject],
) -> tuple[Kept, ...]:
    """Give what is in a holder; a bag said to be in itself is not gone into again."""
    inside = (_one(state, each, at, pieces, above | {holder}) for each in at.get(holder, ()))
    return tuple(sorted(inside, key=lambda each: (each.kind == "part", each.name.casefold())))


def _one(
    state: State,
    subject: Subject,
    at: Holders,
    pieces: Mapping[str, int],
    above: frozenset[Subject],
) -> Kept:
    kind, _, identity = subject.partition(":")
    if kind == "part":
        part = next(each for each in state.parts if each == identity)
        return Kept(subject, state.name_of(subject), kind, condition_of(state, part), 0, ())
    tag = next(each for each in state.containers if each == identity)
    now = state.containers[tag]
    below = () if subject in above else _kept(state, subject, at, pieces, above)
    return Kept(subject, now.name, now.container, None, pieces.get(subject, 0), below)
