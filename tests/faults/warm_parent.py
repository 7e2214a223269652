"""Writes to a store in forked children, and kills each of them at a random moment.

Run as ``python -m tests.faults.warm_parent HOME URL KILLS SEED``: all that a child needs is loaded
once, so that hundreds of kills take seconds. Prints, as JSON, the acts that were acknowledged.
"""

import json
import os
import signal
import sys
import time
from random import Random

from putback.logbook.entries.working import JointUndone, PartOff, PhotoTaken
from putback.web.store import Opened, setup
from putback.workshop.logbooks.workshop import Workshop
from tests.stores import ANN, PHONE, PLOVER

MOST_MS = 15
"""A child is killed within so many milliseconds of its first acknowledged act [ms]."""


def write_for_ever(opened: Opened, acknowledge: int, number: int) -> None:
    """Write act after act, each with a photo; say so through the pipe once it is acknowledged."""
    workshop = Workshop(opened.entries, opened.photos)
    for act_number in range(sys.maxsize):
        photo = workshop.photos.put(f"photo {number} {act_number}".encode())
        bodies = [
            JointUndone(joint=f"joint {act_number % 7}", out=act_number % 5, of=4),
            PartOff(part=f"part {number}"),
            PhotoTaken(photo=photo),
        ]
        act = workshop.log(PLOVER, bodies, who=ANN, device=PHONE)
        os.write(acknowledge, f"{act.id}\n".encode())
        if act_number % 5 == 0:
            workshop.state(PLOVER)  # puts snapshots away, too


def main(home: str, url: str, kills: int, seed: int) -> list[str]:
    """Kill so many children, and return the acts that they got acknowledged."""
    random = Random(seed)
    opened = setup(home, url)
    opened.entries.create_logbook(PLOVER, "Plover", ANN)
    opened.close()
    acknowledged: list[str] = []
    for number in range(kills):
        listen, acknowledge = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(listen)
            write_for_ever(opened, acknowledge, number)
        os.close(acknowledge)
        heard = b"" if number % 5 == 0 else os.read(listen, 1)  # some die while they begin
        time.sleep(random.uniform(0, MOST_MS / 1000))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        with os.fdopen(listen, "rb") as pipe:
            acknowledged += (heard + pipe.read()).decode().split()
    return acknowledged


if __name__ == "__main__":
    print(json.dumps(main(sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4]))))
