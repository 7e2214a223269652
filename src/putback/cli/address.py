"""By what names and addresses this machine is reached, found out without sending anything."""

import platform
import re
import socket
from collections.abc import Iterable

from putback.errors import StoreError

_SOMEWHERE = ("192.0.2.1", 9)
"""An address of a documentation network (RFC 5737): it only asks which way would be taken."""


def lan_addresses() -> tuple[str, ...]:
    """Give this machine's addresses on its network, the one towards the rest of it first."""
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_SOMEWHERE)  # datagrams: nothing is sent by connecting
            found.append(probe.getsockname()[0])
        except OSError:
            pass  # no network at all
    try:
        told = socket.getaddrinfo(platform.node(), None, socket.AF_INET)
        found += [str(each[4][0]) for each in told]
    except OSError:
        pass  # its own name is known to nobody
    return tuple(each for each in dict.fromkeys(found) if not each.startswith("127."))


def machine_name() -> str:
    """Give this machine's name as others may write it in an address."""
    name = re.sub(r"[^a-z0-9-]+", "-", platform.node().partition(".")[0].casefold()).strip("-")
    return name or "putback"


def machine_names() -> tuple[str, ...]:
    """Give the names this machine goes by on its network."""
    full = platform.node().casefold()
    ours = (machine_name(), f"{machine_name()}.local", full)
    return tuple(dict.fromkeys(each for each in ours if re.fullmatch(r"[a-z0-9.-]+", each)))


def see_that_free(host: str, port: int) -> None:
    """See that nobody else listens there.

    Raises
    ------
    StoreError
        If somebody does, or it may not be used.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except PermissionError as error:
            raise StoreError(
                f"port {port}", "is not for you", "take one above 1023, as in: --port 8000"
            ) from error
        except OSError as error:
            raise StoreError(
                f"port {port}",
                "is taken by another program",
                f"end that one, or take another, as in: --port {port % 65535 + 1}",
            ) from error


def with_scheme(hosts: Iterable[str], port: int, *, https: bool) -> tuple[str, ...]:
    """Write addresses as a browser takes them."""
    scheme, usual = ("https", 443) if https else ("http", 80)
    ending = "" if port == usual else f":{port}"
    return tuple(f"{scheme}://{each}{ending}" for each in hosts)
