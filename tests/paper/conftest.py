"""What these tests print with: papers set once, and read back as a person or a phone would."""

from collections.abc import Iterator
from functools import cached_property
from io import BytesIO

import pypdfium2
import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

DOTS = 150
"""As a cheap scanner, or a phone at arm's length, sees it [dots per inch]."""


COARSE_DOTS = 75
"""Enough to see whether a margin is white [dots per inch]."""


class Printed:
    """A PDF, read back."""

    def __init__(self, content: bytes) -> None:
        self.content = content
        self.reader = PdfReader(BytesIO(content))

    @property
    def pages(self) -> int:
        """How many there are."""
        return len(self.reader.pages)

    @cached_property
    def text(self) -> str:
        """All words in the order in which they are written, lines joined."""
        pages = (page.extract_text().replace("\u200b", "") for page in self.reader.pages)
        return " ".join(" ".join(pages).split())

    def drawn(self, dots: int = DOTS) -> Iterator[Image.Image]:
        """Draw each page."""
        document = pypdfium2.PdfDocument(self.content)
        try:
            for page in document:
                yield page.render(scale=dots / 72).to_pil()
        finally:
            document.close()

    def codes(self) -> list[str]:
        """What a reader finds on each page, from the top left to the lower right."""
        found = []
        for page in self.drawn():
            here = zxingcpp.read_barcodes(page, formats=zxingcpp.BarcodeFormat.QRCode)
            here.sort(
                key=lambda each: (round(each.position.top_left.y / 40), each.position.top_left.x)
            )
            found += [each.text for each in here]
        return found

    def ink_outside(self, box_mm: tuple[float, float, float, float]) -> list[int]:
        """Which pages have anything printed outside of a box: left, top, right, bottom [mm]."""
        found = []
        for at, page in enumerate(self.drawn(COARSE_DOTS)):
            grey = page.convert("L")
            left, top, right, bottom = (round(each / 25.4 * COARSE_DOTS) for each in box_mm)
            grey.paste(255, (left, top, right, bottom))
            if grey.getextrema()[0] < 200:
                found.append(at)
        return found


def _by_rows(found: zxingcpp.Barcode) -> tuple[int, int]:
    corner = found.position.top_left
    return round(corner.y / 40), corner.x


@pytest.fixture(scope="session")
def printed():
    """Reads a PDF back."""
    return Printed
