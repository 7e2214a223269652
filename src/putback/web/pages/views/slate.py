"""The slate: photographs that belong to the tag shown before them, now or from a camera roll."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_safe

from putback.errors import BadInput
from putback.logbook.entries.base import TagCode
from putback.logbook.state import State
from putback.logbook.tags import Tag
from putback.pictures.taken import taken
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.known_tags import known_tags
from putback.web.pages.show import fragment, page
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import PhotoId, Role
from putback.workshop.pictures.roll import Shot, cut

MOST_SHOTS = 99
"""Pictures of one roll: as many entries as one act may have."""
_DIGEST = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class SlatePage:
    """Photographing under a tag, and choosing a roll."""

    known: dict[str, Any]
    most: int


@dataclass(frozen=True, slots=True)
class HeldSlatePage:
    """Photographing under a tag without a network; tags are named by what the phone holds."""


@dataclass(frozen=True, slots=True)
class GroupShown:
    """Pictures under a tag; ``tag`` is empty for those before the first."""

    tag: str
    name: str
    shots: tuple[tuple[int, Shot], ...]
    """Each with its number in the form."""


@dataclass(frozen=True, slots=True)
class RollShown:
    """A roll as it was cut, before it is accepted."""

    groups: tuple[GroupShown, ...]
    doubts: tuple[str, ...]
    in_all: int


@require_safe
def slate_held(request: HttpRequest) -> HttpResponse:
    """Show the slate as it is without a network: the same for everybody, and of nobody.

    The worker of the app puts it in the place of a vehicle's own page.
    """
    return page(request, "pages/slate_held.html", HeldSlatePage())


@require_http_methods(["GET", "HEAD", "POST"])
@for_role(Role.WORKER)
def slate(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the camera under a tag; sent the pictures of a roll, give them cut at their tags."""
    state = in_its_garage(here().workshop, visit.logbook)
    if request.method != "POST":
        shown = SlatePage(known_tags(visit, state), MOST_SHOTS)
        return page(request, "pages/slate.html", shown, visit)
    roll, numbers = cut(_shots(request)), count(1)
    groups = tuple(
        GroupShown(
            each.tag or "",
            _name(state, each.tag),
            tuple((next(numbers), shot) for shot in each.shots),
        )
        for each in roll.groups
    )
    in_all = sum(len(each.shots) for each in groups)
    return fragment(request, "fragments/roll.html", RollShown(groups, roll.doubts, in_all), visit)


def _name(state: State, tag: TagCode | None) -> str:
    if tag is None:
        return "Before the first tag"
    now = state.containers.get(tag)
    return "on nothing yet" if now is None else now.name or now.container


def _shots(request: HttpRequest) -> Iterator[Shot]:
    """Read a roll: bytes that are here already, and the tags that the browser read in them."""
    named = [request.POST.getlist(each) for each in ("photo", "name", "tags", "media_type")]
    many = len(named[0])
    if not many or any(len(each) != many for each in named):
        raise BadInput("no picture was chosen", mend="choose pictures; nothing was saved")
    if many > MOST_SHOTS:
        mend = f"choose {MOST_SHOTS} at once; nothing was saved"
        raise BadInput(f"these are {many} pictures", mend=mend)
    photos = here().workshop.photos
    for photo, name, read, media_type in zip(*named, strict=True):
        if not _DIGEST.fullmatch(photo) or not photos.has(PhotoId(photo)):
            raise BadInput("a picture is not here", name[:60], "choose it again")
        found = taken(photos.get(PhotoId(photo)))
        tags = tuple(TagCode(Tag(each)) for each in read.split()[:8])
        yield Shot(PhotoId(photo), name[:200], found.at, found.camera, tags, media_type)
