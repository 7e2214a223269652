"""The process in which a history file is set: whoever waits for it can end it at any moment.

It ends with whoever waits, however that ends: standard input is a pipe that is closed then.
"""

import os
import sys
from pathlib import Path
from threading import Thread

from putback.paper.typeset import CannotTypeset, typeset_for_keeping

ORDINARY = "ordinary"
"""What is said after the folder where it cannot be PDF/A."""


def _end_with_who_waits() -> None:
    """End at once, in the midst of a page, when nobody holds the other end of the pipe."""
    os.read(sys.stdin.fileno(), 1)
    os._exit(1)


def main(root: Path, *said: str) -> int:
    """Set what lies in a folder; say on standard output why it cannot be."""
    Thread(target=_end_with_who_waits, daemon=True).start()
    try:
        typeset_for_keeping("history", root, may_be_archive=ORDINARY not in said)
    except CannotTypeset as error:
        sys.stdout.write(error.said)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), *sys.argv[2:]))
