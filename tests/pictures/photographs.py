"""Pictures made for tests: sharp, blurred, black, lying on their side, with a place in them."""

from io import BytesIO
from random import Random
from typing import Any

from PIL import Image, ImageDraw, ImageFilter
from PIL.TiffImagePlugin import IFDRational
from pillow_heif import register_heif_opener

register_heif_opener()

GPS_IFD, EXIF_IFD = 0x8825, 0x8769
ORIENTATION, MAKE, MAKER_NOTE, TAKEN = 0x0112, 0x010F, 0x927C, 0x9003


def scene(width: int = 1200, height: int = 900, seed: int = 7) -> Image.Image:
    """Something to look at: bolts and hoses on a bench, as far as a test is concerned."""
    picture = Image.new("RGB", (width, height), (150, 145, 130))
    draw, dice = ImageDraw.Draw(picture), Random(seed)
    for _ in range(60):
        x, y, size = dice.randrange(width), dice.randrange(height), dice.randrange(10, 90)
        shade = tuple(dice.randrange(30, 230) for _ in range(3))
        draw.ellipse((x, y, x + size, y + size), fill=shade, outline=(20, 20, 20), width=3)
    return picture


def blurred(picture: Image.Image, radius: int = 14) -> Image.Image:
    """As if the hand had shaken."""
    return picture.filter(ImageFilter.GaussianBlur(radius))


def packed(picture: Image.Image, kind: str = "JPEG", **said: Any) -> bytes:
    """The bytes of a picture in a format."""
    into = BytesIO()
    picture.save(into, kind, **said)
    return into.getvalue()


def exif(orientation: int = 1, place: bool = True) -> bytes:
    """What a phone writes beside a picture, as Pillow writes it: a place and a maker's note."""
    said = Image.Exif()
    said[ORIENTATION] = orientation
    said[MAKE] = "Dunlin"
    inner = said.get_ifd(EXIF_IFD)
    inner[TAKEN] = "2031:05:12 14:05:00"
    inner[MAKER_NOTE] = b"Upper Tarnbeck, the yard behind the mill"
    if place:
        degrees = (IFDRational(54), IFDRational(27), IFDRational(1839, 100))
        said.get_ifd(GPS_IFD).update({1: "N", 2: degrees, 3: "W", 4: degrees, 29: "2031:05:12"})
    return said.tobytes()


def photo(kind: str = "JPEG", **said: Any) -> bytes:
    """A picture as a phone takes it."""
    return packed(scene(640, 480), kind, exif=exif(**said))


def place_in(content: bytes) -> dict[int, Any]:
    """The place in a picture, as Pillow reads it."""
    return dict(Image.open(BytesIO(content)).getexif().get_ifd(GPS_IFD))


def points(content: bytes) -> bytes:
    """The picture itself, point by point."""
    return Image.open(BytesIO(content)).convert("RGB").tobytes()
