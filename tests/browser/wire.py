"""The wire between a phone and the server, which a test can cut at the worst moment."""

import http.client
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import Enum
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from typing import ClassVar
from urllib.parse import urlsplit


class Mode(Enum):
    """What becomes of a request."""

    THROUGH = "through"
    DEAD = "dead"  # nobody answers
    CUT = "cut"  # what is sent breaks off half-way: the server is killed in the middle of it
    LOST = "lost"  # the server does it, and its answer never comes


@dataclass
class Wire:
    """A wire with an address of its own; `CUT` and `LOST` befall what is sent, not pages."""

    address: str
    mode: Mode = Mode.THROUGH
    sent: int = 0
    """Requests that sent something and reached the server, whatever became of the answer."""
    edits: dict[str, Callable[[bytes], bytes]] = field(default_factory=dict)
    """What becomes of the answer from an address, as if the server were of another version."""
    upstream: str = ""
    """Host and port of the server at its other end."""
    meanwhile: Callable[[str], None] = lambda _: None
    """What happens once the server has all of what was sent to an address, before it answers."""


_OWN = {"connection", "keep-alive", "transfer-encoding", "content-length"}


class _Handler(BaseHTTPRequestHandler):
    wire: ClassVar[Wire]

    def log_message(self, *_: object) -> None:
        """Say nothing: the tests do."""

    def do_GET(self) -> None:
        self._pass_on(b"")

    def do_POST(self) -> None:
        length = int(self.headers.get("Content-Length") or 0)
        if self.wire.mode is Mode.CUT:
            self._send_half(self.rfile.read(length // 2))
            return
        self._pass_on(self.rfile.read(length))

    def _pass_on(self, body: bytes) -> None:
        mode = self.wire.mode
        if mode is Mode.DEAD:
            self.close_connection = True
            return
        connection = http.client.HTTPConnection(self.wire.upstream, timeout=60)
        try:
            headers = dict(self.headers.items())
            if self.path in self.wire.edits:
                headers["Accept-Encoding"] = "identity"
            connection.request(self.command, self.path, body or None, headers)
            if self.command == "POST":
                self.wire.meanwhile(self.path)
            answer = connection.getresponse()
            content = answer.read()
        except (OSError, http.client.HTTPException):
            self.close_connection = True  # it is gone
            return
        finally:
            connection.close()
        if self.path in self.wire.edits:
            content = self.wire.edits[self.path](content)
        if self.command == "POST":
            self.wire.sent += 1
            if mode is Mode.LOST:
                self.close_connection = True
                return
        self.send_response(answer.status)
        for name, value in answer.getheaders():
            if name.lower() not in _OWN:
                self.send_header(name, value)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    def _send_half(self, half: bytes) -> None:
        connection = http.client.HTTPConnection(self.wire.upstream, timeout=60)
        connection.putrequest(self.command, self.path, skip_host=True, skip_accept_encoding=True)
        for name, value in self.headers.items():
            connection.putheader(name, value)
        connection.endheaders(half)
        connection.close()
        self.close_connection = True


class _Server(ThreadingHTTPServer):
    """Lets a page ask for all it needs at once: who finds no room waits up to half a minute."""

    request_queue_size = 128
    daemon_threads = True


@contextmanager
def wired(upstream: str) -> Iterator[Wire]:
    """Lay a wire to the server at an address, until the block is left."""

    class Handler(_Handler):
        """Of this wire alone."""

    server = _Server(("127.0.0.1", 0), Handler)
    here = f"http://localhost:{server.server_port}"
    Handler.wire = wire = Wire(here, upstream=urlsplit(upstream).netloc)
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield wire
    finally:
        server.shutdown()
        server.server_close()
