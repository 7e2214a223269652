"""What the name of a joint says of its parts, where nobody described more.

Whoever logs *undone "radiator bolts"* with dirty hands has said which part they hold: it cannot go
back after them.
"""

import re
from collections.abc import Mapping

from putback.vehicle.ids import PartId

_SHORTEST = 3
"""Names of fewer letters stand in other words by chance."""


def parts_in(name: str, parts: Mapping[PartId, str]) -> tuple[PartId, ...]:
    """Give the parts whose names stand in a joint's name, word for word; the longer name first.

    ``parts`` are the names by part. What is part of a longer name that stands there says nothing:
    *fan belt bolts* speak of the fan belt and not of the fan.
    """
    text = _words(name)
    found = []
    for part, called in sorted(parts.items(), key=lambda each: (-len(each[1]), each[0])):
        words = _words(called)
        if len(called) >= _SHORTEST and words in text:
            found.append(part)
            text = text.replace(words, " / ")
    return tuple(found)


def _words(text: str) -> str:
    """The words of a text, each between blanks."""
    words = " ".join(re.findall(r"[^\W_]+", text.casefold()))
    return f" {words} "
