"""The QR code of a printed tag (ISO/IEC 18004): what it holds, and its modules.

It holds the four characters of the tag and nothing else. An address would name one installation,
and open nothing without a network; the bag outlives both. Four characters in alphanumeric mode fit
into the smallest QR code there is, version 1 of 21 modules, with the strongest correction, level
H, which bears the loss of some 30 % of its codewords (ISO/IEC 18004:2015, from memory). So its
modules are as large as a label allows, and as many as possible may be spoilt. Micro QR would be
smaller, and most phones do not read it.
"""

from functools import cache
from pathlib import Path

import segno

from putback.logbook.tags import Tag, index_of

SIDE_MODULES = 21
"""Along one side, without the quiet zone [modules]."""
QUIET_MODULES = 4
"""Left white on each side, as ISO/IEC 18004 asks for [modules]."""

MASKS = Path(__file__).parent / "data" / "tag_masks.txt"
"""Of each tag in the order of issue, the mask that ISO/IEC 18004 chooses by its penalties: a digit
each, white space left out. Choosing takes five times as long as all the rest; `scripts.tag_masks`
wrote them down, and a test compares."""


def modules_of(tag: Tag) -> tuple[tuple[bool, ...], ...]:
    """Give the code of a tag row by row from the top, true where it is dark.

    `SIDE_MODULES` by `SIDE_MODULES`; whoever prints it leaves `QUIET_MODULES` white around it.
    """
    code = segno.make(
        str(tag),
        version=1,
        mode="alphanumeric",
        error="h",
        mask=_masks()[index_of(tag)],
        boost_error=False,
        micro=False,
    )
    return tuple(tuple(map(bool, row)) for row in code.matrix)


@cache
def _masks() -> tuple[int, ...]:
    return tuple(map(int, "".join(MASKS.read_text().split())))
