"""A workshop over a store in the database, as the command line opens it."""

from pathlib import Path

from putback.cli.wire import open_store
from putback.workshop.logbooks.workshop import Workshop


def open_workshop(home: Path) -> Workshop:
    """Open the workshop kept in a folder, on SQLite."""
    opened = open_store(home)
    return Workshop(opened.entries, opened.photos)
