"""A sound without the place where it was recorded, and with the very same sound in it.

Recorders write the place beside the sound: in comments, tags and boxes. What is heard is never
touched, and but for MPEG audio a file keeps its length, so that whatever points into it still
fits. ``docs/file-format.md`` says format by format what is done.
"""

import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass

from putback.pictures.kind import sound_type

_TELLS_PLACE = re.compile(
    rb"(?<![a-z])(?:location|gps|geo[ _-]?(?:tag|location)|latitude|longitude)"
    rb"|iso6709|\xa9xyz|exif"
    # ISO 6709, annex H: +48.8577+002.295/
    rb"|[+-][0-9]{2}(?:[0-9]{2}){0,2}(?:\.[0-9]+)?[+-][0-9]{3}(?:[0-9]{2}){0,2}(?:\.[0-9]+)?",
    re.IGNORECASE,
)
_LOCI = re.compile(rb"loci\x00\x00\x00\x00")
"""The box of a place of 3GPP TS 26.244, 8.10."""


def sound_without_location(content: bytes) -> bytes | None:
    """Give a sound without its place; the same bytes if none is told in it.

    ``None`` if its parts cannot be told from each other, or it holds more than sound: then nobody
    can say whether it tells its place.
    """
    clean = {
        "audio/webm": _matroska,
        "audio/ogg": _ogg,
        "audio/wav": _wave,
        "audio/mpeg": _mpeg,
        "audio/mp4": _mp4,
    }.get(sound_type(content) or "")
    try:
        return clean(content) if clean is not None else None
    except (struct.error, ValueError, IndexError):
        return None


class _NotLaidOut(ValueError):
    """The bytes are not laid out as their format says."""


def _tells(metadata: bytes) -> bool:
    """Whether metadata tells a place, also where each character has two bytes."""
    read_as = metadata, metadata.replace(b"\x00", b"")
    return bool(any(map(_TELLS_PLACE.search, read_as)) or _LOCI.search(metadata))


# -- MPEG audio: ID3v2.4, ID3v1, APEv2 ----------------------------------------------------------

_FRAME = re.compile(rb"\xff[\xe2-\xff]")


def _mpeg(content: bytes) -> bytes:
    """Take its tags away, where one of them tells a place."""
    begin, end = 0, len(content)
    while content[begin : begin + 3] == b"ID3":
        sizes = content[begin + 6 : begin + 10]
        if len(sizes) < 4 or max(sizes) > 0x7F:
            raise _NotLaidOut
        size = sizes[0] << 21 | sizes[1] << 14 | sizes[2] << 7 | sizes[3]
        begin += 10 + size + (10 if content[begin + 5] & 0x10 else 0)
    if content[end - 128 : end - 125] == b"TAG" and end - 128 >= begin:
        end -= 128
    if content[end - 32 : end - 24] == b"APETAGEX":
        (size,) = struct.unpack_from("<I", content, end - 20)
        has_header = content[end - 9] & 0x80
        end -= size + (32 if has_header else 0)
    if end < begin or not _FRAME.search(content[begin:end]):
        raise _NotLaidOut
    tags = content[:begin], content[end:].removeprefix(b"TAG")
    return content[begin:end] if any(map(_tells, tags)) else content


# -- WAVE: RIFF, EBU Tech 3285 ------------------------------------------------------------------

_HEARD = {b"fmt ", b"data", b"fact", b"PEAK", b"JUNK", b"FLLR", b"cue ", b"smpl"}


def _wave(content: bytes) -> bytes:
    """Write over whatever chunk tells a place, and what stands behind the end."""
    made = bytearray(content)
    (size,) = struct.unpack_from("<I", content, 4)
    at, end = 12, min(8 + size, len(content))
    while at + 8 <= end:
        (length,) = struct.unpack_from("<I", content, at + 4)
        body = slice(at + 8, min(at + 8 + length, len(content)))
        if content[at : at + 4] not in _HEARD and _tells(content[body]):
            made[at : at + 4] = b"JUNK"
            made[body] = bytes(body.stop - body.start)
        at += 8 + length + length % 2
    if _tells(content[end:]):
        made[end:] = bytes(len(content) - end)
    return bytes(made)


# -- Matroska and WebM: RFC 9559, RFC 8794 ------------------------------------------------------

_SEGMENT, _CLUSTER, _TRACKS, _TRACK = 0x18538067, 0x1F43B675, 0x1654AE6B, 0xAE
_TRACK_TYPE, _SOUND = 0x83, 2
_TOLD_IN = {
    0x1254C367: "tags",
    0x1941A469: "attachments",
    0x1549A966: "info",
    0x1043A770: "chapters",
}
_IN_CLUSTER = {0xE7, 0xA3, 0xA0, 0xA7, 0xAB, 0x5854, 0xAF, 0xEC, 0xBF}
_INFO, _TITLE, _VOID = 0x1549A966, 0x7BA9, 0xEC


@dataclass(frozen=True, slots=True)
class _Element:
    """One element: its identity, where it begins, where its body does, where it ends."""

    identity: int
    at: int
    body: int
    end: int


def _elements(content: bytes, at: int, end: int) -> Iterator[_Element]:
    """Go through the elements of one level; one of unknown size goes to the end of its level."""
    while at < end:
        first = content[at]
        length = 9 - first.bit_length()
        if length > 4:
            raise _NotLaidOut
        identity = int.from_bytes(content[at : at + length])
        sized = at + length
        width = 9 - content[sized].bit_length()
        if width > 8:
            raise _NotLaidOut
        size = int.from_bytes(content[sized : sized + width]) & ((1 << 7 * width) - 1)
        body = sized + width
        if size == (1 << 7 * width) - 1:
            stop = _end_of_cluster(content, body, end) if identity == _CLUSTER else end
        else:
            stop = min(body + size, end)
        yield _Element(identity, at, body, stop)
        at = stop


def _end_of_cluster(content: bytes, at: int, end: int) -> int:
    """Find where a cluster of unknown size ends: at what cannot be in one."""
    for each in _elements(content, at, end):
        if each.identity not in _IN_CLUSTER:
            return each.at
    return end


def _matroska(content: bytes) -> bytes | None:
    """Make void what tells a place: tags, attachments, chapters, a title."""
    made = bytearray(content)
    for top in _elements(content, 0, len(content)):
        if top.identity != _SEGMENT:
            continue
        for each in _elements(content, top.body, top.end):
            if each.identity == _TRACKS and not _has_only_sound(content, each):
                return None
            if each.identity in _TOLD_IN and _tells(content[each.body : each.end]):
                if each.identity == _INFO:
                    _blank_texts(content, made, each)
                else:
                    _make_void(made, each)
    return bytes(made)


def _has_only_sound(content: bytes, tracks: _Element) -> bool:
    kinds = [
        int.from_bytes(content[each.body : each.end])
        for track in _elements(content, tracks.body, tracks.end)
        if track.identity == _TRACK
        for each in _elements(content, track.body, track.end)
        if each.identity == _TRACK_TYPE
    ]
    return bool(kinds) and set(kinds) == {_SOUND}


def _blank_texts(content: bytes, made: bytearray, info: _Element) -> None:
    """Write over those fields that tell a place; the others are needed."""
    for each in _elements(content, info.body, info.end):
        if _tells(content[each.body : each.end]):
            made[each.body : each.end] = b" " * (each.end - each.body)


def _make_void(made: bytearray, each: _Element) -> None:
    """Put an element that says nothing in its place, of the same length."""
    length = each.end - each.at
    if length < 9:  # cannot be: its identity has four bytes, and something is in it
        raise _NotLaidOut
    made[each.at : each.end] = bytes([_VOID, 0x01]) + (length - 9).to_bytes(7) + bytes(length - 9)


# -- Ogg: RFC 3533, with the comments of Vorbis I, 5 --------------------------------------------

_CODECS = {b"\x01vorbis": 7, b"OpusHead": 8, b"Speex   ": 0, b"\x7fFLAC": 4}
"""How a stream of sound begins, and where the comments begin in its second packet [bytes]."""
_MOST_HEADERS = 16
"""More packets than these at the beginning of a stream are sound, whatever its codec."""


def _ogg(content: bytes) -> bytes | None:
    """Write over the comments that tell a place, and sum their pages anew."""
    made = bytearray(content)
    packets: dict[int, list[list[int]]] = {}
    pages: list[tuple[int, int]] = []
    at = 0
    while at < len(content):
        if content[at : at + 4] != b"OggS":
            raise _NotLaidOut
        (serial,) = struct.unpack_from("<I", content, at + 14)
        lacing = content[at + 27 : at + 27 + content[at + 26]]
        body = at + 27 + len(lacing)
        pages.append((at, body + sum(lacing)))
        stream = packets.setdefault(serial, [[]])
        for size in lacing:
            if len(stream) <= _MOST_HEADERS:
                stream[-1].extend(range(body, body + size))
                if size < 255:
                    stream.append([])
            body += size
        at = pages[-1][1]
    for stream in packets.values():
        first = bytes(content[each] for each in stream[0])
        codec = next((each for each in _CODECS if first.startswith(each)), None)
        if codec is None:
            return None
        # FLAC says how many packets stand before the sound (its mapping into Ogg, 1.0).
        (headers,) = struct.unpack_from(">H", first, 7) if codec == b"\x7fFLAC" else (1,)
        for places in stream[1 : headers + 1]:
            _blank_comments(content, made, places, _CODECS[codec])
    for begin, end in pages:
        if made[begin:end] != content[begin:end]:
            made[begin + 22 : begin + 26] = bytes(4)
            made[begin + 22 : begin + 26] = struct.pack("<I", _ogg_sum(made[begin:end]))
    return bytes(made)


def _blank_comments(content: bytes, made: bytearray, places: list[int], start: int) -> None:
    """Write over each comment that tells a place; ``places`` are the packet's own bytes."""
    packet = bytes(content[each] for each in places)
    if not _tells(packet):
        return
    at = start + 4 + struct.unpack_from("<I", packet, start)[0]
    (count,) = struct.unpack_from("<I", packet, at)
    at += 4
    for _ in range(count):
        (length,) = struct.unpack_from("<I", packet, at)
        at += 4
        if at + length > len(packet):
            raise _NotLaidOut
        if _tells(packet[at : at + length]) or packet[at:].startswith(b"METADATA_BLOCK_PICTURE"):
            for place in places[at : at + length]:
                made[place] = ord("_")
        at += length


def _ogg_sum(page: bytes | bytearray) -> int:
    """Sum a page as RFC 3533, section 6, says: polynomial 0x04c11db7, nothing reflected."""
    found = 0
    for each in page:
        found = ((found << 8) & 0xFFFFFFFF) ^ _OGG_TABLE[(found >> 24) ^ each]
    return found


def _ogg_row(value: int) -> int:
    found = value << 24
    for _ in range(8):
        found = (found << 1) ^ (0x04C11DB7 if found & 0x80000000 else 0)
    return found & 0xFFFFFFFF


_OGG_TABLE = tuple(_ogg_row(each) for each in range(256))


# -- MPEG-4: ISO/IEC 14496-12 -------------------------------------------------------------------

_HOLDS_BOXES = {b"moov", b"trak", b"mdia", b"edts", b"minf", b"moof", b"traf"}
_FREE_TEXT = {b"udta", b"meta", b"uuid"}


def _mp4(content: bytes) -> bytes | None:
    """Make free what tells a place; a track that is no sound may be one of places."""
    made = bytearray(content)
    if not all(_clean_box(content, made, *each) for each in _boxes(content, 0, len(content))):
        return None
    return bytes(made)


def _boxes(content: bytes, at: int, end: int) -> Iterator[tuple[bytes, int, int, int]]:
    """Go through the boxes of one level: sort, beginning, beginning of the body, end."""
    while at + 8 <= end:
        size, sort = struct.unpack_from(">I4s", content, at)
        body = at + 8
        if size == 1:
            (size,) = struct.unpack_from(">Q", content, body)
            body += 8
        stop = end if size == 0 else at + size
        if stop < body or stop > end:
            raise _NotLaidOut
        yield sort, at, body, stop
        at = stop


def _clean_box(content: bytes, made: bytearray, sort: bytes, at: int, body: int, end: int) -> bool:
    """Clean one box; whether it may go along then."""
    if sort == b"hdlr" and content[body + 8 : body + 12] not in {
        b"soun",
        b"mdir",
        b"mdta",
        b"alis",
    }:
        return False
    if sort in _HOLDS_BOXES:
        return all(_clean_box(content, made, *each) for each in _boxes(content, body, end))
    if sort == b"uuid" or (sort in _FREE_TEXT and _tells(content[body:end])):
        made[at + 4 : at + 8] = b"free"
        made[body:end] = bytes(end - body)
    return True
