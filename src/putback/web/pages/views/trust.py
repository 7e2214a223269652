"""How a phone comes to trust this machine, and whether it does."""

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from putback.web.pages.show import page
from putback.web.reached import reached
from putback.web.settings import CONTENT_SECURITY_POLICY
from putback.workshop.people.authority import as_der, fingerprint


@dataclass(frozen=True, slots=True)
class TrustPage:
    """What the page of trust shows."""

    is_served: bool
    """Whether there is an authority of this machine's own to trust."""
    is_https: bool
    """Whether the page itself came by https: then this browser trusts it already."""
    secure: str
    """The address of the pages by https."""
    test: str
    """What a script fetches to find out."""
    fingerprint: str


@require_safe
def trust(request: HttpRequest) -> HttpResponse:
    """Show how this phone comes to trust this machine."""
    known = reached()
    host = request.get_host().rpartition(":")[0] or request.get_host()
    origin = f"https://{host}:{known.port}" if known.port != 443 else f"https://{host}"
    shown = TrustPage(
        is_served=known.authority is not None,
        is_https=request.is_secure(),
        secure=f"{origin}/",
        test=f"{origin}{reverse('trusted')}",
        fingerprint=fingerprint(known.authority) if known.authority else "",
    )
    response = page(request, "pages/trust.html", shown)
    # The script asks the same machine by https, which is another origin.
    response["Content-Security-Policy"] = CONTENT_SECURITY_POLICY.replace(
        "connect-src 'self'", f"connect-src 'self' {origin}"
    )
    return response


@require_safe
def authority(request: HttpRequest) -> HttpResponse:
    """Give the certificate of this machine's own authority."""
    known = reached()
    if known.authority is None:
        raise Http404
    response = HttpResponse(as_der(known.authority), content_type="application/x-x509-ca-cert")
    response["Content-Disposition"] = 'attachment; filename="putback-authority.crt"'
    return response


@require_safe
def yes(request: HttpRequest) -> HttpResponse:
    """Answer whoever gets so far: they trust this machine."""
    return HttpResponse(status=204)


@require_safe
def to_trust(request: HttpRequest, elsewhere: str = "") -> HttpResponse:
    """Show whoever comes by plain http how to come by https."""
    del elsewhere
    return redirect("trust")
