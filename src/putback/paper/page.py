"""The sheet that cards and lists are printed on, and how large the letters are."""

from dataclasses import dataclass

from putback.errors import NotFound
from putback.paper.stock import A4_MM, LETTER_MM

SIZES_MM = {"a4": A4_MM, "letter": LETTER_MM}
_USUAL_PT, _LARGE_PT = 9.5, 13.0


@dataclass(frozen=True, slots=True)
class Page:
    """One size of paper; ``is_large`` prints large letters, for bad light and old eyes."""

    size: str = "a4"
    is_large: bool = False

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height [mm]."""
        return SIZES_MM[self.size]

    @property
    def text_pt(self) -> float:
        """Height of the letters [pt]."""
        return _LARGE_PT if self.is_large else _USUAL_PT


USUAL_PAGE = Page()


def page_called(size: str, *, is_large: bool = False) -> Page:
    """Give the page of a size.

    Raises
    ------
    NotFound
        If there is no such size.
    """
    name = size.casefold().strip()
    if name not in SIZES_MM:
        raise NotFound("size of paper", size, tuple(SIZES_MM))
    return Page(name, is_large)
