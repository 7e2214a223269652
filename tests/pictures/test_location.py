"""Pictures without their place: real Exif, written and read back by Pillow."""

import struct
import zlib
from contextlib import suppress
from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from putback.pictures.exif import NotExif, blank_place
from putback.pictures.location import without_location
from tests.pictures.photographs import (
    EXIF_IFD,
    MAKE,
    MAKER_NOTE,
    ORIENTATION,
    TAKEN,
    exif,
    packed,
    photo,
    place_in,
    points,
    scene,
)

KINDS = ["JPEG", "PNG", "WEBP", "HEIF"]
XMP_PLACE = (
    b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:Description exif:GPSLatitude="54,27.3N"/>'
    b"</x:xmpmeta>"
)


@pytest.mark.parametrize("kind", KINDS)
def test_the_place_is_gone_and_the_picture_is_the_same(kind):
    """No GPS is left, nor the degrees as they were written; every point and the rest of it are."""
    taken = photo(kind)
    assert place_in(taken)[1] == "N"
    assert b"Upper Tarnbeck" in taken
    bare = without_location(taken)
    assert place_in(bare) == {}
    assert b"Upper Tarnbeck" not in bare
    assert points(bare) == points(taken)
    said = Image.open(BytesIO(bare)).getexif()
    assert (said[MAKE], said[ORIENTATION]) == ("Dunlin", 1)
    inner = said.get_ifd(EXIF_IFD)
    assert inner[TAKEN] == "2031:05:12 14:05:00"
    assert MAKER_NOTE not in inner


def test_the_bytes_of_a_jpegs_picture_are_untouched():
    """From the first scan to the end, and in all before it that is not Exif, byte for byte."""
    taken = photo()
    bare = without_location(taken)
    assert len(bare) == len(taken)
    start = taken.index(b"\xff\xdb")  # the first table behind Exif
    assert bare[start:] == taken[start:]
    for seconds in (taken, bare):
        written = [struct.pack(f"{order}II", 1839, 100) in seconds for order in "<>"]
        assert any(written) is (seconds is taken)


@pytest.mark.parametrize("kind", KINDS)
def test_a_picture_without_a_place_stays_as_it_is(kind):
    """The very same bytes, the maker's note with them; twice is the same as once."""
    taken = photo(kind, place=False)
    assert without_location(taken) == taken
    bare = without_location(photo(kind))
    assert without_location(bare) == bare


@pytest.mark.parametrize("kind", ["JPEG", "WEBP", "PNG", "HEIF"])
def test_a_place_in_xmp_goes_as_well(kind):
    """XMP that names a place goes; other XMP stays."""
    note = "pnginfo" if kind == "PNG" else "xmp"
    for told, goes in ((XMP_PLACE, True), (XMP_PLACE.replace(b"GPSLatitude", b"Flash"), False)):
        taken = packed(scene(200, 150), kind, **{note: _png_xmp(told) if kind == "PNG" else told})
        assert told in taken
        bare = without_location(taken)
        assert (told not in bare) is goes or kind == "PNG"
        assert b"GPSLatitude" not in bare
        assert points(bare) == points(taken)


def _png_xmp(told: bytes):
    from PIL.PngImagePlugin import PngInfo

    info = PngInfo()
    info.add_itxt("XML:com.adobe.xmp", told.decode())
    return info


def test_a_place_in_iptc_goes_as_well():
    """A town in an IPTC record goes with its segment."""
    taken = photo(place=False)
    block = b"Photoshop 3.0\x008BIM\x04\x04\x00\x00\x00\x00\x00\x0d\x1c\x02\x5a\x00\x08Tarnbeck"
    town = taken[:2] + b"\xff\xed" + (len(block) + 2).to_bytes(2, "big") + block + taken[2:]
    assert without_location(town) == taken


def test_what_stands_behind_the_end_goes():
    """A film behind a still picture may know the place, too."""
    taken = photo(place=False)
    assert without_location(taken + b"MotionPhoto\xa9xyz+54.4551-002.4551/") == taken


def test_a_progressive_jpeg_is_read_to_its_end():
    """Several scans are walked through, and nothing of them is lost."""
    taken = packed(scene(), progressive=True, exif=exif())
    bare = without_location(taken)
    assert place_in(bare) == {}
    assert points(bare) == points(taken)


def test_exif_that_contradicts_itself_goes_as_a_whole():
    """Nobody can say what is in it."""
    taken = photo()
    at = taken.index(b"Exif\x00\x00") + 6
    spoilt = bytearray(taken)
    spoilt[at + 4 : at + 8] = b"\xff\xff\xff\xf0"
    bare = without_location(bytes(spoilt))
    assert b"Exif" not in bare
    assert points(bare) == points(taken)


def test_a_png_keeps_a_right_check_sum():
    """The chunk that was changed is summed anew."""
    bare = without_location(photo("PNG"))
    at = bare.index(b"eXIf")
    size = int.from_bytes(bare[at - 4 : at], "big")
    body = bare[at : at + 4 + size]
    assert int.from_bytes(bare[at + 4 + size : at + 8 + size], "big") == zlib.crc32(body)


@given(st.binary(max_size=200), st.integers(0, 60), st.integers(0, 255))
def test_no_bytes_make_it_fall_over(tail, at, value):
    """Whatever is in a file, something of no greater length comes out."""
    for head in (
        b"\xff\xd8\xff\xe1",
        b"\x89PNG\r\n\x1a\n",
        b"RIFF\x20\0\0\0WEBP",
        b"Exif\0\0II*\0",
    ):
        content = bytearray(head + tail)
        if at < len(content):
            content[at] = value
        assert len(without_location(bytes(content))) <= len(content)


@given(st.integers(6, 400), st.integers(0, 255))
def test_spoilt_exif_is_told_or_blanked_in_place(at, value):
    """A byte that went wrong never makes the block longer or shorter."""
    block = bytearray(exif()[6:])
    block[min(at, len(block) - 1)] = value
    with suppress(NotExif):
        assert len(blank_place(bytes(block))) == len(block)
