"""The site as a WSGI application, for granian or any other server.

What it serves is said by the environment: ``PUTBACK_HOME``, ``PUTBACK_DATABASE_URL`` as for every
command, and ``PUTBACK_SITE``, which `putback serve` sets.
"""

import json
import os
import secrets
from pathlib import Path
from typing import Any

from django.core.wsgi import get_wsgi_application
from whitenoise import WhiteNoise

from putback.web.assets import STATIC, static_prefix
from putback.web.here import open_here
from putback.web.store import home_folder, setup
from putback.workshop.files import disk_trouble, make_folder, write_whole

SITE = "PUTBACK_SITE"
"""JSON: ``hosts``, the names it is reached by; ``https``, whether it is reached so."""
_FOR_EVER_S = 365 * 24 * 3600


def make_application() -> WhiteNoise:
    """Open the store and give the application."""
    site = json.loads(os.environ.get(SITE, "{}"))
    folder = home_folder()
    opened = setup(folder, **served_settings(folder, site))
    open_here(opened)
    application = WhiteNoise(get_wsgi_application(), max_age=_FOR_EVER_S, allow_all_origins=False)
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
        "SECURE_SSL_REDIRECT": False,  # the port speaks https alone, or not at all
    }


def secret_of(folder: Path) -> str:
    """Give the secret of the site, made when it is first served; nobody else may read it."""
    path = folder / "secret"
    with disk_trouble(folder):
        make_folder(folder)
        if not path.exists():
            write_whole(path, secrets.token_urlsafe(64).encode())
            path.chmod(0o600)
        return path.read_text()
