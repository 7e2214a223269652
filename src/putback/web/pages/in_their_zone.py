"""The day of whoever looks: their browser tells how far its clock is ahead of UTC.

A server far from the garage has another day than the garage for some hours of each; what somebody
calls today is the day where they are. ``static/putback/js/install.js`` keeps it in the browser.
"""

from django.http import HttpRequest, HttpResponse

from putback.web.pages.safety import Answerer
from putback.web.zone import in_zone

COOKIE = "putback_ahead"
"""How far the browser's clock is ahead of UTC [minutes]."""


def in_their_zone(answer: Answerer) -> Answerer:
    """Answer each request by the clock of whoever sent it."""

    def answered(request: HttpRequest) -> HttpResponse:
        with in_zone(request.COOKIES.get(COOKIE, "")):
            return answer(request)

    return answered
