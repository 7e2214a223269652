"""Sounds made by hand, as their formats' specifications lay them out, with and without a place."""

import struct

PLACE = b"+48.8577+002.295/"
"""As ISO 6709, annex H writes it."""
HEARD = bytes(range(1, 251)) * 4
"""What is heard; of no format's codec, since nothing here plays it."""


def box(sort: bytes, *inside: bytes) -> bytes:
    """A box of ISO/IEC 14496-12, 4.2."""
    body = b"".join(inside)
    return struct.pack(">I4s", 8 + len(body), sort) + body


def mp4(*told: bytes, handler: bytes = b"soun") -> bytes:
    """A track with ``told`` beside it."""
    handled = box(b"hdlr", bytes(8), handler, bytes(12), b"\x00")
    track = box(b"trak", box(b"mdia", handled))
    return box(b"ftyp", b"M4A \x00\x00\x00\x00") + box(b"moov", track, *told) + box(b"mdat", HEARD)


def place_box(text: bytes = PLACE) -> bytes:
    """A place as phones write it: QuickTime's user data."""
    return box(b"udta", box(b"\xa9xyz", struct.pack(">HH", len(text), 0x15C7), text))


def loci_box() -> bytes:
    """A place as 3GPP TS 26.244, 8.10 writes it: in numbers, with no word for it."""
    return box(b"udta", box(b"loci", bytes(4), bytes(14)))


def element(identity: int, *inside: bytes) -> bytes:
    """An element of RFC 8794 with a size of eight bytes."""
    body = b"".join(inside)
    size = (len(body) | 1 << 56).to_bytes(8)
    return identity.to_bytes((identity.bit_length() + 7) // 8) + size + body


def tag(name: bytes, value: bytes) -> bytes:
    """Tags with one name and value (RFC 9559, 5.1.8)."""
    simple = element(0x67C8, element(0x45A3, name), element(0x4487, value))
    return element(0x1254C367, element(0x7373, element(0x63C0), simple))


def webm(*told: bytes, kind: int = 2, title: bytes = b"bench") -> bytes:
    """A recording as browsers write it: segment and cluster of unknown size, then ``told``."""
    head = element(0x1A45DFA3, element(0x4282, b"webm"))
    info = element(0x1549A966, element(0x7BA9, title), element(0x4D80, b"x"))
    tracks = element(0x1654AE6B, element(0xAE, element(0x83, bytes([kind]))))
    unknown = b"\x01" + b"\xff" * 7
    cluster = b"\x1f\x43\xb6\x75" + unknown + element(0xE7, b"\x00") + element(0xA3, HEARD)
    return head + b"\x18\x53\x80\x67" + unknown + info + tracks + cluster + b"".join(told)


def chunk(sort: bytes, body: bytes) -> bytes:
    """A chunk of RIFF."""
    return sort + struct.pack("<I", len(body)) + body + bytes(len(body) % 2)


def wav(*told: bytes) -> bytes:
    """PCM with ``told`` beside it."""
    body = b"WAVE" + chunk(b"fmt ", bytes(16)) + chunk(b"data", HEARD) + b"".join(told)
    return b"RIFF" + struct.pack("<I", len(body)) + body


def id3(body: bytes) -> bytes:
    """A tag of ID3v2.4, whose size has seven bits a byte."""
    size = bytes(len(body) >> shift & 0x7F for shift in (21, 14, 7, 0))
    return b"ID3\x04\x00\x00" + size + body


def mp3(before: bytes = b"", after: bytes = b"") -> bytes:
    """MPEG audio between tags."""
    return before + b"\xff\xfb\x90\x00" + HEARD + after


def crc(page: bytes) -> int:
    """RFC 3533, section 6, bit by bit: the other way than the table in the product."""
    found = 0
    for each in page:
        for bit in range(7, -1, -1):
            top = found >> 31 ^ (each >> bit & 1)
            found = (found << 1 & 0xFFFFFFFF) ^ (0x04C11DB7 if top else 0)
    return found


def page(number: int, *packets: bytes, open_end: bool = False) -> bytes:
    """A page of Ogg; with ``open_end`` its last packet goes on in the next."""
    lacing = b""
    for at, packet in enumerate(packets):
        lacing += b"\xff" * (len(packet) // 255)
        if not (open_end and at == len(packets) - 1):
            lacing += bytes([len(packet) % 255])
    head = b"OggS\x00\x00" + bytes(8) + struct.pack("<II", 7, number)
    rest = bytes([len(lacing)]) + lacing + b"".join(packets)
    return head + struct.pack("<I", crc(head + bytes(4) + rest)) + rest


def ogg(*comments: bytes, begin: bytes = b"OpusHead", split: bool = False) -> bytes:
    """Opus with comments; ``split`` over two pages."""
    listed = b"".join(struct.pack("<I", len(each)) + each for each in comments)
    packet = b"OpusTags" + struct.pack("<I", 4) + b"test" + struct.pack("<I", len(comments))
    packet += listed
    if split:
        cut = 255 * (len(packet) // 255)
        told = page(1, packet[:cut], open_end=True) + page(2, packet[cut:])
    else:
        told = page(1, packet)
    return page(0, begin + bytes(11)) + told + page(3, HEARD)
