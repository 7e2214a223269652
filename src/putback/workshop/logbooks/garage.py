"""A vehicle seen from its garage: places and people go by the names that the garage gives them."""

from dataclasses import replace

from putback.logbook.entries.base import LogbookId
from putback.logbook.state import State
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.workshop import Workshop


def in_its_garage(workshop: Workshop, logbook: LogbookId) -> State:
    """Give a vehicle's state together with the places and people of the garage.

    The state of the logbook alone is what copies of it agree on; this is what a person here sees.
    """
    state = workshop.state(logbook)
    if not workshop.has_garage():
        return state
    garage = workshop.state(GARAGE)
    return replace(
        state,
        places={**garage.places, **state.places},
        people={**garage.people, **state.people},
    )
