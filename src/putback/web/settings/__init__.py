"""Django's settings, made by a function: nothing happens when this is imported.

The store needs little; pages add theirs through ``more``.
"""

from typing import Any

LOCK_WAIT_S = 10
"""How long a writer waits for another before it gives up as `StoreBusy` [s]."""


def store_settings(database: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Settings with which the store works: one database, no pages."""
    return {
        "DATABASES": {"default": database},
        "DEFAULT_AUTO_FIELD": "django.db.models.BigAutoField",
        "INSTALLED_APPS": ["putback.web.store"],
        "LOGGING_CONFIG": None,  # whoever runs us decides what is logged
        "TIME_ZONE": "UTC",
        "USE_TZ": True,
    } | more


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
