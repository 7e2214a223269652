"""A vehicle seen from its garage: places and people go by the names that the garage gives them."""

from dataclasses import replace

from putback.logbook.entries.base import LogbookId
from putback.logbook.state import State
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.sayers import sayers_of
from putback.workshop.logbooks.workshop import Workshop


def in_its_garage(workshop: Workshop, logbook: LogbookId) -> State:
    """Give a vehicle's state together with the places and people of the garage.

    The state of the logbook alone is what copies of it agree on; this is what a person here sees.
    Who is known only from elsewhere is so called as claimed there.
    """
    state, people = workshop.state(logbook), sayers_of(workshop, logbook).people()
    if not workshop.has_garage():
        return replace(state, people=people)
    garage = workshop.state(GARAGE)
    return replace(state, places={**garage.places, **state.places}, people=people)
