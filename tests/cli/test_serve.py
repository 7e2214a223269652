"""Serving the pages: the real command, asked by http and ended by signals."""

import json
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from putback.cli import running
from putback.cli.address import (
    everywhere,
    lan_addresses,
    listens_to_both,
    machine_names,
    see_that_free,
    with_scheme,
)
from putback.cli.running import Program, run_together
from putback.errors import StoreError
from tests.cli.test_json import ALWAYS, described
from tests.ready_made import lay_file

pytestmark = pytest.mark.slow


def free_port() -> int:
    """A port that nobody uses."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@dataclass
class Running:
    """A command that serves."""

    process: "subprocess.Popen[str]"
    said: dict[str, object]
    errors: Path

    def get(self, address: str, **how: object) -> tuple[int, str]:
        """Ask until it answers."""
        for _ in range(200):
            try:
                with urllib.request.urlopen(address, timeout=10, **how) as answer:  # type: ignore[arg-type]
                    return answer.status, answer.read().decode()
            except urllib.error.HTTPError as error:
                return error.code, error.read().decode()
            except ssl.SSLError:
                raise
            except OSError:
                assert self.process.poll() is None, self.errors.read_text()
                time.sleep(0.1)
        raise AssertionError(self.errors.read_text())

    def end(self, by: signal.Signals) -> int:
        """End it, and give its exit code."""
        self.process.send_signal(by)
        return self.process.wait(30)


@pytest.fixture
def serve(tmp_path) -> Iterator[object]:
    """Starts the command, and sees that nothing of it is left."""
    started: list[subprocess.Popen[str]] = []

    def start(*options: str, port: int | None = None, is_first: bool = False) -> Running:
        if not is_first:
            lay_file(tmp_path / "home")
        command = [sys.executable, "-c", "from putback.cli.main import main; main()"]
        errors = tmp_path / "errors.txt"
        command += ["--home", str(tmp_path / "home"), "serve", "--json", "--workers", "1"]
        with errors.open("w") as told:
            process = subprocess.Popen(
                [*command, "--port", str(port or free_port()), *options],
                env={**os.environ, "PUTBACK_WHO": "pat"},
                stdout=subprocess.PIPE,
                stderr=told,
                text=True,
            )
        started.append(process)
        assert process.stdout is not None
        document = ""
        for line in process.stdout:
            document += line
            if line.rstrip() == "}":
                break
        return Running(process, json.loads(document) if document else {}, errors)

    yield start
    for each in started:
        if each.poll() is None:
            each.kill()
        each.wait()
        assert each.stdout is not None
        each.stdout.close()


def listens(address: str) -> bool:
    """Whether anybody listens there still."""
    port = int(re.search(r":(\d+)", address)[1])  # type: ignore[index]
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def test_killed_it_leaves_nobody_the_port(serve):
    """It can say nothing then: the server sees that it is gone, and goes too."""
    running = serve()
    address = str(running.said["address"])
    running.get(f"{address}/in")
    running.end(signal.SIGKILL)
    until = time.monotonic() + 60
    while listens(address) and time.monotonic() < until:
        time.sleep(0.1)
    assert not listens(address)


def test_the_first_start_link_lets_the_owner_in_and_is_written_to_no_log(serve):
    """It answers until SIGTERM ends it with 0, its server and its planner with it.

    The link is shown while nobody has an account, and it is this machine's. Whoever mistypes the
    password at the first start leaves no key behind when it ends.
    """
    running = serve(is_first=True)
    address = str(running.said["address"])
    assert listens(address), "it is told once somebody listens there"
    assert set(running.said) - ALWAYS == described()["serve"]
    status, text = running.get(f"{address}/in")
    assert (status, "Nobody has an account yet" in text) == (200, True)
    link = str(running.said["first_start"])
    assert link.startswith(f"{running.said['address']}/start/")
    status, text = running.get(link)
    assert (status, "Choose how you are called" in text) == (200, True)
    assert running.get(f"{running.said['address']}/start/another")[0] == 400
    request = urllib.request.Request(link, data=b"name=Pat&password=short", method="POST")
    with pytest.raises(urllib.error.HTTPError):
        urllib.request.urlopen(request, timeout=30)
    assert running.end(signal.SIGTERM) == 0, running.errors.read_text()
    assert not listens(link)
    assert link.rpartition("/")[2] not in running.errors.read_text()


def test_a_port_that_is_taken_is_one_sentence(serve):
    """And nothing is started."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        running = serve(port=port)
        assert running.process.wait(30) == 1
    said = running.errors.read_text()
    assert f"port {port}" in said
    assert "is taken by another program" in said


def test_by_https_a_phone_gets_the_authority_by_http_and_then_trusts(serve):
    """The page of trust is by plain http and knows nothing else; the pages are by https alone.

    Ctrl-C ends it with 0, all its servers with it.
    """
    port, trust_port = free_port(), free_port()
    running = serve("--https", "--trust-port", str(trust_port), port=port)
    plain = f"http://localhost:{trust_port}"
    status, text = running.get(f"{plain}/trust")
    assert status == 200
    assert f'data-test="https://localhost:{port}/trust/yes"' in text
    with urllib.request.urlopen(f"{plain}/trust/authority", timeout=10) as answer:
        trusted = ssl.create_default_context(cadata=answer.read())
    assert running.get(f"https://localhost:{port}/trust/yes", context=trusted)[0] == 204
    assert "Does this phone trust this machine?" in running.get(f"{plain}/in")[1]
    with pytest.raises(urllib.error.URLError, match="certificate verify failed"):
        urllib.request.urlopen(f"https://localhost:{port}/in", timeout=10)
    with urllib.request.urlopen(
        f"https://localhost:{port}/in", timeout=10, context=trusted
    ) as page:
        assert "Strict-Transport-Security" not in page.headers
    assert running.end(signal.SIGINT) == 0, running.errors.read_text()
    assert not listens(plain)
    assert not listens(f"https://localhost:{port}")


def test_wrong_options_are_told(putback):
    """A certificate without its key, or two ways to have one."""
    some = Path(__file__)
    assert "needs its key" in putback.refused(line=f"serve --tls-cert {some}")
    said = putback.refused(line=f"serve --https --tls-cert {some} --tls-key {some}")
    assert "give one of the two" in said


# -- what it is made of -----------------------------------------------------------------------


def program(name: str, code: str) -> Program:
    """A little program."""
    return Program(name, [sys.executable, "-c", code], os.environ)


def test_a_program_that_ends_by_itself_ends_the_others_and_is_told(tmp_path, monkeypatch):
    """It is named, with how it ended."""
    monkeypatch.setattr(running, "_MAY_TAKE_S", 5.0)
    mark = tmp_path / "ended"
    waits = (
        "import signal, time, sys, pathlib\n"
        f"signal.signal(15, lambda *_: (pathlib.Path({str(mark)!r}).touch(), sys.exit()))\n"
        "time.sleep(60)"
    )
    crashes = "import time; time.sleep(1.5); raise SystemExit(3)"
    with pytest.raises(StoreError, match=r"the printer: ended by itself \(code 3\)"):
        run_together([program("the clock", waits), program("the printer", crashes)])
    assert mark.exists()


def test_a_program_that_does_not_end_is_killed(monkeypatch):
    """Nothing is left behind, however deaf it is."""
    monkeypatch.setattr(running, "_MAY_TAKE_S", 0.5)
    deaf = "import signal, time; signal.signal(15, signal.SIG_IGN); time.sleep(60)"
    killed = "import os, time; time.sleep(1.5); os.kill(os.getpid(), 9)"
    started = time.monotonic()
    with pytest.raises(StoreError, match=r"was ended from outside \(signal 9\)"):
        run_together([program("the deaf", deaf), program("the dead", killed)])
    assert time.monotonic() - started < 40


def test_this_machine_knows_its_names_without_asking(monkeypatch):
    """No loopback among its addresses, and names that can stand in an address."""
    assert all(not each.startswith("127.") for each in lan_addresses())
    monkeypatch.setattr("platform.node", lambda: "Dad's Shed.example.org")
    assert machine_names() == ("dad-s-shed", "dad-s-shed.local")


def test_addresses_of_both_kinds_are_told_and_written_as_browsers_take_them(monkeypatch):
    """IPv4 first; none that leads to oneself or holds on one wire; IPv6 in brackets."""
    told = {
        socket.AF_INET: ["127.0.1.1", "192.168.0.7"],
        socket.AF_INET6: ["::1", "fe80::1%eth0", "fd00::2"],
    }
    monkeypatch.setattr("putback.cli.address._addresses", lambda family: told[family])
    monkeypatch.setattr("putback.cli.address.listens_to_both", lambda: True)
    assert lan_addresses() == ("192.168.0.7", "fd00::2")
    assert with_scheme(lan_addresses(), 8000, https=False) == (
        "http://192.168.0.7:8000",
        "http://[fd00::2]:8000",
    )
    assert everywhere() == "::"
    monkeypatch.setattr("putback.cli.address.listens_to_both", lambda: False)
    assert (lan_addresses(), everywhere()) == (("192.168.0.7",), "0.0.0.0")


@pytest.mark.skipif(not listens_to_both(), reason="this machine has no IPv6")
def test_phones_get_in_by_either_kind_of_address(serve):
    """Each address that is told answers, by its own name; this machine's own do."""
    running = serve("--lan")
    own = str(running.said["address"])
    port = own.rpartition(":")[2]
    told = [str(each) for each in running.said["lan"] if re.search(r"//[\[0-9]", str(each))]
    assert told
    for address in (*told, f"http://127.0.0.1:{port}", f"http://[::1]:{port}"):
        assert running.get(f"{address}/in")[0] == 200, address
    assert any("[" in each for each in told) == any(":" in each for each in lan_addresses())


@pytest.mark.skipif(not listens_to_both(), reason="this machine has no IPv6")
@pytest.mark.parametrize("taken", ["127.0.0.1", "::1"])
def test_a_port_taken_by_either_kind_is_told(taken):
    """Who listens on one of them is in the way of both."""
    family = socket.AF_INET6 if ":" in taken else socket.AF_INET
    with (
        socket.create_server((taken, 0), family=family) as other,
        pytest.raises(StoreError, match="taken"),
    ):
        see_that_free("::", other.getsockname()[1])


def test_a_low_port_is_told():
    """Where it is not allowed; else it is free."""
    try:
        see_that_free("127.0.0.1", 1)
    except StoreError as error:
        assert "not for you" in str(error)  # noqa: PT017 - whoever runs as root may
