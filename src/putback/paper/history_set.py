"""The process in which a history file is set: whoever waits for it can end it at any moment."""

import sys
from pathlib import Path

from putback.paper.typeset import CannotTypeset, typeset_for_keeping


def main(root: Path) -> int:
    """Set what lies in a folder; say on standard output why it cannot be."""
    try:
        typeset_for_keeping("history", root)
    except CannotTypeset as error:
        sys.stdout.write(error.said)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
