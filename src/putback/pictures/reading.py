"""Reading a picture: is it one, how big is it, how does it look; and making it small for a page.

What a stranger sends is measured before it is unpacked: a few kilobytes can unpack to gigabytes.
"""

import struct
import zlib
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from PIL import Image, ImageOps
from pillow_heif import register_heif_opener

from putback.errors import InputError
from putback.pictures.kind import picture_type
from putback.pictures.quality import LOOKED_AT_PX, Quality, quality_of

LARGEST_PIXELS = 120_000_000
"""What is unpacked at most [pixels]: phones take up to 108 million; a convention here."""

WEBP_QUALITY = 80
"""Of the pictures made for pages; a convention of this project."""
JPEG_QUALITY = 80
"""Of the pictures made for papers to keep; a convention of this project."""

_ORIENTATION = 0x0112
_LYING = frozenset({5, 6, 7, 8})
"""Orientations of Exif in which width and height change places."""

FORMATS = ("JPEG", "PNG", "GIF", "WEBP", "HEIF")
BROKEN = (
    OSError,
    SyntaxError,  # how Pillow says that a PNG is broken
    ValueError,
    TypeError,
    LookupError,
    EOFError,
    ArithmeticError,
    RuntimeError,
    struct.error,
    zlib.error,
    Image.DecompressionBombError,
)
"""What decoders raise for bytes that are no whole picture."""

Image.MAX_IMAGE_PIXELS = None  # we refuse by the size ourselves, before anything is unpacked
register_heif_opener()


@dataclass(eq=False)
class NotAPicture(InputError):
    """Bytes that cannot be kept as a picture; `name` is what the person calls the file."""

    why: str
    mend: str
    name: str = ""

    def fault(self) -> str:
        """What is wrong with it."""
        return self.why

    def place(self) -> str:
        """Which file it is."""
        return self.name

    def remedy(self) -> str:
        """How to mend it."""
        return f"{self.mend}; nothing was saved"


@dataclass(frozen=True, slots=True)
class Seen:
    """A whole picture: its media type, its size upright [pixels], and how well one sees it."""

    media_type: str
    width_px: int
    height_px: int
    quality: Quality


def look_at(content: bytes) -> Seen:
    """Read all of a picture, and say what it is.

    Raises
    ------
    NotAPicture
        If it is none, is broken off, or would unpack to more than `LARGEST_PIXELS`.
    """
    kind = _kind_of(content)
    image = _open(content)
    width, height = image.size
    try:
        lies_down = image.getexif().get(_ORIENTATION, 1) in _LYING
        grey = _upright(image, LOOKED_AT_PX).convert("L")
    except BROKEN as error:
        raise _broken_off() from error
    upright = (height, width) if lies_down else (width, height)
    return Seen(kind, *upright, quality_of(np.asarray(grey, dtype=np.float64)))


def reduced(content: bytes, longest_px: int) -> bytes:
    """Make a picture upright and small, as WebP without anything but the picture in it.

    Parameters
    ----------
    content : bytes
        The original.
    longest_px : int
        What its longer edge has at most; a smaller picture keeps its size, [pixels].

    Raises
    ------
    NotAPicture
        As `look_at` does.
    """
    _kind_of(content)
    image = _open(content)
    profile = image.info.get("icc_profile")
    into = BytesIO()
    try:
        small = _on_white(_upright(image, longest_px))
        small.save(into, "WEBP", quality=WEBP_QUALITY, method=4, icc_profile=profile or b"")
    except BROKEN as error:
        raise _broken_off() from error
    return into.getvalue()


def reduced_jpeg(content: bytes, longest_px: int) -> bytes:
    """Make a picture upright and small as `reduced` does, but as JPEG: what a PDF holds as it is.

    Raises
    ------
    NotAPicture
        As `look_at` does.
    """
    _kind_of(content)
    image = _open(content)
    into = BytesIO()
    try:
        small = _on_white(_upright(image, longest_px, 1.2))
        small.save(into, "JPEG", quality=JPEG_QUALITY)
    except BROKEN as error:
        raise _broken_off() from error
    return into.getvalue()


def _kind_of(content: bytes) -> str:
    kind = picture_type(content)
    if kind is not None:
        return kind
    if not content:
        raise NotAPicture("the file is empty", "take the picture again")
    if b"<svg" in content[:4096].lower():
        raise NotAPicture(
            "an SVG is a drawing that can carry a program, not a photo",
            "give a JPEG, PNG, WebP, GIF or HEIC",
        )
    raise NotAPicture(
        "is no picture that is kept here", "give a JPEG, PNG, WebP, GIF or HEIC, whatever its name"
    )


def _open(content: bytes) -> Image.Image:
    try:
        image = Image.open(BytesIO(content), formats=FORMATS)
    except BROKEN as error:  # what Pillow does not know is an OSError as well
        raise _broken_off() from error
    if image.width * image.height > LARGEST_PIXELS:
        raise NotAPicture(
            f"would unpack to {image.width} × {image.height} pixels",
            f"give one of {LARGEST_PIXELS // 1_000_000} million pixels at most",
        )
    return image


def _broken_off() -> NotAPicture:
    return NotAPicture("the picture is broken off or spoilt", "send it again, or take it again")


def _upright(image: Image.Image, longest_px: int, reducing_gap: float = 2.0) -> Image.Image:
    """Make it small first, then turn it: a JPEG unpacks to an eighth where that is enough.

    Enough is `reducing_gap` times what is wanted: the less, the quicker and the rougher.
    """
    if image.mode == "P":
        image = image.convert("RGBA")
    size = (longest_px, longest_px)
    image.thumbnail(size, Image.Resampling.LANCZOS, reducing_gap=reducing_gap)
    return ImageOps.exif_transpose(image)


def _on_white(image: Image.Image) -> Image.Image:
    """Flatten what one can see through: a page may be dark."""
    if "A" not in image.getbands() and "transparency" not in image.info:
        return image.convert("RGB")
    seen = image.convert("RGBA")
    ground = Image.new("RGBA", seen.size, "white")
    return Image.alpha_composite(ground, seen).convert("RGB")
