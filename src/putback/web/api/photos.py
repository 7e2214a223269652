"""Photos and sounds by the API: their bytes in, ahead of the entry that names them, and out."""

from typing import Literal

from django.http import HttpRequest, HttpResponse
from ninja import Router

from putback.errors import NotFound
from putback.logbook.entries.base import LogbookId
from putback.web.api.acts import FAULTS, visited
from putback.web.api.schemas import KeptFile, ShownPicture
from putback.web.here import here
from putback.web.served_media import Size, answer_with
from putback.workshop.logbooks.ports import Role
from putback.workshop.pictures.album import Picture, album, picture_called, pictures_of
from putback.workshop.pictures.keep_media import Sent, keep, refuse_too_large

router = Router(tags=["photos"])
_SIZES = {"small": Size.SMALL, "page": Size.PAGE, "original": Size.ORIGINAL}


@router.post("/{logbook}/photos", response={200: KeptFile, **FAULTS}, url_name="photos")
def send_photo(request: HttpRequest, logbook: str, name: str = "") -> KeptFile:
    """Store the bytes of a photo or sound, sent as they are; log a photo or sound that names them.

    ``name`` is what the person calls the file, for what is said of it. Sent twice, it is there
    once.
    """
    visited(request, logbook, Role.WORKER)
    refuse_too_large(name, int(request.headers.get("Content-Length") or 0))
    kept = keep(here().workshop, Sent(name, request.body))
    return KeptFile(
        photo=kept.photo,
        media_type=kept.media_type,
        width_px=kept.width_px,
        height_px=kept.height_px,
        warning=kept.warning,
    )


@router.get("/{logbook}/photos", response={200: list[ShownPicture], **FAULTS}, url_name="photos")
def list_photos(request: HttpRequest, logbook: str, of: str = "") -> list[ShownPicture]:
    """List the photos and spoken notes, or those of one thing, the likeliest wanted first."""
    visit = visited(request, logbook, Role.VIEWER)
    workshop = here().workshop
    found = list(album(workshop, visit.logbook))
    if of:
        found = pictures_of(found, workshop.state(visit.logbook), of)
    return [_shown(each) for each in found]


@router.get(
    "/{logbook}/photos/{photo}",
    response=FAULTS,
    url_name="picture",
)
def photo(
    request: HttpRequest,
    logbook: str,
    photo: str,
    size: Literal["small", "page", "original"] = "original",
) -> HttpResponse:
    """Give a photo or sound that the logbook names: as it came, or upright and small as WebP."""
    visit = visited(request, logbook, Role.VIEWER)
    picture = picture_called(here().workshop, LogbookId(visit.logbook), photo)
    if picture.stored is None:
        raise NotFound("photo here", photo)
    return answer_with(request, picture.stored, _SIZES[size])


def _shown(picture: Picture) -> ShownPicture:
    return ShownPicture(
        photo=picture.photo,
        entry=picture.entry,
        of=list(picture.of),
        title=picture.title,
        words=picture.words,
        looking=picture.looking,
        happened_at=picture.happened_at,
        media_type=picture.media_type,
        drawn_on=picture.drawn_on or "",
        from_before=picture.from_before,
        is_here=picture.stored is not None,
    )
