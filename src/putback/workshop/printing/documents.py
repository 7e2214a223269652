"""The documents that can be printed: a name for each, what it is, and how it is made."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from putback.errors import NotFound
from putback.workshop.printing import tags
from putback.workshop.printing.wanted import Wanted


class Option(StrEnum):
    """What can be said of a document besides the vehicle."""

    STOCK = "stock"  # on which labels, and where the printer prints
    TAGS = "tags"  # which tags
    BLANK = "blank"  # so many blank ones
    RESERVES = "reserves"  # printing blank ones takes codes, so that it is no mere look


@dataclass(frozen=True, slots=True)
class Document:
    """One document."""

    name: str
    title: str
    words: str
    """What it is for, in a sentence."""
    make: Callable[[Wanted], bytes]
    options: frozenset[Option] = frozenset()


DOCUMENTS = (
    Document(
        "tags",
        "Tags",
        "the code of every bag, box and crate with what is in it; or blank ones, their codes"
        " reserved, to hang on a ring",
        tags.tags,
        frozenset({Option.STOCK, Option.TAGS, Option.BLANK, Option.RESERVES}),
    ),
    Document(
        "not-torqued",
        "Red tags: not torqued",
        "one to tie on at each joint that is only finger tight or nipped",
        tags.not_torqued,
        frozenset({Option.STOCK, Option.BLANK}),
    ),
    Document(
        "not-for-the-road",
        "Red tags: not for the road",
        "for the steering wheel and the key, while something is left undone",
        tags.not_for_the_road,
        frozenset({Option.STOCK, Option.BLANK}),
    ),
)
"""In the order in which they are offered."""


def document_called(name: str) -> Document:
    """Give the document of a name.

    Raises
    ------
    NotFound
        If there is none.
    """
    for each in DOCUMENTS:
        if each.name == name.casefold().strip():
            return each
    raise NotFound("document", name, tuple(each.name for each in DOCUMENTS))
