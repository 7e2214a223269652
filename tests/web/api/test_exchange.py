"""Exchange over the API: what another workshop asks, and who may."""

import json

import pytest
from django.test import Client

from putback.logbook.entries.base import DeviceId, EntryId, LogbookId
from putback.logbook.entries.describing import PlaceDescribed
from putback.logbook.entries.working import NoteMade, PartOff, PhotoTaken, SoundTaken
from putback.workshop.exchange.course import Course, Exchange
from putback.workshop.exchange.far import NoExchange
from putback.workshop.exchange.over_https import Answer, FarByApi
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import GARAGE, Role
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.people.people import DeviceKind
from tests.stores import ANN, PHONE
from tests.web.site import NEIGHBOUR, OWNER, VIEWER, WORKER


def far(site, name: str = OWNER, token: str | None = None) -> FarByApi:
    """The site, as another workshop asks it with a token of somebody here."""
    client = Client(enforce_csrf_checks=True)
    bearer = f"Bearer {token or site.token(name, DeviceKind.PROGRAM)}"

    def transport(method, path, body, headers):
        kind = headers.get("Content-Type", "application/octet-stream")
        answer = client.generic(
            method, path, body, content_type=kind, headers={"Authorization": bearer}
        )
        return Answer(answer.status_code, answer.content)

    return FarByApi("the site", transport)


def elsewhere() -> Workshop:
    return Workshop(MemoryEntryStore(), MemoryPhotoStore())


def exchange(here: Workshop, there: FarByApi, car: LogbookId) -> Exchange:
    return Exchange(here, there, "the site", car, "partner the site", ANN, Course())


def test_two_copies_come_to_one_set_both_ways(site):
    """A vehicle is pulled, both go on, both exchange: entries, photos, places, state are one."""
    workshop, car = site.here.workshop, site.vehicle
    own = {"who": site.people[OWNER], "device": DeviceId("laptop")}
    workshop.log(GARAGE, [PlaceDescribed(place="shelf", name="The shelf")], **own)
    photo = workshop.photos.put(b"photo")
    workshop.log(car, [PhotoTaken(photo=photo), PartOff(part="lid", place="shelf")], **own)
    there = elsewhere()
    site_far = far(site)
    assert (car, "Old Dunlin") in site_far.vehicles()
    pulled = exchange(there, site_far, car)
    list(pulled.pull())
    assert there.facts(car).digest == workshop.facts(car).digest
    assert there.photos.get(photo) == b"photo"
    there.log(car, [SoundTaken(sound=there.photos.put(b"sound"))], who=ANN, device=PHONE)
    there.log(GARAGE, [PlaceDescribed(place="barn", name="Barn")], who=ANN, device=PHONE)
    there.log(car, [PartOff(part="hood", place="barn")], who=ANN, device=PHONE)
    workshop.log(car, [NoteMade(text="at home")], **own)
    again = Exchange(there, site_far, "the site", car, "partner the site", ANN, pulled.course)
    list(again.pull())
    list(again.push())
    assert there.facts(car).digest == workshop.facts(car).digest
    assert there.state(car) == workshop.state(car)
    assert there.state(GARAGE).places == workshop.state(GARAGE).places
    assert set(there.photos) == set(workshop.photos)


def test_a_vehicle_that_is_not_here_is_begun_by_pushing(site):
    """It belongs to the person whose token it is, and to nobody else."""
    there = elsewhere()
    car = there.new_vehicle("Red Kite", who=ANN, device=PHONE)
    list(exchange(there, far(site, NEIGHBOUR), car).push())
    workshop = site.here.workshop
    assert workshop.facts(car).digest == there.facts(car).digest
    assert workshop.store.roles(car) == {site.people[NEIGHBOUR]: Role.OWNER}
    assert [each.name for each in workshop.logbooks() if each.id == car] == ["Red Kite"]


def test_roles_hold(site):
    """A viewer's token fetches and sends nothing; a neighbour's finds no vehicle at all."""
    there = elsewhere()
    list(exchange(there, far(site, VIEWER), site.vehicle).pull())
    there.log(site.vehicle, [NoteMade(text="x")], who=ANN, device=PHONE)
    with pytest.raises(NoExchange, match="lets us look at this vehicle and no more"):
        list(exchange(there, far(site, VIEWER), site.vehicle).push())
    # To a stranger the vehicle is not there, and its identity cannot be taken either.
    with pytest.raises(NoExchange, match="has no such vehicle, or it is not ours there"):
        list(exchange(there, far(site, NEIGHBOUR), site.vehicle).push())
    list(exchange(there, far(site, WORKER), site.vehicle).push())
    assert site.here.workshop.facts(site.vehicle).digest == there.facts(site.vehicle).digest


def test_an_ended_token_says_so_and_nothing_moves(site):
    """Whoever ends the token under their devices ends the exchange."""
    token = site.token(OWNER, DeviceKind.PROGRAM)
    (device,) = [
        each
        for each in site.here.people.store.devices(site.people[OWNER])
        if each.kind is DeviceKind.PROGRAM
    ]
    site.here.people.end(device.id)
    there = elsewhere()
    with pytest.raises(NoExchange, match="does not know us") as raised:
        list(exchange(there, far(site, token=token), site.vehicle).pull())
    assert token not in str(raised.value)
    assert there.logbooks() == ()


def test_the_garage_is_no_vehicle(site):
    """Nobody becomes the owner of what all vehicles share."""
    with pytest.raises(NoExchange):
        far(site).begin(GARAGE, "mine")
    assert far(site).stands(GARAGE) is None


def test_a_photo_goes_out_only_where_an_entry_names_it(site):
    """A digest that another vehicle's entry names is not there; nor are other bytes taken in."""
    photo = site.here.workshop.photos.put(b"somebody's photo")
    assert far(site).photo(site.vehicle, photo) is None
    with pytest.raises(NoExchange, match="the bytes are not those of the digest"):
        far(site).send_photo(site.vehicle, photo, b"other bytes")


def test_an_entry_with_line_breaks_in_it_goes_over_as_it_was(site):
    """Bytes are kept as received: JSON may have been written over several lines."""
    there = elsewhere()
    car = there.new_vehicle("Red Kite", who=ANN, device=PHONE)
    there.log(car, [NoteMade(text="x")], who=ANN, device=PHONE)
    odd = json.loads(list(there.since(car))[-1].raw)
    odd["id"] = odd["id"][:-4] + "0000"
    there.receive(car, [json.dumps(odd, indent=2).encode()], received_from="a phone")
    list(exchange(there, far(site), car).push())
    there_raw = {row.entry: row.raw for row in there.since(car)}
    here_raw = {row.entry: row.raw for row in site.here.workshop.since(car)}
    assert here_raw == there_raw
    assert b"\n" in here_raw[EntryId(odd["id"])]


def test_what_makes_no_sense_is_refused_in_words(site):
    """A site that is no Putback, or sends half an answer, is named as such."""

    def other(*_):
        return Answer(200, b"<html>Welcome</html>")

    with pytest.raises(NoExchange, match="does not answer as a Putback does"):
        FarByApi("it", other).stands(site.vehicle)
    with pytest.raises(NoExchange, match="does not answer as a Putback does"):
        FarByApi("it", lambda *_: Answer(200, b'{"lines": [1]}')).entries(site.vehicle, 0)
