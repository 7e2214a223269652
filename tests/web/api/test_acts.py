"""Logging over the API."""

import json

from putback.logbook.entries.base import EntryId
from tests.stores import Phone
from tests.web.site import VIEWER, WORKER


def post(client, address, said, **headers):
    """Send a document as a program does."""
    return client.post(address, json.dumps(said), content_type="application/json", headers=headers)


def test_an_act_is_logged_and_told(site):
    """What a page sends is written by the one who sent it, and comes back in words."""
    said = {"entries": [{"kind": "note", "text": "smells of mice"}]}
    answer = post(site.browser(WORKER), f"/api/vehicles/{site.vehicle}/acts", said)
    assert answer.status_code == 200, answer.content
    assert "smells of mice" in answer.json()["sentences"][0]
    (entry,) = [
        each
        for each in site.here.workshop.standing(site.vehicle)
        if each.id == EntryId(answer.json()["entries"][0])
    ]
    assert entry.who == site.people[WORKER]


def test_a_struck_act_is_out(site):
    """Striking an act out leaves the state as it was before."""
    client, address = site.browser(WORKER), f"/api/vehicles/{site.vehicle}"
    before = site.here.workshop.facts(site.vehicle).entries
    said = {"entries": [{"kind": "note", "text": "smells of mice"}]}
    act = post(client, f"{address}/acts", said).json()["act"]
    assert post(client, f"{address}/strikes", {"what": act}).status_code == 200
    assert site.here.workshop.facts(site.vehicle).struck
    assert len(site.here.workshop.standing(site.vehicle)) == before + 1  # the strike itself


def test_a_wrong_entry_is_refused_in_words_and_nothing_is_saved(site):
    """The answer says which entry, which field and how to mend it."""
    before = site.here.workshop.store.position(site.vehicle)
    said = {"entries": [{"kind": "note", "text": "fine"}, {"kind": "time", "minutes": "soon"}]}
    answer = post(site.browser(), f"/api/vehicles/{site.vehicle}/acts", said)
    assert answer.status_code == 400
    assert answer.json()["message"] == (
        "entry 2, time: minutes: cannot read 'soon' as a time of work; "
        "write it like '1 h 30 min', '1:30' or '90 min'; nothing was saved"
    )
    assert site.here.workshop.store.position(site.vehicle) == before


def test_who_may_only_look_logs_nothing(site):
    """A viewer is told whose business it is; a stranger that there is no such vehicle."""
    said = {"entries": [{"kind": "note", "text": "I was here"}]}
    address = f"/api/vehicles/{site.vehicle}/acts"
    assert post(site.browser(VIEWER), address, said).status_code == 403
    assert post(site.browser(None), address, said).status_code == 401


def test_entries_of_a_phone_are_there_once_however_often_sent(site):
    """What a phone made itself is taken in as it is, and known when it comes again."""
    phone = Phone(logbook=site.vehicle)
    body = b"\n".join(each.raw for each in phone.entries(3))
    client, address = site.browser(WORKER), f"/api/vehicles/{site.vehicle}/entries"
    first = client.post(address, body, content_type="application/x-ndjson").json()
    again = client.post(address, body, content_type="application/x-ndjson").json()
    assert len(first["new"]) == 3
    assert again["known"] == first["new"]
    assert again["new"] == []


def test_what_somebody_logged_on_their_phone_is_told_or_refused(site):
    """One's own comes back in words; what cannot be meant is refused, and so is another's."""
    phone = Phone(logbook=site.vehicle, who=site.people[WORKER])
    good, bad = phone.entries(2)
    client, address = site.browser(WORKER), f"/api/vehicles/{site.vehicle}/entries?own=true"
    taken = client.post(address, good.raw, content_type="application/x-ndjson").json()
    assert (taken["new"], len(taken["sentences"])) == ([good.id], 1)
    assert taken["clock"][0] > 0
    said = bad.raw.replace(b'"text":', b'"words":')
    refused = client.post(address, said, content_type="application/x-ndjson")
    assert refused.status_code == 400
    assert refused.json()["place"] == "entry 1, note"
    assert refused.json()["fault"] == "text is missing"
    other = site.browser().post(address, bad.raw, content_type="application/x-ndjson")
    assert other.status_code == 403
    assert "sign in as will-worker" in other.json()["message"]
    lenient = client.post(address.removesuffix("?own=true"), said, content_type="text/plain")
    assert lenient.json()["new"] == [bad.id], "what others pass on is kept unread"


def test_a_phone_asks_who_the_server_takes_it_for(site):
    """Its person, its device, and the token without which no browser may send."""
    found = site.browser(WORKER).get("/api/me").json()
    assert (found["person"], found["name"]) == (site.people[WORKER], WORKER)
    assert found["csrf"]
    assert site.here.people.store.devices(site.people[WORKER])[0].id == found["device"]
