"""What a browser is told to refuse, on every answer."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from putback.web.settings import CONTENT_SECURITY_POLICY

Answerer = Callable[[HttpRequest], HttpResponse]


def safe_headers(answer: Answerer) -> Answerer:
    """Forbid scripts and styles of others, and the keeping of pages by what lies between."""

    def with_headers(request: HttpRequest) -> HttpResponse:
        response = answer(request)
        response.headers.setdefault("Content-Security-Policy", CONTENT_SECURITY_POLICY)
        response.headers.setdefault("Cache-Control", "no-store")
        response.headers.setdefault(
            "Permissions-Policy", "camera=(self), microphone=(self), geolocation=(), payment=()"
        )
        return response

    return with_headers
