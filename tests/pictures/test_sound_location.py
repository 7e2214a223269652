"""Sounds without the place where they were recorded, each format made by hand."""

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.pictures.kind import sound_type
from putback.pictures.sound_location import sound_without_location
from tests.pictures.sounds import (
    HEARD,
    PLACE,
    box,
    chunk,
    crc,
    element,
    id3,
    loci_box,
    mp3,
    mp4,
    ogg,
    place_box,
    tag,
    wav,
    webm,
)

GPS = b"GPSLatitude 48.8577"
TELLING = {
    "mp4, as phones write it": mp4(place_box()),
    "mp4, in numbers": mp4(loci_box()),
    "mp4, by a key": mp4(box(b"meta", bytes(4), b"com.apple.quicktime.location.ISO6709", PLACE)),
    "mp4, of nobody knows what": mp4(box(b"uuid", bytes(16), b"\x01\x02\x03 48.8577")),
    "webm, tags": webm(tag(b"LOCATION", PLACE)),
    "webm, attachment": webm(element(0x1941A469, element(0x61A7, b"Exif\x00\x00" + GPS))),
    "webm, title": webm(title=b"recorded at " + PLACE),
    "wav, broadcast": wav(chunk(b"iXML", b"<LOCATION><LOCATION_GPS>48.8577</LOCATION_GPS>")),
    "wav, behind its end": wav() + GPS,
    "mp3, before": mp3(id3(b"TXXX" + bytes(7) + b"location\x0048.8577")),
    "mp3, in two bytes": mp3(id3(b"COMM" + bytes(7) + "latitude 48.8577".encode("utf-16"))),
    "mp3, behind": mp3(after=b"TAG" + GPS.ljust(125, b"\x00")),
    "ogg": ogg(b"TITLE=bench", b"LOCATION=48.8577", b"GEO=" + PLACE),
    "ogg, over two pages": ogg(b"COMMENT=" + b"x" * 300, b"GPS=48.8577", split=True),
}
SILENT = {
    "mp4": mp4(box(b"udta", box(b"\xa9too", b"a recorder"))),
    "webm": webm(tag(b"ENCODER", b"velocity allocation")),
    "wav": wav(chunk(b"LIST", b"INFOISFT\x04\x00\x00\x00test")),
    "mp3": mp3(id3(b"TSSE" + bytes(7) + b"a recorder"), b"TAG" + bytes(125)),
    "ogg": ogg(b"ENCODER=a recorder"),
}


@pytest.mark.parametrize("content", TELLING.values(), ids=TELLING)
def test_no_place_is_left_and_all_that_is_heard_is(content):
    """Neither its words nor its figures; done twice it changes nothing more."""
    bare = sound_without_location(content)
    assert bare is not None
    assert bare != content
    spaced = bare.replace(b"\x00", b"")
    assert not any(each in spaced for each in (b"48.8577", b"loci", b"+002.295"))
    assert HEARD in bare
    assert sound_type(bare) == sound_type(content)
    assert sound_without_location(bare) == bare
    if sound_type(content) != "audio/mpeg":
        assert len(bare) == len(content)


@pytest.mark.parametrize("content", SILENT.values(), ids=SILENT)
def test_what_tells_no_place_stays_as_it_is(content):
    """Byte for byte, also with words in it that only look alike."""
    assert sound_without_location(content) == content


def test_other_comments_stay_and_pages_add_up():
    """What else is said in an Ogg is still there, and each page's sum is right."""
    bare = sound_without_location(ogg(b"TITLE=bench", b"LOCATION=48.8577"))
    assert bare is not None
    assert b"TITLE=bench" in bare
    for found in bare.split(b"OggS")[1:]:
        summed = b"OggS" + found
        (told,) = struct.unpack_from("<I", summed, 22)
        assert told == crc(summed[:22] + bytes(4) + summed[26:])


@pytest.mark.parametrize(
    "content",
    [
        mp4(handler=b"camm"),
        webm(kind=17),
        ogg(begin=b"fishead\x00"),
        mp4()[:-2000] + box(b"moov", b"\x00\x00\xff\xffudta"),
        b"OggS" + bytes(40) + b"LOCATION=48.8577",
        b"ID3\x04\x00\x00\xff\xff\xff\xff",
        b"\x1a\x45\xdf\xa3\x00\x00",
        b"no sound at all",
    ],
)
def test_of_what_nobody_can_say_it_nothing_is_given(content):
    """A track of positions, or bytes that are not laid out as they should be."""
    assert sound_without_location(content) is None


@given(st.sampled_from(sorted(TELLING)), st.data())
def test_damaged_sounds_break_nothing(which, data):
    """Cut or changed anywhere: something is given or nothing, and never an error."""
    content = bytearray(TELLING[which])
    content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    cut = bytes(content[: data.draw(st.integers(0, len(content)))])
    given = sound_without_location(cut)
    assert given is None or len(given) <= len(cut)
