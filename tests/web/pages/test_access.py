"""Who may ask for what: every address of the site and the API, and every role, as one table."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from putback.logbook.entries.base import DeviceId
from putback.web.pages.access import COOKIE
from putback.workshop.logbooks.ports import RANK, Role
from putback.workshop.saying.plain import read_plain
from tests.web.site import NEIGHBOUR, OWNER, VIEWER, WORKER, Site

ANYBODY, PERSON = "anybody", "person"
NEVER = ""
"""There is no such request: 405."""
V, W, O = Role.VIEWER, Role.WORKER, Role.OWNER  # noqa: E741 - a table is read at a glance

TABLE: dict[str, tuple[str, str]] = {
    # address: (who may GET, who may POST)
    "": (ANYBODY, NEVER),  # a stranger is sent to sign in
    "in": (ANYBODY, ANYBODY),
    "out": (NEVER, ANYBODY),
    "start/<str:token>": (ANYBODY, ANYBODY),
    "join/<str:token>": (ANYBODY, ANYBODY),
    "trust": (ANYBODY, NEVER),
    "trust/authority": (ANYBODY, NEVER),
    "trust/yes": (ANYBODY, NEVER),
    "bench/": (PERSON, NEVER),
    "bench/away": (ANYBODY, NEVER),  # what a phone keeps for when there is no network
    "bench/<str:name>": (PERSON, PERSON),
    "bench/<str:name>/pdf": (PERSON, PERSON),
    "bench/<str:name>/keep": (NEVER, PERSON),  # and a worker of the vehicle: test_bench.py
    "offline": (ANYBODY, NEVER),
    "static/<str:digest>/<str:name>": (ANYBODY, NEVER),
    "phone": (ANYBODY, NEVER),
    "scan": (ANYBODY, NEVER),
    "slate": (ANYBODY, NEVER),
    "worker.js": (ANYBODY, NEVER),
    "app.webmanifest": (ANYBODY, NEVER),
    "new": (NEVER, PERSON),
    "demo": (NEVER, PERSON),
    "put-away": (NEVER, PERSON),
    "me": (PERSON, NEVER),
    "me/token": (NEVER, PERSON),
    "me/end": (NEVER, PERSON),
    "me/like": (NEVER, PERSON),
    "me/name": (NEVER, PERSON),
    "me/password": (NEVER, PERSON),
    "take-in": (PERSON, PERSON),
    "take-in/confirm": (NEVER, PERSON),
    "v/<str:logbook>/": (V, NEVER),
    "v/<str:logbook>/log": (NEVER, W),
    "v/<str:logbook>/log/off": (NEVER, W),
    "v/<str:logbook>/paper": (V, NEVER),
    "v/<str:logbook>/paper/make/<str:name>": (V, NEVER),
    "v/<str:logbook>/paper/blank-tags": (NEVER, W),
    "v/<str:logbook>/paper/order/<str:name>": (NEVER, V),
    "v/<str:logbook>/paper/kept/<str:slip>": (V, NEVER),
    "v/<str:logbook>/say": (W, W),
    "v/<str:logbook>/stuck": (W, NEVER),
    "v/<str:logbook>/not-now": (W, NEVER),
    "v/<str:logbook>/else": (V, NEVER),
    "v/<str:logbook>/other-side": (W, NEVER),
    "v/<str:logbook>/pack-up": (V, NEVER),
    "v/<str:logbook>/in-hand": (NEVER, W),
    "v/<str:logbook>/settle": (NEVER, W),
    "v/<str:logbook>/resume": (V, NEVER),
    "v/<str:logbook>/newcomer": (V, NEVER),
    "v/<str:logbook>/catch-up": (W, W),
    "v/<str:logbook>/people": (V, NEVER),
    "v/<str:logbook>/people/invite": (NEVER, O),
    "v/<str:logbook>/people/withdraw": (NEVER, O),
    "v/<str:logbook>/people/role": (NEVER, O),
    "v/<str:logbook>/people/leave": (NEVER, V),
    "v/<str:logbook>/hold": (V, NEVER),
    "v/<str:logbook>/hold/set": (NEVER, W),
    "v/<str:logbook>/hold/lift": (NEVER, W),
    "v/<str:logbook>/strip": (V, NEVER),
    "v/<str:logbook>/strip/afresh": (NEVER, W),
    "v/<str:logbook>/strip/choose": (NEVER, W),
    "v/<str:logbook>/rebuild": (V, NEVER),
    "v/<str:logbook>/rebuild/afresh": (NEVER, W),
    "v/<str:logbook>/rebuild/choose": (NEVER, W),
    "v/<str:logbook>/reach": (V, NEVER),
    "v/<str:logbook>/ties": (V, NEVER),
    "v/<str:logbook>/why": (V, NEVER),
    "v/<str:logbook>/what-if": (V, NEVER),
    "v/<str:logbook>/calendar": (V, W),
    "v/<str:logbook>/calendar/days.ics": (V, NEVER),
    "v/<str:logbook>/asked/<str:slip>": (V, NEVER),
    "v/<str:logbook>/asked/<str:slip>/stop": (NEVER, V),  # of planning W: test_plans.py
    "v/<str:logbook>/asked/<str:slip>/again": (NEVER, W),
    "v/<str:logbook>/scan": (V, NEVER),
    "v/<str:logbook>/slate": (W, W),
    "v/<str:logbook>/photos": (V, W),
    "v/<str:logbook>/photos/<str:photo>": (V, NEVER),
    "v/<str:logbook>/vehicle": (V, NEVER),
    "v/<str:logbook>/parts": (V, NEVER),
    "v/<str:logbook>/part/<path:part>": (V, NEVER),
    "v/<str:logbook>/joint/<path:joint>": (V, NEVER),
    "v/<str:logbook>/hardware": (V, NEVER),
    "v/<str:logbook>/tag/<str:tag>": (V, NEVER),
    "v/<str:logbook>/places": (V, NEVER),
    "v/<str:logbook>/places/new": (NEVER, W),
    "v/<str:logbook>/partners": (O, NEVER),
    "v/<str:logbook>/partners/look": (NEVER, O),
    "v/<str:logbook>/partners/go": (NEVER, O),
    "v/<str:logbook>/book": (V, NEVER),
    "v/<str:logbook>/book/strike": (NEVER, W),
    "v/<str:logbook>/book/late": (NEVER, W),
    "v/<str:logbook>/book/export": (NEVER, W),
    "v/<str:logbook>/book/entry/<str:entry>": (V, NEVER),
    "v/<str:logbook>/describe": (W, NEVER),
    "v/<str:logbook>/describe/list": (NEVER, W),
    "v/<str:logbook>/describe/template": (NEVER, W),
    "v/<str:logbook>/describe/learned": (NEVER, W),
    "v/<str:logbook>/describe/read/<str:table>": (W, NEVER),
    "v/<str:logbook>/describe/all/<str:table>": (W, NEVER),
    "v/<str:logbook>/describe/back/<str:table>/<path:identity>": (NEVER, W),
    "v/<str:logbook>/describe/new/<str:table>": (W, W),
    "v/<str:logbook>/describe/one/<str:table>/<path:identity>": (W, W),
    "api/openapi.json": (ANYBODY, ANYBODY),
    "api/vehicles": (PERSON, PERSON),
    "api/vehicles/<logbook>": (V, NEVER),
    "api/vehicles/<logbook>/open": (V, NEVER),
    "api/vehicles/<logbook>/held": (V, NEVER),
    "api/vehicles/<logbook>/things/<path:subject>": (V, NEVER),
    "api/vehicles/<logbook>/history": (V, NEVER),
    "api/vehicles/<logbook>/acts": (NEVER, W),
    "api/vehicles/<logbook>/strikes": (NEVER, W),
    "api/vehicles/<logbook>/entries": (V, W),
    "api/vehicles/<logbook>/completions": (V, NEVER),
    "api/vehicles/<logbook>/photos": (V, W),
    "api/vehicles/<logbook>/photos/<photo>": (V, NEVER),
    "api/vehicles/<logbook>/exchange": (V, PERSON),
    "api/vehicles/<logbook>/exchange/entries": (V, W),
    "api/vehicles/<logbook>/exchange/garage": (V, W),
    "api/vehicles/<logbook>/exchange/wanted": (NEVER, W),
    "api/vehicles/<logbook>/exchange/photos/<photo>": (V, NEVER),  # PUT: api/test_exchange.py
    "api/me": (PERSON, NEVER),
    "api/tags": (PERSON, PERSON),
    "api/tokens": (PERSON, PERSON),
    "api/tokens/<token>": (NEVER, NEVER),  # DELETE: tests/web/api/test_asking.py
}
NOTHING_THERE = (
    *(
        "<str:digest>",
        "<str:slip>",
        "<str:photo>",
        "<photo>",
        "me/end",
        "trust/authority",
        "put-away",
        "days.ics",
    ),
    *("people/withdraw", "strip/choose", "rebuild/choose", "book/strike", "describe/template"),
    "in-hand",
)
"""What these ask for is not there in these tests: whoever may ask is told so by 404."""


def addresses(resolver: URLResolver, before: str = "") -> Iterator[str]:
    """Every address that the site knows."""
    for each in resolver.url_patterns:
        at = before + str(each.pattern)
        if isinstance(each, URLPattern):
            yield at
        else:
            yield from addresses(each, at)


def test_every_address_has_its_row_and_every_row_its_address(site):
    """A new page is not forgotten here, nor an old one kept (``api/`` answers 404)."""
    assert sorted(TABLE) == sorted({*addresses(get_resolver("putback.web.urls"))} - {"api/"})


SAYS: dict[str, dict[str, Any]] = {
    "acts": {"entries": [{"kind": "note", "text": "mice"}]},
    "strikes": {"what": "<str:entry>"},
    "tags": {"count": 1},
    "tokens": {"label": "scales"},
    "vehicles": {"name": "Barn find"},
}
"""What is sent to the API, by the last word of the address."""


@dataclass
class Asked:
    """A site with something to ask for, and what is filled in in an address."""

    site: Site
    filled: dict[str, str]

    def path(self, address: str) -> str:
        """The address with something in every gap."""
        for gap, value in self.filled.items():
            address = address.replace(gap, value)
        assert "<" not in address, address
        return f"/{address}"


@pytest.fixture
def asked(site, monkeypatch) -> Asked:
    """Olive's vehicle with a lid, a joint and a bag; the demo is not laid out each time."""
    monkeypatch.setattr("putback.web.pages.views.garage.lay_out_demo", lambda *_: None)
    said: list[dict[str, Any]] = [
        {"kind": "described", "table": "parts", "id": "lid", "fields": {"name": "Lid"}},
        {"kind": "described", "table": "parts", "id": "frame", "fields": {"name": "Frame"}},
        {
            "kind": "described",
            "table": "joints",
            "id": "lid-frame",
            "fields": {"name": "Lid to frame", "parts": ["lid", "frame"]},
        },
        {"kind": "container made", "tag": "3CAH", "name": "lids"},
    ]
    act = site.here.workshop.log(
        site.vehicle, read_plain(said), who=site.people[OWNER], device=DeviceId("laptop")
    )
    return Asked(
        site,
        {
            "<str:logbook>": site.vehicle,
            "<logbook>": site.vehicle,
            "<path:part>": "lid",
            "<path:joint>": "lid-frame",
            "<path:subject>": "part:lid",
            "<path:identity>": "lid",
            "<str:table>": "parts",
            "<str:digest>": "0" * 16,
            "<str:tag>": "3CAH",
            "<str:entry>": act.entries[0].id,
            "<str:name>": "units",
            "<str:slip>": "0" * 32,
            "<str:photo>": "0" * 64,
            "<photo>": "0" * 64,
            "<str:token>": "x" * 32,
            "<token>": "program-0",
        },
    )


def ask(asked: Asked, browser: Client, method: str, address: str) -> int:
    """Ask, and give the status."""
    path = asked.path(address)
    if method == "GET":
        answer = browser.get(path, {"of": "part:lid"})
    elif path.startswith("/api/"):
        said = json.dumps(SAYS.get(path.rpartition("/")[2], {}))
        said = said.replace("<str:entry>", asked.filled["<str:entry>"])
        answer = browser.post(path, said, content_type="application/json")
    else:
        answer = browser.post(path)
    answer.close()
    return answer.status_code


def wanted(address: str, least: str, role: Role | None, is_signed_in: bool) -> set[int]:
    """The statuses that are right for somebody; a role is one in Olive's vehicle."""
    is_api = address.startswith("api/")
    stranger = 401 if is_api else 404
    reached = {200, 204, 302, 400, 422}
    if address == "in":
        reached |= {403}  # name and password do not fit
    if any(each in address for each in NOTHING_THERE):
        reached |= {404}
    if least == NEVER:
        return {405}
    if least == ANYBODY:
        return reached
    if not is_signed_in:
        return {stranger}
    if least == PERSON:
        return reached
    if role is None:
        return {404}
    return reached if RANK[role] >= RANK[Role(least)] else {403}


@pytest.mark.parametrize(
    ("name", "role"),
    [(None, None), (VIEWER, V), (WORKER, W), (OWNER, O), (NEIGHBOUR, None)],
    ids=["stranger", "viewer", "worker", "owner", "owner of another vehicle"],
)
def test_everybody_reaches_what_is_theirs_and_nothing_else(asked, name, role):
    """Each address, by GET and by POST, as somebody who is signed in anew each time."""
    wrong = []
    for address in TABLE:
        path = asked.path(address)
        for method, least in zip(("GET", "POST"), TABLE[address], strict=True):
            asked.site.let_in(asked.site.vehicle)
            status = ask(asked, asked.site.browser(name), method, address)
            right = wanted(address, least, role, name is not None)
            if status not in right:
                wrong.append(f"{method} {path}: {status}, not {sorted(right)}")
    assert "\n".join(wrong) == ""


def test_no_form_is_taken_from_elsewhere(asked):
    """Whatever takes a POST asks for the form's token, of the owner too; nothing changes."""
    wrong = []
    position = asked.site.here.workshop.store.position(asked.site.vehicle)
    for address in TABLE:
        least = TABLE[address][1]
        if least == NEVER:
            continue
        browser = Client(enforce_csrf_checks=True)
        browser.cookies[COOKIE] = asked.site.token(OWNER)
        status = ask(asked, browser, "POST", address)
        if status != 403:
            wrong.append(f"{asked.path(address)}: {status}")
    assert "\n".join(wrong) == ""
    assert asked.site.here.workshop.store.position(asked.site.vehicle) == position


def test_a_logbook_that_nobody_has_is_like_one_that_is_not_yours(asked):
    """Nobody learns which vehicles there are, the garage's own logbook among them."""
    browser = asked.site.browser(NEIGHBOUR)
    answers = {
        (browser.get(f"/v/{logbook}/").status_code, browser.get(f"/v/{logbook}/").content)
        for logbook in ("nobody-s",)
    }
    yours = browser.get(f"/v/{asked.site.vehicle}/")
    assert {status for status, _ in answers} == {yours.status_code} == {404}
    assert browser.get("/v/garage/").status_code == 404
    assert browser.get("/api/vehicles/garage").status_code == 404
