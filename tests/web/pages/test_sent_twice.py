"""A form that is sent twice logs once: every address that logs, each by its own form."""

import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import resolve
from PIL import Image

from putback.logbook.entries.base import DeviceId
from putback.logbook.entries.working import JointUndone
from putback.web.here import open_here
from putback.web.pages import sent_once
from putback.web.pages.sent_once import FIELD, once
from putback.web.settings import WEB
from putback.web.store import setup
from putback.workshop.saying.plain import read_plain
from tests.web.pages.test_access import NEVER, TABLE, Asked, asked
from tests.web.pages.test_book import bundle_of, look_into
from tests.web.site import OWNER, WORKER

__all__ = ["asked"]  # the fixture

Said = dict[str, Any]
PHONE = DeviceId("phone")


def drawn() -> Said:
    """What a form bears that is drawn now."""
    return {FIELD: re.search(r'value="([^"]+)"', once())[1]}


def of_page(asked: Asked, page: str, *names: str) -> Said:
    """Hidden values of a page's form, as its own field has the first of each."""
    text = asked.site.browser().get(f"/v/{asked.site.vehicle}/{page}").content.decode()
    return {each: re.search(rf'name="{each}" value="([^"]*)"', text)[1] for each in names}


def a_file(content: bytes, name: str) -> BytesIO:
    """A file as a form sends it; it can be sent once."""
    file = BytesIO(content)
    file.name = name
    return file


def a_picture() -> bytes:
    """A small picture."""
    file = BytesIO()
    Image.new("RGB", (64, 48), "tan").save(file, "JPEG")
    return file.getvalue()


def a_hold(asked: Asked) -> Said:
    """A hold that is in force, and its lifting."""
    asked.site.browser().post(f"/v/{asked.site.vehicle}/hold/set", {"words": "no brakes"})
    return of_page(asked, "hold", "hold", "set_by")


def a_double(asked: Asked) -> Said:
    """What two told otherwise, and the first way out of it."""
    site = asked.site
    for who, out in ((OWNER, 4), (WORKER, 3)):
        said = [{"kind": "joint undone", "joint": "sump", "out": str(out), "of": "4"}]
        site.here.workshop.log(
            site.vehicle, read_plain(said), who=site.people[who], device=DeviceId(f"{who}'s")
        )
    return of_page(asked, "", "double", "way")


def learned(asked: Asked) -> Said:
    """A count that differs from the description."""
    site, said = asked.site, {"name": "bolts", "parts": "Lid\nFrame", "fixings": "4 bolt M8 x 20"}
    site.browser().post(f"/v/{site.vehicle}/describe/new/joints", said)
    undone = JointUndone(joint="bolts", out=3, of=3)
    site.here.workshop.log(site.vehicle, [undone], who=site.people[WORKER], device=PHONE)
    text = site.browser().get(f"/v/{site.vehicle}/describe").content.decode()
    return {"key": re.search(r'name="key" value="([^"]*)"', text)[1]}


def a_bundle(asked: Asked) -> Said:
    """A bundle that was looked into, with one note that is not here."""
    client, vehicle = asked.site.browser(), asked.site.vehicle
    client.post(f"/v/{vehicle}/log", {"1.kind": "note", "1.text": "mice"})
    told = look_into(client, bundle_of(asked.site, vehicle)).content.decode()
    found = {
        each: re.search(rf'name="{each}" value="([^"]*)"', told)[1]
        for each in ("token", "logbook")
    }
    return found | {"answer": "take in"}


def a_lamp(asked: Asked) -> Said:
    """A part that nothing rests on, to be taken back."""
    said = {"name": "Lamp"}
    asked.site.browser().post(f"/v/{asked.site.vehicle}/describe/new/parts", said)
    asked.filled["<path:identity>"] = "lamp"
    return {}


KEPT = {"value": "3 in", "to": "mm", "for-what": "lid"}
LOGS: dict[str, tuple[Callable[[Asked], Said], Said]] = {
    # address: (what is said, given what must be there for it; what is said otherwise)
    "new": (lambda _: {"name": "Barn find"}, {"name": "Another"}),
    "me/name": (lambda _: {"name": "Olive Orchard"}, {"name": "Olive Oak"}),
    "bench/<str:name>/keep": (
        lambda asked: KEPT | {"for-vehicle": asked.site.vehicle},
        {"value": "4 in"},
    ),
    "v/<str:logbook>/log": (lambda _: {"1.kind": "note", "1.text": "mice"}, {"1.text": "rats"}),
    "v/<str:logbook>/log/off": (
        lambda _: {"part": "Lamp", "new_place": "Loft"},
        {"part": "Horn", "new_place": ""},
    ),
    "v/<str:logbook>/say": (lambda _: {"line": "note swept"}, {"line": "note dusted"}),
    "v/<str:logbook>/settle": (a_double, {}),
    "v/<str:logbook>/catch-up": (
        lambda _: {"part": "Lamp", "day": "2026-04-02"},
        {"part": "Horn"},
    ),
    "v/<str:logbook>/hold/set": (lambda _: {"words": "no brakes"}, {"words": "no steering"}),
    "v/<str:logbook>/hold/lift": (lambda asked: a_hold(asked) | {"why": "hoses are on"}, {}),
    "v/<str:logbook>/photos": (
        lambda _: {"file": a_picture(), "words": "as found"},
        {"words": "as left"},
    ),
    "v/<str:logbook>/places/new": (
        lambda _: {"name": "Loft", "kind": "store"},
        {"name": "Barn"},
    ),
    "v/<str:logbook>/book/strike": (
        lambda asked: {"what": asked.filled["<str:entry>"], "why": "not so"},
        {"why": "not so at all"},
    ),
    "v/<str:logbook>/book/late": (
        lambda _: {"text": "mice", "day": "2026-04-02"},
        {"text": "rats"},
    ),
    "v/<str:logbook>/describe/list": (
        lambda _: {"list": b"name\nHorn\nBell\n"},
        {"list": b"name\nGong\n"},
    ),
    "v/<str:logbook>/describe/template": (
        lambda _: {"template": "drum-brake", "place": "rear", "side": "left"},
        {"side": "right"},
    ),
    "v/<str:logbook>/describe/learned": (learned, {}),
    "v/<str:logbook>/describe/back/<str:table>/<path:identity>": (
        a_lamp,
        {},
    ),
    "v/<str:logbook>/describe/new/<str:table>": (lambda _: {"name": "Lamp"}, {"name": "Horn"}),
    "v/<str:logbook>/describe/one/<str:table>/<path:identity>": (
        lambda _: {"name": "Lid", "mass_kg": "3 kg"},
        {"mass_kg": "4 kg"},
    ),
    "take-in/confirm": (a_bundle, {}),
}
"""Every address whose form writes entries; nothing said otherwise where the form asks nothing."""


LOGS_NOTHING = {
    *("in", "out", "demo", "put-away", "start/<str:token>", "join/<str:token>", "take-in"),
    *("me/token", "me/end", "me/like", "me/password", "bench/<str:name>", "bench/<str:name>/pdf"),
    *(f"v/<str:logbook>/paper/{each}" for each in ("blank-tags", "order/<str:name>")),
    *(f"v/<str:logbook>/people/{each}" for each in ("invite", "withdraw", "role", "leave")),
    *(
        f"v/<str:logbook>/{way}/{each}"
        for way in ("strip", "rebuild")
        for each in ("afresh", "choose")
    ),
    *("v/<str:logbook>/in-hand", "v/<str:logbook>/calendar", "v/<str:logbook>/slate"),
    *(f"v/<str:logbook>/asked/<str:slip>/{each}" for each in ("stop", "again")),
    *(
        "v/<str:logbook>/partners/look",
        "v/<str:logbook>/partners/go",
        "v/<str:logbook>/book/export",
    ),
}
"""What else can be sent: it writes no entry, or works by a link that opens once (start, join:
test_people.py), or a partner's entries by their own identities (partners), or what is laid out
once (demo)."""


def test_every_form_is_known_to_log_or_not_to():
    """A new address finds its place here; the API is sent to by no form."""
    sent = {each for each, (_, may_post) in TABLE.items() if may_post != NEVER}
    assert {each for each in sent if not each.startswith("api/")} == {*LOGS} | LOGS_NOTHING


def send(client: Client, path: str, said: Said):
    """Send a form; bytes go as a file, anew each time."""
    files = {"file": "p.jpg", "list": "list.csv"}
    return client.post(
        path, {k: a_file(v, files[k]) if isinstance(v, bytes) else v for k, v in said.items()}
    )


def entries(site) -> dict[str, int]:
    """How many entries each logbook has, the garage's among them."""
    store = site.here.workshop.store
    return {each.id: store.position(each.id) for each in store.logbooks()}


def again_after_a_restart(asked: Asked) -> None:
    """Serve the same store by another process's workshop, which knows nothing yet."""
    asked.site.opened.close()
    asked.site.opened = setup(asked.site.home, "")
    asked.site.here = open_here(asked.site.opened)


@pytest.mark.parametrize("address", LOGS)
def test_what_is_sent_twice_is_logged_once_and_led_to_the_same_page(asked, address):
    """At once and after a restart, from a page that was kept open; said otherwise it is new."""
    site, (saying, otherwise) = asked.site, LOGS[address]
    is_confirmed = address == "take-in/confirm"
    said = saying(asked) | ({} if is_confirmed else drawn())
    path, client, before = asked.path(address), site.browser(), entries(site)
    first = send(client, path, said)
    assert first.status_code == 302, first.content.decode()
    logged = entries(site)
    assert logged != before or is_confirmed  # where all of it is here already
    again_after_a_restart(asked)
    for _ in range(2):
        second = send(client, path, said)
        assert (second.status_code, second["Location"]) == (302, first["Location"])
        assert entries(site) == logged
    if otherwise:
        assert send(client, path, said | otherwise).status_code == 302
        assert entries(site) != logged


@pytest.mark.parametrize("address", ["v/<str:logbook>/places/new", "v/<str:logbook>/settle"])
def test_what_no_longer_fits_by_the_first_sending_is_led_on_all_the_same(
    asked, address, monkeypatch
):
    """The second came before the first was logged, and is refused after: it is not told so."""
    site, (saying, _) = asked.site, LOGS[address]
    said, path, client = saying(asked) | drawn(), asked.path(address), site.browser()
    first = send(client, path, said)
    unseen = [()] * (2 if site.here.workshop.has_garage() else 1)  # one look in each logbook
    said_as = sent_once.said_as
    monkeypatch.setattr(
        sent_once, "said_as", lambda *given: unseen.pop() if unseen else said_as(*given)
    )
    logged = entries(site)
    assert send(client, path, said)["Location"] == first["Location"]
    assert entries(site) == logged
    assert not unseen


def test_two_at_the_same_moment_are_one(asked):
    """As by two quick taps on a slow network, with threads of the server's own."""
    site, path, said = asked.site, asked.path("v/<str:logbook>/log"), drawn()
    said |= {"1.kind": "note", "1.text": "mice", "2.kind": "note", "2.text": "rats"}
    before, clients = entries(site)[site.vehicle], [site.browser() for _ in range(4)]

    def sent(client: Client) -> str:
        try:
            return client.post(path, said)["Location"]
        finally:
            site.opened.entries.close()

    with ThreadPoolExecutor(4) as hands:
        led_to = set(hands.map(sent, clients))
    assert len(led_to) == 1
    assert entries(site)[site.vehicle] == before + 2


def test_a_refused_form_can_be_sent_again(asked):
    """Mended or as it was, from the page it was drawn on or the one that showed the fault."""
    site, path = asked.site, asked.path("v/<str:logbook>/describe/new/<str:table>")
    client, said, before = site.browser(), drawn(), entries(site)
    for _ in range(2):
        refused = client.post(path, said | {"name": "Lamp", "mass_kg": "heavy"})
        assert refused.status_code == 400
        assert f'name="{FIELD}"' in refused.content.decode()
    assert entries(site) == before
    assert client.post(path, said | {"name": "Lamp", "mass_kg": "3 kg"}).status_code == 302
    assert entries(site) != before


def test_what_was_struck_out_is_logged_when_it_is_sent_again(asked):
    """Somebody struck it out, went back and sent the form on purpose: it is there once more."""
    site, path = asked.site, asked.path("v/<str:logbook>/log")
    client, said = site.browser(), drawn() | {"1.kind": "note", "1.text": "mice"}
    acts = []
    for _ in range(3):
        led_to = client.post(path, said)["Location"]
        assert client.post(path, said)["Location"] == led_to
        acts.append(led_to.partition("logged=")[2])
        client.post(f"/v/{site.vehicle}/book/strike", {"what": acts[-1]})
    assert len(set(acts)) == 3


def test_another_person_and_another_drawing_are_acts_of_their_own(asked):
    """The same words by two, or from a page drawn anew, were said twice; without one as ever."""
    site, path = asked.site, asked.path("v/<str:logbook>/log")
    note, before = {"1.kind": "note", "1.text": "mice"}, entries(asked.site)[asked.site.vehicle]
    said = drawn() | note
    site.browser(OWNER).post(path, said)
    site.browser(WORKER).post(path, said)
    site.browser(OWNER).post(path, drawn() | note)
    for odd in ({}, {FIELD: ""}, {FIELD: "x"}, {FIELD: "6fa459ea-ee8a-4ca4-894e-db77e160355e"}):
        site.browser(OWNER).post(path, odd | note)
    assert entries(site)[site.vehicle] == before + 7


def test_what_was_logged_a_while_ago_is_told_with_its_moment(asked, monkeypatch):
    """Whoever sends it again from a page left open sees that it was logged, and when."""
    site, path = asked.site, asked.path("v/<str:logbook>/log")
    client, said = site.browser(), drawn() | {"1.kind": "note", "1.text": "mice"}
    led_to = client.post(path, said)["Location"]
    assert "Logged already" not in client.get(led_to).content.decode()
    monkeypatch.setattr("putback.workshop.saying.logged.A_MOMENT", timedelta(0))
    assert client.post(path, said)["Location"] == led_to
    told = client.get(led_to).content.decode()
    assert re.search(r"<b>Logged already: \d+ \w+ \d+, \d\d:\d\d\.</b>", told)
    told = client.get(led_to, headers={"Accept-Language": "de"}).content.decode()
    assert re.search(r"<b>Schon eingetragen: \d+\. \w+\.? \d+, \d\d:\d\d\.</b>", told)


_FORM = re.compile(r"<form\b[^>]*method=.(?:post|\{%)[^>]*>.*?</form>", re.DOTALL)
_LEADS = re.compile(r"""action="\{% url '(\w+)'""")
OWN = {"pages/catch_up.html": "catch_up", "pages/draft.html": "describe_one"}
"""Pages whose form goes to their own address."""


def test_every_form_that_logs_bears_an_identity_and_no_other_does():
    """Each form of each template, by the name of the address that it is sent to."""
    paths = [re.sub(r"<[^>]+>", "x", each) for each in {*LOGS} - {"take-in/confirm"}]
    names = {resolve(f"/{each}", "putback.web.urls").url_name for each in paths}
    wrong, met = [], set()
    for path in sorted(Path(WEB / "templates").rglob("*.html")):
        name = path.relative_to(WEB / "templates").as_posix()
        for form in _FORM.findall(path.read_text()):
            leads = _LEADS.search(form)
            to = leads[1] if leads else OWN.get(name, "")
            met.add(to)
            if ("{% once %}" in form) != (to in names):
                wrong.append(f"{name}: {form[:100]}")
    assert wrong == []
    assert names - met - {"describe_new"} == set()
