"""The album: photos and spoken notes of a vehicle, adding to them, and what is in no picture."""

from dataclasses import dataclass, replace

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe

from putback.errors import InputError, NotFound
from putback.logbook.entries.base import Subject
from putback.logbook.entries.working import Looking
from putback.logbook.state import State
from putback.pictures.reading import look_at
from putback.vehicle.ids import Ref
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.named import NOTHING, Named
from putback.web.pages.sent_once import sending_of
from putback.web.pages.show import page
from putback.web.pages.uploads import sent_files
from putback.workshop.desk import plan_on_hand
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.pictures.album import Picture, album, picture_called, pictures_of
from putback.workshop.pictures.coverage import Choice, Coverage, coverage, things_to_show
from putback.workshop.pictures.keep_media import Shown, keep_all, looking_called
from putback.workshop.saying.names import KINDS, find_subject
from putback.workshop.things.part_card import Step

SHOWN_AT_FIRST = 60
"""Pictures of a page, unless all are asked for."""


@dataclass(frozen=True, slots=True)
class Warned:
    """A picture that was just kept, and what is wrong with it."""

    picture: Picture
    words: str


@dataclass(frozen=True, slots=True)
class PhotosPage:
    """What the album shows."""

    about: Step | None
    """The one thing whose pictures are shown; ``None`` for all."""
    pictures: tuple[Picture, ...]
    in_all: int
    coverage: Coverage
    asked: Named
    """What was asked for, where nothing is called so."""
    choices: tuple[Choice, ...]
    """What a picture can be said to show."""
    lookings: tuple[Looking, ...]
    warned: tuple[Warned, ...]
    fault: str
    """Why what was sent was not kept; empty if it was."""
    words: str
    looking: str
    """What was said beside it, to be sent again."""


@dataclass(frozen=True, slots=True)
class PhotoPage:
    """What the page of one picture shows."""

    picture: Picture
    of: tuple[Step, ...]
    drawings: tuple[Picture, ...]
    """What somebody drew on copies of it."""
    drawn_on: Picture | None
    also: Named
    """What somebody says it shows as well."""
    choices: tuple[Choice, ...]


@require_http_methods(["GET", "HEAD", "POST"])
def photos(request: HttpRequest, logbook: str) -> HttpResponse:
    """Show the album, or add to it."""
    view = add_photos if request.method == "POST" else show_photos
    response: HttpResponse = view(request, logbook)
    return response


@for_role(Role.VIEWER)
def show_photos(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the album, or the pictures of one thing."""
    asked = PhotosAsked(request.GET.get("of", ""), all="all" in request.GET)
    warned = tuple(request.GET.getlist("look")[:SHOWN_AT_FIRST])
    return page(request, "pages/photos.html", _album(visit, asked, warned), visit)


@for_role(Role.WORKER)
def add_photos(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Keep what was sent, all of it or nothing, and log it."""
    said = PhotosAsked(
        request.POST.get("of", ""), request.POST.get("words", ""), request.POST.get("looking", "")
    )
    workshop = here().workshop
    try:
        of = _subjects(in_its_garage(workshop, visit.logbook), said.of)
        said = replace(said, of=of[0] if of else "")
        act, kept = keep_all(
            workshop,
            visit.logbook,
            sent_files(request, "file"),
            Shown(of, looking_called(said.looking), said.words[:1000]),
            who=visit.person,
            device=visit.device,
            as_act=sending_of(request, visit.person, visit.logbook).act,
        )
    except InputError as error:
        shown = _album(visit, said, fault=str(error))
        return page(request, "pages/photos.html", shown, visit, status=400)
    look = [("look", each.photo) for each in kept if each.warning]
    query = urlencode([("of", said.of), *look, ("logged", act.id)])
    return redirect(f"{reverse('photos', args=[visit.logbook])}?{query}")


@require_safe
@for_role(Role.VIEWER)
def photo(request: HttpRequest, visit: Visit, photo: str) -> HttpResponse:
    """Show one picture."""
    workshop = here().workshop
    try:
        picture = picture_called(workshop, visit.logbook, photo)
    except NotFound as error:
        raise Http404 from error
    pictures, state = album(workshop, visit.logbook), in_its_garage(workshop, visit.logbook)
    shown = PhotoPage(
        picture=picture,
        of=tuple(map(Step, picture.of, picture.names)),
        drawings=tuple(each for each in pictures if each.drawn_on == picture.photo),
        drawn_on=next((each for each in pictures if each.photo == picture.drawn_on), None),
        also=_named(state, request.GET.get("of", "")),
        choices=things_to_show(state, ()),
    )
    return page(request, "pages/photo.html", shown, visit)


@dataclass(frozen=True, slots=True)
class PhotosAsked:
    """What is asked of the album, or said beside what was sent to it."""

    of: str = ""
    words: str = ""
    looking: str = ""
    all: bool = False


def _album(
    visit: Visit, asked: PhotosAsked, warned: tuple[str, ...] = (), fault: str = ""
) -> PhotosPage:
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    everything = album(workshop, visit.logbook)
    steps = [each.what for each in plan_on_hand(workshop, visit.logbook).steps]
    covered = coverage(state, everything, steps)
    found = _named(state, asked.of)
    about = Step(Subject(found.ref), found.typed) if found.ref else None
    if about is None:
        shown = sorted(everything, key=lambda each: -each.place)
    else:
        shown = pictures_of(everything, state, about.subject)
    return PhotosPage(
        about=about,
        pictures=tuple(shown if asked.all else shown[:SHOWN_AT_FIRST]),
        in_all=len(shown),
        coverage=covered,
        asked=NOTHING if fault else found,
        choices=things_to_show(state, covered.missing),
        lookings=tuple(Looking),
        warned=tuple(_warned(each) for each in everything if each.photo in warned and each.stored),
        fault=fault,
        words=asked.words,
        looking=asked.looking,
    )


def _warned(picture: Picture) -> Warned:
    seen = look_at(here().workshop.photos.get(picture.stored or picture.photo))
    return Warned(picture, seen.quality.words)


def _subjects(state: State, said: str) -> tuple[Subject, ...]:
    return (_meant(state, said),) if said.strip() else ()


def _named(state: State, said: str) -> Named:
    """Find what is asked for; where it is none, say so with the likeliest meant."""
    if not said.strip():
        return NOTHING
    try:
        subject = _meant(state, said)
    except NotFound as error:
        return Named(said, fault=error.fault(), nearest=error.nearest)
    except InputError as error:
        return Named(said, fault=str(error))
    return Named(state.name_of(subject), Ref(subject))


def _meant(state: State, said: str) -> Subject:
    """Give the thing by the name under which it is offered, or any other of its names."""
    offered = {name: subject for subject, name in things_to_show(state, ())}
    if said.strip() in offered:
        return offered[said.strip()]
    found = find_subject(state, said, (*KINDS, "run"))
    return Subject(found.replace("run:", "part:", 1)) if found.startswith("run:") else found
