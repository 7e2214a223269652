"""The site for tests: one store in a folder, people with roles, and browsers that ask it."""

from dataclasses import dataclass, field
from pathlib import Path

from django.test import Client

from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.web.here import Here, open_here
from putback.web.pages.access import COOKIE
from putback.web.store import Opened
from putback.workshop.exchange.demo import lay_out_demo
from putback.workshop.logbooks.ports import Clock, Role
from putback.workshop.people.people import DeviceKind
from scripts.serving import IN_THE_STRIP

PASSWORD = "a rusty old gate hinge"
OWNER, WORKER, VIEWER, NEIGHBOUR = "Olive Owner", "Will Worker", "Vera Viewer", "Ned Neighbour"
"""Ned owns a vehicle of his own, and has no business with Olive's."""


@dataclass
class EmptySite:
    """What is served, with nobody and nothing in it."""

    here: Here


@dataclass(frozen=True)
class Found:
    """What was laid out in a site's store before it was opened."""

    people: dict[str, PersonId]
    vehicle: LogbookId
    demo: LogbookId


@dataclass
class Site:
    """What is served, with an empty vehicle of Olive's; more of it when asked for."""

    home: Path
    opened: Opened
    clock: Clock | None = None
    found: Found | None = None
    here: Here = field(init=False)
    vehicle: LogbookId = field(init=False)
    people: dict[str, PersonId] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.here = open_here(self.opened, self.clock)
        if self.found:
            self.people, self.vehicle = dict(self.found.people), self.found.vehicle
            return
        for name in (OWNER, WORKER, VIEWER, NEIGHBOUR):
            self.people[name] = self.here.people.add(name, PASSWORD).id
        laptop = DeviceId("laptop")
        self.vehicle = self.here.workshop.new_vehicle(
            "Old Dunlin", who=self.people[OWNER], device=laptop
        )
        self.let_in(self.vehicle)
        self.here.workshop.new_vehicle(
            "Ned's barn find", who=self.people[NEIGHBOUR], device=laptop
        )

    def let_in(self, logbook: LogbookId) -> None:
        """Give Will and Vera their roles in a vehicle."""
        store = self.here.workshop.store
        store.grant(logbook, self.people[WORKER], Role.WORKER)
        store.grant(logbook, self.people[VIEWER], Role.VIEWER)

    def demo(self, sittings: int | None = IN_THE_STRIP) -> LogbookId:
        """Lay out the demo vehicle as Olive's, unless it was found so."""
        if self.found:
            assert sittings == IN_THE_STRIP
            return self.found.demo
        owner = self.people[OWNER]
        logbook = lay_out_demo(self.here.workshop, owner, DeviceId("laptop"), sittings)
        self.let_in(logbook)
        return logbook

    def browser(self, name: str | None = OWNER) -> Client:
        """A browser in which somebody is signed in, or nobody."""
        client = Client(raise_request_exception=True)
        if name is not None:
            client.cookies[COOKIE] = self.token(name)
        return client

    def token(self, name: str, kind: DeviceKind = DeviceKind.BROWSER) -> str:
        """Sign somebody in, and give the token of the device."""
        return self.here.people.sign_in(self.people[name], "test", kind).token
