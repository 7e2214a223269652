"""How others reach this site: what `putback serve` knows of it and a request does not."""

from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest

_OWN = ("localhost", "127.0.0.1", "[::1]")


@dataclass(frozen=True, slots=True)
class Reached:
    """How the site is reached."""

    address: str = ""
    """The address for phones, without a slash at the end; empty if nobody said."""
    port: int = 0
    """Of the pages; 0 if nobody said."""
    authority: Path | None = None
    """The certificate of this machine's own authority, if it has one."""


def reached() -> Reached:
    """Say how the site is reached."""
    said = getattr(settings, "REACHED", {})
    authority = said.get("authority", "")
    return Reached(
        said.get("address", ""), int(said.get("port", 0)), Path(authority) if authority else None
    )


def for_others(request: HttpRequest, path: str) -> str:
    """Give the address of a page as another device reaches it: not by our name for ourselves."""
    host = request.get_host().rpartition(":")[0] or request.get_host()
    known = reached().address
    if known and host in _OWN:
        return f"{known}{path}"
    return request.build_absolute_uri(path)


def is_for_us_alone(address: str) -> bool:
    """Tell whether an address leads every device to itself."""
    host = address.partition("://")[2].partition("/")[0]
    return host in _OWN or (host.rpartition(":")[0] in _OWN)
