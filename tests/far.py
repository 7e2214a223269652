"""The other side of an exchange for tests: a workshop asked directly, over a line that fails."""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from putback.errors import AlreadyExists, NotFound
from putback.logbook.entries.base import DeviceId, PersonId
from putback.workshop.exchange.far import Handed, NoExchange, Stands, Wanted
from putback.workshop.exchange.handing import (
    garage_in,
    hand_out,
    hand_out_garage,
    has,
    photo_in,
    photo_out,
    wanted_here,
    where_it_stands,
)
from putback.workshop.logbooks.workshop import Workshop

PARTNER, PARTNER_DEVICE = PersonId("partner"), DeviceId("partner")


def never() -> str:
    """A line that holds."""
    return ""


@dataclass
class BesideFar:
    """Another workshop in this process.

    ``cut`` is asked at every call: ``"request"`` loses it before anything is done, ``"answer"``
    after all is done.
    """

    workshop: Workshop
    device: DeviceId = PARTNER_DEVICE
    person: PersonId = PARTNER
    cut: Callable[[], str] = never
    calls: list[str] = field(default_factory=list)

    def _over_the_line(self, name: str, do: Callable[[], Any]) -> Any:
        self.calls.append(name)
        lost = self.cut()
        if lost == "request":
            raise NoExchange("partner", "does not answer")
        answer = do()
        if lost == "answer":
            raise NoExchange("partner", "does not answer")
        return answer

    def vehicles(self):
        """Identity and name of each."""
        return tuple((each.id, each.name) for each in self.workshop.logbooks())

    def stands(self, logbook, at=0) -> Stands | None:
        there = has(self.workshop, logbook)
        return self._over_the_line(
            "stands", lambda: where_it_stands(self.workshop, logbook, at) if there else None
        )

    def begin(self, logbook, name):
        def do():
            with suppress(AlreadyExists):
                self.workshop.store.create_logbook(logbook, name, self.person)

        self._over_the_line("begin", do)

    def entries(self, logbook, after, *, all_of_them=False) -> Handed:
        not_from = "" if all_of_them else self.device
        return self._over_the_line(
            "entries", lambda: hand_out(self.workshop, logbook, after, not_from=not_from)[0]
        )

    def garage(self, logbook, after) -> Handed:
        return self._over_the_line(
            "garage", lambda: hand_out_garage(self.workshop, logbook, after)
        )

    def wanted(self, logbook, photos, garage=()) -> Wanted:
        return self._over_the_line("wanted", lambda: wanted_here(self.workshop, photos, garage))

    def photo(self, logbook, photo):
        def do():
            try:
                return photo_out(self.workshop, logbook, photo)
            except NotFound:
                return None

        return self._over_the_line("photo", do)

    def send_photo(self, logbook, photo, content):
        self._over_the_line("send photo", lambda: photo_in(self.workshop, photo, content))

    def send_entries(self, logbook, lines):
        return self._over_the_line(
            "send entries",
            lambda: self.workshop.receive(logbook, lines, received_from=self.device).new,
        )

    def send_garage(self, logbook, lines):
        return self._over_the_line(
            "send garage",
            lambda: garage_in(self.workshop, lines, received_from=self.device),
        )
