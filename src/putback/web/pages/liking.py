"""How somebody likes the pages on this device: which hand, which language, whether minutes show.

It is kept in the browser itself, so that it holds before anybody is known, and asks no script.
"""

from dataclasses import dataclass, replace

from django.http import HttpRequest, HttpResponse

from putback.language import CODES
from putback.logbook.state import State
from putback.web.pages.access import keep_in_browser
from putback.web.pages.in_language import COOKIE as LANGUAGE
from putback.workshop.plans.learned_minutes import are_learned

HAND, MINUTES = "putback_hand", "putback_minutes"
LEFT, HIDDEN = "left", "hidden"


@dataclass(frozen=True, slots=True)
class Liking:
    """What was chosen on this device."""

    is_left_handed: bool = False
    """Actions stand mirrored, for a thumb from the left."""
    hides_minutes: bool = False
    """Minutes are not shown until they are learned."""
    language: str = ""
    """ISO 639-1 code; empty: as the browser asks."""


def liking_of(request: HttpRequest) -> Liking:
    """Read what was chosen on the device that asks."""
    cookies = request.COOKIES
    return Liking(
        cookies.get(HAND) == LEFT, cookies.get(MINUTES) == HIDDEN, cookies.get(LANGUAGE, "")
    )


def here_so(liking: Liking, state: State) -> Liking:
    """Say what that comes to on the pages of a vehicle: minutes that are learned are shown."""
    return replace(liking, hides_minutes=liking.hides_minutes and not are_learned(state))


def keep_liking(request: HttpRequest, response: HttpResponse, liking: Liking) -> None:
    """Keep what was chosen in the browser."""
    for name, value, is_so in (
        (HAND, LEFT, liking.is_left_handed),
        (MINUTES, HIDDEN, liking.hides_minutes),
        (LANGUAGE, liking.language, liking.language in CODES),
    ):
        if is_so:
            keep_in_browser(request, response, name, value)
        else:
            response.delete_cookie(name, samesite="Lax")
