"""Asking over the API."""

import json

import pytest
from django.test import Client

from putback.workshop.people.people import DeviceKind
from tests.web.site import NEIGHBOUR, OWNER, VIEWER, WORKER


def post(client, address, said, **headers):
    """Send a document as a program does."""
    return client.post(address, json.dumps(said), content_type="application/json", headers=headers)


def log(site, *entries):
    """Log entries as the worker."""
    answer = post(site.browser(WORKER), f"/api/vehicles/{site.vehicle}/acts", {"entries": entries})
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_the_api_describes_itself():
    """With every path under one address, for anybody to read."""
    document = Client().get("/api/openapi.json").json()
    assert document["openapi"].startswith("3.")
    assert "/api/vehicles/{logbook}/acts" in document["paths"]


def test_one_lists_ones_own_vehicles_and_begins_another(site):
    """With the role in each; a stranger is asked who they are."""
    mine = site.browser(WORKER).get("/api/vehicles").json()
    assert [(each["name"], each["role"]) for each in mine] == [("Old Dunlin", "worker")]
    begun = post(site.browser(WORKER), "/api/vehicles", {"name": "Barn find"}).json()
    again = site.browser(WORKER).get("/api/vehicles").json()
    assert {each["logbook"] for each in again} == {site.vehicle, begun["logbook"]}
    assert site.browser(None).get("/api/vehicles").status_code == 401


def test_how_a_vehicle_is(site):
    """Its way, its holds, what is off."""
    log(
        site,
        {"kind": "described", "table": "parts", "id": "lid", "fields": {"name": "Lid"}},
        {"kind": "part off", "part": "lid"},
        {"kind": "hold set", "hold": "b", "words": "no brakes"},
    )
    found = site.browser(VIEWER).get(f"/api/vehicles/{site.vehicle}").json()
    assert (found["name"], found["role"], found["holds"]) == (
        "Old Dunlin",
        "viewer",
        ["no brakes"],
    )
    assert (found["parts_off"], found["parts"]) == (1, 1)


def test_what_is_open(site):
    """Each with what clears it."""
    log(site, {"kind": "found", "of": "part:lid", "what": "cracked"})
    found = site.browser(VIEWER).get(f"/api/vehicles/{site.vehicle}/open").json()
    assert any("cracked" in each["words"] for each in found)
    assert all(each["clears"] for each in found)


def test_the_state_of_a_thing_and_what_was_logged_of_it(site):
    """By its subject; what nobody spoke of is not there."""
    log(
        site,
        {"kind": "described", "table": "parts", "id": "lid", "fields": {"name": "Lid"}},
        {"kind": "container made", "tag": "3CAH", "name": "lids"},
        {"kind": "part off", "part": "lid", "tag": "3CAH"},
    )
    client, address = site.browser(VIEWER), f"/api/vehicles/{site.vehicle}"
    found = client.get(f"{address}/things/part:lid").json()
    assert found["name"] == "Lid"
    assert found["state"]["off"]["who"] == site.people[WORKER]
    assert found["where"] == ["3CAH (lids)"]
    told = client.get(f"{address}/history", {"of": "part:lid"}).json()
    assert [each["kind"] for each in told] == ["part off"]
    assert told[0]["who"] == site.people[WORKER]
    assert client.get(f"{address}/things/part:wing").status_code == 404
    assert client.get(f"{address}/things/standing").json()["name"] == "standing"


def test_entries_come_as_they_were_received(site):
    """After a position, so that a program takes only what is new to it."""
    begun = site.here.workshop.store.position(site.vehicle)
    act = log(site, {"kind": "note", "text": "mice"})
    found = site.browser(VIEWER).get(f"/api/vehicles/{site.vehicle}/entries?after={begun}").json()
    assert found["position"] == begun + 1
    (entry,) = found["entries"]
    assert entry["entry"]["id"] == act["entries"][0]
    assert entry["entry"]["body"] == {"text": "mice"}
    refused = site.browser().get(f"/api/vehicles/{site.vehicle}/entries?after=-1")
    assert refused.status_code == 422


def test_tags_are_reserved_for_the_device_that_asks(site):
    """And listed for it alone."""
    client = site.browser(WORKER)
    tags = post(client, "/api/tags", {"count": 3}).json()["tags"]
    assert len(tags) == 3
    assert client.get("/api/tags").json()["tags"] == tags
    assert site.browser(WORKER).get("/api/tags").json()["tags"] == []
    assert post(client, "/api/tags", {"count": 0}).status_code == 422


def test_tokens_are_made_listed_and_ended(site):
    """A program makes none for itself, and nobody ends another's."""
    browser = site.browser(OWNER)
    made = post(browser, "/api/tokens", {"label": "scales"}).json()
    (listed,) = browser.get("/api/tokens").json()
    assert listed["label"] == "scales"
    assert made["token"] not in json.dumps(listed)
    program = Client(headers={"authorization": f"Bearer {made['token']}"})
    assert program.get("/api/vehicles").status_code == 200
    assert post(program, "/api/tokens", {"label": "more"}).status_code == 403
    neighbour = site.browser(NEIGHBOUR)
    assert neighbour.delete(f"/api/tokens/{made['id']}").status_code == 404
    assert browser.delete(f"/api/tokens/{made['id']}").json() == {"done": True}
    assert program.get("/api/vehicles").status_code == 401
    assert browser.delete(f"/api/tokens/{made['id']}").status_code == 404


@pytest.mark.parametrize("name", [WORKER, None])
def test_a_browser_without_the_forms_token_writes_nothing(site, name):
    """A forged request from another site carries the cookie and not the token."""
    from putback.web.pages.access import COOKIE

    client = Client(enforce_csrf_checks=True)
    if name:
        client.cookies[COOKIE] = site.token(name)
    said = {"entries": [{"kind": "note", "text": "forged"}]}
    before = site.here.workshop.store.position(site.vehicle)
    answer = post(client, f"/api/vehicles/{site.vehicle}/acts", said)
    assert answer.status_code in {401, 403}
    assert site.here.workshop.store.position(site.vehicle) == before
    program = Client(enforce_csrf_checks=True)
    token = site.token(WORKER, DeviceKind.PROGRAM)
    address = f"/api/vehicles/{site.vehicle}/acts"
    assert post(program, address, said, authorization=f"Bearer {token}").status_code == 200
