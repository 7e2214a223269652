"""Asking another workshop over HTTPS, with a token of ours there.

The certificate is always verified: against the authorities of this machine, or the one authority
that was given for this partner. No redirection is followed, so that the token reaches nobody else.
"""

import json
import ssl
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from typing import Any
from urllib.parse import quote, urlsplit

from putback.errors import BadInput
from putback.logbook.bundle.lines import to_line
from putback.logbook.entries.base import EntryId, LogbookId
from putback.workshop.exchange.far import (
    LARGEST_PHOTO_BYTES,
    Handed,
    NoExchange,
    Stands,
    Wanted,
)
from putback.workshop.logbooks.ports import PhotoId

PATIENCE_S = 20.0
"""How long one answer may take [s]."""
LONGEST_ANSWER_BYTES = LARGEST_PHOTO_BYTES + (1 << 16)
_LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
_NOT_FOUND = 404

Headers = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back."""

    status: int
    body: bytes = field(repr=False)


Transport = Callable[[str, str, bytes, Headers], Answer]
"""Asks by method, path, body and headers; raises `NoExchange` if nothing comes back."""


def site_of(address: str) -> str:
    """Read the address of another Putback: ``https://host:port``.

    Raises
    ------
    BadInput
        If it is none, or not by https; plain http is for this machine alone.
    """
    mend = "write it as https://workshop.local:8443"
    try:
        parts = urlsplit(address if "://" in address else f"https://{address}")
        host, port = parts.hostname or "", parts.port
    except ValueError as error:
        raise BadInput(f"no address: {address!r}", mend=mend) from error
    if not host or parts.username or parts.path not in {"", "/"} or parts.query or parts.fragment:
        raise BadInput(f"no address of a Putback: {address!r}", mend=mend)
    if parts.scheme != "https" and not (parts.scheme == "http" and host in _LOOPBACK):
        raise BadInput(f"{address!r} is not by https, and would show the token", mend=mend)
    named = f"[{host}]" if ":" in host else host
    return f"{parts.scheme}://{named}{f':{port}' if port else ''}"


class Wire:
    """One connection to a partner, kept open from one asking to the next."""

    def __init__(
        self, address: str, token: str, authority: str = "", patience_s: float = PATIENCE_S
    ) -> None:
        self.address = site_of(address)
        self._patience_s = patience_s
        self._token = token
        self._authority = authority
        self._open: HTTPConnection | None = None

    def __call__(self, method: str, path: str, body: bytes, headers: Headers) -> Answer:
        """Ask once; nothing is asked again by itself."""
        sent = {"Authorization": f"Bearer {self._token}", **headers}
        if self._open is None:
            self._open = self._connection()
        try:
            self._open.request(method, path, body=body or None, headers=sent)
            response = self._open.getresponse()
            content = response.read(LONGEST_ANSWER_BYTES + 1)
        except ssl.SSLCertVerificationError as error:
            self.close()
            raise NoExchange(
                self.address,
                f"its certificate is not to be trusted: {error.verify_message}",
                "give its authority, as its page of trust offers it: --authority FILE",
            ) from error
        except (OSError, HTTPException) as error:
            self.close()
            raise NoExchange(self.address, f"does not answer: {_why(error)}") from error
        if len(content) > LONGEST_ANSWER_BYTES:
            self.close()
            raise NoExchange(self.address, "sends more than was asked for")
        return Answer(response.status, content)

    def close(self) -> None:
        """Let go of the connection; the next asking opens another."""
        if self._open is not None:
            self._open.close()
            self._open = None

    def _connection(self) -> HTTPConnection:
        parts = urlsplit(self.address)
        host = parts.hostname or ""
        if parts.scheme == "http":
            return HTTPConnection(host, parts.port, timeout=self._patience_s)
        try:
            trusted = ssl.create_default_context(cadata=self._authority or None)
        except ssl.SSLError as error:
            raise BadInput(
                "the partner's authority is no certificate", self.address, "give it as PEM"
            ) from error
        return HTTPSConnection(host, parts.port, timeout=self._patience_s, context=trusted)


def _why(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error) or type(error).__name__


class FarByApi:
    """Another workshop, asked by its API over a transport."""

    def __init__(self, partner: str, transport: Transport) -> None:
        self.partner = partner
        self._transport = transport

    def vehicles(self) -> tuple[tuple[LogbookId, str], ...]:
        """List the vehicles there in which we have a role: identity and name."""
        answer = self._transport("GET", "/api/vehicles", b"", {"Accept": "application/json"})
        if answer.status != 200:
            raise NoExchange(self.partner, *self._refused(answer))
        try:
            said = json.loads(answer.body)
            return tuple((LogbookId(str(each["logbook"])), str(each["name"])) for each in said)
        except (ValueError, TypeError, KeyError) as error:
            raise self._nonsense() from error

    def stands(self, logbook: LogbookId, at: int = 0) -> Stands | None:
        """Say where the copy there stands."""
        answer = self._ask("GET", logbook, f"?at={at}", may_lack=True)
        if answer is None:
            return None
        said = self._json(answer)
        return Stands(
            name=self._text(said, "name"),
            position=self._number(said, "position"),
            last=self._text(said, "last"),
            entries=self._number(said, "entries"),
            digest=self._text(said, "digest"),
            there=self._text(said, "there"),
            tags=self._blocks(said),
        )

    def begin(self, logbook: LogbookId, name: str) -> None:
        """Begin a copy there."""
        self._ask("POST", logbook, "", {"name": name})

    def entries(self, logbook: LogbookId, after: int, *, all_of_them: bool = False) -> Handed:
        """Give entries after a position."""
        whose = "&all=true" if all_of_them else ""
        return self._handed(self._ask("GET", logbook, f"/entries?after={after}{whose}"))

    def garage(self, logbook: LogbookId, after: int) -> Handed:
        """Give entries of the garage."""
        return self._handed(self._ask("GET", logbook, f"/garage?after={after}"))

    def wanted(
        self, logbook: LogbookId, photos: Sequence[PhotoId], garage: Sequence[str] = ()
    ) -> Wanted:
        """Say what is lacking there."""
        if not photos and not garage:
            return Wanted()
        asked = {"photos": list(photos), "garage": list(garage)}
        said = self._json(self._ask("POST", logbook, "/wanted", asked))
        lacking = set(self._texts(said, "photos"))
        return Wanted(
            tuple(each for each in photos if each in lacking), tuple(self._texts(said, "garage"))
        )

    def photo(self, logbook: LogbookId, photo: PhotoId) -> bytes | None:
        """Give a photo or sound."""
        found: bytes | None = self._ask("GET", logbook, f"/photos/{photo}", may_lack=True)
        return found

    def send_photo(self, logbook: LogbookId, photo: PhotoId, content: bytes) -> None:
        """Store a photo or sound there."""
        self._ask("PUT", logbook, f"/photos/{photo}", content)

    def send_entries(self, logbook: LogbookId, lines: Sequence[bytes]) -> tuple[EntryId, ...]:
        """Append entries there."""
        return self._sent(self._ask("POST", logbook, "/entries", b"".join(map(to_line, lines))))

    def send_garage(self, logbook: LogbookId, lines: Sequence[bytes]) -> tuple[EntryId, ...]:
        """Append entries of the garage there."""
        return self._sent(self._ask("POST", logbook, "/garage", b"".join(map(to_line, lines))))

    # -- inside -----------------------------------------------------------------------------

    def _ask(
        self,
        method: str,
        logbook: LogbookId,
        path: str,
        said: bytes | Mapping[str, Any] = b"",
        *,
        may_lack: bool = False,
    ) -> Any:
        """Ask, and give the body of a good answer; ``None`` for 404 where that is an answer."""
        body = said if isinstance(said, bytes) else json.dumps(said).encode()
        kind = "application/octet-stream" if isinstance(said, bytes) else "application/json"
        headers = {"Content-Type": kind, "Accept": "*/*"}
        address = f"/api/vehicles/{quote(logbook, safe='')}/exchange{path}"
        answer = self._transport(method, address, body, headers)
        if answer.status == _NOT_FOUND and may_lack:
            return None
        if answer.status != 200:
            raise NoExchange(self.partner, *self._refused(answer))
        return answer.body

    def _refused(self, answer: Answer) -> tuple[str, str]:
        mend = "nothing is lost: what went over stays, and the next time goes on from there"
        match answer.status:
            case 401:
                return (
                    "does not know us: the token is wrong, or was ended",
                    "make a new token there, and give it by: putback partners add",
                )
            case 403:
                return "lets us look at this vehicle and no more", "ask its owner for the role"
            case 404:
                return "has no such vehicle, or it is not ours there", "ask its owner for a role"
        try:
            said = json.loads(answer.body)
            words = str(said["message"])[:300] if isinstance(said, dict) else ""
        except (ValueError, KeyError):
            words = ""
        return f"refuses ({answer.status}){': ' if words else ''}{words}", mend

    def _json(self, body: bytes) -> dict[str, Any]:
        try:
            said = json.loads(body)
        except ValueError as error:
            raise self._nonsense() from error
        if not isinstance(said, dict):
            raise self._nonsense()
        return said

    def _handed(self, body: bytes) -> Handed:
        said = self._json(body)
        lines = tuple(each.encode() for each in self._texts(said, "lines"))
        return Handed(lines, self._number(said, "position"), self._number(said, "end"))

    def _sent(self, body: bytes) -> tuple[EntryId, ...]:
        return tuple(map(EntryId, self._texts(self._json(body), "new")))

    def _blocks(self, said: Mapping[str, Any]) -> tuple[tuple[int, int], ...]:
        found = said.get("tags", [])
        try:
            return tuple((int(start), int(stop)) for start, stop in found)
        except (TypeError, ValueError) as error:
            raise self._nonsense() from error

    def _text(self, said: Mapping[str, Any], name: str) -> str:
        value = said.get(name)
        if not isinstance(value, str):
            raise self._nonsense()
        return value

    def _number(self, said: Mapping[str, Any], name: str) -> int:
        value = said.get(name)
        if not isinstance(value, int) or isinstance(value, bool) or value < 0:
            raise self._nonsense()
        return value

    def _texts(self, said: Mapping[str, Any], name: str) -> list[str]:
        value = said.get(name)
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            raise self._nonsense()
        return value

    def _nonsense(self) -> NoExchange:
        return NoExchange(
            self.partner,
            "does not answer as a Putback does",
            "see that the address is right, and that both are of a like version",
        )
