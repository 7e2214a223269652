"""Names that a person may mean, to choose from while they type."""

from collections.abc import Iterable

from putback.logbook.state import State
from putback.workshop.saying.names import names_of

MOST_NAMES = 600
"""So many names at the most: a list of more is of no help on a phone."""


def names_on_offer(state: State, kinds: Iterable[str]) -> tuple[str, ...]:
    """List the first name of each thing of these kinds, each once."""
    named = (
        names[0] if names and names[0] else identity
        for kind in kinds
        for identity, names in names_of(state, kind).items()
    )
    return tuple(dict.fromkeys(named))[:MOST_NAMES]
