"""Reading pictures: their size upright, refusals, and small ones for a page."""

import struct
import zlib
from io import BytesIO

import pytest
from PIL import Image

from putback.pictures.reading import NotAPicture, look_at, reduced
from tests.pictures.photographs import blurred, exif, packed, photo, scene

KINDS = ["JPEG", "PNG", "WEBP", "HEIF", "GIF"]


def huge_png(width: int = 20_000, height: int = 20_000) -> bytes:
    """A sound PNG of a few hundred kilobytes that unpacks to more than a gigabyte."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    rows = zlib.compress(b"\0" * (3 * width + 1), 9)
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.mark.parametrize("kind", KINDS)
def test_a_picture_is_read_whatever_its_format(kind):
    """Its media type, and its size."""
    seen = look_at(packed(scene(640, 480), kind))
    named = {"HEIF": "heic"}.get(kind, kind.lower())
    assert (seen.media_type, seen.width_px, seen.height_px) == (f"image/{named}", 640, 480)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_is_turned_upright(orientation):
    """However the phone was held, the red corner is top left as one saw it."""
    seen = Image.new("RGB", (90, 60), "white")
    seen.paste("red", (0, 0, 30, 20))
    back = {2: 0, 3: 3, 4: 1, 5: 5, 6: 2, 7: 6, 8: 4}.get(orientation)
    held = seen if back is None else seen.transpose(Image.Transpose(back))
    content = packed(held, quality=95, exif=exif(orientation))
    assert (look_at(content).width_px, look_at(content).height_px) == (90, 60)
    small = Image.open(BytesIO(reduced(content, 90)))
    assert small.size == (90, 60)
    red, green, blue = small.getpixel((10, 8))
    assert red > 200 > 80 > max(green, blue)
    assert min(small.getpixel((80, 50))) > 200


@pytest.mark.parametrize("kind", KINDS)
def test_a_picture_for_a_page_is_small_and_tells_nothing(kind):
    """Its longer edge is what was asked for, and nothing is in it but the picture."""
    content = photo(kind) if kind != "GIF" else packed(scene(), kind)
    small = Image.open(BytesIO(reduced(content, 480)))
    assert (small.format, small.size) == ("WEBP", (480, 360))
    assert "exif" not in small.info
    assert not dict(small.getexif())


def test_a_small_picture_keeps_its_size():
    """Nothing is blown up."""
    assert Image.open(BytesIO(reduced(packed(scene(60, 40)), 480))).size == (60, 40)


def test_what_one_can_see_through_stands_on_white():
    """A page may be dark."""
    clear = packed(Image.new("RGBA", (20, 20), (0, 0, 0, 0)), "PNG")
    assert Image.open(BytesIO(reduced(clear, 20))).getpixel((5, 5)) == (255, 255, 255)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
@pytest.mark.parametrize("share", [0.02, 0.5, 0.97])
def test_a_picture_that_is_broken_off_is_refused(kind, share):
    """However much of it arrived."""
    content = photo(kind)
    for read in (look_at, lambda each: reduced(each, 100)):
        with pytest.raises(NotAPicture) as refused:
            read(content[: int(share * len(content))])
        broken = "the picture is broken off or spoilt; send it again, or take it again"
        assert str(refused.value) == f"{broken}; nothing was saved"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "the file is empty; take the picture again; nothing was saved"),
        (
            b"<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg'><script>x</script></svg>",
            "an SVG is a drawing that can carry a program, not a photo; "
            "give a JPEG, PNG, WebP, GIF or HEIC; nothing was saved",
        ),
        (
            b"%PDF-1.7",
            "is no picture that is kept here; "
            "give a JPEG, PNG, WebP, GIF or HEIC, whatever its name; nothing was saved",
        ),
    ],
)
def test_what_is_no_picture_is_refused(content, words):
    """By what is in it, whatever it is called."""
    with pytest.raises(NotAPicture) as refused:
        look_at(content)
    assert str(refused.value) == words


def test_a_picture_that_unpacks_beyond_measure_is_refused_before_it_is():
    """20,000 by 20,000 points in a few kilobytes: the size is looked at, nothing is unpacked."""
    content = huge_png()
    assert len(content) < 100_000
    with pytest.raises(NotAPicture) as refused:
        look_at(content)
    assert str(refused.value) == (
        "would unpack to 20000 × 20000 pixels; give one of 120 million pixels at most; "
        "nothing was saved"
    )


def test_a_sharp_picture_looks_well_a_blurred_or_black_one_does_not():
    """Each is told apart, at whatever size it was taken."""
    for width in (640, 1800):
        taken = scene(width, width * 3 // 4)
        assert look_at(packed(taken)).quality.words == ""
        shaken = blurred(taken, width // 60)
        assert look_at(packed(shaken)).quality.words.startswith("looks blurred")
    black = Image.new("RGB", (640, 480), (6, 5, 8))
    assert look_at(packed(black)).quality.words.startswith("looks black")
