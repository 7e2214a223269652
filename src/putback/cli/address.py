"""By what names and addresses this machine is reached, found out without sending anything."""

import platform
import re
import socket
from collections.abc import Iterable
from ipaddress import ip_address

from putback.errors import StoreError

_SOMEWHERE = {
    socket.AF_INET: ("192.0.2.1", 9),
    socket.AF_INET6: ("2001:db8::1", 9),
}
"""Addresses for documentation (RFC 5737, RFC 3849): they only ask which way would be taken."""


def lan_addresses() -> tuple[str, ...]:
    """Give this machine's addresses on its network, the one towards the rest of it first.

    Those of IPv4 go before those of IPv6, which are longer to type and change more often. An
    address that holds on one wire only (fe80::) is none that a browser takes.
    """
    families = (socket.AF_INET, socket.AF_INET6) if listens_to_both() else (socket.AF_INET,)
    found = [each for family in families for each in _addresses(family)]
    return tuple(each for each in dict.fromkeys(found) if _leads_here(each))


def _addresses(family: socket.AddressFamily) -> list[str]:
    found: list[str] = []
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect(_SOMEWHERE[family])  # datagrams: nothing is sent by connecting
            found.append(str(probe.getsockname()[0]))
    except OSError:
        pass  # no network of that kind
    try:
        told = socket.getaddrinfo(platform.node(), None, family)
        found += [str(each[4][0]) for each in told]
    except OSError:
        pass  # its own name is known to nobody
    return found


def _leads_here(address: str) -> bool:
    """Whether others on the network may reach this machine by it."""
    found = ip_address(address.partition("%")[0])
    return not (found.is_loopback or found.is_unspecified or found.is_link_local)


def listens_to_both() -> bool:
    """Tell whether one program here can be asked by IPv4 and by IPv6."""
    if not socket.has_dualstack_ipv6():
        return False
    try:
        with socket.create_server(("::1", 0), family=socket.AF_INET6):
            return True
    except OSError:  # the system knows of IPv6, and it is turned off
        return False


def everywhere() -> str:
    """Give the address at which a program listens to the whole network."""
    return "::" if listens_to_both() else "0.0.0.0"  # noqa: S104 - who asks wants that


def is_address(host: str) -> bool:
    """Tell an address from a name."""
    try:
        ip_address(host)
    except ValueError:
        return False
    return True


def in_brackets(host: str) -> str:
    """Write a host as it stands in an address of a page: IPv6 in brackets (RFC 3986, 3.2.2)."""
    return f"[{host}]" if ":" in host else host


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
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            probe.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 0)  # by IPv4 as well
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


def is_listened_to(port: int) -> bool:
    """Tell whether a program of this machine listens there."""
    with socket.socket() as probe:
        probe.settimeout(1.0)
        return probe.connect_ex(("127.0.0.1", port)) == 0


def with_scheme(hosts: Iterable[str], port: int, *, https: bool) -> tuple[str, ...]:
    """Write addresses as a browser takes them."""
    scheme, usual = ("https", 443) if https else ("http", 80)
    ending = "" if port == usual else f":{port}"
    return tuple(f"{scheme}://{in_brackets(each)}{ending}" for each in hosts)
