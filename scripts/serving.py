"""A site in a process of its own, for pictures, measurements and tests in a real browser."""

import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.request import urlopen

from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.web.here import open_here
from putback.web.store import setup
from putback.workshop.exchange.demo import lay_out_demo
from putback.workshop.people.people import DeviceKind

IN_THE_STRIP = 12
"""So many sittings of the demo's story are over: in the middle of its strip."""
_PATIENCE_S = 60


@contextmanager
def serving(home: Path, workers: int = 1, url: str = "") -> Iterator[str]:
    """Serve what is in ``home`` until the block is left, and give the address.

    Raises
    ------
    RuntimeError
        If it does not answer; with what the server said.
    """
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-c", "from putback.cli.main import main; main()"]
    command += ["--home", str(home), "serve", "--port", str(port), "--workers", str(workers)]
    said = home.parent / f"{home.name}-server.txt"
    environment = {**os.environ, "PUTBACK_DATABASE_URL": url}
    with said.open("w") as log:
        process = subprocess.Popen(command, env=environment, stdout=log, stderr=log)
        try:
            address = f"http://localhost:{port}"
            if not _answers(address, process):
                raise RuntimeError(f"the server does not answer: {said.read_text()}")
            yield address
        finally:
            process.terminate()
            process.wait(_PATIENCE_S)


def _answers(address: str, process: "subprocess.Popen[bytes]") -> bool:
    begun = time.monotonic()
    while process.poll() is None and time.monotonic() - begun < _PATIENCE_S:
        try:
            with urlopen(f"{address}/in", timeout=5):
                return True
        except OSError:
            time.sleep(0.1)
    return False


@dataclass(frozen=True, slots=True)
class ServedDemo:
    """A site with the demo, and the token of its owner's browser."""

    address: str
    logbook: LogbookId
    token: str


@contextmanager
def serving_demo(workers: int = 1, sittings: int = IN_THE_STRIP) -> Iterator[ServedDemo]:
    """Serve the demo after so many sittings of its story, from a folder that is thrown away."""
    with tempfile.TemporaryDirectory() as scratch:
        home = Path(scratch) / "home"
        opened = setup(home, "")
        here = open_here(opened)
        person = here.people.add("Demo", "for a look only", PersonId("demo"))
        logbook = lay_out_demo(here.workshop, person.id, DeviceId("laptop"), sittings)
        token = here.people.sign_in(person.id, "a look", DeviceKind.BROWSER).token
        opened.close()
        with serving(home, workers) as address:
            yield ServedDemo(address, logbook, token)
