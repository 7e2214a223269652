"""A picture without the place where it was taken, and with the very same picture in it.

The place is written in Exif, XMP or IPTC. Each format keeps these beside the picture's own bytes,
which are copied as they are. ``docs/file-format.md`` says format by format what is done.
"""

import re
import struct
import zlib
from collections.abc import Iterator

from putback.pictures.exif import NotExif, blank_place
from putback.pictures.kind import picture_type

_EXIF = b"Exif\x00\x00"
_XMP = (b"http://ns.adobe.com/xap/1.0/\x00", b"http://ns.adobe.com/xmp/extension/\x00")
_TELLS_PLACE = re.compile(rb"GPS|Location|City|Country|State", re.IGNORECASE)
"""Names that XMP gives to places (Exif, IPTC and Photoshop schemas)."""
_IPTC_PLACE = re.compile(rb"\x1c\x02[\x1a\x1b\x5a\x5c\x5f\x64\x65]")
"""IPTC-IIM records of content location, city, sublocation, province and country."""
_EXIF_START = re.compile(rb"Exif\x00\x00(?=II\x2a\x00|MM\x00\x2a)")
_XMP_PACKET = re.compile(rb"<x:xmpmeta.*?</x:xmpmeta>", re.DOTALL)


def without_location(content: bytes) -> bytes:
    """Give a picture without its place; the same bytes if none is told in it.

    What is no picture, or one whose parts cannot be told from each other, is searched from end to
    end for Exif and XMP, and written over there.
    """
    kind = picture_type(content)
    try:
        match kind:
            case "image/jpeg":
                return _jpeg(content)
            case "image/png":
                return _png(content)
            case "image/webp":
                return _webp(content)
    except (struct.error, ValueError, IndexError):
        pass  # not laid out as it should be: it is searched instead
    return _written_over(content)


# -- JPEG: ITU-T T.81, annex B ------------------------------------------------------------------


def _jpeg(content: bytes) -> bytes:
    segments = list(_jpeg_segments(content))
    xmp = [each for each in segments if each[4:].startswith(_XMP)]
    place_in_xmp = any(_TELLS_PLACE.search(each) for each in xmp)
    end = sum(map(len, segments)) + 2
    kept = [content[:2]]
    for segment in segments:
        body = segment[4:]
        if segment[1] == 0xE1 and body.startswith(_EXIF):
            kept.append(_exif_segment(segment))
        elif not (
            (segment[1] == 0xE1 and body.startswith(_XMP) and place_in_xmp)
            or (segment[1] == 0xED and _IPTC_PLACE.search(body))
            # The list of further pictures behind the end, which go as well.
            or (segment[1] == 0xE2 and body.startswith(b"MPF\x00") and end < len(content))
        ):
            kept.append(segment)
    found = b"".join(kept)
    return content if found == content else found


def _exif_segment(segment: bytes) -> bytes:
    try:
        return segment[:10] + blank_place(segment[10:])
    except NotExif:
        return b""  # it cannot be read, so nobody can say what is in it


def _jpeg_segments(content: bytes) -> Iterator[bytes]:
    """Give the segments behind the start, each scan with its own, up to the end of the picture."""
    at = 2
    while True:
        if content[at] != 0xFF:
            raise ValueError("no segment begins here")
        start = at
        while content[at + 1] == 0xFF:  # any number of these may stand before a marker
            at += 1
        marker = content[at + 1]
        at += 2
        if marker == 0xD9:
            yield content[start:at]
            return
        if marker != 0x01 and not 0xD0 <= marker <= 0xD7:
            at += struct.unpack_from(">H", content, at)[0]
        if marker == 0xDA:
            at = _end_of_scan(content, at)
        yield content[start:at]


def _end_of_scan(content: bytes, at: int) -> int:
    """Go through the picture's own bytes to the next marker that is none of theirs."""
    while True:
        at = content.index(b"\xff", at)
        after = content[at + 1]
        if after != 0x00 and not 0xD0 <= after <= 0xD7:
            return at
        at += 2


# -- PNG: ISO/IEC 15948, 5.3 --------------------------------------------------------------------


def _png(content: bytes) -> bytes:
    kept = [content[:8]]
    at = 8
    while True:
        (size,) = struct.unpack_from(">I", content, at)
        name = content[at + 4 : at + 8]
        chunk = content[at : at + 12 + size]
        if len(chunk) < 12 + size:
            raise ValueError("a chunk runs over the end")
        kept.append(_png_chunk(name, chunk))
        at += 12 + size
        if name == b"IEND":
            break
    found = b"".join(kept)
    return content if found == content else found


def _png_chunk(name: bytes, chunk: bytes) -> bytes:
    body = chunk[8:-4]
    if name == b"eXIf":
        try:
            body = blank_place(body)
        except NotExif:
            return b""
        return chunk[:8] + body + struct.pack(">I", zlib.crc32(name + body))
    is_text = name in {b"tEXt", b"zTXt", b"iTXt"}
    if is_text and body.startswith((b"Raw profile type", b"XML:com.adobe.xmp")):
        return b""  # Exif, IPTC or XMP as text, packed or not
    return chunk


# -- WebP: RFC 9649, 2 --------------------------------------------------------------------------


def _webp(content: bytes) -> bytes:
    (riff,) = struct.unpack_from("<I", content, 4)
    end = 8 + riff
    if end > len(content):
        raise ValueError("it is shorter than it says")
    kept, at = [], 12
    while at + 8 <= end:
        name = content[at : at + 4]
        (size,) = struct.unpack_from("<I", content, at + 4)
        after = at + 8 + size + size % 2
        chunk = content[at:after]
        body = content[at + 8 : at + 8 + size]
        if name == b"EXIF":
            chunk = chunk[:8] + _loose_exif(body) + chunk[8 + size :]
        elif name == b"XMP " and _TELLS_PLACE.search(body):
            chunk = chunk[:8] + b" " * size + chunk[8 + size :]  # an empty packet of its length
        kept.append(chunk)
        at = after
    found = content[:12] + b"".join(kept)
    return content if found == content else found


def _loose_exif(body: bytes) -> bytes:
    """Blank an Exif block with or without its name before it; all of it if it cannot be read."""
    head = _EXIF if body.startswith(_EXIF) else b""
    try:
        return head + blank_place(body[len(head) :])
    except NotExif:
        return bytes(len(body))


# -- anything else, HEIC above all: ISO/IEC 23008-12 keeps Exif and XMP whole, as items ---------


def _written_over(content: bytes) -> bytes:
    found = bytearray(content)
    for start in (each.end() for each in _EXIF_START.finditer(content)):
        try:
            blanked = blank_place(content[start:])
        except NotExif:
            continue
        found[start:] = blanked
        content = bytes(found)
    for packet in _XMP_PACKET.finditer(bytes(found)):
        if _TELLS_PLACE.search(packet.group()):
            found[packet.start() : packet.end()] = b" " * len(packet.group())
    return bytes(found)
