"""The API as a whole: who may ask, how an error is told, and its routers."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from ninja import NinjaAPI
from ninja.errors import AuthenticationError, HttpError, ValidationError
from ninja.security import APIKeyCookie, HttpBearer

from putback.errors import PutbackError
from putback.version import __version__
from putback.web.api import acts, asking, devices, exchange, held, photos
from putback.web.api.schemas import Fault
from putback.web.here import here
from putback.web.pages.access import COOKIE, device_of
from putback.web.pages.trouble import status_of
from putback.workshop.people.people import Device


class ByCookie(APIKeyCookie):
    """A page of ours: by the browser's cookie, with the token against forged requests."""

    param_name = COOKIE

    def authenticate(self, request: HttpRequest, key: str | None) -> Device | None:
        """Give the device that asks."""
        del key
        return device_of(request)


class ByToken(HttpBearer):
    """A program: by a token of its own."""

    def authenticate(self, request: HttpRequest, token: str) -> Device | None:
        """Give the device that asks."""
        return here().people.by_token(token)


api = NinjaAPI(
    title="Putback",
    version=__version__,
    urls_namespace="api-1",
    auth=[ByToken(), ByCookie()],
    docs_url=None,
    description="Log work and ask about it. A vehicle that is not yours is not there (404).",
)
api.add_router("/vehicles", asking.router)
api.add_router("/vehicles", acts.router)
api.add_router("/vehicles", photos.router)
api.add_router("/vehicles", held.router)
api.add_router("/vehicles", exchange.router)
api.add_router("/me", devices.me)
api.add_router("/tags", devices.tags)
api.add_router("/tokens", devices.tokens)


@api.exception_handler(PutbackError)
def told(request: HttpRequest, error: PutbackError) -> HttpResponse:
    """Say what is wrong, where, and how to mend it."""
    fault = Fault(
        message=str(error), fault=error.fault(), place=error.place(), remedy=error.remedy()
    )
    return api.create_response(request, fault, status=status_of(error))


@api.exception_handler(ValidationError)
def malformed(request: HttpRequest, error: ValidationError) -> HttpResponse:
    """Name the first field that is not as the description says."""
    first = error.errors[0] if error.errors else {}
    where = ".".join(str(step) for step in first.get("loc", ()))
    return api.create_response(
        request, _fault(str(first.get("msg", "malformed")), where), status=422
    )


@api.exception_handler(AuthenticationError)
def stranger(request: HttpRequest, error: AuthenticationError) -> HttpResponse:
    """Say that nobody knows who asks."""
    del error
    said = _fault("nobody knows who asks: sign in, or send a token")
    return api.create_response(request, said, status=401)


@api.exception_handler(HttpError)
def unreadable(request: HttpRequest, error: HttpError) -> HttpResponse:
    """Say that a request cannot be read."""
    return api.create_response(
        request, _fault(f"the request cannot be read: {error}"), status=error.status_code
    )


@api.exception_handler(Http404)
def not_here(request: HttpRequest, error: Http404) -> HttpResponse:
    """Say no more than that it is not there."""
    del error
    return api.create_response(
        request, _fault("there is no such thing, or it is not yours"), status=404
    )


@api.exception_handler(PermissionDenied)
def not_allowed(request: HttpRequest, error: PermissionDenied) -> HttpResponse:
    """Say whose business it is."""
    said = _fault(f"this is for the vehicle's {error}s; nothing was changed")
    return api.create_response(request, said, status=403)


def _fault(words: str, place: str = "") -> Fault:
    message = f"{place}: {words}" if place else words
    return Fault(message=message, fault=words, place=place, remedy="")
