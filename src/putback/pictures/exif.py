"""The place in an Exif block: found and blanked without moving a single other byte.

Exif is a TIFF file inside the picture: directories of entries that point at their values by their
distance from the start. So nothing may move: entries are taken out of their directory, which is
then shorter by twelve bytes and as much nothing behind it, and their values are written over.
Tags as in CIPA DC-008 (Exif 3.0), 4.6.3 and 4.6.6; the layout as in TIFF 6.0, section 2.
"""

import struct
from dataclasses import dataclass

GPS, EXIF, MAKER_NOTE = 0x8825, 0x8769, 0x927C
_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4}
"""Bytes of one value, by its type."""
_ENTRY = 12
_MOST = 1000
"""Entries of a directory; more is not a directory."""


class NotExif(ValueError):
    """It is not laid out as Exif is."""


def blank_place(tiff: bytes) -> bytes:
    """Take the place out of a TIFF block, and the maker's note with it; the length stays.

    What a maker's own note holds nobody else knows: some write the town into it. It goes where a
    place is given, and stays where none is.

    Raises
    ------
    NotExif
        If the block contradicts itself.
    """
    try:
        return _blanked(tiff)
    except struct.error as error:
        raise NotExif(str(error)) from error


def _blanked(tiff: bytes) -> bytes:
    block = _Block(bytearray(tiff))
    first = block.long(4)
    if block.entry(first, GPS) is None:
        return tiff
    gps = block.take_out(first, GPS)
    block.blank_directory(gps)
    exif = block.entry(first, EXIF)
    if exif is not None:
        inner = block.long(exif + 8)
        note = block.entry(inner, MAKER_NOTE)
        if note is not None:
            block.blank_value(note)
            block.take_out(inner, MAKER_NOTE)
    return bytes(block.bytes)


@dataclass(slots=True)
class _Block:
    """A TIFF block that is being written over."""

    bytes: bytearray
    order: str = ""

    def __post_init__(self) -> None:
        self.order = {b"II": "<", b"MM": ">"}.get(bytes(self.bytes[:2]), "")
        if not self.order or self.short(2) != 42:
            raise NotExif("no TIFF header")

    def short(self, at: int) -> int:
        return int(struct.unpack_from(f"{self.order}H", self.bytes, at)[0])

    def long(self, at: int) -> int:
        return int(struct.unpack_from(f"{self.order}I", self.bytes, at)[0])

    def count(self, directory: int) -> int:
        """How many entries a directory has."""
        entries = self.short(directory)
        if entries > _MOST or directory + 2 + _ENTRY * entries > len(self.bytes):
            raise NotExif("a directory runs over the end")
        return entries

    def entry(self, directory: int, tag: int) -> int | None:
        """Where the entry of a tag is."""
        places = (directory + 2 + _ENTRY * each for each in range(self.count(directory)))
        return next((at for at in places if self.short(at) == tag), None)

    def take_out(self, directory: int, tag: int) -> int:
        """Take an entry out of its directory; give what it pointed at."""
        at = self.entry(directory, tag)
        if at is None:
            raise NotExif("an entry is gone")
        pointed = self.long(at + 8)
        count = self.count(directory)
        end = min(directory + 2 + _ENTRY * count + 4, len(self.bytes))  # the next one's distance
        rest = bytes(self.bytes[at + _ENTRY : end])
        self.bytes[at:end] = rest + bytes(_ENTRY)
        struct.pack_into(f"{self.order}H", self.bytes, directory, count - 1)
        return pointed

    def blank_value(self, at: int) -> None:
        """Write over what an entry points at, if it is too long to stand in the entry."""
        size = _SIZES.get(self.short(at + 2), 1) * self.long(at + 4)
        if size > 4:
            start = self.long(at + 8)
            if start + size > len(self.bytes):
                raise NotExif("a value runs over the end")
            self.bytes[start : start + size] = bytes(size)

    def blank_directory(self, directory: int) -> None:
        """Write over a directory and all that its entries point at."""
        count = self.count(directory)
        for each in range(count):
            self.blank_value(directory + 2 + _ENTRY * each)
        self.bytes[directory : directory + 2 + _ENTRY * count] = bytes(2 + _ENTRY * count)
