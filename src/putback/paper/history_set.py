"""The process in which a history file is set: whoever waits for it can end it at any moment."""

import sys
from pathlib import Path

from putback.paper.typeset import CannotTypeset, typeset_for_keeping

ORDINARY = "ordinary"
"""What is said after the folder where it cannot be PDF/A."""


def main(root: Path, *said: str) -> int:
    """Set what lies in a folder; say on standard output why it cannot be."""
    try:
        typeset_for_keeping("history", root, may_be_archive=ORDINARY not in said)
    except CannotTypeset as error:
        sys.stdout.write(error.said)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), *sys.argv[2:]))
