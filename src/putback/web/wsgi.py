"""The site as a WSGI application, for granian or any other server.

What it serves is said by the environment: ``PUTBACK_HOME``, ``PUTBACK_DATABASE_URL`` as for every
command, and ``PUTBACK_SITE``, which `putback serve` sets.
"""

import json
import logging
import os
import secrets
import signal
import time
from pathlib import Path
from threading import Thread
from typing import Any

import django
from django.conf import settings
from django.core.wsgi import get_wsgi_application
from whitenoise import WhiteNoise

from putback.web.assets import STATIC, static_prefix
from putback.web.here import open_here
from putback.web.settings import site_settings
from putback.web.store import home_folder, setup
from putback.workshop.logbooks.files import disk_trouble, make_folder, write_whole

SITE = "PUTBACK_SITE"
"""JSON: ``hosts``, the names it is reached by; ``https``, whether it is reached so; ``hsts``,
whether browsers are told never to reach it otherwise; ``reached``, see `putback.web.reached`."""
SERVED_BY = "PUTBACK_SERVED_BY"
"""The process of `putback serve`: when it is gone, however it ended, nobody is served any more."""
_LOOKS_EVERY_S = 1.0
_HSTS_S = 180 * 24 * 3600
SILENCED = {
    "security.W005": "other names under this one are not ours to promise anything for",
    "security.W021": "to be put on the browsers' own lists is for the name's owner to ask",
}
"""Checks of Django's that are not followed, and why."""
_FOR_EVER_S = 365 * 24 * 3600


def make_application() -> WhiteNoise:
    """Open the store and give the application."""
    _end_with_who_serves()
    site = json.loads(os.environ.get(SITE, "{}"))
    folder = home_folder()
    opened = setup(folder, **served_settings(folder, site))
    open_here(opened)
    return _with_files(get_wsgi_application())


def make_trust_application() -> WhiteNoise:
    """Give the page by which a phone comes to trust this machine, and nothing else.

    It is served by plain http, so it knows nobody and opens no store.
    """
    _end_with_who_serves()
    site = json.loads(os.environ.get(SITE, "{}"))
    more = served_settings(home_folder(), {**site, "https": False, "hsts": False})
    del more["SECRET_KEY"]
    more |= {
        "ROOT_URLCONF": "putback.web.trust_urls",
        "MIDDLEWARE": [
            "django.middleware.security.SecurityMiddleware",
            "putback.web.pages.safety.safe_headers",
        ],
    }
    settings.configure(**site_settings({}, **more))
    django.setup()
    return _with_files(get_wsgi_application())


def _end_with_who_serves() -> None:
    """End with the command that began the server: killed, it can say nothing."""
    command = os.environ.get(SERVED_BY)
    if command is None:
        return
    begun_by = int(command)

    def watch() -> None:
        while Path(f"/proc/{begun_by}").exists():
            time.sleep(_LOOKS_EVERY_S)
        os.kill(os.getppid(), signal.SIGTERM)  # the server ends its workers, this one too

    Thread(target=watch, daemon=True).start()


def _with_files(answer: Any) -> WhiteNoise:
    # Refusals are told to whoever asks; their addresses can hold a link that still opens.
    for each in ("django.request", "django.security.csrf"):
        logging.getLogger(each).setLevel(logging.ERROR)
    application = WhiteNoise(answer, max_age=_FOR_EVER_S, allow_all_origins=False)
    application.add_files(str(STATIC), prefix=f"{static_prefix()}/")
    return application


def served_settings(folder: Path, site: dict[str, Any]) -> dict[str, Any]:
    """Settings of a site that is served from a folder."""
    https = bool(site.get("https"))
    return {
        "SECRET_KEY": secret_of(folder),
        "ALLOWED_HOSTS": [*site.get("hosts", ()), "localhost", "127.0.0.1", "[::1]"],
        "STATIC_URL": f"/{static_prefix()}/",
        "CSRF_COOKIE_SECURE": https,
        # The port speaks https alone, or not at all: this redirects nobody, and says what is so.
        "SECURE_SSL_REDIRECT": https,
        "SECURE_HSTS_SECONDS": _HSTS_S if site.get("hsts") else 0,
        "REACHED": site.get("reached", {}),
        "SILENCED_SYSTEM_CHECKS": sorted(SILENCED),
    }


def secret_of(folder: Path) -> str:
    """Give the secret of the site, made when it is first served; nobody else may read it."""
    path = folder / "secret"
    with disk_trouble(folder):
        make_folder(folder)
        if not path.exists():
            write_whole(path, secrets.token_urlsafe(64).encode(), 0o600)
        return path.read_text()
