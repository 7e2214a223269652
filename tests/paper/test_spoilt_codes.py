"""Printed codes are read from pictures as phones take them: blurred, tilted, half in the shade.

How often much worse ones are read, and by what means, is in docs/scanning.md.
"""

from collections.abc import Callable

import pytest
import zxingcpp
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from putback.logbook.tags import tag_at
from putback.paper.stock import STOCKS
from putback.paper.tags import Held, TagLabel, tags_pdf

DOTS = 200
"""A phone's picture of a label held at arm's length [dots per inch]."""


def blurred(picture: Image.Image) -> Image.Image:
    """Out of focus: half a module of the smallest code to each side."""
    return picture.filter(ImageFilter.GaussianBlur(2))


def tilted(picture: Image.Image) -> Image.Image:
    """Turned by a third of a right angle."""
    return picture.rotate(28, expand=True, fillcolor=255, resample=Image.Resampling.BICUBIC)


def half_shaded(picture: Image.Image) -> Image.Image:
    """A shadow's edge runs across, half a module wide; in it two fifths of the light are left."""
    dark = picture.point(lambda grey: grey * 2 // 5)
    mask = Image.new("L", picture.size, 0)
    width, height = picture.size
    ImageDraw.Draw(mask).polygon(
        [(0, 0), (width // 3, 0), (2 * width // 3, height), (0, height)], 255
    )
    return Image.composite(dark, picture, mask.filter(ImageFilter.GaussianBlur(3)))


def looked_at(picture: Image.Image) -> list[str]:
    """What is read in a picture as it is, else of its blackest parts alone.

    These are two of the looks that our pages take; in the second, what has two fifths of the light
    around it is paper.
    """
    around = picture.filter(ImageFilter.BoxBlur(24)).point(lambda grey: grey * 2 // 5)
    blackest = ImageChops.subtract(picture, around).point(lambda over: 255 if over else 0)
    for look in (picture, blackest):
        read = zxingcpp.read_barcodes(look, formats=zxingcpp.BarcodeFormat.QRCode)
        if read:
            return [each.text for each in read]
    return []


@pytest.mark.parametrize("spoil", [blurred, tilted, half_shaded], ids=lambda each: each.__name__)
@pytest.mark.parametrize("stock", STOCKS, ids=lambda each: each.name)
def test_a_spoilt_picture_of_a_label_is_read(
    stock, spoil: Callable[[Image.Image], Image.Image], printed
):
    """The one code on a label of each stock, between white margins as on a bag."""
    label = TagLabel(tag_at(40), "Dunlin", "bag", "bolts", (Held("pump", "2 × bolt M8"),))
    page = next(iter(printed(tags_pdf([label], stock)).drawn(DOTS))).convert("L")
    width, height = (round(each / 25.4 * DOTS) for each in stock.label_mm)
    left, top = (round(each / 25.4 * DOTS) for each in stock.first_mm)
    cut = page.crop((left, top, left + width, top + min(height, page.height)))
    assert looked_at(spoil(cut)) == [str(tag_at(40))]
