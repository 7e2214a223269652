"""Django's settings, made by a function: nothing happens when this is imported.

Command line and pages configure Django alike, so that both see the same tables. What belongs to
one site that is served (its secret, its hosts, whether it is reached by https) comes in ``site``.
"""

import secrets
from pathlib import Path
from typing import Any

LOCK_WAIT_S = 10
"""How long a writer waits for another before it gives up as `StoreBusy` [s]."""
LARGEST_UPLOAD_BYTES = 64 * 2**20
"""Of one request [bytes]: some pictures of a phone at once."""

WEB = Path(__file__).parent.parent

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; font-src 'self'; "
    "img-src 'self' blob: data:; media-src 'self' blob:; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
"""No script or style stands in a page itself, and nothing comes from anybody else.

``wasm-unsafe-eval`` lets WebAssembly be compiled, for the reader of tags, and no text be run.
"""


def site_settings(database: dict[str, Any], **site: Any) -> dict[str, Any]:
    """Settings of the site over one database; ``site`` adds to them, or stands in their place."""
    return {
        "SECRET_KEY": secrets.token_urlsafe(64),  # a site that is served keeps one of its own
        "DATABASES": {"default": database},
        "DEFAULT_AUTO_FIELD": "django.db.models.BigAutoField",
        "INSTALLED_APPS": ["putback.web.store"],
        "LOGGING_CONFIG": None,  # whoever runs us decides what is logged
        "LANGUAGE_CODE": "en-gb",
        "TIME_ZONE": "UTC",
        "USE_TZ": True,
        "ROOT_URLCONF": "putback.web.urls",
        "MIDDLEWARE": [
            "django.middleware.security.SecurityMiddleware",
            "putback.web.pages.safety.safe_headers",
            "django.middleware.gzip.GZipMiddleware",
            "putback.web.pages.in_language.in_language",
            "django.middleware.csrf.CsrfViewMiddleware",
            "django.middleware.clickjacking.XFrameOptionsMiddleware",
            "putback.web.pages.one_look.in_one_look",
            "putback.web.pages.access.signed_in",
            "putback.web.pages.in_their_zone.in_their_zone",
            "putback.web.pages.trouble.Told",
        ],
        "TEMPLATES": [
            {
                "BACKEND": "django.template.backends.django.DjangoTemplates",
                "DIRS": [str(WEB / "templates")],
                "OPTIONS": {
                    "context_processors": [
                        "django.template.context_processors.csrf",
                        "django.template.context_processors.request",
                    ],
                    "builtins": [
                        "django.templatetags.static",
                        "putback.web.pages.words",
                        "putback.web.pages.sent_once",
                    ],
                },
            }
        ],
        "STATIC_URL": "/static/",
        "CSRF_COOKIE_HTTPONLY": True,
        "CSRF_FAILURE_VIEW": "putback.web.pages.trouble.not_from_here",
        "DATA_UPLOAD_MAX_MEMORY_SIZE": LARGEST_UPLOAD_BYTES,
        "FILE_UPLOAD_HANDLERS": ["putback.web.pages.uploads.AsNamed"],
        "SECURE_REFERRER_POLICY": "same-origin",
        "X_FRAME_OPTIONS": "DENY",
    } | site


def sqlite(path: str) -> dict[str, Any]:
    """Database settings for SQLite: what is acknowledged has reached the disk.

    ``IMMEDIATE`` takes the one write lock when a transaction begins, so that two writers queue
    instead of one of them failing half-way.
    """
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": path,
        "CONN_MAX_AGE": None,
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": LOCK_WAIT_S,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
        },
    }


def postgresql(parts: dict[str, Any]) -> dict[str, Any]:
    """Database settings for PostgreSQL, from the parts of its address as libpq names them."""
    known = {"dbname": "NAME", "user": "USER", "password": "PASSWORD", "host": "HOST"}
    rest = {key: value for key, value in parts.items() if key not in {*known, "port"}}
    asked = f"-c synchronous_commit=on -c lock_timeout={LOCK_WAIT_S}s"
    return {
        "ENGINE": "django.db.backends.postgresql",
        "PORT": str(parts.get("port", "")),
        "CONN_MAX_AGE": None,
        "OPTIONS": rest | {"options": f"{rest.get('options', '')} {asked}".strip()},
    } | {name: str(parts.get(key, "")) for key, name in known.items()}
