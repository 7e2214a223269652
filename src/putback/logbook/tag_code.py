"""The QR code of a printed tag (ISO/IEC 18004): what it holds, and its modules.

It holds the four characters of the tag and nothing else. An address would name one installation,
and open nothing without a network; the bag outlives both. Four characters in alphanumeric mode fit
into the smallest QR code there is, version 1 of 21 modules, with the strongest correction, level
H, which bears the loss of some 30 % of its codewords (ISO/IEC 18004:2015, from memory). So its
modules are as large as a label allows, and as many as possible may be spoilt. Micro QR would be
smaller, and most phones do not read it.
"""

import segno

from putback.logbook.tags import Tag

SIDE_MODULES = 21
"""Along one side, without the quiet zone [modules]."""
QUIET_MODULES = 4
"""Left white on each side, as ISO/IEC 18004 asks for [modules]."""


def modules_of(tag: Tag) -> tuple[tuple[bool, ...], ...]:
    """Give the code of a tag row by row from the top, true where it is dark.

    `SIDE_MODULES` by `SIDE_MODULES`; whoever prints it leaves `QUIET_MODULES` white around it.
    """
    code = segno.make(
        str(tag), version=1, mode="alphanumeric", error="h", boost_error=False, micro=False
    )
    return tuple(tuple(map(bool, row)) for row in code.matrix)
