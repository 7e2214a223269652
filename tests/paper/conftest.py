"""What these tests print with: papers set once, and read back as a person or a phone would."""

from collections.abc import Iterator
from io import BytesIO

import pypdfium2
import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

DOTS = 150
"""As a cheap scanner, or a phone at arm's length, sees it [dots per inch]."""


class Printed:
    """A PDF, read back."""

    def __init__(self, content: bytes) -> None:
        self.content = content
        self.reader = PdfReader(BytesIO(content))

    @property
    def pages(self) -> int:
        """How many there are."""
        return len(self.reader.pages)

    @property
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

    def ink_outside(self, page: int, box_mm: tuple[float, float, float, float]) -> bool:
        """Whether anything is printed outside of a box: left, top, right, bottom [mm]."""
        drawn = list(self.drawn())[page].convert("L")
        left, top, right, bottom = (round(each / 25.4 * DOTS) for each in box_mm)
        drawn.paste(255, (left, top, right, bottom))
        return drawn.getextrema()[0] < 200


def _by_rows(found: zxingcpp.Barcode) -> tuple[int, int]:
    corner = found.position.top_left
    return round(corner.y / 40), corner.x


@pytest.fixture(scope="session")
def printed():
    """Reads a PDF back."""
    return Printed
