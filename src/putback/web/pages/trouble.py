"""What went wrong, told on a page: the family of errors, and what Django refuses by itself."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from putback.errors import Damaged, DiskFull, InputError, NotFound, PutbackError, StoreBusy
from putback.web.pages.safety import Answerer


class Told:
    """Turn an error of our family into a page, or into a line for the script that asked."""

    def __init__(self, answer: Answerer) -> None:
        self._answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on; errors come to `process_exception`."""
        answer = self._answer(request)
        if answer.status_code == 405 and not answer.content:
            return _nothing_sent(request, answer)
        return answer

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Tell an error of ours; others are Django's affair."""
        return told(request, error) if isinstance(error, PutbackError) else None


def status_of(error: PutbackError) -> int:
    """Give the HTTP status (RFC 9110, section 15) that says what sort of error it is."""
    match error:
        case NotFound():
            return 404
        case InputError():
            return 400
        case StoreBusy():
            return 503
        case DiskFull():
            return 507  # RFC 4918, section 11.5
        case Damaged():
            return 500
        case _:
            return 409


def told(request: HttpRequest, error: PutbackError) -> HttpResponse:
    """Say an error: what, where, and how to mend it."""
    template = "fragments/fault.html" if request.headers.get("HX-Request") else "errors/fault.html"
    return render(
        request,
        template,
        {"fault": error.fault(), "place": error.place(), "remedy": error.remedy()},
        status=status_of(error),
    )


def _plain(request: HttpRequest, status: int, fault: str, remedy: str) -> HttpResponse:
    template = "fragments/fault.html" if request.headers.get("HX-Request") else "errors/fault.html"
    facts = {"fault": fault, "place": "", "remedy": remedy, "offer_sign_in": status == 404}
    return render(request, template, facts, status=status)


def _nothing_sent(request: HttpRequest, refused: HttpResponse) -> HttpResponse:
    """405: the address of a form's answer was opened by itself, as by loading it again."""
    answer = _plain(
        request,
        405,
        "nothing stands at this address: a form is sent here",
        "nothing was changed; go back to the form and send it again",
    )
    answer["Allow"] = refused["Allow"]
    return answer


def not_here(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """404: it is not there, or not yours."""
    del exception
    return _plain(
        request, 404, "there is no such page, or it is not yours", "sign in, or ask the owner"
    )


def not_allowed(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """403: they may look at the vehicle, and not do this."""
    wanted = str(exception or "") or "owner"
    return _plain(
        request,
        403,
        f"this is for the vehicle's {wanted}s",
        f"nothing was changed; an owner can make you a {wanted} on the page People",
    )


def not_understood(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """400: it is no request that a page of ours would make."""
    del exception
    return _plain(request, 400, "this request makes no sense here", "go back and try again")


def broken(request: HttpRequest) -> HttpResponse:
    """500: a fault of ours."""
    return _plain(
        request,
        500,
        "a fault of Putback, not yours",
        "what was acknowledged before is saved; go back and try again, and please report it",
    )


def not_from_here(request: HttpRequest, reason: str = "", **_: Any) -> HttpResponse:
    """403: the form was not one of ours, or is too old."""
    del reason
    return _plain(
        request,
        403,
        "this form is too old, or was not sent from here",
        "nothing was saved; load the page again and send it once more",
    )
