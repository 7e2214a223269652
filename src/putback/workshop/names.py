"""From what a person calls a thing to the thing itself.

A part or joint goes by its identity or name; a tag, a place, a temporary fit by theirs. Nothing is
guessed: what is not found is answered with the nearest names.
"""

from collections.abc import Mapping

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import Subject
from putback.logbook.state import State
from putback.logbook.tags import BadTag, Tag
from putback.vehicle import nearest

Names = Mapping[str, tuple[str, ...]]
"""The names of each identity."""

KINDS = ("part", "joint", "opening", "tag", "fluid", "fit", "job", "standing", "place", "assembly")
"""What can be looked up, in the order in which a bare name is tried."""


def names_of(state: State, kind: str) -> Names:
    """Give the names of everything of one kind, things that nobody described yet included."""
    vehicle = state.vehicle
    match kind:
        case "part":
            parts: Names = {each.id: (each.name, each.name_us) for each in vehicle.parts.values()}
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
        case "job":
            return {each.id: (each.name,) for each in vehicle.jobs.values()}
        case "standing":
            return {each.id: (each.name,) for each in vehicle.standings.values()}
        case "place":
            return {place: (each.name,) for place, each in state.places.items()}
        case "assembly":
            return {each.id: (each.name,) for each in vehicle.assemblies.values()}
        case "goal":
            return {each.id: (each.name,) for each in vehicle.goals.values()}
        case "zone":
            return {each.id: (each.name,) for each in vehicle.zones.values()}
        case _:
            raise BadInput(f"there is no kind of thing called {kind!r}", mend=", ".join(KINDS))


def find(state: State, kind: str, text: str) -> str:
    """Find the identity of one thing of a kind by what a person calls it.

    Raises
    ------
    NotFound
        If nothing is called so; with the nearest names.
    SeveralMeant
        If more than one thing is.
    """
    return nearest.find(kind, names_of(state, kind), text)


def find_subject(state: State, text: str) -> Subject:
    """Find anything: ``joint:...`` says the kind, a bare name is tried as every kind in turn.

    Raises
    ------
    NotFound
        If nothing is called so; with the nearest names of any kind.
    SeveralMeant
        If more than one thing of the first kind that has any is.
    """
    kind, colon, rest = text.partition(":")
    if colon and kind in KINDS:
        return Subject(
            f"tag:{Tag(rest)}" if kind == "tag" else f"{kind}:{find(state, kind, rest)}"
        )
    for each in KINDS:
        try:
            return Subject(f"{each}:{find(state, each, text)}")
        except NotFound:
            continue
    try:
        return Subject(f"tag:{Tag(text)}")
    except BadTag:
        everything = {
            f"{each}:{identity}": names
            for each in KINDS
            for identity, names in names_of(state, each).items()
        }
        return Subject(nearest.find("part, joint, tag or job", everything, text))
