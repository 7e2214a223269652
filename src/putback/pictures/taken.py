"""When a picture was taken, and by which camera, as far as the camera wrote it down.

Fields as in CIPA DC-008 (Exif 3.0), 4.6.4 and 4.6.5. A camera's clock has no zone worth relying
on and may be wrong by years: the time orders the pictures of one camera and says no more.
"""

from dataclasses import dataclass
from datetime import datetime
from io import BytesIO

from PIL import Image

from putback.pictures.reading import BROKEN, FORMATS

_EXIF_IFD = 0x8769
_TAKEN, _WRITTEN = 0x9003, 0x0132
_FRACTION = 0x9291
_MAKE, _MODEL, _SERIAL = 0x010F, 0x0110, 0xA431
_FORM = "%Y:%m:%d %H:%M:%S"


@dataclass(frozen=True, slots=True)
class Taken:
    """When a picture was taken by its camera's own clock, and which camera that was.

    ``at`` is ``None`` and ``camera`` empty where nothing is written.
    """

    at: datetime | None = None
    camera: str = ""


def taken(content: bytes) -> Taken:
    """Read when and by what a picture was taken; nothing known where it cannot be read."""
    try:
        said = Image.open(BytesIO(content), formats=FORMATS).getexif()
        inner = said.get_ifd(_EXIF_IFD)
    except BROKEN:
        return Taken()
    named = (said.get(_MAKE), said.get(_MODEL), inner.get(_SERIAL))
    camera = " ".join(text for each in named if (text := _text(each)))
    at = _moment(_text(inner.get(_TAKEN)) or _text(said.get(_WRITTEN)))
    fraction = _text(inner.get(_FRACTION))[:6]
    if at is not None and fraction.isdecimal():
        at = at.replace(microsecond=int(fraction.ljust(6, "0")))
    return Taken(at, camera)


def _text(value: object) -> str:
    return value.replace("\0", " ").strip() if isinstance(value, str) else ""


def _moment(text: str) -> datetime | None:
    try:
        return datetime.strptime(text[:19], _FORM)  # noqa: DTZ007 - a camera knows no zone
    except ValueError:
        return None
