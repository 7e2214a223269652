"""The QR code of a tag as a drawing: one path, so that no printer leaves gaps between modules."""

from itertools import groupby

from putback.logbook.tag_code import QUIET_MODULES, SIDE_MODULES, modules_of
from putback.logbook.tags import Tag
from putback.paper.typeset import Drawing

WHOLE_MODULES = SIDE_MODULES + 2 * QUIET_MODULES
"""Along one side, with the quiet zone [modules]."""


def qr_drawing(tag: Tag) -> Drawing:
    """Draw the code of a tag, its quiet zone included; a module is one unit.

    Examples
    --------
    >>> qr_drawing(Tag("K7F4"))[:72]
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-4 -4 29 29"><path d="M'
    """
    path = "".join(
        f"M{x} {y}h{length}v1h-{length}z"
        for y, row in enumerate(modules_of(tag))
        for x, length in _dark_runs(row)
    )
    box = f"{-QUIET_MODULES} {-QUIET_MODULES} {WHOLE_MODULES} {WHOLE_MODULES}"
    return Drawing(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}"><path d="{path}"/></svg>'
    )


def _dark_runs(row: tuple[bool, ...]) -> list[tuple[int, int]]:
    """Where dark modules of a row begin, and how many follow each other."""
    runs, x = [], 0
    for is_dark, each in groupby(row):
        length = len(list(each))
        if is_dark:
            runs.append((x, length))
        x += length
    return runs
