"""Parts that came off, said by nothing but their names: those known, and those new with it."""

from collections.abc import Iterable

from putback.errors import BadInput
from putback.logbook.entries.base import Body, PlaceId
from putback.logbook.entries.working import PartOff
from putback.logbook.state import State
from putback.workshop.saying.short_forms import read_line


def said_off(
    state: State, names: Iterable[str], tag: str = "", place: PlaceId | None = None
) -> tuple[Body, ...]:
    """Say in entries that parts came off; a name that nobody described yet is a new part.

    Parameters
    ----------
    names
        What a person calls them; empty ones are left out, and of one name twice there is one.
    tag : str
        Of the bag or box they went into; empty if none.
    place : PlaceId, optional
        Where they lie, if they went into no bag: a bag lies where it is put.

    Raises
    ------
    InputError
        If nothing was said, a name is of several things, or the tag was misread.
    """
    said = dict.fromkeys(name.strip() for name in names)
    bodies: list[Body] = []
    for name in filter(None, said):
        words = ["off", f"part={name}", *([f"tag={tag.strip()}"] if tag.strip() else [])]
        bodies += read_line(words, state, new=True)
    if not bodies:
        raise BadInput("nothing was said", mend="name at least one part")
    if place is None or tag.strip():
        return tuple(bodies)
    laid = {"place": place}
    return tuple(
        each.model_copy(update=laid) if isinstance(each, PartOff) else each for each in bodies
    )
