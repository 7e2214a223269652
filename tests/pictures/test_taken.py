"""When and by what a picture was taken, against what Pillow wrote into it."""

from datetime import datetime

import pytest
from PIL import Image

from putback.pictures.taken import Taken, taken
from tests.pictures.photographs import EXIF_IFD, MAKE, TAKEN, packed, photo, scene

AT = datetime(2031, 5, 12, 14, 5)  # noqa: DTZ001 - a camera knows no zone


def written(**said):
    """A JPEG with these fields, by their numbers."""
    exif = Image.Exif()
    for number, value in said.pop("outer", {}).items():
        exif[number] = value
    exif.get_ifd(EXIF_IFD).update(said.pop("inner", {}))
    return packed(scene(64, 48), exif=exif.tobytes())


@pytest.mark.parametrize("kind", ["JPEG", "HEIF", "WEBP", "PNG"])
def test_each_format_tells_time_and_camera(kind):
    """As phones write them."""
    assert taken(photo(kind)) == Taken(AT, "Dunlin")


def test_the_fraction_of_a_second_orders_a_burst():
    """SubSecTimeOriginal says what part of a second."""
    content = written(inner={TAKEN: "2031:05:12 14:05:00", 0x9291: "25"})
    assert taken(content).at == AT.replace(microsecond=250_000)


def test_what_was_written_last_stands_in_for_when_it_was_taken():
    """A scanner writes no other."""
    assert taken(written(outer={0x0132: "2031:05:12 14:05:00"})).at == AT


@pytest.mark.parametrize("clock", ["0000:00:00 00:00:00", "    :  :     :  :  ", "yesterday"])
def test_a_clock_that_was_never_set_says_nothing(clock):
    """Then names decide."""
    assert taken(written(outer={MAKE: "Dunlin"}, inner={TAKEN: clock})) == Taken(None, "Dunlin")


@pytest.mark.parametrize("content", [b"", b"no picture", photo()[:200]])
def test_what_is_no_picture_says_nothing(content):
    """It is refused elsewhere, in words."""
    assert taken(content).at in {None, AT}
