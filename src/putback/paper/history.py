"""The history file: the illustrated story of a vehicle as PDF/A, or as one page of HTML.

It may have hundreds of photos and thousands of rows. Photos therefore lie in a folder and are
never all in memory here, and the PDF is set in a process of its own, which can be stopped.
"""

import json
import math
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from shutil import copytree
from tempfile import TemporaryFile

from putback.paper.history_set import ORDINARY
from putback.paper.history_words import HistoryWords
from putback.paper.letters import code_points
from putback.paper.page import USUAL_PAGE, Page
from putback.paper.typeset import TEMPLATES, CannotTypeset, letters_missing, plain
from putback.progress import NoProgress, Progress

LONGEST_PX = 1600
"""The longer edge of a photo at most [pixels]."""
_UNPACKED_BYTES = 160e6
"""What the photos of one file may take unpacked: Typst holds all of them until it is done."""
_BYTES_OF_SQUARE = 3 * 0.75
"""An unpacked photo of 4:3 takes so much of the square of its longer edge [bytes/pixel]."""
_LOOK_S = 0.2
"""So often somebody looks whether the setting shall be stopped [s]."""


def longest_px(photos: int) -> int:
    """How long the longer edge of a photo may be where there are so many of them [pixels].

    Examples
    --------
    >>> longest_px(12), longest_px(500)
    (1600, 377)

    So many stand three in a row, 54 mm wide: that is 177 dots an inch.
    """
    return min(LONGEST_PX, int(math.sqrt(_UNPACKED_BYTES / (_BYTES_OF_SQUARE * max(photos, 1)))))


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo; ``file`` is a JPEG in the folder of pictures."""

    file: str
    caption: str


@dataclass(frozen=True, slots=True)
class Row:
    """One row: a cell for each column, and what the index finds here."""

    cells: tuple[str, ...]
    terms: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Block:
    """A titled table with photos below it."""

    heading: str = ""
    columns: tuple[str, ...] = ()
    shares: tuple[int, ...] = ()
    """How wide each column is, as its share."""
    rows: tuple[Row, ...] = ()
    photos: tuple[Photo, ...] = ()
    is_log: bool = False
    """Whether its three columns say when something was done, what, and who did it."""


@dataclass(frozen=True, slots=True)
class Chapter:
    """One chapter."""

    title: str
    notes: tuple[str, ...] = ()
    blocks: tuple[Block, ...] = ()


@dataclass(frozen=True, slots=True)
class History:
    """The whole file; ``date`` is year, month and day of its making."""

    vehicle: str
    day: str
    date: tuple[int, int, int]
    language: str
    words: HistoryWords
    facts: tuple[tuple[str, str], ...]
    lead: tuple[str, ...]
    cover: Photo | None
    chapters: tuple[Chapter, ...]

    def blocks(self) -> Iterator[Block]:
        """Give all blocks, in their order."""
        for chapter in self.chapters:
            yield from chapter.blocks

    def terms(self) -> tuple[str, ...]:
        """Give what the index lists, in its order."""
        found = {term for block in self.blocks() for row in block.rows for term in row.terms}
        return tuple(sorted(found, key=lambda each: (each.casefold(), each)))


@dataclass(frozen=True, slots=True)
class _Printed:
    """What the template is given."""

    history: History
    terms: tuple[str, ...]
    size_mm: tuple[float, float]
    text_pt: float
    words: HistoryWords
    lacking: str
    """The letters that no font here has, where there are any."""


def history_pdf(
    history: History,
    root: Path,
    page: Page = USUAL_PAGE,
    progress: Progress = NoProgress(),
    respell: Callable[[str], str] = str,
) -> Path:
    """Set a history file as PDF/A-2b, into its folder; tell where it lies.

    Where a letter has no font on this machine PDF/A allows no such file: an ordinary PDF is
    made then, and says on its cover which letters they are.

    Parameters
    ----------
    root : Path
        A folder of its own for this file, with the photos in its folder `PICTURES`.

    Raises
    ------
    CannotTypeset
        If Typst refuses it.
    Stopped
        If the person who waits wants it to end; the process is ended with it.
    """
    copytree(TEMPLATES, root, dirs_exist_ok=True)
    printed = _Printed(history, history.terms(), page.size_mm, page.text_pt, history.words, "")
    written = json.dumps(plain(printed, respell), ensure_ascii=False)
    lacking = code_points(letters_missing(written))
    if lacking:
        written = json.dumps({**json.loads(written), "lacking": lacking}, ensure_ascii=False)
    (root / "content.json").write_text(written, encoding="utf-8")
    out = root / "history.pdf"
    with TemporaryFile("w+", encoding="utf-8") as said:
        setting = subprocess.Popen(
            [sys.executable, "-m", "putback.paper.history_set", str(root),
             *([ORDINARY] if lacking else [])],
            stdin=subprocess.PIPE, stdout=said, stderr=subprocess.STDOUT,
        )  # fmt: skip
        try:
            while setting.poll() is None:
                progress.step(0, None, "setting the pages")
                try:
                    setting.wait(_LOOK_S)
                except subprocess.TimeoutExpired:
                    continue
            progress.step(1, 1, "setting the pages")  # somebody may have ended it meanwhile
        finally:
            if setting.poll() is None:
                setting.kill()
                setting.wait()
            if setting.stdin is not None:
                setting.stdin.close()
        if setting.returncode:
            said.seek(0)
            raise CannotTypeset("history", said.read()[-500:] or "it was ended")
    return out
