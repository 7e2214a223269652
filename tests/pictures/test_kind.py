"""What sort of picture or sound bytes are."""

import pytest

from putback.pictures.kind import media_type, picture_type, sound_type

SOUNDS = {
    b"\x1a\x45\xdf\xa3\x01": "audio/webm",
    b"OggS\x00\x02": "audio/ogg",
    b"RIFF\x00\x00\x00\x00WAVEfmt ": "audio/wav",
    b"ID3\x04\x00": "audio/mpeg",
    b"\xff\xfb\x90\x00": "audio/mpeg",
    b"\x00\x00\x00\x20ftypM4A \x00": "audio/mp4",
    b"\x00\x00\x00\x20ftypiso5\x00": "audio/mp4",
}


@pytest.mark.parametrize(("content", "kind"), SOUNDS.items())
def test_a_sound_is_told_by_how_it_begins(content, kind):
    """And is no picture."""
    assert (sound_type(content), picture_type(content), media_type(content)) == (kind, None, kind)


@pytest.mark.parametrize(
    "content", [b"", b"<html>", b"\x00\x00\x00\x20ftypqt  ", b"\x00\x00\x00\x20ftypavif", b"RIFF"]
)
def test_what_is_neither_is_nothing(content):
    """A page, a film, a picture that nobody here can read."""
    assert media_type(content) is None
