"""A program that is killed at any moment: what was acknowledged is there, once, and whole."""

import json
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import pytest

from putback.web.store import Opened, setup
from putback.workshop.exchange.verify import verify
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.workshop import Workshop
from tests.postgres import Server
from tests.stores import ANN, PLOVER

ROOT = Path(__file__).parents[2]


def check(opened: Opened, acknowledged: list[str]) -> None:
    """Every acknowledged act is there once, no act is there in part, and all of it is sound."""
    entries = [read_entry(stored) for stored in opened.entries.read(PLOVER)]
    assert len({entry.id for entry in entries}) == len(entries)
    acts = Counter(entry.act for entry in entries)
    assert set(acts.values()) <= {3}
    assert not set(acknowledged) - set(acts)
    assert len(set(acknowledged)) == len(acknowledged)
    found = verify(opened.entries, opened.photos)
    assert found.faults == []
    assert found.photos_not_here == set()  # a photo is stored before the entry that names it
    assert found.entries == len(entries)
    facts = Workshop(opened.entries, opened.photos).facts(PLOVER)
    assert facts.entries == len(entries)


@pytest.mark.slow
@pytest.mark.parametrize(
    "kills", [200, pytest.param(2000, marks=[pytest.mark.soak, pytest.mark.timeout(1800)])]
)
def test_a_killed_program_loses_nothing(opener, kind, kills, tmp_path):
    """By kill -9, at random moments, over and over on one store."""
    url = opener.url() if kind == "postgresql" else ""
    arguments = [str(tmp_path / "home"), url, str(kills), "7"]
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.warm_parent", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    acknowledged = json.loads(done.stdout)
    assert len(acknowledged) > kills / 2  # most children got something done
    check(opener.open(kind), acknowledged)


@pytest.mark.slow
@pytest.mark.postgres
def test_a_server_whose_plug_is_pulled_loses_nothing(tmp_path):
    """The database server itself stops as in a power cut, in the midst of writing; twice."""
    folder = Path(tempfile.mkdtemp(prefix="putback-postgres-"))
    server = Server.create(folder)
    acknowledged: list[str] = []
    try:
        server.start()
        opened = setup(tmp_path / "home", server.url())
        opened.entries.create_logbook(PLOVER, "Plover", ANN)
        for number in range(2):
            writer = subprocess.Popen(
                [sys.executable, "-c", WRITER, str(opened.home), server.url(), str(number)],
                cwd=ROOT,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
            )
            first = writer.stdout.readline()
            time.sleep(0.1)
            server.stop("immediate")
            acknowledged += (first + writer.stdout.read()).decode().split()
            writer.stdout.close()
            assert writer.wait() != -signal.SIGKILL
            server.start()
            opened.entries.close()
        check(opened, acknowledged)
        opened.close()
    finally:
        server.stop("immediate")
        shutil.rmtree(folder)


WRITER = """
import sys
from putback.web.store import setup
from tests.faults.warm_parent import write_for_ever
write_for_ever(setup(sys.argv[1], sys.argv[2]), 1, int(sys.argv[3]))
"""
