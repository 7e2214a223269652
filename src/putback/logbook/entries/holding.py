"""Standing holds: what must not be done with the vehicle until somebody lifts the hold."""

import re
from typing import ClassVar

from pydantic import Field

from putback.logbook.entries.base import Body, Naming, Subject, subject


def hold_called(words: str) -> str:
    """Name a hold by its words, so that the same ones said twice are one hold."""
    return re.sub(r"[^\w]+", "-", words.casefold()).strip("-_")[:80]


class HoldSet(Body):
    """A standing hold is on the vehicle: "no brakes: do not roll"; everybody sees it, everywhere.

    It is words for people: no plan reads it.
    """

    KIND: ClassVar[str] = "hold set"

    hold: str = Field(min_length=1, max_length=120)
    words: str = Field(min_length=1, max_length=200)

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("hold", self.hold),)

    def sentence(self, name: Naming) -> str:
        return f"set a standing hold: {self.words}"


class HoldLifted(Body):
    """A standing hold is lifted; why is always said."""

    KIND: ClassVar[str] = "hold lifted"

    hold: str = Field(min_length=1, max_length=120)
    why: str = Field(min_length=1, max_length=1000)

    def subjects(self) -> tuple[Subject, ...]:
        return (subject("hold", self.hold),)

    def sentence(self, name: Naming) -> str:
        return f"lifted the standing hold {name(f'hold:{self.hold}')!r}: {self.why}"
