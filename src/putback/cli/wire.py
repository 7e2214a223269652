"""The one place where the command line meets the database store."""

import getpass
import os
import platform
import re
from pathlib import Path
from typing import TYPE_CHECKING

from putback.logbook.entries.base import DeviceId, PersonId

if TYPE_CHECKING:
    from putback.web.store import Opened as Opened

WHO = "PUTBACK_WHO"


def open_store(home: Path | None = None) -> "Opened":
    """Open the store kept in a folder, or where the environment says.

    Django and the database are loaded here, not before: ``putback --help`` needs neither.
    """
    from putback.web.store import setup

    return setup(home)


def this_person() -> PersonId:
    """Say who is at the keyboard: ``PUTBACK_WHO``, else the name of the account."""
    return PersonId(os.environ.get(WHO) or getpass.getuser())


def this_device() -> DeviceId:
    """Name this machine among the devices that log."""
    name = re.sub(r"[^a-z0-9]+", "-", platform.node().casefold()).strip("-")
    return DeviceId(f"cli-{name or 'here'}")
