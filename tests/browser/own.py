"""A vehicle of one's own, begun with a name on the phone, and described with just enough parts."""

import json
from urllib.request import Request, urlopen

from playwright.sync_api import Page

from putback.vehicle.ids import PartId
from putback.vehicle.part import Part
from putback.vehicle.vehicle import Vehicle
from putback.workshop.logbooks.describe import describe
from tests.makers import ZONE, vehicle

DESCRIBED = vehicle(
    Part(PartId("lamp-left"), "Lamp, left", ZONE),
    Part(PartId("lamp-right"), "Lamp, right", ZONE),
    "Lamp screws, left = lamp-left - frame: 2 screw M5 x 12 mm; 3 min",
    "Lamp screws, right = lamp-right - frame: 2 screw M5 x 12 mm; 3 min",
    "bonnet hinges = bonnet - frame: 4 bolt M8 x 20 mm; 5 min",
    "engine mounts = engine - frame: 4 bolt M10 x 40 mm; 20 min",
    "fuel pipe = engine - tank: 1 hose clip 12 mm; 2 min",
    "tank straps = tank - frame: 2 bolt M6 x 16 mm; 5 min",
    "bonnet blocks engine mounts: it lies over them",
    datum="frame",
)
"""Two lamps, a bonnet over an engine, and a tank that a pipe ties to it, on a frame."""
MOST = 99
"""Entries that the API takes as one act."""
PLANNED_MS = 60_000
"""What a planner may take on a machine that is busy with other tests [ms]."""


def begin(page: Page, name: str) -> str:
    """Begin a vehicle of which nothing but the name is known, and give its logbook."""
    page.goto("/")
    page.get_by_label("A new vehicle").fill(name)
    page.get_by_role("button", name="Begin its logbook").click()
    page.wait_for_url("**/v/*/")
    return page.url.rstrip("/").rpartition("/")[2]


def press(page: Page, name: str) -> None:
    """Press a button that sends a form, and wait for the page that follows."""
    with page.expect_navigation():
        page.get_by_role("button", name=name).click()


def ask(served, logbook: str, what: str, *entries: dict) -> dict:
    """Ask the API of a vehicle; with entries, log them as one act."""
    sent = json.dumps({"entries": entries}).encode() if entries else None
    headers = {"Authorization": f"Bearer {served.token}", "Content-Type": "application/json"}
    address = f"{served.address}/api/vehicles/{logbook}/{what}"
    with urlopen(Request(address, data=sent, headers=headers)) as answer:
        return json.load(answer)


def is_described(served, logbook: str, made: Vehicle = DESCRIBED) -> None:
    """Describe it, as a program does for somebody who has it all in a list."""
    said = [
        {"kind": each.KIND, "table": each.table, "id": each.id, "fields": each.fields}
        for each in describe(made)
        if each.table != "about"
    ]
    for at in range(0, len(said), MOST):
        ask(served, logbook, "acts", *said[at : at + MOST])


def logged(served, logbook: str, *kinds: str) -> list[dict]:
    """The bodies of what the store has of some kinds, in order of arrival."""
    entries = [each["entry"] for each in ask(served, logbook, "entries")["entries"]]
    return [each["body"] for each in entries if each["kind"] in kinds]
