"""Each request sees how far the logbooks go once: one moment, asked of the database once."""

from django.http import HttpRequest, HttpResponse

from putback.web.here import here
from putback.web.pages.safety import Answerer


def in_one_look(answer: Answerer) -> Answerer:
    """Answer each request within one look at the store."""

    def looked(request: HttpRequest) -> HttpResponse:
        with here().opened.entries.one_look():
            return answer(request)

    return looked
