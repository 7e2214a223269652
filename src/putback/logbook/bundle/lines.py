"""Entries as lines of a text file, and back, byte for byte.

A line is an entry exactly as it was received, so that any editor shows it. The few that came with
line breaks inside (JSON allows them between its parts) are written as one JSON string instead:
such a line begins with a quotation mark, and what the string says is the entry as received.
"""

import json

from putback.logbook.entries.registry import MAX_ENTRY_BYTES

LONGEST_LINE = 2 * MAX_ENTRY_BYTES + 4
"""An entry of nothing but quotation marks and line breaks, as a JSON string [bytes]."""


def to_line(raw: bytes) -> bytes:
    """Write an entry as received as one line."""
    if b"\n" in raw or b"\r" in raw:
        return json.dumps(raw.decode(), ensure_ascii=False).encode() + b"\n"
    return raw + b"\n"


def from_line(line: bytes) -> bytes:
    """Give back the entry as received; line ends that an editor changed do not matter.

    Raises
    ------
    ValueError
        If the line begins like a JSON string and is none.
    """
    line = line.rstrip(b"\r\n")
    if line.startswith(b'"'):
        said = json.loads(line.decode())
        return str(said).encode()
    return line
