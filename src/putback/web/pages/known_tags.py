"""What a page knows of tags by itself, so that a scanned one is told without asking the server."""

from dataclasses import asdict
from typing import Any

from django.urls import reverse

from putback.logbook.state import State
from putback.web.here import here
from putback.web.pages.access import Visit, role_in
from putback.workshop.things.deeds import parts_off, places_to_move_to
from putback.workshop.things.tags_told import tell_tags


def known_tags(visit: Visit, state: State) -> dict[str, Any]:
    """Give the tags in use on this vehicle, and what may be done about one, as JSON.

    With the tags of other vehicles goes which vehicle it is; nothing is told of one in which
    whoever asks has no role.
    """
    workshop = here().workshop
    told = {
        each.tag: asdict(each) | {"address": reverse("tag", args=[visit.logbook, each.tag])}
        for each in tell_tags(state)
    }
    others = {
        tag: {
            "vehicle": workshop.state(book.id).vehicle.about.name,
            "address": reverse("tag", args=[book.id, tag]),
        }
        for book in workshop.logbooks()
        if book.id != visit.logbook and role_in(book.id, visit.person) is not None
        for tag in workshop.state(book.id).containers
    }
    return {
        "tags": told,
        "others": others,
        "places": places_to_move_to(state),
        "parts": parts_off(state),
    }
