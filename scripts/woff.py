"""Unpack a font that is packed for the web: WOFF 1.0 (W3C Recommendation, 13 December 2012).

Typst reads TrueType and no packed fonts. The file is a directory of tables, each packed by zlib
where that makes it smaller; TrueType is the same directory with the tables as they are.
"""

import struct
from zlib import decompress

_HEADER = struct.Struct(">4s4sIHHIHHIIIII")
_PACKED = struct.Struct(">4sIIII")  # name, offset, length packed, length, checksum
_PLAIN = struct.Struct(">4sIII")  # name, checksum, offset, length
_START = struct.Struct(">4sHHHH")


def unpacked(woff: bytes) -> bytes:
    """Give the TrueType font that is in a WOFF file.

    Raises
    ------
    ValueError
        It is no WOFF file of version 1.
    """
    signature, flavour, _, count, *_ = _HEADER.unpack_from(woff)
    if signature != b"wOFF":
        raise ValueError(f"this begins with {signature!r}, and WOFF with b'wOFF'")
    power = count.bit_length() - 1  # the directory helps readers that search by halving
    widest = 16 << power
    start = _START.pack(flavour, count, widest, power, 16 * count - widest)
    directory, tables = b"", b""
    for at in range(count):
        place = _HEADER.size + at * _PACKED.size
        name, offset, packed, length, checksum = _PACKED.unpack_from(woff, place)
        content = woff[offset : offset + packed]
        content = decompress(content) if packed < length else content
        begins = _START.size + count * _PLAIN.size + len(tables)
        directory += _PLAIN.pack(name, checksum, begins, length)
        tables += content + bytes(-length % 4)
    return start + directory + tables
