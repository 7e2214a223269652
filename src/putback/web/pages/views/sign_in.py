"""Signing in and out."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_POST

from putback.errors import BadInput
from putback.logbook.entries.base import PersonId
from putback.web.here import here
from putback.web.pages.access import COOKIE, device_of, keep_signed_in
from putback.web.pages.show import page
from putback.workshop.people.attempts import WaitFirst
from putback.workshop.people.people import DeviceKind


@dataclass(frozen=True, slots=True)
class SignInPage:
    """What the page for signing in shows."""

    name: str = ""
    next: str = ""
    """Where to go afterwards: an address of this site."""
    fault: str = ""
    is_first: bool = False
    """Nobody has an account yet."""


@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Ask for name and password, and sign this browser in."""
    if request.method != "POST":
        shown = SignInPage(
            next=request.GET.get("next", ""), is_first=not here().people.store.people()
        )
        return page(request, "pages/sign_in.html", shown)
    name, wanted = request.POST.get("name", ""), request.POST.get("next", "")
    try:
        person = here().people.vouch(name, request.POST.get("password", ""), address_of(request))
    except WaitFirst as wait:
        shown = SignInPage(name, wanted, f"{wait.fault()}; {wait.remedy()}")
        response = page(request, "pages/sign_in.html", shown, status=429)
        response["Retry-After"] = str(wait.wait_s)
        return response
    except BadInput as error:
        wrong = SignInPage(name, wanted, error.fault())
        return page(request, "pages/sign_in.html", wrong, status=403)
    return let_in(request, person.id, wanted)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign this browser out; the page that follows lets the phone forget who was signed in."""
    device = device_of(request)
    if device is not None:
        here().people.end(device.id)
    response = redirect(f"{reverse('sign_in')}?out")
    response.delete_cookie(COOKIE, samesite="Lax")
    return response


def let_in(request: HttpRequest, person: PersonId, wanted: str = "") -> HttpResponse:
    """Sign this browser in, and go where somebody wanted to go on this site, or to the list."""
    people, before = here().people, device_of(request)
    if before is not None:
        people.end(before.id)
    signed = people.sign_in(person, browser_of(request), DeviceKind.BROWSER)
    is_ours = url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    response = HttpResponseRedirect(wanted if wanted and is_ours else reverse("garage"))
    keep_signed_in(request, response, signed.token)
    return response


def address_of(request: HttpRequest) -> str:
    """Give the address from which somebody asks."""
    return str(request.META.get("REMOTE_ADDR", ""))


def browser_of(request: HttpRequest) -> str:
    """Name the browser as a person would, from what it says of itself."""
    says = request.headers.get("User-Agent", "")
    kinds = ("Firefox", "Edg", "Chrome", "Safari")
    systems = ("Android", "iPhone", "iPad", "Windows", "Mac OS", "Linux")
    kind = next((each for each in kinds if each in says), "a browser")
    system = next((each for each in systems if each in says), "")
    return f"{kind} on {system}" if system else kind
