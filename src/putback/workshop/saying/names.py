"""From what a person calls a thing to the thing itself.

A part or joint goes by its identity or name; a tag, a place, a temporary fit by theirs. Nothing is
guessed: what is not found is answered with the nearest names.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from difflib import SequenceMatcher

from putback.errors import BadInput, NotFound
from putback.logbook.cells.description import UNNAMED
from putback.logbook.entries.base import Subject
from putback.logbook.state import State
from putback.logbook.tags import BadTag, Tag
from putback.vehicle import nearest
from putback.vehicle.ids import JointId, part_ref
from putback.vehicle.part import Part

Names = Mapping[str, tuple[str, ...]]
"""The names of each identity."""

KINDS = ("part", "joint", "opening", "tag", "fluid", "fit", "job", "standing", "place", "assembly")
"""What can be looked up, in the order in which a bare name is tried."""


def names_of(state: State, kind: str) -> Names:
    """Give the names of everything of one kind, things that nobody described yet included."""
    vehicle = state.vehicle
    match kind:
        case "part":
            parts: Names = {
                each.id: (
                    vehicle.name_of(part_ref(each.id)),
                    each.name,
                    each.name_us,
                    _sided(each),
                )
                for each in vehicle.parts.values()
            }
            return {**dict.fromkeys(map(str, state.parts), ()), **parts}
        case "joint":
            joints: Names = {each.id: (each.name,) for each in vehicle.joints.values()}
            return {**dict.fromkeys(map(str, state.joints), ()), **joints}
        case "opening":
            return {each.id: (each.name,) for each in vehicle.openings.values()}
        case "tag":
            return {tag: (each.name,) for tag, each in state.containers.items()}
        case "fluid":
            return {each.id: (each.name,) for each in vehicle.fluids.values()}
        case "fit":
            return {fit: (each.what,) for fit, each in state.fits.items()}
        case "hold":
            return {hold: (each.words,) for hold, each in state.holds.items()}
        case "job":
            return {each.id: (each.name,) for each in vehicle.jobs.values()}
        case "standing":
            return {each.id: (each.name,) for each in vehicle.standings.values()}
        case "place":
            return {place: (each.name,) for place, each in state.places.items()}
        case "assembly":
            return {each.id: (each.name,) for each in vehicle.assemblies.values()}
        case "run":
            parts = names_of(state, "part")
            return {each: parts.get(each, ()) for each in vehicle.runs}
        case "goal":
            return {each.id: (each.name,) for each in vehicle.goals.values()}
        case "zone":
            return {each.id: (each.name,) for each in vehicle.zones.values()}
        case _:
            raise BadInput(f"there is no kind of thing called {kind!r}", mend=", ".join(KINDS))


def cautions_written(state: State) -> frozenset[str]:
    """Give the cautions that somebody described, in their words."""
    vehicle = state.vehicle
    described = (vehicle.parts, vehicle.assemblies, vehicle.jobs)
    return frozenset(
        line for table in described for each in table.values() for line in each.cautions
    )


def _sided(part: Part) -> str:
    return f"{part.name} {part.side}" if part.side else ""


def find(state: State, kind: str, text: str) -> str:
    """Find the identity of one thing of a kind by what a person calls it.

    Raises
    ------
    NotFound
        If nothing is called so; with the nearest names.
    SeveralMeant
        If more than one thing is.
    """
    if not text.strip():
        raise BadInput(f"the name of the {kind} is empty", mend="say which is meant")
    names = names_of(state, kind)
    try:
        return _find_full_or_head(kind, names, text)
    except nearest.SeveralMeant as error:
        meant = tuple(_told_apart(state, kind, text, each) for each in error.meant)
        raise nearest.SeveralMeant(kind, text, meant, error.meant) from error
    except NotFound as error:
        near = (*_longer(state, kind, text), *_named(state, kind, error.nearest))
        if not names and kind == "standing":
            raise NoStanding(kind, text) from error
        if not near and kind in _HANDFUL:
            near = tuple(own[0] for own in names.values())[: nearest.MOST_OFFERED]
            raise NotFound(kind, text, near) from error
        raise NotFound(_SAID.get(kind, kind), text, best(near, text)) from error


_HANDFUL = ("goal", "standing")
"""Of these a vehicle has so few that some are offered where none is near."""


@dataclass(eq=False)
class NoStanding(NotFound):
    """Nobody described yet how the vehicle can stand."""

    def remedy(self) -> str:
        """How to mend it."""
        return (
            "no standing is described yet; describe it first: putback describe standings stands "
            "name='on four stands'"
        )


def _find_full_or_head(kind: str, names: Names, text: str) -> str:
    try:
        return nearest.find(kind, names, text)
    except NotFound as error:
        try:
            return nearest.find(kind, _heads(names), text)
        except NotFound as by_head:
            raise NotFound(kind, text, (*error.nearest, *by_head.nearest)) from None


def _heads(names: Names) -> Names:
    """Give the names without what the trade adds behind a comma: ``Body shell, four-door``."""
    return {one: tuple(re.split("[,:]", each)[0] for each in own) for one, own in names.items()}


_SAID = {"fit": "temporary fit", "hold": "standing hold"}
"""Kinds that go by another word in a sentence."""


def _named(state: State, kind: str, near: Iterable[str]) -> tuple[str, ...]:
    """Put full names in the places of identities and of heads of names."""
    full: dict[str, str] = {}
    for identity, own in names_of(state, kind).items():
        name = next(filter(None, own), identity)
        full |= dict.fromkeys((identity, *_heads({identity: own})[identity]), name)
    return tuple(full.get(each, each) for each in near)


def _longer(state: State, kind: str, text: str) -> tuple[str, ...]:
    """Name the things whose names have all the words that were typed, and more."""
    words = set(nearest.fold_words(text).split())
    named = (each for own in names_of(state, kind).values() for each in own[:1])
    longer = [each for each in named if words and words <= set(nearest.fold_words(each).split())]
    longer.sort(key=lambda each: (not _is_itself(each, text), len(each)))
    return tuple(longer[: nearest.MOST_OFFERED])


def _is_itself(name: str, text: str) -> bool:
    """Tell whether a name only says more of it: ``Gearbox with bellhousing`` of a gearbox."""
    itself = nearest.fold_words(re.split(",|:| with ", name)[0])
    return SequenceMatcher(None, itself, nearest.fold_words(text)).ratio() >= _MISTYPED


_MISTYPED = 0.85
"""As like as that is the same word with a slip in it."""


def _told_apart(state: State, kind: str, text: str, identity: str) -> str:
    """Say which of several things of one name this is: by its full name, else by its identity."""
    name = next(filter(None, names_of(state, kind)[identity]), identity)
    if name != UNNAMED and nearest.fold_words(name) != nearest.fold_words(text):
        return repr(name)
    joint = state.vehicle.joints.get(JointId(identity)) if kind == "joint" else None
    if joint is None:
        return identity
    return f"{identity} ({' to '.join(state.name_of(f'part:{part}') for part in joint.parts)})"


def find_identity(identities: Iterable[str], text: str) -> str:
    """Find an entry or act by its identity, or by how that ends: lists show the last eight.

    Raises
    ------
    NotFound
        If none ends so.
    BadInput
        If several do.
    """
    wanted = text.strip().casefold()
    found = tuple(dict.fromkeys(each for each in identities if wanted and each.endswith(wanted)))
    if not found:
        raise NotFound("entry or act", text)
    if len(found) > 1:
        raise BadInput(f"{len(found)} entries end in {text!r}", mend="give more of its identity")
    return found[0]


def find_subject(state: State, text: str, kinds: Sequence[str] = KINDS) -> Subject:
    """Find anything: ``joint:...`` says the kind, a bare name is tried as every kind in turn.

    Raises
    ------
    NotFound
        If nothing is called so; with the nearest names of any kind.
    SeveralMeant
        If more than one thing of the first kind that has any is.
    """
    kind, colon, rest = text.partition(":")
    if colon and kind in kinds:
        return Subject(
            f"tag:{Tag(rest)}" if kind == "tag" else f"{kind}:{find(state, kind, rest)}"
        )
    near: list[str] = []
    for each in kinds:
        try:
            return Subject(f"{each}:{find(state, each, text)}")
        except NotFound as error:
            near += error.nearest
    if "tag" in kinds:
        with suppress(BadTag):
            return Subject(f"tag:{Tag(text)}")
    if len(kinds) > _FEW:
        raise NotFound("part, joint, tag or job", text, best(near, text))
    *others, last = kinds
    raise NotFound(f"{', '.join(others)} or {last}" if others else last, text, best(near, text))


_FEW = 4


def best(names: Iterable[str], text: str) -> tuple[str, ...]:
    """Keep the names that are most alike; one that has all the words typed goes before others.

    Of those, the thing itself goes first: ``gearbox`` is ``Gearbox with bellhousing`` rather than
    ``Gearbox crossmember``, however much longer its name is.
    """
    words = set(nearest.fold_words(text).split())

    def likeness(name: str) -> tuple[bool, bool, float]:
        has_all = bool(words) and words <= set(nearest.fold_words(name).split())
        ratio = SequenceMatcher(None, text.casefold(), name.casefold()).ratio()
        return has_all, _is_itself(name, text), ratio

    ranked = sorted(sorted(set(names)), key=likeness, reverse=True)[: nearest.MOST_OFFERED]
    has_all, _, best = likeness(ranked[0]) if ranked else (False, False, 0.0)
    return tuple(
        each
        for each in ranked
        if likeness(each)[0] == has_all and likeness(each)[2] >= _FAR_BEHIND * best
    )


_FAR_BEHIND = 0.6
"""What is less like it than that, beside the best, was not meant."""
