"""The album and its coverage, on a vehicle of three parts."""

import pytest

from putback.errors import BadInput, NotFound
from putback.logbook.entries.bookkeeping import LocationLeftOut
from putback.logbook.entries.working import (
    JointUndone,
    Looking,
    PartOff,
    PhotoTaken,
    SoundTaken,
)
from putback.pictures.reading import NotAPicture
from putback.vehicle.ids import PartId, Ref
from putback.vehicle.part import Part
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.pictures.album import album, picture_called, pictures_of
from putback.workshop.pictures.coverage import coverage, things_to_show
from putback.workshop.pictures.keep_media import (
    LARGEST_BYTES,
    MOST_AT_ONCE,
    Sent,
    Shown,
    keep,
    keep_all,
)
from tests.makers import ZONE, vehicle
from tests.pictures.photographs import blurred, packed, photo, scene
from tests.stores import ANN, PHONE, Watch

A, B, C, D = (digit * 64 for digit in "abcd")
ANNS = {"who": ANN, "device": PHONE}
SOUND = b"\x1a\x45\xdf\xa3 spoken"


@pytest.fixture
def here():
    """A lid on a pump on a frame."""
    watch = Watch()
    here = Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch)
    here.new_vehicle(
        vehicle(
            "pump - frame",
            "lid - pump",
            Part(PartId("pump"), "pump", ZONE, photos=("the shims",)),
        ),
        **ANNS,
    )
    return here


@pytest.fixture
def van(here):
    """Its logbook."""
    return here.logbooks()[0].id


def says(here, van, *bodies):
    """Log these, each an act of its own."""
    for body in bodies:
        here.log(van, [body], **ANNS)


def test_what_was_taken_before_it_came_off_is_told_from_what_came_later(here, van):
    """By the order of the logbook: of the lid one from before and one from after."""
    says(here, van, PhotoTaken(photo=A, of=("part:lid",)), PartOff(part="lid"))
    says(here, van, PhotoTaken(photo=B, of=("part:lid",)), PhotoTaken(photo=C, of=("part:pump",)))
    says(here, van, PhotoTaken(photo=D))
    assert [(each.photo, each.from_before) for each in album(here, van)] == [
        (A, True),
        (B, False),
        (C, True),
        (D, False),
    ]


def test_a_joint_is_from_before_until_a_spanner_touches_it(here, van):
    """Even if not all of it is undone."""
    says(here, van, PhotoTaken(photo=A, of=("joint:lid-pump",)))
    says(here, van, JointUndone(joint="lid-pump", out=1, of=2))
    says(here, van, PhotoTaken(photo=B, of=("joint:lid-pump",)))
    assert [each.from_before for each in album(here, van)] == [True, False]


def test_the_likeliest_picture_of_a_thing_comes_first(here, van):
    """Of itself and from before, then of its joints; a drawing before what it was drawn on."""
    says(here, van, PhotoTaken(photo=A, of=("joint:lid-pump",)), PartOff(part="lid"))
    says(here, van, PhotoTaken(photo=B, of=("part:lid",)))
    says(here, van, PhotoTaken(photo=C, of=("part:lid",), drawn_on=B))
    shown = pictures_of(album(here, van), here.state(van), "part:lid")
    assert [each.photo for each in shown] == [C, B, A]
    assert [each.photo for each in pictures_of(shown, here.state(van), "part:frame")] == []
    of_joint = pictures_of(album(here, van), here.state(van), "joint:lid-pump")
    assert of_joint[0].photo == A


def test_what_was_photographed_under_a_tag_shows_what_is_in_that_bag(here, van):
    """Of a part and a joint whose pieces are in it, behind what shows them themselves."""
    bag, joint = "K7F4", "joint:lid-pump"
    says(here, van, PhotoTaken(photo=A, of=(f"tag:{bag}",)), PhotoTaken(photo=B, of=(joint,)))
    state = here.state(van)
    assert [each.photo for each in pictures_of(album(here, van), state, joint)] == [B]
    says(here, van, JointUndone(joint="lid-pump", tag=bag), PartOff(part="pump", tag=bag))
    state = here.state(van)
    assert [each.photo for each in pictures_of(album(here, van), state, joint)] == [B, A]
    assert A in [each.photo for each in pictures_of(album(here, van), state, "part:pump")]
    assert A not in [each.photo for each in pictures_of(album(here, van), state, "part:lid")]


def test_a_picture_is_in_the_album_once_with_all_that_it_shows(here, van):
    """Logged again of another part, it shows both; struck out, it is gone."""
    says(here, van, PhotoTaken(photo=A, of=("part:lid",), caption="as found"))
    says(here, van, PhotoTaken(photo=A, of=("part:pump",), looking=Looking.UP))
    (picture,) = album(here, van)
    assert picture.title == "Photo of lid and pump, looking up: as found"
    here.strike(van, picture.entry, **ANNS)
    (picture,) = album(here, van)
    assert picture.of == ("part:pump",)


def test_a_copy_without_its_place_stands_for_a_photo_that_is_not_here(here, van):
    """Else its bytes are missing, and that is no fault."""
    says(here, van, PhotoTaken(photo=A), PhotoTaken(photo=B))
    copy = here.photos.put(b"copy")
    says(here, van, LocationLeftOut(photo=A, copied_as=copy))
    assert [each.stored for each in album(here, van)] == [copy, None]


def test_a_spoken_note_is_in_the_album(here, van):
    """With its words; it is no picture from before."""
    says(here, van, SoundTaken(sound=A, of=("part:lid",), words="rattles"))
    (note,) = album(here, van)
    assert (note.is_sound, note.title, note.from_before) == (
        True,
        "Spoken note of lid: rattles",
        False,
    )


def test_a_photo_that_no_entry_names_is_not_found(here, van):
    """Whether or not its bytes are here."""
    stored = here.photos.put(photo())
    with pytest.raises(NotFound):
        picture_called(here, van, stored)


def test_coverage_names_what_is_on_and_in_no_picture(here, van):
    """The next in the plan first, then what the description asks for, then by name."""
    state = here.state(van)
    steps = [Ref("joint:lid-pump"), Ref("part:lid")]
    found = coverage(state, album(here, van), steps)
    assert (found.on, found.pictured, found.too_late) == (5, 0, ())
    assert [(each.subject, each.in_plan) for each in found.missing] == [
        ("joint:lid-pump", 1),
        ("part:lid", 2),
        ("part:pump", None),
        ("part:frame", None),
        ("joint:pump-frame", None),
    ]
    assert found.missing[2].asked_for == ("the shims",)


def test_a_picture_of_a_part_covers_the_joints_with_which_it_comes_away(here, van):
    """The lid's own joint is in its picture; the pump's is not."""
    says(here, van, PhotoTaken(photo=A, of=("part:lid",)))
    found = coverage(here.state(van), album(here, van))
    assert found.pictured == 2
    assert {each.subject for each in found.missing} == {
        "part:frame",
        "part:pump",
        "joint:pump-frame",
    }


def test_what_came_off_unseen_is_too_late(here, van):
    """A picture from afterwards does not help; one from before does."""
    says(here, van, PhotoTaken(photo=A, of=("part:pump",)))
    says(here, van, PartOff(part="lid"), PartOff(part="pump"))
    says(here, van, PhotoTaken(photo=B, of=("part:lid",)))
    assert coverage(here.state(van), album(here, van)).too_late == ("lid",)


def test_the_most_urgent_can_be_chosen_first(here, van):
    """And then every part and joint, each once and each under a name of its own."""
    state = here.state(van)
    missing = coverage(state, ()).missing
    choices = things_to_show(state, missing)
    assert [each for each, _ in choices[: len(missing[:8])]] == [
        each.subject for each in missing[:8]
    ]
    assert {each for each, _ in choices} == {
        *(f"part:{part}" for part in state.vehicle.parts),
        *(f"joint:{joint}" for joint in state.vehicle.joints),
    }
    assert len({name for _, name in choices}) == len(choices)
    empty = here.new_vehicle("Barn find", **ANNS)
    assert things_to_show(here.state(empty), ()) == ()


def test_photos_are_stored_before_the_entries_that_name_them(here, van):
    """One act for all; a blurred one is pointed out and kept."""
    sharp, shaken = photo(), packed(blurred(scene()))
    sent = [Sent("a.jpg", sharp), Sent("b.png", shaken), Sent("note", SOUND)]
    act, kept = keep_all(here, van, sent, Shown(("part:lid",), Looking.LEFT, "as found"), **ANNS)
    assert [each.warning[:13] for each in kept] == ["", "looks blurred", ""]
    assert [here.photos.get(each.photo) for each in kept] == [sharp, shaken, SOUND]
    assert [each.body.of for each in act.entries] == [("part:lid",)] * 3
    assert [each.body.media_type for each in act.entries] == [
        "image/jpeg",
        "image/jpeg",
        "audio/webm",
    ]
    assert act.entries[0].body.looking is Looking.LEFT
    assert act.entries[2].body.words == "as found"


REFUSED = {
    "page.jpg": (b"<html>", "page.jpg: is no picture that is kept here; "),
    "drawn.svg": (b"<svg><script/></svg>", "drawn.svg: an SVG is a drawing that can carry"),
    "half.jpg": (photo()[:9000], "half.jpg: the picture is broken off or spoilt; "),
    "empty": (b"", "empty: the file is empty; "),
    "../../etc/passwd": (photo(), "../../etc/passwd: the name of the file is a way to another"),
    "..\\boot.jpg": (photo(), "..\\boot.jpg: the name of the file is a way to another"),
    "big.jpg": (photo() + bytes(LARGEST_BYTES), "big.jpg: the file has 40 MB; give one of 40 MB"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused_leaves_nothing_behind(here, van, name):
    """Neither bytes nor an entry, of the good one beside it either."""
    content, words = REFUSED[name]
    before = here.store.position(van)
    with pytest.raises((NotAPicture, BadInput)) as refused:
        keep_all(here, van, [Sent("good.jpg", photo()), Sent(name, content)], Shown(), **ANNS)
    assert str(refused.value).startswith(words)
    assert str(refused.value).endswith("nothing was saved")
    with pytest.raises((NotAPicture, BadInput)):
        keep(here, Sent(name, content))
    assert (list(here.photos), here.store.position(van)) == ([], before)


def test_no_file_or_too_many_are_refused(here, van):
    """In words, and nothing is kept."""
    for sent in ([], [Sent("a", photo())] * (MOST_AT_ONCE + 1)):
        with pytest.raises(BadInput) as refused:
            keep_all(here, van, sent, Shown(), **ANNS)
        assert str(refused.value).endswith("nothing was saved")
    assert list(here.photos) == []
