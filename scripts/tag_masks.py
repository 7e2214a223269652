"""Write down which mask the QR code of each tag takes: ``python -m scripts.tag_masks``.

Eight masks are tried for each, which is most of the work of making a code; the tags never change.
"""

from pathlib import Path

import segno

from putback.logbook.tag_code import MASKS
from putback.logbook.tags import TAG_COUNT, tag_at

_PER_LINE = 90


def main() -> None:
    """Let segno choose for every tag, in the order of issue."""
    chosen = "".join(
        str(
            segno.make(
                str(tag_at(place)), version=1, mode="alphanumeric", error="h", boost_error=False,
                micro=False,
            ).mask
        )
        for place in range(TAG_COUNT)
    )  # fmt: skip
    lines = (chosen[at : at + _PER_LINE] for at in range(0, len(chosen), _PER_LINE))
    Path(MASKS).write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
