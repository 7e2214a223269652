"""Signing in and out."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_POST

from putback.errors import NotFound
from putback.web.here import here
from putback.web.pages.access import COOKIE, device_of, keep_signed_in
from putback.web.pages.show import page
from putback.workshop.people import DeviceKind


@dataclass(frozen=True, slots=True)
class SignInPage:
    """What the page for signing in shows."""

    name: str = ""
    next: str = ""
    """Where to go afterwards: an address of this site."""
    fault: str = ""


@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Ask for name and password, and sign this browser in."""
    if request.method != "POST":
        return page(request, "pages/sign_in.html", SignInPage(next=request.GET.get("next", "")))
    name, wanted = request.POST.get("name", ""), request.POST.get("next", "")
    people = here().people
    try:
        person = people.find(name).id
    except NotFound:
        person = None
    if person is None or not people.store.is_password(person, request.POST.get("password", "")):
        wrong = SignInPage(name, wanted, "name and password do not fit")
        return page(request, "pages/sign_in.html", wrong, status=403)
    signed = people.sign_in(person, browser_of(request), DeviceKind.BROWSER)
    is_ours = url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    response = redirect(wanted if wanted and is_ours else "garage")
    keep_signed_in(request, response, signed.token)
    return response


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign this browser out."""
    device = device_of(request)
    if device is not None:
        here().people.end(device.id)
    response = redirect("sign_in")
    response.delete_cookie(COOKIE, samesite="Lax")
    return response


def browser_of(request: HttpRequest) -> str:
    """Name the browser as a person would, from what it says of itself."""
    says = request.headers.get("User-Agent", "")
    kinds = ("Firefox", "Edg", "Chrome", "Safari")
    systems = ("Android", "iPhone", "iPad", "Windows", "Mac OS", "Linux")
    kind = next((each for each in kinds if each in says), "a browser")
    system = next((each for each in systems if each in says), "")
    return f"{kind} on {system}" if system else kind
