"""What a phone needs to open the app without a network: manifest, worker, its own pages."""

import json
from dataclasses import asdict, dataclass

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_safe

from putback.language import ENGLISH
from putback.logbook.entries.judging import Hindrance
from putback.web.offline_bundle import bundles, script, sheet
from putback.web.offline_files import app_version, shell, worker_text
from putback.web.pages.in_language import language_of
from putback.web.pages.show import page
from putback.workshop.now.stuck import TREATMENTS


@dataclass(frozen=True, slots=True)
class OfflinePage:
    """The page that shows what a phone holds; filled in by its scripts."""

    whys: tuple[str, ...]
    """Why a job may be put off."""
    treatments: tuple[str, ...]
    """What may be done about a joint that is stuck."""
    script: str
    """Address of all its scripts in one."""
    sheet: str
    """Address of all its styles in one."""


@require_safe
def offline(request: HttpRequest) -> HttpResponse:
    """Show what the phone holds; the same for everybody, as it says nothing of anybody."""
    whys = tuple(each.value for each in Hindrance)
    shown = OfflinePage(whys, TREATMENTS, script().address, sheet().address)
    return page(request, "pages/offline.html", shown)


@require_safe
def joined(request: HttpRequest, digest: str, name: str) -> HttpResponse:
    """Give a file that is made of several, if it is still the same."""
    del request
    found = [each for each in bundles() if (each.digest, each.name) == (digest, name)]
    if not found:
        raise Http404
    response = HttpResponse(found[0].text, content_type=f"{found[0].media_type}; charset=utf-8")
    response["Cache-Control"] = "public, max-age=31536000, immutable"
    return response


@dataclass(frozen=True, slots=True)
class PhonePage:
    """What is on this phone; filled in by its scripts."""


@require_safe
def phone(request: HttpRequest) -> HttpResponse:
    """Show what this phone holds and queues, and whether it may be cleared."""
    return page(request, "pages/phone.html", PhonePage())


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """Give the service worker, for the whole site; browsers ask each time whether it changed."""
    language = language_of(request)
    facts = {
        "VERSION": app_version() if language == ENGLISH else f"{app_version()} {language}",
        "LANGUAGE": language,
        "SHELL": asdict(shell()),
    }
    said = (f"const {name} = {json.dumps(value)};\n" for name, value in facts.items())
    text = "".join((*said, worker_text()))
    response = HttpResponse(text, content_type="text/javascript; charset=utf-8")
    response["Cache-Control"] = "no-cache"
    return response


@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    """Say how the app is called and looks on a home screen."""
    del request
    icons = [
        {"src": static("putback/icon.svg"), "sizes": "any", "type": "image/svg+xml"},
        *(
            {
                "src": static(f"putback/icon-{size}.png"),
                "sizes": f"{size}x{size}",
                "type": "image/png",
                "purpose": "any maskable",
            }
            for size in (192, 512)
        ),
    ]
    said = {
        "name": "Putback",
        "short_name": "Putback",
        "id": reverse("garage"),
        "start_url": reverse("garage"),
        "scope": "/",
        "display": "standalone",
        "background_color": "#f5f2e9",
        "theme_color": "#f5f2e9",
        "icons": icons,
    }
    return JsonResponse(said, content_type="application/manifest+json")
