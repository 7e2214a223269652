"""What a person named in a form: found, or not found with the likeliest meant to tap on."""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.errors import InputError, NotFound
from putback.logbook.state import State
from putback.vehicle.ids import Ref
from putback.workshop.saying.names import find_subject


@dataclass(frozen=True, slots=True)
class Named:
    """A thing as it was named: ``ref`` is what was found, ``None`` where nothing was."""

    typed: str
    ref: Ref | None = None
    fault: str = ""
    nearest: tuple[str, ...] = ()


NOTHING = Named("")
"""Nothing was typed."""


def named(state: State, typed: str, kinds: Sequence[str]) -> Named:
    """Find what was typed among the things of some kinds."""
    text = typed.strip()
    if not text:
        return NOTHING
    try:
        ref = Ref(find_subject(state, text, kinds))
    except NotFound as error:
        return Named(text, fault=error.fault(), nearest=error.nearest)
    except InputError as error:
        return Named(text, fault=str(error))
    return Named(state.name_of(ref), ref)
