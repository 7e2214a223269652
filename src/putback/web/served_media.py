"""Photos and sounds as a browser is given them: small ones made when first asked for, and kept.

What is made is a cache in the home folder: it can be thrown away at any time.
"""

import re
from enum import Enum

from django.http import HttpRequest, HttpResponse

from putback.errors import NotFound
from putback.pictures.kind import media_type
from putback.pictures.reading import NotAPicture, reduced
from putback.web.here import here
from putback.workshop.logbooks.files import disk_trouble, make_folder, write_whole
from putback.workshop.logbooks.ports import PhotoId

KEPT_S = 365 * 24 * 3600
"""How long a browser keeps what is named by its digest, and so never changes [s]."""
_RANGE = re.compile(r"bytes=(\d+)-(\d*)")


class Size(Enum):
    """How large a picture is wanted: its longer edge [pixels]; nought for the original."""

    SMALL = 480
    PAGE = 1600
    ORIGINAL = 0


def answer_with(request: HttpRequest, photo: PhotoId, size: Size) -> HttpResponse:
    """Give the bytes of a photo or sound whose asker may have them.

    They go by what they are, not by what an entry says they are, and never as a page.

    Raises
    ------
    NotFound
        If it is not here, or nothing that a page can show.
    """
    if size is Size.ORIGINAL:
        content = here().workshop.photos.get(photo)
        kind = media_type(content)
    else:
        content, kind = _small(photo, size), "image/webp"
    if kind is None:
        raise NotFound("photo that can be shown", photo)
    response = _piece_of(request, content)
    response["Content-Type"] = kind
    response["Content-Disposition"] = "inline"
    response["Cache-Control"] = f"private, max-age={KEPT_S}, immutable"
    response["Accept-Ranges"] = "bytes"
    return response


def _small(photo: PhotoId, size: Size) -> bytes:
    path = here().opened.home / "cache" / "pictures" / str(size.value) / photo[:2] / photo
    with disk_trouble(path.parent):
        if path.is_file():
            return path.read_bytes()
    try:
        content = reduced(here().workshop.photos.get(photo), size.value)
    except NotAPicture as error:
        raise NotFound("photo that can be shown", photo) from error
    with disk_trouble(path.parent):
        make_folder(path.parent)
        write_whole(path, content)
    return content


def _piece_of(request: HttpRequest, content: bytes) -> HttpResponse:
    """Answer a range (RFC 9110, section 14): some phones play no sound without it."""
    wanted = _RANGE.fullmatch(request.headers.get("Range", ""))
    if wanted is None:
        return HttpResponse(content)
    first, last = int(wanted[1]), int(wanted[2] or len(content) - 1)
    if first >= len(content) or last < first:
        return HttpResponse(status=416, headers={"Content-Range": f"bytes */{len(content)}"})
    piece = content[first : last + 1]
    response = HttpResponse(piece, status=206)
    response["Content-Range"] = f"bytes {first}-{first + len(piece) - 1}/{len(content)}"
    return response
